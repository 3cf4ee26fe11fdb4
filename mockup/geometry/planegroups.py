"""The 17 plane groups: which images of a point one cell holds, as maps in mm.

Coordinates are shares of the cell's axes. Oblique and rectangular cells are w x h mm; a square one has equal sides; the
hexagonal axes are (a, 0) and (-a/2, a sqrt3/2), and what is tiled is the upright rectangle of a x a sqrt3 mm, which
holds two of their cells.

References
----------
International Tables for Crystallography, Volume A (2016), chapter 2.2: general positions of the plane groups (from
memory; the tests compare them with a table of their own).
"""

import itertools
import math
import re
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Final

import numpy as np

from mockup.geometry.affine import Affine

_TWO: Final = "-x,-y"
_TURNS_4: Final = ("x,y", _TWO, "-y,x", "y,-x")
_TURNS_3: Final = ("x,y", "-y,x-y", "-x+y,-x")
_TURNS_6: Final = (*_TURNS_3, _TWO, "y,-x+y", "x-y,x")
_ACROSS: Final = ("-y,-x", "-x+y,y", "x,x-y")
_ALONG: Final = ("y,x", "x-y,-y", "-x,-x+y")

POSITIONS: Final[dict[str, tuple[str, ...]]] = {
    "p1": ("x,y",),
    "p2": ("x,y", _TWO),
    "pm": ("x,y", "-x,y"),
    "pg": ("x,y", "-x,y+1/2"),
    "cm": ("x,y", "-x,y"),
    "p2mm": ("x,y", _TWO, "-x,y", "x,-y"),
    "p2mg": ("x,y", _TWO, "-x+1/2,y", "x+1/2,-y"),
    "p2gg": ("x,y", _TWO, "-x+1/2,y+1/2", "x+1/2,-y+1/2"),
    "c2mm": ("x,y", _TWO, "-x,y", "x,-y"),
    "p4": _TURNS_4,
    "p4mm": (*_TURNS_4, "-x,y", "x,-y", "y,x", "-y,-x"),
    "p4gm": (*_TURNS_4, "-x+1/2,y+1/2", "x+1/2,-y+1/2", "y+1/2,x+1/2", "-y+1/2,-x+1/2"),
    "p3": _TURNS_3,
    "p3m1": (*_TURNS_3, *_ACROSS),
    "p31m": (*_TURNS_3, *_ALONG),
    "p6": _TURNS_6,
    "p6mm": (*_TURNS_6, *_ACROSS, *_ALONG),
}
"""General positions by symbol; centring (cm, c2mm) adds the same, moved by half of both axes."""

CENTRED: Final = frozenset(("cm", "c2mm"))
SQUARE: Final = frozenset(("p4", "p4mm", "p4gm"))
HEXAGONAL: Final = frozenset(("p3", "p3m1", "p31m", "p6", "p6mm"))
MIRRORED: Final = frozenset(("pm", "cm", "p2mm", "p2mg", "c2mm", "p4mm", "p4gm", "p3m1", "p31m", "p6mm"))
"""Groups that hold mirrors, not only glides."""

_TERM: Final = re.compile(r"([+-]?)([xy]|\d+/\d+)")


@dataclass(frozen=True, slots=True)
class Image:
    """One image of the general position in a cell, as a map in mm.

    ``turn`` tells its turning part as it is written, so that an image and the same one moved by a step are known.
    """

    map: Affine
    turn: tuple[int, int, int, int]


def images(symbol: str, cell: tuple[float, float]) -> tuple[Image, ...]:
    """Give all images of a point that a cell holds, the point itself first.

    Parameters
    ----------
    symbol : str
        One of ``POSITIONS``.
    cell : (float, float)
        Width and height (mm) of what is tiled: the cell, of a hexagonal group a x a sqrt3.
    """
    width, height = cell
    axes = np.array([[width, 0.0], [0.0, height]])
    moves = [(0.0, 0.0)]
    if symbol in HEXAGONAL:
        axes = np.array([[width, -width / 2], [0.0, height / 2]])
    if symbol in HEXAGONAL | CENTRED:
        moves.append((width / 2, height / 2))
    back = np.linalg.inv(axes)
    found = []
    for (x, y), (matrix, shift) in itertools.product(moves, _read(symbol)):
        a, c, b, d = (axes @ np.array(matrix).reshape(2, 2) @ back).ravel()
        e, f = axes @ np.array([float(part) for part in shift])
        found.append(
            Image(Affine(float(a), float(b), float(c), float(d), float(e + x), float(f + y)), matrix)
        )
    return tuple(found)


def is_mirror(one: Affine) -> bool:
    """Tell a mirror: it flips, and done twice it leaves everything where it was (a glide does not)."""
    twice = one @ one
    return one.determinant < 0 and math.hypot(twice.e, twice.f) < 1e-6


@lru_cache(maxsize=32)
def _read(symbol: str) -> tuple[tuple[tuple[int, int, int, int], tuple[Fraction, Fraction]], ...]:
    """Read the positions: matrix by rows, and shift in shares of the axes."""
    found = []
    for text in POSITIONS[symbol]:
        rows = [_row(part) for part in text.split(",")]
        (a, b, e), (c, d, f) = rows
        found.append(((a, b, c, d), (e, f)))
    return tuple(found)


def _row(text: str) -> tuple[int, int, Fraction]:
    """Read one coordinate, such as "-x+y" or "y+1/2"."""
    along = {"x": 0, "y": 0}
    shift = Fraction(0)
    for sign, term in _TERM.findall(text):
        factor = -1 if sign == "-" else 1
        if term in along:
            along[term] += factor
        else:
            shift += factor * Fraction(term)
    return along["x"], along["y"], shift
