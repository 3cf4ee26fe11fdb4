"""The command ``new``."""

import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path

import click

from mockup.cli.shared import PATH, force_option, open_option, progress, written
from mockup.errors import MockupError


@click.command("new")
@click.argument("file", type=PATH, default=Path("design.toml"))
@click.option("--drawing", metavar="SVG", help="Your own drawing, instead of motifs.")
@click.option("--motif", "motifs", multiple=True, metavar="NAME", help="A motif of the library, or an SVG file; again for more.")
@click.option("--cloth/--sheet", default=None, help="Cloth, whose colours repeat; or one sheet inked by hand.")
@click.option("--paper", metavar="COLOUR", help="Colour of your paper.")
@click.option("--ground", metavar="WORD", help="light, dark, paper, or an ink's name.")
@click.option("--ink", "inks", multiple=True, metavar='"NAME COLOUR"', help='An ink, as in "clay #b5532a"; again for more.')
@click.option("--size", metavar="SIZE", help="A4, A4 landscape, letter, 180x240 (mm), 7x10in.")
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
    from mockup.jobs.answers import Answers, read_drawing, read_ground, read_inks, read_motifs, read_paper, read_size
    from mockup.jobs.new import DEFAULT_INKS, DEFAULT_MOTIFS, check_target, draw_new, title_of, write_new

    ask = sys.stdin.isatty()
    check_target(file, force=force)
    motifs = read_motifs(motifs, file.parent)
    drawing = read_drawing(drawing, file.parent) if drawing else ""
    own_inks = read_inks(inks)
    for text, read in ((paper, read_paper), (size, read_size)):
        if text is not None:
            read(text)
    if ask and not drawing and not motifs:
        drawing, motifs = _ask_pattern(file.parent)
    if cloth is None:
        cloth = _ask_cloth() if ask else True
    paper = paper or (_ask("Colour of your paper", "#fdfcf8", read_paper) if ask else "#fdfcf8")
    if ask and not ground:
        ground = _ask("The ground: light ink, dark ink or bare paper? (light, dark, paper)", "light", read_ground)
    if ask and not own_inks:
        own_inks = _ask_inks()
    if ask and not size:
        size = _ask("Size of the sheet (A4, A3, letter, 180x240 in mm, 7x10in)", "A4", read_size)
    own_inks = own_inks or DEFAULT_INKS
    answers = Answers(
        title=title or title_of(file),
        drawing=drawing,
        motifs=motifs or DEFAULT_MOTIFS,
        cloth=cloth,
        paper=paper,
        ground=read_ground(ground or "light", [name for name, _ in own_inks]),
        inks=own_inks,
        size=size or "A4",
        day=date.today(),
    )
    path = write_new(file, answers, force=force)
    written([path])
    with progress() as tell:
        picture = draw_new(path, force=force, tell=tell)
    written([picture], show)


def _ask(question: str, default: str | None, check: Callable[[str], object], show: bool = True) -> str:
    """Ask until the answer can be followed."""

    def checked(answer: str) -> str:
        try:
            check(answer)
        except MockupError as error:
            raise click.UsageError(str(error)) from None
        return answer.strip()

    return str(click.prompt(question, default=default, show_default=show, value_proc=checked, err=True))


def _ask_pattern(folder: Path) -> tuple[str, tuple[str, ...]]:
    """Ask for her own drawing or for motifs."""
    from mockup.jobs.answers import read_picture
    from mockup.jobs.new import DEFAULT_MOTIFS, known_motifs

    click.echo(f"The library has {', '.join(known_motifs())}.", err=True)
    question = "Your own drawing (an SVG file), or motifs by name"
    return read_picture(_ask(question, " ".join(DEFAULT_MOTIFS), lambda text: read_picture(text, folder)), folder)


def _ask_cloth() -> bool:
    words = click.Choice(["cloth", "sheet"], case_sensitive=False)
    question = "Cloth, whose colours repeat, or one sheet inked by hand?"
    return str(click.prompt(question, default="cloth", type=words, err=True)).lower() == "cloth"


def _ask_inks() -> tuple[tuple[str, str], ...]:
    """Ask for inks until an empty answer."""
    from mockup.jobs.answers import read_inks

    click.echo('Your inks, one a line, as in "clay #b5532a"; an empty line ends (at once: an example palette).', err=True)
    found: list[str] = []
    while text := _ask(f"Ink {len(found) + 1}", "", lambda text: read_inks([*found, text] if text.strip() else found), False):
        found.append(text)
    return read_inks(found)
