"""The spread: no contact where there need be none, shares on target, nothing barred is taken, always the same."""

import itertools
import json
import math
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import networkx as nx
import numpy as np
import pytest
from builders import PUBLISHED, clashes, of_graph, problem
from hypothesis import given, settings
from hypothesis import strategies as st

from mockup.colouring.energy import SHARE, Energy, wendland
from mockup.colouring.exact import proper
from mockup.colouring.problem import Pairs, Problem
from mockup.colouring.spread import spread

EXAMPLES = json.loads((PUBLISHED / "torus_colouring.json").read_text(encoding="utf-8"))


def random_problem(seed: int, count: int, inks: int, *, free: float = 0.75, dense: float = 0.12) -> Problem:
    """Make a problem of random pairs, areas and barred inks."""
    rng = np.random.default_rng(seed)
    pairs = [pair for pair in itertools.combinations(range(count), 2) if rng.random() < dense]
    allowed = rng.random((count, inks)) < free
    allowed[np.arange(count), rng.integers(0, inks, count)] = True
    return problem(count, pairs, inks, area=rng.lognormal(0, 0.5, count).tolist(), allowed=allowed.tolist())


@settings(max_examples=60)
@given(st.integers(0, 10_000), st.integers(1, 40), st.integers(1, 6), st.sampled_from([0.3, 0.6, 1.0]))
def test_no_node_takes_an_ink_that_is_barred(seed: int, count: int, inks: int, free: float) -> None:
    given_ = random_problem(seed, count, inks, free=free, dense=0.3)
    found = spread(given_, seed, 2)
    assert given_.allowed[np.arange(count), found.inks].all()
    assert found.contact == given_.contact(found.inks)
    answer = proper(given_, 3000)
    if found.contact == 0 and answer.sure:
        assert answer.inks is not None


@settings(max_examples=25)
@given(st.integers(0, 10_000))
def test_contact_is_none_where_the_exact_search_finds_none(seed: int) -> None:
    given_ = random_problem(seed, 24, 4, free=0.8, dense=0.15)
    answer = proper(given_, 20_000)
    assert (spread(given_, 1).contact == 0) == (answer.inks is not None)


def test_a_plan_is_the_same_for_a_seed_and_another_for_another() -> None:
    given_ = random_problem(5, 40, 5)
    first, again, other = (spread(given_, seed).inks for seed in (1, 1, 2))
    assert np.array_equal(first, again)
    assert not np.array_equal(first, other)


def test_a_plan_is_the_same_in_another_process() -> None:
    script = (
        "from test_spread import random_problem; from mockup.colouring.spread import spread;"
        "print(spread(random_problem(9, 30, 5), 3).inks.tolist())"
    )
    folder = Path(__file__).parent
    told = []
    for salt in ("1", "77"):
        path = os.pathsep.join((str(folder), str(folder.parent)))
        there = os.environ | {"PYTHONHASHSEED": salt, "PYTHONPATH": path}
        done = subprocess.run(
            [sys.executable, "-c", script], capture_output=True, text=True, check=True, env=there
        )
        told.append(json.loads(done.stdout))
    assert told[0] == told[1] == spread(random_problem(9, 30, 5), 3).inks.tolist()


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("more", [1, 2])
def test_with_more_inks_than_neighbours_the_counts_are_equal_within_one(seed: int, more: int) -> None:
    """Hajnal and Szemeredi 1970: there is such a colouring from one ink more than the largest degree."""
    graph = nx.random_regular_graph(3, 20, seed=seed)
    given_ = of_graph(graph, 3 + more)
    found = spread(given_, seed + 1)
    counts = np.bincount(found.inks, minlength=3 + more)
    assert clashes(found.inks, given_) == 0
    assert counts.max() - counts.min() <= 1


GRAPHS = {
    "K_{3,3}": lambda: nx.complete_bipartite_graph(3, 3),
    "K_{5,5}": lambda: nx.complete_bipartite_graph(5, 5),
    "K_{2,4}": lambda: nx.complete_bipartite_graph(2, 4),
    "C5": lambda: nx.cycle_graph(5),
    "petersen": nx.petersen_graph,
    "K7 (torus)": lambda: nx.complete_graph(7),
    "octahedron K_{2,2,2}": nx.octahedral_graph,
}


def equitable() -> list[tuple[str, int, bool]]:
    rows = EXAMPLES["equitable"]["examples"]
    return [
        (r["graph"], int(k), yes) for r in rows if r["graph"] in GRAPHS for k, yes in r["equitable_k"].items()
    ]


def test_the_published_examples_are_there() -> None:
    assert {name for name, _, _ in equitable()} == GRAPHS.keys()


@pytest.mark.parametrize(("name", "inks", "can"), equitable())
def test_published_equitable_colourings(name: str, inks: int, can: bool) -> None:
    given_ = of_graph(nx.convert_node_labels_to_integers(GRAPHS[name]()), inks)
    found = spread(given_, 1)
    counts = np.bincount(found.inks, minlength=inks)
    reached = clashes(found.inks, given_) == 0 and counts.max() - counts.min() <= 1
    assert reached == can


def test_shares_reach_uneven_targets() -> None:
    target = [0.3, 0.3, 0.2, 0.1, 0.1]
    graph = nx.convert_node_labels_to_integers(nx.grid_2d_graph(10, 10, periodic=True))
    pairs = [(int(a), int(b)) for a, b in graph.edges]
    given_ = problem(100, pairs, 5, target=target)
    found = spread(given_)
    assert found.contact == 0
    assert given_.shares(found.inks) == pytest.approx(target, abs=0.011)


def test_doubtful_pairs_are_kept_apart_where_that_is_free() -> None:
    plain = problem(6, [(0, 1), (2, 3), (4, 5)], 3)
    more = Pairs(np.array([0, 1, 2]), np.array([2, 4, 5]), np.ones(3))
    careful = Problem(
        plain.area, plain.place, plain.cell, plain.a, plain.b, plain.border, plain.allowed, plain.target, more
    )
    found = spread(careful)
    assert found.contact == 0
    assert not (found.inks[more.a] == found.inks[more.b]).any()


def test_a_known_plan_is_a_start_that_never_gets_contact() -> None:
    given_ = random_problem(11, 30, 4, dense=0.08)
    known = proper(given_).inks
    assert known is not None
    assert spread(given_, 1, 1, known).contact == 0


@settings(max_examples=30)
@given(st.integers(0, 10_000))
def test_fields_are_the_differences_of_the_energy(seed: int) -> None:
    given_ = random_problem(seed, 12, 3, free=1.0)
    energy, rng = Energy(given_), np.random.default_rng(seed)
    inks = rng.integers(0, 3, 12)
    node, ink = int(rng.integers(12)), int(rng.integers(3))
    other = inks.copy()
    other[node] = ink
    fields = energy.fields(inks)
    off, more = energy.amounts(inks) - energy.wanted, energy.amounts(other) - energy.wanted
    wanted = fields[node, ink] - fields[node, inks[node]] + SHARE / 2 * float((more**2 - off**2).sum())
    assert energy.total(other) - energy.total(inks) == pytest.approx(wanted, abs=1e-8)


def test_the_kernel_is_one_at_nothing_and_ends_softly() -> None:
    steps = np.linspace(0, 1.2, 200)
    value = wendland(steps)
    assert value[0] == 1
    assert (np.diff(value) <= 0).all()
    assert (value[steps >= 1] == 0).all()
    assert float(wendland(np.array([0.999]))[0]) < 1e-10


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"allowed": [[True, True], [False, False]]}, "a node that may take no ink"),
        ({"target": [1.0]}, "2 nodes and 2 inks expected; came areas (2,), places (2, 2), targets (1,)"),
    ],
)
def test_what_a_solver_is_given_is_checked_at_the_door(change: dict[str, Any], message: str) -> None:
    with pytest.raises(ValueError, match=r"expected|no ink") as refusal:
        problem(2, [(0, 1)], 2, **change)
    assert str(refusal.value) == message


def test_even_areas_on_a_wrapped_grid_lie_far_more_evenly_than_chance() -> None:
    graph = nx.convert_node_labels_to_integers(nx.grid_2d_graph(12, 12, periodic=True))
    given_ = of_graph(graph, 4)
    energy = Energy(given_)
    found = spread(given_)
    rng = np.random.default_rng(0)
    chance = np.mean([energy.total(rng.permutation(found.inks)) for _ in range(20)])
    assert found.contact == 0
    assert math.isclose(given_.share_error(found.inks), 0, abs_tol=1e-9)
    assert found.energy < chance
