"""The facing graph: which nodes meet with nothing between them, and how long the border is.

Two nodes face each other where their territories share at least ``FACING`` of the shorter of the two whole borders
and the smallest gap across it is at most the reach. The borders of one tile are lifted to any rectangle of whole
tiles by arithmetic on the copies' indices, so that the grid is laid once.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from mockup.geometry.lattice import Lattice
from mockup.geometry.territories import Borders

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]

FACING: Final = 0.08
"""Share of the shorter border from which two nodes face each other."""

AVOIDED: Final = 0.05
"""Share from which contact is avoided: no grid tells 8 % from 7 %."""


@dataclass(frozen=True, eq=False, slots=True)
class Facing:
    """Pairs of nodes a <= b (m,), with border ``length`` and ``gap`` in mm and ``share`` of the shorter border.

    ``a == b`` stands for a node that meets its own copy. ``faces`` marks the pairs that face each other,
    ``avoided`` those that a solver keeps apart.
    """

    count: int
    a: Ints
    b: Ints
    length: Floats
    gap: Floats
    share: Floats
    faces: NDArray[np.bool_]
    avoided: NDArray[np.bool_]
    reach: float

    @property
    def own_copies(self) -> Ints:
        """Nodes that face their own copy, (s,)."""
        own: Ints = self.a[self.faces & (self.a == self.b)]
        return own

    def edges(self) -> tuple[Ints, Ints, Floats]:
        """Pairs to keep apart with the length of their borders (mm), own copies left out."""
        keep = self.avoided & (self.a != self.b)
        return self.a[keep], self.b[keep], self.length[keep]


def default_reach(area: float, motifs: int) -> float:
    """Mean spacing of so many motifs in an area of mm2: how far apart nodes may be and still face each other."""
    return math.sqrt(area / max(motifs, 1))


def facing(borders: Borders, reach: float) -> Facing:
    """Read the facing graph of a single sheet, or of one tile that repeats by itself."""
    return _facing(borders, borders.count, borders.a, borders.b, 1, reach)


def lifted(borders: Borders, lattice: Lattice, across: int, down: int, reach: float) -> Facing:
    """Read the facing graph of a rectangle of ``across`` x ``down`` tiles from the borders of one tile.

    Node a of copy (i, j) becomes node (j * across + i) * n + a.
    """
    n = borders.count
    first, second = [], []
    for j in range(down):
        for i in range(across):
            first.append((j * across + i) * n + borders.a)
            cells = [lattice.within(i + int(x), j + int(y), across, down) for x, y in borders.step]
            second.append(np.array([(y * across + x) * n for x, y in cells], dtype=np.int64) + borders.b)
    tiles = across * down
    return _facing(borders, n * tiles, np.concatenate(first), np.concatenate(second), tiles, reach)


def doubted(graph: Facing, looks: Sequence[Facing]) -> Facing:
    """Avoid, too, what other grids would keep apart: where thin shapes lie close, the grid decides who faces whom.

    Pairs that only the other grids know are added; who faces whom stays as it was.
    """
    span = graph.count
    known = graph.a * span + graph.b
    avoided = graph.avoided.copy()
    extra: dict[int, tuple[float, float, float]] = {}
    for look in looks:
        found = look.a * span + look.b
        avoided |= np.isin(known, found[look.faces])
        for row in np.flatnonzero(look.faces & ~np.isin(found, known)).tolist():
            extra.setdefault(int(found[row]), (look.length[row], look.gap[row], look.share[row]))
    more = np.array(sorted(extra), dtype=np.int64)
    length, gap, share = np.array([extra[int(key)] for key in more]).reshape(-1, 3).T
    return replace(
        graph,
        a=np.concatenate((graph.a, more // span)),
        b=np.concatenate((graph.b, more % span)),
        length=np.concatenate((graph.length, length)),
        gap=np.concatenate((graph.gap, gap)),
        share=np.concatenate((graph.share, share)),
        faces=np.concatenate((graph.faces, np.zeros(len(more), dtype=bool))),
        avoided=np.concatenate((avoided, np.ones(len(more), dtype=bool))),
    )


def _facing(borders: Borders, count: int, a: Ints, b: Ints, tiles: int, reach: float) -> Facing:
    """Add up the borders of each pair, those of one tile coming once a tile, and apply the rule.

    Copies that touch and are one node are one region, and have no border between them.
    """
    between = ~(np.tile(borders.joined, tiles) & (a == b))
    a, b = a[between], b[between]
    length, gap = np.tile(borders.length, tiles)[between], np.tile(borders.gap, tiles)[between]
    low, high = np.minimum(a, b), np.maximum(a, b)
    rows, inverse = np.unique(np.column_stack((low, high)), axis=0, return_inverse=True)
    inverse = inverse.reshape(-1)
    total = np.asarray(np.bincount(inverse, length, len(rows)), dtype=np.float64)
    smallest = np.full(len(rows), np.inf)
    np.minimum.at(smallest, inverse, gap)
    whole = np.bincount(low, length, count) + np.bincount(high, length, count)
    one, other = rows[:, 0], rows[:, 1]
    share = total / np.maximum(np.minimum(whole[one], whole[other]), 1e-12)
    near = smallest <= reach
    faces = (share >= FACING) & near
    avoided = faces | ((share >= AVOIDED) & (smallest <= reach + 2 * borders.grain))
    return Facing(count, one, other, total, smallest, share, faces, avoided, reach)
