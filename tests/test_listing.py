"""Listing all plans of a small drawing, against trying everything."""

import itertools
from dataclasses import replace

import networkx as nx
import numpy as np
import pytest
from bench.layouts import bare
from builders import of_graph
from hypothesis import given, settings
from hypothesis import strategies as st
from problems import random_problem, rich_problem

from mockup.colouring.energy import Energy
from mockup.colouring.listing import energies, every_plan, share_errors
from mockup.colouring.problem import Ints, Problem
from mockup.colouring.spread import spread


def every_colouring(energy: Energy) -> list[Ints]:
    """All plans of least contact, by trying everything."""
    choices = [np.flatnonzero(row).tolist() for row in energy.allowed]
    all_plans = [np.array(inks) for inks in itertools.product(*choices)]
    met = [energy.contacts(inks)[0] for inks in all_plans]
    return [inks for inks, own in zip(all_plans, met, strict=True) if own == min(met)]


def like_orders(energy: Energy) -> list[Ints]:
    """Ways to exchange inks that nothing tells apart."""
    found = []
    for order in itertools.permutations(range(energy.inks)):
        own = np.array(order)
        if (energy.wanted[own] == energy.wanted).all() and (energy.linear[:, own] == energy.linear).all():
            found.append(own)
    return found if energy.unlike is None else [np.arange(energy.inks)]


def small(seed: int, count: int, inks: int, kind: str) -> Problem:
    if kind == "rich":
        return rich_problem(seed, count, inks)
    plain = random_problem(seed, count, inks, free=1.0 if kind == "free" else 0.7, dense=0.4)
    return replace(plain, area=np.ones(count))


@settings(max_examples=80)
@given(
    st.integers(0, 10_000), st.integers(1, 7), st.integers(1, 3), st.sampled_from(["free", "barred", "rich"])
)
def test_every_plan_of_least_contact_is_listed_once(seed: int, count: int, inks: int, kind: str) -> None:
    energy = Energy(small(seed, count, inks, kind))
    wanted = every_colouring(energy)
    listed = every_plan(energy)
    if energy.contacts(wanted[0])[0] > 3:
        assert listed is None
        return
    assert listed is not None
    orders = like_orders(energy)
    spelled = [tuple(sorted({tuple(own[inks_].tolist()) for own in orders})) for inks_ in listed]
    assert len(set(spelled)) == len(spelled)
    assert set().union(*spelled) == {tuple(inks_.tolist()) for inks_ in wanted}
    assert energies(energy, listed) == pytest.approx([energy.total(inks_) for inks_ in listed], abs=1e-6)
    off = [np.abs(energy.amounts(inks_) - energy.wanted).max() for inks_ in listed]
    assert share_errors(energy, listed) == pytest.approx(off, abs=1e-5)


@settings(max_examples=40)
@given(
    st.integers(0, 10_000), st.integers(1, 7), st.integers(1, 3), st.sampled_from(["free", "barred", "rich"])
)
def test_a_small_drawing_has_the_best_plan_of_all(seed: int, count: int, inks: int, kind: str) -> None:
    """Least contact, then the shares within 9.5e-4 of the nearest, then the least energy."""
    given_ = small(seed, count, inks, kind)
    energy = Energy(given_)
    wanted = every_colouring(energy)
    if energy.contacts(wanted[0])[0] > 3:
        return
    off = np.array([np.abs(energy.amounts(own) - energy.wanted).max() for own in wanted])
    close = off <= off.min() + 9.5e-4 * energy.wanted.sum() + 1e-9
    least = min(energy.total(own) for own, is_close in zip(wanted, close, strict=True) if is_close)
    found = spread(given_, 1)
    assert energy.contacts(energy.groups(found.inks))[0] == energy.contacts(wanted[0])[0]
    assert found.energy == pytest.approx(least, abs=1e-6)


def test_too_many_plans_are_not_listed() -> None:
    assert every_plan(Energy(bare("tossed", 60, 5, 5000))) is None


def test_where_four_contacts_are_needed_nothing_is_listed() -> None:
    assert every_plan(Energy(of_graph(nx.complete_graph(8), 4))) is None
    listed = every_plan(Energy(of_graph(nx.complete_graph(7), 4)))
    assert listed is not None
    assert {Energy(of_graph(nx.complete_graph(7), 4)).contacts(inks)[0] for inks in listed} == {3}
