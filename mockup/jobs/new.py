"""The guts of ``new``: a commented design file from a few answers."""

import json
import os
import re
import shlex
from collections.abc import Sequence
from pathlib import Path

from mockup.design import keys
from mockup.design.reading import parse_design
from mockup.errors import FileError, MockupError
from mockup.jobs.answers import Answers, read_size
from mockup.jobs.piece import read_piece
from mockup.jobs.preview import preview_design
from mockup.jobs.progress import Tell, quiet
from mockup.jobs.targets import beside
from mockup.pattern.arranging import REPEATS
from mockup.pattern.motif_library import entries
from mockup.sheets.files import check_targets, mark, write

DEFAULT_MOTIFS = ("pear", "mushroom", "jug", "lemon", "fig", "snail")
DEFAULT_INKS = (
    ("oat", "#f1e4c8"),
    ("clay", "#b9522b"),
    ("ochre", "#dca63f"),
    ("moss", "#73834f"),
    ("night", "#25313f"),
)
_NOT_TOLD = frozenset(
    {
        "pattern.variant",
        "reach",
        "count",
        "directions",
        "coverage",
        "groups",
        "copies",
        "symmetry",
        "plan",
        "start",
        "when",
    }
)
"""Keys of which a new file does not speak: seldom wanted, or not there yet."""

_WORDS = {
    "pattern.repeat": REPEATS,
}
"""The words that can be followed, where the form knows more."""


def check_target(target: Path, *, force: bool = False) -> None:
    """Find out whether a design may be begun in a file, before anything is asked.

    Raises
    ------
    FileError
        The name has another ending, there is a file of that name, or its picture would lie over one that is not ours.
    """
    if target.suffix.lower() != ".toml":
        stem = target.stem or "design"
        raise FileError("a design file ends in .toml", where=str(target), remedy=f"name it {stem}.toml")
    check_targets({target: None, beside(target, ".png"): None}, mark(target.stem), force=True)
    if not force and os.path.lexists(target):
        raise FileError(
            "exists already", where=str(target), remedy="name another file, or use --force to replace it"
        )
    check_targets({beside(target, ".png"): None}, mark(target.stem), force=force)


def write_new(target: Path, answers: Answers, *, force: bool = False) -> Path:
    """Write a new design file, once it is known to be sound.

    Raises
    ------
    FileError
        As for ``check_target``.
    MockupError
        An answer that cannot be followed: nothing is written.
    """
    check_target(target, force=force)
    text = new_design(answers, target.name)
    try:
        read_piece(parse_design(text, where=target.name, file=target))
    except MockupError as error:
        # the file is not there: its lines say nothing to her
        where = re.sub(rf"^{re.escape(target.name)}, (line \d+, )?", "", error.where)
        raise type(error)(error.what, where=where, remedy=error.remedy) from None
    return write(target, text.encode(), mark(target.stem), force=force)


def draw_new(path: Path, *, force: bool = False, tell: Tell = quiet) -> Path:
    """Draw a design that has just been written.

    Raises
    ------
    MockupError
        It cannot be drawn; the design file stays, and the message says so.
    """
    try:
        return preview_design(path, force=force, tell=tell)
    except MockupError as error:
        what = f"is written, but cannot be drawn yet ({error})"
        raise type(error)(
            what, where=str(path), remedy="change it there and draw it with `mockup preview`"
        ) from None


def new_design(answers: Answers, name: str) -> str:
    """Write a commented design file: her answers, and every other key with its default behind a #."""
    called = shlex.quote(_shown(name))
    lines = [
        f"# Draw this design:  mockup preview {called}      How even is it:  mockup check {called}",
        '# Lengths are mm, or text with a unit ("6cm", "2.5in"). A line behind # shows the default, or an example.',
        "",
        f"title = {_quoted(answers.title)}",
        '# designer = ""',
        '# client = ""',
        f"date = {answers.day.isoformat()}",
        *_table(keys.SHEET, {"size": _size(answers.size), "paper": _quoted(answers.paper)}),
        *_palette(answers.inks),
        *_picture(answers),
        *_table(keys.COLOURING, {"ground": _quoted(answers.ground), **_repeat(answers)}),
        *_table(keys.LINE, {}),
        *_table(keys.SHADING, {"style": '"rim"'}),
        *_table(keys.BORDER, {}),
    ]
    return "\n".join(lines) + "\n"


def title_of(target: Path) -> str:
    """Make a title of a file's name."""
    return target.stem.replace("-", " ").replace("_", " ").strip().capitalize() or "Untitled"


def known_motifs() -> list[str]:
    """Names of the library's motifs."""
    return [entry.name for entry in entries()]


def _shown(text: str) -> str:
    return "".join(sign if sign.isprintable() else " " for sign in text)


def _quoted(text: str) -> str:
    return json.dumps(_shown(text), ensure_ascii=False)


def _size(text: str) -> str:
    name, sides = read_size(text)
    return _quoted(name) if name else f"[{', '.join(f'{side:g}' for side in sides or ())}]"


def _repeat(answers: Answers) -> dict[str, str]:
    return {} if answers.cloth or answers.drawing else {"colour_repeat": '"none"'}


def _palette(inks: Sequence[tuple[str, str]]) -> list[str]:
    lines = [
        "",
        "# The inks: four to seven as a rule. Roles (dominant, dark, light, accent) are worked out from the",
    ]
    lines.append(
        '# colours; give one with role = "dominant". A colour is CSS, lab(...) as measured, or "paper".'
    )
    for name, colour in inks:
        lines += ["[[palette.ink]]", f"name = {_quoted(name)}", f"colour = {_quoted(colour)}", ""]
    return lines[:-1]


def _picture(answers: Answers) -> list[str]:
    if answers.drawing:
        repeat = '"straight"' if answers.cloth else '"none"'
        return _table(keys.DRAWING, {"file": _quoted(answers.drawing), "repeat": repeat})
    motifs = f"[{', '.join(_quoted(name) for name in answers.motifs)}]"
    return _table(keys.PATTERN, {"repeat": '"half-drop"', "motifs": motifs})


def _table(table: keys.Table, given: dict[str, str]) -> list[str]:
    """Write a table: what is given first as it stands in the table, the rest behind a #."""
    lines = ["", f"[{table.path}]{' ' * max(1, 26 - len(table.path) - 2)}# {table.meaning}"]
    for key in table.keys:
        path = f"{table.path}.{key.name}"
        if key.name in _NOT_TOLD or path in _NOT_TOLD:
            continue
        known = _WORDS.get(path, key.words)
        words = f" ({', '.join(known)})" if known else ""
        value = given.get(key.name)
        text = f"{key.name} = {value}" if value is not None else f"# {key.name} = {key.example}"
        lines.append(f"{text:<25} # {key.meaning}{words}")
    return lines
