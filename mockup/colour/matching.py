"""Matching colours to inks: all wanted colours at once, no ink twice, the least sum of misses.

References
----------
The assignment problem; solved exactly by scipy's linear_sum_assignment (Crouse, "On implementing 2D rectangular
assignment algorithms", IEEE Transactions on Aerospace and Electronic Systems 52(4), 2016).
"""

from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import linear_sum_assignment

from mockup.colour.difference import Measured, ciede2000_lab

TWINS: Final = 3.0
"""Inks that differ by less (CIEDE2000) do the same work: our figure; a pen of another batch may differ by as much."""


class Pair(NamedTuple):
    """Two inks by their places, and their CIEDE2000 difference."""

    one: int
    other: int
    difference: float


def matched(cost: ArrayLike) -> NDArray[np.int64]:
    """Assign each row a column of its own so that the costs add up to the least.

    Parameters
    ----------
    cost : (w, o) floats
        Finite; no more rows than columns.

    Returns
    -------
    (w,) ints

    Raises
    ------
    ValueError
        There are more rows than columns.
    """
    table = np.asarray(cost, dtype=np.float64)
    if table.ndim != 2 or table.shape[0] > table.shape[1]:
        raise ValueError(f"expected (w, o) costs with w <= o, not the shape {table.shape}")
    rows, columns = linear_sum_assignment(table)
    found = np.empty(len(table), dtype=np.int64)
    found[rows] = columns
    return found


def misses(wanted: Sequence[Measured], owned: Sequence[Measured]) -> NDArray[np.float64]:
    """Give the CIEDE2000 difference of every wanted colour to every owned one, (w, o)."""
    one, other = (
        np.array([colour.lab for colour in colours], dtype=np.float64).reshape(-1, 3)
        for colours in (wanted, owned)
    )
    return ciede2000_lab(one[:, None, :], other[None, :, :])


def near_twins(colours: Sequence[Measured], limit: float = TWINS) -> list[Pair]:
    """Give the pairs that differ by less than a limit, the nearest first."""
    table = misses(colours, colours)
    one, other = np.nonzero(np.triu(table < limit, 1))
    found = [Pair(int(i), int(j), float(table[i, j])) for i, j in zip(one, other, strict=True)]
    return sorted(found, key=lambda pair: (pair.difference, pair.one, pair.other))
