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

Floats = NDArray[np.float64]

_ASIDE: Final = ((0.0, 0.0), (0.35, 0.0), (-0.35, 0.0), (0.0, 0.35), (0.0, -0.35))
"""Spots that are tried, in mean gaps."""

_LOOKED_AT: Final = 6
"""So many of the best poses are looked at for overlaps before the body is left where it is."""

_MARGIN: Final = 3.0


class Poses:
    """Bodies on a tile, tried one by one.

    Parameters
    ----------
    outlines : sequence of (k, 2) floats
        Points of each body in order about its origin, mm.
    size : (2,) floats
        Width and height of the tile, mm.
    turns : (t,) floats
        Turns that are tried, radians, added to what the body has.
    """

    def __init__(self, outlines: Sequence[Floats], size: Floats, turns: Floats) -> None:
        self._outlines, self._size, self._turns = outlines, size, turns
        self._reach = np.array([np.hypot(*outline.T).max() for outline in outlines])
        self._owner = np.repeat(np.arange(len(outlines)), [len(outline) for outline in outlines])

    def tuck(self, spot: Floats, turn: Floats, scale: float, gap: float, least: float, order: Floats) -> int:
        """Put bodies into better poses, in place; tell how many found one.

        Parameters
        ----------
        spot, turn : (n, 2) and (n,) floats
            Where the bodies lie, mm and radians; changed.
        scale : float
            Of all bodies.
        gap, least : float
            Mean and smallest clearance that is wanted, mm.
        order : (n,) numbers
            Bodies in rising order are tried first.
        """
        own = [scale * _turned(o, float(t)) + s for o, t, s in zip(self._outlines, turn, spot, strict=True)]
        every = np.concatenate(own)
        found = 0
        for body in np.argsort(order, kind="stable").tolist():
            far = scale * self._reach[body] + _MARGIN * gap
            way = every - spot[body]
            way -= self._size * np.round(way / self._size)
            near = (self._owner != body) & (np.abs(way) < far).all(axis=1)
            if near.sum() < 3:
                continue
            tree, around = cKDTree(way[near]), self._others(body, own, spot, far)
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
                own = [scale * _turned(o, float(t)) + s for o, t, s in zip(self._outlines, turn, spot, strict=True)]
                far = scale * self._reach[body] + _MARGIN * gap
                at = spot.copy()
                at[body] = hole
                around = self._others(body, own, at, far)
                turns = [turn[body] + float(more) for more in self._turns]
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
        shape = shapely.Polygon(scale * _turned(self._outlines[body], angle))
        return float(shapely.distance(shape, around).min()) if len(around) else math.inf

    def _others(self, body: int, own: Sequence[Floats], spot: Floats, far: float) -> NDArray[np.object_]:
        """Outlines that come near a body, about its spot, as rings; its own copies too."""
        rings = []
        for number, outline in enumerate(own):
            way = spot[number] - spot[body]
            home = -self._size * np.round(way / self._size)
            for x, y in ((x, y) for x in (-1, 0, 1) for y in (-1, 0, 1)):
                step = home + np.array([x, y]) * self._size
                if number == body and not (step + way).any():
                    continue
                if np.hypot(*(way + step)) < far + self._reach[number]:
                    rings.append(shapely.Polygon(outline - spot[body] + step))
        return np.array(rings, dtype=object)

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
        cost = ((clear - gap) ** 2).mean(axis=1) + np.where(clear.min(axis=1) < least, gap**2, 0.0)
        for pose in np.argsort(cost, kind="stable")[:_LOOKED_AT].tolist():
            if cost[pose] >= 0.97 * cost[0]:
                return None
            if not shapely.intersects(shapely.Polygon(tried[pose]), around).any():
                return poses[pose]
        return None


def _turned(points: Floats, turn: float) -> Floats:
    cosine, sine = math.cos(turn), math.sin(turn)
    return points @ np.array([[cosine, sine], [-sine, cosine]])
