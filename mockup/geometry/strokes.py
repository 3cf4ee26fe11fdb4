"""The area that a drawn stroke covers.

References
----------
SVG 2, section 13.5 (stroke-linecap, stroke-linejoin, stroke-miterlimit).
"""

import math
from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np
import shapely

from mockup.errors import DrawingError
from mockup.geometry.affine import Points
from mockup.geometry.shapes import EMPTY, GRID, Shape, as_shape

MOST_POINTS: Final = 200_000
_CAPS: Final = {"butt": "flat", "round": "round", "square": "square"}
_SLIGHT: Final = math.cos(math.radians(8))
"""Cosine of the slightest turn of which the mitre is drawn; less is the bend of a curve in straight pieces."""


class Pen(NamedTuple):
    """How a stroke is drawn: its width in mm, its ends and corners by their words in SVG, and the limit of mitres."""

    width: float
    cap: str = "butt"
    join: str = "miter"
    limit: float = 4.0


def stroked(lines: Sequence[Points], closed: Sequence[bool], pen: Pen, tolerance: float) -> Shape:
    """Give the outline of strokes.

    Parameters
    ----------
    lines : sequence of Points
        (n, 2) floats in mm each; one of a single point is a dot.
    closed : sequence of bool
        Whether each runs on to its first point.
    pen : Pen
        How they are drawn.
    tolerance : float
        How far (mm) a straight piece may leave a round end or corner.

    Raises
    ------
    DrawingError
        The lines are too many to be outlined.
    """
    if sum(map(len, lines)) > MOST_POINTS:
        raise DrawingError(f"strokes of more than {MOST_POINTS} points cannot be outlined")
    drawn = [_line(line, shut) for line, shut in zip(lines, closed, strict=True)]
    covered = shapely.buffer(
        np.array(drawn, dtype=object),
        pen.width / 2,
        quad_segs=_segments(pen.width / 2, tolerance),
        cap_style=_CAPS.get(pen.cap, "flat"),
        join_style="round" if pen.join == "round" else "bevel",
    ).tolist()
    if pen.join not in ("round", "bevel"):
        for line, shut in zip(lines, closed, strict=True):
            covered += _mitres(line, shut, pen)
    whole = shapely.union_all(np.array(covered, dtype=object), grid_size=GRID)
    return EMPTY if whole.is_empty else as_shape(whole)


def _mitres(line: Points, closed: bool, pen: Pen) -> list[shapely.Polygon]:
    """Give what mitres add to the bevels of a line: at corners that are not too sharp, nor too slight to be seen."""
    ring = np.vstack((line[-1:], line, line[:1])) if closed else line
    steps = np.diff(ring, axis=0)
    length = np.hypot(*steps.T)
    along = (steps / np.maximum(length, 1e-12)[:, np.newaxis])[:, ::-1] * (1.0, -1.0)
    before, after, corners = along[:-1], along[1:], ring[1:-1]
    cosine = (before * after).sum(axis=1)
    outside = np.sign(before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0])[:, np.newaxis]
    reach = np.sqrt(2 / np.maximum(1 + cosine, 1e-12))
    sharp = (cosine < _SLIGHT) & (reach <= pen.limit)
    half = pen.width / 2 * outside
    tips = corners + (before + after) / np.maximum(1 + cosine, 1e-12)[:, np.newaxis] * half
    kites = np.stack([corners, corners + before * half, tips, corners + after * half], axis=1)
    return [shapely.Polygon(kite) for kite in kites[sharp]]


def _line(line: Points, closed: bool) -> shapely.Geometry:
    if len(line) < 2:
        return shapely.Point(line[0])
    if closed and len(line) > 2:
        return shapely.LinearRing(line)
    return shapely.LineString(line)


def _segments(radius: float, tolerance: float) -> int:
    """Give how many chords a quarter circle takes."""
    share = min(tolerance / max(radius, tolerance), 0.5)
    return max(2, math.ceil(math.pi / 4 / math.acos(1 - share)))
