"""The command ``stages``."""

from pathlib import Path

import click

from mockup.cli.shared import (
    design_argument,
    dpi_option,
    force_option,
    open_option,
    output_option,
    progress,
    way_option,
    written,
)


@click.command("stages")
@design_argument
@output_option("NAME-stages.png beside the design")
@click.option(
    "--last", metavar="INK", default=None, help="Show also what comes of holding one ink back to the end."
)
@dpi_option(300)
@way_option
@open_option
@force_option
def command(
    design: Path,
    target: Path | None,
    last: str | None,
    dpi: float,
    way: str | None,
    show: bool,
    force: bool,
) -> None:
    """Show DESIGN when a quarter, half, three quarters and all of it are inked, in the order in which it is inked.

    Half-way a piece often looks wrong: judge it when all inks are in.
    """
    from mockup.jobs.stages import stages_design

    with progress() as tell:
        path = stages_design(design, target, last=last, dpi=dpi, way=way, force=force, tell=tell)
    written([path], show)
