"""What goes wrong with words and files: misspellings, American spellings, other kinds of file.

Slips of TOML's own grammar are in ``syntax``.
"""

import codecs
import difflib
import re
from collections.abc import Sequence
from pathlib import Path
from typing import Final, NamedTuple

from mockup.errors import FileError

LARGEST: Final = 1 << 20
"""Largest text file, bytes."""


class Kind(NamedTuple):
    """What a text file should be: how messages call it, its endings, what to do where it is missing or other."""

    name: str
    endings: tuple[str, ...]
    missing: str
    other: str


DESIGN: Final = Kind("design file", (".toml",), "`mockup new` writes one", "save it as plain text")
INKS: Final = Kind(
    "file of inks",
    (".csv", ".tsv", ".txt", ".toml"),
    "write one that begins with name,colour",
    "save it as CSV in UTF-8",
)

_AMERICAN: Final = (("color", "colour"), ("center", "centre"), ("gray", "grey"))
_SYMBOLS: Final = {
    "pmm": "p2mm",
    "pmg": "p2mg",
    "pgg": "p2gg",
    "cmm": "c2mm",
    "p4m": "p4mm",
    "p4g": "p4gm",
    "p6m": "p6mm",
    "p111": "p1",
    "p211": "p2",
}
_KINDS: Final = (
    (b"{\\rtf", "a rich-text file", ""),
    (b"PK\x03\x04", "an office program's file or a zip", ""),
    (b"\xd0\xcf\x11\xe0", "an office program's file", ""),
    (b"%PDF", "a PDF", ""),
    (b"\x89PNG", "a picture", "a picture can be scanned with `mockup scan`"),
    (b"\xff\xd8\xff", "a picture", "a picture can be scanned with `mockup scan`"),
    (b"<!doctype html", "a web page", ""),
    (b"<html", "a web page", ""),
    (b"<svg", "a drawing", "name it as file in [drawing]"),
    (b"<?xml", "a drawing or other XML", "name a drawing as file in [drawing]"),
    (b"{", "JSON, perhaps a plan", "name a plan as plan in [colouring]"),
)


def british(word: str) -> str:
    """Give an American spelling in British; any other word as it is, in small letters."""
    word = word.lower()
    for american, ours in _AMERICAN:
        word = re.sub(american, ours, word)
    return word


def nearest(word: str, known: Sequence[str]) -> str | None:
    """Find the known word that she most likely meant; None when none is near."""
    tidy = re.sub(r"[\s_-]+", " ", british(word)).strip()
    shapes = {re.sub(r"[\s_-]+", " ", name.lower()): name for name in known}
    if tidy in _SYMBOLS and _SYMBOLS[tidy] in known:
        return _SYMBOLS[tidy]
    near = difflib.get_close_matches(tidy[:60], shapes, n=1, cutoff=0.6)
    return shapes[near[0]] if near else None


def is_american(word: str, known: Sequence[str]) -> bool:
    """Tell whether a word is an American spelling of a known one."""
    return british(word) != word.lower() and british(word) in known


def read_text(path: Path, kind: Kind = DESIGN) -> str:
    """Read a text file.

    Parameters
    ----------
    path : Path
        The file.
    kind : Kind
        What it is expected to be.

    Returns
    -------
    str
        Its text, with a byte order mark and foreign line ends tidied away.

    Raises
    ------
    FileError
        Missing, a folder, too large, not to be read, of another kind, or not UTF-8.
    """
    data = _read_bytes(path, kind)
    name = path.name
    _refuse_other_kinds(data, name, kind)
    try:
        text = data.removeprefix(codecs.BOM_UTF8).decode()
    except UnicodeDecodeError as fault:
        line = data.count(b"\n", 0, fault.start) + 1
        raise FileError(
            "is not UTF-8 text", where=f"{name}, line {line}", remedy="save it as UTF-8"
        ) from None
    return text.replace("\r\n", "\n").replace("\r", "\n")


def _read_bytes(path: Path, kind: Kind) -> bytes:
    name = path.name or str(path)
    try:
        if path.is_dir():
            raise FileError("is a folder", where=name, remedy=f"name the {kind.name} in it")
        if not path.exists():
            raise FileError("there is no such file", where=name, remedy=_missing(path, kind))
        if not path.is_file():
            raise FileError("is not an ordinary file", where=name, remedy=f"give a {kind.name}")
        with path.open("rb") as file:
            data = file.read(LARGEST + 1)
    except (OSError, ValueError) as fault:
        reason = getattr(fault, "strerror", None) or "no possible file name"
        raise FileError(
            f"cannot be read ({reason.lower()})", where=name, remedy="look at its rights and name"
        ) from None
    if len(data) > LARGEST:
        raise FileError(
            "is larger than 1 MiB", where=name, remedy=f"give a {kind.name}; they are a page or two"
        )
    return data


def _missing(path: Path, kind: Kind) -> str:
    """Say what to do about a missing file: the nearest name in its folder."""
    folder = path.parent
    if not folder.is_dir():
        return f"nor is there a folder {str(folder)!r}"
    names = sorted(file.name for file in folder.iterdir() if file.is_file())
    likely = [name for name in names if name.endswith(kind.endings)]
    for known in (likely, names):
        near = difflib.get_close_matches(path.name, known, n=1, cutoff=0.6)
        if near:
            return f"did you mean {near[0]!r}?"
    return kind.missing


def _refuse_other_kinds(data: bytes, name: str, expected: Kind) -> None:
    """Refuse what is clearly no text of ours."""
    start = data.removeprefix(codecs.BOM_UTF8).lstrip()[:20].lower()
    for sign, kind, remedy in _KINDS:
        if start.startswith(sign.lower()):
            raise FileError(f"is {kind}, not a {expected.name}", where=name, remedy=remedy or expected.other)
    wide = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE, codecs.BOM_UTF32_BE)
    if data.startswith(wide) or data[:200].count(0) > len(data[:200]) // 5:
        raise FileError("is UTF-16 text, or no text", where=name, remedy="save it as UTF-8")
