"""The command ``scan``."""

from pathlib import Path

import click

from mockup.cli.shared import PATH, Number, force_option, open_option, progress, written


@click.command("scan")
@click.argument("file", metavar="FILE", type=PATH)
@click.option(
    "-o",
    "--output",
    "target",
    metavar="F.svg",
    type=PATH,
    default=None,
    help="Drawing to write (default: NAME.svg beside FILE).",
)
@click.option(
    "--picture",
    metavar="F.png",
    type=PATH,
    default=None,
    help="Picture of what was found (default: NAME-found.png).",
)
@click.option(
    "--width",
    metavar="MM",
    type=Number(5, 1500),
    default=None,
    help="True width of what the whole picture shows.",
)
@click.option(
    "--dpi",
    metavar="N",
    type=Number(50, 2400),
    default=None,
    help="Pixels an inch (default: as a scanner wrote into the file).",
)
@click.option(
    "--gap",
    metavar="MM",
    type=Number(0, 5),
    default=0.6,
    show_default=True,
    help="Close gaps in lines up to this.",
)
@click.option(
    "--unit", is_flag=True, help="The picture is a repeat unit: what its edge cuts goes on at the other side."
)
@click.option(
    "--frame",
    is_flag=True,
    help="Cut the picture to the frame drawn in it, straightened; --width is then the frame's.",
)
@click.option(
    "--large", is_flag=True, help="Let very large areas take ink, too; else they are left for the ground."
)
@open_option
@force_option
def command(
    file: Path,
    target: Path | None,
    picture: Path | None,
    width: float | None,
    dpi: float | None,
    gap: float,
    unit: bool,
    large: bool,
    frame: bool,
    show: bool,
    force: bool,
) -> None:
    """Turn FILE, a scanned or photographed line drawing (PNG or JPEG), into a drawing of regions and lines.

    Gaps in the lines are closed up to a width, and shown. The drawing is plain SVG: put it right in any vector editor,
    give two regions one fill to let them go together, a ground area a fill to make it a region.
    """
    from mockup.jobs.scan import scan_drawing

    if width and dpi:
        raise click.UsageError("give --width or --dpi, not both")
    with progress() as tell:
        lines, paths = scan_drawing(
            file,
            target,
            picture=picture,
            width=width,
            dpi=dpi,
            gap=gap,
            unit=unit,
            large=large,
            frame=frame,
            force=force,
            tell=tell,
        )
    for line in lines:
        click.echo(line, err=True)
    written(paths, show)
