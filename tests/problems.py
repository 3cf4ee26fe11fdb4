"""Makers of random problems with everything in them, and of the same problem numbered otherwise."""

import itertools
from collections.abc import Iterator
from dataclasses import replace
from typing import Final

import numpy as np
import pytest
from builders import problem

from mockup.colouring import chains, couplings, energy, heat
from mockup.colouring.problem import Ints, Pairs, Problem

SETTINGS: Final = ("repeat", "sheet", "nowhere")


def random_problem(seed: int, count: int, inks: int, *, free: float = 0.75, dense: float = 0.12) -> Problem:
    """Make a problem of random pairs, areas and barred inks."""
    rng = np.random.default_rng(seed)
    pairs = [pair for pair in itertools.combinations(range(count), 2) if rng.random() < dense]
    allowed = rng.random((count, inks)) < free
    allowed[np.arange(count), rng.integers(0, inks, count)] = True
    return problem(count, pairs, inks, area=rng.lognormal(0, 0.5, count).tolist(), allowed=allowed.tolist())


def rich_problem(seed: int, count: int, inks: int, setting: str = "repeat", *, free: float = 0.8) -> Problem:
    """Make a problem with ties, likeness, leanings, doubtful pairs and uneven targets; about four pairs a node."""
    rng = np.random.default_rng([seed, count, inks])
    made = random_problem(seed, count, inks, free=free, dense=min(1.0, 4 / count))
    tied = np.arange(count)
    for one, other in rng.integers(0, count, (count // 6, 2)).tolist():
        if (made.allowed[tied == tied[one]] & made.allowed[tied == tied[other]][:1]).any(axis=1).all():
            common = made.allowed[np.isin(tied, (tied[one], tied[other]))].all(axis=0)
            tied[tied == tied[other]] = tied[one] if common.any() else tied[other]
    alike = rng.random((inks, inks))
    more = rng.integers(0, count, (count, 2))
    more = np.unique(np.sort(more[more[:, 0] != more[:, 1]], axis=1), axis=0)
    cell = (0.7 * count**0.5, count**0.5 / 0.7)
    target = rng.random(inks) + 0.5
    return replace(
        made,
        place=np.zeros((count, 2)) if setting == "nowhere" else rng.random((count, 2)) * cell,
        cell=cell if setting == "repeat" else None,
        border=rng.random(len(made.a)) + 0.1,
        target=target / target.sum(),
        doubtful=Pairs(more[:, 0], more[:, 1], rng.random(len(more)) + 0.1),
        tied=tied,
        alike=(alike + alike.T) / 2,
        leaning=rng.normal(0, 0.3, (count, inks)),
    )


def renumbered(given: Problem, order: Ints, rng: np.random.Generator) -> Problem:
    """Number the nodes otherwise, the node ``order[i]`` now the i-th, and list the pairs in another order."""
    rank = np.empty(given.count, dtype=np.int64)
    rank[order] = np.arange(given.count)

    def pairs(a: Ints, b: Ints, border: np.ndarray) -> Pairs:
        mix = rng.permutation(len(a))
        one, other = rank[a[mix]], rank[b[mix]]
        return Pairs(np.minimum(one, other), np.maximum(one, other), border[mix])

    sure, doubtful = pairs(given.a, given.b, given.border), pairs(*given.doubtful)
    names = rng.permutation(given.count + 5)
    return replace(
        given,
        area=given.area[order],
        place=given.place[order],
        a=sure.a,
        b=sure.b,
        border=sure.border,
        allowed=given.allowed[order],
        doubtful=doubtful,
        tied=None if given.tied is None else names[given.tied[order]],
        leaning=None if given.leaning is None else given.leaning[order],
    )


def keep_sparse(monkeypatch: pytest.MonkeyPatch, most: int = 0) -> None:
    """Have all tables of more nodes than that kept sparse, as those of large drawings are."""
    for module in (chains, couplings, energy, heat):
        monkeypatch.setattr(module, "DENSE", most)


def exchanges(state: chains.Chains) -> Iterator[tuple[chains.Moves, int, Ints, Ints]]:
    """Give every exchange of a chain that may be made: the list, its number, its nodes, the inks after it."""
    for pairing in state.pairings:
        moves = state.moves(pairing)
        for number in np.flatnonzero(
            (moves.size <= state.longest) & (moves.gain < energy.BARRED / 2)
        ).tolist():
            nodes, _ = chains.picked(moves, np.array([number]))
            after = state.inks.copy()
            after[nodes] = pairing[after[nodes]]
            yield moves, number, nodes, after
