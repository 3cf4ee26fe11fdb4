"""Spreads the inks: no contact, every share on its target, no lump.

A start that respects the pairs (nodes in order of saturation, each taking the ink that is most in want) is annealed by
heat bath on the energy, conflicts that are left are mended by tabu search or by the exact search, and exchanges
polish the result without ever making new contact. Several runs are made; the one with least contact, then least
energy, is kept. Deterministic for a seed.

References
----------
Brelaz 1979 (saturation order, see ``exact``). Geman and Geman, Stochastic relaxation, Gibbs distributions and the
Bayesian restoration of images, IEEE PAMI 6 (1984): heat bath. Galinier and Hao, Hybrid evolutionary algorithms for
graph coloring, J. Comb. Optim. 3 (1999): tabu search on conflicts. Kempe, On the geographical problem of the four
colours, Amer. J. Math. 2 (1879): chains. All from memory.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy import sparse
from scipy.sparse import csgraph

from mockup.colouring.energy import SHARE, Energy
from mockup.colouring.exact import proper
from mockup.colouring.problem import Floats, Ints, Problem

SWEEPS: Final = 70
HOT: Final = 1.2
COLD: Final = 0.03
RUNS: Final = 6
_BARRED: Final = 1e12
"""Price of an ink that a node may not take: above that of any contact."""

_CLASH: Final = 1e6
"""Price of a contact where none may be made: above that of anything else."""

_STEPS: Final = 5000


@dataclass(frozen=True, eq=False, slots=True)
class Spread:
    """A plan in numbers: ``inks`` (n,), ``contact`` in mm of border, ``energy``."""

    inks: Ints
    contact: float
    energy: float


def spread(problem: Problem, seed: int = 1, runs: int = RUNS, known: Ints | None = None) -> Spread:
    """Find a plan.

    Parameters
    ----------
    problem : Problem
        Nodes, pairs, inks and targets.
    seed : int
        Another whole number: another plan as good.
    runs : int
        How often to begin anew at most; large problems take fewer.
    known : (n,) ints, optional
        A plan without contact to begin from once more.
    """
    energy = Energy(problem)
    found: list[Spread] = []
    if known is not None:
        state = _State(energy, known)
        _anneal(state, np.random.Generator(np.random.PCG64([seed, RUNS])), 0.5, COLD, SWEEPS // 2, hard=True)
        _polish(state)
        found.append(_plan(state))
    for run in range(max(1, min(runs, 600 // max(problem.count, 1)))):
        rng = np.random.Generator(np.random.PCG64([seed, run]))
        state = _State(energy, _start(problem, rng))
        _anneal(state, rng, HOT, COLD, SWEEPS)
        _mend(state, rng)
        _polish(state)
        found.append(_plan(state))
    return min(found, key=lambda plan: (round(plan.contact, 6), round(plan.energy, 9)))


class _State:
    """Inks with their local fields and amounts, kept up with every change."""

    def __init__(self, energy: Energy, inks: Ints) -> None:
        self.energy = energy
        self.problem = energy.problem
        self.barred: Floats = np.where(energy.problem.allowed, 0.0, _BARRED)
        self.near = energy.problem.neighbours()
        self.dense: Floats | None = None
        self.free: Ints = np.flatnonzero(energy.problem.allowed.sum(axis=1) > 1)
        self.take(inks)

    def take(self, inks: Ints) -> None:
        """Begin anew from these inks."""
        self.inks = inks.copy()
        self.fields = self.energy.fields(inks) + self.barred
        self.amounts = self.energy.amounts(inks)

    def costs(self, node: int) -> Floats:
        """What the node would pay for each ink, up to a constant, (k,)."""
        own = self.energy.area[node]
        amounts = self.amounts - self.energy.wanted
        amounts[self.inks[node]] -= own
        return np.asarray(self.fields[node] + SHARE * own * amounts)

    def change(self, node: int, ink: int) -> None:
        """Give a node another ink."""
        old = self.inks[node]
        if old == ink:
            return
        span = slice(self.energy.start[node], self.energy.start[node + 1])
        near, value = self.energy.index[span], self.energy.value[span]
        self.fields[near, old] -= value
        self.fields[near, ink] += value
        self.amounts[old] -= self.energy.area[node]
        self.amounts[ink] += self.energy.area[node]
        self.inks[node] = ink

    def all_costs(self, nodes: Ints) -> Floats:
        """What each of the nodes would pay for each ink, up to a constant a node, (nodes, k)."""
        own = self.energy.area[nodes]
        amounts = np.tile(self.amounts - self.energy.wanted, (len(nodes), 1))
        amounts[np.arange(len(nodes)), self.inks[nodes]] -= own
        return np.asarray(self.fields[nodes] + SHARE * own[:, None] * amounts)

    def clash_table(self) -> Floats:
        """How many kept-apart nodes of each node carry each ink, (n, k)."""
        table = np.zeros((self.problem.count, self.problem.inks))
        np.add.at(table, (self.problem.a, self.inks[self.problem.b]), 1.0)
        np.add.at(table, (self.problem.b, self.inks[self.problem.a]), 1.0)
        return table

    def clashes(self, node: int) -> Floats:
        """How many kept-apart nodes carry each ink, (k,)."""
        return np.bincount(self.inks[self.near[node]], minlength=self.problem.inks).astype(float)

    def touching(self) -> Ints:
        """Nodes in contact with a kept-apart node of their ink."""
        same = self.inks[self.problem.a] == self.inks[self.problem.b]
        return np.union1d(self.problem.a[same], self.problem.b[same])


def _plan(state: _State) -> Spread:
    return Spread(state.inks.copy(), state.problem.contact(state.inks), state.energy.total(state.inks))


def _start(problem: Problem, rng: np.random.Generator) -> Ints:
    """Colour in order of saturation; each node takes the ink most in want of those that make least contact."""
    n, k = problem.allowed.shape
    near = problem.neighbours()
    inks = np.full(n, -1, dtype=np.int64)
    clash = np.where(problem.allowed, 0.0, _BARRED)
    want = problem.target * max(problem.area.sum(), 1e-9)
    order = rng.random(n)
    open_ = np.ones(n, dtype=bool)
    for _ in range(n):
        left = (clash == 0).sum(axis=1) + order * 0.5
        node = int(np.where(open_, left, np.inf).argmin())
        ink = int(np.lexsort((rng.random(k), -np.round(want, 9), clash[node]))[0])
        inks[node], open_[node] = ink, False
        want[ink] -= problem.area[node]
        clash[near[node], ink] += 1
    return inks


def _anneal(
    state: _State, rng: np.random.Generator, hot: float, cold: float, sweeps: int, hard: bool = False
) -> None:
    """Heat bath from ``hot`` down to ``cold``; with ``hard`` no move may make contact."""
    n, k = len(state.free), state.problem.inks
    for heat in np.geomspace(hot, cold, sweeps):
        noise = -np.log(-np.log(rng.random((n, k)))) * heat
        for number, node in enumerate(rng.permutation(state.free).tolist()):
            costs = state.costs(node) - noise[number]
            if hard:
                costs += _CLASH * state.clashes(node)
            state.change(node, int(costs.argmin()))


def _mend(state: _State, rng: np.random.Generator) -> None:
    """Take away what contact is left; then let the inks settle again without making new contact."""
    if not len(state.touching()):
        return
    before = state.inks.copy()
    _tabu(state, rng)
    if len(state.touching()):
        answer = proper(state.problem, _STEPS) if state.problem.count <= 400 else None
        if answer is None or answer.inks is None:
            if state.problem.contact(before) < state.problem.contact(state.inks):
                state.take(before)
            return
        state.take(answer.inks)
    _anneal(state, rng, 0.5, COLD, SWEEPS // 2, hard=True)


def _tabu(state: _State, rng: np.random.Generator) -> None:
    """Tabu search on the nodes in contact: the change that leaves least contact, ties by the energy."""
    until = np.zeros((state.problem.count, state.problem.inks), dtype=np.int64)
    best, fewest = state.inks.copy(), state.problem.contact(state.inks)
    free = np.zeros(state.problem.count, dtype=bool)
    free[state.free] = True
    clash, rows = state.clash_table(), np.arange(state.problem.count)
    for turn in range(60 + 4 * state.problem.count):
        own = clash[rows, state.inks]
        nodes = np.flatnonzero(free & (own > 0))
        if not len(nodes) or not fewest:
            break
        gain = clash[nodes] - own[nodes, None] + state.barred[nodes]
        gain[np.arange(len(nodes)), state.inks[nodes]] = _BARRED
        gain[until[nodes] > turn] += _BARRED / 2
        if gain.min() > _CLASH:
            continue
        costs = state.all_costs(nodes)
        costs -= costs[np.arange(len(nodes)), state.inks[nodes]][:, None]
        row, ink = divmod(int(np.where(gain == gain.min(), costs, np.inf).argmin()), state.problem.inks)
        node, old = int(nodes[row]), int(state.inks[nodes[row]])
        until[node, old] = turn + 4 + int(rng.integers(6)) + len(nodes) // 2
        clash[state.near[node], old] -= 1
        clash[state.near[node], ink] += 1
        state.change(node, ink)
        now = state.problem.contact(state.inks)
        if now < fewest:
            best, fewest = state.inks.copy(), now
    state.take(best)


def _polish(state: _State) -> None:
    """Change and exchange inks as long as that lowers the energy, never making new contact."""
    for _ in range(8 * state.problem.count):
        if not (_best_change(state) or _best_exchange(state) or _best_chain(state)):
            break


def _gains(state: _State) -> Floats:
    """What each node would gain or lose by each ink, contact barred, (n, k); own ink 0."""
    rows = np.arange(state.problem.count)
    fields = state.fields + _CLASH * state.clash_table()
    return np.asarray(fields - fields[rows, state.inks][:, None])


def _best_change(state: _State) -> bool:
    """Make the best single change, if one lowers the energy."""
    rows = np.arange(state.problem.count)
    off = state.amounts - state.energy.wanted
    own = state.energy.area[:, None]
    share = SHARE * own * (off[None, :] - off[state.inks][:, None] + own)
    gain = _gains(state) + share
    gain[rows, state.inks] = 0.0
    node, ink = np.unravel_index(int(gain.argmin()), gain.shape)
    if gain[node, ink] > -1e-9:
        return False
    state.change(int(node), int(ink))
    return True


def _best_exchange(state: _State) -> bool:
    """Exchange the inks of the best two nodes, if that lowers the energy; large sheets do without."""
    n = state.problem.count
    if n > 1500:
        return False
    gain = _gains(state)[:, state.inks]
    area, off = state.energy.area, state.amounts - state.energy.wanted
    more = area[:, None] - area[None, :]
    push = off[state.inks]
    total = gain + gain.T + SHARE * (more * (push[None, :] - push[:, None]) + more**2)
    if state.dense is None:
        state.dense = 2 * state.energy.pairs.toarray()
    total -= state.dense
    total[state.problem.a, state.problem.b] = total[state.problem.b, state.problem.a] = np.inf
    total[state.inks[:, None] == state.inks[None, :]] = np.inf
    one, other = np.unravel_index(int(total.argmin()), total.shape)
    if total[one, other] > -1e-9:
        return False
    first, second = int(state.inks[one]), int(state.inks[other])
    state.change(int(one), second)
    state.change(int(other), first)
    return True


def _best_chain(state: _State) -> bool:
    """Exchange two inks in the best connected chain of nodes that carry them, if that lowers the energy.

    What faces a chain carries neither ink, so that no contact can come of it (Kempe's chains).
    """
    k = state.problem.inks
    chain, count = _chains(state)
    gain = _chain_gains(state, chain, count)
    best = int(gain.argmin())
    if gain[best] > -1e-9:
        return False
    nodes, others = np.divmod(np.flatnonzero(chain == best), k)
    for node, ink in zip(nodes.tolist(), others.tolist(), strict=True):
        state.change(node, ink)
    return True


def _chains(state: _State) -> tuple[Ints, int]:
    """Number the chains: entry (node, ink) of the flat (n k,) answer is the chain that gives the node the ink."""
    problem, k, inks = state.problem, state.problem.inks, state.inks
    differ = inks[problem.a] != inks[problem.b]
    a, b = problem.a[differ], problem.b[differ]
    row, column = a * k + inks[b], b * k + inks[a]
    if not differ.all():
        every = np.arange(k)
        row = np.concatenate((row, (problem.a[~differ, None] * k + every).ravel()))
        column = np.concatenate((column, (problem.b[~differ, None] * k + every).ravel()))
    size = problem.count * k
    graph = sparse.coo_array((np.ones(len(row)), (row, column)), shape=(size, size))
    count, chain = csgraph.connected_components(graph, directed=False)
    return chain.astype(np.int64), int(count)


def _chain_gains(state: _State, chain: Ints, count: int) -> Floats:
    """What exchanging the two inks in each chain would add to the energy, (count,)."""
    n, k, inks = state.problem.count, state.problem.inks, state.inks
    own, every = inks[:, None], np.arange(k)[None, :]
    gain = np.bincount(chain, (state.fields - state.fields[np.arange(n), inks][:, None]).ravel(), count)
    # pairs within a chain stay alike or different, which the fields do not know
    row, column, value = state.energy.rows, state.energy.index, state.energy.value
    differ = inks[row] != inks[column]
    one, other = chain[row * k + inks[column]], chain[column * k + inks[row]]
    inner = differ & (one == other)
    gain -= np.bincount(one[inner], value[inner], count)
    one, other = (chain.reshape(n, k)[ends[~differ]] for ends in (row, column))
    alike = one == other
    gain += np.bincount(one[alike], np.broadcast_to(value[~differ, None], alike.shape)[alike], count)
    # the sign of a chain counts from its lower ink to its higher
    sign = np.sign(every - own) * state.energy.area[:, None]
    more = np.bincount(chain, sign.ravel(), count)
    off = state.amounts - state.energy.wanted
    push = np.zeros(count)
    push[chain] = (off[np.maximum(every, own)] - off[np.minimum(every, own)]).ravel()
    return np.asarray(gain + SHARE * more * (push + more))
