"""Try other poses for one body after another where the others lie: a turn that fits better, a small step aside.

Forces find the nearest balance only; a body that lies across its place never turns all the way round. Here each body is
tried in a dozen turns and a few spots each, and is put where the clearances along its outline vary least.
"""

import math
from collections.abc import Sequence
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from mockup.geometry.affine import IDENTITY, Affine, translation
from mockup.geometry.shapes import Shape, moved, near_pairs

Floats = NDArray[np.float64]

_ASIDE: Final = (
    *((0.0, 0.0), (0.35, 0.0), (-0.35, 0.0), (0.0, 0.35), (0.0, -0.35)),
    *((0.7, 0.7), (-0.7, 0.7), (0.7, -0.7), (-0.7, -0.7)),
)
"""Spots that are tried, in mean gaps."""

_LOOKED_AT: Final = 6
"""So many of the best poses are looked at for overlaps before the body is left where it is."""

_MARGIN: Final = 3.0
_SHORT: Final = 4.0
"""Price of lying too close, in squared mean gaps."""


class Poses:
    """Bodies on a tile, tried one by one.

    Parameters
    ----------
    outlines : sequence of (k, 2) floats
        Points of each body about its origin, mm.
    shells : sequence of Shape
        The bodies about their origins, mm.
    size : (2,) floats
        Width and height of the tile, mm.
    turns : (t,) floats
        Turns that are tried, radians, added to what the body has.
    """

    def __init__(
        self, outlines: Sequence[Floats], shells: Sequence[Shape], size: Floats, turns: Floats
    ) -> None:
        self._outlines, self._shells, self._size, self._turns = outlines, shells, size, turns
        self._reach = np.array([np.hypot(*outline.T).max() for outline in outlines])
        self._owner = np.repeat(np.arange(len(outlines)), [len(outline) for outline in outlines])

    def tuck(
        self, spot: Floats, turn: Floats, scale: float, gap: float, least: float, bodies: Sequence[int]
    ) -> int:
        """Put bodies into better poses, in place; tell how many found one.

        Parameters
        ----------
        spot, turn : (n, 2) and (n,) floats
            Where the bodies lie, mm and radians; changed.
        scale : float
            Of all bodies.
        gap, least : float
            Mean and smallest clearance that is wanted, mm.
        bodies : sequence of int
            Which are tried, in order.
        """
        own = [scale * _turned(o, float(t)) + s for o, t, s in zip(self._outlines, turn, spot, strict=True)]
        every = np.concatenate(own)
        found = 0
        for body in bodies:
            far = scale * self._reach[body] + _MARGIN * gap
            way = every - spot[body]
            way -= self._size * np.round(way / self._size)
            near = (self._owner != body) & (np.abs(way) < far).all(axis=1)
            if near.sum() < 3:
                continue
            tree, around = cKDTree(way[near]), self._others(body, spot, turn, scale, far)
            pose = self._best(body, tree, around, turn[body], scale, gap, least)
            if pose is not None:
                spot[body] += pose[0]
                turn[body] = pose[1]
                first = int(np.searchsorted(self._owner, body))
                own[body] = scale * _turned(self._outlines[body], pose[1]) + spot[body]
                every[first : first + len(own[body])] = own[body]
                found += 1
        return found

    def fill(
        self, spot: Floats, turn: Floats, scale: float, holes: Floats, spare: Sequence[int], gap: float
    ) -> int:
        """Put bodies from where it is crowded into holes, in place; tell how many found room.

        Parameters
        ----------
        spot, turn : (n, 2) and (n,) floats
            Where the bodies lie, mm and radians; changed.
        scale : float
            Of all bodies.
        holes : (h, 2) floats
            Middles of the holes, mm, the largest first.
        spare : sequence of int
            Bodies that may be moved, those that can best be spared first.
        gap : float
            Mean clearance, mm.
        """
        left, found = list(spare), 0
        for hole in holes:
            for body in left:
                far = scale * self._reach[body] + _MARGIN * gap
                around = self._others(body, spot, turn, scale, far, hole)
                turns = [turn[body] + float(more) for more in self._turns[:: max(1, len(self._turns) // 4)]]
                clear = [self._room(body, scale, angle, around) for angle in turns]
                best = int(np.argmax(clear))
                if clear[best] > 0.1 * gap:
                    spot[body], turn[body] = hole, turns[best]
                    left.remove(body)
                    found += 1
                    break
        return found

    def _room(self, body: int, scale: float, angle: float, around: NDArray[np.object_]) -> float:
        """Least distance of a body at the origin from what lies around, mm; 0 where they meet."""
        shape = self._shape(body, scale, angle, np.zeros(2))
        return float(shapely.distance(shape, around).min()) if len(around) else math.inf

    def _others(
        self, body: int, spot: Floats, turn: Floats, scale: float, far: float, at: Floats | None = None
    ) -> NDArray[np.object_]:
        """Bodies that come near one, about its spot or where it is to be; its own copies too."""
        at = spot[body] if at is None else at
        way = spot - at
        way[body] = 0.0
        home = -self._size * np.round(way / self._size)
        around: list[Shape] = []
        for tile in ((x, y) for x in (-1, 0, 1) for y in (-1, 0, 1)):
            step = home + np.array(tile) * self._size
            close = np.hypot(*(way + step).T) < far + self._reach
            close[body] &= tile != (0, 0)
            around += [
                self._shape(number, scale, float(turn[number]), way[number] + step[number])
                for number in np.flatnonzero(close).tolist()
            ]
        return np.array(around, dtype=object)

    def _shape(self, body: int, scale: float, turn: float, at: Floats) -> Shape:
        """A body as a shape, turned and moved."""
        return lay(self._shells[body], at, turn, scale)

    def _best(
        self,
        body: int,
        tree: cKDTree,
        around: NDArray[np.object_],
        turn: float,
        scale: float,
        gap: float,
        least: float,
    ) -> tuple[Floats, float] | None:
        """Find a pose in which the clearances vary less than in this one; None where there is none."""
        poses = [(np.array(side) * gap, turn + float(more)) for more in self._turns for side in _ASIDE]
        tried = np.array([scale * _turned(self._outlines[body], angle) + move for move, angle in poses])
        clear, _ = tree.query(tried.reshape(-1, 2), distance_upper_bound=_MARGIN * gap)
        clear = np.minimum(clear, _MARGIN * gap).reshape(len(poses), -1)
        short = np.maximum(1 - clear.min(axis=1) / least, 0.0)
        cost = ((clear - gap) ** 2).mean(axis=1) + _SHORT * short * gap**2
        for pose in np.argsort(cost, kind="stable")[:_LOOKED_AT].tolist():
            if cost[pose] >= 0.97 * cost[0]:
                return None
            move, angle = poses[pose]
            if not shapely.intersects(self._shape(body, scale, angle, move), around).any():
                return move, angle
        return None


def lay(shape: Shape, at: Floats, turn: float, scale: float) -> Shape:
    """Scale and turn a shape about (0, 0), then move it by (2,) mm."""
    cosine, sine = scale * math.cos(turn), scale * math.sin(turn)
    return moved(shape, Affine(cosine, sine, -sine, cosine, float(at[0]), float(at[1])))


def clearance(shapes: Sequence[Shape], size: Floats, reach: float) -> float:
    """Least distance of two shapes on a tile that wraps, copies included, mm; ``reach`` if it is no less."""
    steps = [translation(x * float(size[0]), y * float(size[1])) for x in (-1, 0, 1) for y in (-1, 0, 1)]
    around = [moved(shape, step) for step in steps for shape in shapes]
    home = steps.index(IDENTITY) * len(shapes)
    one, other = near_pairs(shapes, around, reach).T
    kept = other != home + one
    own, others = np.array(shapes, dtype=object), np.array(around, dtype=object)
    return float(shapely.distance(own[one[kept]], others[other[kept]]).min(initial=reach))


def _turned(points: Floats, turn: float) -> Floats:
    cosine, sine = math.cos(turn), math.sin(turn)
    return np.asarray(points @ np.array([[cosine, sine], [-sine, cosine]]))
