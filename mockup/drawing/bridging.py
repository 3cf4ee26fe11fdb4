"""Gaps in a graph of chains: lines run off the picture, open ends are joined, chains are cut where one joins them."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from mockup.drawing.chains import Chain, Mask, degrees
from mockup.drawing.gaps import Closing, Line
from mockup.geometry.affine import Points

EDGE: Final = 1.1
"""Lines that end so near (mm) to the picture's edge run off it."""

_DOT: Final = 1.0
_STEEP: Final = 0.3
_FIBRE: Final = 0.34
"""A line that touches no other and is under this share of the usual width may be a fibre of dust: it closes nothing."""


def run_off(chains: Sequence[Chain], shape: tuple[int, ...], scale: float) -> list[Chain]:
    """Let free ends near the picture's edge run on to it."""
    degree = degrees(chains)
    made = []
    for chain in chains:
        points = chain.points
        for end in (0, 1):
            if chain.ends[end] >= 0 and degree[chain.ends[end]] == 1 and chain.length > _DOT:
                spot = _at_edge(points if end == 0 else points[::-1], shape, EDGE * scale)
                if spot is not None:
                    points = np.vstack((spot, points) if end == 0 else (points, spot))
        added = len(points) - len(chain.points)
        if added:
            front = int(not np.array_equal(points[0], chain.points[0]))
            half = np.pad(chain.half, (front, added - front), mode="edge")
            made.append(replace(chain, points=points, half=half))
        else:
            made.append(chain)
    return made


def _at_edge(points: Points, shape: tuple[int, ...], near: float) -> Points | None:
    """Give where a line that begins with these points meets the edge, if that is near."""
    here, box = points[0], np.array([shape[1] - 0.5, shape[0] - 0.5])
    gaps = np.concatenate((here + 0.5, box - here))
    side = int(np.argmin(gaps))
    if gaps[side] > near:
        return None
    far = points[min(len(points) - 1, 10)]
    way = here - far
    axis, out = side % 2, -1.0 if side < 2 else 1.0
    length = float(np.hypot(*way))
    spot = here.copy()
    if length > 0 and way[axis] * out / length > _STEEP:
        spot = here + way * (gaps[side] / abs(way[axis]))
    spot[axis] = -0.5 if side < 2 else box[axis]
    return np.asarray(np.clip(spot, -0.5, box))


def lines_of(chains: Sequence[Chain], ink: Mask, scale: float) -> list[Line]:
    """Give the chains as lines in mm, with their free ends: those in the picture, not of dots nor of fibres."""
    degree = degrees(chains)
    hair = _FIBRE * _usual(chains)
    box = np.array([ink.shape[1] - 0.5, ink.shape[0] - 0.5])
    found = []
    for chain in chains:
        inside = [
            bool((at > -0.49).all() and (at < box - 0.01).all()) for at in (chain.points[0], chain.points[-1])
        ]
        one, other = (
            end >= 0 and degree[end] == 1 and own and chain.length > _DOT
            for end, own in zip(chain.ends, inside, strict=True)
        )
        if one and other and chain.usual < hair:
            one = other = False
        caps = (
            _cap(chain.points, chain.half[0], ink) if one else 0.0,
            _cap(chain.points[::-1], chain.half[-1], ink) if other else 0.0,
        )
        found.append(
            Line(
                (chain.points + 0.5) / scale,
                chain.half / scale,
                (one, other),
                (caps[0] / scale, caps[1] / scale),
            )
        )
    return found


def _usual(chains: Sequence[Chain]) -> float:
    """Give the half width that half of all that is drawn does not reach."""
    half = np.concatenate([chain.half for chain in chains]) if chains else np.zeros(1)
    return float(np.median(half))


def bare_in(ink: Mask, scale: float) -> Callable[[Points, Points], float]:
    """Give what tells how much of the straight way between two points in mm is bare, mm."""

    def bare(start: Points, end: Points) -> float:
        many = int(np.hypot(*(end - start)) * scale * 2) + 2
        at = np.round(np.linspace(start, end, many) * scale - 0.5).astype(int)
        at = np.clip(at, 0, (ink.shape[1] - 1, ink.shape[0] - 1))
        return float((~ink[at[:, 1], at[:, 0]]).mean() * np.hypot(*(end - start)))

    return bare


def _cap(points: Points, half: float, ink: Mask) -> float:
    """Give how far ink goes on ahead of a line that begins with these points, pixels: thinning shortens ends."""
    far = points[min(len(points) - 1, round(2 * half) + 3)]
    way = points[0] - far
    steps = np.arange(0.0, 4 * half + 2, 0.5)[:, np.newaxis]
    at = np.round(points[0] + way / max(float(np.hypot(*way)), 1e-9) * steps).astype(int)
    at = np.clip(at, 0, (ink.shape[1] - 1, ink.shape[0] - 1))
    bare = ~ink[at[:, 1], at[:, 0]]
    return max(half, float(steps[np.argmax(bare), 0]) if bare.any() else half)


def bridged(chains: Sequence[Chain], closings: Sequence[Closing]) -> tuple[list[Chain], list[Chain]]:
    """Close gaps.

    Returns
    -------
    drawn, joins : lists of Chain
        The chains, cut where a gap was closed to the side of one; and a chain of no width for each closing.
    """
    fresh = 1 + max((max(chain.ends) for chain in chains), default=0)
    cuts: dict[int, dict[int, int]] = {}
    joins = []
    for closing in closings:
        target = chains[closing.to]
        node = _node_at(target, closing.vertex)
        if node < 0:
            own = cuts.setdefault(closing.to, {})
            node = own.setdefault(closing.vertex, fresh)
            fresh += 1
        source = chains[closing.line]
        tip = source.points[0] if closing.end == 0 else source.points[-1]
        foot = target.points[closing.vertex]
        many = max(2, round(float(np.hypot(*(foot - tip)))) + 1)
        joins.append(Chain(np.linspace(tip, foot, many), np.zeros(many), (source.ends[closing.end], node)))
    drawn: list[Chain] = []
    for number, chain in enumerate(chains):
        drawn += _cut(chain, cuts[number]) if number in cuts else [chain]
    return drawn, joins


def _node_at(chain: Chain, vertex: int) -> int:
    if vertex == 0:
        return chain.ends[0]
    return chain.ends[1] if vertex == len(chain.points) - 1 else -1


def _cut(chain: Chain, at: dict[int, int]) -> list[Chain]:
    """Cut a chain at points, given with their nodes."""
    last = len(chain.points) - 1
    if chain.ends[0] >= 0:
        marks = [(0, chain.ends[0]), *sorted(at.items()), (last, chain.ends[1])]
        return [_piece(chain.points, chain.half, a, b) for a, b in pairwise(marks)]
    start = min(at)  # a closed line is opened at its first cut
    points = np.vstack((chain.points[start:-1], chain.points[: start + 1]))
    half = np.append(chain.half[start:-1], chain.half[: start + 1])
    marks = sorted(((place - start) % last, node) for place, node in at.items())
    return [_piece(points, half, a, b) for a, b in pairwise([*marks, (last, at[start])])]


def _piece(points: Points, half: NDArray[np.float64], one: tuple[int, int], other: tuple[int, int]) -> Chain:
    (a, start), (b, end) = one, other
    return Chain(points[a : b + 1], half[a : b + 1], (start, end))
