"""A border of motifs: a strip along each side in one of the seven frieze groups, whole repeats of it, and made corners.

A strip runs between two square corners. Its motifs stand on the middle line, or, in the two groups with a mirror along
the strip, in two rows; their tops are outward. The strip repeats a whole number of times on each side, the gaps a
little wider or narrower for it, and begins and ends with half a gap. A corner has a motif of its own on the diagonal.

References
----------
International Tables for Crystallography, Volume E: general positions of the frieze groups (from memory; the tests
compare them with a table of their own). That a border is made in one ink is common practice, no source.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from mockup.errors import DesignError
from mockup.geometry.affine import Affine, Points, rotation, scaling, translation
from mockup.geometry.shading import Upright, upright
from mockup.geometry.shapes import (
    Box,
    Shape,
    box_of,
    difference,
    grown,
    lines_inside,
    moved,
    outline,
    strokes,
    union,
)
from mockup.pattern.motif import LineWork, Motif, Part
from mockup.pattern.repeat import Setting, centred

FRIEZES: Final[dict[str, tuple[Affine, ...]]] = {
    "p1": (Affine(),),
    "p211": (Affine(), Affine(a=-1.0, d=-1.0)),
    "p1m1": (Affine(), Affine(a=-1.0)),
    "p11m": (Affine(), Affine(d=-1.0)),
    "p11g": (Affine(), Affine(d=-1.0, e=0.5)),
    "p2mm": (Affine(), Affine(a=-1.0, d=-1.0), Affine(a=-1.0), Affine(d=-1.0)),
    "p2mg": (Affine(), Affine(a=-1.0, d=-1.0), Affine(a=-1.0, e=0.5), Affine(d=-1.0, e=0.5)),
}
"""Images of a point within one repeat of 1 along the strip, as maps: x along, y across."""

_ROWS: Final = {"p11m": 2, "p2mm": 2}
_ALONG: Final = {"p1": 1, "p11m": 1, "p2mg": 4}
"""Motifs that follow each other in one repeat, where that is not two."""

_AIR: Final = 0.1
"""Kept clear above and below, as a share of the strip's width."""

_CORNER: Final = 0.04
"""Kept clear all round in a corner, as a share of the strip's width."""

_BETWEEN: Final = 0.3
"""Usual gap between two motifs, as a share of their height."""

_TIGHT: Final = 0.06
"""Smallest such gap."""

_CUT: Final = 0.2
"""Lines nearer to a motif's edge than so many mm are left out."""


@dataclass(frozen=True, eq=False, slots=True)
class Strip:
    """A border of motifs, mm on the sheet: silhouettes in its ink, how each lies, and the lines left bare in them."""

    fills: tuple[Shape, ...]
    lines: tuple[Points, ...]
    lies: tuple[Upright, ...]


@dataclass(frozen=True, eq=False, slots=True)
class _Print:
    """A motif as one ink prints it, about the middle of its box: silhouette, bare lines, width and height, mm."""

    fill: Shape
    lines: tuple[Points, ...]
    width: float
    height: float


def frieze(motifs: Sequence[Motif], outer: Box, width: float, group: str = "p1m1") -> Strip:
    """Make a border along the inside of a box.

    Parameters
    ----------
    motifs : sequence of Motif
        The last of several is for the corners, the others follow each other along the sides.
    outer : Box
        Outer edge of the border, mm.
    width : float
        Width of the strip, mm.
    group : str
        One of ``FRIEZES``.

    Raises
    ------
    DesignError
        A side too short for one repeat.
    """
    prints = [_print(motif) for motif in motifs]
    along, corner = prints[:-1] or prints, prints[-1]
    x0, y0, x1, y1 = outer
    every: list[tuple[_Print, Affine]] = []
    half = width / 2
    sides = [
        (translation(x0 + width, y0 + half), x1 - x0 - 2 * width),
        (translation(x1 - half, y0 + width) @ rotation(90), y1 - y0 - 2 * width),
        (translation(x1 - width, y1 - half) @ rotation(180), x1 - x0 - 2 * width),
        (translation(x0 + half, y1 - width) @ rotation(270), y1 - y0 - 2 * width),
    ]
    _side(along, min(length for _, length in sides), width, group)  # refuses first what has least room
    for at, length in sides:
        placed = _side(along, length, width, group)
        corner_at = translation(length + half, 0) @ rotation(45) @ scaling(_corner_fit(corner, width))
        every += [(one, at @ own) for one, own in [*placed, (corner, corner_at)]]
    return _strip(every)


def run(motifs: Sequence[Motif], length: float, width: float, group: str) -> Strip:
    """Make a single straight strip that begins at (0, 0) and has no corners.

    Raises
    ------
    DesignError
        A length too short for one repeat.
    """
    placed = _side([_print(motif) for motif in motifs], length, width, group)
    return _strip([(one, translation(0, width / 2) @ own) for one, own in placed])


def _strip(placed: Sequence[tuple[_Print, Affine]]) -> Strip:
    """Put prints where they lie."""
    fills = tuple(moved(one.fill, at) for one, at in placed)
    lines = tuple(at.apply(line) for one, at in placed for line in one.lines)
    return Strip(fills, lines, tuple(upright(at, (0.0, 0.0)) for _, at in placed))


def _side(prints: Sequence[_Print], length: float, width: float, group: str) -> list[tuple[_Print, Affine]]:
    """Place motifs along one side: x from its start, y across from the middle line."""
    rows, many = _ROWS.get(group, 1), _ALONG.get(group, 2)
    scales = [_fit(one, width, rows) for one in prints]
    wide = [one.width * scale for one, scale in zip(prints, scales, strict=True)]
    tall = max(one.height * scale for one, scale in zip(prints, scales, strict=True))
    least = many * sum(side + _TIGHT * tall for side in wide)
    usual = many * sum(side + _BETWEEN * tall for side in wide)
    count = max(1, round(length / usual))
    if length / count < least:
        count = math.floor(length / least)
    if count < 1:
        raise DesignError(
            f"the border's motifs need {least:.0f} mm of a side, and the shortest has {length:.0f}",
            remedy="make the border narrower, or name fewer motifs for it",
        )
    step = length / count
    row = 0.0 if rows == 1 else width / 4
    gap = step / many / len(wide) - sum(wide) / len(wide)
    found = []
    left = 0.0
    for one, scale, side in zip(prints, scales, wide, strict=True):
        middle = left + (side + gap) / 2
        left += side + gap
        for image in FRIEZES[group]:
            own = Affine(image.a, image.b, image.c, image.d, image.e * step, image.f)
            spot = own @ translation(middle, -row) @ scaling(scale)
            found += [(one, translation(place * step, 0) @ _home(spot, step)) for place in range(count)]
    return found


def _home(at: Affine, step: float) -> Affine:
    """Move a map along the strip into the first repeat."""
    return translation(-math.floor(at.e / step + 1e-9) * step, 0) @ at


def _fit(one: _Print, width: float, rows: int) -> float:
    """Factor at which a motif has its height in a strip of so many rows; no wider than twice that."""
    tall = width / rows * (1 - 2 * _AIR)
    return min(tall / one.height, 2 * tall / one.width)


def _corner_fit(one: _Print, width: float) -> float:
    """Factor at which a motif that stands on the diagonal stays inside its square corner."""
    reach = max(map(abs, box_of([moved(one.fill, rotation(45))])))
    return min(_fit(one, width, 1), width * (0.5 - _CORNER) / reach)


def _print(motif: Motif) -> _Print:
    """Make of a motif what one ink can print: its silhouette, bare lines between its parts and for its line work."""
    at = centred(Setting(motif), (0.0, 0.0))
    parts = [moved(part.shape, at) for part in motif.elements if isinstance(part, Part)]
    drawn = [e for e in motif.elements if isinstance(e, LineWork)]
    if not parts:
        raise DesignError(f"{motif.name} has no filled part", remedy="name another motif for the border")
    whole = union(parts)
    inside = grown(whole, -_CUT)
    lines: list[Points] = []
    for number, part in enumerate(parts):
        above = union(parts[number + 1 :]) if number + 1 < len(parts) else None
        edge = outline(part if above is None else difference(part, above))
        lines += lines_inside(edge, inside)
    for one in drawn:
        lines += lines_inside(strokes([at.apply(line) for line in one.lines], one.closed), inside)
    x0, y0, x1, y1 = motif.box
    return _Print(whole, tuple(lines), x1 - x0, y1 - y0)
