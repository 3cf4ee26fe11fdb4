"""What lies on the edges of a page that is a repeat unit, and what goes on from there at the other side.

An edge of the page faces the opposite edges of the copies beyond it: where columns or rows are moved, two of them. The
lattice's rectangle from (0, 0) to (w, h) is the page. Edges are named "left", "right", "top" and "bottom".
"""

import itertools
import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from typing import Final, NamedTuple, TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial import KDTree

from mockup.geometry.affine import Points, translation
from mockup.geometry.lattice import Lattice
from mockup.geometry.shapes import (
    GRID,
    Shape,
    Strokes,
    as_shape,
    box_of,
    intersection,
    moved,
    pieces,
    rectangle,
)
from mockup.geometry.stacking import many

Step: TypeAlias = tuple[int, int]
"""Which copy of the page, by the lattice."""

Floats: TypeAlias = NDArray[np.float64]

EDGE: Final = 0.05
"""What is this near to an edge (mm) lies on it."""

LIKE: Final = 0.3
"""Outlines that are nowhere further apart than this (mm) are one outline drawn twice."""

FAR: Final = 3.0
"""What misses its other half by more than this (mm) is not taken to belong to it."""

FACING_EDGES: Final = (("right", "left", 0), ("bottom", "top", 1))
"""An edge, the one that goes on beyond it, and the axis across them."""

SHARE: Final = 0.3
"""What meets by less than this share of the shorter of two stretches is not one shape."""

_SHALLOW: Final = 3 * EDGE
_RUN: Final = 0.02
_EXACT: Final = 0.002
_SLOPE: Final = 0.05
_TOUCH: Final = 0.05
_AROUND: Final[tuple[Step, ...]] = tuple((i, j) for i in range(-3, 4) for j in range(-3, 4))
_BACK: Final = {"left": -1, "right": 1, "top": 1, "bottom": -1}
"""Which way along an edge the outline of what lies within the page runs, the inside being at its left."""


class Stretch(NamedTuple):
    """A straight stretch of the outline of ``piece`` on an edge, from ``start`` to ``end`` along it, mm.

    ``depth`` (mm) is how much was cut off there if the outline went on as it bends at the ends: next to nothing for a
    round shape that only touches the edge. ``away`` (mm) is how far from the edge it lies at most. ``slopes`` (radians)
    tell how the outline leaves the edge at the start and at the end: 0 is square to it.
    """

    piece: int
    edge: str
    start: float
    end: float
    depth: float
    away: float
    slopes: tuple[float, float]

    @property
    def length(self) -> float:
        """Length, mm."""
        return self.end - self.start


class Meeting(NamedTuple):
    """Stretch ``one`` on the right or bottom edge meets ``other`` of copy ``step`` for ``length`` mm.

    ``off`` is added to places along the other's edge.
    """

    one: int
    other: int
    step: Step
    off: float
    length: float


def beyond(lattice: Lattice, axis: int) -> list[tuple[Step, float]]:
    """Copies of the page that begin where it ends on the right (axis 0) or below (1), and how far they lie along it."""
    size = lattice.width, lattice.height
    moves = [(step, lattice.shift(*step)) for step in _AROUND]
    return [(step, move[1 - axis]) for step, move in moves if abs(move[axis] - size[axis]) < GRID]


def stretches(shapes: Sequence[Shape], lattice: Lattice) -> list[Stretch]:
    """Find where shapes of one piece each, all within the page there, end straight on its edges."""
    forms = shapely.orient_polygons(many(shapes))
    parts, of = shapely.get_parts(forms, return_index=True)
    rings, within = shapely.get_rings(parts, return_index=True)
    points, number = shapely.get_coordinates(rings, return_index=True)
    starts = np.searchsorted(number, np.arange(len(rings) + 1))
    found: list[Stretch] = []
    for edge, axis, at in _edges(lattice):
        near = np.abs(points[:, axis] - at) <= EDGE
        pair = near[:-1] & near[1:] & (number[:-1] == number[1:])
        for ring in np.unique(number[:-1][pair]).tolist():
            own = points[starts[ring] : starts[ring + 1] - 1] - (at * (1 - axis), at * axis)
            found += _runs(own, axis, int(of[within[ring]]), edge)
    return sorted(found, key=lambda own: (own.piece, own.edge, own.start))


def _edges(lattice: Lattice) -> Iterator[tuple[str, int, float]]:
    """Give each edge, the axis across it, and where it lies on that."""
    for far, near, axis in FACING_EDGES:
        yield far, axis, (lattice.width, lattice.height)[axis]
        yield near, axis, 0.0


def _runs(ring: Points, axis: int, piece: int, edge: str) -> Iterator[Stretch]:
    """Give the runs of an outline along an edge, which is moved to 0 across the axis."""
    way = _BACK[edge]
    ring = np.roll(ring, -int(np.abs(ring[:, axis]).argmax()), axis=0)
    off = np.maximum(np.abs(ring[:-1, axis]), np.abs(ring[1:, axis]))
    across, along = np.abs(np.diff(ring[:, axis])), np.diff(ring[:, 1 - axis]) * way
    flat = (off <= EDGE) & (along > 0) & ((across <= _EXACT) | (across <= _SLOPE * along))
    if (flat & (off <= _EXACT)).any():  # cut exactly: what is merely near is something else
        flat &= off <= _EXACT
    begins = np.flatnonzero(flat & ~np.append(False, flat[:-1]))
    ends = np.flatnonzero(flat & ~np.append(flat[1:], False)) + 1
    for begin, end in zip(begins.tolist(), ends.tolist(), strict=True):
        into, out = ring[begin] - ring[begin - 1], ring[(end + 1) % len(ring)] - ring[end]
        straight = [float(line[1 - axis]) * way / float(np.hypot(*line)) for line in (into, out)]
        # an arc over a chord c that turns by f at its ends is c / 2 tan(f / 2) high
        turn = math.sqrt((1 - min(straight)) / max(1 + min(straight), 1e-9))
        start, stop = ring[[begin, end], 1 - axis].tolist()[::way]
        slopes = [math.atan2(line[1 - axis] * np.sign(line[axis]), abs(line[axis])) for line in (into, out)]
        if stop - start > _RUN:
            depth, away, (first, last) = (stop - start) / 2 * turn, float(off[begin:end].max()), slopes[::way]
            yield Stretch(piece, edge, start, stop, depth, away, (first, last))


def meetings(found: Sequence[Stretch], lattice: Lattice) -> list[Meeting]:
    """List which stretches lie on each other across the edges, copies moved as the lattice does."""
    met = []
    ends = np.array([own[2:4] for own in found]).reshape(-1, 2)
    for far, near, axis in FACING_EDGES:
        edges = np.array([own.edge for own in found])
        ones, others = np.flatnonzero(edges == far), np.flatnonzero(edges == near)
        tree = shapely.STRtree(shapely.box(ends[ones, 0], 0.0, ends[ones, 1], 1.0))
        for step, off in beyond(lattice, axis):
            bars = shapely.box(ends[others, 0] + off, 0.0, ends[others, 1] + off, 1.0)
            for other, one in zip(*(own.tolist() for own in tree.query(bars)), strict=True):
                a, b = int(ones[one]), int(others[other])
                length = min(found[a].end, found[b].end + off) - max(found[a].start, found[b].start + off)
                if length > _RUN:
                    met.append(Meeting(a, b, step, off, length))
    return met


def cuts(met: Sequence[Meeting], found: Sequence[Stretch], lattice: Lattice) -> list[Meeting]:
    """Choose the meetings at which one shape was cut in two.

    First come those that end alike, of these the ones at which outlines go straight on; then the longest of others.
    """
    longest = [0.0] * len(found)
    firm, likely = [], []
    for own in met:
        both = found[own.one], found[own.other]
        shorter, longer = sorted(stretch.length for stretch in both)
        shallow = sum(stretch.depth < _SHALLOW for stretch in both)
        exact = own.length > longer - _RUN and max(stretch.away for stretch in both) <= _EXACT
        if (shallow == 2 and not exact) or (shallow and own.length < longer / 2):
            continue
        if own.length > min(LIKE, SHARE * longer) and ends_alike(own, found, lattice):
            firm.append(own)
        elif own.length >= SHARE * (longer if shorter <= LIKE else shorter):
            likely.append(own)
            for number in (own.one, own.other):
                longest[number] = max(longest[number], own.length - EDGE)
    likely = [own for own in likely if own.length >= min(longest[own.one], longest[own.other])]
    chosen: list[Meeting] = []
    used: dict[int, list[tuple[float, float]]] = defaultdict(list)
    for own in sorted(firm, key=lambda own: _bend(own, found)) + likely:
        start = max(found[own.one].start, found[own.other].start + own.off)
        places = (
            (own.one, start, start + own.length),
            (own.other, start - own.off, start - own.off + own.length),
        )
        if not any(
            min(end, z) - max(begin, a) > own.length / 2 for n, begin, end in places for a, z in used[n]
        ):
            chosen.append(own)
            for number, begin, end in places:
                used[number].append((begin, end))
    return chosen


def _bend(own: Meeting, found: Sequence[Stretch]) -> float:
    """By how much outlines bend where they cross the edge, radians; two shapes that overlap may end alike there."""
    one, other = found[own.one], found[own.other]
    apart = abs(one.start - other.start - own.off), abs(one.end - other.end - own.off)
    return sum(abs(a - b) for a, b, off in zip(one.slopes, other.slopes, apart, strict=True) if off <= LIKE)


def ends_alike(own: Meeting, found: Sequence[Stretch], lattice: Lattice) -> bool:
    """Tell whether at both ends of a meeting both stretches end, or a corner of the page ends one."""
    one, other, off = found[own.one], found[own.other], own.off
    span = lattice.height if one.edge == "right" else lattice.width
    first = one.start if one.start >= other.start + off else other.start
    last = one.end if one.end <= other.end + off else other.end
    begins = abs(one.start - other.start - off) <= LIKE or first <= EDGE
    return begins and (abs(one.end - other.end - off) <= LIKE or last >= span - EDGE)


def own_steps(shape: Shape, lattice: Lattice) -> list[Step]:
    """Steps by which a shape of one piece that overhangs the page goes on in its own copy."""
    x0, y0, x1, y1 = box_of([shape])
    if x0 >= -EDGE and y0 >= -EDGE and x1 <= lattice.width + EDGE and y1 <= lattice.height + EDGE:
        return []
    found = stretches(pieces(intersection(shape, rectangle(0, 0, lattice.width, lattice.height))), lattice)
    return [own.step for own in meetings(found, lattice) if ends_alike(own, found, lattice)]


def marks(line: Points, closed: bool, lattice: Lattice) -> list[tuple[str, float, bool]]:
    """Find where a line comes to an edge of the page: the edge, mm along it, and whether it ends there or crosses.

    The two ends of what runs along an edge count as ends.
    """
    found = []
    for edge, axis, at in _edges(lattice):
        outward = (line[:, axis] - at) * (1 if at else -1)
        if outward.max() >= -EDGE:
            span = (lattice.width, lattice.height)[1 - axis]
            own = [(edge, *coming) for coming in _comings(line[:, 1 - axis], outward, closed)]
            found += [mark for mark in own if -EDGE <= mark[1] <= span + EDGE]
    return found


def _comings(along: Floats, outward: Floats, closed: bool) -> Iterator[tuple[float, bool]]:
    """Give the places where a line comes to an edge from within, and whether it ends there."""
    off = np.flatnonzero(np.abs(outward) > EDGE)
    if not len(off):
        return
    if closed:
        order = np.append(np.roll(np.arange(len(along)), -off[0]), off[0])
        along, outward = along[order], outward[order]
        off = np.flatnonzero(np.abs(outward) > EDGE)
    inside = outward < 0
    first, last = int(off[0]), int(off[-1])
    if first > 0 and inside[first]:
        yield float(along[first - 1]), True
    for one, other in itertools.pairwise(off.tolist()):
        if inside[one] != inside[other]:
            share = outward[one] / (outward[one] - outward[other])
            crossing = along[one] + share * (along[other] - along[one])
            within = one + 1 if inside[one] else other - 1
            yield float(crossing if other == one + 1 else along[within]), False
        elif inside[one] and abs(along[other - 1] - along[one + 1]) > LIKE and other > one + 1:
            yield float(along[one + 1]), True
            yield float(along[other - 1]), True
    if last < len(along) - 1 and inside[last]:
        yield float(along[last + 1]), True


def nearest(places: Sequence[float], others: Sequence[float], span: float) -> list[tuple[int, int, float]]:
    """Pair places along an edge with those of the edge facing it, (place, other, mm off), each once, nearest first.

    ``span`` (mm) is the length of the edge: places repeat with it. What is further than ``FAR`` apart is no pair.
    """
    if not places or not others:
        return []
    first, second = (
        KDTree(np.mod(np.mod(np.array(own), span), span)[:, None], boxsize=np.array([span]))
        for own in (places, others)
    )
    apart = first.sparse_distance_matrix(second, min(FAR, span / 4), output_type="coo_matrix")
    free, left, found = set(range(len(places))), set(range(len(others))), []
    rows = zip(*(own.tolist() for own in (apart.data, apart.row, apart.col)), strict=True)
    for off, one, other in sorted(rows):
        if one in free and other in left:
            free.remove(one)
            left.remove(other)
            found.append((one, other, off))
    return found


def copies(forms: Sequence[Shape | Strokes], lattice: Lattice) -> list[tuple[int, int, Step]]:
    """Find forms of which others are copies moved by a step of the lattice, within ``LIKE``: one, other and step."""
    boxes = np.asarray(shapely.bounds(many(forms)), dtype=float).reshape(-1, 4)
    size = np.array([lattice.width, lattice.height])
    about = np.flatnonzero(((boxes[:, :2] >= -size) & (boxes[:, 2:] <= 2 * size)).all(axis=1))
    # of a form and its copy one at least is not well within the page
    own = about[~((boxes[about, :2] > LIKE) & (boxes[about, 2:] < size - LIKE)).all(axis=1)]
    if not len(own):
        return []
    tree, found = KDTree(boxes[about]), set()
    for i, j in _AROUND:
        move = np.tile(lattice.shift(i, j), 2)
        near = tree.query_ball_point(boxes[own] + move, LIKE, p=np.inf) if (i, j) != (0, 0) else ()
        for one, others in zip(own.tolist(), near, strict=False):
            for other in about[others].tolist():
                found.add((one, other, (i, j)) if (i, j) > (0, 0) else (other, one, (-i, -j)))
    return [own for own in sorted(found) if _alike(forms[own[0]], forms[own[1]], lattice.shift(*own[2]))]


def _alike(one: Shape | Strokes, other: Shape | Strokes, move: tuple[float, float]) -> bool:
    """Tell whether the outlines of a form, moved, and of another follow each other within ``LIKE``."""
    both = moved(one, translation(*move)), other
    if shapely.area(shapely.intersection(*both)) < shapely.area(other) / 2:
        return False
    lines = [shapely.boundary(own) if isinstance(own, shapely.MultiPolygon) else own for own in both]
    shapely.prepare(lines)
    points = [shapely.points(shapely.get_coordinates(own)) for own in lines]
    return all(shapely.dwithin(points[n], lines[1 - n], LIKE).all() for n in (0, 1))


def united(
    shapes: Sequence[Shape], moves: Sequence[tuple[float, float]], lattice: Lattice, slack: float
) -> Shape:
    """Unite shapes moved by so many mm each; what is within ``slack`` mm of an edge of the page is first put on it."""
    size = np.array([lattice.width, lattice.height])

    def closed(points: Points) -> Points:
        points = np.where(np.abs(points) <= slack, 0.0, points)
        return np.where(np.abs(points - size) <= slack, size, points)

    drawn = shapely.transform(many(shapes), closed)
    broken = ~shapely.is_valid(drawn)
    drawn[broken] = shapely.make_valid(drawn[broken], method="structure", keep_collapsed=False)
    own = [moved(shape, translation(*move)) for shape, move in zip(drawn, moves, strict=True)]
    return as_shape(shapely.union_all(many(own), grid_size=GRID))


def together(own: Sequence[Shape]) -> Shape:
    """Put shapes into one as they are; united where they meet."""
    whole = shapely.MultiPolygon([polygon for shape in own for polygon in shape.geoms])
    return whole if whole.is_valid else as_shape(shapely.union_all(many(own), grid_size=GRID))


def overlapping(one: Sequence[Shape | Strokes], other: Sequence[Shape | Strokes]) -> NDArray[np.bool_]:
    """Tell which pairs lie on each other, not only side by side, (n,); lines do not lie on lines."""
    first, second = many(one), many(other)
    sizes = shapely.get_dimensions(first) + shapely.get_dimensions(second)
    both = shapely.intersection(first, second)
    on = np.where(sizes == 4, shapely.area(both) > _TOUCH, (sizes == 3) & (shapely.length(both) > LIKE))
    return np.asarray(on, dtype=bool)


class Offsets:
    """Things that hang together, each so many steps of a lattice from the others."""

    def __init__(self, count: int) -> None:
        self._up = list(range(count))
        self._step: list[Step] = [(0, 0)] * count
        self.loops: list[tuple[int, Step]] = []

    def find(self, one: int) -> tuple[int, Step]:
        """Give what stands for all that hangs together with ``one``, and the step from there to ``one``."""
        way = (0, 0)
        while (up := self._up[one]) != one:
            self._up[one], self._step[one] = self._up[up], _sum(self._step[one], self._step[up])
            way, one = _sum(way, self._step[one]), self._up[one]
        return one, way

    def join(self, one: int, other: int, step: Step) -> None:
        """Let ``other``, moved by ``step``, hang together with ``one``; what comes round to its own copy is a loop."""
        (root, at), (second, (i, j)) = self.find(one), self.find(other)
        way = _sum(_sum(at, step), (-i, -j))
        if root != second:
            self._up[second], self._step[second] = root, way
        elif any(way):
            self.loops.append((one, way))


def _sum(one: Step, other: Step) -> Step:
    return one[0] + other[0], one[1] + other[1]


def basis(ways: Iterable[Step]) -> tuple[Step, ...]:
    """Give the fewest steps, none to two, of which all others are made up."""
    first, down = (0, 0), 0
    for way in ways:
        one, other = first, way
        while other[0]:
            times = one[0] // other[0]
            one, other = other, (one[0] - times * other[0], one[1] - times * other[1])
        first, down = one, math.gcd(down, other[1])
    sign = -1 if first[0] < 0 else 1
    first = sign * first[0], sign * first[1] % down if down else sign * first[1]
    return tuple(step for step in (first, (0, down)) if any(step))
