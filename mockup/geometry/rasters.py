"""Shapes on a grid of pixels: which shape covers the middle of each, and how deep in it that lies.

Along every row of pixels a shape covers the pieces between its crossings, even and odd, as in ``scanlines``.
"""

from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from mockup.geometry.shapes import Shape, areas, rings

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_NOTHING: Final = -1


class Raster(NamedTuple):
    """Shapes on a grid that begins at the page's corner.

    Attributes
    ----------
    label : (rows, columns) int32
        Number of the shape that covers the middle of each pixel, -1 for none.
    depth : (rows, columns) float32
        Distance from there to the nearest pixel of another label, mm; the edge of the grid is no border.
    per_mm : float
        Pixels a mm.
    many : int
        How many shapes there are.
    """

    label: NDArray[np.int32]
    depth: NDArray[np.float32]
    per_mm: float
    many: int


def raster(shapes: Sequence[Shape], page: tuple[float, float], per_mm: float) -> Raster:
    """Draw shapes on a grid; where they overlap, the smaller lies on top.

    Parameters
    ----------
    shapes : sequence of Shape
        In mm.
    page : (width, height)
        What the grid covers from (0, 0) on, mm.
    per_mm : float
        Pixels a mm.
    """
    columns, rows = (max(1, round(side * per_mm)) for side in page)
    label = np.full(rows * columns, _NOTHING, dtype=np.int32)
    order = np.argsort(-areas(shapes), kind="stable") if shapes else np.zeros(0, dtype=np.int64)
    drawn = [(place, ring) for place, shape in enumerate(order) for ring in rings(shapes[shape])]
    if drawn:
        place, row, start, end = _spans(drawn, per_mm, rows, columns)
        many = end - start
        first = np.repeat(row * columns + start - (np.cumsum(many) - many), many)
        label[first + np.arange(len(first))] = np.repeat(order[place], many)  # what comes later lies on top
    grid = label.reshape(rows, columns)
    return Raster(grid, _depth(grid) / np.float32(per_mm), per_mm, len(shapes))


def pieces_of(plan: Raster, tile: float) -> Ints:
    """Number the pixels, (rows, columns): by their shape, those of none by squares of ``tile`` mm, from n on."""
    rows, columns = plan.label.shape
    size = max(1, round(tile * plan.per_mm))
    across = -(-columns // size)
    square = (np.arange(rows) // size * across)[:, None] + np.arange(columns) // size
    return np.where(plan.label >= 0, plan.label.astype(np.int64), square + plan.many)


def inner(plan: Raster, piece: Ints, inset: float, most: int) -> tuple[Ints, Floats]:
    """Choose pixels well inside each piece, always the same.

    Parameters
    ----------
    plan : Raster
        The shapes.
    piece : (rows, columns) ints
        From ``pieces_of``.
    inset : float
        Distance to the border that they have, mm; in a piece that is too narrow, half of the most there is.
    most : int
        How many of one piece there are, about, at most.

    Returns
    -------
    (m,) ints
        Places in the flat grid, rising.
    (pieces,) floats
        The most distance to the border that there is in each piece, mm.
    """
    of, depth = piece.ravel(), plan.depth.ravel()
    deepest = np.zeros(int(of.max()) + 1, dtype=np.float32)
    np.maximum.at(deepest, of, depth)
    at = np.flatnonzero(depth >= np.minimum(inset, deepest / 2)[of])
    many = np.bincount(of[at], minlength=len(deepest))
    return at[np.random.default_rng(0).random(len(at)) * many[of[at]] < most], deepest.astype(np.float64)


def _spans(
    drawn: Sequence[tuple[int, Floats]], per_mm: float, rows: int, columns: int
) -> tuple[Ints, Ints, Ints, Ints]:
    """Give the pieces of rows that rings cover, in the order of their places: place, row, first column, end."""
    many = [len(ring) for _, ring in drawn]
    here = np.concatenate([ring for _, ring in drawn]) * per_mm - 0.5
    there = np.concatenate([np.roll(ring, -1, axis=0) for _, ring in drawn]) * per_mm - 0.5
    place = np.repeat([number for number, _ in drawn], many)
    low = np.ceil(np.minimum(here[:, 1], there[:, 1])).clip(0, rows).astype(np.int64)
    high = np.ceil(np.maximum(here[:, 1], there[:, 1])).clip(0, rows).astype(np.int64)
    edge = np.repeat(np.arange(len(low)), high - low)
    row = np.arange(len(edge)) - np.repeat(np.cumsum(high - low) - (high - low), high - low) + low[edge]
    rise = there[edge, 1] - here[edge, 1]
    x = here[edge, 0] + (row - here[edge, 1]) / rise * (there[edge, 0] - here[edge, 0])
    order = np.lexsort((x, row, place[edge]))
    column = np.ceil(x[order]).clip(0, columns).astype(np.int64)
    return place[edge][order][::2], row[order][::2], column[::2], column[1::2]


def _depth(label: NDArray[np.int32]) -> NDArray[np.float32]:
    """Distance of each pixel to the border of its label, in pixels."""
    rim = np.zeros(label.shape, dtype=bool)
    for one, other in ((np.s_[:-1], np.s_[1:]), (np.s_[:, :-1], np.s_[:, 1:])):
        differ = label[one] != label[other]
        rim[one] |= differ
        rim[other] |= differ
    if not rim.any():
        return np.full(label.shape, float(sum(label.shape)), dtype=np.float32)
    return np.asarray(ndimage.distance_transform_edt(~rim) + 0.5, dtype=np.float32)


def beside(mask: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Give the pixels outside a mask that have one of it at a side."""
    near = np.zeros(mask.shape, dtype=bool)
    near[1:] |= mask[:-1]
    near[:-1] |= mask[1:]
    near[:, 1:] |= mask[:, :-1]
    near[:, :-1] |= mask[:, 1:]
    return near & ~mask
