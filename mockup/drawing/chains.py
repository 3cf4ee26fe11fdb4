"""Ink thinned to a graph: chains of pixels along the middle of the lines, between ends and junctions.

References
----------
T. Y. Zhang and C. Y. Suen, "A fast parallel algorithm for thinning digital patterns", CACM 27 (1984): the thinning of
scikit-image. Pixels are neighbours by mixed adjacency (A. Rosenfeld, from memory): by a side, or by a corner where
no side joins them, so that a chain has no short cuts at its steps.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy import spatial
from skimage.morphology import skeletonize

from mockup.geometry.affine import Points

Mask = NDArray[np.bool_]
Ints = NDArray[np.int64]

_SPUR: Final = 0.95
"""Side branches of at most so many widths of the line they stand on are no lines: unevenness of its edge."""

_BRIDGE: Final = 0.55
"""Junctions at most so many widths apart are one crossing."""


@dataclass(frozen=True, eq=False, slots=True)
class Chain:
    """A line between two nodes: ``points`` (n, 2) pixels (x, y), its ends included, and ``half`` its half widths (n,).

    ``ends`` are the nodes' numbers; both -1 for a closed line, which ends where it began.
    """

    points: Points
    half: NDArray[np.float64]
    ends: tuple[int, int]

    @property
    def length(self) -> float:
        """Length in pixels."""
        return float(np.hypot(*np.diff(self.points, axis=0).T).sum())


def turned(chain: Chain) -> Chain:
    """Give a chain the other way round."""
    return Chain(chain.points[::-1], chain.half[::-1], (chain.ends[1], chain.ends[0]))


def chains_of(ink: Mask) -> list[Chain]:
    """Thin ink to chains; spurs are left out, and what remains of a line at a left-out spur is joined.

    A mark as round as a dot is a chain of two points half a pixel apart.
    """
    thin = np.asarray(skeletonize(ink))
    spots = np.argwhere(thin)
    if not len(spots):
        return []
    half = _half_widths(ink, spots)
    found = _traced(spots, half, ink.shape)
    found = _contracted(found)
    for _ in range(3):
        kept = _without_spurs(found)
        found, before = _joined(kept), len(found)
        if len(kept) == before:
            break
    return _widened(found, float(ink.sum()))


def _widened(found: list[Chain], area: float) -> list[Chain]:
    """Bring the widths to what they are on the mean: the chains then cover as many pixels as there is ink.

    Thinning ends up to half a pixel off the middle, and the nearer side is measured.
    """
    covered = sum(chain.length * 2 * float(chain.half.mean()) for chain in found)
    factor = min(max(area / max(covered, 1.0), 0.9), 1.3)
    return [replace(chain, half=chain.half * factor) for chain in found]


def _half_widths(ink: Mask, spots: Ints) -> NDArray[np.float64]:
    """Give the distance of each pixel to the edge of the ink, pixels: half-way to the nearest bare pixel."""
    bare = np.zeros(ink.shape, dtype=bool)
    bare[1:] |= ink[:-1]
    bare[:-1] |= ink[1:]
    bare[:, 1:] |= ink[:, :-1]
    bare[:, :-1] |= ink[:, 1:]
    edge = np.argwhere(bare & ~ink)
    if not len(edge):
        return np.full(len(spots), 0.5)
    return np.asarray(spatial.KDTree(edge).query(spots)[0]) - 0.5


def _traced(spots: Ints, half: NDArray[np.float64], shape: tuple[int, ...]) -> list[Chain]:
    """Walk along the pixels from node to node, then round what is left: closed lines."""
    number = np.full((shape[0] + 2, shape[1] + 2), -1, dtype=np.int32)
    number[spots[:, 0] + 1, spots[:, 1] + 1] = np.arange(len(spots))
    near = _neighbours(number, spots)
    degree = (near >= 0).sum(axis=1)
    packed = -np.sort(-near, axis=1)
    links: list[list[int]] = [row[:many] for row, many in zip(packed.tolist(), degree.tolist(), strict=True)]
    xy = spots[:, ::-1].astype(float)
    node = degree != 2
    found, walked = [], ~node
    for start in np.flatnonzero(node).tolist():
        if not links[start]:
            both = xy[start] + ((-0.25, 0.0), (0.25, 0.0))
            found.append(Chain(both, half[[start, start]], (start, start + len(spots))))
        for first in links[start]:
            path = _walk(start, first, links, node)
            if path[0] < path[-1] or (path[0] == path[-1] and path[1] <= path[-2]):
                found.append(Chain(xy[path], half[path], (path[0], path[-1])))
            walked[path] = False
    left = walked
    for start in np.flatnonzero(left).tolist():
        if left[start]:
            path = _walk(start, links[start][0], links, node)
            left[path] = False
            found.append(Chain(xy[path], half[path], (-1, -1)))
    return found


def _walk(start: int, first: int, links: list[list[int]], node: Mask) -> list[int]:
    """Go on from ``start`` by ``first`` until a node, or the start again."""
    path, before, at = [start, first], start, first
    while not node[at] and at != start:
        one, other = links[at]
        before, at = at, other if one == before else one
        path.append(at)
    return path


def _neighbours(number: NDArray[np.int32], spots: Ints) -> Ints:
    """Give the neighbours of each pixel by mixed adjacency, (n, 8), -1 where there is none."""
    row, column = spots[:, 0] + 1, spots[:, 1] + 1
    sides = {step: number[row + step[0], column + step[1]] for step in ((-1, 0), (1, 0), (0, -1), (0, 1))}
    found = list(sides.values())
    for down in (-1, 1):
        for across in (-1, 1):
            corner = number[row + down, column + across].copy()
            corner[(sides[down, 0] >= 0) | (sides[0, across] >= 0)] = -1
            found.append(corner)
    return np.column_stack(found).astype(np.int64)


def _contracted(found: list[Chain]) -> list[Chain]:
    """Draw junctions that are nearer than a part of the line's width together into one."""
    degree = degrees(found)
    parent: dict[int, int] = {}

    def root(node: int) -> int:
        while parent.get(node, node) != node:
            node = parent[node]
        return node

    bridges = set()
    for number, chain in enumerate(found):
        one, other = chain.ends
        short = chain.length < max(2 * _BRIDGE * float(np.median(chain.half)), 1.5)
        if one != other and short and min(degree.get(one, 0), degree.get(other, 0)) > 2:
            bridges.add(number)
            parent[root(one)] = root(other)
    places: dict[int, list[Points]] = {}
    for chain in found:
        for end, at in zip(chain.ends, (chain.points[0], chain.points[-1]), strict=True):
            places.setdefault(root(end), []).append(at)
    middle = {node: np.mean(spots, axis=0) for node, spots in places.items()}
    made = []
    for number, chain in enumerate(found):
        if number not in bridges:
            ends = root(chain.ends[0]), root(chain.ends[1])
            points = chain.points.copy()
            if chain.ends[0] >= 0:
                points[0], points[-1] = middle[ends[0]], middle[ends[1]]
            made.append(replace(chain, points=points, ends=ends))
    return [
        chain for chain in made if chain.ends[0] != chain.ends[1] or chain.ends[0] < 0 or chain.length > 4
    ]


def degrees(found: Sequence[Chain]) -> dict[int, int]:
    """Count the chains that end in each node."""
    degree: dict[int, int] = {}
    for chain in found:
        for end in chain.ends:
            if end >= 0:
                degree[end] = degree.get(end, 0) + 1
    return degree


def _without_spurs(found: list[Chain]) -> list[Chain]:
    """Leave out short side branches with a free end."""
    degree = degrees(found)
    kept = []
    for chain in found:
        free = [degree.get(end, 0) == 1 for end in chain.ends]
        if sum(free) == 1:
            foot = float(chain.half[-1] if free[0] else chain.half[0])
            if chain.length < max(2 * _SPUR * foot, 2.5):
                continue
        kept.append(chain)
    return kept


def _joined(found: list[Chain]) -> list[Chain]:
    """Join the two chains that are left at a node into one."""
    at: dict[int, list[int]] = {}
    for number, chain in enumerate(found):
        for end in chain.ends:
            if end >= 0:
                at.setdefault(end, []).append(number)
    chains: dict[int, Chain] = dict(enumerate(found))
    where = {node: list(own) for node, own in at.items()}
    for node, own in where.items():
        if len(own) != 2 or own[0] == own[1]:
            continue
        one, other = chains[own[0]], chains.pop(own[1])
        first = one if one.ends[1] == node else turned(one)
        second = other if other.ends[0] == node else turned(other)
        points = np.vstack((first.points, second.points[1:]))
        half = np.append(first.half, second.half[1:])
        ends = first.ends[0], second.ends[1]
        far = other.ends[0] if other.ends[1] == node else other.ends[1]
        where[far] = [own[0] if number == own[1] else number for number in where[far]]
        chains[own[0]] = Chain(points, half, ends)
    many = degrees(list(chains.values()))
    return [
        replace(one, ends=(-1, -1)) if one.ends[0] == one.ends[1] and many.get(one.ends[0], 0) == 2 else one
        for one in chains.values()
    ]
