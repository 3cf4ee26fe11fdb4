"""The guts of ``new``: a commented design file from a few answers."""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from mockup.design import keys
from mockup.design.reading import parse_design
from mockup.errors import DesignError, FileError
from mockup.jobs.piece import read_piece
from mockup.pattern.library import entries
from mockup.pattern.repeat import REPEATS
from mockup.sheets.files import mark, write

DEFAULT_MOTIFS = ("pear", "mushroom", "jug", "lemon", "fig", "snail")
DEFAULT_INKS = (
    ("oat", "#f1e4c8"),
    ("clay", "#b9522b"),
    ("ochre", "#dca63f"),
    ("moss", "#73834f"),
    ("night", "#25313f"),
)
_NOT_TOLD = frozenset(
    {"reach", "grain", "count", "directions", "coverage", "groups", "copies", "symmetry", "plan", "start", "light", "when"}
    | {"border.motifs"}
)
"""Keys of which a new file does not speak: seldom wanted, or not there yet."""

_WORDS = {"pattern.repeat": REPEATS, "shading.style": ("none", "rim"), "border.style": ("none", "plain", "double")}
"""The words that can be followed, where the form knows more."""


@dataclass(frozen=True, slots=True)
class Answers:
    """What she said.

    Attributes
    ----------
    title : str
        Title of the piece.
    drawing : str
        SVG file of her own drawing; empty for motifs.
    motifs : tuple of str
        Names of the library's motifs, or SVG files.
    cloth : bool
        Cloth, whose colours repeat; else one sheet inked by hand.
    paper : str
        Colour of the paper.
    ground : str
        light, dark, paper or an ink's name.
    inks : tuple of (str, str)
        Name and colour of each ink.
    size : str
        Paper by name, or "WIDTHxHEIGHT" with units or mm.
    day : date
        Printed on sheets.
    """

    title: str
    drawing: str
    motifs: tuple[str, ...]
    cloth: bool
    paper: str
    ground: str
    inks: tuple[tuple[str, str], ...]
    size: str
    day: date


def read_inks(texts: Sequence[str]) -> tuple[tuple[str, str], ...]:
    """Read inks written as "clay #b5532a" or "clay=#b5532a"; bare colours are named ink-1, ink-2 and so on.

    Raises
    ------
    DesignError
        A text without a colour.
    """
    found = []
    for number, text in enumerate(texts, 1):
        name, mark, colour = text.strip().partition("=")
        if not mark:
            name, _, colour = text.strip().partition(" ")
        if not colour.strip():
            name, colour = f"ink-{number}", name
        if not colour.strip():
            raise DesignError(f"ink {number} has no colour", remedy="write it as: clay #b5532a")
        found.append((name.strip(), colour.strip()))
    return tuple(found)


def write_new(target: Path, answers: Answers, *, force: bool = False) -> Path:
    """Write a new design file, once it is known to be sound.

    Raises
    ------
    FileError
        There is a file of that name already.
    MockupError
        An answer that cannot be followed: nothing is written.
    """
    if target.suffix.lower() != ".toml":
        raise FileError("a design file ends in .toml", where=str(target), remedy=f"name it {target.stem}.toml")
    if target.exists() and not force:
        raise FileError("exists already", where=str(target), remedy="name another file, or use --force to replace it")
    text = new_design(answers, target.name)
    read_piece(parse_design(text, where=target.name, file=target))
    return write(target, text.encode(), mark(target.stem), force=force)


def new_design(answers: Answers, name: str) -> str:
    """Write a commented design file: her answers, and every other key with its default behind a #."""
    lines = [
        f"# Draw this design:  mockup preview {name}      How even is it:  mockup check {name}",
        "# Lengths are mm, or text with a unit (\"6cm\", \"2.5in\"). A line behind # shows the default, or an example.",
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


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


def _size(size: str) -> str:
    sides = size.lower().replace("×", "x").split("x")
    if len(sides) == 2 and all(side.strip()[:1].isdigit() for side in sides):
        return f"[{', '.join(_length(side.strip()) for side in sides)}]"
    return _quoted(size.strip())


def _length(side: str) -> str:
    return side if side.replace(".", "", 1).isdigit() else _quoted(side)


def _repeat(answers: Answers) -> dict[str, str]:
    return {} if answers.cloth or answers.drawing else {"colour_repeat": '"none"'}


def _palette(inks: Sequence[tuple[str, str]]) -> list[str]:
    lines = ["", "# The inks: four to seven as a rule. Roles (dominant, dark, light, accent) are worked out from the"]
    lines.append('# colours; give one with role = "dominant". A colour is CSS, lab(...) as measured, or "paper".')
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
