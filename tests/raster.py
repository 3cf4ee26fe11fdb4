"""Territories read off a grid, by brute force: the oracle for the borders that are computed from outlines."""

import math
from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy import ndimage, sparse

from mockup.geometry.affine import translation
from mockup.geometry.lattice import Lattice
from mockup.geometry.shapes import Box, Shape, boxes, moved

Pairs = dict[tuple[int, int, int, int], float]


def borders_on_grid(
    own: Sequence[Shape], window: Box, lattice: Lattice | None, grain: float, rim: float = 11.0
) -> Pairs:
    """Length of border (mm) by pair (a, b, step): crossings of grid lines in four directions (Cauchy-Crofton).

    Copies of one shape that touch are one; ``grain`` is the side of a square, ``rim`` how far round the window copies take part, mm.
    """
    rim = rim if lattice else 0.0
    width, height = window[2] - window[0], window[3] - window[1]
    columns, rows, edge = round(width / grain), round(height / grain), round(rim / grain)
    x = window[0] + (np.arange(-edge, columns + edge + 1) + 0.5) * grain
    y = window[1] + (np.arange(-edge, rows + edge + 1) + 0.5) * grain
    label = np.zeros((len(y), len(x)), dtype=np.int64)
    copies = list(_copies(own, (float(x[0]), float(y[0]), float(x[-1]), float(y[-1])), lattice))
    for number, (_, _, shape) in enumerate(copies, 1):
        x0, y0, x1, y1 = boxes([shape])[0]
        across, down = slice(*np.searchsorted(x, (x0, x1))), slice(*np.searchsorted(y, (y0, y1)))
        inside = shapely.contains_xy(shape, *np.meshgrid(x[across], y[down]))
        label[down, across][inside] = number
    node = np.array([copy[0] for copy in copies])
    step = np.array([copy[1] for copy in copies])
    body = _bodies(label, node)
    near = ndimage.distance_transform_edt(label == 0, return_distances=False, return_indices=True)
    owner = label[near[0], near[1]] - 1
    total: Pairs = {}
    for one, other, length in _crossings(owner, (edge, rows, columns), lattice is not None, grain):
        if body[one] != body[other]:
            a, b = sorted(((int(node[one]), one), (int(node[other]), other)))
            i, j = (step[b[1]] - step[a[1]]).tolist()
            if a[0] == b[0] and (j, i) < (0, 0):
                i, j = -i, -j
            total[a[0], b[0], i, j] = total.get((a[0], b[0], i, j), 0.0) + length
    return total


def _copies(own: Sequence[Shape], window: Box, lattice: Lattice | None):  # type: ignore[no-untyped-def]
    for number, (shape, box) in enumerate(zip(own, boxes(own), strict=True)):
        for step in lattice.copies(tuple(box), window) if lattice else [(0, 0)]:
            at = lattice.shift(*step) if lattice else (0.0, 0.0)
            yield number, step, moved(shape, translation(*at))


def _bodies(label: NDArray[np.int64], node: NDArray[np.int64]) -> NDArray[np.int64]:
    """Make copies of one node that touch one body."""
    joins = [np.zeros((0, 2), dtype=np.int64)]
    for one, other in ((label[:-1], label[1:]), (label[:, :-1], label[:, 1:])):
        meet = (one != other) & (one > 0) & (other > 0)
        pairs = np.unique(np.column_stack((one[meet], other[meet])) - 1, axis=0)
        joins.append(pairs[node[pairs[:, 0]] == node[pairs[:, 1]]])
    a, b = np.concatenate(joins).T
    graph = sparse.coo_array((np.ones(len(a)), (a, b)), shape=(len(node), len(node)))
    return np.asarray(sparse.csgraph.connected_components(graph, directed=False)[1], dtype=np.int64)


def _crossings(owner: NDArray[np.int64], grid: tuple[int, int, int], wraps: bool, grain: float):  # type: ignore[no-untyped-def]
    edge, rows, columns = grid
    for down, right in ((0, 1), (1, 0), (1, 1), (1, -1)):
        top, bottom, left, end = edge, edge + rows, edge, edge + columns
        if not wraps:
            bottom, left, end = bottom - down, left + (right < 0), end - (right > 0)
        here = owner[top:bottom, left:end]
        there = owner[top + down : bottom + down, left + right : end + right]
        differ = here != there
        pairs, count = np.unique(np.column_stack((here[differ], there[differ])), axis=0, return_counts=True)
        each = math.pi / 8 * grain / math.hypot(down, right)
        for (one, other), times in zip(pairs.tolist(), count.tolist(), strict=True):
            yield one, other, times * each


def shares_of(total: Pairs, count: int) -> dict[tuple[int, int, int, int], float]:
    """Share of each border in the shorter of the two whole borders."""
    whole = np.zeros(count)
    for (a, b, *_), length in total.items():
        whole[a] += length
        whole[b] += length
    return {key: length / min(whole[key[0]], whole[key[1]]) for key, length in total.items()}
