"""The one energy that a spread lowers: contact, crowding of like inks, and distance of the shares from their targets.

With x the area-weighted presence of the inks, areas in means and lengths in mean spacings,

    E = B sum_(i<j facing) l_ij [c_i = c_j]                       contact, l in mean borders
      + sum_(i<j) a_i a_j K(d_ij) [c_i = c_j] - sum_i a_i (K a)_i T_(c_i)      crowding about the targets
      + S/2 sum_c (sum_i a_i [c_i = c] - T_c sum_i a_i)^2         shares

K is Wendland's C2 function of six spacings, summed over the copies in the repeat: smooth, positive definite and of
bounded reach. The crowding term is the squared lump field with K as the blur, less a constant.

References
----------
Wendland, Piecewise polynomial, positive definite and compactly supported radial functions of minimal degree, Adv.
Comput. Math. 4 (1995), the function phi_(3,1) (from memory).
"""

import math
from typing import Final

import numpy as np
from scipy import sparse, spatial

from mockup.colouring.problem import Floats, Ints, Problem

CONTACT: Final = 6.0
DOUBT: Final = 6.0
SHARE: Final = 0.6
REACH: Final = 6.0


class Energy:
    """The pair terms as sparse rows, and the local fields of a state.

    ``fields[i, c]`` is what node i would pay in pair terms for ink c, all others kept.
    """

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        mean = problem.area[problem.area > 0].mean() if (problem.area > 0).any() else 1.0
        self.area: Floats = problem.area / mean
        self.wanted: Floats = problem.target * self.area.sum()
        kernel = crowding(problem)
        weighted = sparse.csr_array(kernel.multiply(self.area[:, None]).multiply(self.area[None, :]))
        pull = self.area * (kernel @ self.area + self.area)
        self.linear: Floats = -pull[:, None] * problem.target[None, :]
        n = problem.count
        contact = _contact(problem)
        pairs = sparse.csr_array(weighted + contact + contact.T)
        pairs.sum_duplicates()
        self.start: Ints = pairs.indptr.astype(np.int64)
        self.rows: Ints = np.repeat(np.arange(n), np.diff(pairs.indptr))
        self.index: Ints = pairs.indices.astype(np.int64)
        self.value: Floats = pairs.data
        self.pairs = pairs

    def fields(self, inks: Ints) -> Floats:
        """Local fields of a state, (n, k) floats."""
        chosen = np.zeros((self.problem.count, self.problem.inks))
        chosen[np.arange(len(inks)), inks] = 1.0
        return np.asarray(self.pairs @ chosen) + self.linear

    def amounts(self, inks: Ints) -> Floats:
        """Area of each ink in mean areas, (k,)."""
        return np.asarray(np.bincount(inks, self.area, self.problem.inks), dtype=np.float64)

    def total(self, inks: Ints) -> float:
        """Energy of a state."""
        own = np.arange(len(inks))
        pairs = (self.fields(inks)[own, inks] + self.linear[own, inks]).sum() / 2
        return float(pairs + SHARE / 2 * ((self.amounts(inks) - self.wanted) ** 2).sum())


def _contact(problem: Problem) -> "sparse.coo_array":
    """Price of one ink on both nodes of a pair, in mean borders but at least a quarter, (n, n) above the diagonal."""
    unit = problem.border.mean() if len(problem.border) else 1.0
    more = problem.doubtful
    price = np.concatenate(
        (
            CONTACT * np.clip(problem.border / unit, 0.25, None),
            DOUBT * np.clip(more.border / unit, 0.25, None),
        )
    )
    ends = np.concatenate((problem.a, more.a)), np.concatenate((problem.b, more.b))
    return sparse.coo_array((price, ends), shape=(problem.count, problem.count), dtype=np.float64)


def wendland(distance: Floats) -> Floats:
    """Wendland's C2 function of distance / reach: 1 at 0, 0 from 1 on."""
    near = np.clip(1 - distance, 0, None)
    return near**4 * (4 * distance + 1)


def crowding(problem: Problem) -> "sparse.csr_array":
    """Kernel between all pairs of nodes, copies in the repeat added up, (n, n) with an empty diagonal."""
    n, place = problem.count, problem.place
    if problem.cell is None:
        low, high = place.min(axis=0), place.max(axis=0)
        spacing = math.sqrt(max(float(np.prod(np.maximum(high - low, 1e-6))), 1e-9) / n)
        images = np.zeros((1, 2))
    else:
        spacing = math.sqrt(problem.cell[0] * problem.cell[1] / n)
        far = [math.ceil(REACH * spacing / side) for side in problem.cell]
        steps = [(i, j) for i in range(-far[0], far[0] + 1) for j in range(-far[1], far[1] + 1)]
        images = np.array(steps, dtype=float) * problem.cell
        place = np.mod(place, problem.cell)
    copies = (place[None, :, :] + images[:, None, :]).reshape(-1, 2)
    reach = REACH * spacing
    near = spatial.KDTree(place).sparse_distance_matrix(spatial.KDTree(copies), reach, output_type="ndarray")
    row, column = near["i"], near["j"] % n
    keep = row != column
    return sparse.csr_array(
        sparse.coo_array((wendland(near["v"][keep] / reach), (row[keep], column[keep])), shape=(n, n))
    )
