"""Rigid outlines on a tile that wraps: how far each is from the others, and how they push each other apart.

Every body is one or more closed runs of points. Bodies are kept in blocks of as many points each, so that the
distances between two blocks are one array. A point's clearance is its distance from the nearest body but its own,
copies of that one in other tiles included.
"""

from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Outline = tuple[Floats, Ints]

COUNTS: Final = (12, 24, 48, 96)
"""Points that a body may have."""

_STRIDE: Final = 0.35
"""Share of its clearance by which a point may be moved towards what it is clear of."""

_ALONG: Final = 0.8
_AWAY: Final = 0.15
"""The ways along it and off it count by these shares: something else may lie there."""

_GROWTH: Final = 0.1
"""Share of a clearance that a step of growth may take."""

_NIL: Final = 1e-9
_TOUCHING: Final = 1e-4
"""No clearance is told smaller, mm; bodies that are so near do not move towards each other."""


class Near(NamedTuple):
    """Clearances of points: of which body, off which other, the points that are nearest, about the bodies' spots (mm).

    ``off`` is the unit way off the other body, ``clear`` the distance, ``weight`` the length of outline, mm.
    """

    body: Ints
    other: Ints
    point: Floats
    there: Floats
    off: Floats
    clear: Floats
    weight: Floats


def _nothing() -> Near:
    """Bodies so far apart that nothing is near anything."""
    nobody, nowhere, none = np.zeros(0, int), np.zeros((0, 2)), np.zeros(0)
    return Near(nobody, nobody, nowhere, nowhere, nowhere, none, none)


class _Side(NamedTuple):
    """Pairs seen from one body each: its block and number, of each of its points the squared distance and to which."""

    block: int
    body: Ints
    square: NDArray[np.float32]
    to: Ints
    second: int
    other: Ints
    way: Floats


class Push(NamedTuple):
    """How bodies are to be moved, (n, 2) mm, and turned, (n,) radians."""

    move: Floats
    turn: Floats


class Crowd:
    """Bodies with their spots, turns and one common scale.

    Parameters
    ----------
    outlines : sequence of ((k, 2) floats, (k,) ints)
        Points of each body about its own origin, mm, and which follows each on its outline; k is one of ``COUNTS``.
    size : (float, float)
        Width and height of the tile, mm.
    spot : (n, 2) floats
        Where the origins lie, mm.
    turn : (n,) floats
        Radians.
    free : (n,) bools
        Which bodies may be turned.
    """

    def __init__(
        self,
        outlines: Sequence[Outline],
        size: tuple[float, float],
        spot: Floats,
        turn: Floats,
        free: NDArray[np.bool_],
    ) -> None:
        self.size, self.spot, self.turn, self.free, self.scale = np.array(size), spot, turn, free, 1.0
        self.count = len(outlines)
        self._block = np.array([len(points) for points, _ in outlines])
        self._place = np.zeros(self.count, dtype=np.int64)
        self._local: dict[int, Floats] = {}
        self._step: dict[int, Floats] = {}
        self._beside: dict[int, tuple[Ints, Ints]] = {}
        for points in np.unique(self._block).tolist():
            own = np.flatnonzero(self._block == points)
            self._place[own] = np.arange(len(own))
            local = np.array([outlines[body][0] for body in own.tolist()])
            after = np.array([outlines[body][1] for body in own.tolist()])
            self._local[points], self._beside[points] = local, (after, np.argsort(after, axis=1))
            edge = np.take_along_axis(local, after[:, :, None], 1) - local
            self._step[points] = np.linalg.norm(edge, axis=2).mean(axis=1)
        self.radius = np.array([np.hypot(*points.T).max() for points, _ in outlines])
        self._pairs: list[tuple[int, int, Ints, Ints, Floats]] = []
        self._reach, self._slack, self._fresh = 0.0, 0.0, False

    def look_round(self, reach: float) -> None:
        """Bring the spots home into the tile, and find the bodies that may come within ``reach`` mm of each other."""
        self.spot = self.spot % self.size
        one, other = np.triu_indices(self.count)
        way = self.spot[other] - self.spot[one]
        far = self.scale * (self.radius[one] + self.radius[other]) + reach
        found = []
        for x, y in ((x, y) for x in (-1, 0, 1) for y in (-1, 0, 1)):
            step = np.array([x, y]) * self.size
            near = np.einsum("ij,ij->i", way + step, way + step) < far * far
            if (x, y) <= (0, 0):
                near &= one != other
            kept = np.flatnonzero(near)
            found.append((one[kept], other[kept], np.repeat(step[None, :], len(kept), axis=0)))
        a, b, step = (np.concatenate(column) for column in zip(*found, strict=True))
        swap = self._block[a] > self._block[b]
        a, b, step = np.where(swap, b, a), np.where(swap, a, b), np.where(swap[:, None], -step, step)
        self._pairs, self._reach, self._slack, self._fresh = [], reach, reach, True
        for first in self._local:
            for second in self._local:
                kept = np.flatnonzero((self._block[a] == first) & (self._block[b] == second))
                if len(kept):
                    self._pairs.append((first, second, a[kept], b[kept], step[kept]))

    def near(self) -> Near:
        """Find the clearance of every point that has something within half of the reach."""
        if self._slack < self._reach / 2:
            self.look_round(self._reach)
        points = self._points()
        best = {block: np.full(own.shape[:2], np.inf) for block, own in points.items()}
        sides, pairs = [], []
        for first, second, a, b, step in self._pairs:
            way = self.spot[b] + step - self.spot[a]
            square = _squares(points[first][self._place[a]], points[second][self._place[b]] + way[:, None, :])
            to = square.argmin(axis=2)
            there = np.take_along_axis(square, to[:, :, None], 2)[..., 0]
            kept = np.flatnonzero(there.min(axis=1) < self._reach**2) if self._fresh else np.arange(len(a))
            one, other, square, there = a[kept], b[kept], square[kept], there[kept]
            pairs.append((first, second, one, other, step[kept]))
            back = square.argmin(axis=1)
            here = np.take_along_axis(square, back[:, None, :], 1)[:, 0]
            _lower(best[first], self._place[one], there)
            _lower(best[second], self._place[other], here)
            sides.append(_Side(first, one, there, to[kept], second, other, way[kept]))
            sides.append(_Side(second, other, here, back, first, one, -way[kept]))
        self._pairs, self._fresh = pairs, False
        found = [_nothing(), *(self._of_side(points, best, side) for side in sides)]
        return Near(*(np.concatenate(column) for column in zip(*found, strict=True)))

    def _points(self) -> dict[int, Floats]:
        """Points of every block about the bodies' spots, turned and scaled."""
        found = {}
        for block, local in self._local.items():
            own = np.flatnonzero(self._block == block)
            cosine, sine = (self.scale * f(self.turn[own])[:, None] for f in (np.cos, np.sin))
            x, y = local[..., 0], local[..., 1]
            found[block] = np.stack((cosine * x - sine * y, sine * x + cosine * y), axis=-1)
        return found

    def _of_side(
        self,
        points: dict[int, Floats],
        best: dict[int, Floats],
        side: "_Side",
    ) -> tuple[Ints, Ints, Floats, Floats, Floats, Floats, Floats]:
        """Clearances of the points of one side of some pairs that have nothing nearer: to the edges that meet there."""
        block, body, square, to, second, other, way = side
        pair, point = np.nonzero(square <= best[block][self._place[body]])
        own = body[pair]
        here = points[block][self._place[own], point]
        of = self._place[other[pair]]
        edges = points[second][of]
        rows, corner = np.arange(len(pair)), to[pair, point]
        start = edges[rows, corner]
        spot = here - way[pair]
        off = spot - start
        clear = np.einsum("ij,ij->i", off, off)
        for beside in self._beside[second]:
            edge = edges[rows, beside[of, corner]] - start
            length = np.maximum(np.einsum("ij,ij->i", edge, edge), _NIL)
            share = np.clip(np.einsum("ij,ij->i", spot - start, edge) / length, 0, 1)
            tried = spot - start - share[:, None] * edge
            square_ = np.einsum("ij,ij->i", tried, tried)
            nearer = square_ < clear
            clear, off = np.where(nearer, square_, clear), np.where(nearer[:, None], tried, off)
        clear = np.maximum(np.sqrt(clear), _TOUCHING)
        weight = self._step[block][self._place[own]] * self.scale
        return own, other[pair], here, spot - off, off / clear[:, None], clear, weight

    def pushed(self, near: Near, soft: float, power: float = 2.0) -> Push:
        """Push bodies apart, the harder the nearer: half of the way to where the forces on each would balance.

        ``soft`` (mm) is added to each clearance, so that no single contact outweighs everything else.
        """
        strength = near.weight * (near.clear + soft) ** -power
        stiff = power * strength / (near.clear + soft)
        lever = _cross(near.point, near.off)
        give = np.maximum(self._sums(near.body, stiff), _NIL)
        sway = np.maximum(self._sums(near.body, stiff * lever**2), _NIL)
        move = np.column_stack([self._sums(near.body, strength * near.off[:, axis]) for axis in (0, 1)])
        return Push(move / give[:, None], self._sums(near.body, strength * lever) / sway / 2)

    def shift(self, near: Near, push: Push) -> None:
        """Move and turn the bodies, as far as they keep clear of each other, those not looked at too."""
        turn = np.where(self.free, push.turn, 0.0)
        far = np.hypot(push.move[:, 0], push.move[:, 1]) + np.abs(turn) * self.radius * self.scale
        share = np.minimum(1.0, self._slack / 2 / np.maximum(far, _NIL))
        room = np.where(near.clear > _TOUCHING, _STRIDE * near.clear, 0.0)
        for body, point, off in ((near.body, near.point, near.off), (near.other, near.there, -near.off)):
            level = np.column_stack((-point[:, 1], point[:, 0]))
            going = push.move[body] + turn[body, None] * level
            apart = np.einsum("ij,ij->i", going, off)
            along = _ALONG * np.abs(_cross(going, off))
            speed = np.maximum(np.hypot(np.minimum(apart, 0.0), along), _AWAY * apart)
            np.minimum.at(share, body, room / np.maximum(speed, _NIL))
        self.spot = self.spot + push.move * share[:, None]
        self.turn = self.turn + turn * share
        self._slack -= 2 * float((far * share).max())

    def grow(self, near: Near, most: float) -> None:
        """Scale all bodies up, by a factor of ``most`` or as far as they keep clear of each other, to 1 at the most."""
        outward = -np.einsum("ij,ij->i", near.point, near.off)
        room = float((near.clear / np.maximum(outward, _NIL)).min()) if len(near.clear) else np.inf
        scale = min(1.0, self.scale * most, self.scale * (1 + _GROWTH * room))
        self._slack -= 2 * float(self.radius.max()) * (scale - self.scale)
        self.scale = scale

    def least(self, near: Near) -> Floats:
        """Smallest clearance of each body, (n,) mm."""
        found = np.full(self.count, np.inf)
        np.minimum.at(found, near.body, near.clear)
        return found

    def _sums(self, number: Ints, amount: Floats) -> Floats:
        return np.asarray(np.bincount(number, amount, self.count), dtype=np.float64)


def _squares(one: Floats, other: Floats) -> NDArray[np.float32]:
    """Squared distances of the points (p, k, 2) of pairs, (p, k, m) mm2."""
    a, b = one.astype(np.float32), other.astype(np.float32)
    square = a[:, :, None, 0] - b[:, None, :, 0]
    square *= square
    across = a[:, :, None, 1] - b[:, None, :, 1]
    across *= across
    square += across
    return square


def _lower(best: Floats, rows: Ints, found: NDArray[np.float32]) -> None:
    """Lower the rows of an array, (n, k), to what is found for them, (p, k)."""
    if not len(rows):
        return
    order = np.argsort(rows, kind="stable")
    own, starts = np.unique(rows[order], return_index=True)
    best[own] = np.minimum(best[own], np.minimum.reduceat(found[order], starts, axis=0))


def _cross(one: Floats, other: Floats) -> Floats:
    return np.asarray(one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0])
