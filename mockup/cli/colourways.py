"""The command ``colourways``."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from mockup.cli.shared import (
    PATH,
    design_argument,
    dpi_option,
    force_option,
    open_option,
    output_option,
    progress,
    written,
)

if TYPE_CHECKING:
    from mockup.jobs.colourways import Steering
    from mockup.jobs.offering import Wish


@click.command("colourways")
@design_argument
@output_option("a folder beside the design, NAME-colourways")
@click.option(
    "-n",
    "--count",
    metavar="N",
    type=click.IntRange(1, 26),
    default=4,
    help="How many, yours among them (default: 4).",
)
@click.option(
    "--palette", "palettes", metavar="FILE", type=PATH, multiple=True, help="One in the inks of this palette."
)
@click.option(
    "--box", metavar="FILE", type=PATH, help="Only inks of this box (default: the design's own box)."
)
@click.option("--paper", "stock", metavar="NAME", help="With --box: the paper that its inks were tried on.")
@click.option(
    "--like", metavar="LETTER", multiple=True, help="Keep this one of the last run, and find more like it."
)
@click.option(
    "--unlike", metavar="LETTER", multiple=True, help="Drop this one of the last run, and what is like it."
)
@click.option("--respread", is_flag=True, help="Give each a new plan, not yours.")
@click.option(
    "--sheet", "page", type=click.Choice(["A4", "A3"]), default="A4", help="Size of the sheet (default: A4)."
)
@dpi_option(200, 600, "sheet.png")
@click.option(
    "--keep", metavar="LETTER", multiple=True, help="Write this one of the last run into DESIGN; find none."
)
@open_option
@force_option
def command(
    design: Path,
    target: Path | None,
    count: int,
    palettes: tuple[Path, ...],
    box: Path | None,
    stock: str | None,
    like: tuple[str, ...],
    unlike: tuple[str, ...],
    respread: bool,
    page: str,
    dpi: float,
    keep: tuple[str, ...],
    show: bool,
    force: bool,
) -> None:
    """Find colourways of DESIGN: the same plan in other inks, yours first, each unlike the others.

    A folder gets a sheet with all of them, and of each a picture, a design file and its plan.
    """
    from mockup.jobs.colourways import Steering, keep_colourways
    from mockup.jobs.offering import Wish
    from mockup.jobs.targets import beside

    target = target or beside(design, "-colourways")
    if keep:
        with progress() as tell:
            paths = keep_colourways(design, keep, target, force=force, tell=tell)
    elif count < 2 and not palettes:
        raise click.UsageError("-n 1 is your own design alone; `mockup preview` draws it")
    else:
        wish, steering = Wish(count, palettes, box, stock), Steering(like, unlike, respread)
        paths = _made(design, target, wish, steering, page, dpi, force)
    written(paths, show)


def _made(
    design: Path, target: Path, wish: "Wish", steering: "Steering", page: str, dpi: float, force: bool
) -> list[Path]:
    """Make them, and tell what each is."""
    from mockup.jobs.colourways import in_lines, make_colourways

    with progress(left=True) as tell:
        ways, paths = make_colourways(
            design, target, wish, steering, page=page, dpi=dpi, force=force, tell=tell
        )
    for line in in_lines(ways):
        click.echo(line, err=True)
    if len(ways) < wish.count:
        click.echo(f"mockup: no more than {len(ways)} lie far enough from each other", err=True)
    return paths
