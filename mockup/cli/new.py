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
@click.option(
    "--motif",
    "motifs",
    multiple=True,
    metavar="NAME",
    help="A motif of the library, or an SVG file; again for more.",
)
@click.option(
    "--cloth/--sheet", default=None, help="Cloth, whose colours repeat; or one sheet inked by hand."
)
@click.option("--paper", metavar="COLOUR", help="Colour of your paper.")
@click.option("--ground", metavar="WORD", help="light, dark, paper, or an ink's name.")
@click.option(
    "--ink",
    "inks",
    multiple=True,
    metavar='"NAME COLOUR"',
    help='An ink, as in "clay #b5532a"; again for more.',
)
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
    from mockup.jobs.answers import Answers, read_ground, read_inks, read_paper, read_size
    from mockup.jobs.new import DEFAULT_INKS, check_target, draw_new, title_of, write_new

    check_target(file, force=force)
    own_inks = read_inks(inks)
    if size is not None:
        read_size(size)
    drawing, motifs = _pattern(drawing, motifs, file.parent)
    cloth = _cloth() if cloth is None else cloth
    paper = _settled(paper, "Colour of your paper", "#fdfcf8", read_paper)
    ground = ground or _settled(None, "The ground (light ink, dark ink or bare paper)", "light", read_ground)
    own_inks = own_inks or _inks() or DEFAULT_INKS
    answers = Answers(
        title=title or title_of(file),
        drawing=drawing,
        motifs=motifs,
        cloth=cloth,
        paper=paper,
        ground=read_ground(ground, [name for name, _ in own_inks]),
        inks=own_inks,
        size=_settled(size, "Size of the sheet (A4, A3, letter, 180x240 in mm, 7x10in)", "A4", read_size),
        day=date.today(),
    )
    written([path := write_new(file, answers, force=force)])
    with progress() as tell:
        picture = draw_new(path, force=force, tell=tell)
    written([picture], show)


def _can_ask() -> bool:
    return sys.stdin.isatty()


def _settled(given: str | None, question: str, usual: str, check: Callable[[str], object]) -> str:
    """Take what an option says; else ask; where nobody can be asked, take the usual."""
    if given is not None:
        check(given)
        return given
    return _ask(question, usual, check) if _can_ask() else usual


def _ask(question: str, default: str | None, check: Callable[[str], object], show: bool = True) -> str:
    """Ask until the answer can be followed."""

    def checked(answer: str) -> str:
        try:
            check(answer)
        except MockupError as error:
            raise click.UsageError(str(error)) from None
        return answer.strip()

    return str(click.prompt(question, default=default, show_default=show, value_proc=checked, err=True))


def _pattern(drawing: str | None, motifs: tuple[str, ...], folder: Path) -> tuple[str, tuple[str, ...]]:
    """Settle her own drawing, or motifs."""
    from mockup.jobs.answers import read_drawing, read_motifs, read_picture
    from mockup.jobs.new import DEFAULT_MOTIFS, known_motifs

    if drawing and motifs:
        raise click.UsageError("give --drawing or --motif, not both", click.get_current_context())
    if drawing:
        return read_drawing(drawing, folder), ()
    if motifs or not _can_ask():
        return "", read_motifs(motifs, folder) or DEFAULT_MOTIFS
    click.echo(f"The library has {', '.join(known_motifs())}.", err=True)
    question = "Your own drawing (an SVG file), or motifs by name"
    usual = " ".join(DEFAULT_MOTIFS)
    return read_picture(_ask(question, usual, lambda text: read_picture(text, folder)), folder)


def _cloth() -> bool:
    """Ask for cloth or sheet; cloth is the usual."""
    if not _can_ask():
        return True
    words = click.Choice(["cloth", "sheet"], case_sensitive=False)
    question = "Cloth, whose colours repeat, or one sheet inked by hand?"
    return str(click.prompt(question, default="cloth", type=words, err=True)).lower() == "cloth"


def _inks() -> tuple[tuple[str, str], ...]:
    """Ask for inks until an empty answer."""
    from mockup.jobs.answers import read_inks

    if not _can_ask():
        return ()
    click.echo(
        'Your inks, one a line, as in "clay #b5532a"; an empty line ends (at once: an example palette).',
        err=True,
    )
    found: list[str] = []
    while text := _ask(
        f"Ink {len(found) + 1}", "", lambda text: read_inks([*found, text] if text.strip() else found), False
    ):
        found.append(text)
    return read_inks(found)
