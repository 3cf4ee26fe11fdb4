"""The command ``repeats``."""

from pathlib import Path

import click

from mockup.cli.shared import PATH, dpi_option, force_option, open_option, progress, written


@click.command("repeats")
@click.option(
    "-o",
    "--output",
    "target",
    type=PATH,
    default=Path("repeats.png"),
    show_default=True,
    help="PNG, SVG or PDF.",
)
@dpi_option(100)
@open_option
@force_option
def command(target: Path, dpi: float, show: bool, force: bool) -> None:
    """Show every repeat that [pattern] repeat may name, and the frieze groups of a border, as pictures."""
    from mockup.jobs.repeats import write_repeats

    with progress() as tell:
        path = write_repeats(target, dpi=dpi, force=force, tell=tell)
    written([path], show)
