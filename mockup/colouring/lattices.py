"""Plans for layouts that are a lattice: each ink on one coset of a sublattice, which is as even as can be.

Where every node is moved onto another by the same two steps, the nodes are a lattice on the torus. Every sublattice of
as many cosets as there are inks, and through which the repeat's own steps go, gives a plan; there are as many as the
sum of the divisors of the number of inks.

References
----------
Sublattices in Hermite normal form: Cassels, An Introduction to the Geometry of Numbers, 1959, chapter I (from memory).
"""

import math
from collections.abc import Iterator
from typing import Final, NamedTuple

import numpy as np
from scipy import spatial

from mockup.colouring.energy import Energy
from mockup.colouring.problem import Floats, Ints

_FEWEST: Final = 4
_OFF: Final = 0.2
"""How far (in spacings) a step may miss the next node."""


class _Grid(NamedTuple):
    """Whole coordinates (n, 2) of the nodes, and the two steps of the repeat in them."""

    at: Ints
    periods: tuple[tuple[int, int], tuple[int, int]]


class LatticePlan(NamedTuple):
    """A plan of the groups; ``perfect`` where no other can be as even: no contact, equal areas, equal shares wanted."""

    inks: Ints
    perfect: bool


def lattice_plan(energy: Energy) -> LatticePlan | None:
    """Find the best plan for nodes that are a lattice; None where they are not, or where some inks are barred.

    Of the plans of least contact the one whose like nodes lie farthest apart is taken, of these that of least energy.
    """
    grid = _usable_grid(energy)
    if grid is None:
        return None
    usable, at = grid
    found = [usable[own] for own in _cosets(at, len(usable))]
    if not found:
        return None
    place = _places(energy)
    best = min(
        found,
        key=lambda inks: (*energy.contacts(inks), -round(_apart(place, inks, energy), 6), energy.total(inks)),
    )
    off = np.abs(energy.amounts(best) - energy.wanted)
    return LatticePlan(
        best, bool(off.max() < 1e-6 and np.ptp(energy.area) < 1e-6 and not energy.contacts(best)[0])
    )


def _places(energy: Energy) -> Floats:
    """Places of the nodes in canonical order."""
    place = np.empty_like(energy.problem.place)
    place[energy.of] = energy.problem.place
    return place


def _apart(place: Floats, inks: Ints, energy: Energy) -> float:
    """Least distance between a node of the first node's ink and the first node, mm."""
    assert energy.problem.cell is not None
    step = place[(inks == inks[0]) & (np.arange(len(inks)) > 0)] - place[0]
    step -= energy.problem.cell * np.round(step / energy.problem.cell)
    return float(np.hypot(*step.T).min(initial=min(energy.problem.cell)))


def _usable_grid(energy: Energy) -> tuple[Ints, _Grid] | None:
    """Inks that all nodes may take, none of them barred from the others, and the lattice; None where there is none."""
    problem = energy.problem
    usable = np.flatnonzero(energy.allowed.all(axis=0))
    if (
        problem.cell is None
        or energy.count != problem.count
        or energy.count < _FEWEST
        or len(usable) < 2
        or energy.allowed.any(axis=0).sum() != len(usable)
    ):
        return None
    grid = _grid(_places(energy), problem.cell)
    return None if grid is None else (usable, grid)


def _cosets(grid: _Grid, index: int) -> Iterator[Ints]:
    """Number the nodes by their cosets, for every sublattice of that index that holds the repeat's steps."""
    for across in (own for own in range(1, index + 1) if index % own == 0):
        down = index // across
        for slide in range(across):

            def coset(at: Ints, across: int = across, down: int = down, slide: int = slide) -> Ints:
                rows, rest = np.divmod(at[:, 1], down)
                return np.asarray(rest * across + (at[:, 0] - slide * rows) % across)

            if not coset(np.array(grid.periods, dtype=np.int64)).any():
                yield coset(grid.at)


def _grid(place: Floats, cell: tuple[float, float]) -> _Grid | None:
    """Find the two steps that move every node onto another, and each node's coordinates in them."""
    count = len(place)
    place = np.mod(place, cell)
    place = np.where(place >= cell, 0.0, place)
    spacing = math.sqrt(cell[0] * cell[1] / count)
    tree = spatial.KDTree(place, boxsize=np.array(cell))
    first, second = _steps(place, np.array(cell), spacing, tree)
    moves = []
    for step in (first, second):
        far, to = tree.query(np.mod(place + step, cell))
        if np.max(far) > _OFF * spacing or len(np.unique(to)) != count:
            return None
        moves.append(np.asarray(to, dtype=np.int64))
    return _walked(moves[0], moves[1], count)


def _steps(place: Floats, cell: Floats, spacing: float, tree: "spatial.KDTree") -> tuple[Floats, Floats]:
    """Shortest step from the first node to another, and the shortest in another direction."""
    _, near = tree.query(place[0], k=min(13, len(place)))
    step = place[np.asarray(near)[1:]] - place[0]
    step -= cell * np.round(step / cell)
    first = step[0]
    sine = np.abs(step[:, 0] * first[1] - step[:, 1] * first[0])
    sine = sine / np.maximum(np.hypot(*step.T) * np.hypot(*first), 1e-12)
    aside = np.flatnonzero(sine > 0.3)
    return first, step[aside[0]] if len(aside) else np.array([0.0, spacing])


def _walked(right: Ints, down: Ints, count: int) -> _Grid | None:
    """Walk along both steps from node 0; gives coordinates if every node is met just once."""
    at = np.full((count, 2), -1, dtype=np.int64)
    row, node, columns = 0, 0, 0
    while at[node, 0] < 0:
        start, column = node, 0
        while at[node, 0] < 0:
            at[node] = column, row
            node, column = int(right[node]), column + 1
        if node != start or (columns and column != columns):
            return None
        columns, row, node = column, row + 1, int(down[start])
    if row * columns != count or at[node, 1] != 0:
        return None
    return _Grid(at, ((columns, 0), (-int(at[node, 0]), row)))
