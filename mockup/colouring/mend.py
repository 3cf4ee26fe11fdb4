"""Taking away what contact is left: tabu search on the nodes in contact, then an exact search round what remains.

The number of contacts is lowered first, the length of their borders after it. The exact search inks a patch round one
contact anew, all outside it kept; where that cannot be done, a larger patch.

References
----------
Hertz and de Werra, Using tabu search techniques for graph coloring, Computing 39 (1987); Galinier and Hao, Hybrid
evolutionary algorithms for graph coloring, J. Comb. Optim. 3 (1999): how long a change is barred (from memory).
"""

from typing import Final

import numpy as np

from mockup.colouring.chains import Chains
from mockup.colouring.energy import BARRED, Energy
from mockup.colouring.exact import proper
from mockup.colouring.problem import Floats, Ints, Mask, Problem

PATCHES: Final = (24, 48, 96)
"""Nodes of the patches, the smallest first."""

_CHOICES: Final = 1500
_SHORTER: Final = 300
"""Changes in vain while as many contacts are moved to shorter borders."""

_MOST_PATCHED: Final = 200


def mend(state: Chains, rng: np.random.Generator, patience: int, *, patches: bool = True) -> None:
    """Lower the contact of a state, changed in place.

    Parameters
    ----------
    state : Chains
        The state.
    rng : Generator
        Draws how long changes are barred.
    patience : int
        How many changes in vain end the search.
    patches : bool
        Whether patches are inked anew, too.
    """
    energy = state.energy
    before = energy.contacts(state.inks)
    if not before[0]:
        return
    found = _Tabu(state, np.ones(len(energy.a))).run(rng, patience)
    if patches and energy.contacts(found)[0]:
        found = _patched(energy, found)
    if energy.contacts(found) < before:
        state.take(found)
    if energy.contacts(state.inks)[0]:
        found = _Tabu(state, energy.price).run(rng, min(patience, _SHORTER))
        if energy.contacts(found) < energy.contacts(state.inks):
            state.take(found)


def _patched(energy: Energy, inks: Ints) -> Ints:
    """Ink the surroundings of each contact anew, so that it is gone, if that can be."""
    inks = inks.copy()
    sure = ~energy.doubt
    a, b = energy.a[sure], energy.b[sure]
    near = neighbours(energy.count, a, b)
    hopeless: set[int] = set()
    sizes = sorted({min(size, energy.count) for size in PATCHES})
    for _ in range(_MOST_PATCHED):
        same = np.flatnonzero(inks[a] == inks[b])
        left = [pair for pair in same.tolist() if pair not in hopeless]
        if not left:
            break
        if not any(_patch(energy, inks, near, (int(a[left[0]]), int(b[left[0]])), size) for size in sizes):
            hopeless.add(left[0])
            # all nodes anew in vain is in vain round any other contact, too
            sizes = [size for size in sizes if size < energy.count]
    return inks


def _patch(energy: Energy, inks: Ints, near: list[Ints], pair: tuple[int, int], size: int) -> bool:
    """Ink so many nodes round a pair anew; tell whether it could be done."""
    own = _round(near, pair, size)
    place = np.full(energy.count, -1, dtype=np.int64)
    place[own] = np.arange(len(own))
    may = energy.allowed[own]
    ends = []
    for row, node in enumerate(own.tolist()):
        inner = place[near[node]]
        fixed = inks[near[node][inner < 0]]
        may[row, fixed] &= False
        ends += [(row, other) for other in inner[inner > row].tolist()]
    if not may.any(axis=1).all():
        return False
    low, high = np.array(ends, dtype=np.int64).reshape(-1, 2).T
    answer = proper(_bare(len(own), low, high, may), _CHOICES)
    if answer.inks is None:
        return False
    inks[own] = answer.inks
    return True


def _round(near: list[Ints], pair: tuple[int, int], size: int) -> Ints:
    """Take the nodes nearest to a pair, step by step, about so many."""
    found = dict.fromkeys(pair)
    edge = list(pair)
    while edge and len(found) < size:
        edge = [node for own in edge for node in near[own].tolist() if node not in found]
        edge = list(dict.fromkeys(edge))[: size - len(found)]
        found.update(dict.fromkeys(edge))
    return np.array(list(found), dtype=np.int64)


def _bare(count: int, a: Ints, b: Ints, may: Mask) -> Problem:
    """Make a problem of contact alone."""
    none = np.zeros((count, 2))
    target = np.full(may.shape[1], 1 / may.shape[1])
    return Problem(np.ones(count), none, None, a, b, np.ones(len(a)), may, target)


def neighbours(count: int, a: Ints, b: Ints) -> list[Ints]:
    """Nodes that each node faces."""
    ends, others = np.concatenate((a, b)), np.concatenate((b, a))
    order = np.lexsort((others, ends))
    return np.split(others[order], np.searchsorted(ends[order], np.arange(1, count)))


class _Tabu:
    """What each node would pay in contact for each ink, at a price a pair, kept up with every change."""

    def __init__(self, state: Chains, prices: Floats) -> None:
        energy = self.energy = state.energy
        self.inks = state.inks.copy()
        sure = ~energy.doubt
        a, b, price = energy.a[sure], energy.b[sure], prices[sure]
        ends, others = np.concatenate((a, b)), np.concatenate((b, a))
        order = np.lexsort((others, ends))
        self.near: Ints = others[order]
        self.price: Floats = np.tile(price, 2)[order]
        self.first: Ints = np.searchsorted(ends[order], np.arange(energy.count + 1))
        self.paid: Floats = np.where(energy.allowed, 0.0, BARRED)
        np.add.at(self.paid, (ends[order], self.inks[self.near]), self.price)
        self.until = np.zeros((energy.count, energy.inks), dtype=np.int64)
        own = self.paid[np.arange(energy.count), self.inks]
        movable = energy.allowed.sum(axis=1) > 1
        self.movable = movable
        self.open = set(np.flatnonzero((own > 0) & (own < BARRED) & movable).tolist())
        same = self.inks[a] == self.inks[b]
        self.total = float(price[same].sum())

    def run(self, rng: np.random.Generator, patience: int) -> Ints:
        """Change one node in contact at a time; gives the best inks seen."""
        best, least, since, turn = self.inks.copy(), self.total, 0, 0
        while self.open and since < patience:
            turn += 1
            node, ink, change = self._choice(turn, self.total - least, rng)
            if node < 0:
                break
            self.until[node, self.inks[node]] = turn + 5 + int(rng.integers(8)) + int(0.6 * len(self.open))
            self._change(node, ink)
            self.total += change
            since += 1
            if self.total < least - 1e-6:
                best, least, since = self.inks.copy(), self.total, 0
        return best

    def _choice(self, turn: int, above: float, rng: np.random.Generator) -> tuple[int, int, float]:
        """Draw one of the cheapest changes of nodes in contact that are not barred, or lead below all that was seen."""
        nodes = np.array(sorted(self.open), dtype=np.int64)
        rows, own = np.arange(len(nodes)), self.inks[nodes]
        paid = self.paid[nodes]
        change = paid - paid[rows, own][:, None]
        barred = (self.until[nodes] > turn) & (change >= -above - 1e-6)
        change[barred | (paid >= BARRED)] = np.inf
        change[rows, own] = np.inf
        least = change.min()
        if not np.isfinite(least):
            return -1, -1, 0.0
        best = np.flatnonzero(change <= least + 1e-6)
        row, ink = divmod(int(best[rng.integers(len(best))]), self.energy.inks)
        return int(nodes[row]), ink, float(change[row, ink])

    def _change(self, node: int, ink: int) -> None:
        span = slice(self.first[node], self.first[node + 1])
        near, price, old = self.near[span], self.price[span], int(self.inks[node])
        self.paid[near, old] -= price
        self.paid[near, ink] += price
        self.inks[node] = ink
        for other in (*near.tolist(), node):
            own = self.paid[other, self.inks[other]]
            if self.movable[other] and own > 1e-6:
                self.open.add(other)
            else:
                self.open.discard(other)
