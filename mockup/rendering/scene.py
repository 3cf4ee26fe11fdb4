"""The draw list: everything that is to be seen on one sheet, in painter's order, before any pixel.

Lengths are mm, y runs down, colours are written "#rrggbb". A scene holds plain outlines only, so that two
of them can be compared without drawing either: see `fingerprint`.

References
----------
SVG 2, section 11 (painting): even-odd fill rule, round caps and joins; section 14.3 (clipping paths).
"""

import hashlib
import math
import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

import numpy as np

from mockup.geometry.affine import Points

Weight: TypeAlias = Literal["regular", "bold"]
Anchor: TypeAlias = Literal["start", "middle", "end"]

_COLOUR: Final = re.compile("#[0-9A-Fa-f]{6}")
_STEP: Final = 1e-4
"""Coordinates that differ by less than this count as the same, mm."""


@dataclass(frozen=True, slots=True, eq=False)
class Fill:
    """An area in one opaque colour.

    Parameters
    ----------
    rings : tuple of (n, 2) floats, mm
        Outlines and holes, filled even-odd; the last point joins the first.
    colour : str
        "#rrggbb".
    layer : str
        Name of what it belongs to; a file keeps such groups together.
    title : str
        What a reader is told when pointing at it, where the file can say so.
    of : str
        Name of the placed motif that it is a part of; a file keeps those together, too.
    """

    rings: tuple[Points, ...]
    colour: str
    layer: str
    title: str = ""
    of: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Stroke:
    """Lines of one width and one opaque colour, with round caps and joins.

    Parameters
    ----------
    lines : tuple of (n, 2) floats, mm
        A line of one point is a round dot.
    closed : tuple of bool
        For each line, whether its last point joins its first.
    width : float
        mm.
    colour, layer, title : str
        As for `Fill`.

    Raises
    ------
    ValueError
        Where ``closed`` does not hold one value for each line.
    """

    lines: tuple[Points, ...]
    closed: tuple[bool, ...]
    width: float
    colour: str
    layer: str
    title: str = ""

    def __post_init__(self) -> None:
        if len(self.lines) != len(self.closed):
            raise ValueError(f"{len(self.lines)} lines need as many 'closed', not {len(self.closed)}")


@dataclass(frozen=True, slots=True, eq=False)
class Text:
    """One line of type.

    Parameters
    ----------
    x, y : float
        Where the text starts, has its middle or ends, on the baseline, mm.
    text : str
        What it says.
    size_mm : float
        Height of the type (its em), mm.
    colour, layer : str
        As for `Fill`.
    weight : {"regular", "bold"}
        How heavy it is.
    anchor : {"start", "middle", "end"}
        What of the text lies at (x, y).
    turn : float
        Degrees clockwise about (x, y).
    """

    x: float
    y: float
    text: str
    size_mm: float
    colour: str
    layer: str
    weight: Weight = "regular"
    anchor: Anchor = "start"
    turn: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Clip:
    """Items of which only what lies inside the rings (even-odd) is seen."""

    rings: tuple[Points, ...]
    items: "tuple[Item, ...]"


@dataclass(frozen=True, slots=True, eq=False)
class Cloth:
    """A unit that is painted once and laid side by side over an area: for pixels only.

    Parameters
    ----------
    rings : tuple of (n, 2) floats, mm
        The area, filled even-odd.
    size : (float, float)
        Of the unit, mm; on pixels each side is rounded to whole ones.
    start : (float, float)
        Where a unit's top left lies, mm.
    items : tuple of Item
        What is painted in the unit, from (0, 0) to ``size``.
    """

    rings: tuple[Points, ...]
    size: tuple[float, float]
    start: tuple[float, float]
    items: "tuple[Item, ...]"


Item: TypeAlias = Fill | Stroke | Text | Clip | Cloth


@dataclass(frozen=True, slots=True, eq=False)
class Scene:
    """One sheet.

    Parameters
    ----------
    width, height : float
        Its size, mm.
    items : tuple of Item
        The first lies undermost.
    title : str
        What files carry as their title.

    Raises
    ------
    ValueError
        Where a side is not a positive number.
    """

    width: float
    height: float
    items: tuple[Item, ...]
    title: str = ""

    def __post_init__(self) -> None:
        if not (
            math.isfinite(self.width) and math.isfinite(self.height) and min(self.width, self.height) > 0.0
        ):
            raise ValueError(f"a sheet of {self.width} x {self.height} mm cannot be drawn")


def channels(colour: str) -> tuple[float, float, float]:
    """Red, green and blue of "#rrggbb" as floats 0..1.

    Raises
    ------
    ValueError
        Where the colour is written in another way.
    """
    if not _COLOUR.fullmatch(colour):
        raise ValueError(f"{colour!r} is not a colour written #rrggbb")
    number = int(colour[1:], 16)
    return (number >> 16) / 255, (number >> 8 & 255) / 255, (number & 255) / 255


def plain_text(text: str) -> str:
    """Give the text with whatever cannot be printed (line ends, control characters) as spaces."""
    return "".join(sign if sign.isprintable() else " " for sign in text)


def fingerprint(scene: Scene) -> str:
    """Give 64 hexadecimal digits that are equal for equal scenes, in any process.

    Coordinates count to 1e-4 mm.
    """
    digest = hashlib.sha256()
    for part in _told(scene.items):
        digest.update(part)
    digest.update(
        repr((_rounded(scene.width, scene.height), scene.title)).encode("utf-8", "backslashreplace")
    )
    return digest.hexdigest()


def _rounded(*numbers: float) -> tuple[int, ...]:
    return tuple(round(number / _STEP) for number in numbers)


def _told_lines(lines: tuple[Points, ...]) -> Iterable[bytes]:
    for line in lines:
        yield f"({len(line)})".encode()
        yield np.rint(np.asarray(line) / _STEP).astype("<i8").tobytes()


def _told(items: tuple[Item, ...]) -> Iterable[bytes]:
    """Bytes that say all about the items; every list is preceded by its length."""
    yield f"[{len(items)}]".encode()
    for item in items:
        fields: tuple[object, ...]
        match item:
            case Fill():
                fields = (item.colour, item.layer, item.title, item.of, len(item.rings))
            case Stroke():
                fields = (item.colour, item.layer, item.title, item.closed, _rounded(item.width))
            case Text():
                places = _rounded(item.x, item.y, item.size_mm, item.turn)
                fields = (item.colour, item.layer, item.text, item.weight, item.anchor, places)
            case Clip():
                fields = (len(item.rings),)
            case Cloth():
                fields = (len(item.rings), _rounded(*item.size, *item.start))
        yield f"{type(item).__name__}{fields!r}".encode("utf-8", "backslashreplace")
        if isinstance(item, Stroke):
            yield from _told_lines(item.lines)
        elif isinstance(item, Fill | Clip | Cloth):
            yield from _told_lines(item.rings)
        if isinstance(item, Clip | Cloth):
            yield from _told(item.items)
