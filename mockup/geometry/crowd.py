"""Rigid outlines on a tile that wraps: how far each is from the others, and how they push each other apart.

Every body is a closed run of points. Bodies are kept in blocks of as many points each, so that the distances between
two blocks are one array. A point's clearance is its distance from the nearest body but its own, copies of that one in
other tiles included.
"""

from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

COUNTS: Final = (12, 20, 32, 48, 72, 108, 160)
"""Points that a body may have."""

_STRIDE: Final = 0.35
"""Share of its clearance by which a point may be moved towards what it is clear of."""

_AWAY: Final = 0.7
"""The way off it counts by this share: something else may lie there."""

_GROWTH: Final = 0.1
"""Share of a clearance that a step of growth may take."""

_NIL: Final = 1e-9


class Near(NamedTuple):
    """Clearances of points: body, the point about the body's spot (mm), the unit way off the other body, mm clear."""

    body: Ints
    point: Floats
    off: Floats
    clear: Floats
    weight: Floats


class Push(NamedTuple):
    """How bodies are to be moved, (n, 2) mm, and turned, (n,) radians."""

    move: Floats
    turn: Floats


class Crowd:
    """Bodies with their spots, turns and one common scale.

    Parameters
    ----------
    outlines : sequence of (k, 2) floats
        Points of each body about its own origin, evenly spaced, mm; k is one of ``COUNTS``.
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
        outlines: Sequence[Floats],
        size: tuple[float, float],
        spot: Floats,
        turn: Floats,
        free: NDArray[np.bool_],
    ) -> None:
        self.size, self.spot, self.turn, self.free, self.scale = np.array(size), spot, turn, free, 1.0
        self.count = len(outlines)
        self._block = np.array([len(outline) for outline in outlines])
        self._place = np.zeros(self.count, dtype=np.int64)
        self._local: dict[int, Floats] = {}
        self._step: dict[int, Floats] = {}
        for points in np.unique(self._block).tolist():
            own = np.flatnonzero(self._block == points)
            self._place[own] = np.arange(len(own))
            local = np.array([outlines[body] for body in own])
            self._local[points] = local
            around = np.linalg.norm(local - np.roll(local, 1, axis=1), axis=2)
            self._step[points] = around.mean(axis=1)
        self.radius = np.array([np.hypot(*outline.T).max() for outline in outlines])
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
        """Find the clearance of every point that is clear of something within half of the reach, or nearly all of it."""
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
            if self._fresh:
                kept = np.flatnonzero(there.min(axis=1) < self._reach**2)
                a, b, step, way, square, to, there = (x[kept] for x in (a, b, step, way, square, to, there))
                pairs.append((first, second, a, b, step))
            back = square.argmin(axis=1)
            here = np.take_along_axis(square, back[:, None, :], 1)[:, 0]
            np.minimum.at(best[first], self._place[a], there)
            np.minimum.at(best[second], self._place[b], here)
            sides.append((first, a, there, to, second, b, way))
            sides.append((second, b, here, back, first, a, -way))
        if self._fresh:
            self._pairs, self._fresh = pairs, False
        found = [self._of_side(points, best, side) for side in sides]
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
        side: tuple[int, Ints, Floats, Ints, int, Ints, Floats],
    ) -> tuple[Ints, Floats, Floats, Floats, Floats]:
        """Clearances of the points of one side of some pairs that have nothing nearer: to the edges round that point."""
        block, body, square, to, second, other, way = side
        pair, point = np.nonzero(square <= best[block][self._place[body]])
        own = body[pair]
        here = points[block][self._place[own], point]
        edges = points[second][self._place[other[pair]]]
        rows, corner = np.arange(len(pair)), to[pair, point]
        start = edges[rows, corner]
        spot = here - way[pair]
        off = spot - start
        clear = np.einsum("ij,ij->i", off, off)
        for turn in (1, -1):
            edge = edges[rows, (corner + turn) % second] - start
            length = np.maximum(np.einsum("ij,ij->i", edge, edge), _NIL)
            share = np.clip(np.einsum("ij,ij->i", spot - start, edge) / length, 0, 1)
            tried = spot - start - share[:, None] * edge
            square_ = np.einsum("ij,ij->i", tried, tried)
            nearer = square_ < clear
            clear, off = np.where(nearer, square_, clear), np.where(nearer[:, None], tried, off)
        clear = np.maximum(np.sqrt(clear), 1e-4)
        weight = self._step[block][self._place[own]] * self.scale
        return own, here, off / clear[:, None], clear, weight

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
        """Move and turn the bodies, as far as they keep clear of each other."""
        turn = np.where(self.free, push.turn, 0.0)
        level = np.column_stack((-near.point[:, 1], near.point[:, 0]))
        going = push.move[near.body] + turn[near.body, None] * level
        off = np.einsum("ij,ij->i", going, near.off)
        along = np.abs(_cross(going, near.off))
        speed = np.maximum(np.hypot(np.minimum(off, 0.0), along), _AWAY * off)
        share = np.ones(self.count)
        np.minimum.at(share, near.body, _STRIDE * near.clear / np.maximum(speed, _NIL))
        self.spot = self.spot + push.move * share[:, None]
        self.turn = self.turn + turn * share
        far = np.hypot(push.move[:, 0], push.move[:, 1]) + np.abs(turn) * self.radius * self.scale
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


def _cross(one: Floats, other: Floats) -> Floats:
    return np.asarray(one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0])
