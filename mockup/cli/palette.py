"""The commands ``palette check``, ``build``, ``from-photo``, ``match`` and ``skin``."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import click

from mockup.cli.shared import PATH, force_option, open_option, progress, shown, written

_Command = TypeVar("_Command", bound=Callable[..., Any])

inks_option = click.option(
    "--inks", "count", type=click.IntRange(3, 12), default=5, show_default=True, help="How many inks."
)


def taking_inks(command: _Command) -> _Command:
    """Add the options of every command that finds inks: where they come from, and where they go."""
    options = (
        click.option("--box", type=PATH, metavar="FILE", help="Your ink box: only inks in it are taken."),
        click.option("--paper", "stock", metavar="NAME", help="The paper, by its name in the box."),
        click.option(
            "--into", type=PATH, metavar="DESIGN", help="Write it into this design, your remarks kept."
        ),
        click.option(
            "-o",
            "--output",
            "target",
            type=PATH,
            default=None,
            help="Draw it too (PNG, SVG or PDF), or write it by itself (TOML or CSV).",
        ),
        open_option,
        force_option,
    )
    for option in reversed(options):
        command = option(command)
    return command


@click.group("palette")
def command() -> None:
    """Check a palette, build one from an ink or a photograph, or match it to the inks you own."""


@command.command("check", short_help="Roles, and what to look at before you ink.")
@click.argument("design", type=PATH)
@click.option("-o", "--output", "target", type=PATH, default=None, help="Draw it too: PNG, SVG or PDF.")
@click.option("--json", "as_json", is_flag=True, help="Print what is found as data.")
@open_option
@force_option
def check(design: Path, target: Path | None, as_json: bool, show: bool, force: bool) -> None:
    """Tell what each ink of DESIGN is for, and what to look at before you use them.

    DESIGN is a design file, or TOML or CSV with a palette alone. Told are the number of inks for the drawing, dark,
    light and ground, inks too alike to face each other, the grey view, and how dichromats see them. What is found is
    advice: the exit code is 0 all the same.
    """
    from mockup.jobs.handing import hand_over
    from mockup.jobs.palettecheck import as_data, check_palette, in_lines
    from mockup.jobs.palettepicture import report_picture

    with progress() as tell:
        report = check_palette(design, tell)
        paths = hand_over(report_picture(report, target) if target else None, None, force=force)
    if as_json:
        more = {"picture": str(target)} if target else {}
        click.echo(json.dumps({**as_data(report), **more}, indent=1, ensure_ascii=False))
        return
    shown(in_lines(report))
    written(paths, show)


@command.command("build", short_help="Whole palettes round one ink.")
@click.argument("lead", metavar="INK")
@inks_option
@click.option("--name", metavar="TEXT", help="What the leading ink is called.")
@click.option("--bare", is_flag=True, help="Let bare paper be the light.")
@click.option("--take", metavar="LETTER", help="The palette to write with --into (default: A).")
@taking_inks
def build(
    lead: str,
    count: int,
    box: Path | None,
    stock: str | None,
    name: str | None,
    bare: bool,
    take: str | None,
    into: Path | None,
    target: Path | None,
    show: bool,
    force: bool,
) -> None:
    """Build several whole palettes round one leading ink, each with its reasons.

    INK is a colour, or with --box the name of an ink. Each palette has a dark, a light and accents.
    """
    from mockup.jobs.handing import hand_over
    from mockup.jobs.offers import changed_design
    from mockup.jobs.palettebuild import build_palettes, chosen, in_lines, picture

    built = build_palettes(lead, count, box=box, stock=stock, name=name, bare=bare)
    offer = chosen(built, take)
    drawn = picture(built, target, offer) if target else None
    paths = hand_over(drawn, changed_design(into, offer) if into else None, force=force)
    shown(in_lines(built))
    written(paths, show)


@command.command("from-photo", short_help="A palette out of a photograph.")
@click.argument("photo", metavar="FILE", type=PATH)
@inks_option
@taking_inks
def from_photo(
    photo: Path,
    count: int,
    box: Path | None,
    stock: str | None,
    into: Path | None,
    target: Path | None,
    show: bool,
    force: bool,
) -> None:
    """Find a palette in a photograph, small vivid accents too.

    FILE is JPEG or PNG. One ink is printed a line, with its colour as #rrggbb; with --box the nearest inks you own.
    """
    from mockup.jobs.handing import hand_over
    from mockup.jobs.offers import changed_design
    from mockup.jobs.palettephoto import in_lines, palette_of_photo, picture, remarks

    with progress() as tell:
        found = palette_of_photo(photo, count, box=box, stock=stock, tell=tell)
        drawn = picture(found, target) if target else None
        paths = hand_over(drawn, changed_design(into, found.offer) if into else None, force=force)
    for remark in remarks(found):
        click.echo(remark, err=True)
    shown(in_lines(found))
    written(paths, show)


@command.command("skin", short_help="Skin tones with their shading, kept apart.")
@click.argument("bands", metavar="[BAND...]", nargs=-1)
@click.option(
    "--undertone", type=click.Choice(["cool", "neutral", "warm"]), default="neutral", show_default=True
)
@click.option(
    "--per",
    type=click.Choice(["figure", "piece"]),
    default="figure",
    show_default=True,
    help="With --into: each figure one of the skins, or all the first.",
)
@taking_inks
def skin(
    bands: tuple[str, ...],
    undertone: str,
    per: str,
    box: Path | None,
    stock: str | None,
    into: Path | None,
    target: Path | None,
    show: bool,
    force: bool,
) -> None:
    """Find skins from very light to very dark, each a base with two deeper inks that shade it.

    BANDS are "very light", light, intermediate, tan, brown and dark, by the individual typology angle; all without
    any. A skin is a side palette: it counts for no share of the pattern.
    """
    from mockup.jobs.handing import hand_over
    from mockup.jobs.paletteskin import changed_design, find_skins, in_lines, picture

    found = find_skins(bands, undertone=undertone, box=box, stock=stock)
    drawn = picture(found, target) if target else None
    paths = hand_over(drawn, changed_design(into, found, per) if into else None, force=force)
    shown(in_lines(found))
    written(paths, show)


@command.command("match", short_help="The inks you own that come nearest.")
@click.argument("wanted", metavar="DESIGN|COLOUR...", nargs=-1, required=True)
@taking_inks
def match(
    wanted: tuple[str, ...],
    box: Path | None,
    stock: str | None,
    into: Path | None,
    target: Path | None,
    show: bool,
    force: bool,
) -> None:
    """Find the inks you own that come nearest to a whole palette, no ink twice.

    Give a design, a palette file, or colours. The miss of each is told as CIEDE2000: 1 is just seen, 5 is another
    colour. The box is the design's own, or --box.
    """
    from mockup.jobs.handing import hand_over
    from mockup.jobs.offers import changed_design
    from mockup.jobs.palettematch import in_lines, match_palette, picture

    found = match_palette(wanted, box, stock)
    drawn = picture(found, target) if target else None
    paths = hand_over(drawn, changed_design(into, found.offer) if into else None, force=force)
    shown(in_lines(found))
    written(paths, show)
