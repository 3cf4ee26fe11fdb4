"""Upright boxes around outlines, by which a painter skips what cannot be seen."""

from collections.abc import Sequence
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from mockup.geometry.affine import Points

Box: TypeAlias = tuple[float, float, float, float]


def apart(box: Box, other: Box) -> bool:
    """Tell whether two boxes have no point in common."""
    return box[2] < other[0] or box[0] > other[2] or box[3] < other[1] or box[1] > other[3]


def inside(box: Box, other: Box) -> bool:
    """Tell whether ``box`` lies in ``other``."""
    return box[0] >= other[0] and box[1] >= other[1] and box[2] <= other[2] and box[3] <= other[3]


def around(boxes: Sequence[Box], margin: float = 0.0) -> Box:
    """One box around several, and ``margin`` more on each side."""
    x0, y0, x1, y1 = boxes[0]
    for box in boxes[1:]:
        x0, y0, x1, y1 = min(x0, box[0]), min(y0, box[1]), max(x1, box[2]), max(y1, box[3])
    return x0 - margin, y0 - margin, x1 + margin, y1 + margin


def upright(rings: Sequence[Points]) -> bool:
    """Tell whether the rings are one rectangle with its sides along the axes."""
    if len(rings) != 1 or len(rings[0]) != 4:
        return False
    steps = np.roll(rings[0], -1, axis=0) - rings[0]
    return bool(np.all(np.count_nonzero(steps, axis=1) == 1) and np.all((steps[0] == 0) == (steps[2] == 0)))


def boxes_of(points: NDArray[np.float64], counts: NDArray[np.int64]) -> tuple[Box, ...]:
    """Boxes around runs of points that follow each other."""
    firsts = np.concatenate(([0], np.cumsum(counts)[:-1]))
    bounds = np.hstack((np.minimum.reduceat(points, firsts), np.maximum.reduceat(points, firsts)))
    return tuple((x0, y0, x1, y1) for x0, y0, x1, y1 in bounds.tolist())
