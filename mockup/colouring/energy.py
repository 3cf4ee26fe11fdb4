"""The one energy that a spread lowers.

With areas in means, borders in means and lengths in mean spacings,

    E = sum_(i,j facing) C (1 + l_ij / 4) [c_i = c_j]                          contact (l at most 4)
      + sum_(i,j doubtful) D [c_i = c_j]                                       what hardly faces
      + sum_(i<j) a_i a_j K(d_ij) [c_i = c_j] - sum_i a_i (K a)_i T_(c_i)      crowding about the targets
      + S/2 sum_c (sum_i a_i [c_i = c] - T_c sum_i a_i)^2                      shares
      + V sum_(i,j facing or doubtful) l_ij A_(c_i c_j) + sum_i L_(i c_i)      weak contrast, leanings

C stands so far above the rest that no contact is ever bought with evenness, and one contact never costs more than
two; of as many the shortest borders carry it. The crowding term is the squared lump field with K as the blur, less a
constant. S is stiff: a tenth of a mean area off costs as much as a small lump, and no tighter share is bought.

References
----------
The kernel K: see ``crowding``.
"""

from typing import Final

import numpy as np

from mockup.colouring.couplings import DENSE, Couplings
from mockup.colouring.crowding import kernel
from mockup.colouring.order import canonical
from mockup.colouring.problem import Floats, Ints, Mask, Problem

CONTACT: Final = 1000.0
SOFT: Final = 8.0
"""Price of a contact while the inks are hot."""

DOUBT: Final = 2.0
SHARE: Final = 30.0
CONTRAST: Final = 0.5
BARRED: Final = 1e9
"""Price of an ink that a node may not take: above that of all contacts."""


class Energy:
    """The energy of a problem, over groups of nodes that take one ink, in canonical order.

    Attributes
    ----------
    count, inks : int
        Number of groups g and of inks k.
    of : (n,) ints
        Group of each node of the problem.
    area : (g,) floats
        Area of each group, in means of the nodes' areas.
    wanted : (k,) floats
        Area that each ink should get.
    allowed : (g, k) bools
        Which inks a group may take.
    linear : (g, k) floats
        What each ink costs each group by itself; ``BARRED`` where it may not take it.
    couplings : Couplings
        What two groups of one ink cost each other.
    law : Law or None
        Crowding between any two groups, where looking it up would be slow.
    a, b, price, doubt : (m,) ints, ints, floats, bools
        Facing pairs a < b of groups, what their contact costs, and whether they are doubtful only.
    soft : (m,) floats
        The same price while the inks are hot.
    border : (m,) floats
        Length of the borders of each pair, in means.
    unlike : (k, k) floats or None
        What a border of mean length costs between two inks that look alike.
    """

    def __init__(self, problem: Problem) -> None:
        order = canonical(problem)
        rank = np.empty(problem.count, dtype=np.int64)
        rank[order] = np.arange(problem.count)
        self.problem = problem
        self.inks = problem.inks
        own = rank if problem.tied is None else _groups(problem.tied, rank)
        self.of: Ints = own
        self.count = int(own.max(initial=-1)) + 1
        of = own[order]
        area = problem.area[order]
        area = area / (area[area > 0].mean() if (area > 0).any() else 1.0)
        self.area: Floats = np.bincount(of, area, self.count).astype(np.float64)
        self.wanted: Floats = problem.target * area.sum()
        self.allowed: Mask = np.ones((self.count, self.inks), dtype=bool)
        np.logical_and.at(self.allowed, of, problem.allowed[order])
        if not self.allowed.any(axis=1).all():
            raise ValueError("tied nodes that may take no ink together")
        self._pairs(rank, of)
        near = kernel(problem.place[order], problem.cell, area)
        weight = area[near.i] * area[near.j] * near.value
        self.law = near.law if self.count == problem.count > DENSE else None
        if self.law is not None:
            self.law.scale = self.law.scale * area
        pull = np.bincount(of, np.bincount(near.i, weight, len(area)) + area**2 * near.own, self.count)
        leaning = np.zeros((self.count, self.inks))
        if problem.leaning is not None:
            np.add.at(leaning, of, problem.leaning[order])
        self.linear: Floats = np.where(self.allowed, leaning - pull[:, None] * problem.target, BARRED)
        i = np.concatenate((of[near.i], self.a, self.b))
        j = np.concatenate((of[near.j], self.b, self.a))
        self.couplings = Couplings(self.count, i, j, np.concatenate((weight, self.price, self.price)))
        self.unlike: Floats | None = None
        if problem.alike is not None:
            self.unlike = CONTRAST * problem.alike
            np.fill_diagonal(self.unlike, 0.0)

    def _pairs(self, rank: Ints, of: Ints) -> None:
        """List the facing pairs of groups, borders added up, in canonical order."""
        problem, more = self.problem, self.problem.doubtful
        one = np.concatenate((problem.a, more.a))
        other = np.concatenate((problem.b, more.b))
        border = np.concatenate((problem.border, more.border))
        doubt = np.arange(len(one)) >= len(problem.a)
        ends = of[rank[one]], of[rank[other]]
        low, high = np.minimum(*ends), np.maximum(*ends)
        keep = low != high
        low, high, border, doubt = low[keep], high[keep], border[keep], doubt[keep]
        order = np.lexsort((doubt, border, high, low))
        low, high, border, doubt = low[order], high[order], border[order], doubt[order]
        key, inverse = np.unique(low * max(self.count, 1) + high, return_inverse=True)
        self.a: Ints = key // max(self.count, 1)
        self.b: Ints = key % max(self.count, 1)
        sure = np.bincount(inverse, ~doubt, len(key)) > 0
        total = np.bincount(inverse, border, len(key))
        unit = total[sure].mean() if sure.any() and total[sure].mean() > 0 else 1.0
        self.doubt: Mask = ~sure
        self.border: Floats = total / unit
        longer = 1 + np.minimum(self.border, 4) / 4
        self.price: Floats = np.where(sure, CONTACT * longer, DOUBT)
        self.soft: Floats = np.where(sure, SOFT * longer, DOUBT)

    def groups(self, inks: Ints) -> Ints:
        """Inks of the groups, given those of the nodes."""
        own = np.zeros(self.count, dtype=np.int64)
        own[self.of] = inks
        return own

    def nodes(self, inks: Ints) -> Ints:
        """Inks of the nodes, given those of the groups."""
        return inks[self.of]

    def fields(self, inks: Ints) -> Floats:
        """What each group would pay for each ink, all others kept, shares left out, (g, k)."""
        return self.couplings.times(self.one_hot(inks)) + self.linear + self.contrast(inks)

    def contrast(self, inks: Ints) -> Floats:
        """What each group would pay for each ink to those who face it and look alike, (g, k)."""
        if self.unlike is None:
            return np.zeros((self.count, self.inks))
        met = np.zeros((self.count, self.inks))
        np.add.at(met, (self.a, inks[self.b]), self.border)
        np.add.at(met, (self.b, inks[self.a]), self.border)
        return np.asarray(met @ self.unlike)

    def one_hot(self, inks: Ints) -> Floats:
        """One 1 a row at the ink of each group, (g, k)."""
        chosen = np.zeros((self.count, self.inks))
        chosen[np.arange(len(inks)), inks] = 1.0
        return chosen

    def amounts(self, inks: Ints) -> Floats:
        """Area of each ink in mean areas, (k,)."""
        return np.asarray(np.bincount(inks, self.area, self.inks), dtype=np.float64)

    def contacts(self, inks: Ints) -> tuple[int, float]:
        """Facing pairs of groups of one ink: their number, and the length of their borders in means."""
        same = (inks[self.a] == inks[self.b]) & ~self.doubt
        return int(same.sum()), float(self.border[same].sum())

    def total(self, inks: Ints) -> float:
        """Energy of a state, given the inks of the groups."""
        own = np.arange(len(inks))
        pairs = (self.fields(inks)[own, inks] + self.linear[own, inks]).sum() / 2
        return float(pairs + SHARE / 2 * ((self.amounts(inks) - self.wanted) ** 2).sum())


def _groups(tied: Ints, rank: Ints) -> Ints:
    """Number the ties in the order of their first nodes in canonical order."""
    _, own = np.unique(tied, return_inverse=True)
    first = np.full(int(own.max(initial=-1)) + 1, len(rank), dtype=np.int64)
    np.minimum.at(first, own, rank)
    place = np.empty(len(first), dtype=np.int64)
    place[np.argsort(first)] = np.arange(len(first))
    return place[own]
