"""Lines in straight pieces, and the way back: outlines that run along them are given as the curves that they were."""

from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from mockup.geometry.affine import Points
from mockup.geometry.arrangement import on_grid
from mockup.geometry.curves import Curves
from mockup.geometry.flatten import flatten_cubics
from mockup.geometry.shapes import GRID, Shape, rings

Places = NDArray[np.int64]

TOLERANCE: Final = 0.02
"""How far a straight piece may leave its curve, mm."""


_HALF: Final = 31


class Flat(NamedTuple):
    """A chain in straight pieces: ``points`` (n, 2) mm, and the point at which each curve begins, and the last ends."""

    points: Points
    starts: NDArray[np.int64]


def flattened(chains: Sequence[Curves]) -> list[Flat]:
    """Cut chains of curves into straight pieces as the reader of drawings does, rounded to the grid of overlays."""
    if not chains:
        return []
    points, many = flatten_cubics(np.concatenate(chains), TOLERANCE)
    ends = np.cumsum([len(curves) for curves in chains])[:-1]
    beyond = np.append(0, np.cumsum(many))
    found = []
    for curves, own, part in zip(chains, np.split(many, ends), np.split(points, beyond[ends]), strict=True):
        line = np.concatenate((curves[:1, 0], part))
        fresh = np.append(True, (line[1:] != line[:-1]).any(axis=1))
        starts = np.cumsum(fresh)[np.append(0, np.cumsum(own))] - 1
        found.append(Flat(on_grid(line[fresh]), starts))
    return found


class Run(NamedTuple):
    """A stretch of an outline that runs along a line by number, between two of its points, perhaps backwards."""

    line: int
    start: int
    end: int


class Tracks:
    """Finds the lines along which outlines run, so that a curve's own form can be written and not its chords."""

    def __init__(self, curves: Sequence[Curves], lines: Sequence[Flat]) -> None:
        """Take the lines that were arranged: as curves, and in straight pieces."""
        self._curves, self._lines = curves, lines
        places = [_places(line.points) for line in lines]
        self._names = np.unique(np.concatenate(places))
        steps = [self._steps(own[:-1], own[1:]) for own in places]
        whole = np.concatenate(steps)
        order = np.argsort(whole, kind="stable")
        self._known = whole[order]
        self._line = np.repeat(np.arange(len(lines)), [len(own) for own in steps])[order]
        self._place = np.concatenate([np.arange(len(own)) for own in steps])[order]

    def _steps(self, one: Places, other: Places) -> Places:
        """Number the steps from places to others; what begins or ends at none that is known has a number below 0."""
        ends = []
        for places in (one, other):
            at = np.minimum(np.searchsorted(self._names, places), len(self._names) - 1)
            ends.append(np.where(self._names[at] == places, at, -1))
        return np.where(np.minimum(*ends) < 0, -1, ends[0] * len(self._names) + ends[1])

    def _found(self, steps: Places) -> NDArray[np.int64]:
        """Give where steps stand among the known ones, -1 for those along no line."""
        at = np.searchsorted(self._known, steps, side="right") - 1
        return np.where((at >= 0) & (self._known[at] == steps) & (steps >= 0), at, -1)

    def _runs(self, ring: Points) -> list[Run | Points]:
        """Cut a closed outline, (n, 2), last point left out, into runs along lines; what lies along none is points."""
        one = _places(ring)
        other = np.roll(one, -1)
        on, back = self._found(self._steps(one, other)), self._found(self._steps(other, one))
        at = np.where(on >= 0, on, back)
        line = np.where(at >= 0, self._line[at], -1)
        start = self._place[at] + (on < 0)
        end = self._place[at] + (on >= 0)
        goes_on = (line[1:] == line[:-1]) & (line[1:] >= 0) & (start[1:] == end[:-1])
        first = np.append(0, np.flatnonzero(~goes_on) + 1)
        last = np.append(first[1:], len(ring)) - 1
        return _wound(
            [
                Run(number, begin, stop) if number >= 0 else ring[[a, (a + 1) % len(ring)]]
                for number, begin, stop, a in zip(
                    line[first].tolist(),
                    start[first].tolist(),
                    end[last].tolist(),
                    first.tolist(),
                    strict=True,
                )
            ]
        )

    def outlines(self, shape: Shape) -> tuple[Curves, ...]:
        """Give the outlines and holes of a shape as closed chains."""
        return tuple(
            np.concatenate(
                [self._along(run) if isinstance(run, Run) else straights(run) for run in self._runs(ring)]
            )
            for ring in rings(shape)
        )

    def _along(self, run: Run) -> Curves:
        """Give a run as curves; where it begins or ends within one, that one's part in straight pieces."""
        line, starts = self._lines[run.line], self._lines[run.line].starts
        low, high = min(run.start, run.end), max(run.start, run.end)
        first, last = int(np.searchsorted(starts, low)), int(np.searchsorted(starts, high, side="right")) - 1
        if first > last:
            found = straights(line.points[low : high + 1])
        else:
            before, after = line.points[low : starts[first] + 1], line.points[starts[last] : high + 1]
            found = np.concatenate((straights(before), self._curves[run.line][first:last], straights(after)))
        return found if run.start < run.end else found[::-1, ::-1]


def straights(points: Points) -> Curves:
    """Give straight pieces through points as a chain, (n - 1, 4, 2)."""
    start, end = points[:-1], points[1:]
    way = (end - start) / 3
    return np.stack((start, start + way, end - way, end), axis=1)


def _wound(found: list[Run | Points]) -> list[Run | Points]:
    """Join the last run to the first where the outline began within it."""
    first, last = found[0], found[-1]
    if len(found) < 2 or not isinstance(first, Run) or not isinstance(last, Run):
        return found
    alike = (first.end - first.start) * (last.end - last.start) > 0
    if last.line == first.line and last.end == first.start and alike:
        return [Run(first.line, last.start, first.end), *found[1:-1]]
    return found


def _places(points: Points) -> Places:
    """Give points (n, 2) as whole numbers on the grid of overlays, (n,)."""
    grid = np.round(points / GRID).astype(np.int64)
    return np.asarray((grid[:, 0] << _HALF) + grid[:, 1])
