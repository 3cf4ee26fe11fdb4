"""The command ``new``."""

import sys
from datetime import date
from pathlib import Path

import click

from mockup.cli.shared import PATH, force_option, open_option, progress, written


@click.command("new")
@click.argument("file", type=PATH, default=Path("design.toml"))
@click.option("--drawing", metavar="SVG", help="Your own drawing, instead of motifs.")
@click.option("--motif", "motifs", multiple=True, metavar="NAME", help="A motif of the library, or an SVG file; again for more.")
@click.option("--cloth/--sheet", default=None, help="Cloth, whose colours repeat; or one sheet inked by hand.")
@click.option("--paper", metavar="COLOUR", help="Colour of your paper.")
@click.option("--ground", metavar="WORD", help="light, dark, paper, or an ink's name.")
@click.option("--ink", "inks", multiple=True, metavar='"NAME COLOUR"', help='An ink, as in "clay #b5532a"; again for more.')
@click.option("--size", metavar="SIZE", help="A4, A3, letter ... or 180x240.")
@click.option("--title", metavar="TEXT", help="Title of the piece.")
@open_option
@force_option
def command(
    file: Path,
    drawing: str | None,
    motifs: tuple[str, ...],
    cloth: bool | None,
    paper: str | None,
    ground: str | None,
    inks: tuple[str, ...],
    size: str | None,
    title: str | None,
    show: bool,
    force: bool,
) -> None:
    """Begin a design FILE (default: design.toml) and draw it at once.

    Asks for what no option says, in the order in which a piece is begun: pattern, sheet or cloth, paper and ground,
    inks, size. Where nobody can be asked, the usual is taken.
    """
    from mockup.jobs.new import DEFAULT_INKS, DEFAULT_MOTIFS, Answers, known_motifs, read_inks, title_of, write_new
    from mockup.jobs.preview import preview_design

    ask = sys.stdin.isatty()
    if ask and drawing is None and not motifs:
        drawing, motifs = _ask_pattern(known_motifs(), DEFAULT_MOTIFS)
    if cloth is None:
        cloth = _ask("Cloth, whose colours repeat, or one sheet inked by hand? (cloth, sheet)", "cloth", ask) == "cloth"
    paper = paper or _ask("Colour of your paper", "#fdfcf8", ask)
    ground = ground or _ask("The ground: light ink, dark ink or bare paper? (light, dark, paper)", "light", ask)
    if ask and not inks:
        inks = _ask_inks()
    answers = Answers(
        title=title or title_of(file),
        drawing=drawing or "",
        motifs=motifs or DEFAULT_MOTIFS,
        cloth=cloth,
        paper=paper,
        ground=ground,
        inks=read_inks(inks) or DEFAULT_INKS,
        size=size or _ask("Size of the sheet (A4, A3, letter, or 180x240 in mm)", "A4", ask),
        day=date.today(),
    )
    path = write_new(file, answers, force=force)
    with progress() as tell:
        picture = preview_design(path, force=force, tell=tell)
    written([picture, path], show)


def _ask(question: str, default: str, ask: bool) -> str:
    return str(click.prompt(question, default=default, err=True)).strip() if ask else default


def _ask_pattern(known: list[str], usual: tuple[str, ...]) -> tuple[str, tuple[str, ...]]:
    """Ask for her own drawing or for motifs."""
    click.echo(f"The library has {', '.join(known)}.", err=True)
    answer = _ask("Your own drawing (an SVG file), or motifs by name", " ".join(usual), True)
    names = answer.replace(",", " ").split()
    if len(names) == 1 and names[0].lower().endswith(".svg"):
        return names[0], ()
    return "", tuple(names)


def _ask_inks() -> tuple[str, ...]:
    """Ask for inks until an empty answer."""
    click.echo('Your inks, one a line, as in "clay #b5532a"; an empty line ends (at once: an example palette).', err=True)
    found: list[str] = []
    while text := str(click.prompt(f"Ink {len(found) + 1}", default="", show_default=False, err=True)).strip():
        found.append(text)
    return tuple(found)
