"""Exchanges in chains: what they are said to cost is what they cost, and none ever makes contact."""

import itertools
from dataclasses import replace

import numpy as np
import pytest
from bench.layouts import bare
from hypothesis import given, settings
from hypothesis import strategies as st
from problems import SETTINGS, exchanges, keep_sparse, rich_problem

from mockup.colouring.chains import Chains, pairings, pairs_within
from mockup.colouring.energy import SHARE, Energy
from mockup.colouring.exact import proper
from mockup.colouring.heat import HeatBath
from mockup.colouring.mend import mend
from mockup.colouring.polish import polish
from mockup.colouring.problem import Ints, Problem


def random_inks(energy: Energy, rng: np.random.Generator) -> Ints:
    return np.array([rng.choice(np.flatnonzero(row)) for row in energy.allowed])


def bare_of_couples(seed: int, count: int, setting: str) -> Problem:
    """Everything but ties, so that large tables go by the law."""
    return replace(rich_problem(seed, count, 4, setting), tied=None)


@pytest.mark.parametrize("inks", range(1, 13))
def test_in_so_many_rounds_every_ink_meets_every_other_once(inks: int) -> None:
    met = []
    for partner in pairings(inks):
        paired = np.flatnonzero(partner >= 0)
        assert (partner[partner[paired]] == paired).all()
        assert (partner[paired] != paired).all()
        met += [(one, other) for one, other in enumerate(partner.tolist()) if one < other]
    assert sorted(met) == list(itertools.combinations(range(inks), 2))


@given(st.lists(st.integers(0, 6), max_size=8))
def test_pairs_within_blocks_are_all_pairs(sizes: list[int]) -> None:
    start = np.cumsum([0, *sizes])[:-1]
    one, other = pairs_within(start, np.array(sizes, dtype=np.int64))
    wanted = [
        pair
        for first, size in zip(start.tolist(), sizes, strict=True)
        for pair in itertools.combinations(range(first, first + size), 2)
    ]
    assert sorted(zip(one.tolist(), other.tolist(), strict=True)) == wanted


@pytest.mark.parametrize("setting", SETTINGS)
@pytest.mark.parametrize("sparse", [False, True], ids=["dense", "sparse"])
@pytest.mark.parametrize("ties", [False, True], ids=["free", "tied"])
@pytest.mark.parametrize("count", [24, 170])
def test_an_exchange_costs_what_the_energy_changes(
    setting: str, sparse: bool, ties: bool, count: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Contact, doubtful contact and likeness within chains included."""
    if sparse:
        keep_sparse(monkeypatch)
    checked = 0
    for seed in range(2):
        given_ = rich_problem(seed, count, 4, setting) if ties else bare_of_couples(seed, count, setting)
        energy = Energy(given_)
        assert (energy.law is not None) <= (sparse and not ties)
        inks = random_inks(energy, np.random.default_rng(seed))
        state = Chains(energy, inks)
        off, before = energy.amounts(inks) - energy.wanted, energy.total(inks)
        for moves, number, _, after in exchanges(state):
            then = energy.amounts(after) - energy.wanted
            shares = SHARE / 2 * float((then**2).sum() - (off**2).sum())
            assert energy.total(after) - before == pytest.approx(moves.gain[number] + shares, abs=1e-6)
            moved = energy.amounts(after) - energy.amounts(inks)
            assert moved[moves.high[number]] == pytest.approx(moves.moved[number])
            assert moved[moves.low[number]] == pytest.approx(-moves.moved[number])
            checked += 1
    assert checked > 20


def test_the_law_of_a_wide_repeat_gives_the_same_costs(monkeypatch: pytest.MonkeyPatch) -> None:
    given_ = bare("tossed", 200, 4, 5000)
    assert Energy(given_).law is None
    dense = Chains(Energy(given_), np.random.default_rng(1).integers(0, 4, 200))
    keep_sparse(monkeypatch)
    energy = Energy(given_)
    assert energy.law is not None
    large = Chains(energy, dense.inks)
    for pairing in dense.pairings:
        assert large.moves(pairing).gain == pytest.approx(dense.moves(pairing).gain)


@settings(max_examples=25)
@given(st.integers(0, 10_000), st.integers(2, 40), st.sampled_from(SETTINGS), st.booleans())
def test_exchanges_make_no_new_contact(seed: int, count: int, setting: str, sparse: bool) -> None:
    with pytest.MonkeyPatch.context() as patch:
        if sparse:
            keep_sparse(patch)
        energy, rng = Energy(rich_problem(seed, count, 4, setting)), np.random.default_rng(seed)
        state = Chains(energy, random_inks(energy, rng))
        for heat in (5.0, 0.5, 0.0):
            for pairing in state.pairings:
                before = (state.inks[energy.a] == state.inks[energy.b]) & ~energy.doubt
                state.sweep(pairing, heat, SHARE, rng)
                assert not ((state.inks[energy.a] == state.inks[energy.b]) & ~energy.doubt & ~before).any()
                assert energy.allowed[np.arange(energy.count), state.inks].all()
        assert state.fields == pytest.approx(energy.fields(state.inks), abs=1e-6)
        assert state.amounts == pytest.approx(energy.amounts(state.inks))


@settings(max_examples=25)
@given(st.integers(0, 10_000), st.integers(2, 60), st.sampled_from(SETTINGS), st.booleans(), st.booleans())
def test_polish_never_raises_the_energy(
    seed: int, count: int, setting: str, sparse: bool, cooled: bool
) -> None:
    with pytest.MonkeyPatch.context() as patch:
        if sparse:
            keep_sparse(patch)
        energy, rng = (
            Energy(replace(rich_problem(seed, count, 4, setting), alike=None)),
            np.random.default_rng(seed),
        )
        state = Chains(energy, random_inks(energy, rng))
        if cooled:
            state.anneal(rng, 3)
        before, contacts = energy.total(state.inks), energy.contacts(state.inks)
        polish(state, 3)
        assert energy.total(state.inks) <= before + 1e-6
        assert energy.contacts(state.inks)[0] <= contacts[0]
        assert state.fields == pytest.approx(energy.fields(state.inks), abs=1e-6)


@settings(max_examples=25)
@given(st.integers(0, 10_000), st.integers(2, 40), st.integers(2, 5))
def test_mending_lowers_contact_to_none_where_there_is_a_plan_without(
    seed: int, count: int, inks: int
) -> None:
    given_ = replace(rich_problem(seed, count, inks), tied=None)
    energy, rng = Energy(given_), np.random.default_rng(seed)
    state = Chains(energy, random_inks(energy, rng))
    before = energy.contacts(state.inks)
    mend(state, rng, 2000)
    after = energy.contacts(state.inks)
    assert after <= before
    assert energy.allowed[np.arange(energy.count), state.inks].all()
    answer = proper(given_)
    assert answer.sure
    if answer.inks is not None:
        assert after[0] == 0


def test_the_heat_bath_lays_down_plans_far_better_than_chance() -> None:
    given_ = bare("jittered", 200, 5, 5001)
    energy, rng = Energy(given_), np.random.default_rng(1)
    found = HeatBath(energy, rng).run(4, 20)
    assert found.shape == (200, 4)
    by_chance = [energy.total(random_inks(energy, rng)) for _ in range(10)]
    for inks in found.T:
        assert energy.contacts(inks)[0] <= 10
        assert energy.total(inks) < 0.2 * min(by_chance)
