"""Curves into points, so fine that no chord leaves its curve by more than a tolerance.

Each curve is cut in equal steps of its own parameter. A Bezier curve leaves a chord of parameter length h by
at most h^2/8 max |B''|; the second derivative of a quadratic is 2, of a cubic at most 6 times the (larger)
second difference of its control points. A step of angle h on an ellipse leaves it by at most
s (1 - cos h/2) = 2 s sin^2 h/4, where s is its larger half axis.

References
----------
Wang's bound: G. Farin, Curves and Surfaces for CAGD, 5th ed., section 5.6, degrees 2 and 3 (from memory).
"""

import math
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from mockup.errors import DrawingError
from mockup.geometry.affine import Affine, Points
from mockup.geometry.path import Arc, Cubic, Point, Quadratic, Segment, Subpath

MOST_POINTS: Final = 2_000_000
_COARSEST: Final = math.pi / 4
_OFTEN: Final = 256


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
    start = _mapped(transform, subpath.start)
    pieces = [np.array([start])]
    count = 1
    for segment in subpath.segments:
        piece, start = _cut(segment, start, transform, tolerance)
        pieces.append(piece)
        count += len(piece)
        if count > MOST_POINTS:
            raise _too_many()
    return _without_repeats(np.concatenate(pieces), subpath.closed)


def flatten_cubics(curves: Points, tolerance: float) -> tuple[Points, NDArray[np.int64]]:
    """Cut many cubic curves into straight pieces, each as :func:`flatten` does.

    Parameters
    ----------
    curves : (n, 4, 2) floats
        Start, two handles and end of each, mm.
    tolerance : float
        Largest distance (mm) between a chord and its curve.

    Returns
    -------
    points : (m, 2) floats
        The points of each after its start, mm, one curve after the other.
    many : (n,) ints
        How many points each has.
    """
    bend = np.diff(curves, n=2, axis=1)
    farthest = 6 * np.hypot(bend[..., 0], bend[..., 1]).max(axis=1)
    many = np.maximum(np.ceil(np.sqrt(farthest / 8 / tolerance)), 1).astype(np.int64)
    first = np.cumsum(many) - many
    points = np.empty((int(many.sum()), 2))
    for steps in np.unique(many).tolist():
        alike = np.flatnonzero(many == steps)
        points[first[alike, np.newaxis] + np.arange(steps)] = _bernstein(steps, 3) @ curves[alike]
    return points, many


def _cut(segment: Segment, start: Point, transform: Affine, tolerance: float) -> tuple[Points, Point]:
    """Give the points of a segment after its (mapped) start, and its mapped end."""
    end = _mapped(transform, segment.end)
    if isinstance(segment, Cubic):
        first, second = _mapped(transform, segment.first), _mapped(transform, segment.second)
        bend = 6 * max(_second_difference(start, first, second), _second_difference(first, second, end))
        return _bezier(_steps(math.sqrt(bend / 8 / tolerance)), (start, first, second, end)), end
    if isinstance(segment, Quadratic):
        control = _mapped(transform, segment.control)
        bend = 2 * _second_difference(start, control, end)
        return _bezier(_steps(math.sqrt(bend / 8 / tolerance)), (start, control, end)), end
    if isinstance(segment, Arc):
        points = _arc(segment, transform, tolerance)
        points[-1] = end
        return points, end
    return np.array([end]), end


def _mapped(transform: Affine, point: Point) -> Point:
    x, y = point
    return (
        transform.a * x + transform.c * y + transform.e,
        transform.b * x + transform.d * y + transform.f,
    )


def _second_difference(p: Point, q: Point, r: Point) -> float:
    return math.hypot(p[0] - 2 * q[0] + r[0], p[1] - 2 * q[1] + r[1])


def _steps(wanted: float) -> int:
    if wanted > MOST_POINTS:
        raise _too_many()
    return max(1, math.ceil(wanted))


def _bezier(steps: int, control: tuple[Point, ...]) -> Points:
    """Give the points of a Bezier curve after its start at equal steps of its parameter."""
    degree = len(control) - 1
    weights = _often(steps, degree) if steps <= _OFTEN else _bernstein(steps, degree)
    return np.asarray(weights @ np.array(control))


def _bernstein(steps: int, degree: int) -> Points:
    """Evaluate the Bernstein polynomials at 1/n, 2/n ... 1, (steps, degree + 1)."""
    t = np.arange(1, steps + 1) / steps
    columns = [math.comb(degree, k) * (1 - t) ** (degree - k) * t**k for k in range(degree + 1)]
    return np.column_stack(columns)


_often = lru_cache(maxsize=2 * _OFTEN)(_bernstein)


def _arc(arc: Arc, transform: Affine, tolerance: float) -> Points:
    """Give the points of an arc after its start: middle + u cos + v sin, u and v the mapped half axes."""
    turn, (rx, ry) = math.radians(arc.turn), arc.axes
    own = Affine(
        math.cos(turn) * rx, math.sin(turn) * rx, -math.sin(turn) * ry, math.cos(turn) * ry, *arc.middle
    )
    ellipse = transform @ own
    share = tolerance / max(_longest(ellipse), tolerance)
    steps = _steps(abs(math.radians(arc.span)) / min(4 * math.asin(math.sqrt(share / 2)), _COARSEST) - 1e-9)
    angle = np.radians(arc.begin + arc.span / steps * np.arange(1, steps + 1))
    circle = np.empty((steps, 2))
    np.cos(angle, out=circle[:, 0])
    np.sin(angle, out=circle[:, 1])
    return ellipse.apply(circle)


def _longest(ellipse: Affine) -> float:
    """Give the larger half axis of what a map makes of the unit circle: its larger singular value."""
    squares = ellipse.a**2 + ellipse.b**2 + ellipse.c**2 + ellipse.d**2
    spread = math.sqrt(max(squares**2 - 4 * ellipse.determinant**2, 0.0))
    return math.sqrt((squares + spread) / 2)


def _without_repeats(points: Points, closed: bool) -> Points:
    """Drop points that repeat the one before, and in a closed line the last where it is the first again."""
    keep = np.ones(len(points), dtype=bool)
    keep[1:] = (points[1:] != points[:-1]).any(axis=1)
    points = points[keep]
    if closed and len(points) > 1 and (points[0] == points[-1]).all():
        points = points[:-1]
    return points


def _too_many() -> DrawingError:
    return DrawingError(f"a path is so large that it would take more than {MOST_POINTS} points")
