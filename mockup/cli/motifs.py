"""The commands ``motifs list`` and ``motifs sheet``."""

from pathlib import Path

import click

from mockup.cli.shared import PATH, force_option, open_option, written


@click.group("motifs")
def command() -> None:
    """List the motif library, or print it as a sheet."""


@command.command("list")
def list_motifs() -> None:
    """Name every motif.

    Each with its family, its size class, its size in mm, and the groups that take one ink each.
    """
    from mockup.jobs.motifs import motif_table

    click.echo("\n".join(motif_table()))


@command.command("sheet")
@click.option(
    "-o",
    "--output",
    "target",
    type=PATH,
    default=Path("motifs.png"),
    show_default=True,
    help="PNG, SVG or PDF.",
)
@click.option("--sizes", is_flag=True, help="Show each motif 12, 25 and 60 mm large instead.")
@open_option
@force_option
def sheet(target: Path, sizes: bool, show: bool, force: bool) -> None:
    """Print the library at natural size, by family."""
    from mockup.jobs.motifs import write_motif_sheet

    written([write_motif_sheet(target, sizes=sizes, force=force)], show)
