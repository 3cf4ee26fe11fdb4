"""The gaps of a layout on a tile that wraps: how wide they are along the borders between bodies, and how to even them.

The Delaunay triangles of the bodies' outline points give the borders: where two triangles share an edge between two
bodies, the line between their circumcentres is a piece of the border, and the gap there is what their radii add up to.

References
----------
The dual of a Delaunay triangulation is the Voronoi diagram; see any textbook of computational geometry.
"""

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import Delaunay

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_NIL: Final = 1e-12
_TILES: Final = tuple((x, y) for x in (-1, 0, 1) for y in (-1, 0, 1))


class Gaps(NamedTuple):
    """Pieces of the borders: the two bodies, points about their spots, unit way from first to second, length, gap, mm.

    ``centre`` (c, 2) and ``radius`` (c,) are the empty circles between bodies that cannot be widened, mm.
    """

    first: Ints
    second: Ints
    here: Floats
    there: Floats
    way: Floats
    length: Floats
    gap: Floats
    centre: Floats
    radius: Floats

    @property
    def widest(self) -> float:
        """Diameter of the largest empty circle, mm."""
        return 2 * float(self.radius.max()) if len(self.radius) else 0.0

    def around(self, count: int) -> Floats:
        """Mean gap round each of so many bodies, (n,) mm."""
        whole = np.bincount(self.first, self.length, count) + np.bincount(self.second, self.length, count)
        weighed = self.length * self.gap
        sums = np.bincount(self.first, weighed, count) + np.bincount(self.second, weighed, count)
        return np.asarray(sums / np.maximum(whole, _NIL))

    @property
    def mean(self) -> float:
        """Mean gap, mm, weighted by length of border."""
        return float(np.average(self.gap, weights=self.length))

    @property
    def variation(self) -> float:
        """Coefficient of variation of the gap, weighted by length of border."""
        spread = np.average((self.gap - self.mean) ** 2, weights=self.length)
        return float(np.sqrt(spread)) / self.mean


def gaps(points: Floats, body: Ints, spot: Floats, size: Floats, margin: float) -> Gaps:
    """Measure the gaps of a layout.

    Parameters
    ----------
    points : (p, 2) floats
        Outline points of all bodies about their spots, turned and scaled, mm.
    body : (p,) ints
        Whose they are.
    spot : (n, 2) floats
        Where the bodies lie, mm.
    size : (2,) floats
        Width and height of the tile, mm.
    margin : float
        How much of the neighbouring tiles is looked at, mm; more than any gap.
    """
    placed, label, base = _around(points, body, spot, size, margin)
    mesh = Delaunay(placed)
    corners = mesh.simplices.astype(np.int64)
    centre, radius = _circles(placed[corners[:, 0]], placed[corners[:, 1]], placed[corners[:, 2]])
    sides = []
    for side in range(3):
        other = mesh.neighbors[:, side].astype(np.int64)
        one = np.flatnonzero(other > np.arange(len(other)))
        p, q = corners[one, (side + 1) % 3], corners[one, (side + 2) % 3]
        kept = label[p] != label[q]
        one, p, q = one[kept], p[kept], q[kept]
        middle = (centre[one] + centre[other[one]]) / 2
        home = ((middle >= 0) & (middle < size)).all(axis=1)
        one, p, q = one[home], p[home], q[home]
        length = np.hypot(*(centre[one] - centre[other[one]]).T)
        sides.append((p, q, length, radius[one] + radius[other[one]]))
    p, q, length, gap = (np.concatenate(column) for column in zip(*sides, strict=True))
    way = placed[q] - placed[p]
    way = way / np.maximum(np.hypot(*way.T), _NIL)[:, None]
    mixed = (label[corners] != label[corners[:, :1]]).any(axis=1)
    home = mixed & ((centre >= 0) & (centre < size)).all(axis=1)
    first, second = body[base[p]], body[base[q]]
    here, there = points[base[p]], points[base[q]]
    return Gaps(first, second, here, there, way, length, gap, centre[home], radius[home])


def _around(
    points: Floats, body: Ints, spot: Floats, size: Floats, margin: float
) -> tuple[Floats, Ints, Ints]:
    """Points of the tile and of a margin round it, which copy of which body each belongs to, and which point it is."""
    home = spot % size
    placed, labels, base = [], [], []
    for number, tile in enumerate(_TILES):
        own = points + home[body] + np.array(tile) * size
        inside = np.flatnonzero(((own > -margin) & (own < size + margin)).all(axis=1))
        placed.append(own[inside])
        labels.append(body[inside] * len(_TILES) + number)
        base.append(inside)
    return np.concatenate(placed), np.concatenate(labels), np.concatenate(base)


def _circles(a: Floats, b: Floats, c: Floats) -> tuple[Floats, Floats]:
    """Centres (t, 2) and radii (t,) of the circles through three points each."""
    one, two = b - a, c - a
    twice = 2 * (one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0])
    twice = np.where(np.abs(twice) < _NIL, _NIL, twice)
    square, other = (one**2).sum(axis=1), (two**2).sum(axis=1)
    x = (two[:, 1] * square - one[:, 1] * other) / twice
    y = (one[:, 0] * other - two[:, 0] * square) / twice
    return a + np.column_stack((x, y)), np.hypot(x, y)


def evened(found: Gaps, count: int) -> tuple[Floats, Floats]:
    """Ways (n, 2) mm and turns (n,) radians that bring every gap nearer to the mean, half of the way each."""
    pull = found.length * (found.gap - found.mean)
    move, turn = np.zeros((count, 2)), np.zeros(count)
    give, sway = np.zeros(count), np.zeros(count)
    for body, point, sign in ((found.first, found.here, 1.0), (found.second, found.there, -1.0)):
        lever = point[:, 0] * found.way[:, 1] - point[:, 1] * found.way[:, 0]
        for axis in (0, 1):
            move[:, axis] += np.bincount(body, sign * pull * found.way[:, axis], count)
        turn += np.bincount(body, sign * pull * lever, count)
        give += np.bincount(body, found.length, count)
        sway += np.bincount(body, found.length * lever**2, count)
    return move / np.maximum(give, _NIL)[:, None] / 2, turn / np.maximum(sway, _NIL) / 2
