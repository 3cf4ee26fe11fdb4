"""How much of a repeat shapes cover, along lines across it: a count that uses no overlay, to check overlays by.

Along every line each shape covers the pieces between its crossings, even and odd; what of the line lies in any piece is
covered. The lines run a little slanted, so that none runs along the edge of anything drawn upright.
"""

from typing import Final, NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from mockup.geometry.lattice import Lattice
from mockup.geometry.shapes import GRID, Box
from mockup.geometry.stacking import Forms

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

LINES: Final = 384
_SLANT: Final = 0.0831
"""Rise of the lines to their run."""


class Covered(NamedTuple):
    """Share of the lines that is covered, the same with what lies twice counted twice, and what the grid may change."""

    once: float
    often: float
    doubt: float


def window(lattice: Lattice) -> Box:
    """Box (mm) of one tile as the lines run through it: whatever reaches into it must be given to `covered`."""
    width, height = lattice.width, lattice.height
    if lattice.step:
        return (0.0, 0.0, width + _SLANT * height, height)
    return (0.0, 0.0, width, height + _SLANT * width)


def covered(shapes: Forms, lattice: Lattice) -> Covered:
    """Measure how much of one tile of a repeat shapes cover.

    Parameters
    ----------
    shapes : (n,) shapes
        Whatever reaches into `window`, copies included.
    lattice : Lattice
        How the tile steps. The lines run along its straight rows, so that they pass one copy of every point.
    """
    run, rise = lattice.width, lattice.height
    pieces, of = shapely.get_parts(shapes, return_index=True)
    rings, piece = shapely.get_rings(pieces, return_index=True)
    of = of[piece]
    points, ring = shapely.get_coordinates(rings, return_index=True)
    if lattice.step:
        run, rise, points = rise, run, points[:, ::-1]
    edge = np.flatnonzero(ring[1:] == ring[:-1])
    level = (points[:, 1] - _SLANT * points[:, 0]) * (LINES / rise)
    line, at, share = _crossings(level[edge], level[edge + 1])
    along = points[edge, 0][at] + share * (points[edge + 1, 0] - points[edge, 0])[at]
    order = np.lexsort((along, of[ring[edge]][at], line))
    line, along = line[order], np.clip(along[order], 0.0, run)
    whole, often = LINES * run, float((along[1::2] - along[::2]).sum())
    ends = np.where(np.arange(len(line)) % 2 == 0, 1, -1)
    order = np.lexsort((along, line))
    depth, along = np.cumsum(ends[order]), along[order]
    once = float((np.diff(along) * (depth[:-1] > 0)).sum())
    return Covered(once / whole, often / whole, len(line) * GRID / whole)


def _crossings(start: Floats, end: Floats) -> tuple[Ints, Ints, Floats]:
    """Lines that edges cross, from level to level; which edge it is, and how far along it (a share)."""
    low = np.ceil(np.minimum(start, end) - 0.5).clip(0, LINES).astype(np.int64)
    high = np.ceil(np.maximum(start, end) - 0.5).clip(0, LINES).astype(np.int64)
    many = high - low
    edge = np.repeat(np.arange(len(many)), many)
    line = np.arange(len(edge)) - np.repeat(np.cumsum(many) - many, many) + low[edge]
    return line, edge, (line + 0.5 - start[edge]) / (end - start)[edge]
