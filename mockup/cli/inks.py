"""The command ``inks list``."""

from pathlib import Path

import click

from mockup.cli.shared import PATH, force_option, shown, written


@click.group("inks")
def command() -> None:
    """Look into your ink box: the file of all inks you own, as they came out on your paper."""


@command.command("list", short_help="What is in the box, twins and gaps.")
@click.argument("box", type=PATH)
@click.option(
    "-o",
    "--output",
    "target",
    type=PATH,
    default=None,
    help="Write it anew: .csv, .toml, or .txt (CGATS.17).",
)
@force_option
def list_inks(box: Path, target: Path | None, force: bool) -> None:
    """List the inks of BOX by colour, with near twins, gaps, and inks that no screen shows.

    BOX is CSV (name, colour; or L, a, b as measured; paper, date, nib, bleed, coat 2, coat 3), TOML, or CGATS.17 text.
    """
    from mockup.jobs.inklist import list_inks as listed
    from mockup.jobs.inklist import write_box

    paths = [write_box(box, target, force=force)] if target else []
    shown(listed(box))
    written(paths)
