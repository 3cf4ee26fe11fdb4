"""A line drawing of strokes into regions: what its lines close in, small gaps closed, is a region."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from mockup.drawing.gaps import Closing, Line, gaps
from mockup.drawing.grounds import grounds
from mockup.geometry.affine import Points
from mockup.geometry.arrangement import arranged, distance_to_others, on_grid
from mockup.geometry.shapes import Shape, area, in_reading_order

SMALLEST: Final = 0.2
"""Areas of at most so many mm2 between lines are no regions."""

TOUCH: Final = 0.1
"""Over less bare paper (mm) than this a closing bridges no gap."""

_MEETS: Final = 1e-4
_STEP: Final = 0.3


@dataclass(frozen=True, eq=False, slots=True)
class LineArt:
    """What lines close in: ``inked`` takes ink, ``large`` and what lies ``outside`` are left for the ground, mm.

    ``closings`` (n, 2, 2) are gaps that were closed and keep regions apart, from and to; ``leaks`` (m, 2) the middles
    of wider gaps that would, mm.
    """

    inked: tuple[Shape, ...]
    large: tuple[Shape, ...]
    outside: tuple[Shape, ...]
    closings: NDArray[np.float64]
    leaks: NDArray[np.float64]


def regions_of(
    lines: Sequence[tuple[Points, bool, float]], page: tuple[float, float], gap: float, *, unit: bool
) -> LineArt:
    """Find the regions of a line drawing.

    Parameters
    ----------
    lines : sequence of (Points, bool, float)
        (n, 2) points in mm, whether the line ends where it began, its width in mm.
    page : (float, float)
        Width and height, mm.
    gap : float
        Widest gap in a line that is closed, mm.
    unit : bool
        A repeat unit: what the page's edge cuts goes on at the other side.
    """
    shut = [np.vstack((points, points[:1])) if closed else points for points, closed, _ in lines]
    fine = [_finely(points) for points in shut]
    free = _free_ends(shut, [closed for _, closed, _ in lines], page)
    drawn = [
        Line(points, np.full(len(points), width / 2), own, (width / 2, width / 2))
        for points, own, (_, _, width) in zip(fine, free, lines, strict=True)
    ]
    closings, suspects = gaps(drawn, gap)
    spans = [_span(fine, one) for one in closings]
    edge = np.array([(0, 0), (page[0], 0), page, (0, page[1]), (0, 0)], dtype=float)
    every = [on_grid(one) for one in (*shut, *spans, edge)]
    plan = arranged(every)
    found = in_reading_order([one for one in plan.areas if area(one) > SMALLEST])
    out = grounds(found, page, unit=unit)
    tell = plan.divides[len(shut) : len(shut) + len(spans)]
    return LineArt(
        tuple(one for one, kind in zip(found, out, strict=True) if not kind),
        tuple(one for one, kind in zip(found, out, strict=True) if kind == "large"),
        tuple(one for one, kind in zip(found, out, strict=True) if kind == "outside"),
        np.array(
            [span for span, one, own in zip(spans, closings, tell, strict=True) if own and one.gap > TOUCH]
        ).reshape(-1, 2, 2),
        leaking(every, [_span(fine, one) for one in suspects]),
    )


def leaking(lines: Sequence[Points], spans: Sequence[Points]) -> Points:
    """Give the middles of the gaps ``spans`` (2, 2) that would part areas were all closed, (n, 2), from the top."""
    if not len(spans):
        return np.zeros((0, 2))
    plan = arranged([*lines, *(on_grid(one) for one in spans)])
    found = np.array([one.mean(axis=0) for one in spans])[plan.divides[len(lines) :]]
    return found[np.lexsort((found[:, 0], found[:, 1]))]


def _finely(points: Points) -> Points:
    """Give a line in steps of some tenths of a mm."""
    long = np.hypot(*np.diff(points, axis=0).T)
    along = np.append(0.0, np.cumsum(long))
    wanted = np.unique(np.concatenate([along, np.arange(0.0, along[-1], _STEP)]))
    return np.column_stack([np.interp(wanted, along, points[:, axis]) for axis in (0, 1)])


def _free_ends(
    lines: Sequence[Points], closed: Sequence[bool], page: tuple[float, float]
) -> list[tuple[bool, bool]]:
    """Tell which ends meet no other line, nor the page's edge."""
    spots = np.array([(line[0], line[-1]) for line in lines]).reshape(-1, 2)
    free = distance_to_others(spots, np.repeat(np.arange(len(lines)), 2), lines) > _MEETS
    free &= (spots > _MEETS).all(axis=1) & (spots < np.array(page) - _MEETS).all(axis=1)
    free &= ~np.repeat(np.array(closed, dtype=bool), 2)
    for number, line in enumerate(lines):
        if np.hypot(*(line[0] - line[-1])) <= _MEETS:
            free[2 * number : 2 * number + 2] = False
    return [(bool(one), bool(other)) for one, other in free.reshape(-1, 2)]


def _span(lines: Sequence[Points], closing: Closing) -> Points:
    source = lines[closing.line]
    return np.array([source[0 if closing.end == 0 else -1], lines[closing.to][closing.vertex]])
