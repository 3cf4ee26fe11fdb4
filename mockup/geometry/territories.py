"""Which shapes face each other: every point of the window is given to the nearest shape, copies included.

The window is laid on a grid. Each copy of a shape grows to the territory of the points nearest to it, and where two
territories meet, the border between them is measured. On a repeat the window is one tile and the copies of the tile
all round take part; on a single sheet the edge is no border.

Border lengths come from counting the crossings of grid lines in four directions (Cauchy-Crofton), so that slanted
borders are not overstated.

References
----------
Cauchy-Crofton formula: Santalo, Integral Geometry and Geometric Probability, 1976, chapter 3 (from memory).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from mockup.geometry.affine import Points
from mockup.geometry.lattice import Lattice
from mockup.geometry.shapes import Box, Shape, box_of, rings

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]

FINENESS: Final = 96.0
"""Grid squares to one mean spacing of the shapes; thin parts need a fine grid."""

LOOKS: Final = (32.0, 45.0, 70.0)
"""Coarser grids, to see which borders hang on the grid."""

_COARSEST: Final = 40.0
_ENOUGH: Final = 1_000_000
_ROUGH: Final = 24.0
_LARGEST: Final = 6_000_000
_SMALLEST: Final = 100
_DIRECTIONS: Final = ((0, 1, 1.0), (1, 0, 1.0), (1, 1, math.sqrt(0.5)), (1, -1, math.sqrt(0.5)))


@dataclass(frozen=True, eq=False, slots=True)
class Borders:
    """Borders between territories.

    ``a`` and ``b`` (m,) are shapes, ``step`` (m, 2) the copy of b that a in copy (0, 0) meets, ``length`` and ``gap``
    (m,) mm; each border stands once. ``joined`` (m,) marks copies of one shape that touch: where they take one ink
    they are one region that runs on through the repeat. ``count`` is the number of shapes, ``grain`` the side of a
    grid square in mm.
    """

    count: int

    a: Ints
    b: Ints
    step: Ints
    length: Floats
    gap: Floats
    joined: NDArray[np.bool_]
    grain: float


def territories(
    shapes: Sequence[Shape], window: Box, lattice: Lattice | None, fineness: float = FINENESS
) -> Borders:
    """Find who meets whom.

    Parameters
    ----------
    shapes : sequence of Shape
        One shape a node, in mm; they do not overlap.
    window : Box
        The tile (with a lattice) or the field of a single sheet (without).
    lattice : Lattice, optional
        How the tile steps.
    fineness : float
        Grid squares to one mean spacing of the shapes; less where the grid would grow too large.
    """
    grid = _Grid(window, lattice, len(shapes), fineness)
    if lattice:
        grid.widen(_farthest(shapes, _Grid(window, lattice, len(shapes), _ROUGH)))
    label, steps = _stamp(shapes, grid)
    if not steps:
        none, nothing = np.zeros(0, dtype=np.int64), np.zeros(0)
        return Borders(len(shapes), none, none, none.reshape(0, 2), nothing, nothing, none > 0, grid.step_x)
    sides = (grid.step_y, grid.step_x)
    owner = np.array([own for own, _, _ in steps], dtype=np.int64)
    offset = np.array([(i, j) for _, i, j in steps], dtype=np.int64).reshape(-1, 2)
    distance, nearest = ndimage.distance_transform_edt(label == 0, sampling=sides, return_indices=True)
    crossings = _crossings(label[nearest[0], nearest[1]].astype(np.int64) - 1, distance, grid)
    return _gather(owner, offset, crossings, len(shapes), grid, _touching_copies(label, owner, offset))


def _farthest(shapes: Sequence[Shape], grid: "_Grid") -> float:
    """Find from a rough grid how far (mm) a point of the window may at most lie from the nearest shape."""
    label, steps = _stamp(shapes, grid)
    if not steps:
        return 0.0
    distance = ndimage.distance_transform_edt(label == 0, sampling=(grid.step_y, grid.step_x))
    return float(distance.max()) + 2 * math.hypot(grid.step_x, grid.step_y)


class _Grid:
    """The window as rows and columns, whole steps of the lattice falling on whole squares, and a rim around it."""

    def __init__(self, window: Box, lattice: Lattice | None, count: int, fineness: float) -> None:
        self.window, self.lattice = window, lattice
        width, height = window[2] - window[0], window[3] - window[1]
        squares = min(max(count, 1) * fineness**2, max(_ENOUGH, count * _COARSEST**2), _LARGEST)
        step = min(math.sqrt(width * height / squares), min(width, height) / _SMALLEST)
        step = max(step, math.sqrt(width * height / _LARGEST))
        across, down = lattice.multiples if lattice else (1, 1)
        self.columns = down * math.ceil(width / step / down)
        self.rows = across * math.ceil(height / step / across)
        self.step_x, self.step_y = width / self.columns, height / self.rows
        self.rim_x = self.rim_y = 0

    def widen(self, far: float) -> None:
        """Lay a rim of ``far`` mm, so that every point of the window sees its true nearest shape."""
        self.rim_x, self.rim_y = math.ceil(far / self.step_x) + 2, math.ceil(far / self.step_y) + 2

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns with the rim."""
        return self.rows + 2 * self.rim_y, self.columns + 2 * self.rim_x

    def shift(self, i: int, j: int) -> tuple[int, int]:
        """Rows and columns by which copy (i, j) lies from copy (0, 0)."""
        assert self.lattice is not None
        x, y = self.lattice.shift(i, j)
        return round(y / self.step_y), round(x / self.step_x)

    def reach(self) -> Box:
        """The window with its rim, mm."""
        x0, y0, x1, y1 = self.window
        return (
            x0 - self.rim_x * self.step_x,
            y0 - self.rim_y * self.step_y,
            x1 + self.rim_x * self.step_x,
            y1 + self.rim_y * self.step_y,
        )


def _stamp(shapes: Sequence[Shape], grid: _Grid) -> tuple[NDArray[np.int32], list[tuple[int, int, int]]]:
    """Paint every copy that reaches into the grid with its own number from 1 up; 0 is ground.

    A shape too small for the grid is painted last, as the one square in which it lies.
    """
    label = np.zeros(grid.shape, dtype=np.int32)
    steps: list[tuple[int, int, int]] = []
    origin = np.array(grid.window[:2])
    square = np.array([grid.step_x, grid.step_y])
    outlines = [[(ring - origin) / square for ring in rings(shape)] for shape in shapes]
    masks = [mask_of(own) for own in outlines]
    for number in sorted(range(len(shapes)), key=lambda number: masks[number] is None):
        shape = shapes[number]
        if shape.is_empty:
            continue
        top, left, inside = masks[number] or _speck(outlines[number])
        copies = grid.lattice.copies(box_of([shape]), grid.reach()) if grid.lattice else [(0, 0)]
        for i, j in copies:
            down, right = grid.shift(i, j) if grid.lattice else (0, 0)
            if _paint(label, top + down + grid.rim_y, left + right + grid.rim_x, inside, len(steps) + 1):
                steps.append((number, i, j))
    return label, steps


def _speck(outlines: Sequence[Points]) -> tuple[int, int, NDArray[np.bool_]]:
    """Stand in for a shape that covers no square's middle: the square in which its first outline lies."""
    column, row = np.floor(outlines[0].mean(axis=0)).astype(int)
    return int(row), int(column), np.ones((1, 1), dtype=bool)


def _paint(label: NDArray[np.int32], top: int, left: int, inside: NDArray[np.bool_], value: int) -> bool:
    """Paint a mask at a place, cut by the grid's edge; tell whether any of it shows."""
    height, width = inside.shape
    y0, x0 = max(top, 0), max(left, 0)
    y1, x1 = min(top + height, label.shape[0]), min(left + width, label.shape[1])
    if y1 <= y0 or x1 <= x0:
        return False
    part = inside[y0 - top : y1 - top, x0 - left : x1 - left]
    label[y0:y1, x0:x1][part] = value
    return bool(part.any())


def mask_of(outlines: Sequence[Points]) -> tuple[int, int, NDArray[np.bool_]] | None:
    """Fill outlines even-odd on a grid of unit squares, by the squares' middles.

    Returns the first row, the first column and a (rows, columns) mask; None where no middle is covered.
    """
    start = np.concatenate(list(outlines)) if outlines else np.zeros((0, 2))
    if not len(start):
        return None
    end = np.concatenate([np.roll(ring, -1, axis=0) for ring in outlines])
    low, high = np.minimum(start[:, 1], end[:, 1]), np.maximum(start[:, 1], end[:, 1])
    first, last = np.ceil(low - 0.5).astype(int), np.ceil(high - 0.5).astype(int)
    count = last - first
    if not count.any():
        return None
    edge = np.repeat(np.arange(len(count)), count)
    row = first[edge] + np.arange(len(edge)) - np.repeat(np.cumsum(count) - count, count)
    slope = (end[edge, 0] - start[edge, 0]) / (end[edge, 1] - start[edge, 1])
    column = np.ceil(start[edge, 0] + (row + 0.5 - start[edge, 1]) * slope - 0.5).astype(int)
    top, left = int(row.min()), int(column.min())
    height, width = int(row.max()) - top + 1, int(column.max()) - left + 1
    crossings = np.bincount((row - top) * width + column - left, minlength=height * width)
    inside = np.cumsum(crossings.reshape(height, width), axis=1) % 2 == 1
    return (top, left, inside) if inside.any() else None


def _crossings(near: Ints, distance: Floats, grid: _Grid) -> tuple[Ints, Ints, Floats, Floats]:
    """List the places in the window where two copies' territories meet: copies, length and gap in mm."""
    square = math.sqrt(grid.step_x * grid.step_y)
    found: list[tuple[Ints, Ints, Floats, Floats]] = []
    y0, x0 = grid.rim_y, grid.rim_x
    y1, x1 = y0 + grid.rows, x0 + grid.columns
    for down, right, weight in _DIRECTIONS:
        top, bottom, left, end = y0, y1, x0, x1
        if not grid.lattice:
            bottom, left, end = y1 - down, x0 + (right < 0), x1 - (right > 0)
        here = np.s_[top:bottom, left:end]
        there = np.s_[top + down : bottom + down, left + right : end + right]
        differ = near[here] != near[there]
        one, other = near[here][differ], near[there][differ]
        gap = distance[here][differ] + distance[there][differ]
        found.append((one, other, np.full(len(one), math.pi / 8 * square * weight), gap))
    a, b, length, gap = (np.concatenate(column) for column in zip(*found, strict=True))
    return a, b, length, gap


def _touching_copies(label: NDArray[np.int32], owner: Ints, offset: Ints) -> set[tuple[int, int, int]]:
    """Find the nodes whose own copies touch: they are one region that runs on through the repeat."""
    joined: set[tuple[int, int, int]] = set()
    for one, other in ((label[:-1], label[1:]), (label[:, :-1], label[:, 1:])):
        meet = (one != other) & (one > 0) & (other > 0)
        pairs = np.unique(np.column_stack((one[meet], other[meet])) - 1, axis=0)
        for a, b in pairs[owner[pairs[:, 0]] == owner[pairs[:, 1]]].tolist():
            i, j = (offset[b] - offset[a]).tolist()
            joined |= {(int(owner[a]), i, j), (int(owner[a]), -i, -j)}
    return joined


def _gather(
    owner: Ints,
    offset: Ints,
    crossings: tuple[Ints, Ints, Floats, Floats],
    count: int,
    grid: _Grid,
    joined: set[tuple[int, int, int]],
) -> Borders:
    """Add up the crossings of each pair (node, node, step), each pair written one way round."""
    a, b, length, gap = crossings
    one, other = owner[a], owner[b]
    step = offset[b] - offset[a]
    flip = (one > other) | ((one == other) & ((step[:, 1] < 0) | ((step[:, 1] == 0) & (step[:, 0] < 0))))
    one, other = np.where(flip, other, one), np.where(flip, one, other)
    step = np.where(flip[:, None], -step, step)
    rows, inverse = np.unique(np.column_stack((one, other, step)), axis=0, return_inverse=True)
    inverse = inverse.reshape(-1)
    total = np.asarray(np.bincount(inverse, length, len(rows)), dtype=np.float64)
    smallest = np.full(len(rows), np.inf)
    np.minimum.at(smallest, inverse, gap)
    run_on = np.array([a == b and (a, i, j) in joined for a, b, i, j in rows.tolist()], dtype=bool)
    grain = max(grid.step_x, grid.step_y)
    return Borders(count, rows[:, 0], rows[:, 1], rows[:, 2:], total, smallest, run_on, grain)
