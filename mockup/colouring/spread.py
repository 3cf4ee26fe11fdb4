"""Spreads the inks: no contact, every share on its target, no lump.

A start that respects the pairs (nodes in order of saturation, each taking the ink that is most in want) is annealed by
heat bath on the energy, conflicts that are left are mended by tabu search or by the exact search, and exchanges
polish the result without ever making new contact. Several runs are made; the one with least contact, then least
energy, is kept. Deterministic for a seed.

References
----------
Brelaz 1979 (saturation order, see ``exact``). Geman and Geman, Stochastic relaxation, Gibbs distributions and the
Bayesian restoration of images, IEEE PAMI 6 (1984): heat bath. Galinier and Hao, Hybrid evolutionary algorithms for
graph coloring, J. Comb. Optim. 3 (1999): tabu search on conflicts. All from memory.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from mockup.colouring.energy import SHARE, Energy
from mockup.colouring.exact import proper
from mockup.colouring.problem import Floats, Ints, Problem

SWEEPS: Final = 70
HOT: Final = 1.2
COLD: Final = 0.03
_BARRED: Final = 1e9


@dataclass(frozen=True, eq=False, slots=True)
class Spread:
    """A plan in numbers: ``inks`` (n,), ``contact`` in mm of border, ``energy``."""

    inks: Ints
    contact: float
    energy: float


def spread(problem: Problem, seed: int = 1) -> Spread:
    """Find a plan.

    Parameters
    ----------
    problem : Problem
        Nodes, pairs, inks and targets.
    seed : int
        Another whole number: another plan as good.
    """
    energy = Energy(problem)
    runs = max(1, min(6, 600 // max(problem.count, 1)))
    found: list[Spread] = []
    for run in range(runs):
        rng = np.random.Generator(np.random.PCG64([seed, run]))
        state = _State(energy, _start(problem, rng))
        _anneal(state, rng, HOT, COLD, SWEEPS)
        _mend(state, rng)
        _polish(state)
        found.append(Spread(state.inks.copy(), problem.contact(state.inks), energy.total(state.inks)))
    return min(found, key=lambda plan: (round(plan.contact, 6), round(plan.energy, 9)))


class _State:
    """Inks with their local fields and amounts, kept up with every change."""

    def __init__(self, energy: Energy, inks: Ints) -> None:
        self.energy = energy
        self.problem = energy.problem
        self.barred: Floats = np.where(energy.problem.allowed, 0.0, _BARRED)
        self.near = energy.problem.neighbours()
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

    def clashes(self, node: int) -> Floats:
        """How many kept-apart nodes carry each ink, (k,)."""
        return np.bincount(self.inks[self.near[node]], minlength=self.problem.inks).astype(float)

    def touching(self) -> Ints:
        """Nodes in contact with a kept-apart node of their ink."""
        same = self.inks[self.problem.a] == self.inks[self.problem.b]
        return np.union1d(self.problem.a[same], self.problem.b[same])


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


def _anneal(state: _State, rng: np.random.Generator, hot: float, cold: float, sweeps: int, hard: bool = False) -> None:
    """Heat bath from ``hot`` down to ``cold``; with ``hard`` no move may make contact."""
    n, k = len(state.free), state.problem.inks
    for heat in np.geomspace(hot, cold, sweeps):
        noise = -np.log(-np.log(rng.random((n, k)))) * heat
        for number, node in enumerate(rng.permutation(state.free).tolist()):
            costs = state.costs(node) - noise[number]
            if hard:
                costs += _BARRED * state.clashes(node)
            state.change(node, int(costs.argmin()))


def _mend(state: _State, rng: np.random.Generator) -> None:
    """Take away what contact is left; then let the inks settle again without making new contact."""
    if not len(state.touching()):
        return
    before = state.inks.copy()
    _tabu(state, rng)
    if len(state.touching()):
        answer = proper(state.problem) if state.problem.count <= 400 else None
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
    for turn in range(60 + 12 * state.problem.count):
        nodes = np.intersect1d(state.touching(), state.free)
        if not len(nodes) or not fewest:
            break
        choice: tuple[float, float, int, int] | None = None
        for node in nodes.tolist():
            clash = state.clashes(node)
            gain = clash - clash[state.inks[node]] + state.barred[node]
            gain[state.inks[node]] = _BARRED
            gain[until[node] > turn] += _BARRED / 2
            costs = state.costs(node)
            ink = int(np.lexsort((costs, gain))[0])
            own = (float(gain[ink]), float(costs[ink] - costs[state.inks[node]]), node, ink)
            choice = own if choice is None or own < choice else choice
        if choice is None:
            break
        _, _, node, ink = choice
        until[node, state.inks[node]] = turn + 4 + int(rng.integers(6)) + len(nodes) // 2
        state.change(node, ink)
        now = state.problem.contact(state.inks)
        if now < fewest:
            best, fewest = state.inks.copy(), now
    state.take(best)


def _polish(state: _State) -> None:
    """Exchange and change inks as long as that lowers the energy, never making new contact."""
    for _ in range(8 * state.problem.count):
        if not (_best_change(state) or _best_exchange(state)):
            break


def _gains(state: _State) -> Floats:
    """What each node would gain or lose by each ink, contact barred, (n, k); own ink 0."""
    rows = np.arange(state.problem.count)
    clash = np.zeros_like(state.fields)
    np.add.at(clash, (state.problem.a, state.inks[state.problem.b]), _BARRED)
    np.add.at(clash, (state.problem.b, state.inks[state.problem.a]), _BARRED)
    fields = state.fields + clash
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
    dense = state.energy.pairs.toarray()
    total -= 2 * dense
    total[state.problem.a, state.problem.b] = total[state.problem.b, state.problem.a] = np.inf
    total[state.inks[:, None] == state.inks[None, :]] = np.inf
    one, other = np.unravel_index(int(total.argmin()), total.shape)
    if total[one, other] > -1e-9:
        return False
    first, second = int(state.inks[one]), int(state.inks[other])
    state.change(int(one), second)
    state.change(int(other), first)
    return True
