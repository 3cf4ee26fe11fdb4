"""The last touch: the few exchanges, alone or in twos and threes, that bring the shares to their targets at least cost.

The cheapest chains of every pair of inks and either direction are listed with what making two of them costs more than
each by itself. Of all singles, pairs and (where there are few) triples the one that lowers the energy most is made,
again and again; a pair that would make contact is none. The energy is quadratic, so that pairs tell all.

References
----------
Exchanges in twos and threes as in ejection chains: Glover, Discrete Appl. Math. 65 (1996) (from memory).
"""

from typing import Final

import numpy as np

from mockup.colouring.chains import Chains, Moves, picked
from mockup.colouring.energy import SHARE
from mockup.colouring.problem import Floats, Ints, Mask

PAIRS: Final = 240
TRIPLES: Final = 72
_LEAST: Final = 1e-7
_LARGEST_CHAIN: Final = 40
_DEAREST: Final = 50.0


class _Listed:
    """The listed exchanges: nodes with old and new inks, effects, and what any two cost more than each alone."""

    def __init__(self, state: Chains, most: int) -> None:
        found = [_shortlist(state.moves(pairing), state, most) for pairing in state.pairings]
        self.nodes: Ints = np.concatenate([nodes for nodes, _, _ in found])
        self.size: Ints = np.concatenate([size for _, size, _ in found])
        self.gain: Floats = np.concatenate([gain for _, _, gain in found])
        self.before: Ints = state.inks[self.nodes]
        self.after: Ints = np.concatenate(
            [pairing[state.inks[nodes]] for pairing, (nodes, _, _) in zip(state.pairings, found, strict=True)]
        )
        self.start: Ints = np.cumsum(self.size) - self.size
        self.step: Floats = _steps(self, state)
        self.between: Floats = _between(self, state)

    def of(self, number: int) -> slice:
        """Places of the nodes of one exchange."""
        return slice(int(self.start[number]), int(self.start[number] + self.size[number]))


def polish(state: Chains, rounds: int, most: int = PAIRS) -> None:
    """Lower the energy by exchanges in ones, twos and threes; at most so many listings.

    Parameters
    ----------
    state : Chains
        The state; changed in place, never to more contact.
    rounds : int
        How often the exchanges are listed anew at most.
    most : int
        How many are listed.
    """
    for _ in range(rounds):
        listed = _Listed(state, most)
        if not len(listed.size) or not _descend(listed, state):
            break


def _shortlist(moves: Moves, state: Chains, most: int) -> tuple[Ints, Ints, Floats]:
    """Keep the cheapest chains of each pair of inks and each direction: nodes, sizes, gains."""
    each = max(2, most // max(state.energy.inks * (state.energy.inks - 1), 1))
    fair = (moves.gain < _DEAREST) & (moves.size <= _LARGEST_CHAIN)
    chosen = []
    for low in np.unique(moves.low):
        for way in (moves.moved > 0, moves.moved <= 0):
            own = np.flatnonzero(fair & (moves.low == low) & way)
            chosen.append(own[np.argsort(moves.gain[own], kind="stable")[:each]])
    keep = np.concatenate(chosen) if chosen else np.zeros(0, dtype=np.int64)
    nodes, size = picked(moves, keep)
    return nodes, size, moves.gain[keep]


def _steps(listed: _Listed, state: Chains) -> Floats:
    """Area that each exchange brings each ink, (r, k)."""
    step = np.zeros((len(listed.size), state.energy.inks))
    own = np.repeat(np.arange(len(listed.size)), listed.size)
    area = state.energy.area[listed.nodes]
    np.add.at(step, (own, listed.before), -area)
    np.add.at(step, (own, listed.after), area)
    return step


def _between(listed: _Listed, state: Chains) -> Floats:
    """What two exchanges cost more than each alone, shares left out, (r, r); infinite where both cannot be."""
    if not len(listed.size):
        return np.zeros((0, 0))
    old, new = listed.before, listed.after
    sign = (
        (new[:, None] == new).astype(np.float64)
        - (new[:, None] == old)
        - (old[:, None] == new)
        + (old[:, None] == old)
    )
    more = _summed(state.energy.couplings.block(listed.nodes) * sign, listed.start)
    shared = listed.nodes[:, None] == listed.nodes
    facing = _facing(state, listed.nodes) & (new[:, None] == new)
    never = _summed((shared | facing).astype(np.float64), listed.start) > 0
    more[never] = np.inf
    np.fill_diagonal(more, np.inf)
    return more


def _facing(state: Chains, nodes: Ints) -> Mask:
    """Which of the nodes face which, (p, p)."""
    place = np.full(state.energy.count, -1, dtype=np.int64)
    unique, own = np.unique(nodes, return_inverse=True)
    place[unique] = np.arange(len(unique))
    known = (place[state.i] >= 0) & (place[state.j] >= 0)
    table = np.zeros((len(unique), len(unique)), dtype=bool)
    table[place[state.i[known]], place[state.j[known]]] = True
    return np.asarray(table[np.ix_(own, own)])


def _summed(table: Floats, start: Ints) -> Floats:
    return np.asarray(np.add.reduceat(np.add.reduceat(table, start, axis=0), start, axis=1))


def _descend(listed: _Listed, state: Chains) -> bool:
    """Make the best single, pair or triple as long as one helps, without listing anew; tell whether one did."""
    gain, alive = listed.gain.copy(), np.ones(len(listed.size), dtype=bool)
    joint = listed.between + SHARE * (listed.step @ listed.step.T)
    made_any = False
    while alive.any():
        off = state.amounts - state.energy.wanted
        alone = gain + SHARE * (listed.step @ off + (listed.step**2).sum(axis=1) / 2)
        alone[~alive] = np.inf
        best = _best(alone, joint)
        if best is None:
            break
        made_any = True
        for number in best:
            own = listed.of(number)
            state.change(listed.nodes[own], listed.after[own])
            gain = gain + listed.between[number]
            alive &= np.isfinite(listed.between[number])
        gain[~alive] = 0.0
    return made_any


def _best(alone: Floats, joint: Floats) -> tuple[int, ...] | None:
    """Find the single, pair or triple that lowers the energy most; None where none does."""
    one = int(alone.argmin())
    found: tuple[int, ...] = (one,)
    least = float(alone[one])
    two = alone[:, None] + alone + joint
    i, j = np.unravel_index(int(two.argmin()), two.shape)
    if two[i, j] < least - _LEAST:
        found, least = (int(i), int(j)), float(two[i, j])
    few = np.argsort(alone, kind="stable")[:TRIPLES]
    part, pair = joint[np.ix_(few, few)], two[np.ix_(few, few)]
    three = pair[:, :, None] + (alone[few] + part)[:, None, :] + part[None, :, :]
    i, j, m = np.unravel_index(int(three.argmin()), three.shape)
    if three[i, j, m] < least - _LEAST:
        found, least = (int(few[i]), int(few[j]), int(few[m])), float(three[i, j, m])
    return found if least < -_LEAST else None
