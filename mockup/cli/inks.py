"""The command ``inks list``."""

from pathlib import Path

import click

from mockup.cli.shared import PATH, shown


@click.group("inks")
def command() -> None:
    """Look into your ink box: the file of all inks you own, as they came out on your paper."""


@command.command("list", short_help="What is in the box, twins and gaps.")
@click.argument("box", type=PATH)
def list_inks(box: Path) -> None:
    """List the inks of BOX by colour, with near twins, gaps, and inks that no screen shows.

    BOX is CSV (name, colour; or L, a, b as measured; paper, date, nib, bleed, coat 2, coat 3), TOML, or CGATS.17 text.
    """
    from mockup.jobs.inklist import list_inks as listed

    shown(listed(box))
