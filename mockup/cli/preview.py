"""The command ``preview``."""

from pathlib import Path

import click

from mockup.cli.shared import (
    Number,
    design_argument,
    force_option,
    open_option,
    output_option,
    progress,
    written,
)


@click.command("preview")
@design_argument
@output_option("a PNG beside the design")
@click.option(
    "--dpi", metavar="N", type=Number(10, 2400), default=300.0, help="Pixels an inch of a PNG (default: 300)."
)
@click.option("--names", is_flag=True, help="Print the placed motifs' names and a grid of mm.")
@open_option
@force_option
def command(design: Path, target: Path | None, dpi: float, names: bool, show: bool, force: bool) -> None:
    """Draw DESIGN at true size, as PNG, SVG or PDF by the ending of the output's name.

    The screen is a guide only: approve the ink on your paper.
    """
    from mockup.jobs.preview import preview_design

    with progress() as tell:
        path = preview_design(design, target, dpi=dpi, names=names, force=force, tell=tell)
    written([path], show)
