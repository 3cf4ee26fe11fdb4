"""Ink thinned to a graph: chains of pixels along the middle of the lines, between ends and junctions.

References
----------
T. Y. Zhang and C. Y. Suen, "A fast parallel algorithm for thinning digital patterns", CACM 27 (1984): the thinning of
scikit-image.
"""

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy import spatial
from skimage.morphology import skeletonize

from mockup.drawing.runs import Ints, runs_of
from mockup.geometry.affine import Points
from mockup.geometry.rasters import beside

Mask = NDArray[np.bool_]

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

    @property
    def usual(self) -> float:
        """The half width that half of its points do not reach, pixels."""
        return float(np.sort(self.half)[len(self.half) // 2])


def turned(chain: Chain) -> Chain:
    """Give a chain the other way round."""
    return Chain(chain.points[::-1], chain.half[::-1], (chain.ends[1], chain.ends[0]))


def chains_of(ink: Mask) -> list[Chain]:
    """Thin ink to chains; spurs are left out, and what remains of a line at a left-out spur is joined.

    A mark as round as a dot is a chain of two points half a pixel apart.
    """
    with ThreadPoolExecutor(1) as pool:
        thinning = pool.submit(skeletonize, ink)
        rim = spatial.KDTree(np.argwhere(beside(ink)))  # half-way to the nearest of these is the edge
        spots = np.argwhere(thinning.result())
    if not len(spots):
        return []
    half = np.asarray(rim.query(spots, workers=2)[0]) - 0.5 if rim.n else np.full(len(spots), 0.5)
    found = _contracted(_traced(spots, half, ink.shape))
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


def _traced(spots: Ints, half: NDArray[np.float64], shape: tuple[int, ...]) -> list[Chain]:
    """Make chains of the pixels' runs."""
    xy = spots[:, ::-1].astype(float)
    runs = runs_of(spots, shape)
    found = [
        Chain(xy[[at, at]] + ((-0.25, 0.0), (0.25, 0.0)), half[[at, at]], (at, at + len(spots)))
        for at in runs.lone.tolist()
    ]
    found += [Chain(xy[run], half[run], (int(run[0]), int(run[-1]))) for run in runs.between]
    return found + [Chain(xy[run], half[run], (-1, -1)) for run in runs.round]


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
        short = chain.length < max(2 * _BRIDGE * chain.usual, 1.5)
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
