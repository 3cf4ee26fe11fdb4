"""The facing graph: which nodes meet with nothing between them, and how long the border is.

Two nodes face each other where their territories share at least ``FACING`` of the shorter of the two whole borders
and the smallest gap across it is at most the reach. The borders of one tile are lifted to any rectangle of whole
tiles by arithmetic on the copies' indices, so that one tile is measured once.
"""

import math
from dataclasses import dataclass
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
"""Share from which contact is avoided: no eye tells 8 % from 7 %."""

_NEARLY: Final = 1.02
"""Factor on the reach up to which contact is avoided."""

_NIL: Final = 1e-12


@dataclass(frozen=True, eq=False, slots=True)
class Facing:
    """Pairs of nodes a <= b (m,), with border ``length`` and ``gap`` in mm and ``share`` of the shorter border.

    ``a == b`` stands for a node that meets its own copy. ``faces`` marks the pairs that face each other, ``perhaps``
    those that face if what is a tie between two parts falls to theirs, ``avoided`` all that a solver keeps apart where
    it can; of pairs that do not face, the length is the most that could be.
    """

    count: int
    a: Ints
    b: Ints
    length: Floats
    gap: Floats
    share: Floats
    faces: NDArray[np.bool_]
    perhaps: NDArray[np.bool_]
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
    n, tiles = borders.count, across * down
    steps, kind = np.unique(borders.step, axis=0, return_inverse=True)
    first, second = [], []
    for j in range(down):
        for i in range(across):
            cells = [lattice.within(i + x, j + y, across, down) for x, y in steps.tolist()]
            start = np.array([(y * across + x) * n for x, y in cells], dtype=np.int64)
            first.append((j * across + i) * n + borders.a)
            second.append(start[kind.reshape(-1)] + borders.b)
    return _facing(borders, n * tiles, np.concatenate(first), np.concatenate(second), tiles, reach)


def _facing(borders: Borders, count: int, a: Ints, b: Ints, tiles: int, reach: float) -> Facing:
    """Add up the borders of each pair, those of one tile coming once a tile, and apply the rule.

    Copies that touch and are one node are one region, and have no border between them.
    """
    between = ~(np.tile(borders.joined, tiles) & (a == b))
    a, b = a[between], b[between]
    length, gap, loose, claim = (
        np.concatenate([column] * tiles)[between]
        for column in (borders.length, borders.gap, borders.loose, borders.claim)
    )
    pairs, number = np.unique(np.minimum(a, b) * count + np.maximum(a, b), return_inverse=True)
    one, other = np.divmod(pairs, max(count, 1))
    own = np.where(claim, 0.0, length)
    total, most = _sums(number, own, len(pairs)), _sums(number, length, len(pairs))
    smallest = np.full(len(pairs), np.inf)
    np.minimum.at(smallest, number, gap)
    whole = _sums(a, own, count) + _sums(b, own, count)
    least = whole - _sums(a, loose[:, 0], count) - _sums(b, loose[:, 1], count)
    share = total / np.maximum(np.minimum(whole[one], whole[other]), _NIL)
    could = most / np.maximum(np.minimum(least[one], least[other]), _NIL)
    faces = (share >= FACING) & (smallest <= reach)
    near = smallest <= reach * _NEARLY
    perhaps = ~faces & (could >= FACING) & near
    avoided = faces | perhaps | ((share >= AVOIDED) & near)
    length = np.where(faces, total, most)
    return Facing(count, one, other, length, smallest, share, faces, perhaps, avoided, reach)


def _sums(number: Ints, amount: Floats, count: int) -> Floats:
    """Add up amounts by number, (count,)."""
    return np.asarray(np.bincount(number, amount, count), dtype=np.float64)
