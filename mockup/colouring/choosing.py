"""Choosing a few out of many so that the two that are most alike are as far apart as can be.

References
----------
The max-min dispersion problem: E. Erkut, "The discrete p-dispersion problem", European Journal of Operational Research
46 (1990). Farthest first is within one half of the best (S. S. Ravi, D. J. Rosenkrantz, G. K. Tayi, "Heuristic and
special case algorithms for dispersion problems", Operations Research 42 (1994); both from memory); what is better is
looked for as a clique among those that are at least so far apart.
"""

from collections.abc import Sequence
from typing import Final

import numpy as np

from mockup.colouring.problem import Floats, Ints

_BUDGET: Final = 60_000
"""Steps of the search for one distance; beyond them the distance counts as out of reach."""


def farthest(distance: Floats, first: Sequence[int], count: int, least: float = 0.0) -> list[int]:
    """Choose so many that the smallest distance between two of them is as large as can be.

    Parameters
    ----------
    distance : (n, n) floats
        Symmetric.
    first : sequence of int
        What is chosen already; at least one.
    count : int
        How many there are to be, those of ``first`` among them.
    least : float
        No two are to be nearer; those of ``first`` among themselves may be.

    Returns
    -------
    list of int
        ``first``, and after them the others in the order in which each is farthest from all before; fewer where no
        more are ``least`` apart.
    """
    chosen = list(first)
    if count <= len(chosen):
        return chosen
    greedy = _greedy(distance, chosen, count, least)
    if len(greedy) < count:
        found = _widest(distance, chosen, len(greedy), count, least)
        greedy = found if len(found) > len(greedy) else greedy
    if len(greedy) > len(chosen):
        greedy = _improved(distance, chosen, greedy)
    return _ordered(distance, chosen, greedy)


def smallest(distance: Floats, chosen: Sequence[int], first: int = 1) -> float:
    """Give the smallest distance between two of the chosen; pairs of the first so many are left out."""
    own = distance[np.ix_(chosen, chosen)].copy()
    own[:first, :first] = np.inf
    np.fill_diagonal(own, np.inf)
    return float(own.min()) if len(chosen) > 1 else np.inf


def _greedy(distance: Floats, first: list[int], count: int, least: float) -> list[int]:
    """Take what is farthest from all before, again and again."""
    chosen = list(first)
    near = distance[chosen].min(axis=0)
    near[chosen] = -np.inf
    while len(chosen) < count:
        best = int(near.argmax())
        if near[best] < least or not np.isfinite(near[best]):
            break
        chosen.append(best)
        near = np.minimum(near, distance[best])
        near[best] = -np.inf
    return chosen


def _widest(distance: Floats, first: list[int], have: int, count: int, least: float) -> list[int]:
    """Find more than farthest first did, all ``least`` apart."""
    for wanted in range(count, have, -1):
        found = _clique(distance, first, wanted, least)
        if found:
            return found
    return []


def _improved(distance: Floats, first: list[int], chosen: list[int]) -> list[int]:
    """Halve the distances above what there is until none is left for which as many can be found."""
    best, reached = chosen, smallest(distance, chosen, len(first))
    steps = np.unique(distance[np.triu_indices(len(distance), 1)])
    low, high = int(np.searchsorted(steps, reached, side="right")), len(steps)
    while low < high:
        middle = (low + high) // 2
        found = _clique(distance, first, len(chosen), float(steps[middle]))
        if found:
            best, low = (
                found,
                int(np.searchsorted(steps, smallest(distance, found, len(first)), side="right")),
            )
        else:
            high = middle
    return best


def _clique(distance: Floats, first: list[int], count: int, least: float) -> list[int]:
    """Find so many, ``first`` among them, of which no two are nearer than ``least``; empty where there are none.

    Sets are the bits of whole numbers; the search ends without one when its budget is spent.
    """
    apart = distance >= least
    others = np.flatnonzero(apart[first].all(axis=0))
    others = others[~np.isin(others, first)]
    order: Ints = others[np.argsort(-apart[np.ix_(others, others)].sum(axis=1), kind="stable")]
    rows = [sum(1 << int(b) for b in np.flatnonzero(apart[one, order])) for one in order]
    left = [_BUDGET]

    def search(found: list[int], may: int, need: int) -> list[int]:
        if not need:
            return found
        while may.bit_count() >= need and left[0]:
            left[0] -= 1
            at = (may & -may).bit_length() - 1
            may &= ~(1 << at)
            whole = search([*found, at], may & rows[at], need - 1)
            if whole:
                return whole
        return []

    found = search([], (1 << len(order)) - 1, count - len(first))
    return [*first, *(int(order[at]) for at in found)] if found else []


def _ordered(distance: Floats, first: list[int], chosen: list[int]) -> list[int]:
    """Put what was chosen after ``first`` in the order of farthest first."""
    own = [one for one in chosen if one not in first]
    made = list(first)
    while own:
        near = distance[np.ix_(own, made)].min(axis=1)
        made.append(own.pop(int(near.argmax())))
    return made
