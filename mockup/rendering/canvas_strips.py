"""Strokes as areas: what a round pen of a given width covers along a line, as rings to be filled non-zero.

A walk goes round a closed line once on each side of it, and along an open line there and back. The pen's
edge is followed on the walk's left. At a gentle corner it has one point (a mitre that stands out less than
``detail``); at any other corner it goes round the outside in a fan, and through the corner itself on the
inside. So the area is a sum of quadrilaterals and fans that are all turned the same way: the winding number
is 1 or more exactly where the pen has been. Cairo strokes the same area, but with four edges a point where
two do, which costs it two thirds more time in filling.

References
----------
PostScript Language Reference, third edition, section 4.5 (stroking: the area under the pen, round joins).
"""

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from mockup.geometry.affine import Points

_Numbers = NDArray[np.float64]
_Counts = NDArray[np.int64]

_FAN: Final = 0.3
"""How much finer than mitres fans are: they are few, and they show."""


def walks(line: Points, closed: bool) -> tuple[Points, ...]:
    """Give the closed walks, each (n, 2), of which the left sides together are the edge of a pen's path."""
    if closed and len(line) > 2:
        return line, line[::-1]
    return (np.concatenate((line, line[-2:0:-1])),) if len(line) > 2 else (line,)


def strips(points: Points, counts: _Counts, halves: Sequence[float], detail: float) -> tuple[Points, _Counts]:
    """Give the ring on the left of each walk, at half the pen's width from it.

    Parameters
    ----------
    points : (n, 2) floats, mm
        Closed walks, one after the other; one of a single place gives a disc.
    counts : (k,) ints
        How many points each walk has, at least one.
    halves : sequence of float
        Half the width of each one's pen, mm.
    detail : float
        How far the rings may stand off the true edge, mm.

    Returns
    -------
    (m, 2) floats, (k,) ints
        The points of all rings, one ring after the other, and how many each has.
    """
    half = np.repeat(np.asarray(halves, dtype=np.float64), counts)
    points, half, counts = _without_repeats(points, half, counts)
    arriving, leaving, shorter = _sides(points, counts)
    cosine = np.einsum("ij,ij->i", arriving, leaving)
    sine = arriving[:, 0] * leaving[:, 1] - arriving[:, 1] * leaving[:, 0]
    span = np.maximum(1.0 + cosine, 1e-9)
    standing_out = half * (np.sqrt(2.0 / span) - 1.0)
    taken = half * np.abs(sine) / span
    edge = points + _left(arriving + leaving) * (half / span)[:, np.newaxis]
    sharp = np.flatnonzero((standing_out > detail) | (taken > 0.5 * shorter))
    turn = np.where(sine[sharp] == 0.0, np.pi, np.arctan2(sine[sharp], cosine[sharp]))
    turn[shorter[sharp] == 0.0] = 2.0 * np.pi
    corners, many = _corners(points[sharp], arriving[sharp], leaving[sharp], turn, half[sharp], detail)
    return _with_corners(edge, counts, sharp, corners, many)


def _sides(points: Points, counts: _Counts) -> tuple[Points, Points, _Numbers]:
    """Give unit vectors towards and away from each point, and the length of its shorter side.

    Where a walk has one point only, the directions are opposite and the length is 0.
    """
    following = _following(counts)
    leaving = points[following] - points
    lengths = np.hypot(leaving[:, 0], leaving[:, 1])
    alone = lengths == 0.0
    leaving[alone] = (1.0, 0.0)
    leaving /= np.where(alone, 1.0, lengths)[:, np.newaxis]
    arriving, before = np.empty_like(leaving), np.empty_like(lengths)
    arriving[following], before[following] = leaving, lengths
    arriving[alone] = (-1.0, 0.0)
    return arriving, leaving, np.minimum(before, lengths)


def _left(directions: Points) -> Points:
    """Turn directions by a quarter, to the left on the sheet."""
    return np.column_stack((directions[:, 1], -directions[:, 0]))


def _corners(
    points: Points, arriving: Points, leaving: Points, turn: _Numbers, half: _Numbers, detail: float
) -> tuple[Points, _Counts]:
    """Follow the pen's edge round corners: all points, and how many each corner has."""
    finest = 2.0 * np.arccos(1.0 - np.minimum(_FAN * detail / half, 0.5))
    fans = np.ceil(np.abs(turn) / finest)
    outside = turn > 0.0
    many = np.where(outside, fans.astype(np.int64) + 1, 3)
    of = np.repeat(np.arange(len(points)), many)
    at = np.arange(len(of)) - np.repeat(np.cumsum(many) - many, many)
    start = _left(arriving)[of]
    angle = (turn / fans)[of] * at
    cosine, sine = np.cos(angle), np.sin(angle)
    fanned = np.column_stack(
        (start[:, 0] * cosine - start[:, 1] * sine, start[:, 0] * sine + start[:, 1] * cosine)
    )
    through = np.where(
        (at == 0)[:, np.newaxis], start, np.where((at == 2)[:, np.newaxis], _left(leaving)[of], 0.0)
    )
    return points[of] + np.where(outside[of][:, np.newaxis], fanned, through) * half[of][:, np.newaxis], many


def _with_corners(
    edge: Points, counts: _Counts, sharp: _Counts, corners: Points, many: _Counts
) -> tuple[Points, _Counts]:
    """Put the points of the sharp corners in the place of the one that each had."""
    if not len(sharp):
        return edge, counts
    repeats = np.ones(len(edge), dtype=np.int64)
    repeats[sharp] = many
    whole = np.repeat(edge, repeats, axis=0)
    whole[np.repeat(np.isin(np.arange(len(edge)), sharp), repeats)] = corners
    return whole, np.add.reduceat(repeats, np.cumsum(counts) - counts)


def _following(counts: _Counts) -> _Counts:
    """For each point, the index of the next one on its walk."""
    following = np.arange(1, int(counts.sum()) + 1)
    ends = np.cumsum(counts)
    following[ends - 1] = ends - counts
    return following


def _without_repeats(points: Points, half: _Numbers, counts: _Counts) -> tuple[Points, _Numbers, _Counts]:
    """Drop points that lie where the one before lies; a walk keeps at least its first."""
    same = np.zeros(len(points), dtype=bool)
    following = _following(counts)
    same[following] = np.all(points[following] == points, axis=1)
    if not same.any():
        return points, half, counts
    firsts = np.cumsum(counts) - counts
    same[firsts[np.logical_and.reduceat(same, firsts)]] = False
    return points[~same], half[~same], np.add.reduceat((~same).astype(np.int64), firsts)
