"""The motif library: plain SVG files and their index, which ship with the package."""

import difflib
import tomllib
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from mockup.errors import FileError, UnknownNameError
from mockup.pattern.motif import Motif
from mockup.pattern.svg import read_svg
from mockup.resources import data

INDEX = "index.toml"


@dataclass(frozen=True, slots=True)
class Entry:
    """One motif of the library: name, title, family, and size class (hero, second or filler)."""

    name: str
    title: str
    family: str
    size: str


@lru_cache(maxsize=1)
def entries() -> tuple[Entry, ...]:
    """Give the library's index in its order."""
    index = tomllib.loads((data("motifs") / INDEX).read_text(encoding="utf-8"))
    return tuple(Entry(one["name"], one["title"], one["family"], one["size"]) for one in index["motif"])


@lru_cache(maxsize=256)
def library_motif(name: str, *, stroke_parts: bool = False) -> Motif:
    """Read a motif of the library; with ``stroke_parts`` its line work as parts.

    Raises
    ------
    UnknownNameError
        No motif has that name; the nearest is told.
    """
    names = [entry.name for entry in entries()]
    if name not in names:
        near = difflib.get_close_matches(name.lower(), names, 1, 0.5)
        remedy = f"did you mean {near[0]!r}?" if near else "`mockup motifs list` tells them all"
        raise UnknownNameError(f"the library has no motif {name!r}", remedy=remedy)
    content = (data("motifs") / f"{name}.svg").read_bytes()
    return read_svg(content, name, where=f"motifs/{name}.svg", stroke_parts=stroke_parts)


def drawing_file(path: Path, *, stroke_parts: bool = False) -> Motif:
    """Read an SVG file of her own as a motif named after the file's stem; with ``stroke_parts`` its strokes as parts.

    Raises
    ------
    FileError
        The file is missing or cannot be read.
    DrawingError
        It holds nothing that can be inked, or is no sound SVG.
    """
    try:
        content = path.read_bytes()
    except FileNotFoundError:
        near = difflib.get_close_matches(path.name, _siblings(path), 1, 0.6)
        remedy = f"did you mean {near[0]!r}?" if near else "check the name and the folder"
        raise FileError("there is no such file", where=str(path), remedy=remedy) from None
    except OSError as error:
        reason = (error.strerror or "cannot be read").lower()
        raise FileError(
            f"cannot be read: {reason}", where=str(path), remedy="check the file and its rights"
        ) from None
    return read_svg(content, path.stem, where=path.name, stroke_parts=stroke_parts)


def _siblings(path: Path) -> list[str]:
    try:
        return [other.name for other in path.parent.iterdir()]
    except OSError:
        return []
