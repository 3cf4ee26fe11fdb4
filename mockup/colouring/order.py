"""An order of the nodes that does not hang on how they are numbered, so that a plan does not either.

Nodes are told apart by place, area and allowed inks; where that is not enough, by what they face, round after round
until nothing more can be told; where nodes are still alike, one of them is set apart and the rounds go on.

References
----------
Weisfeiler and Leman 1968: refinement by neighbours; McKay, Practical graph isomorphism, Congr. Numer. 30 (1981):
setting one node apart (both from memory).
"""

from typing import Final

import numpy as np
from numpy.typing import NDArray

from mockup.colouring.problem import Floats, Ints, Problem

_MOST_SET_APART: Final = 300
_ROUNDS: Final = 30


def canonical(problem: Problem) -> Ints:
    """Give the nodes in canonical order, (n,).

    Two nodes that nothing tells apart come in the order of their numbers.
    """
    columns: list[Floats | Ints] = [problem.area, problem.place[:, 1], problem.place[:, 0]]
    columns += list(problem.allowed.T.astype(np.int64))
    if problem.leaning is not None:
        columns += list(problem.leaning.T)
    rank = _ranks(np.column_stack([_ranks(column[:, None]) for column in columns]))
    if rank.max(initial=-1) + 1 < problem.count:
        rank = _refined(problem, rank)
    return np.asarray(np.lexsort((np.arange(problem.count), rank)), dtype=np.int64)


def _ranks(rows: "NDArray[np.generic]") -> Ints:
    """Number equal rows alike, in rising order."""
    _, rank = np.unique(rows, axis=0, return_inverse=True)
    return np.asarray(rank.reshape(-1), dtype=np.int64)


def _refined(problem: Problem, rank: Ints) -> Ints:
    border = _ranks(problem.border[:, None])
    for _ in range(_MOST_SET_APART):
        rank = _settled(problem, border, rank)
        counts = np.bincount(rank)
        shared = np.flatnonzero(counts > 1)
        if not len(shared):
            break
        first = int(np.flatnonzero(rank == shared[0])[0])
        rank = 2 * rank + 1
        rank[first] -= 1
        rank = _ranks(rank[:, None])
    return rank


def _settled(problem: Problem, border: Ints, rank: Ints) -> Ints:
    """Tell nodes apart by what they face until that tells no more."""
    known = int(rank.max(initial=-1))
    for _ in range(_ROUNDS):
        a, b = problem.a, problem.b
        sign = np.zeros(problem.count, dtype=np.uint64)
        np.add.at(sign, a, _mixed(rank[b], border))
        np.add.at(sign, b, _mixed(rank[a], border))
        rank = _ranks(np.column_stack((rank, _ranks(sign[:, None]))))
        now = int(rank.max(initial=-1))
        if now == known:
            break
        known = now
    return rank


def _mixed(one: Ints, other: Ints) -> "NDArray[np.uint64]":
    """Mix two numbers into one of 64 bits that sums tell apart (the finaliser of splitmix64, from memory)."""
    with np.errstate(over="ignore"):
        value = (one + 1).astype(np.uint64) * np.uint64(0x9E3779B97F4A7C15) + other.astype(np.uint64)
        value = (value ^ (value >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
        value = (value ^ (value >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
        return np.asarray(value ^ (value >> np.uint64(31)))
