"""The guts of ``motifs grow``: a motif that grows from a few numbers, as an SVG file of her own."""

import hashlib
from pathlib import Path

from mockup.errors import FileError
from mockup.pattern.grown import Growth, grown_svg
from mockup.sheets.files import mark, write


def grow_motif(growth: Growth, target: Path, *, force: bool = False) -> Path:
    """Write a grown motif as a plain SVG file.

    A file that was written so is replaced, unless somebody has changed it since.

    Raises
    ------
    FileError
        The target does not end in .svg, holds anything else, or cannot be written.
    """
    if target.suffix.lower() != ".svg":
        stem = target.stem or growth.name
        raise FileError("a motif is written as SVG", where=str(target), remedy=f"name it {stem}.svg")
    content = _marked(grown_svg(growth))
    return write(target, content, content.decode(), force=force or _untouched(target))


def _marked(text: str) -> bytes:
    """Give the file: the drawing, and a mark that tells by some digits whether it is still as it was written."""
    digits = hashlib.sha256(text.encode()).hexdigest()[:16]
    return f"{text}<!-- {mark(f'grown.{digits}')} -->\n".encode()


def _untouched(target: Path) -> bool:
    """Tell whether a file is a grown motif that nobody has changed since."""
    try:
        there = target.read_bytes()
        text = there.decode().partition("<!--")[0]
    except (OSError, UnicodeDecodeError):
        return False
    return there == _marked(text)
