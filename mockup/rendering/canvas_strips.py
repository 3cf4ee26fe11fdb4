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

import numpy as np
from numpy.typing import NDArray

from mockup.geometry.affine import Points

_Numbers = NDArray[np.float64]
_Counts = NDArray[np.int64]


def walks(line: Points, closed: bool) -> tuple[Points, ...]:
    """Give the closed walks, each (n, 2), of which the left sides together are the edge of a pen's path."""
    if closed and len(line) > 2:
        return line, line[::-1]
    return (np.concatenate((line, line[-2:0:-1])),) if len(line) > 2 else (line,)


def strips(lines: Sequence[Points], halves: Sequence[float], detail: float) -> tuple[Points, _Counts]:
    """Give the ring on the left of each walk, at half the pen's width from it.

    Parameters
    ----------
    lines : sequence of (n, 2) floats, mm
        Closed walks; one of a single place gives a disc.
    halves : sequence of float
        Half the width of each one's pen, mm.
    detail : float
        How far the rings may stand off the true edge, mm.

    Returns
    -------
    (m, 2) floats, (k,) ints
        The points of all rings, one ring after the other, and how many each has.
    """
    points = np.concatenate(lines, dtype=np.float64)
    counts = np.array([len(line) for line in lines])
    half = np.repeat(np.asarray(halves, dtype=np.float64), counts)
    points, half, counts = _without_repeats(points, half, counts)
    following = _following(counts)
    steps = points[following] - points
    lengths = np.hypot(steps[:, 0], steps[:, 1])
    steps /= np.where(lengths > 0.0, lengths, 1.0)[:, np.newaxis]
    alone = lengths == 0.0
    steps[alone] = (1.0, 0.0)
    leaving, arriving, shorter = steps, np.empty_like(steps), np.empty_like(lengths)
    arriving[following] = steps
    arriving[alone] = (-1.0, 0.0)
    shorter[following] = lengths
    np.minimum(shorter, lengths, out=shorter)
    return _edge(points, arriving, leaving, shorter, half, counts, detail)


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


def _edge(
    points: Points,
    arriving: Points,
    leaving: Points,
    shorter: _Numbers,
    half: _Numbers,
    counts: _Counts,
    detail: float,
) -> tuple[Points, _Counts]:
    """Follow the pen's edge round every corner; directions are unit vectors, ``shorter`` the shorter side."""
    cosine = np.einsum("ij,ij->i", arriving, leaving)
    sine = arriving[:, 0] * leaving[:, 1] - arriving[:, 1] * leaving[:, 0]
    safe = np.maximum(1.0 + cosine, 1e-9)
    shift = half * np.abs(sine) / safe
    gentle = (half * (np.sqrt(2.0 / safe) - 1.0) <= detail) & (shift <= 0.5 * shorter)
    outside = ~gentle & ((sine > 0.0) | ((sine == 0.0) & (cosine < 0.0)))
    turn = np.where(sine == 0.0, np.where(cosine < 0.0, np.pi, 0.0), np.arctan2(sine, cosine))
    turn[shorter == 0.0] = 2.0 * np.pi
    finest = 2.0 * np.arccos(np.clip(1.0 - detail / np.maximum(half, detail), 0.5, 1.0 - 1e-6))
    fan = np.maximum(np.ceil(np.abs(turn) / finest), 1.0)
    many = np.where(gentle, 1, np.where(outside, fan.astype(np.int64) + 1, 3))

    owner = np.repeat(np.arange(len(points)), many)
    place = np.arange(len(owner)) - np.repeat(np.cumsum(many) - many, many)
    before = np.column_stack((arriving[:, 1], -arriving[:, 0])) * half[:, np.newaxis]
    after = np.column_stack((leaving[:, 1], -leaving[:, 0])) * half[:, np.newaxis]
    edge = ((before + after) / safe[:, np.newaxis])[owner]
    sharp = np.flatnonzero(~gentle[owner])
    of, at = owner[sharp], place[sharp]
    angle = turn[of] * at / fan[of]
    fanned = np.column_stack(
        (
            before[of, 0] * np.cos(angle) - before[of, 1] * np.sin(angle),
            before[of, 0] * np.sin(angle) + before[of, 1] * np.cos(angle),
        )
    )
    through = np.where((at == 0)[:, np.newaxis], before[of], np.where((at == 2)[:, np.newaxis], after[of], 0.0))
    edge[sharp] = np.where(outside[of][:, np.newaxis], fanned, through)
    firsts = np.cumsum(counts) - counts
    return points[owner] + edge, np.add.reduceat(many, firsts)
