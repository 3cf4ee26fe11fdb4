"""Which shapes of a colour repeat take one ink where symmetric copies are to be inked alike.

Of all symmetries of a pattern only some can be kept by its colours. Plain translations are left out: a colour repeat
of several tiles is there so that a motif and its copy further on may differ, and two places that hold one motif in
one position are two places, not two halves. But two mirrors a step apart make a translation, two centres of rotation
do too. So a group of symmetries is chosen that holds as many rotations and reflections as any, and no translation but
the steps of the rectangle over which the colours repeat; of several such groups the one that leaves most shapes in
their place, so that a mirror runs through the motifs that are symmetric themselves rather than between them. Where a
symmetry brings a shape onto a plain copy of it, as it does with a disc, that ties nothing.

A symmetry can only be kept by a rectangle that it maps onto itself. A mirror along its sides and half a turn always
do; a quarter turn needs a square; a glide whose step is half a tile needs an odd number of tiles along it. A third
and a sixth of a turn map no rectangle onto itself: where the rectangle's sides are as 1 to the square root of 3, so
that it holds two cells of a hexagonal lattice, they are kept, and the two cells are inked alike. What the rectangle
does not allow is left out, the rest holds.

What does not repeat keeps all of its symmetries: none of them is a translation.
"""

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse import csgraph

from mockup.geometry.lattice import Lattice
from mockup.geometry.matching import Floats, Ints, Isometry
from mockup.geometry.symmetry import Symmetries

_ORDERS: Final = (6, 4, 3, 2, 1)
_TRIED: Final = 64
_SAMPLE: Final = 200
_SURE: Final = 0.1
"""Two translations that differ by less than so many mm are one."""

_INEXACT: Final = 1e-3
"""So far may drawn angles and proportions be off."""


def orbits(found: Symmetries, across: int = 1, down: int = 1) -> Ints:
    """Number the shapes of a rectangle of tiles so that those which symmetry ties carry one number.

    Parameters
    ----------
    found : Symmetries
        Those of the tile, or of the sheet.
    across, down : int
        Tiles of the rectangle, multiples of ``found.lattice.multiples``.

    Returns
    -------
    (across * down * n,) ints
        Shape a of copy (i, j) stands at (j * across + i) * n + a.
    """
    if found.lattice is None:
        return _joined(len(found.place), [isometry.to for isometry in found.isometries])
    rectangle = _Rectangle(found, found.lattice, across, down)
    return _joined(len(rectangle.place), rectangle.chosen())


def _joined(count: int, maps: list[Ints]) -> Ints:
    """Number what any of the maps (count,) join."""
    start = np.tile(np.arange(count), len(maps))
    ends = np.concatenate((*maps, np.zeros(0, dtype=np.int64)))
    graph = sparse.coo_array((np.ones(len(ends)), (start, ends)), shape=(count, count))
    return np.asarray(csgraph.connected_components(graph, directed=False)[1], dtype=np.int64)


@dataclass(frozen=True, eq=False, slots=True)
class _Lifts:
    """Isometries of a rectangle: ``turn`` (m, 2, 2), ``shift`` (m, 2) mm, ``kept`` (m,) shapes left in place."""

    turn: Floats
    shift: Floats
    kept: Ints


@dataclass(frozen=True, eq=False, slots=True)
class _Group:
    """A group of symmetries: all but the identity; the larger ``rank`` (order, shapes left in place), the better."""

    rank: tuple[int, int]
    members: tuple[tuple[Floats, Floats], ...] = ()


class _Rectangle:
    """A rectangle of whole tiles, its rows, and the choice of symmetries that it keeps."""

    def __init__(self, found: Symmetries, lattice: Lattice, across: int, down: int) -> None:
        self.lattice, self.across, self.down = lattice, across, down
        one = (across, down) == (1, 1)
        self.isometries = [own for own in found.isometries if own.whole or one]
        self.moves = [own for own in self.isometries if own.moves]
        self.steps = np.array([lattice.shift(1, 0), lattice.shift(0, 1)]).T
        self.tiles = [(i, j) for j in range(down) for i in range(across)]
        self.shifts = np.array([lattice.shift(i, j) for i, j in self.tiles])
        self.plain = _joined(len(found.place), [own.to for own in self.moves])
        self.place = (found.place[None, :, :] + self.shifts[:, None, :]).reshape(-1, 2)

    def chosen(self) -> list[Ints]:
        """Give the row (rows,) to which every symmetry of the chosen group ties each row; itself where to none."""
        width, height = self.lattice.size(self.across, self.down)
        best = self._best(np.diag([width, height]))
        middle = np.array([width / 2, height / 2])
        wide = max(width / height, height / width)
        if abs(wide - math.sqrt(3)) < _INEXACT and self._move(middle) is not None:
            # shorter side and half the diagonal: a hexagonal lattice, the rectangle's two cells alike
            side = np.array([width, 0.0]) if width < height else np.array([0.0, height])
            cells = self._best(np.column_stack((side, middle)))
            if cells.rank[0] > best.rank[0]:
                ties = self._ties(cells)
                tied = (np.array(ties) != np.arange(len(self.place))).any(axis=0)
                return [*ties, np.where(tied, self._rows(np.eye(2), middle), np.arange(len(tied)))]
        return self._ties(best)

    def _ties(self, group: _Group) -> list[Ints]:
        """Row on which each row falls, (rows,); itself where that is a plain copy of it."""
        own = np.arange(len(self.place))
        plain = np.tile(self.plain, len(self.tiles))
        maps = [self._rows(*member) for member in group.members]
        return [np.where(plain[to] == plain, own, to) for to in maps]

    def _best(self, lattice: Floats) -> _Group:
        """Choose among the groups that hold no translation but the steps of ``lattice`` (2, 2), as columns."""
        lifts = self._lifts(lattice)
        flips = np.linalg.det(lifts.turn) < 0
        mirrors = _Lifts(lifts.turn[flips], lifts.shift[flips], lifts.kept[flips])
        best = _Group((1, 0))
        for order in _ORDERS:
            turn = np.array(_turn(order))
            own = np.flatnonzero(np.abs(lifts.turn - turn).max(axis=(1, 2)) < _INEXACT)
            if order == 1:
                own = own[_zero(lifts.shift[own], lattice)][:1]
            for number in own[np.argsort(-lifts.kept[own], kind="stable")][:_TRIED]:
                group = _with_mirror(order, lifts, int(number), mirrors, lattice)
                if group.rank > best.rank:
                    best = group
        return best

    def _lifts(self, lattice: Floats) -> _Lifts:
        """List the isometries that map a lattice onto itself, moved on by every tile of the rectangle."""
        inverse = np.linalg.inv(lattice)
        own = [one for one in self.isometries if _whole(inverse @ one.turn @ lattice)]
        if not own:
            return _Lifts(np.zeros((0, 2, 2)), np.zeros((0, 2)), np.zeros(0, dtype=np.int64))
        turn = np.repeat(np.array([one.turn for one in own]), len(self.tiles), axis=0)
        shift = (np.array([one.shift for one in own])[:, None, :] + self.shifts[None, :, :]).reshape(-1, 2)
        some = self.place[:: 1 + len(self.place) // _SAMPLE]
        kept = [_zero(some @ r.T + t - some, lattice).sum() for r, t in zip(turn, shift, strict=True)]
        return _Lifts(turn, shift, np.array(kept, dtype=np.int64))

    def _rows(self, turn: Floats, shift: Floats) -> Ints:
        """Row on which each row falls, (rows,); itself where the pattern is too inexact to tell."""
        count = len(self.place) // len(self.tiles)
        rows = np.arange(len(self.place))
        near = (
            own
            for own in self.isometries
            if np.abs(own.turn - turn).max() < _INEXACT and self._steps(shift - own.shift) is not None
        )
        base = next(near, None)
        if base is None:
            return rows
        for tile, at in enumerate(self.shifts):
            found = self._move(base.turn @ at + shift - base.shift)
            if found is None:
                continue
            move, further = found
            to, step = move.to[base.to], base.step + move.step[base.to] + further
            cells = [self.lattice.within(int(i), int(j), self.across, self.down) for i, j in step]
            rows[tile * count : (tile + 1) * count] = [
                (y * self.across + x) * count + shape
                for shape, (x, y) in zip(to.tolist(), cells, strict=True)
            ]
        return rows

    def _move(self, way: Floats) -> tuple[Isometry, Ints] | None:
        """Give a translation of the pattern by ``way`` (mm) as one within the tile and steps of the tile."""
        for own in self.moves:
            steps = self._steps(way - own.shift)
            if steps is not None:
                return own, steps
        return None

    def _steps(self, way: Floats) -> Ints | None:
        """Give a translation (mm) in steps of the tile; None if it is none."""
        steps = np.round(np.linalg.solve(self.steps, way))
        near = np.hypot(*(self.steps @ steps - way)) < _SURE
        return steps.astype(np.int64) if near else None


def _turn(order: int) -> list[list[float]]:
    by = 2 * math.pi / order
    return [[math.cos(by), -math.sin(by)], [math.sin(by), math.cos(by)]]


def _with_mirror(order: int, lifts: _Lifts, number: int, mirrors: _Lifts, lattice: Floats) -> _Group:
    """Take a rotation, and with it the mirror or glide that leaves most in place of those that make no translation."""
    turn, shift = lifts.turn[number], lifts.shift[number]
    turns = [(np.eye(2), np.zeros(2))]
    for _ in range(order - 1):
        turns.append((turn @ turns[-1][0], turn @ turns[-1][1] + shift))
    kept = int(lifts.kept[number]) if order > 1 else 0
    both = np.einsum("ij,mjk->mik", turn, mirrors.turn)
    fits = _zero(_twice(mirrors.turn, mirrors.shift), lattice)
    fits &= _zero(_twice(both, mirrors.shift @ turn.T + shift), lattice)
    if not fits.any():
        return _Group((order, kept), tuple(turns[1:]))
    best = int(np.where(fits, mirrors.kept, -1).argmax())
    flips = [(r @ mirrors.turn[best], r @ mirrors.shift[best] + t) for r, t in turns]
    return _Group((2 * order, kept + int(mirrors.kept[best])), (*turns[1:], *flips))


def _twice(turn: Floats, shift: Floats) -> Floats:
    """Translation (m, 2) that reflections done twice come to."""
    return np.asarray(np.einsum("mij,mj->mi", turn, shift) + shift)


def _whole(matrix: Floats) -> bool:
    return bool(np.abs(matrix - np.round(matrix)).max() < _INEXACT)


def _zero(ways: Floats, lattice: Floats) -> NDArray[np.bool_]:
    """Tell which translations (m, 2) are steps of a lattice, (m,)."""
    rest = np.linalg.solve(lattice, ways.T)
    return np.asarray(np.hypot(*(lattice @ (rest - np.round(rest)))) < _SURE)
