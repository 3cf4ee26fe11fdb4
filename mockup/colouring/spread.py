"""Spreads the inks: no contact, every share on its target, no lump.

Small drawings are settled exactly: all plans without contact are listed and the best is taken. Else several starts,
laid down one independent set of nodes after another, are cooled by heat bath side by side while contact still has a
soft price (``heat``); the best of them are annealed by exchanging inks in chains, which never makes contact
(``chains``); contact that is left is taken away by tabu search (``mend``); and the shares are brought to their targets
by the cheapest exchanges in ones, twos and threes (``polish``). Nodes on a lattice have plans of their own to begin
from (``lattices``), and so has an ink that is to hold more than comes by itself (``ceiling``). The plan of least
contact, then least energy, is kept. What is lowered is told in ``energy``. The same for a seed, however the nodes are
numbered, and in any process.

References
----------
See ``heat``, ``chains``, ``mend`` and ``polish``. Wang and others 1989 found exchanges of chains to settle what single
changes leave stuck; on these graphs it is they that bring the evenness.
"""

from dataclasses import dataclass, replace
from typing import Final, NamedTuple

import numpy as np

from mockup.colouring.ceiling import MOST_NODES, heaviest
from mockup.colouring.chains import COOL, WARM, Chains
from mockup.colouring.energy import Energy
from mockup.colouring.heat import HeatBath, soft_energy
from mockup.colouring.lattices import lattice_plan
from mockup.colouring.listing import Plans, energies, every_plan, share_errors
from mockup.colouring.mend import mend
from mockup.colouring.polish import polish
from mockup.colouring.problem import Floats, Ints, Mask, Problem

LISTED: Final = 26
"""Up to so many groups all plans are listed, if they are not too many."""

_SHORT: Final = 0.3
"""Mean areas by which the ink of the largest share may fall short of it before it gets starts of its own."""

_SETS: Final = 4
"""How many heaviest sets are tried."""

_FEW_TRIES: Final = 2
_TRIES: Final = 5
"""How often contact that is left is taken up again: up to ``LISTED`` nodes, and above."""

PATIENCE: Final = 50
_MOST_PATIENCE: Final = 50_000
"""Changes in vain, a node and at most, before contact is taken to be there for good."""

_FEW: Final = 12
"""Above so many contacts it ends with the first time in vain."""

_CLOSE: Final = 9.5e-4
_AS_GOOD: Final = 20.0
"""Energy above the best at which a plan of a small drawing still is another one as good."""

_SMALL: Final = 20
"""Up to so many groups a share error above the least by no more than that lets evenness decide; above, the energy."""


class Effort(NamedTuple):
    """Starts and sweeps of the heat bath, how many go on, sweeps of chains, listings and their length for polish."""

    starts: int
    hot: int
    finish: int
    sweeps: int
    rounds: int
    listed: int


def effort(count: int, inks: int) -> Effort:
    """Say how much to do for so many groups: with few inks contact is hard to cool away, with many chains are short."""
    if count <= 60:
        return Effort(24, 20, 3, 12, 8, 240)
    if count <= 250:
        return Effort(10, 20, 2, 12, 5, 200)
    if count <= 1500:
        return Effort(1, 30 if inks <= 4 else 6, 1, 16 if inks <= 5 else 24, 6 if inks <= 4 else 4, 220)
    return Effort(1, 6, 1, 6, 2, 100)


@dataclass(frozen=True, eq=False, slots=True)
class Spread:
    """A plan in numbers: ``inks`` (n,), ``contact`` in mm of border, ``energy``."""

    inks: Ints
    contact: float
    energy: float


def spread(
    problem: Problem,
    seed: int = 1,
    runs: int | None = None,
    known: Ints | None = None,
    patience: int = PATIENCE,
) -> Spread:
    """Find a plan.

    Parameters
    ----------
    problem : Problem
        Nodes, pairs, inks and targets.
    seed : int
        Another whole number: another plan as good, of a small drawing the next best.
    runs : int, optional
        How many starts are carried to the end; left out, as many as pay.
    known : (n,) ints, optional
        A plan without contact to begin from once more.
    patience : int
        How many changes in vain, a node, are made on contact that withstands; with less than the usual, contact is
        given up soon, and an ink that falls short gets no starts of its own.
    """
    return _found(problem, seed, runs, known, patience)


def _found(problem: Problem, seed: int, runs: int | None, known: Ints | None, patience: int) -> Spread:
    """Find a plan, as ``spread`` does."""
    energy = Energy(problem)
    listed = every_plan(energy) if energy.count <= LISTED else None
    if listed is not None:
        return _spread(energy, _best_listed(energy, listed, seed))
    even = lattice_plan(energy)
    if even is not None and even.perfect:
        return _spread(energy, (even.inks + seed - 1) % energy.inks if energy.allowed.all() else even.inks)
    rng = np.random.Generator(np.random.PCG64([seed, energy.count, energy.inks]))
    work = effort(energy.count, energy.inks)
    found = HeatBath(energy, rng).run(work.starts, work.hot)
    order = np.argsort(soft_energy(energy, found), kind="stable")[: runs or work.finish]
    starts = [(found[:, number], WARM) for number in order.tolist()]
    if even is not None:
        starts.append((even.inks, COOL))
    if known is not None:
        starts.append((energy.groups(known), WARM / 4))
    # a small drawing of which no plan is without contact has soon the least, and more tries are in vain
    tries = 1 if patience < PATIENCE else _FEW_TRIES if energy.count <= LISTED else _TRIES
    plans = [_finished(energy, inks, warm, work, rng, tries) for inks, warm in starts]
    best = _least(energy, plans)
    if patience >= PATIENCE and _short(energy, best):
        led = [
            _finished(energy, energy.groups(inks), COOL, work, rng, tries)
            for inks in _led_starts(energy, seed)
        ]
        best = _least(energy, [best, *led])
    if patience and energy.contacts(best)[0]:
        best = _mended(energy, best, work, rng, patience)
    return _spread(energy, best)


def _least(energy: Energy, plans: list[Ints]) -> Ints:
    """Take the plan of least contact, of these the one of least energy."""
    return min(plans, key=lambda inks: (*energy.contacts(inks), energy.total(inks)))


def _short(energy: Energy, inks: Ints) -> bool:
    """Tell whether the ink of the largest share falls well short of it."""
    lead = int(energy.wanted.argmax())
    return bool(energy.wanted[lead] - energy.amounts(inks)[lead] > _SHORT)


def _led_starts(energy: Energy, seed: int) -> list[Ints]:
    """Plans (inks of the nodes) in which the ink of the largest share keeps to the heaviest set that does not face.

    None where there are too many nodes to find the set. The set takes the ink whole; where that makes contact
    elsewhere, another set nearly as heavy does, or the set may take others, too.
    """
    lead = int(energy.wanted.argmax())
    if energy.count > MOST_NODES:
        return []
    rng = np.random.Generator(np.random.PCG64([seed, energy.count]))
    found = []
    for turn in range(_SETS):
        chosen = _lead_set(energy, lead, energy.area * (1 + 0.02 * turn * rng.random(energy.count)))
        if chosen is None:
            break
        for whole in (True, False) if turn + 1 == _SETS else (True,):
            plan = _found(_kept_to(energy, lead, chosen, whole=whole), seed, 1, None, 0)
            found.append(plan.inks)
            if not plan.contact:
                return found
    return found


def _lead_set(energy: Energy, lead: int, weight: Floats) -> Mask | None:
    """Find a heaviest set of groups for an ink; the lightest are let go while there is more than is wanted."""
    sure = ~energy.doubt
    chosen = heaviest(weight, energy.allowed[:, lead], energy.a[sure], energy.b[sure])
    if chosen is None:
        return None
    for node in np.argsort(energy.area, kind="stable").tolist():
        if chosen[node] and energy.area[chosen].sum() - energy.area[node] >= energy.wanted[lead]:
            chosen[node] = False
    return chosen


def _kept_to(energy: Energy, lead: int, chosen: Mask, *, whole: bool) -> Problem:
    """Give an ink to the chosen groups at most, or (``whole``) to all of them and no others."""
    others = np.arange(energy.inks) != lead
    allowed = energy.allowed.copy()
    allowed[~chosen & allowed[:, others].any(axis=1), lead] = False
    if whole:
        allowed[chosen] = ~others
    return replace(energy.problem, allowed=allowed[energy.of])


def _mended(energy: Energy, inks: Ints, work: Effort, rng: np.random.Generator, patience: int) -> Ints:
    """Go on with a plan whose contact has withstood so far."""
    state = Chains(energy, inks)
    mend(state, rng, min(patience * energy.count, _MOST_PATIENCE))
    state.anneal(rng, work.sweeps, WARM / 2)
    polish(state, work.rounds, work.listed)
    return state.inks


def _finished(
    energy: Energy, inks: Ints, warm: float, work: Effort, rng: np.random.Generator, tries: int
) -> Ints:
    """Carry one start to the end."""
    state = Chains(energy, inks)
    state.anneal(rng, work.sweeps, warm)
    least = energy.contacts(state.inks)
    for turn in range(tries):
        if not least[0]:
            break
        mend(state, rng, 300 * (1 + turn), patches=turn > 0)
        state.anneal(rng, max(4, work.sweeps // 2), warm)
        now = energy.contacts(state.inks)
        if now >= least and now[0] > _FEW:
            break
        least = min(now, least)
    polish(state, work.rounds, work.listed)
    return state.inks


def _best_listed(energy: Energy, plans: Plans, seed: int) -> Ints:
    """Of all plans (of the smallest drawings: those nearest to the targets) the one with least energy.

    Seed 1 takes the best, each further one the next best whose contact is as short.
    """
    if energy.count <= _SMALL:
        off = share_errors(energy, plans)
        plans = plans[off <= off.min() + _CLOSE * energy.wanted.sum()]
    paid = energies(energy, plans)
    order = np.argsort(paid, kind="stable")
    order = order[paid[order] <= paid.min() + _AS_GOOD]
    return np.asarray(plans[order[(seed - 1) % len(order)]], dtype=np.int64)


def _spread(energy: Energy, inks: Ints) -> Spread:
    own = energy.nodes(inks)
    return Spread(own, energy.problem.contact(own), energy.total(inks))
