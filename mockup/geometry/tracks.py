"""Lines in straight pieces, and the way back: outlines that run along them are given as the curves that they were."""

from collections.abc import Sequence
from itertools import pairwise
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from mockup.geometry.affine import IDENTITY, Points
from mockup.geometry.curves import Curves
from mockup.geometry.flatten import flatten
from mockup.geometry.path import Cubic, Subpath
from mockup.geometry.shapes import GRID, Shape, rings

TOLERANCE: Final = 0.02
"""How far a straight piece may leave its curve, mm."""


class Flat(NamedTuple):
    """A chain in straight pieces: ``points`` (n, 2) mm, and the point at which each curve begins, and the last ends."""

    points: Points
    starts: NDArray[np.int64]


def flattened(curves: Curves) -> Flat:
    """Cut a chain of curves into straight pieces as the reader of drawings does, rounded to the grid of overlays."""
    pieces, starts = [curves[0, 0][np.newaxis]], [0]
    for (x0, y0), (x1, y1), (x2, y2), (x3, y3) in curves.tolist():
        path = Subpath((x0, y0), (Cubic((x1, y1), (x2, y2), (x3, y3)),), closed=False)
        piece = flatten(path, IDENTITY, TOLERANCE)[1:]
        pieces.append(piece)
        starts.append(starts[-1] + len(piece))
    points = np.concatenate(pieces)
    return Flat(np.asarray(np.round(points / GRID) * GRID), np.array(starts))


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
        self._at: dict[tuple[int, int, int, int], tuple[int, int]] = {}
        for number, line in enumerate(lines):
            keys = _keys(line.points)
            for place, (one, other) in enumerate(pairwise(keys)):
                self._at[*one, *other] = (number, place)

    def _runs(self, ring: Points) -> list[Run | Points]:
        """Cut a closed outline, (n, 2), last point left out, into runs along lines; what lies along none is points."""
        keys = _keys(ring)
        found: list[Run | Points] = []
        for place, one in enumerate(keys):
            other = keys[(place + 1) % len(keys)]
            step: Run | None = None
            if (*one, *other) in self._at:
                number, start = self._at[*one, *other]
                step = Run(number, start, start + 1)
            elif (*other, *one) in self._at:
                number, start = self._at[*other, *one]
                step = Run(number, start + 1, start)
            last = found[-1] if found else None
            if step is None:
                found.append(ring[[place, (place + 1) % len(keys)]])
            elif isinstance(last, Run) and last.line == step.line and last.end == step.start:
                found[-1] = Run(last.line, last.start, step.end)
            else:
                found.append(step)
        return _wound(found)

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
    return np.linspace(points[:-1], points[1:], 4, axis=1)


def _wound(found: list[Run | Points]) -> list[Run | Points]:
    """Join the last run to the first where the outline began within it."""
    first, last = found[0], found[-1]
    if len(found) < 2 or not isinstance(first, Run) or not isinstance(last, Run):
        return found
    alike = (first.end - first.start) * (last.end - last.start) > 0
    if last.line == first.line and last.end == first.start and alike:
        return [Run(first.line, last.start, first.end), *found[1:-1]]
    return found


def _keys(points: Points) -> list[tuple[int, int]]:
    return [(x, y) for x, y in np.round(points / GRID).astype(np.int64).tolist()]
