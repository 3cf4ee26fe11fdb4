"""Smooth tints as opaque squares, and lines of equal height: pictures without transparency, gradients or images.

Each run of squares reaches a square further right and down than it shows, and the next is painted over it; so no
background shines through where two meet.
"""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from mockup.geometry import shapes
from mockup.geometry.affine import Points
from mockup.geometry.shapes import Box
from mockup.rendering.scene import Clip, Fill, Item

Floats = NDArray[np.float64]

_STEP = 2
"""Steps of 255 by which the colour of a run may be off."""


def mosaic(colours: Floats, box: Box, layer: str) -> Clip:
    """Fill a box with squares of colour; those at its edge run on beyond it and are cut off.

    Parameters
    ----------
    colours : (rows, columns, 3) floats
        sRGB, 0 to 1.
    box : Box
        Where on the sheet, mm.
    layer : str
        Name of what it belongs to.
    """
    levels = np.rint(np.clip(colours, 0, 1) * 255).astype(np.int64)
    rows, columns = levels.shape[:2]
    wide, high = (box[2] - box[0]) / columns, (box[3] - box[1]) / rows
    items: list[Item] = []
    for row, line in enumerate(levels):
        top, bottom = box[1] + (row - (row == 0)) * high, box[1] + (row + 2) * high
        for first, last, colour in _runs(line):
            left, right = box[0] + (first - (first == 0)) * wide, box[0] + (last + 1) * wide
            items.append(Fill(shapes.rings(shapes.rectangle(left, top, right, bottom)), colour, layer))
    return Clip(shapes.rings(shapes.rectangle(*box)), tuple(items))


def _runs(line: NDArray[np.int64]) -> Iterator[tuple[int, int, str]]:
    """Give runs of squares of nearly one colour: first, last (left out), and the colour between its extremes."""
    first, low, high = 0, line[0], line[0]
    for at in range(1, len(line) + 1):
        if at < len(line):
            lower, higher = np.minimum(low, line[at]), np.maximum(high, line[at])
            if (higher - lower).max() <= _STEP:
                low, high = lower, higher
                continue
        red, green, blue = ((low + high) // 2).tolist()
        yield first, at, f"#{red:02x}{green:02x}{blue:02x}"
        if at < len(line):
            first, low, high = at, line[at], line[at]


def contours(heights: Floats, level: float, box: Box) -> tuple[Points, ...]:
    """Find lines of equal height, as short pieces from side to side of the squares between the points of a grid.

    Parameters
    ----------
    heights : (rows, columns) floats
        Heights at the middles of squares that fill the box; the lines run on for half a square beyond it.
    level : float
        The height of the lines.
    box : Box
        Where on the sheet, mm.

    Returns
    -------
    tuple of (2, 2) floats
        Pieces, mm.

    References
    ----------
    Marching squares: W. Lorensen and H. Cline, Marching Cubes, Computer Graphics 21 (1987), in the plane (from memory).
    """
    rows, columns = heights.shape
    grid = np.pad(np.nan_to_num(heights - level, nan=-1.0), 1, mode="edge")
    grid = np.where(grid == 0, 1e-12, grid)
    corner = np.stack((grid[:-1, :-1], grid[:-1, 1:], grid[1:, 1:], grid[1:, :-1]), axis=-1)
    around = np.array([[0, 0], [1, 0], [1, 1], [0, 1], [0, 0]], dtype=float)
    start, end = corner, np.roll(corner, -1, axis=-1)
    crossed = (start > 0) != (end > 0)
    with np.errstate(divide="ignore", invalid="ignore"):
        part = np.where(crossed, start / (start - end), 0.0)
    spot = around[:4] + part[..., None] * (around[1:] - around[:4])
    row, column = np.nonzero(crossed.any(axis=-1))
    size = np.array([(box[2] - box[0]) / columns, (box[3] - box[1]) / rows])
    pieces: list[Points] = []
    for y, x in zip(row.tolist(), column.tolist(), strict=True):
        points = (spot[y, x][crossed[y, x]] + [x - 0.5, y - 0.5]) * size + [box[0], box[1]]
        pieces += [points[at : at + 2] for at in range(0, len(points), 2)]
    return tuple(pieces)
