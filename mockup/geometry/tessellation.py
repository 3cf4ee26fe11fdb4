"""Triangles between outline points, block by block of a tile or a sheet, copies all round included.

The tile is cut into blocks; the points of a block are triangulated (Delaunay) with all points round about that can
have a say, so that memory stays bounded and blocks need not know of each other.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from mockup.geometry.affine import Points
from mockup.geometry.contours import Contours, Floats, Ints
from mockup.geometry.lattice import Lattice
from mockup.geometry.shapes import Box
from mockup.geometry.triangles import beside_of, circle_centres, triangles

BLOCK: Final = 30_000
"""Points to one block, about."""

_FRAME: Final = 6.0
_GROWTH: Final = 1.6


@dataclass(frozen=True, eq=False, slots=True)
class Mesh:
    """Triangles round the points of one block.

    ``place`` (m, 2) mm; ``point`` (m,) its number among the contours, -1 for the frame far round a sheet; ``copy``
    (m, 2) the copy of its node to which it belongs. Edges run between ``one`` and ``other`` (e,), and are ``own``
    (e,) by the half for each end in the block; beside an edge lie the triangles ``sides`` (e, 2). ``corners`` (t, 3)
    and ``centre`` (t, 2): the triangles and the middles of their circles.
    """

    place: Points
    point: Ints
    copy: Ints
    one: Ints
    other: Ints
    own: Floats
    sides: Ints
    corners: Ints
    centre: Points


class Blocks:
    """The tile, or the field of a sheet, cut into blocks of about as many points each."""

    def __init__(self, window: Box, lattice: Lattice | None, points: int, spacing: float) -> None:
        self.window, self.lattice, self.spacing = window, lattice, spacing
        self.size = window[2] - window[0], window[3] - window[1]
        count = math.ceil(points / BLOCK)
        self.across = max(1, round(math.sqrt(count * self.size[0] / self.size[1])))
        self.down = max(1, math.ceil(count / self.across))
        self.rim = np.full(self.across * self.down, 1.5 * spacing)

    @property
    def field(self) -> Box | None:
        """What a single sheet shows, in the blocks' own coordinates; nothing on a repeat."""
        return None if self.lattice else (0.0, 0.0, *self.size)

    def __len__(self) -> int:
        return self.across * self.down

    def laid(self, own: Contours) -> "Laid":
        """Sort the points of contours into the blocks."""
        spot = own.spot - np.array(self.window[:2])
        turn = _turns(spot, self.lattice) if self.lattice else np.zeros((len(spot), 2), dtype=np.int64)
        at = spot - _shifts(turn, self.lattice) if self.lattice else spot
        column = np.clip((at[:, 0] / self.size[0] * self.across).astype(np.int64), 0, self.across - 1)
        row = np.clip((at[:, 1] / self.size[1] * self.down).astype(np.int64), 0, self.down - 1)
        block = row * self.across + column
        order = np.argsort(block, kind="stable")
        start = np.searchsorted(block[order], np.arange(len(self) + 1))
        return Laid(self, at, -turn, order, start)


def _turns(spot: Points, lattice: Lattice) -> Ints:
    """Find the copy of the tile in which each point lies, (n, 2)."""
    x, y = spot[:, 0] / lattice.width, spot[:, 1] / lattice.height
    if lattice.drop:
        i = np.floor(x)
        j = np.floor(y - i * float(lattice.drop))
    else:
        j = np.floor(y)
        i = np.floor(x - j * float(lattice.step))
    return np.column_stack((i, j)).astype(np.int64)


def _shifts(turn: Ints, lattice: Lattice) -> Points:
    i, j = turn[:, 0], turn[:, 1]
    x = lattice.width * (i + j * float(lattice.step))
    y = lattice.height * (j + i * float(lattice.drop))
    return np.column_stack((x, y))


@dataclass(frozen=True, eq=False, slots=True)
class Laid:
    """Points of contours in their blocks: ``at`` (n, 2) mm from the window's corner, ``copy`` (n, 2) whose they are."""

    blocks: Blocks
    at: Points
    copy: Ints
    order: Ints
    start: Ints

    def own(self, block: int) -> Ints:
        """Numbers of the points in a block."""
        return self.order[self.start[block] : self.start[block + 1]]

    def mesh(self, block: int) -> Mesh | None:
        """Triangulate round a block; None where it holds no point."""
        own = self.own(block)
        if not len(own):
            return None
        farthest = 4 * math.hypot(*self.blocks.size) + 4 * self.blocks.spacing
        while True:
            rim = self.blocks.rim[block]
            mesh, near = self._within(block, own, rim)
            if near or rim > farthest:
                return mesh
            self.blocks.rim[block] = rim * _GROWTH

    def _within(self, block: int, own: Ints, rim: float) -> tuple[Mesh, bool]:
        """Triangulate with what lies within the rim; tell whether nothing farther can have a say."""
        blocks = self.blocks
        row, column = divmod(block, blocks.across)
        width, height = blocks.size[0] / blocks.across, blocks.size[1] / blocks.down
        box = (
            column * width - rim,
            row * height - rim,
            (column + 1) * width + rim,
            (row + 1) * height + rim,
        )
        alone = blocks.lattice is None and len(blocks) == 1
        point, place, copy = (own, self.at[own], self.copy[own]) if alone else self._cloud(box)
        mine = np.zeros(len(self.at), dtype=bool)
        mine[own] = True
        home = mine[point] & (copy == self.copy[point]).all(axis=1)
        if blocks.lattice is None:
            frame = _frame(blocks.size)
            place = np.concatenate((place, frame))
            point = np.concatenate((point, np.full(len(frame), -1)))
            copy = np.concatenate((copy, np.zeros((len(frame), 2), dtype=np.int64)))
            home = np.concatenate((home, np.zeros(len(frame), dtype=bool)))
        mesh = _meshed(place, point, copy, home)
        return mesh, alone or self._sure(mesh, box)

    def _cloud(self, box: Box) -> tuple[Ints, Points, Ints]:
        """List all points and copies of points in a box: number, place and copy."""
        found = [self._part(box, i, j) for i, j in self._steps(box)]
        point, place, copy = (np.concatenate(column) for column in zip(*found, strict=True))
        return point, place, copy

    def _steps(self, box: Box) -> list[tuple[int, int]]:
        lattice = self.blocks.lattice
        return lattice.copies((0.0, 0.0, *self.blocks.size), box) if lattice else [(0, 0)]

    def _part(self, box: Box, i: int, j: int) -> tuple[Ints, Points, Ints]:
        """Points of the tile's copy (i, j) in a box."""
        blocks = self.blocks
        shift = np.array(blocks.lattice.shift(i, j) if blocks.lattice else (0.0, 0.0))
        low, high = np.array(box[:2]) - shift, np.array(box[2:]) - shift
        count = np.array([blocks.across, blocks.down])
        first = np.clip(np.floor(low / blocks.size * count).astype(int), 0, count - 1)
        last = np.clip(np.floor(high / blocks.size * count).astype(int), 0, count - 1)
        rows = [row * blocks.across for row in range(first[1], last[1] + 1)]
        near = np.concatenate(
            [self.order[self.start[row + first[0]] : self.start[row + last[0] + 1]] for row in rows]
        )
        at = self.at[near]
        inside = ((at >= low) & (at <= high)).all(axis=1)
        near = near[inside]
        return near, at[inside] + shift, self.copy[near] + (i, j)

    def _sure(self, mesh: Mesh, box: Box) -> bool:
        """Tell whether the circles round the block's own edges lie in the box, as far as the sheet shows them."""
        if (mesh.sides < 0).any():
            return False
        ends = [mesh.centre[mesh.sides[:, 0]], mesh.centre[mesh.sides[:, 1]]]
        start = mesh.place[mesh.one]
        if self.blocks.field:
            first, second, seen = clipped(ends[0], ends[1], self.blocks.field)
            ends, start = [first[seen], second[seen]], start[seen]
        for end in ends:
            radius = np.hypot(*(end - start).T)[:, None]
            if ((end - radius < box[:2]) | (end + radius > box[2:])).any():
                return False
        return True


def _frame(size: tuple[float, float]) -> Points:
    """Points so far round a sheet that nothing on it lies nearest to them."""
    far = _FRAME * math.hypot(*size)
    turn = np.arange(8) * (math.pi / 4) + 0.1
    return np.column_stack((size[0] / 2 + far * np.cos(turn), size[1] / 2 + far * np.sin(turn)))


def _meshed(place: Points, point: Ints, copy: Ints, home: NDArray[np.bool_]) -> Mesh:
    """Triangulate points, and list the edges with an end at home."""
    corners = triangles(place - place.mean(axis=0))
    edges = list(_edges(corners, beside_of(corners, len(place)), home))
    one, other, sides = (np.concatenate(column) for column in zip(*edges, strict=True))
    weight = (home[one].astype(np.float64) + home[other]) / 2
    return Mesh(place, point, copy, one, other, weight, sides, corners, circle_centres(place[corners]))


def _edges(corners: Ints, beside: Ints, home: NDArray[np.bool_]) -> Iterator[tuple[Ints, Ints, Ints]]:
    number = np.arange(len(corners))
    for turn in range(3):
        one, other, next_to = corners[:, turn - 2], corners[:, turn - 1], beside[:, turn]
        keep = ((next_to < 0) | (number < next_to)) & (home[one] | home[other])
        yield one[keep], other[keep], np.column_stack((number[keep], next_to[keep]))


def clipped(first: Points, second: Points, box: Box) -> tuple[Points, Points, NDArray[np.bool_]]:
    """Cut lines (e, 2) to (e, 2) to a box; tell of which anything is left.

    References
    ----------
    Liang and Barsky, A new concept and method for line clipping, ACM Trans. Graphics 3 (1984), from memory.
    """
    way = second - first
    enter, leave = np.zeros(len(way)), np.ones(len(way))
    seen = np.ones(len(way), dtype=bool)
    for axis in (0, 1):
        run = way[:, axis]
        still = np.abs(run) < 1e-12
        safe = np.where(still, 1.0, run)
        low, high = ((box[axis + end] - first[:, axis]) / safe for end in (0, 2))
        seen &= ~still | ((first[:, axis] >= box[axis]) & (first[:, axis] <= box[axis + 2]))
        enter = np.where(still, enter, np.maximum(enter, np.minimum(low, high)))
        leave = np.where(still, leave, np.minimum(leave, np.maximum(low, high)))
    seen &= leave > enter
    return first + enter[:, None] * way, first + leave[:, None] * way, seen
