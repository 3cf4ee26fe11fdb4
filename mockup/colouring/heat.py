"""Heat bath over groups of nodes at once, many starts side by side.

Nodes that lie apart are changed in one step: the graph of pairs nearer than about two spacings is coloured, and each
of its classes is one step. A class of nearer nodes would swing with the shares instead of settling.

References
----------
Geman and Geman, Stochastic relaxation, Gibbs distributions and the Bayesian restoration of images, IEEE PAMI 6
(1984): heat bath. Jones and Plassmann, A parallel graph coloring heuristic, SIAM J. Sci. Comput. 14 (1993): the
classes. Gumbel noise added to the costs draws from the same law. All from memory.
"""

from typing import Any, Final

import numpy as np
from scipy import sparse

from mockup.colouring.couplings import DENSE
from mockup.colouring.energy import Energy
from mockup.colouring.problem import Floats, Ints

HOT: Final = 1.0
COLD: Final = 0.1
SOFT_SHARE: Final = 0.1
_SWING: Final = 5.0
"""Stiffness of the shares while many nodes change at once: lower where a class has more nodes than ``_SWING`` / it."""

_NEAR: Final = 0.43
"""Kernel value at 2.1 spacings: nodes nearer than that are never changed in one step."""

_POOL: Final = 1 << 17


class HeatBath:
    """The energy made ready for many steps: classes, their rows of couplings, noise."""

    def __init__(self, energy: Energy, rng: np.random.Generator) -> None:
        self.energy = energy
        self.rng = rng
        table, near = _softened(energy)
        self.classes = classes(near, energy.count, rng)
        self.rows: list[Any] = [table[own] for own in self.classes]
        self.stiff = np.float32(min(SOFT_SHARE, _SWING * len(self.classes) / max(energy.count, 1)))
        self.linear = energy.linear.astype(np.float32)
        self.area = energy.area.astype(np.float32)
        self.wanted = energy.wanted.astype(np.float32)
        pool = rng.random(_POOL, dtype=np.float32)
        self.noise = -np.log(-np.log(np.clip(pool, 1e-7, 1 - 1e-7)))

    def run(self, starts: int, sweeps: int, hot: float = HOT, cold: float = COLD) -> Ints:
        """Cool so many starts down from ``hot`` to ``cold``; gives their inks (g, starts).

        Each start is put down class by class, every node taking the ink that costs it least beside those that lie.
        """
        energy, k = self.energy, self.energy.inks
        chosen = np.zeros((energy.count, starts * k), dtype=np.float32)
        amounts = np.zeros((starts, k), dtype=np.float32)
        heats = [hot, *np.geomspace(hot, cold, sweeps), 0.0]
        for heat in heats:
            for own, rows in zip(self.classes, self.rows, strict=True):
                self._step(own, rows, chosen, amounts, heat)
        return np.asarray(chosen.reshape(energy.count, starts, k).argmax(axis=2))

    def _step(self, own: Ints, rows: Any, chosen: Any, amounts: Any, heat: float) -> None:
        """Draw the inks of one class anew in all starts."""
        starts, k = amounts.shape
        size = len(own)
        before = chosen[own].reshape(size, starts, k)
        area = self.area[own][:, None, None]
        cost = np.asarray(rows @ chosen).reshape(size, starts, k)
        cost += self.linear[own][:, None]
        cost += (self.stiff * area) * ((amounts - self.wanted) - area * before)
        if heat:
            cost -= heat * self._drawn(cost.size).reshape(cost.shape)
        now = np.eye(k, dtype=np.float32)[cost.argmin(axis=2)]
        amounts += (area * (now - before)).sum(axis=0)
        chosen[own] = now.reshape(size, starts * k)

    def _drawn(self, count: int) -> Any:
        """Take so much noise from the pool, from a place drawn at random."""
        first = int(self.rng.integers(_POOL))
        if first + count <= _POOL:
            return self.noise[first : first + count]
        return np.take(self.noise, np.arange(first, first + count), mode="wrap")


def _softened(energy: Energy) -> tuple[Any, tuple[Ints, Ints]]:
    """Couplings in single precision with a soft price of contact, and the pairs of nodes too near for one step."""
    table = energy.couplings.sparse
    less = energy.soft - energy.price
    pair = sparse.coo_array((less, (energy.a, energy.b)), shape=table.shape)
    soft = sparse.csr_array(table + sparse.csr_array(pair) + sparse.csr_array(pair).T)
    row = np.repeat(np.arange(energy.count), np.diff(soft.indptr))
    weight = energy.area[row] * energy.area[soft.indices]
    near = soft.data > _NEAR * np.maximum(weight, 1e-9)
    ends = row[near].astype(np.int64), soft.indices[near].astype(np.int64)
    soft = soft.astype(np.float32)
    return (soft.toarray() if energy.count <= min(DENSE, 400) else soft), ends


def classes(pairs: tuple[Ints, Ints], count: int, rng: np.random.Generator) -> list[Ints]:
    """Colour the graph of pairs (both ways round) by priorities drawn at random; gives the nodes of each class."""
    i, j = pairs
    priority = rng.permutation(count)
    own = np.full(count, -1)
    while (own < 0).any():
        open_ = own < 0
        both = open_[i] & open_[j]
        loses = np.zeros(count, dtype=bool)
        loses[i[both & (priority[i] < priority[j])]] = True
        win = open_ & ~loses
        beside = win[i] & ~open_[j]
        taken = np.zeros((count, int(own.max(initial=-1)) + 2), dtype=bool)
        taken[i[beside], own[j[beside]]] = True
        own[win] = (~taken[win]).argmax(axis=1)
    return [np.flatnonzero(own == number) for number in range(int(own.max(initial=-1)) + 1)]


def soft_energy(energy: Energy, inks: Ints) -> Floats:
    """Contacts first, then the couplings: what ranks the starts, (starts,)."""
    found = []
    own = np.arange(energy.count)
    for column in inks.T:
        paid = (energy.fields(column)[own, column] + energy.linear[own, column]).sum() / 2
        off = energy.amounts(column) - energy.wanted
        found.append(paid + SOFT_SHARE / 2 * (off**2).sum())
    return np.array(found)
