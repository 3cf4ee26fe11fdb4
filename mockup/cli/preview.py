"""The command ``preview``."""

from collections.abc import Callable
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


@click.command("preview")
@design_argument
@output_option("a PNG beside the design")
@dpi_option(300)
@click.option("--names", is_flag=True, help="Print the placed motifs' names and a grid of mm.")
@click.option(
    "--tile", is_flag=True, help="One seamless unit of the repeat, for production, in place of a sheet."
)
@click.option("--exact", is_flag=True, help="With --tile: refuse a unit that is no whole number of pixels.")
@click.option("--watch", is_flag=True, help="Draw again whenever the design or one of its files is saved.")
@way_option
@open_option
@force_option
def command(
    design: Path,
    target: Path | None,
    dpi: float,
    names: bool,
    tile: bool,
    exact: bool,
    watch: bool,
    way: str | None,
    show: bool,
    force: bool,
) -> None:
    """Draw DESIGN at true size, as PNG, SVG or PDF by the ending of the output's name.

    The screen is a guide only: approve the ink on your paper.
    """
    if exact and not tile:
        raise click.UsageError("--exact is for --tile only")
    if names and tile:
        raise click.UsageError("--names is for a sheet, not for --tile")

    def draw() -> Path:
        from mockup.jobs.preview import preview_design
        from mockup.jobs.tilework import tile_design

        with progress() as tell:
            if tile:
                return tile_design(
                    design, target, dpi=dpi, exact=exact, way=way, force=force, tell=tell, say=_say
                )
            return preview_design(
                design, target, dpi=dpi, names=names, way=way, force=force, tell=tell, say=_say
            )

    if watch:
        from mockup.jobs.targets import beside, suffix

        ending = f"{suffix(way)}{'-tile.png' if tile else '.png'}"
        _watch(design, target or beside(design, ending), draw, show, force)
    else:
        written([draw()], show)


def _watch(design: Path, target: Path, draw: Callable[[], Path], show: bool, force: bool) -> None:
    """Draw again and again until Ctrl-C; show the first picture if asked."""
    from mockup.jobs.watching import watch

    wish = iter([show])

    def drawn(path: Path) -> None:
        written([path], next(wish, False))

    try:
        watch(design, target, draw, drawn, _say, force=force)
    except KeyboardInterrupt:
        _say("")


def _say(line: str) -> None:
    click.echo(line, err=True)
