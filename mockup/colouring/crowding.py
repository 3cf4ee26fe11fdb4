"""The crowding kernel: how much two nodes of one ink weigh on each other, by their distance round the seam.

Wendland's C2 function of six mean spacings: smooth, positive definite and of bounded reach, so that every node has
about 112 partners. A sharply cut kernel has false minima just beyond the cut; this one has not. On a single sheet the
kernel is scaled by the local density, so that a place at the edge counts as much as one in the middle.

References
----------
Wendland, Piecewise polynomial, positive definite and compactly supported radial functions of minimal degree, Adv.
Comput. Math. 4 (1995), the function phi_(3,1) (from memory).
"""

import math
from typing import Final, NamedTuple

import numpy as np
from scipy import sparse, spatial

from mockup.colouring.problem import Floats, Ints

REACH: Final = 6.0
"""Reach of the kernel in mean spacings."""


class Law:
    """The kernel between any two nodes of a large repeat or sheet, worked out where it is asked for."""

    def __init__(self, place: Floats, cell: Floats | None, reach: float, scale: Floats) -> None:
        self.x, self.y = place[:, 0].copy(), place[:, 1].copy()
        self.cell, self.reach, self.scale = cell, reach, scale

    def __call__(self, i: Ints, j: Ints) -> Floats:
        """Kernel between nodes ``i`` and ``j`` (m,), scaled."""
        across, down = self.x[i] - self.x[j], self.y[i] - self.y[j]
        if self.cell is not None:
            across -= self.cell[0] * np.rint(across / self.cell[0])
            down -= self.cell[1] * np.rint(down / self.cell[1])
        near = wendland(np.sqrt(across * across + down * down) / self.reach)
        return np.asarray(near * self.scale[i] * self.scale[j])


class Kernel(NamedTuple):
    """The kernel on all nodes.

    ``value`` (m,) between nodes ``i`` and ``j`` (m,), each pair both ways round; ``own`` (n,) of each node with itself
    and its own copies; ``law`` for any two, where copies need not be added up.
    """

    i: Ints
    j: Ints
    value: Floats
    own: Floats
    law: Law | None


def wendland(distance: Floats) -> Floats:
    """Wendland's C2 function of distance / reach: 1 at 0, 0 from 1 on."""
    near = np.clip(1 - distance, 0, None)
    near *= near
    near *= near
    return np.asarray(near * (4 * distance + 1))


def kernel(place: Floats, cell: tuple[float, float] | None, weight: Floats) -> Kernel:
    """Work out the kernel between all nodes, copies in the repeat added up.

    Parameters
    ----------
    place : (n, 2) floats
        Centre of each node, mm. Where all lie at one place there is no crowding.
    cell : (float, float) or None
        Width and height after which places repeat; None on a single sheet.
    weight : (n,) floats
        Weight of each node, for the density on a single sheet.
    """
    n = len(place)
    none = np.zeros(0, dtype=np.int64)
    if n == 0 or (n > 1 and (place == place[0]).all()):
        return Kernel(none, none, np.zeros(0), np.zeros(n), None)
    if cell is None:
        return _evened(_plain(place), weight)
    spacing = math.sqrt(cell[0] * cell[1] / n)
    place = np.mod(place, cell)
    place = np.where(place >= cell, 0.0, place)
    if 2 * REACH * spacing < min(cell):
        return _wrapped(place, np.array(cell), REACH * spacing)
    return _folded(place, np.array(cell), REACH * spacing)


def _both_ways(pairs: "Ints", law: Law) -> Kernel:
    one, other = pairs[:, 0].astype(np.int64), pairs[:, 1].astype(np.int64)
    value = law(one, other)
    i, j = np.concatenate((one, other)), np.concatenate((other, one))
    return Kernel(i, j, np.concatenate((value, value)), law.scale**2, law)


def _wrapped(place: Floats, cell: Floats, reach: float) -> Kernel:
    """Kernel on a repeat that is wider than the kernel: the nearest copy is the only one."""
    pairs = spatial.KDTree(place, boxsize=cell).query_pairs(reach, output_type="ndarray")
    return _both_ways(pairs, Law(place, cell, reach, np.ones(len(place))))


def _folded(place: Floats, cell: Floats, reach: float) -> Kernel:
    """Kernel on a small repeat, in which several copies of a node are within reach."""
    n = len(place)
    far = [math.ceil(reach / side) + 1 for side in cell]
    apart = place[:, None, :] - place[None, :, :]
    total = np.zeros((n, n))
    for across in range(-far[0], far[0] + 1):
        for down in range(-far[1], far[1] + 1):
            step = apart + np.array([across, down]) * cell
            total += wendland(np.hypot(step[..., 0], step[..., 1]) / reach)
    own = total.diagonal().copy()
    np.fill_diagonal(total, 0.0)
    i, j = np.nonzero(total)
    return Kernel(i, j, total[i, j], own, None)


def _plain(place: Floats) -> Kernel:
    """Kernel on a single sheet."""
    size = np.maximum(place.max(axis=0) - place.min(axis=0), 1e-6)
    n = len(place)
    # the outermost centres lie half a spacing inside the edge: n spacings squared fill (width + 1) (height + 1)
    half, more = float(size.sum()) / 2, max(n - 1, 1)
    spacing = (half + math.sqrt(half**2 + more * float(np.prod(size)))) / more
    pairs = spatial.KDTree(place).query_pairs(REACH * spacing, output_type="ndarray")
    return _both_ways(pairs, Law(place, None, REACH * spacing, np.ones(n)))


def _evened(plain: Kernel, weight: Floats) -> Kernel:
    """Divide by the local density, so that the kernel sums up alike at the edge and in the middle."""
    n = len(weight)
    density = np.bincount(plain.i, plain.value * weight[plain.j], n) + plain.own * weight
    scale = np.sqrt(max(float(np.percentile(density, 90)), 1e-12) / np.maximum(density, 1e-12))
    assert plain.law is not None
    plain.law.scale = scale
    return plain._replace(value=plain.value * scale[plain.i] * scale[plain.j], own=plain.own * scale**2)


def matrix(own: Kernel, count: int) -> "sparse.csr_array":
    """Kernel as a sparse matrix (n, n) with an empty diagonal."""
    return sparse.csr_array(sparse.coo_array((own.value, (own.i, own.j)), shape=(count, count)))
