"""The border between two shapes: all that lies as far from the one as from the other.

The triangles' circles tell which outlines meet and roughly where. Here their middles are moved until they lie exactly
as far from the true outlines, so that neither length nor gap hangs on how densely the outlines are sampled.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from mockup.geometry.affine import Points
from mockup.geometry.contacts import HAIR, TOUCH
from mockup.geometry.contours import Course, Floats, Ints
from mockup.geometry.shapes import Box
from mockup.geometry.tessellation import Mesh, clipped

Mask = NDArray[np.bool_]

CONTACT: Final = 6 * HAIR + TOUCH
"""What is nearer than this (mm), drawn apart by a hair, touches."""

_TURNS: Final = 4
_DAMPING: Final = 1e-6


@dataclass(frozen=True, eq=False, slots=True)
class Pieces:
    """Pieces of border, each between a point of one shape and one of another.

    ``one`` and ``other`` (e,) number the points in the mesh; ``length`` (e,) mm, of which the block owns its part;
    ``gap`` (e,) mm is the least distance across. ``tip`` (e, 2) tells at which of the two a piece hangs on that one
    point of the outline.
    """

    one: Ints
    other: Ints
    length: Floats
    gap: Floats
    tip: Mask


@dataclass(frozen=True, eq=False, slots=True)
class _Lines:
    """Outline points, with the way to the next and to the last point on their outlines, all (..., 2) mm."""

    at: Points
    ahead: Points
    behind: Points

    def nearest(self, spot: Points) -> Points:
        """Find the points of the outlines, as far as known, that lie nearest to other points."""
        first, second = _nearest(self.at, self.ahead, spot), _nearest(self.at, self.behind, spot)
        nearer = ((first - spot) ** 2).sum(axis=-1) <= ((second - spot) ** 2).sum(axis=-1)
        found: Points = np.where(nearer[..., None], first, second)
        return found

    def depth(self, spot: Points) -> Floats:
        """Tell how deep points lie inside, mm; 0 outside. Inside is on the left of the outlines."""
        way = spot - self.nearest(spot)
        corner = _size(spot - way - self.at) < TOUCH
        ahead = ((spot - way - self.at) * self.ahead).sum(axis=-1) > (
            (spot - way - self.at) * self.behind
        ).sum(axis=-1)
        single = np.where(ahead[..., None], self.ahead, -self.behind)
        both = _unit(self.ahead) - _unit(self.behind)
        run = np.where(corner[..., None], both, single)
        left = run[..., 0] * way[..., 1] - run[..., 1] * way[..., 0] > 0
        return np.where(left, _size(way), 0.0)

    def distance(self, spot: Points) -> Floats:
        """Distance from the outlines, mm."""
        return _size(self.nearest(spot) - spot)


def foreign(mesh: Mesh, course: Course) -> Mask:
    """Tell which edges of a mesh run between two different shapes or copies, (e,)."""
    one, other = mesh.point[mesh.one], mesh.point[mesh.other]
    real = (one >= 0) & (other >= 0)
    differ = (course.node[one] != course.node[other]) | (mesh.copy[mesh.one] != mesh.copy[mesh.other]).any(
        axis=1
    )
    return np.asarray(real & differ)


def border_pieces(mesh: Mesh, course: Course, field: Box | None, floor: float) -> Pieces:
    """Measure the borders in a mesh; on a single sheet (``field``) only what lies in it.

    Where outlines cross a little, pieces that lie deeper in a shape than ``floor`` mm are none.
    """
    edges = np.flatnonzero(foreign(mesh, course) & (mesh.sides >= 0).all(axis=1))
    one, other, sides = mesh.one[edges], mesh.other[edges], mesh.sides[edges]
    used, number = np.unique(sides, return_inverse=True)
    number = number.reshape(-1, 2)
    knots = _Knots(mesh, course, used)
    rough = knots.start()
    centre = knots.settled(rough)
    first, second = centre[number[:, 0]], centre[number[:, 1]]
    forward = ((second - first) * (rough[number[:, 1]] - rough[number[:, 0]])).sum(axis=1) >= 0
    if field is not None:
        first, second, seen = clipped(first, second, field)
        one, other, edges, forward = one[seen], other[seen], edges[seen], forward[seen]
        first, second = first[seen], second[seen]
    # a piece that came to run backwards undoes what its neighbours count too much
    length = _size(second - first) * np.where(forward, 1.0, -1.0) * mesh.own[edges]
    lines = [_lines(mesh, course, side) for side in (one, other)]
    middle = (first + second) / 2
    seen = ~_within(lines, middle, np.maximum(_size(second - first) / 4, CONTACT), floor)
    tip = np.stack([_size(line.nearest(middle) - line.at) < CONTACT for line in lines], axis=1)
    gap = _gaps(lines, first, second)
    return Pieces(one[seen], other[seen], length[seen], gap[seen], tip[seen])


def _within(lines: list[_Lines], middle: Points, slack: Floats, floor: float) -> Mask:
    """Tell which pieces of border lie inside a shape, deeper than the outlines there are apart."""
    apart = np.maximum(lines[0].distance(lines[1].at), lines[1].distance(lines[0].at))
    depth = np.maximum(lines[0].depth(middle), lines[1].depth(middle))
    return np.asarray(depth > np.maximum(np.minimum(apart, floor), slack))


def _gaps(lines: list[_Lines], first: Points, second: Points) -> Floats:
    """Find the least distance across pieces of border: at their ends, or where the outlines come nearest."""
    way = second - first
    square = np.maximum((way * way).sum(axis=1), 1e-24)
    least = np.minimum(*(lines[0].distance(end) + lines[1].distance(end) for end in (first, second)))
    for here, there in (lines, lines[::-1]):
        across = there.nearest(here.at)
        along = (((here.at + across) / 2 - first) * way).sum(axis=1) / square
        beside = (along >= 0) & (along <= 1)
        least = np.where(beside, np.minimum(least, _size(across - here.at)), least)
    return np.where(least < CONTACT, 0.0, least)


def _lines(mesh: Mesh, course: Course, number: Ints) -> _Lines:
    """Give the outlines at points of a mesh; the frame's points are outlines of their own."""
    point = mesh.point[number]
    real = (point >= 0)[..., None]
    ahead, behind = (np.where(real, way[point], 0.0) for way in (course.ahead, course.behind))
    return _Lines(mesh.place[number], ahead, behind)


class _Knots:
    """Points of a border: each as far from the outlines at the three corners of a triangle."""

    def __init__(self, mesh: Mesh, course: Course, triangles: Ints) -> None:
        corners = mesh.corners[triangles]
        self.centre = mesh.centre[triangles]
        self.lines = _lines(mesh, course, corners)
        real = mesh.point[corners] >= 0
        # of the three sides, side k lies opposite corner k
        self.bound = np.stack([real[:, k - 2] & real[:, k - 1] for k in range(3)], axis=1)
        self.tied = np.stack(
            [_adjacent(mesh, course, corners[:, k - 2], corners[:, k - 1]) for k in range(3)], axis=1
        )

    def start(self) -> Points:
        """Give the middles of the circles; between outlines nearer than their pieces are long, points between both."""
        found = self.centre
        for k in range(3):
            tip, one, other = (self.lines.at[:, turn] for turn in (k, k - 2, k - 1))
            foot = _nearest(one, other - one, tip)
            size, distance = _size(other - one), _size(foot - tip)
            inner = np.minimum(_size(foot - one), _size(foot - other)) > 0
            flat = self.tied[:, k] & inner & (distance < size / 2)
            found = np.where(flat[:, None], tip / 2 + (one + other) / 4, found)
        return found

    def settled(self, spot: Points) -> Points:
        """Move points (t, 2) until they lie as far from all the outlines at their corners.

        Newton's method on the differences of the distances, damped, so that two corners on one line bind one way only.
        """
        best, least, now = spot, np.full(len(spot), np.inf), spot
        most = None
        for turn in range(_TURNS + 1):
            away, distance = self._views(now)
            off = np.where(self.bound, distance[:, [1, 2, 0]] - distance[:, [2, 0, 1]], 0.0)
            most = 2 * distance.min(axis=1) if most is None else most
            worst = np.abs(off).max(axis=1)
            better = (worst < least) & (_size(now - spot) <= most)
            best, least = np.where(better[:, None], now, best), np.where(better, worst, least)
            if turn < _TURNS:
                slope = np.where(self.bound[..., None], away[:, [1, 2, 0]] - away[:, [2, 0, 1]], 0.0)
                now = now - _limited(_solved(slope, off), distance.min(axis=1))
        return best

    def _views(self, spot: Points) -> tuple[Points, Floats]:
        """Unit vectors (t, 3, 2) and distances (t, 3) from three outlines; those that run into each other are one."""
        way = spot[:, None, :] - self.lines.nearest(spot[:, None, :])
        distance = _size(way)
        for k in range(3):
            for here, there in ((k - 2, k - 1), (k - 1, k - 2)):
                take = self.tied[:, k] & (distance[:, there] < distance[:, here])
                way[:, here] = np.where(take[:, None], way[:, there], way[:, here])
                distance[:, here] = np.where(take, distance[:, there], distance[:, here])
        return way / np.maximum(distance, 1e-12)[..., None], distance


def _adjacent(mesh: Mesh, course: Course, one: Ints, other: Ints) -> Mask:
    """Tell which points follow each other on one outline."""
    first, second = mesh.point[one], mesh.point[other]
    same = (mesh.copy[one] == mesh.copy[other]).all(axis=1) & (first >= 0) & (second >= 0)
    return np.asarray(same & ((course.after[first] == second) | (course.after[second] == first)))


def _solved(slope: Points, off: Floats) -> Points:
    """Least squares of three equations in two unknowns, (t, 3, 2) and (t, 3) to (t, 2), damped."""
    xx = (slope[..., 0] ** 2).sum(axis=1) + _DAMPING
    yy = (slope[..., 1] ** 2).sum(axis=1) + _DAMPING
    xy = (slope[..., 0] * slope[..., 1]).sum(axis=1)
    x, y = (slope[..., 0] * off).sum(axis=1), (slope[..., 1] * off).sum(axis=1)
    whole = xx * yy - xy * xy
    found: Points = np.column_stack((yy * x - xy * y, xx * y - xy * x)) / whole[:, None]
    return found


def _limited(step: Points, most: Floats) -> Points:
    size = _size(step)
    limited: Points = step * np.minimum(1.0, most / np.maximum(size, 1e-12))[:, None]
    return limited


def _nearest(at: Points, way: Points, spot: Points) -> Points:
    """Find the nearest points on lines from ``at`` along ``way``."""
    square = np.maximum((way * way).sum(axis=-1), 1e-24)
    along = np.clip(((spot - at) * way).sum(axis=-1) / square, 0.0, 1.0)
    found: Points = at + along[..., None] * way
    return found


def _unit(way: Points) -> Points:
    unit: Points = way / np.maximum(_size(way), 1e-12)[..., None]
    return unit


def _size(way: Points) -> Floats:
    return np.asarray(np.hypot(way[..., 0], way[..., 1]))


def crowding(mesh: Mesh, course: Course) -> tuple[Ints, Floats, Floats]:
    """Tell how near points of other shapes come to pieces of outline.

    Returns numbers (c,) of the pieces, many times, the distance (c,) mm, and where on the piece that is (c,), as a
    share of the way. What touches a piece does not crowd it.
    """
    far = foreign(mesh, course)
    found = []
    for here, there in ((mesh.one[far], mesh.other[far]), (mesh.other[far], mesh.one[far])):
        point, spot, start = mesh.point[here], mesh.place[there], mesh.place[here]
        before, whose = course.before[point], course.node[mesh.point[there]]
        found.append(_crowded(course, point, spot - start, whose))
        found.append(_crowded(course, before, spot - start + course.ahead[before], whose))
    piece, distance, along = (np.concatenate(column) for column in zip(*found, strict=True))
    return piece, distance, along


def _crowded(course: Course, piece: Ints, away: Points, whose: Ints) -> tuple[Ints, Floats, Floats]:
    """Measure from pieces to points of shapes ``whose`` (c,), ``away`` (c, 2) from where the pieces begin."""
    way, size = course.ahead[piece], np.maximum(course.size[piece], 1e-12)
    along = np.clip((away * way).sum(axis=1) / size**2, 0.0, 1.0)
    distance = _size(away - along[:, None] * way)
    inner = np.minimum(along, 1 - along) * size
    apart = ((distance > CONTACT) | (inner > CONTACT)) & (course.partner[piece] != whose)
    return piece[apart], distance[apart], along[apart]


def followed(mesh: Mesh, course: Course) -> Ints:
    """List the pieces of outline that are edges of the mesh."""
    one, other = mesh.point[mesh.one], mesh.point[mesh.other]
    same = (one >= 0) & (other >= 0) & (mesh.copy[mesh.one] == mesh.copy[mesh.other]).all(axis=1)
    one, other = one[same], other[same]
    return np.concatenate((one[course.after[one] == other], other[course.after[other] == one]))
