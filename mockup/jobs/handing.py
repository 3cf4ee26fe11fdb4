"""What a command hands over: a drawn file and a changed design, both written or neither."""

import os
from pathlib import Path
from typing import NamedTuple

from mockup.design.mistakes import read_text
from mockup.errors import FileError
from mockup.sheets.files import check_targets, write_all


class Drawn(NamedTuple):
    """A file to be written: where, what, and the mark of what it was made for."""

    file: Path
    content: bytes
    made_for: str


class Changed(NamedTuple):
    """A design file to be changed: its text as it was read, and as it is to be."""

    file: Path
    before: str
    after: str


def source(path: Path) -> str:
    """Read a design file as it is, with its own line ends; it is told if it cannot be read, or not be written.

    Raises
    ------
    FileError
        Either.
    """
    read_text(path)
    if not os.access(path, os.W_OK):
        raise FileError(
            "cannot be written: permission denied", where=str(path), remedy="allow it to be written"
        )
    return _text(path)


def refuse_changed(path: Path, before: str) -> None:
    """Stop where somebody changed a file since it was read.

    Raises
    ------
    FileError
        Somebody did.
    """
    if _text(path) != before:
        raise FileError("was changed meanwhile", where=str(path), remedy="save it and try again")


def hand_over(drawn: Drawn | None, changed: Changed | None, *, force: bool = False) -> list[Path]:
    """Write what there is, all of it or nothing.

    Raises
    ------
    FileError
        The file is something else's and not to be replaced by ``force``, the design was changed meanwhile, or one of
        them cannot be written.
    """
    contents: dict[Path, bytes] = {}
    if drawn:
        check_targets({drawn.file: drawn.content}, drawn.made_for, force=force)
        contents[drawn.file] = drawn.content
    if changed:
        refuse_changed(changed.file, changed.before)
        contents[changed.file] = changed.after.encode()
    return write_all(contents, "", force=True)


def _text(path: Path) -> str:
    return path.read_bytes().decode("utf-8")
