"""Where outlines of two shapes run along each other: there the border between them is the outline itself.

Both outlines are given the same points there, and then drawn a hair's breadth apart, so that what comes after may take
any two shapes as apart. Where outlines part again, the border goes on as the continuation of what they share.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial import KDTree

from mockup.geometry import shapes
from mockup.geometry.affine import Points, translation
from mockup.geometry.contours import Contours, Floats, Ints
from mockup.geometry.lattice import Lattice
from mockup.geometry.shapes import Shape

TOUCH: Final = 1e-3
"""Outlines nearer than this (mm) touch."""

HAIR: Final = 1e-3
"""How far (mm) an outline is drawn back where it touches another."""

_MITRE: Final = 3.0


@dataclass(frozen=True, eq=False, slots=True)
class Contacts:
    """Where shapes meet.

    ``joined`` (s, 3): nodes that share outline with a copy of their own, and the step to it. Where points of several
    outlines lie in one place, ``point`` (c,) is one of them, ``node`` (c,) the shape of another and ``step`` (c, 2)
    which copy of that shape, seen from the point's own; ordered by ``point``.
    """

    joined: Ints
    point: Ints
    node: Ints
    step: Ints

    def renumbered(self, number: Ints) -> "Contacts":
        """Follow points to their new numbers, (n,) for each old one, in the same order."""
        return Contacts(self.joined, number[self.point], self.node, self.step)


def parted(own: Contours, drawn: Sequence[Shape], lattice: Lattice | None) -> tuple[Contours, Contacts]:
    """Draw touching outlines apart, their mates found, and tell where they touched."""
    touching = _touching(drawn, lattice)
    if not touching.any():
        none = np.zeros((0, 3), dtype=np.int64)
        return own, Contacts(none, none[:, 0], none[:, 0], none[:, :2])
    own = _jointed(own, touching, lattice)
    among = np.flatnonzero(touching[own.node])
    spot, meeting = _gathered(own, among, lattice)
    meets = np.zeros(len(own.node), dtype=bool)
    meets[meeting[:, 0]] = True
    own = Contours(spot, own.node, own.ring, own.mate)
    mate, joined = _mates(own, np.flatnonzero(meets & meets[own.course().after]), lattice)
    own = Contours(spot, own.node, own.ring, mate)
    contacts = Contacts(joined, meeting[:, 0], own.node[meeting[:, 1]], meeting[:, 2:])
    return Contours(_drawn_back(own, meets), own.node, own.ring, mate), contacts


def _touching(drawn: Sequence[Shape], lattice: Lattice | None) -> NDArray[np.bool_]:
    """Tell which shapes touch another or a copy, (n,)."""
    placed, number, step = list(drawn), list(range(len(drawn))), [(0, 0)] * len(drawn)
    if lattice:
        boxes = shapes.boxes(drawn)
        whole = shapes.box_of(drawn)
        for i, j in lattice.copies(whole, (whole[0] - 1, whole[1] - 1, whole[2] + 1, whole[3] + 1)):
            x, y = lattice.shift(i, j)
            near = (boxes[:, 0] + x < whole[2] + TOUCH) & (boxes[:, 2] + x > whole[0] - TOUCH)
            near &= (boxes[:, 1] + y < whole[3] + TOUCH) & (boxes[:, 3] + y > whole[1] - TOUCH)
            for index in np.flatnonzero(near).tolist() if (i, j) != (0, 0) else ():
                placed.append(shapes.moved(drawn[index], translation(x, y)))
                number.append(index)
                step.append((i, j))
    pairs = shapes.near_pairs(drawn, placed, TOUCH)
    found = np.zeros(len(drawn), dtype=bool)
    owner, home = np.array(number), (np.array(step) == 0).all(axis=1)
    found[pairs[(pairs[:, 0] != owner[pairs[:, 1]]) | ~home[pairs[:, 1]], 0]] = True
    return found


def _images(spot: Points, lattice: Lattice | None) -> tuple[Ints, Ints, Points]:
    """List all copies of points that lie among the points, they themselves first: number, step (m, 2) and place."""
    number = [np.arange(len(spot))]
    step = [np.zeros((len(spot), 2), dtype=np.int64)]
    place = [spot]
    if lattice and len(spot):
        (x0, y0), (x1, y1) = spot.min(axis=0) - 0.1, spot.max(axis=0) + 0.1
        for i, j in lattice.copies((x0, y0, x1, y1), (x0, y0, x1, y1)):
            if (i, j) == (0, 0):
                continue
            moved = spot + lattice.shift(i, j)
            near = np.flatnonzero(((moved > (x0, y0)) & (moved < (x1, y1))).all(axis=1))
            number.append(near)
            step.append(np.tile(np.array([i, j]), (len(near), 1)))
            place.append(moved[near])
    return np.concatenate(number), np.concatenate(step), np.concatenate(place)


def _jointed(own: Contours, touching: NDArray[np.bool_], lattice: Lattice | None) -> Contours:
    """Give an outline a point wherever one of another shape lies on it."""
    among = np.flatnonzero(touching[own.node])
    ahead = own.course().ahead
    lines = shapely.linestrings(np.stack((own.spot[among], own.spot[among] + ahead[among]), axis=1))
    number, step, place = _images(own.spot[among], lattice)
    point, line = shapely.STRtree(lines).query(shapely.points(place), predicate="dwithin", distance=TOUCH)
    line = among[line]
    other = (own.node[among[number[point]]] != own.node[line]) | step[point].any(axis=1)
    point, line = point[other], line[other]
    length = np.hypot(*ahead[line].T)
    along = ((place[point] - own.spot[line]) * ahead[line]).sum(axis=1) / np.maximum(length, TOUCH)
    inner = (along > TOUCH) & (along < length - TOUCH)
    line, along, length = line[inner], along[inner], length[inner]
    order = np.lexsort((along, line))
    line, along, length = line[order], along[order], length[order]
    fresh = np.ones(len(line), dtype=bool)
    fresh[1:] = (np.diff(line) > 0) | (np.diff(along) > TOUCH)
    line, along, length = line[fresh], along[fresh], length[fresh]
    spot = own.spot[line] + (along / length)[:, None] * ahead[line]
    where = line + 1
    return Contours(
        np.insert(own.spot, where, spot, axis=0),
        np.insert(own.node, where, own.node[line]),
        np.insert(own.ring, where, own.ring[line]),
        np.insert(own.mate, where, -1),
    )


def _gathered(own: Contours, among: Ints, lattice: Lattice | None) -> tuple[Points, Ints]:
    """Bring points of several shapes that lie in one place to its middle.

    Returns the points and which of them met, (c, 4): point, other point, and the step to the other's copy.
    """
    number, step, place = _images(own.spot[among], lattice)
    one, other = _close(place, len(among))
    away = place[other] - place[one]
    count = 1 + np.bincount(one, minlength=len(among))
    middle = np.column_stack([np.bincount(one, way, len(among)) for way in away.T]) / count[:, None]
    foreign = (own.node[among[one]] != own.node[among[number[other]]]) | step[other].any(axis=1)
    one, other = one[foreign], other[foreign]
    meeting = np.column_stack((among[one], among[number[other]], step[other]))
    spot = own.spot.copy()
    met = np.unique(one)
    spot[among[met]] += middle[met]
    return spot, meeting[np.argsort(meeting[:, 0], kind="stable")]


def _close(place: Points, home: int) -> tuple[Ints, Ints]:
    """Pairs of places that touch, both ways round, of which the first is one of the first ``home``."""
    if not len(place):
        return np.zeros(0, dtype=np.int64), np.zeros(0, dtype=np.int64)
    pairs = KDTree(place).query_pairs(TOUCH, output_type="ndarray").astype(np.int64)
    pairs = np.concatenate((pairs, pairs[:, ::-1]))
    pairs = pairs[pairs[:, 0] < home]
    return pairs[:, 0], pairs[:, 1]


def _mates(own: Contours, pieces: Ints, lattice: Lattice | None) -> tuple[Ints, Ints]:
    """Pair the pieces of outline that are one line; list those that join copies of one node, (s, 3)."""
    mate = own.mate.copy()
    ahead = own.course().ahead[pieces]
    middle = own.spot[pieces] + ahead / 2
    length = np.hypot(*ahead.T)
    number, step, place = _images(middle, lattice)
    one, image = _close(place, len(pieces))
    other = number[image]
    back = (ahead[one] * ahead[other]).sum(axis=1) < -0.5 * length[one] * length[other]
    alike = np.abs(length[one] - length[other]) < 2 * TOUCH
    foreign = (own.node[pieces[one]] != own.node[pieces[other]]) | step[image].any(axis=1)
    keep = back & alike & foreign & (length[one] > TOUCH) & (length[other] > TOUCH)
    one, other, leap = one[keep], other[keep], step[image[keep]]
    mate[pieces[one]] = pieces[other]
    mate[(mate >= 0) & (mate[mate] != np.arange(len(mate)))] = -1
    same = own.node[pieces[one]] == own.node[pieces[other]]
    joined = np.column_stack((own.node[pieces[one[same]]], leap[same]))
    return mate, np.unique(joined, axis=0)


def _drawn_back(own: Contours, meets: NDArray[np.bool_]) -> Points:
    """Draw the points that meet others back by a hair, square to the line that is shared, else into the shape."""
    course = own.course()
    ahead, before = course.ahead, course.before
    normal = np.column_stack((-ahead[:, 1], ahead[:, 0])) / np.maximum(course.size, 1e-12)[:, None]
    shared = own.mate >= 0
    free = ~(shared | shared[before])
    way = np.where((shared | free)[:, None], normal, 0.0)
    way += np.where((shared[before] | free)[:, None], normal[before], 0.0)
    size = np.maximum(np.hypot(*way.T), 1e-12)
    both = (shared & shared[before]) | free
    # two unit normals of sum s: the mitre of two lines moved by 1 is 2 s / |s|^2
    stretch: Floats = np.where(both, np.minimum(2 / size, _MITRE), 1.0)
    moved = own.spot + (HAIR * stretch / size)[:, None] * way
    return np.where(meets[:, None], moved, own.spot)
