"""Shapes as squares of a grid: how much of each square they cover, and the same for points that carry an area."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from mockup.geometry.affine import Points
from mockup.geometry.shapes import Shape, pieces, rings

Floats = NDArray[np.float64]

_ACROSS = 4
"""Lines that are looked at in one row of squares."""


def grid_of(cell: tuple[float, float], grain: float) -> tuple[int, int]:
    """Rows and columns of squares of about ``grain`` mm in a cell of width x height mm."""
    return max(1, round(cell[1] / grain)), max(1, round(cell[0] / grain))


def covered(shapes: Sequence[Shape], cell: tuple[float, float], grain: float, wraps: bool) -> Floats:
    """Share of each square that the shapes cover, (rows, columns) of 0 to 1.

    Each square is crossed by four level lines; along them the lengths inside are exact.

    Parameters
    ----------
    shapes : sequence of Shape
        In mm from the cell's top left; they do not overlap.
    cell : (float, float)
        Width and height, mm.
    grain : float
        About the side of a square, mm.
    wraps : bool
        Whether what runs over one edge comes in at the opposite one; else it is cut off.
    """
    rows, columns = grid_of(cell, grain)
    size = np.array([cell[0] / columns, cell[1] / (rows * _ACROSS)])
    found = np.zeros((rows * _ACROSS, columns))
    edges = [
        _edges(ring / size, outer=not number)
        for shape in shapes
        for piece in pieces(shape)
        for number, ring in enumerate(rings(piece))
    ]
    if not edges:
        return found[::_ACROSS]
    line, x, turn = _crossings(np.concatenate(edges))
    if wraps:
        whole = np.floor(x / columns)
        line, x = line % len(found), x - whole * columns
        np.add.at(found, line, (turn * -whole)[:, None])
    else:
        keep = (line >= 0) & (line < len(found))
        line, x, turn = line[keep], np.clip(x[keep], 0, columns), turn[keep]
    square = np.minimum(x.astype(np.int64), columns - 1)
    inside = np.zeros_like(found)
    np.add.at(found, (line, square), turn * (square + 1 - x))
    np.add.at(inside, (line, square), turn)
    later = np.cumsum(inside, axis=1) - inside
    return np.asarray((found + later).reshape(rows, _ACROSS, columns).mean(axis=1))


def _edges(ring: Points, *, outer: bool) -> Floats:
    """Give the edges of a ring, (m, 2, 2): outlines all run one way, holes the other."""
    x, y = ring.T
    ahead = float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum()) > 0
    way = ring if ahead == outer else ring[::-1]
    return np.stack((way, np.roll(way, -1, axis=0)), axis=1)


def _crossings(edges: Floats) -> tuple[NDArray[np.int64], Floats, Floats]:
    """Where edges (m, 2, 2) cross the lines at half numbers: line, x, and 1 where the inside begins, else -1."""
    low, high = edges[..., 1].min(axis=1), edges[..., 1].max(axis=1)
    first, last = np.ceil(low - 0.5).astype(np.int64), np.ceil(high - 0.5).astype(np.int64)
    many = last - first
    edge = np.repeat(np.arange(len(edges)), many)
    line = np.arange(len(edge)) - np.repeat(np.cumsum(many) - many, many) + first[edge]
    (x0, y0), (x1, y1) = edges[edge, 0].T, edges[edge, 1].T
    return line, x0 + (line + 0.5 - y0) / (y1 - y0) * (x1 - x0), np.where(y1 < y0, 1.0, -1.0)


def strewn(area: Floats, place: Points, cell: tuple[float, float], grain: float, wraps: bool) -> Floats:
    """Share of each square that areas would cover if each lay in the square of its place, (rows, columns).

    Parameters
    ----------
    area : (n,) floats
        mm2.
    place : (n, 2) floats
        mm from the cell's top left.
    cell, grain, wraps
        As for ``covered``.
    """
    rows, columns = grid_of(cell, grain)
    spot = np.floor(np.asarray(place) / cell * [columns, rows]).astype(np.int64)
    column, row = (spot % [columns, rows] if wraps else np.clip(spot, 0, [columns - 1, rows - 1])).T
    found = np.zeros((rows, columns))
    np.add.at(found, (row, column), area)
    return found / (cell[0] * cell[1] / (rows * columns))
