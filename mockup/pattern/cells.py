"""Ogee, diamond and scallop: a centred layout whose cells are drawn, each with a motif in it.

The tile of w x h mm holds two cells, one centred at its corners and one in its middle, moved by (w/2, h/2). Their
outlines fill the plane; each is drawn a little smaller, so that the ground runs between them, whole or as a band.
Several motifs are dealt to the cells row by row; then as many tiles as it takes make one block.
"""

import bisect
import math
from collections.abc import Callable, Sequence
from typing import Final

import numpy as np

from mockup.errors import DesignError
from mockup.geometry.affine import Affine, Points, translation
from mockup.geometry.lattice import Lattice
from mockup.geometry.shapes import Shape, area, box_of, covers_points, difference, grown, polygon, roomiest
from mockup.pattern.motif import Motif, Part
from mockup.pattern.repeat import Layout, Setting, centred, numbered, points_of

CELLED: Final = ("ogee", "diamond", "scallop")
CELL: Final = "cell"
"""Name of a drawn cell."""

_STEPS: Final = 48
_POINTED: Final = 0.22
"""How much of an ogee's side is straight, so that its ends are points and no hairs."""

_BAND: Final = 0.09
"""Width of a band, as a share of the cell's width."""

_WIDEST: Final = 4000

_TALL: Final = {"ogee": 1.6, "diamond": 1.35, "scallop": 1.0}
"""Height over width of a tile that follows from the motifs."""


def _ogee(width: float, height: float) -> Points:
    y = np.linspace(-0.5, 0.5, 2 * _STEPS + 1)
    curved, straight = (1 + np.cos(2 * math.pi * y)) / 2, 1 - 2 * np.abs(y)
    x = (curved * (1 - _POINTED) + straight * _POINTED) / 2
    right = np.column_stack((x * width, y * height))
    return np.vstack((right, right[-2:0:-1] * (-1, 1)))


def _diamond(width: float, height: float) -> Points:
    return np.array([(0.0, -0.5), (0.5, 0.0), (0.0, 0.5), (-0.5, 0.0)]) * (width, height)


def _scallop(width: float, height: float) -> Points:
    """Half an ellipse above; below, what the two scallops of the next row leave."""
    turn = np.linspace(0, math.pi / 2, _STEPS + 1)
    sine, cosine = np.sin(turn) / 2, np.cos(turn) / 2
    top = np.vstack((np.column_stack((-cosine, -sine)), np.column_stack((sine[1:], -cosine[1:]))))
    left = np.column_stack((-0.5 + cosine, 0.5 - sine))
    right = np.column_stack((0.5 - sine, 0.5 - cosine))
    return np.vstack((top[:-1], right[:-1], left[:-1])) * (width, height)


OUTLINES: Final[dict[str, Callable[[float, float], Points]]] = {
    "ogee": _ogee,
    "diamond": _diamond,
    "scallop": _scallop,
}
"""Outline of a cell about its centre, (n, 2) mm, from the tile's width and height."""


def lay_cells(
    settings: Sequence[Setting],
    repeat: str,
    *,
    tile: tuple[float, float] | None = None,
    gap: float = 1.5,
    coverage: float = 0.55,
    drawn: str = "field",
) -> Layout:
    """Lay motifs out in ogee, diamond or scallop cells.

    Parameters
    ----------
    settings : sequence of Setting
        Motifs, dealt to the cells row by row.
    repeat : str
        One of ``CELLED``.
    tile : (float, float), optional
        Width and height of one tile, mm; left out: from the motifs' natural sizes.
    gap : float
        Ground between two cells, and least distance of a motif from its cell's edge, mm.
    coverage : float
        Only for a tile that follows from the motifs: the share of their cells that they may cover.
    drawn : str
        "field": a cell takes an ink; "band": its edge does; "none": neither.

    Raises
    ------
    DesignError
        A tile without room for the motifs.
    """
    tile = tile or _natural(settings, repeat, gap, coverage, drawn)
    width, height = tile
    tiles = math.ceil(len(settings) / 2)
    cell = polygon(OUTLINES[repeat](width, height))
    frame, room = _drawn(cell, width, gap, drawn)
    middle = roomiest(room)
    units = [_fitted(setting, room, middle, gap) for setting in settings]
    across, down = _spread(tiles)
    spots = [
        ((column / 2) * width, (row / 2) * height)
        for row in range(2 * down)
        for column in range(row % 2, 2 * across, 2)
    ]
    fields: list[tuple[Motif, Affine]] = []
    own: list[tuple[Motif, Affine]] = []
    for number, (x, y) in enumerate(spots):
        move = translation(x, y)
        if frame is not None:
            fields.append((frame, move))
        motif, at = units[number % len(units)]
        own.append((motif, move @ at))
    lattice = Lattice(width * across, height * down, unit=(across, down))
    return Layout(repeat, lattice, numbered([*fields, *own]), (across, 2 * down))


def _spread(tiles: int) -> tuple[int, int]:
    """Tiles across and down of a block: as near to square as goes, none left over."""
    down = max(side for side in range(1, math.isqrt(tiles) + 1) if tiles % side == 0)
    return tiles // down, down


def _drawn(cell: Shape, width: float, gap: float, drawn: str) -> tuple[Motif | None, Shape]:
    """Give what is drawn of a cell, and the room that is left in it."""
    inner = grown(cell, -gap / 2)
    if inner.is_empty:
        raise DesignError(
            f"a tile {width:g} mm wide leaves no cell beside a gap of {gap:g} mm",
            remedy="make the tile larger or the gap smaller",
        )
    if drawn == "none":
        return None, inner
    if drawn == "field":
        return alone("cloth", "field", inner), inner
    room = grown(inner, -width * _BAND)
    return alone("band", "band", difference(inner, room)), room


def alone(part: str, group: str, shape: Shape) -> Motif:
    """Make a motif of one part, drawn about the origin."""
    x0, y0, x1, y1 = box_of([shape])
    return Motif(CELL, x1 - x0, y1 - y0, (Part(part, group, shape, "", ""),), ())


def _fitted(setting: Setting, room: Shape, middle: tuple[float, float], gap: float) -> tuple[Motif, Affine]:
    """Set a motif in the roomiest place of its cell: scaled down until it fits, or as large as she says."""
    if setting.scale is not None:
        return setting.motif, centred(setting, middle)
    factor = min(1.0, _room(setting, room, middle, gap))
    if factor <= 0.02:
        raise DesignError(
            f"a cell has no room for {setting.motif.name} and a gap of {gap:g} mm",
            remedy="make the tile larger or the gap smaller",
        )
    return setting.motif, centred(setting, middle, factor)


def _room(setting: Setting, room: Shape, middle: tuple[float, float], gap: float) -> float:
    """Largest factor at which a motif about a point stays inside a shape, a gap off its edge."""
    inner = grown(room, -gap)
    points = points_of(setting)
    low, high = 0.0, 1.0
    if inner.is_empty:
        return low
    for _ in range(20):
        tried = (low + high) / 2
        inside = covers_points(inner, points * tried + middle).all()
        low, high = (tried, high) if inside else (low, tried)
    return low


def _natural(
    settings: Sequence[Setting], repeat: str, gap: float, coverage: float, drawn: str
) -> tuple[float, float]:
    """Smallest tile (whole mm) in whose cells the motifs lie at their sizes and cover no more than the coverage."""
    most = max(sum(area(part.shape) for part in one.motif.parts) * one.factor**2 for one in settings)
    least = math.ceil(math.sqrt(2 * most / coverage / _TALL[repeat]))

    def fits(width: int) -> bool:
        cell = polygon(OUTLINES[repeat](width, round(width * _TALL[repeat])))
        if grown(cell, -gap / 2).is_empty:
            return False
        _, room = _drawn(cell, width, gap, drawn)
        if grown(room, -gap).is_empty:
            return False
        middle = roomiest(room)
        inner = grown(room, -gap)
        return all(covers_points(inner, points_of(one) * one.factor + middle).all() for one in settings)

    width = bisect.bisect_left(range(_WIDEST), True, lo=least, key=fits)
    return float(width), float(round(width * _TALL[repeat]))
