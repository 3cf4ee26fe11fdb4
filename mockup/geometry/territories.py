"""Which shapes face each other: every point of the window belongs to the nearest shape, copies included.

Where two territories meet, the border between them is measured. On a repeat the window is one tile and the copies of
the tile all round take part; on a single sheet the edge is no border.

The outlines are sampled, finely where another shape is near; the triangles between the samples (Delaunay) tell who
meets whom, and the middles of their circles, moved until they lie between the true outlines, are the border's points.

References
----------
Okabe, Boots, Sugihara, Chiu, Spatial Tessellations, 2nd edition 2000, section 3.5: area Voronoi diagrams from those of
points on the outlines (from memory).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from mockup.geometry.bisectors import Pieces, border_pieces, crowding, followed
from mockup.geometry.contacts import TOUCH, Contacts, parted
from mockup.geometry.contours import Contours, Course, Floats, Ints, contours, equal
from mockup.geometry.lattice import Lattice
from mockup.geometry.shapes import Box, Shape
from mockup.geometry.tessellation import Blocks, Mesh

CLOSENESS: Final = 0.5
"""Longest piece of outline, as a share of the distance to the nearest other shape."""

FLOOR: Final = 1 / 128
"""Shortest piece of outline that is cut further, in mean spacings."""

_TURNS: Final = 7
_MOST: Final = 16
_LOOSE: Final = 4
_SLACK: Final = 0.2
_LEAST: Final = 1e-6


@dataclass(frozen=True, eq=False, slots=True)
class Borders:
    """Borders between territories.

    ``a`` and ``b`` (m,) are shapes, ``step`` (m, 2) the copy of b that a in copy (0, 0) meets, ``length`` and ``gap``
    (m,) mm; each border stands once. ``joined`` (m,) marks copies of one shape that share some of their outline:
    where they take one ink they are one region that runs on through the repeat. ``count`` is the number of shapes.

    Where two shapes end in one point, as two halves of a leaf do, all that lies beyond the point is as near to the one
    as to the other. It is divided between them along the line that they share, and ``loose`` (m, 2) tells how many mm
    of a border a and b would lose if the other had all of it. Rows marked ``claim`` (m,) are no borders: what the
    other could win.
    """

    count: int
    a: Ints
    b: Ints
    step: Ints
    length: Floats
    gap: Floats
    joined: NDArray[np.bool_]
    loose: Floats
    claim: NDArray[np.bool_]


def territories(shapes: Sequence[Shape], window: Box, lattice: Lattice | None) -> Borders:
    """Find who meets whom.

    Parameters
    ----------
    shapes : sequence of Shape
        One shape a node, in mm; they do not overlap.
    window : Box
        The tile (with a lattice) or the field of a single sheet (without).
    lattice : Lattice, optional
        How the tile steps.
    """
    spacing = math.sqrt((window[2] - window[0]) * (window[3] - window[1]) / max(len(shapes), 1))
    own = contours(shapes, spacing / 2)
    if not len(own.node):
        none = np.zeros((0, 5), dtype=np.int64)
        return _borders(len(shapes), none, np.zeros((4, 0)), none)
    own, contacts = parted(own, shapes, lattice)
    survey = _Survey(Blocks(window, lattice, len(own.node), spacing), FLOOR * spacing)
    for turn in range(_TURNS + 1):
        piece, share = survey.look(own, contacts, last=turn == _TURNS)
        if not len(piece):
            break
        own, number = own.cut(piece, share)
        contacts = contacts.renumbered(number)
        survey.renumber(number)
    found = [np.concatenate(column, axis=-1) for column in zip(*survey.found.values(), strict=True)]
    keys, figures = _summed(found[0], found[1])
    keep = figures[0] > _LEAST * spacing
    return _borders(len(shapes), keys[:, keep].T, figures[:, keep], contacts.joined)


class _Survey:
    """What is known of the borders, block by block, while the outlines become denser."""

    def __init__(self, blocks: Blocks, floor: float) -> None:
        self.blocks, self.floor = blocks, floor
        self.waiting = list(range(len(blocks)))
        self.found: dict[int, tuple[Ints, Floats]] = {}
        self.points: dict[int, Ints] = {}

    def look(self, own: Contours, contacts: Contacts, last: bool) -> tuple[Ints, Floats]:
        """Measure the blocks that wait; tell where to cut pieces of outline: pieces and shares of their ways.

        Blocks then wait again in which outlines are cut. At the last look nothing is cut any more.
        """
        laid, course = self.blocks.laid(own), own.course()
        cuts: list[tuple[Ints, Floats]] = [(np.zeros(0, dtype=np.int64), np.zeros(0))]
        for block in self.waiting:
            mesh = laid.mesh(block)
            if mesh is None:
                continue
            self.points[block] = np.unique(mesh.point[mesh.point >= 0])
            wanted = self._wanted(mesh, course, laid.own(block))
            if last or not len(wanted[0]):
                self.found[block] = _measured(
                    border_pieces(mesh, course, self.blocks.field, self.floor), mesh, course, contacts
                )
            if not last:
                cuts.append(wanted)
        piece, share = (np.concatenate(column) for column in zip(*cuts, strict=True))
        self._wait(own, course, piece)
        return piece, share

    def _wait(self, own: Contours, course: Course, piece: Ints) -> None:
        """Let the blocks wait in which pieces are cut."""
        cut = np.zeros(len(course.size), dtype=bool)
        cut[piece] = True
        cut[own.mate[piece[own.mate[piece] >= 0]]] = True
        cut |= cut[course.before]
        self.waiting = [block for block, points in self.points.items() if cut[points].any()]

    def renumber(self, number: Ints) -> None:
        """Follow points to their new numbers, (n,) for each old one."""
        self.points = {block: number[points] for block, points in self.points.items()}

    def _wanted(self, mesh: Mesh, course: Course, points: Ints) -> tuple[Ints, Floats]:
        """Tell where to cut: near other shapes, and where the mesh cuts across an outline."""
        piece, distance, along = crowding(mesh, course)
        crowded, number = np.unique(piece, return_inverse=True)
        room = np.full(len(crowded), np.inf)
        np.minimum.at(room, number, distance)
        wished = course.size[crowded] / np.maximum(CLOSENESS * room, self.floor)
        parts = np.ceil(wished - _SLACK).clip(1, _MOST)
        loose = np.setdiff1d(points, followed(mesh, course))
        loose = loose[course.size[loose] > self.floor]
        cuts = [equal(crowded, parts.astype(np.int64)), equal(loose, np.full(len(loose), _LOOSE))]
        cuts.append(_opposite(course, piece, distance, along, parts[number] == 1))
        return np.concatenate([cut[0] for cut in cuts]), np.concatenate([cut[1] for cut in cuts])


def _opposite(
    course: Course, piece: Ints, distance: Floats, along: Floats, short: NDArray[np.bool_]
) -> tuple[Ints, Floats]:
    """Cut short pieces opposite the points of a shape that is nearer still, so that both have points face to face."""
    size = course.size[piece]
    slack = np.maximum(distance / 2, TOUCH)
    near = short & (course.partner[piece] < 0) & (size > distance)
    near &= np.minimum(along, 1 - along) * size > slack
    piece, along, slack = piece[near], along[near], (slack / np.maximum(size, 1e-12))[near]
    order = np.lexsort((along, piece))
    piece, along, slack = piece[order], along[order], slack[order]
    fresh = np.ones(len(piece), dtype=bool)
    fresh[1:] = (np.diff(piece) > 0) | (np.diff(along) > slack[1:])
    return piece[fresh], along[fresh]


def _measured(pieces: Pieces, mesh: Mesh, course: Course, contacts: Contacts) -> tuple[Ints, Floats]:
    """Add up the pieces of border in a mesh.

    Returns keys (5, m): claim, a, b and step; and figures (4, m): length, what is loose at a and at b, and gap.
    """
    ends = [
        _End(mesh.point[side], course.node[mesh.point[side]], mesh.copy[side])
        for side in (pieces.one, pieces.other)
    ]
    loose = np.zeros((2, len(pieces.length)))
    found = []
    for k in (0, 1):
        rows, claimant = _claims(ends[k], pieces.tip[:, k], contacts)
        other = ends[1 - k].rows(rows)
        real = (claimant.node != other.node) | (claimant.copy != other.copy).any(axis=1)
        rows, claimant, other = rows[real], claimant.rows(real), other.rows(real)
        loose[k, rows] = pieces.length[rows]
        found.append(
            _keyed(claimant, other, 1, pieces.length[rows], np.zeros((2, len(rows))), pieces.gap[rows])
        )
    found.append(_keyed(ends[0], ends[1], 0, pieces.length, loose, pieces.gap))
    keys, figures = (np.concatenate(column, axis=1) for column in zip(*found, strict=True))
    return _summed(keys, figures)


class _End(NamedTuple):
    """What lies at one side of pieces of border: outline points, their shapes and the copies of these."""

    point: Ints
    node: Ints
    copy: Ints

    def rows(self, chosen: Ints | NDArray[np.bool_]) -> "_End":
        return _End(self.point[chosen], self.node[chosen], self.copy[chosen])


def _claims(end: _End, tip: NDArray[np.bool_], contacts: Contacts) -> tuple[Ints, _End]:
    """List who else ends in the points on which pieces hang: the pieces' numbers, and the others."""
    hanging = np.flatnonzero(tip)
    point = end.point[hanging]
    first = np.searchsorted(contacts.point, point)
    count = np.searchsorted(contacts.point, point, side="right") - first
    rows = np.repeat(hanging, count)
    entry = np.repeat(first - (np.cumsum(count) - count), count) + np.arange(len(rows))
    return rows, _End(end.point[rows], contacts.node[entry], end.copy[rows] + contacts.step[entry])


def _keyed(
    one: _End, other: _End, claim: int, length: Floats, loose: Floats, gap: Floats
) -> tuple[Ints, Floats]:
    """Write pairs as keys (5, m) of claim, a, b and step, each one way round, with their figures (4, m)."""
    i, j = (other.copy - one.copy).T
    flip = (one.node > other.node) | ((one.node == other.node) & ((j < 0) | ((j == 0) & (i < 0))))
    a, b = np.where(flip, other.node, one.node), np.where(flip, one.node, other.node)
    sign = np.where(flip, -1, 1)
    keys = np.stack((np.full(len(a), claim), a, b, sign * i, sign * j))
    return keys, np.vstack((length, np.where(flip, loose[::-1], loose), gap))


def _summed(keys: Ints, figures: Floats) -> tuple[Ints, Floats]:
    """Add up what stands under one key: lengths and what is loose, and the least of the gaps."""
    order = np.lexsort(keys[::-1])
    keys, figures = keys[:, order], figures[:, order]
    if not len(order):
        return keys, figures
    first = np.flatnonzero(np.append(True, (np.diff(keys, axis=1) != 0).any(axis=0)))
    sums = np.add.reduceat(figures[:3], first, axis=1)
    return keys[:, first], np.vstack((sums, np.minimum.reduceat(figures[3], first)))


def _borders(count: int, rows: Ints, figures: Floats, joined: Ints) -> Borders:
    """Make the record of rows (m, 5): claim, a, b and step; ``joined`` (s, 3) lists nodes and steps that run on."""
    known = {tuple(row) for row in joined.tolist()}
    claim, a, b, step = rows[:, 0] > 0, rows[:, 1], rows[:, 2], rows[:, 3:]
    run_on = np.zeros(len(rows), dtype=bool)
    for row in np.flatnonzero(a == b).tolist() if known else ():
        run_on[row] = (a[row], *step[row]) in known
    return Borders(count, a, b, step, figures[0], figures[3], run_on, figures[1:3].T, claim)
