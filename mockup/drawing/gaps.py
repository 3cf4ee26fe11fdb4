"""Gaps in drawn lines: which free end goes on to which other end, or to which line it stops short of."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy import spatial

from mockup.geometry.affine import Points

Floats = NDArray[np.float64]
Bare = Callable[[Floats, Floats], float]

FARTHER: Final = 3.0
"""Up to how many times the gap that is closed an open end is looked after: what is found there may be a leak."""

FAR: Final = 2.0
"""But at least so far, mm."""

_SHORT: Final = 2.0
"""The same for an end that stops short of the side of a line: veins and hairs do so, too."""

_NEAR: Final = 1.2
"""But at least so far, mm."""

_SLACK: Final = 0.1
"""What thinning and blur may add to a gap, mm."""

_AHEAD: Final = 0.5
"""Cosine of the widest angle off its own way at which an end goes on to the side of a line."""

_BACK: Final = -0.2
"""The same for another end: two ends of a corner that was left open do not point at each other."""

_STRAIGHT: Final = 0.75
"""The same for a gap that is only suspected."""

_WAY: Final = 1.0
"""Length over which the way of an end is taken, mm."""


class Line(NamedTuple):
    """A drawn line: ``points`` (n, 2) mm, ``half`` its half width at each (n,), ``free`` whether each end is open.

    ``caps`` are how far ink reaches beyond the two ends, mm.
    """

    points: Points
    half: Floats
    free: tuple[bool, bool]
    caps: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Closing:
    """A gap: from the end (0 or 1) of a line to a point of another line, by number; ``gap`` is what is bare, mm."""

    line: int
    end: int
    to: int
    vertex: int
    gap: float


class _End(NamedTuple):
    line: int
    end: int
    at: Floats
    way: Floats
    reach: float


def gaps(
    lines: Sequence[Line], widest: float, bare: Bare | None = None
) -> tuple[list[Closing], list[Closing]]:
    """Find the gaps to be closed, and wider ones that may have been meant as closed.

    Parameters
    ----------
    lines : sequence of Line
        Their points at most some tenths of a mm apart.
    widest : float
        Widest gap that is closed, mm.
    bare : callable, optional
        How much of the straight way between two points, (2,) mm each, is bare paper, mm; left out, it follows from the
        widths of the lines.

    Returns
    -------
    closings, suspects : lists of Closing
        At most one for each free end; of two ends that close each other's gap one.
    """
    ends = _ends(lines)
    if not ends:
        return [], []
    points = np.concatenate([line.points for line in lines])
    half = np.concatenate([line.half for line in lines])
    first = np.cumsum([0, *(len(line.points) for line in lines)])
    of = np.repeat(np.arange(len(lines)), np.diff(first))
    along = np.concatenate([_along(line.points) for line in lines])
    tree = spatial.KDTree(points)
    limit = max(FARTHER * widest, FAR)
    by_vertex = {int(first[e.line] if e.end == 0 else first[e.line + 1] - 1): e for e in ends}
    offers = []
    for end in ends:
        near = np.array(tree.query_ball_point(end.at, limit + end.reach + float(half.max())), dtype=np.int64)
        own = of[near] == end.line
        home = 0.0 if end.end == 0 else along[first[end.line + 1] - 1]
        away = points[near] - end.at
        far = np.hypot(*away.T)
        near, away, far = (
            one[~own | (np.abs(along[near] - home) > 3 * far + 0.2)] for one in (near, away, far)
        )
        offers += _offers(end, near, away, far, half, by_vertex, limit)
    if bare:
        offers = [one._replace(gap=bare(one.end.at, points[one.vertex])) for one in offers]
    return _taken(offers, first, of, widest)


class _Offer(NamedTuple):
    cost: float
    gap: float
    end: _End
    vertex: int
    other: _End | None
    straight: bool


def _ends(lines: Sequence[Line]) -> list[_End]:
    """List the free ends, with the way that each goes."""
    found = []
    for number, line in enumerate(lines):
        for end, free in enumerate(line.free):
            if free:
                points = line.points if end == 0 else line.points[::-1]
                far = min(int(np.searchsorted(_along(points), _WAY)), len(points) - 1)
                way = points[0] - points[far]
                length = float(np.hypot(*way))
                found.append(_End(number, end, points[0], way / max(length, 1e-9), line.caps[end]))
    return found


def _along(points: Points) -> Floats:
    return np.append(0.0, np.cumsum(np.hypot(*np.diff(points, axis=0).T)))


def _offers(
    end: _End,
    near: NDArray[np.int64],
    away: Points,
    far: Floats,
    half: Floats,
    ends: dict[int, _End],
    limit: float,
) -> list[_Offer]:
    """List what an end may go on to: other free ends, and the nearest point of a line ahead."""
    if not len(near):
        return []
    cosine = (away @ end.way) / np.maximum(far, 1e-9)
    found = []
    side: _Offer | None = None
    for vertex, distance, ahead in zip(near.tolist(), far.tolist(), cosine.tolist(), strict=True):
        other = ends.get(vertex)
        if other:
            gap = distance - end.reach - other.reach
            back = float(other.way @ (end.at - other.at)) / max(distance, 1e-9)
            if gap <= limit and (ahead + back >= 2 * _BACK or distance < 2 * end.reach):
                straight = min(ahead, back) >= _STRAIGHT
                found.append(
                    _Offer(distance * (1.9 - 0.55 * (ahead + back)), gap, end, vertex, other, straight)
                )
        elif ahead >= _AHEAD or distance < half[vertex] + end.reach:
            gap = distance - end.reach - half[vertex]
            if gap <= limit:
                cost = distance * (2.0 - ahead)
                if side is None or cost < side.cost:
                    side = _Offer(cost, gap, end, vertex, None, ahead >= _STRAIGHT)
    return [*found, side] if side else found


def _taken(
    offers: list[_Offer], first: NDArray[np.int64], of: NDArray[np.int64], widest: float
) -> tuple[list[Closing], list[Closing]]:
    """Take the cheapest offers, each end once."""
    closings: list[Closing] = []
    suspects: list[Closing] = []
    done: set[tuple[int, int]] = set()
    for offer in sorted(offers, key=lambda one: (one.gap > widest + _SLACK, one.cost)):
        end, other = offer.end, offer.other
        if (end.line, end.end) in done or (other and (other.line, other.end) in done):
            continue
        wide = offer.gap > widest + _SLACK
        if wide and not (offer.straight and (other or offer.gap <= max(_SHORT * widest, _NEAR))):
            continue
        done.add((end.line, end.end))
        if other:
            done.add((other.line, other.end))
        to = int(of[offer.vertex])
        found = Closing(end.line, end.end, to, offer.vertex - int(first[to]), max(offer.gap, 0.0))
        (suspects if wide else closings).append(found)
    return closings, suspects
