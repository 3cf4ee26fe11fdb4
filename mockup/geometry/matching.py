"""Candidates for a symmetry put to the test: what a rotation or reflection makes of every piece of a pattern.

The pieces stand in a tree by place, area, perimeter, reach and kind, so that one lying within another is not taken
for it. A candidate hangs on the places of two pieces only; it is settled among all before it is judged.

References
----------
Kabsch, A solution for the best rotation to relate two sets of vectors, Acta Cryst. A32 (1976) (from memory).
"""

import math
from dataclasses import dataclass
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy import spatial

from mockup.geometry.lattice import Lattice
from mockup.geometry.outlines import Forms, Pieces

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]

_FIRST: Final = 8
_EASE: Final = 3.0
"""How many times the slack a candidate may be off that hangs on the places of two pieces only."""


@dataclass(frozen=True, eq=False, slots=True)
class Isometry:
    """One isometry, x -> ``turn`` x + ``shift`` (mm), and what becomes of the shapes of the tile.

    Attributes
    ----------
    turn : (2, 2) floats
        Rotation (determinant 1) or reflection (determinant -1).
    shift : (2,) floats
        mm.
    to : (n,) ints
        Shape onto which each shape of copy (0, 0) falls; two may fall on copies of one, where ``turn`` does not map
        the tile's steps onto steps of the tile, as a third of a turn never does.
    step : (n, 2) ints
        Copy of that shape; where a shape's pieces fall on different copies, that of its largest piece.
    whole : bool
        No shape's pieces fall on different copies.
    """

    turn: Floats
    shift: Floats
    to: Ints
    step: Ints
    whole: bool

    @property
    def flips(self) -> bool:
        """Tell whether it is a mirror or a glide."""
        return bool(np.linalg.det(self.turn) < 0)

    @property
    def moves(self) -> bool:
        """Tell whether it only moves everything along, neither turned nor flipped."""
        return bool(np.abs(self.turn - np.eye(2)).max() < 1e-6)


class _Match(NamedTuple):
    """Piece ``to`` (m,) and its copy ``step`` (m, 2) on which each piece falls, and the way ``off`` (m, 2), mm."""

    to: Ints
    step: Ints
    off: Floats


class Found(NamedTuple):
    """An isometry and the piece ``to`` (m,) on which each piece falls."""

    isometry: Isometry
    to: Ints


class Finder:
    """Tests isometries of pieces that repeat by a lattice, or, with None, do not."""

    def __init__(self, pieces: Pieces, lattice: Lattice | None) -> None:
        self.pieces = pieces
        self.lattice = lattice
        self.forms = Forms(pieces)
        self.bound = _EASE * math.sqrt(2 + pieces.signs.shape[1]) * float(pieces.slack.max())
        base, step = home(lattice, pieces.place)
        index, spots, steps = [], [], []
        for copy in [(0, 0)] if lattice is None else [(i, j) for i in (-1, 0, 1) for j in (-1, 0, 1)]:
            moved = base + (lattice.shift(*copy) if lattice else (0.0, 0.0))
            keep = self._within(moved)
            index.append(np.flatnonzero(keep))
            spots.append(moved[keep])
            steps.append((np.array(copy, dtype=np.int64) - step)[keep])
        self.index, self.steps = np.concatenate(index), np.concatenate(steps)
        self.tree = spatial.KDTree(np.hstack((np.concatenate(spots), pieces.signs[self.index])))
        alike = spatial.KDTree(pieces.signs)
        self.near: list[list[int]] = list(alike.query_ball_point(pieces.signs, 2 * pieces.slack))
        self.order = np.lexsort((-pieces.area, np.array([len(own) for own in self.near])))
        self.largest = np.unique(pieces.owner, return_index=True)[1]

    def _within(self, spots: Floats) -> NDArray[np.bool_]:
        if self.lattice is None:
            return np.ones(len(spots), dtype=bool)
        size = np.array(self.lattice.size(1, 1))
        return np.asarray(((spots > -self.bound) & (spots < size + self.bound)).all(axis=1))

    def _nearest(
        self, images: Floats, own: Ints, ease: float
    ) -> tuple[NDArray[np.bool_], Ints, Ints, Floats]:
        """Look up images (m, 2) of pieces: whether each falls on a piece, which, its copy, and how far off."""
        spots, step = home(self.lattice, images)
        signs, slack = self.pieces.signs[own], ease * self.pieces.slack[own]
        _, near = self.tree.query(np.hstack((spots, signs)), distance_upper_bound=self.bound)
        hit = near < self.tree.n
        near = np.where(hit, near, 0)
        met = np.asarray(self.tree.data)[near]
        away = spots - met[:, :2]
        hit &= (np.hypot(*away.T) <= slack) & (np.abs(signs - met[:, 2:]).max(axis=1) <= slack)
        return hit, self.index[near], step + self.steps[near], away

    def promising(self, turn: Floats, shifts: Floats) -> NDArray[np.bool_]:
        """Tell which candidates (c, 2) take the rarest few pieces onto pieces, (c,)."""
        own = self.order[:_FIRST]
        images = (self.pieces.place[own] @ turn.T)[None, :, :] + shifts[:, None, :]
        hit = self._nearest(images.reshape(-1, 2), np.tile(own, len(shifts)), _EASE)[0]
        return np.asarray(hit.reshape(len(shifts), -1).all(axis=1))

    def match(self, turn: Floats, shift: Floats, ease: float = 1.0) -> _Match | None:
        """Find the piece on which each piece falls, within ``ease`` times the slack; None if one falls on none."""
        own = np.arange(len(self.pieces.owner))
        hit, to, step, away = self._nearest(self.pieces.place @ turn.T + shift, own, ease)
        return _Match(to, step, away) if hit.all() else None

    def isometry(self, turn: Floats, shift: Floats) -> Found | None:
        """Test one candidate on all pieces, settle it among them, and compare the outlines."""
        first = self.match(turn, shift, _EASE)
        if first is None:
            return None
        turn, shift = self._settled(turn, shift, first)
        match = self.match(turn, shift)
        if match is None or not self.forms.carried(turn, match.to):
            return None
        return self._of_shapes(turn, shift, match)

    def _settled(self, turn: Floats, shift: Floats, match: _Match) -> tuple[Floats, Floats]:
        """Fit the shift to all pieces, and on a sheet the angle too."""
        if self.lattice is not None:
            return turn, shift - match.off.mean(axis=0)
        start, goal = self.pieces.place, self.pieces.place[match.to]
        left, _, right = np.linalg.svd((goal - goal.mean(axis=0)).T @ (start - start.mean(axis=0)))
        sign = np.sign(np.linalg.det(turn) * np.linalg.det(left @ right))
        turn = np.asarray(left @ np.diag([1.0, sign]) @ right)
        return turn, np.asarray(goal.mean(axis=0) - turn @ start.mean(axis=0))

    def _of_shapes(self, turn: Floats, shift: Floats, match: _Match) -> Found | None:
        """Read what becomes of whole shapes; None if one's pieces fall on different shapes."""
        owner = self.pieces.owner
        to, step = owner[match.to[self.largest]], match.step[self.largest]
        if (owner[match.to] != to[owner]).any():
            return None
        whole = bool((match.step == step[owner]).all())
        return Found(Isometry(turn, shift, to, step, whole), match.to)

    def identity(self) -> Found:
        """What leaves everything in its place."""
        count = len(self.largest)
        still = Isometry(
            np.eye(2), np.zeros(2), np.arange(count), np.zeros((count, 2), dtype=np.int64), whole=True
        )
        return Found(still, np.arange(len(self.pieces.owner)))

    def moved_on(self, inner: Found, by: Found, lattice: Lattice) -> Found:
        """Do ``inner``, then the translation ``by``; steps of the tile are taken off its shift."""
        one, other = inner.isometry, by.isometry
        to, step = other.to[one.to], one.step + other.step[one.to]
        place = self.pieces.place[self.largest]
        ends = place[to] + step @ np.array([lattice.shift(1, 0), lattice.shift(0, 1)])
        shift, back = home(lattice, (ends - place @ one.turn.T).mean(axis=0)[None, :])
        whole = one.whole and other.whole
        return Found(Isometry(one.turn, shift[0], to, step - back, whole), by.to[inner.to])


def home(lattice: Lattice | None, points: Floats) -> tuple[Floats, Ints]:
    """Move points (n, 2) by whole steps into the first tile, and tell by which steps (n, 2)."""
    step = np.zeros(points.shape, dtype=np.int64)
    if lattice is None:
        return points, step
    size = np.array(lattice.size(1, 1))
    if lattice.drop:
        step[:, 0] = np.floor(points[:, 0] / size[0])
        step[:, 1] = np.floor(points[:, 1] / size[1] - step[:, 0] * float(lattice.drop))
    else:
        step[:, 1] = np.floor(points[:, 1] / size[1])
        step[:, 0] = np.floor(points[:, 0] / size[0] - step[:, 1] * float(lattice.step))
    return points - step @ np.array([lattice.shift(1, 0), lattice.shift(0, 1)]), step
