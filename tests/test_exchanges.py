"""Exchanges of ink that help: allowed by every rule, and helping as much as is said."""

import itertools
from dataclasses import replace

import numpy as np
import pytest
from builders import problem
from hypothesis import given
from hypothesis import strategies as st

from mockup.colouring.exchanges import CLEAR, QUIET, SHARE_SLACK, exchanged, exchanges
from mockup.colouring.measure import MAX_BLUR, Nodes, lump_field
from mockup.colouring.problem import NO_PAIRS, Ints, Problem

SIDE = 8


def grid_problem(inks: int, rng: np.random.Generator, wraps: bool) -> Problem:
    """Sixty-four shapes of unlike size on a grid; each is kept apart from the one to its right."""
    count = SIDE * SIDE
    pairs = [(n, n - n % SIDE + (n + 1) % SIDE) for n in range(count)]
    own = problem(count, pairs, inks, area=rng.uniform(0.5, 1.5, count).tolist())
    return own if wraps else replace(own, cell=None)


def nodes_of(own: Problem) -> Nodes:
    return Nodes(own.area, own.place + 0.5, (float(SIDE), float(SIDE)), own.cell is not None)


def lumpy(own: Problem, rng: np.random.Generator) -> Ints:
    """No contact, but the first ink crowds in one corner."""
    near = np.hypot(*(own.place - 2).T) < 2.5
    while True:
        inks = rng.integers(0, own.inks, own.count)
        for _ in range(200):
            clash = np.flatnonzero(inks[own.a] == inks[own.b])
            if not len(clash):
                break
            inks[own.b[clash[0]]] = rng.integers(0, own.inks)
        heavy = inks.copy()
        for node in np.flatnonzero(near).tolist():
            others = [*own.b[own.a == node], *own.a[own.b == node]]
            if not any(heavy[other] == 0 for other in others):
                heavy[node] = 0
        if not own.contact(heavy):
            return heavy


def level(own: Problem, inks: Ints) -> float:
    return float(np.nanmax(lump_field(nodes_of(own), inks, own.target, MAX_BLUR)[0]))


def pairs_alike(own: Problem, inks: Ints) -> set[tuple[int, int]]:
    ends = np.concatenate((own.a, own.doubtful.a)), np.concatenate((own.b, own.doubtful.b))
    return {(int(a), int(b)) for a, b in zip(*ends, strict=True) if inks[a] == inks[b]}


@given(st.integers(0, 10_000), st.booleans())
def test_every_exchange_keeps_to_the_rules_and_to_its_word(seed: int, wraps: bool) -> None:
    rng = np.random.default_rng(seed)
    own = grid_problem(4, rng, wraps)
    allowed = rng.random((own.count, 4)) < 0.9
    inks = lumpy(own, rng)
    allowed[np.arange(own.count), inks] = True
    pinned = rng.random(own.count) < 0.2
    allowed[pinned] = np.eye(4, dtype=bool)[inks[pinned]]
    own = replace(own, allowed=allowed)
    slack = max(SHARE_SLACK, own.share_error(inks))
    steps = exchanges(nodes_of(own), own, inks)
    assert sum(len(step.exchanges) for step in steps) <= 3
    for step in steps:
        assert step.before == pytest.approx(level(own, inks))
        assert step.before >= QUIET
        before = inks
        inks = exchanged(inks, step.exchanges)
        moved = np.flatnonzero(before != inks)
        assert not pinned[moved].any()
        assert own.allowed[np.arange(own.count), inks].all()
        assert pairs_alike(own, inks) <= pairs_alike(own, before)
        assert own.share_error(inks) <= slack + 1e-9
        assert step.after == pytest.approx(level(own, inks))
        assert step.after <= (1 - CLEAR) * step.before + 1e-9
        for one in step.exchanges:
            assert one.gives != one.gets


def test_the_first_exchange_is_the_best_of_all() -> None:
    """All pairs and all single changes, each measured by itself."""
    rng = np.random.default_rng(4)
    own = replace(grid_problem(4, rng, wraps=True), a=NO_PAIRS.a, b=NO_PAIRS.b, border=NO_PAIRS.border)
    near = np.hypot(*(own.place - 2).T) < 1.5
    inks = np.where(near, 0, (np.arange(own.count) * 3 + own.place[:, 0].astype(int)) % 4)
    (first, *_) = exchanges(nodes_of(own), own, inks, most=1)
    slack = max(SHARE_SLACK, own.share_error(inks))
    best = np.inf
    for a, b in itertools.combinations(range(own.count), 2):
        if inks[a] != inks[b]:
            other = inks.copy()
            other[[a, b]] = inks[[b, a]]
            if own.share_error(other) <= slack:
                best = min(best, level(own, other))
    assert first.after <= 1.1 * best


def test_a_plan_that_is_even_is_left_alone() -> None:
    own = problem(64, [], 4)
    inks = (own.place[:, 0] % 2 * 2 + own.place[:, 1] % 2).astype(np.int64)
    assert level(own, inks) < QUIET
    assert exchanges(nodes_of(own), own, inks) == ()


def test_where_everything_is_fixed_there_is_nothing_to_exchange() -> None:
    rng = np.random.default_rng(1)
    own = grid_problem(4, rng, wraps=True)
    inks = lumpy(own, rng)
    assert exchanges(nodes_of(own), own, inks) != ()
    fixed = replace(own, allowed=np.eye(4, dtype=bool)[inks])
    assert exchanges(nodes_of(fixed), fixed, inks) == ()


def test_tied_nodes_take_part_together() -> None:
    rng = np.random.default_rng(2)
    own = grid_problem(4, rng, wraps=True)
    tied = np.arange(own.count) // 2
    own = replace(own, tied=tied, a=NO_PAIRS.a, b=NO_PAIRS.b, border=NO_PAIRS.border)
    inks = np.where(np.hypot(*(own.place - 2).T) < 2, 0, rng.integers(1, 4, own.count // 2)[tied])
    inks = inks[tied * 2]
    steps = exchanges(nodes_of(own), own, inks)
    assert steps
    for one in (one for step in steps for one in step.exchanges):
        assert len(one.first) == 2
        assert len(one.second) in {0, 2}
    after = exchanged(inks, tuple(one for step in steps for one in step.exchanges))
    assert (after[::2] == after[1::2]).all()
