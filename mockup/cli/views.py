"""The command ``views``."""

from pathlib import Path

import click

from mockup.cli.shared import (
    Number,
    design_argument,
    dpi_option,
    force_option,
    open_option,
    output_option,
    progress,
    way_option,
    written,
)


@click.command("views")
@design_argument
@output_option("DESIGN-views.png beside the design")
@click.option(
    "--distance",
    metavar="M",
    type=Number(0.2, 200),
    default=6.0,
    help="Metres from which one view is seen, small things blurred (default: 6).",
)
@dpi_option(200)
@way_option
@open_option
@force_option
def command(
    design: Path,
    target: Path | None,
    distance: float,
    dpi: float,
    way: str | None,
    show: bool,
    force: bool,
) -> None:
    """Show DESIGN in all the ways to judge it, on one sheet: as it is, from afar, turned, in grey, to other eyes.

    The last view is a map of where an ink lies too heavy. PNG, SVG or PDF by the ending of the output's name.
    """
    from mockup.jobs.views import draw_views

    with progress() as tell:
        path = draw_views(design, target, distance=distance, dpi=dpi, way=way, force=force, tell=tell)
    written([path], show)
