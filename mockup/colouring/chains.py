"""Exchanging two inks in chains: moves that never make contact, annealed.

A chain is a connected set of nodes of two inks c and d; what faces it carries neither, so that exchanging c and d in it
makes no contact. A single node with nothing of d about it is a chain of one. The chains of one pair of inks do not
face each other, so that each is free to be exchanged or not: a small Ising model with known couplings, drawn one by
one among those that heat lets move. The inks are paired off (round robin), so that one pass treats k/2 pairs at once.

References
----------
Kempe, On the geographical problem of the four colours, Amer. J. Math. 2 (1879): chains. Wang, Swendsen and Kotecky,
Antiferromagnetic Potts models, Phys. Rev. Lett. 63 (1989): exchanging them at random keeps the right law. Both from
memory.
"""

from typing import Any, Final, NamedTuple

import numpy as np
from scipy import sparse
from scipy.sparse import csgraph

from mockup.colouring.couplings import DENSE
from mockup.colouring.energy import BARRED, SHARE, Energy
from mockup.colouring.problem import Floats, Ints

WARM: Final = 0.2
COOL: Final = 0.025
LONGEST: Final = 40
LONGEST_MENDING: Final = 400
"""Chains of more nodes are left as they are; while there is contact, longer ones are exchanged, too."""

_EASE: Final = 0.02
"""Stiffness of the shares times heat: shares stiffen as the inks cool."""

_MANY: Final = 2000
"""Where there are more nodes shares are eased in proportion: what is left is little, and cheap to mend at the end."""


class Moves(NamedTuple):
    """Chains and what their exchange would do.

    ``nodes`` (p,) of all chains one after another, ``start`` and ``size`` (m,) of each; ``low`` and ``high`` (m,) the
    two inks; ``gain`` (m,) what it adds to the energy, shares left out; ``moved`` (m,) area that goes from ``low`` to
    ``high``.
    """

    nodes: Ints
    start: Ints
    size: Ints
    low: Ints
    high: Ints
    gain: Floats
    moved: Floats


class Chains:
    """A state with its fields and amounts, kept up with every exchange."""

    def __init__(self, energy: Energy, inks: Ints) -> None:
        self.energy = energy
        sure = ~energy.doubt
        a, b = energy.a[sure], energy.b[sure]
        ends, others = np.concatenate((a, b)), np.concatenate((b, a))
        order = np.lexsort((others, ends))
        self.i: Ints = ends[order]
        self.j: Ints = others[order]
        self.pairings = pairings(energy.inks)
        self.longest = LONGEST
        self.take(inks)

    def take(self, inks: Ints) -> None:
        """Begin anew from these inks of the groups."""
        self.inks = inks.copy()
        self.fields = self.energy.fields(inks)
        self.amounts = self.energy.amounts(inks)

    def anneal(self, rng: np.random.Generator, sweeps: int, warm: float = WARM, cool: float = COOL) -> None:
        """Cool down from ``warm`` to ``cool``, then to nothing."""
        for heat in (*np.geomspace(warm, cool, sweeps), 0.0, 0.0):
            stiff = min(SHARE, _EASE / max(heat, cool) * min(1.0, _MANY / self.energy.count))
            self.longest = LONGEST_MENDING if self.energy.contacts(self.inks)[0] else LONGEST
            changed = [self.sweep(pairing, heat, stiff, rng) for pairing in self.pairings]
            if heat == 0 and not any(changed):
                break

    def chains(self, pairing: Ints) -> tuple[Ints, Ints, Ints]:
        """Find the chains of paired inks: nodes one chain after another, where each begins, its size."""
        count = self.energy.count
        linked = pairing[self.inks[self.i]] == self.inks[self.j]
        columns = self.j[linked]
        ends = np.concatenate(([0], np.cumsum(np.bincount(self.i[linked], minlength=count))))
        graph = sparse.csr_array((np.ones(len(columns)), columns, ends), shape=(count, count))
        many, label = csgraph.connected_components(graph, directed=False)
        # numpy sorts short whole numbers by counting
        label = label.astype(np.uint16) if many <= np.iinfo(np.uint16).max else label
        nodes = np.flatnonzero(pairing[self.inks] >= 0)
        nodes = nodes[np.argsort(label[nodes], kind="stable")]
        label = label[nodes]
        start = np.flatnonzero(np.concatenate(([True], label[1:] != label[:-1])))
        if not len(nodes):
            start = np.zeros(0, dtype=np.int64)
        return nodes, start, np.diff(np.concatenate((start, [len(nodes)])))

    def moves(self, pairing: Ints) -> Moves:
        """List the exchanges of all chains of paired inks."""
        nodes, start, size = self.chains(pairing)
        if not len(nodes):
            none = np.zeros(0, dtype=np.int64)
            return Moves(nodes, none, none, none, none, np.zeros(0), np.zeros(0))
        own = self.inks[nodes]
        other = pairing[own]
        gain = self.fields[nodes, other] - self.fields[nodes, own]
        turn = np.where(own < other, 1.0, -1.0)
        block = np.repeat(np.arange(len(size)), size)
        # pairs within a chain stay alike or different, which the fields do not know
        one, two = pairs_within(start, np.where(size <= self.longest, size, 0))
        if len(one):
            inner = self._inner(nodes[one], nodes[two]) * turn[one] * turn[two]
            gain = gain + np.bincount(one, 2 * inner, len(nodes))
        gains: Floats = np.bincount(block, gain, len(size)).astype(np.float64)
        if self.energy.law is not None or self.energy.unlike is not None:
            gains = gains - self._kept(pairing, nodes, block)
        gains = np.where(size <= self.longest, gains, BARRED)
        low = np.minimum(own, other)[start]
        return Moves(
            nodes,
            start,
            size,
            low,
            pairing[low],
            gains,
            np.asarray(np.bincount(block, self.energy.area[nodes] * turn, len(size)), dtype=np.float64),
        )

    def _inner(self, one: Ints, two: Ints) -> Floats:
        """Couplings within chains; where the law gives them, without the prices of contact."""
        law = self.energy.law
        return self.energy.couplings.values(one, two) if law is None else law(one, two)

    def _kept(self, pairing: Ints, nodes: Ints, block: Ints) -> Floats:
        """What the fields take facing pairs within chains to change by, although an exchange keeps them, (m,)."""
        energy = self.energy
        chain = np.full(energy.count, -1, dtype=np.int64)
        chain[nodes] = block
        own = chain[energy.a]
        within = np.flatnonzero((own >= 0) & (own == chain[energy.b]))
        one, other = self.inks[energy.a[within]], self.inks[energy.b[within]]
        cost = np.zeros(len(within))
        if energy.law is not None:
            cost += energy.price[within] * ((pairing[one] == other) * 1.0 - (one == other))
        if energy.unlike is not None:
            cost += energy.border[within] * (energy.unlike[pairing[one], other] - energy.unlike[one, other])
        return np.asarray(np.bincount(own[within], 2 * cost, int(block[-1]) + 1))

    def sweep(self, pairing: Ints, heat: float, stiff: float, rng: np.random.Generator) -> int:
        """Draw the exchanges of one pairing; tells how many were made."""
        moves = self.moves(pairing)
        drawn = np.clip(rng.random(len(moves.size)), 1e-12, 1 - 1e-12)
        limit = heat * np.log(drawn / (1 - drawn)) if heat else np.full(len(moves.size), -1e-9)
        off = self.amounts - self.energy.wanted
        cost = moves.gain + share_cost(moves.moved, off[moves.low], off[moves.high], stiff)
        ready = np.flatnonzero(cost < limit)
        if not len(ready):
            return 0
        ready = rng.permutation(ready)
        nodes, size = picked(moves, ready)
        made = self._drawn(moves, ready, nodes, size, limit[ready], stiff)
        if made.any():
            self.exchange(nodes[np.repeat(made, size)], pairing)
        return int(made.sum())

    def _drawn(
        self, moves: Moves, ready: Ints, nodes: Ints, size: Ints, limit: Floats, stiff: float
    ) -> "np.ndarray[tuple[int], np.dtype[np.bool_]]":
        """Go through the exchanges that are ready one by one; each made changes what the others cost."""
        between: Any = self._between(moves, ready, nodes, size)
        gain = moves.gain[ready]
        moved, limits = moves.moved[ready].tolist(), limit.tolist()
        low, high = moves.low[ready].tolist(), moves.high[ready].tolist()
        off = (self.amounts - self.energy.wanted).tolist()
        made = np.zeros(len(ready), dtype=bool)
        dense = isinstance(between, np.ndarray)
        for number, (area, c, d) in enumerate(zip(moved, low, high, strict=True)):
            if gain[number] + stiff * area * (area - off[c] + off[d]) < limits[number]:
                made[number] = True
                off[c] -= area
                off[d] += area
                if dense:
                    gain += between[number]
                else:
                    span = slice(between.indptr[number], between.indptr[number + 1])
                    gain[between.indices[span]] += between.data[span]
        return made

    def _between(self, moves: Moves, ready: Ints, nodes: Ints, size: Ints) -> "Floats | sparse.csr_array":
        """What making one exchange adds to the cost of another of the same two inks, (r, r)."""
        turn = np.where(self.inks[nodes] == np.repeat(moves.low[ready], size), 1.0, -1.0)
        pair = np.repeat(moves.low[ready], size)
        start = np.cumsum(size) - size
        if self.energy.count <= DENSE:
            block = self.energy.couplings.block(nodes) * (2 * turn[:, None] * turn)
            block[pair[:, None] != pair] = 0.0
            return np.asarray(np.add.reduceat(np.add.reduceat(block, start, axis=0), start, axis=1))
        own = np.repeat(np.arange(len(size)), size)
        row, column, value = self.energy.couplings.among(nodes)
        same = pair[row] == pair[column]
        row, column, value = row[same], column[same], value[same]
        value = 2 * value * turn[row] * turn[column]
        return sparse.csr_array(
            sparse.coo_array((value, (own[row], own[column])), shape=(len(size), len(size)))
        )

    def exchange(self, nodes: Ints, pairing: Ints) -> None:
        """Give each of the nodes the ink that its own is paired with."""
        self.change(nodes, pairing[self.inks[nodes]])

    def change(self, nodes: Ints, inks: Ints) -> None:
        """Give nodes other inks."""
        before = self.inks[nodes]
        rows = np.arange(len(nodes))
        change = np.zeros((len(nodes), self.energy.inks))
        change[rows, before] -= 1.0
        change[rows, inks] += 1.0
        self.fields += self.energy.couplings.added(nodes, change)
        self.amounts = self.amounts + self.energy.area[nodes] @ change
        self.inks[nodes] = inks
        if self.energy.unlike is not None:
            self.fields = self.energy.fields(self.inks)


def share_cost(moved: Floats, low: Floats, high: Floats, stiff: float) -> Floats:
    """What areas that go from inks ``low`` too large to inks ``high`` too large add to the energy."""
    return stiff * moved * (moved - low + high)


def picked(moves: Moves, chosen: Ints) -> tuple[Ints, Ints]:
    """Nodes of the chosen chains one after another, and how many each has."""
    size = moves.size[chosen]
    first = np.repeat(moves.start[chosen] - (np.cumsum(size) - size), size)
    return moves.nodes[first + np.arange(int(size.sum()))], size


def pairs_within(start: Ints, size: Ints) -> tuple[Ints, Ints]:
    """All pairs of two places within the same block, the earlier one first."""
    many = size > 1
    start, size = start[many], size[many]
    place = np.repeat(start - (np.cumsum(size) - size), size) + np.arange(int(size.sum()))
    later = np.repeat(start + size - 1, size) - place
    one = np.repeat(place, later)
    two = one + 1 + np.arange(len(one)) - np.repeat(np.cumsum(later) - later, later)
    return one, two


def pairings(inks: int) -> list[Ints]:
    """Pair the inks off so that each meets each once: partner of each ink, -1 for none (round robin)."""
    ring = list(range(inks + inks % 2))
    half = len(ring) // 2
    found = []
    for _ in range(len(ring) - 1):
        partner = np.full(inks, -1, dtype=np.int64)
        for one, other in zip(ring[:half], ring[::-1], strict=False):
            if one < inks and other < inks:
                partner[one], partner[other] = other, one
        found.append(partner)
        ring = [ring[0], ring[-1], *ring[1:-1]]
    return found
