"""All plans without contact of a small drawing, so that the very best of them can be taken.

Nodes are inked one after another, all ways at once; inks that nothing tells apart are brought in in their order only.
Where there is no plan without contact, those with one contact are listed, or two.
"""

from typing import Final

import numpy as np
from numpy.typing import NDArray

from mockup.colouring.energy import SHARE, Energy
from mockup.colouring.problem import Floats

Plans = NDArray[np.int8]

MOST_ROWS: Final = 300_000
_MOST_CONTACTS: Final = 3


def every_plan(energy: Energy) -> Plans | None:
    """List the plans with fewest contacts, (m, g) inks, those that only exchange like inks once; None if too many."""
    order = _order(energy)
    for contacts in range(_MOST_CONTACTS + 1):
        found = _extended(energy, order, contacts)
        if found is None or len(found):
            return found
    return None


def energies(energy: Energy, plans: Plans) -> Floats:
    """Energy of many plans, (m,)."""
    total = np.zeros(len(plans))
    linear, area = energy.linear, energy.area
    for ink in range(energy.inks):
        chosen = (plans == ink).astype(np.float64)
        total += (energy.couplings.times(chosen.T).T * chosen).sum(axis=1) / 2
        total += (chosen * np.where(linear[:, ink] < np.inf, linear[:, ink], 0.0)).sum(axis=1)
        total += SHARE / 2 * (chosen @ area - energy.wanted[ink]) ** 2
    if energy.unlike is not None:
        pairs = zip(energy.a.tolist(), energy.b.tolist(), energy.border.tolist(), strict=True)
        for a, b, border in pairs:
            total += border * energy.unlike[plans[:, a], plans[:, b]]
    return total


def share_errors(energy: Energy, plans: Plans) -> Floats:
    """Largest gap between amount and wanted amount of each plan, in mean areas, (m,)."""
    area, off = energy.area.astype(np.float32), np.zeros(len(plans), dtype=np.float32)
    columns = plans.T
    for ink in range(energy.inks):
        amount = area @ np.equal(columns, ink).astype(np.float32)
        np.maximum(off, np.abs(amount - np.float32(energy.wanted[ink])), out=off)
    return off.astype(np.float64)


def _order(energy: Energy) -> list[int]:
    """Each node after as many of those that it faces as can be; of these the one that may take fewest inks."""
    sure = ~energy.doubt
    near = np.zeros((energy.count, energy.count), dtype=bool)
    near[energy.a[sure], energy.b[sure]] = near[energy.b[sure], energy.a[sure]] = True
    degree, choices = near.sum(axis=1), energy.allowed.sum(axis=1)
    met = np.zeros(energy.count, dtype=np.int64)
    left = set(range(energy.count))
    order = []
    while left:
        node = min(left, key=lambda own: (choices[own] - met[own], -met[own], -degree[own], own))
        left.remove(node)
        order.append(node)
        met += near[node]
    return order


def _like(energy: Energy) -> list[int]:
    """For each ink the last one before it that nothing tells from it, else -1."""
    before = []
    for ink in range(energy.inks):
        same = [
            other
            for other in range(ink)
            if energy.unlike is None
            and energy.wanted[other] == energy.wanted[ink]
            and (energy.linear[:, other] == energy.linear[:, ink]).all()
        ]
        before.append(same[-1] if same else -1)
    return before


def _extended(energy: Energy, order: list[int], most: int) -> Plans | None:
    """All plans with at most so many contacts, node by node."""
    sure = ~energy.doubt
    a, b = energy.a[sure], energy.b[sure]
    near = [np.concatenate((b[a == node], a[b == node])) for node in range(energy.count)]
    like = _like(energy)
    # one column a plan, so that what is asked of a node lies together
    plans = np.full((energy.count, 1), -1, dtype=np.int8)
    met, used = np.zeros(1, dtype=np.int8), np.zeros((energy.inks, 1), dtype=bool)
    for node in order:
        parts = []
        for ink in np.flatnonzero(energy.allowed[node]).tolist():
            now = met + (plans[near[node]] == ink).sum(axis=0, dtype=np.int8)
            fits = now <= most
            if like[ink] >= 0:
                fits &= used[like[ink]]
            rows = np.flatnonzero(fits)
            grown, inked = plans.take(rows, axis=1), used.take(rows, axis=1)
            grown[node], inked[ink] = ink, True
            parts.append((grown, now[rows], inked))
        if sum(part[0].shape[1] for part in parts) > MOST_ROWS:
            return None
        plans, met, used = (np.concatenate(column, axis=-1) for column in zip(*parts, strict=True))
    return np.asarray(plans.T)
