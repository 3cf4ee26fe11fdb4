"""The commands ``motifs list``, ``motifs sheet``, ``motifs check`` and ``motifs grow``."""

from pathlib import Path

import click

from mockup.cli.shared import PATH, Number, force_option, open_option, written


@click.group("motifs")
def command() -> None:
    """List the motif library, print it, check a drawing of your own, or grow a motif."""


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


@command.command("check")
@click.argument("drawing", metavar="FILE.svg", type=PATH)
@click.option(
    "-o",
    "--output",
    "target",
    type=PATH,
    default=None,
    help="PNG, SVG or PDF (default: NAME-check.png beside the drawing).",
)
@click.option("--pen", type=Number(0.2, 20), default=1.5, show_default=True, help="Width of the pen, mm.")
@click.option(
    "--strokes",
    type=click.Choice(["lines", "parts"]),
    default="lines",
    show_default=True,
    help="What strokes without fill are: line work, or parts that take ink.",
)
@open_option
@force_option
def check(drawing: Path, target: Path | None, pen: float, strokes: str, show: bool, force: bool) -> None:
    """Say how a drawing is read as a motif, and what of it cannot be inked well.

    Tells its size, its parts and groups, what was left out and why, and places too narrow for the pen; draws all that
    as a sheet.
    """
    from mockup.jobs.motifcheck import check_motif

    lines, path = check_motif(drawing, target, pen=pen, stroke_parts=strokes == "parts", force=force)
    click.echo("\n".join(lines))
    written([path], show)


@command.command("grow")
@click.argument("kind", type=click.Choice(["rosette", "leaf", "spray", "medallion"]))
@click.option("-o", "--output", "target", type=PATH, required=True, help="SVG file to write.")
@click.option(
    "--petals",
    type=click.IntRange(3, 24),
    default=8,
    show_default=True,
    help="Petals, sectors, lobes of a leaf, or leaves of a spray.",
)
@click.option(
    "--layers",
    type=click.IntRange(1, 4),
    default=2,
    show_default=True,
    help="Rings of petals; halves, inner blade and seeds; berries and flower.",
)
@click.option(
    "--depth", type=Number(0, 1), default=0.4, show_default=True, help="How deeply petals or lobes are cut."
)
@click.option("--size", type=Number(6, 80), default=32, show_default=True, help="Longer side, mm.")
@click.option(
    "--seed",
    type=click.IntRange(0, 1_000_000_000),
    default=1,
    show_default=True,
    help="Another whole number: another relative.",
)
@open_option
@force_option
def grow(
    kind: str,
    target: Path,
    petals: int,
    layers: int,
    depth: float,
    size: float,
    seed: int,
    show: bool,
    force: bool,
) -> None:
    """Grow a motif from a few numbers, as an SVG file in the form of the library's.

    In a design file the same is written as { grow = "rosette", petals = 8, seed = 3 }.
    """
    from mockup.jobs.motifgrow import grow_motif
    from mockup.pattern.grown import Growth

    growth = Growth(kind, petals=petals, layers=layers, depth=depth, size=size, seed=seed)
    written([grow_motif(growth, target, force=force)], show)
