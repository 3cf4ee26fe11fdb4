"""Bare layouts to spread inks over: points on a repeat, their borders, log-normal areas."""

import math
from collections.abc import Callable, Mapping
from typing import Final

import numpy as np
from scipy import spatial

from mockup.colouring.problem import Floats, Problem

AREA_SIGMA: Final = 0.5
_CLOSEST: Final = 0.72
"""Least distance of tossed points in mean spacings."""


def tossed(rng: np.random.Generator, count: int) -> tuple[Floats, tuple[float, float]]:
    """Throw points at random, none nearer to another than 0.72 spacings."""
    side = math.sqrt(count)
    kept = np.zeros((0, 2))
    while len(kept) < count:
        darts = rng.random((4 * count, 2)) * side
        if len(kept):
            near, _ = spatial.KDTree(kept, boxsize=np.full(2, side)).query(
                darts, distance_upper_bound=_CLOSEST
            )
            darts = darts[~np.isfinite(near)]
        pairs = spatial.KDTree(darts, boxsize=np.full(2, side)).query_pairs(_CLOSEST, output_type="ndarray")
        # of two that are too near the later one gives way, unless an earlier one took it already
        alive = np.ones(len(darts), dtype=bool)
        for one, other in sorted(pairs.tolist()):
            if alive[one]:
                alive[other] = False
        kept = np.concatenate((kept, darts[alive]))
    return kept[:count], (side, side)


def jittered(rng: np.random.Generator, count: int) -> tuple[Floats, tuple[float, float]]:
    """Move the points of a square grid by up to a third of a step."""
    across, down = _sides(count)
    column, row = np.meshgrid(np.arange(across), np.arange(down))
    grid = np.column_stack((column.ravel(), row.ravel())) + 0.5
    return grid + rng.uniform(-0.33, 0.33, grid.shape), (float(across), float(down))


def half_drop(rng: np.random.Generator, count: int) -> tuple[Floats, tuple[float, float]]:
    """Drop every other column of a grid by half a step, and move the points a little."""
    across, down = _sides(count)
    if across % 2:
        across, down = down, across
    column, row = np.meshgrid(np.arange(across), np.arange(down))
    grid = np.column_stack((column.ravel() + 0.5, (row + column % 2 * 0.5).ravel() + 0.25))
    return grid + rng.uniform(-0.2, 0.2, grid.shape), (float(across), float(down))


def hexagonal(rng: np.random.Generator, count: int) -> tuple[Floats, tuple[float, float]]:
    """Take the points of a triangular lattice, moved by next to nothing."""
    across, down = _sides(count)
    if down % 2:
        across, down = down, across
    step, rise = math.sqrt(2 / math.sqrt(3)), math.sqrt(math.sqrt(3) / 2)
    column, row = np.meshgrid(np.arange(across), np.arange(down))
    grid = np.column_stack(((column + row % 2 * 0.5).ravel() * step, row.ravel() * rise))
    return grid + rng.uniform(-1e-3, 1e-3, grid.shape), (across * step, down * rise)


def _sides(count: int) -> tuple[int, int]:
    """Whole numbers across and down that hold so many, one of them even, nearest to square."""
    fits = [
        n for n in range(1, math.isqrt(count) + 1) if count % n == 0 and (n % 2 == 0 or count // n % 2 == 0)
    ]
    return count // fits[-1], fits[-1]


LAYOUTS: Final[Mapping[str, Callable[[np.random.Generator, int], tuple[Floats, tuple[float, float]]]]] = {
    "tossed": tossed,
    "jittered": jittered,
    "half-drop": half_drop,
    "hexagonal": hexagonal,
}


def bare(kind: str, count: int, inks: int, seed: int, *, equal: bool = False) -> Problem:
    """Make a problem of a layout: neighbours are the cells of the nearest point that share a border."""
    rng = np.random.default_rng([seed, count, sorted(LAYOUTS).index(kind)])
    place, cell = LAYOUTS[kind](rng, count)
    place = np.mod(place, cell)
    area = np.ones(count) if equal else rng.lognormal(0, AREA_SIGMA, count)
    a, b, border = borders(place, cell)
    may = np.ones((count, inks), dtype=bool)
    return Problem(area, place, cell, a, b, border, may, np.full(inks, 1 / inks))


def borders(place: Floats, cell: tuple[float, float]) -> tuple["np.ndarray", "np.ndarray", Floats]:
    """Give the pairs a < b of points whose cells meet round the wrap, and the length of their borders."""
    count = len(place)
    rim = 4.5 * math.sqrt(cell[0] * cell[1] / count)
    reach = [math.ceil(rim / side) for side in cell]
    parts, owner, home = [], [], []
    for i in range(-reach[0], reach[0] + 1):
        for j in range(-reach[1], reach[1] + 1):
            moved = place + np.array([i * cell[0], j * cell[1]])
            near = ((moved > -rim) & (moved < np.array(cell) + rim)).all(axis=1)
            parts.append(moved[near])
            owner.append(np.flatnonzero(near))
            home.append(np.full(int(near.sum()), (i, j) == (0, 0)))
    points, own, inside = np.concatenate(parts), np.concatenate(owner), np.concatenate(home)
    diagram = spatial.Voronoi(points)
    ridges = np.array(diagram.ridge_vertices)
    ends = diagram.ridge_points
    use = (ridges >= 0).all(axis=1) & inside[ends].any(axis=1)
    ends, ridges = ends[use], ridges[use]
    length = np.hypot(*(diagram.vertices[ridges[:, 0]] - diagram.vertices[ridges[:, 1]]).T)
    # a border between two points at home stands once, one over the seam twice
    length = np.where(inside[ends].all(axis=1), length, length / 2)
    low, high = np.sort(own[ends], axis=1).T
    key, inverse = np.unique(low * count + high, return_inverse=True)
    total = np.bincount(inverse, length, len(key))
    keep = (key // count != key % count) & (total > 1e-9)
    return key[keep] // count, key[keep] % count, total[keep]
