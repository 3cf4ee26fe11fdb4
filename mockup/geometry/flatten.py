"""Curves into points, so fine that no chord leaves its curve by more than a tolerance.

Each curve is cut in equal steps of its own parameter. A Bezier curve leaves a chord of parameter length h by
at most h^2/8 max |B''|, and the second derivative of a cubic is at most 6 times the larger second difference
of its control points. A step of angle h on an ellipse leaves it by at most s (1 - cos h/2), s its larger half axis.

References
----------
Wang's bound: G. Farin, Curves and Surfaces for CAGD, 5th ed., section 5.6, degrees 2 and 3 (from memory).
"""

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from mockup.errors import DrawingError
from mockup.geometry.affine import Affine, Points
from mockup.geometry.path import Arc, Cubic, Point, Quadratic, Segment, Subpath

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]

MOST_POINTS: Final = 2_000_000
_COARSEST: Final = np.pi / 4


def flatten(subpath: Subpath, transform: Affine, tolerance: float) -> Points:
    """Cut a subpath into straight pieces.

    Parameters
    ----------
    subpath : Subpath
        In units of its own.
    transform : Affine
        From those units to mm.
    tolerance : float
        Largest distance (mm) between a chord and its curve.

    Returns
    -------
    Points
        (n, 2) floats, mm; no point repeats the one before, nor the last of a closed subpath its first.

    Raises
    ------
    DrawingError
        The curves are so large that more than ``MOST_POINTS`` points were needed.
    """
    segments = subpath.segments
    starts = [subpath.start, *(segment.end for segment in segments)][:-1]
    curved = [i for i, segment in enumerate(segments) if not isinstance(segment, Arc)]
    turned = [i for i, segment in enumerate(segments) if isinstance(segment, Arc)]
    control = _mapped(transform, [_cubic(starts[i], segments[i]) for i in curved])
    ellipse, angles = _ellipses([segment for segment in segments if isinstance(segment, Arc)], transform)
    count = np.ones(len(segments), dtype=np.int64)
    count[curved] = _cubic_steps(control, tolerance)
    count[turned] = _arc_steps(ellipse, angles, tolerance)
    if count.sum() > MOST_POINTS:
        raise DrawingError(f"a path is so large that it would take more than {MOST_POINTS} points")
    points = np.empty((count.sum() + 1, 2))
    last = np.cumsum(count)
    points[0] = _mapped(transform, [(subpath.start,)])[0, 0]
    row, step = _steps(count[curved])
    points[(last - count)[curved][row] + step] = _on_cubics(control[row], step / count[curved][row])
    row, step = _steps(count[turned])
    share = step / count[turned][row]
    points[(last - count)[turned][row] + step] = _on_ellipses(ellipse[row], angles[row], share)
    if turned:
        points[last[turned]] = _mapped(transform, [(segments[i].end,) for i in turned])[:, 0]
    return _without_repeats(points, subpath.closed)


def _mapped(transform: Affine, rows: Sequence[Sequence[Point]]) -> Floats:
    """Map rows of k points each to (n, k, 2) floats."""
    if not rows:
        return np.zeros((0, 4, 2))
    return transform.apply(np.array(rows, dtype=float).reshape(-1, 2)).reshape(len(rows), -1, 2)


def _cubic(start: Point, segment: Segment) -> tuple[Point, Point, Point, Point]:
    """Write a line or a curve as the cubic that draws the same with the same parameter."""
    end = segment.end
    if isinstance(segment, Cubic):
        return start, segment.first, segment.second, end
    if isinstance(segment, Quadratic):
        return start, _between(start, segment.control, 2 / 3), _between(end, segment.control, 2 / 3), end
    return start, _between(start, end, 1 / 3), _between(start, end, 2 / 3), end


def _between(one: Point, other: Point, share: float) -> Point:
    return one[0] + (other[0] - one[0]) * share, one[1] + (other[1] - one[1]) * share


def _cubic_steps(control: Floats, tolerance: float) -> Ints:
    """Count the steps of each cubic, (n, 4, 2): h^2/8 * 6 bend <= tolerance."""
    bend = np.linalg.norm(control[:, :-2] - 2 * control[:, 1:-1] + control[:, 2:], axis=2).max(axis=1)
    return np.asarray(np.ceil(np.sqrt(0.75 * bend / tolerance)).clip(1), dtype=np.int64)


def _ellipses(arcs: Sequence[Arc], transform: Affine) -> tuple[Floats, Floats]:
    """Give mapped ellipses, (n, 3, 2): middle and two half diameters, and angles, (n, 2): begin and span."""
    middle = np.array([arc.middle for arc in arcs], dtype=float).reshape(-1, 2)
    axes = np.array([arc.axes for arc in arcs], dtype=float).reshape(-1, 2)
    turn = np.radians(np.array([arc.turn for arc in arcs], dtype=float))
    first = np.column_stack((np.cos(turn), np.sin(turn))) * axes[:, :1]
    second = np.column_stack((-np.sin(turn), np.cos(turn))) * axes[:, 1:]
    linear = Affine(transform.a, transform.b, transform.c, transform.d)
    mapped = (transform.apply(middle), linear.apply(first), linear.apply(second))
    angles = np.radians(np.array([(arc.begin, arc.span) for arc in arcs], dtype=float).reshape(-1, 2))
    return np.stack(mapped, axis=1), angles


def _arc_steps(ellipse: Floats, angles: Floats, tolerance: float) -> Ints:
    """Count the steps of each arc: s (1 - cos h/2) <= tolerance, at least eight to a full turn."""
    size = np.linalg.norm(ellipse[:, 1:], ord=2, axis=(1, 2)) if len(ellipse) else np.zeros(0)
    step = 2 * np.arccos(1 - np.minimum(tolerance / np.maximum(size, tolerance), 1.0))
    steps = np.ceil(np.abs(angles[:, 1]) / np.minimum(step, _COARSEST) - 1e-9)
    return np.asarray(steps.clip(1), dtype=np.int64)


def _steps(count: Ints) -> tuple[Ints, Ints]:
    """List the steps of all curves: which curve, and which of its steps from 1 up."""
    row = np.repeat(np.arange(len(count)), count)
    return row, np.arange(1, len(row) + 1) - np.repeat(np.cumsum(count) - count, count)


def _on_cubics(control: Floats, t: Floats) -> Points:
    """Point of each curve, (n, 4, 2), at its parameter, (n,)."""
    u = 1 - t
    weights = np.stack((u**3, 3 * u**2 * t, 3 * u * t**2, t**3), axis=1)
    return np.asarray((weights[:, :, None] * control).sum(axis=1))


def _on_ellipses(ellipse: Floats, angles: Floats, t: Floats) -> Points:
    """Point of each arc, middle + first cos + second sin, at its share, (n,), of the span."""
    angle = (angles[:, 0] + angles[:, 1] * t)[:, None]
    return np.asarray(ellipse[:, 0] + ellipse[:, 1] * np.cos(angle) + ellipse[:, 2] * np.sin(angle))


def _without_repeats(points: Points, closed: bool) -> Points:
    """Drop points that repeat the one before, and in a closed line the last where it is the first again."""
    keep = np.ones(len(points), dtype=bool)
    keep[1:] = (points[1:] != points[:-1]).any(axis=1)
    points = points[keep]
    if closed and len(points) > 1 and (points[0] == points[-1]).all():
        points = points[:-1]
    return points
