"""Triangles between points, no other point in the circle round any (Delaunay), and what lies next to them."""

from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray

from mockup.geometry.affine import Points

Ints = NDArray[np.int64]

_SPREAD: Final = np.uint64(0x9E3779B97F4A7C15)


def triangles(place: Points) -> Ints:
    """Triangulate points (n, 2), after Delaunay: (t, 3) numbers of the corners; of points in one place one is taken."""
    found = shapely.delaunay_triangles(shapely.multipoints(place))
    corners = shapely.get_coordinates(found).reshape(-1, 4, 2)[:, :3].reshape(-1, 2)
    key, wanted = _key(place), _key(corners)
    order = np.argsort(key)
    number = order[np.searchsorted(key[order], wanted)]
    assert (place[number] == corners).all()
    return number.reshape(-1, 3)


def _key(place: Points) -> NDArray[np.uint64]:
    """One number for each place, the same for the same coordinates, and hardly ever for others."""
    x, y = (np.ascontiguousarray(column + 0.0).view(np.uint64) for column in place.T)
    return np.asarray((x * _SPREAD) ^ (y >> np.uint64(7)) ^ y)


def beside_of(corners: Ints, count: int) -> Ints:
    """Find the triangles next to triangles (t, 3), the k-th opposite corner k; -1 where there is none."""
    ends = np.stack((corners[:, [1, 2, 0]], corners[:, [2, 0, 1]]), axis=-1)
    side = (ends.min(axis=-1) * count + ends.max(axis=-1)).ravel()
    order = np.argsort(side, kind="stable")
    first = np.flatnonzero(side[order[1:]] == side[order[:-1]])
    beside = np.full(len(side), -1)
    beside[order[first]], beside[order[first + 1]] = order[first + 1] // 3, order[first] // 3
    return beside.reshape(-1, 3)


def circle_centres(corners: Points) -> Points:
    """Middles of the circles through the corners of triangles, (t, 3, 2) to (t, 2)."""
    b, c = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    double = 2 * (b[:, 0] * c[:, 1] - b[:, 1] * c[:, 0])
    flat = np.abs(double) < 1e-300
    bb, cc = (b * b).sum(axis=1), (c * c).sum(axis=1)
    safe = np.where(flat, 1.0, double)
    x = (c[:, 1] * bb - b[:, 1] * cc) / safe
    y = (b[:, 0] * cc - c[:, 0] * bb) / safe
    away = np.where(flat[:, None], (b + c) / 3, np.column_stack((x, y)))
    centre: Points = corners[:, 0] + away
    return centre
