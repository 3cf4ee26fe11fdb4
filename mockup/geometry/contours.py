"""The outlines of many shapes as one list of points, which can be made as dense as a place asks for."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray

from mockup.geometry.affine import Points
from mockup.geometry.shapes import Shape

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]

_SAME: Final = 1e-9


@dataclass(frozen=True, eq=False, slots=True)
class Contours:
    """Points of all outlines, ring by ring, what is inside lying on the left.

    ``spot`` (n, 2) mm, ``node`` (n,) the shape and ``ring`` (n,) the outline of each point. The piece of outline from
    a point to the next bears the point's number; ``mate`` (n,) is the piece of another shape that runs along it, or
    -1.
    """

    spot: Points
    node: Ints
    ring: Ints
    mate: Ints

    def course(self) -> "Course":
        """Tell how the outlines run."""
        after = np.arange(1, len(self.ring) + 1)
        start = np.flatnonzero(np.diff(self.ring, prepend=-1))
        after[np.flatnonzero(np.diff(self.ring, append=-1))] = start
        before = np.empty_like(after)
        before[after] = np.arange(len(after))
        ahead = self.spot[after] - self.spot
        partner = np.where(self.mate >= 0, self.node[self.mate], -1)
        return Course(self.node, after, before, ahead, -ahead[before], np.hypot(*ahead.T), partner)

    def cut(self, piece: Ints, share: Floats) -> tuple["Contours", Ints]:
        """Put new points on pieces of outline (c,), each at a share of the way; mates are cut alike.

        Returns the contours, and what number each point has now (n,).
        """
        mated = self.mate[piece] >= 0
        piece = np.concatenate((piece, self.mate[piece[mated]]))
        share = np.concatenate((share, 1 - share[mated]))
        # the points themselves are cuts at the beginning of their pieces
        owner = np.concatenate((np.arange(len(self.node)), piece))
        along = np.concatenate((np.zeros(len(self.node)), share))
        order = np.lexsort((along, owner))
        owner, along = owner[order], along[order]
        fresh = (np.diff(owner, prepend=-1) > 0) | (np.diff(along, prepend=0.0) > _SAME)
        owner, along = owner[fresh], along[fresh]
        count = np.bincount(owner)
        first = np.cumsum(count) - count
        mate = self.mate[owner]
        turn = np.arange(len(owner)) - first[owner]
        partner = np.where(mate >= 0, first[mate] + count[owner] - 1 - turn, -1)
        spot = self.spot[owner] + along[:, None] * self.course().ahead[owner]
        return Contours(spot, self.node[owner], self.ring[owner], partner), first


@dataclass(frozen=True, eq=False, slots=True)
class Course:
    """How outlines run.

    ``node`` (n,) as in the contours, ``after`` and ``before`` (n,) the next point and the last, ``ahead`` and
    ``behind`` (n, 2) the ways there in mm, ``size`` (n,) the length of each piece, ``partner`` (n,) the shape that runs
    along it, or -1.
    """

    node: Ints
    after: Ints
    before: Ints
    ahead: Points
    behind: Points
    size: Floats
    partner: Ints


def contours(shapes: Sequence[Shape], longest: float) -> Contours:
    """List the outlines of shapes, no piece longer than ``longest`` mm."""
    parts, node = shapely.get_parts(
        shapely.orient_polygons(np.array(shapes, dtype=object)), return_index=True
    )
    rings, part = shapely.get_rings(parts, return_index=True)
    spot, ring = shapely.get_coordinates(rings, return_index=True)
    keep = ring == np.append(ring[1:], -1)  # the closing point repeats the first
    ring = ring[keep].astype(np.int64)
    own = Contours(spot[keep], node[part[ring]].astype(np.int64), ring, np.full(len(ring), -1))
    parts = np.ceil(own.course().size / longest).astype(np.int64)
    return own.cut(*equal(np.arange(len(ring)), parts))[0]


def equal(piece: Ints, parts: Ints) -> tuple[Ints, Floats]:
    """Cut pieces of outline (c,) into so many equal parts: pieces and shares of their ways."""
    parts = np.maximum(parts, 1)
    old = np.repeat(np.arange(len(piece)), parts - 1)
    turn = np.arange(len(old)) - np.repeat(np.cumsum(parts - 1) - parts + 1, parts - 1)
    return piece[old], (turn + 1) / parts[old]
