"""Chains of cubic curves: drawn half, mirrored, turned, sampled and measured, for outlines that are made by rule.

A chain is one array of control points; each curve begins where the one before ends. y runs down, lengths are mm.

References
----------
A quarter of a circle as one cubic, handles of 0.5523 radii (at most 2.7e-4 of the radius off): M. Goldapp,
"Approximation of circular arcs by cubic polynomials", Computer Aided Geometric Design 8, 1991 (from memory).
Tangents at the points of a smooth line: parallel to the chord from the neighbour before to the one after, as
in E. Catmull and R. Rom, "A class of local interpolating splines", 1974 (from memory).
"""

import math
from collections.abc import Collection, Sequence
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from mockup.geometry.affine import Affine, Points, rotation
from mockup.geometry.shapes import Box

Curves: TypeAlias = NDArray[np.float64]
"""(n, 4, 2) floats, mm: start, two handles and end of each curve."""

Point: TypeAlias = tuple[float, float]

ROUND: Final = 0.5523
"""Handle of a quarter circle, over its radius."""

_MEANT: Final = 24.0
"""Least turn of a corner, degrees."""

_SMOOTH: Final = 1.0
"""Largest turn of a joint that counts as smooth, degrees."""

_HANDLE: Final = 0.36
"""Handle of a curve between two points of a smooth line, over their distance."""


def curve(start: Point, first: Point, second: Point, end: Point) -> Curves:
    """Give one curve as a chain."""
    return np.array([[start, first, second, end]], dtype=float)


def straight(start: Point, end: Point) -> Curves:
    """Give a straight line as a chain of one curve."""
    ends = np.array([start, end], dtype=float)
    return np.array([np.linspace(ends[0], ends[1], 4)])


def joined(*chains: Curves) -> Curves:
    """Put chains one after the other."""
    return np.concatenate(chains)


def moved(curves: Curves, transform: Affine) -> Curves:
    """Map a chain."""
    return transform.apply(curves.reshape(-1, 2)).reshape(-1, 4, 2)


def reversed_curves(curves: Curves) -> Curves:
    """Run through a chain the other way."""
    return curves[::-1, ::-1]


def mirrored(half: Curves) -> Curves:
    """Close a chain by its mirror image in the x axis, by straight lines where its ends lie off the axis."""
    whole = joined(half, reversed_curves(half * (1.0, -1.0)))
    gap = whole[-1, 3], whole[0, 0]
    if math.dist(*gap) > 1e-9:
        whole = joined(whole, straight((gap[0][0], gap[0][1]), (gap[1][0], gap[1][1])))
    return whole


def wheel(sector: Curves, count: int) -> Curves:
    """Turn a sector ``count`` times about the origin into one closed chain; its end, turned on, is its start."""
    return joined(*(moved(sector, rotation(360.0 * number / count)) for number in range(count)))


def circle(x: float, y: float, radius: float) -> Curves:
    """Give a circle."""
    k = ROUND
    quarter = curve((1, 0), (1, k), (k, 1), (0, 1))
    return moved(wheel(quarter, 4), Affine(a=radius, d=radius, e=x, f=y))


def smooth(
    points: Sequence[Point], *, closed: bool, corners: Collection[int] = (), bow: float = 1.0
) -> Curves:
    """Draw a smooth line through points; at those whose numbers are in ``corners`` it may turn sharply.

    A corner that would turn by less than 24 degrees is made smooth, so that every joint is either smooth or meant.
    ``bow`` is how far curves bend towards a corner: 0 for straight ends, 1 for even bends.
    """
    through = np.array(points, dtype=float)
    sharp = set(corners)
    while True:
        curves = _through(through, closed, sharp, bow)
        turned = turns(curves)
        slight = {number for number in sharp if number < len(turned) and turned[number] < _MEANT}
        if not closed:
            slight -= {0}
        if not slight:
            return curves
        sharp -= slight


def _through(through: Points, closed: bool, corners: Collection[int], bow: float) -> Curves:
    along = _tangents(through, closed)
    start, end = through, np.roll(through, -1, axis=0)
    leaving, coming = along, -np.roll(along, -1, axis=0)
    sharp = np.isin(np.arange(len(through)), list(corners))[:, np.newaxis]
    bent_away = _bent(start, end, -coming, bow)
    bent_home = _bent(end, start, -leaving, bow)
    leaving, coming = (
        np.where(sharp, bent_away, leaving),
        np.where(np.roll(sharp, -1, axis=0), bent_home, coming),
    )
    reach = np.hypot(*(end - start).T)[:, np.newaxis] * _HANDLE
    curves = np.stack([start, start + leaving * reach, end + coming * reach, end], axis=1)
    return curves if closed else curves[:-1]


def _tangents(through: Points, closed: bool) -> Points:
    """Give the unit tangent at each point: along the chord of its neighbours, weighted to the nearer one."""
    on = np.roll(through, -1, axis=0) - through
    length = np.hypot(*on.T)[:, np.newaxis]
    back, back_length = np.roll(on, 1, axis=0), np.roll(length, 1, axis=0)
    along = back / np.maximum(back_length, 1e-12) * length + on / np.maximum(length, 1e-12) * back_length
    if not closed:
        along[0], along[-1] = on[0], back[-1]
    return np.asarray(along / np.maximum(np.hypot(*along.T), 1e-12)[:, np.newaxis])


def _bent(start: Points, end: Points, arriving: Points, bow: float) -> Points:
    """Give the directions in which lines leave corners so that they bend evenly to their next tangents."""
    chord = end - start
    chord = chord / np.maximum(np.hypot(*chord.T), 1e-12)[:, np.newaxis]
    even = 2 * (chord * arriving).sum(axis=1)[:, np.newaxis] * chord - arriving
    bent = bow * even + chord
    return np.asarray(bent / np.maximum(np.hypot(*bent.T), 1e-12)[:, np.newaxis])


def eased(curves: Curves) -> Curves:
    """Make smooth the joints of a closed chain that turn too little for corners, by the curve that begins there."""
    turned = turns(curves)
    made = curves.copy()
    slight = (turned > _SMOOTH) & (turned < _MEANT)
    coming = -_first_of(np.roll(curves, 1, axis=0)[:, ::-1])
    length = np.hypot(*_first_of(curves).T) / np.hypot(*coming.T)
    made[slight, 1] = (curves[:, 0] + coming * length[:, np.newaxis])[slight]
    return made


def sampled(curves: Curves, steps: int = 12) -> Points:
    """Give points of a chain at equal steps of each curve's parameter, (n * steps, 2), ends left out."""
    t = (np.arange(steps) / steps)[:, np.newaxis]
    weights = np.hstack([(1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t**2 * (1 - t), t**3])
    return np.asarray(np.einsum("sk,nkd->nsd", weights, curves).reshape(-1, 2))


def extent(curves: Curves) -> Box:
    """Smallest upright box (x0, y0, x1, y1) round a chain, mm, by the zeros of its derivatives."""
    found = [curves[:, 0].copy(), curves[:, 3].copy()]
    for axis in (0, 1):
        p0, p1, p2, p3 = (curves[:, number, axis] for number in range(4))
        a, b, c = p3 - 3 * p2 + 3 * p1 - p0, 2 * (p2 - 2 * p1 + p0), p1 - p0
        for t in _roots(a, b, c):
            inside = (t > 0) & (t < 1)
            if inside.any():
                one, of = t[inside][:, np.newaxis], curves[inside]
                found.append(
                    (1 - one) ** 3 * of[:, 0]
                    + 3 * one * (1 - one) ** 2 * of[:, 1]
                    + 3 * one**2 * (1 - one) * of[:, 2]
                    + one**3 * of[:, 3]
                )
    points = np.concatenate(found)
    (x0, y0), (x1, y1) = points.min(axis=0), points.max(axis=0)
    return float(x0), float(y0), float(x1), float(y1)


def _roots(a: Points, b: Points, c: Points) -> list[Points]:
    """Zeros of a t^2 + b t + c, each (n,); beyond 0 to 1 where there is none."""
    flat = np.abs(a) < 1e-12
    under = b * b - 4 * a * c
    root = np.sqrt(np.maximum(under, 0.0))
    safe = np.where(flat, 1.0, 2 * a)
    slope = np.where(np.abs(b) < 1e-12, 1.0, b)
    lone = np.where(np.abs(b) < 1e-12, -1.0, -c / slope)
    pair = [np.where(flat, lone, np.where(under < 0, -1.0, (-b + sign * root) / safe)) for sign in (1, -1)]
    return [np.asarray(one) for one in pair]


def turns(curves: Curves) -> NDArray[np.float64]:
    """Angle in degrees, 0 to 180, by which a closed chain turns where each curve begins, (n,)."""
    leaving = _first_of(curves)
    coming = -_first_of(np.roll(curves, 1, axis=0)[:, ::-1])
    cross = coming[:, 0] * leaving[:, 1] - coming[:, 1] * leaving[:, 0]
    return np.asarray(np.abs(np.degrees(np.arctan2(cross, (coming * leaving).sum(axis=1)))))


def _first_of(curves: Curves) -> Points:
    """Give the direction in which each curve leaves its start, (n, 2): to the first point that lies elsewhere."""
    steps = curves[:, 1:] - curves[:, :1]
    elsewhere = (np.hypot(steps[..., 0], steps[..., 1]) > 1e-9).argmax(axis=1)
    return np.asarray(steps[np.arange(len(curves)), elsewhere])
