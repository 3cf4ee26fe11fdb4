"""The spread: no contact where there need be none, shares on target, nothing barred is taken, always the same."""

import itertools
import json
import math
import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import networkx as nx
import numpy as np
import pytest
from bench.layouts import LAYOUTS, bare, borders
from builders import PUBLISHED, clashes, of_graph, problem
from hypothesis import given, settings
from hypothesis import strategies as st
from problems import SETTINGS, keep_sparse, random_problem, renumbered, rich_problem

from mockup.colouring.energy import Energy
from mockup.colouring.exact import proper
from mockup.colouring.problem import NO_PAIRS, Pairs, Problem
from mockup.colouring.spread import spread

EXAMPLES = json.loads((PUBLISHED / "torus_colouring.json").read_text(encoding="utf-8"))


@settings(max_examples=25)
@given(st.integers(0, 10_000), st.integers(1, 32), st.integers(1, 6), st.sampled_from([0.3, 0.6, 1.0]))
def test_no_node_takes_an_ink_that_is_barred(seed: int, count: int, inks: int, free: float) -> None:
    given_ = random_problem(seed, count, inks, free=free, dense=0.3)
    found = spread(given_, seed, 1)
    assert given_.allowed[np.arange(count), found.inks].all()
    assert found.contact == given_.contact(found.inks)
    answer = proper(given_, 3000)
    if found.contact == 0 and answer.sure:
        assert answer.inks is not None


@settings(max_examples=20)
@given(st.integers(0, 10_000), st.integers(6, 40), st.sampled_from(SETTINGS))
def test_fixed_nodes_keep_their_ink_and_tied_nodes_take_one(seed: int, count: int, setting: str) -> None:
    given_ = rich_problem(seed, count, 4, setting)
    rng = np.random.default_rng(seed)
    assert given_.tied is not None
    kept = rng.permutation(count)[: count // 5]
    allowed = given_.allowed.copy()
    for node in kept.tolist():
        group = given_.tied == given_.tied[node]
        allowed[group] = np.arange(4) == rng.choice(np.flatnonzero(allowed[group].all(axis=0)))
    found = spread(replace(given_, allowed=allowed), seed, 1).inks
    assert allowed[np.arange(count), found].all()
    assert (found[kept] == allowed[kept].argmax(axis=1)).all()
    for number in np.unique(given_.tied):
        assert len(set(found[given_.tied == number].tolist())) == 1


@settings(max_examples=25)
@given(st.integers(0, 10_000))
def test_contact_is_none_where_the_exact_search_finds_none(seed: int) -> None:
    given_ = random_problem(seed, 24, 4, free=0.8, dense=0.15)
    answer = proper(given_, 20_000)
    assert (spread(given_, 1).contact == 0) == (answer.inks is not None)


def test_a_plan_is_the_same_for_a_seed_and_another_for_another() -> None:
    given_ = bare("tossed", 80, 5, 5000)
    first, again, other = (spread(given_, seed).inks for seed in (1, 1, 2))
    assert np.array_equal(first, again)
    assert not np.array_equal(first, other)


def test_further_seeds_of_a_small_drawing_give_the_next_best_plans() -> None:
    given_ = bare("tossed", 24, 4, 5000)
    found = [spread(given_, seed) for seed in range(1, 5)]
    assert [own.energy for own in found] == sorted(own.energy for own in found)
    assert len({tuple(own.inks.tolist()) for own in found}) == 4


def the_same_by_numbers(given_: Problem, seed: int) -> bool:
    """Tell whether a problem numbered otherwise has the same plan, node by node."""
    rng = np.random.default_rng(seed)
    order = rng.permutation(given_.count)
    return np.array_equal(spread(given_, seed).inks[order], spread(renumbered(given_, order, rng), seed).inks)


@settings(max_examples=10)
@given(st.integers(0, 10_000), st.integers(2, 60), st.sampled_from(["repeat", "sheet"]))
def test_a_plan_does_not_hang_on_the_numbers_of_the_nodes(seed: int, count: int, setting: str) -> None:
    assert the_same_by_numbers(rich_problem(seed, count, 5, setting, free=0.9), seed)


@pytest.mark.parametrize("kind", LAYOUTS)
@pytest.mark.parametrize("count", [20, 60, 200])
def test_a_plan_of_a_layout_does_not_hang_on_the_numbers_of_the_nodes(kind: str, count: int) -> None:
    assert the_same_by_numbers(bare(kind, count, 5, 5000), 3)


@pytest.mark.parametrize("sides", [(4, 4), (8, 5), (6, 12)])
def test_nor_does_a_plan_of_a_lattice_with_two_sizes(sides: tuple[int, int]) -> None:
    """Many plans are as good here, so that the last bit of a sum could decide."""
    graph = nx.convert_node_labels_to_integers(nx.grid_2d_graph(*sides, periodic=True))
    n = graph.number_of_nodes()
    row, column = np.divmod(np.arange(n), sides[1])
    plain = of_graph(graph, 3)
    place = np.column_stack((column, row)) * 7.3
    areas = np.where((row + column) % 2, 0.1, 0.7)
    given_ = replace(plain, place=place, cell=(sides[1] * 7.3, sides[0] * 7.3), area=areas)
    assert all(the_same_by_numbers(given_, seed) for seed in range(3))


def test_a_large_plan_does_not_hang_on_the_numbers_of_the_nodes(monkeypatch: pytest.MonkeyPatch) -> None:
    keep_sparse(monkeypatch)
    assert the_same_by_numbers(bare("jittered", 200, 4, 5000), 1)


def test_a_plan_is_the_same_in_another_process() -> None:
    script = (
        "from problems import random_problem; from bench.layouts import bare; from mockup.colouring.spread import spread;"
        "made = [random_problem(9, 30, 5), bare('tossed', 70, 4, 5000)];"
        "print([spread(own, 3).inks.tolist() for own in made])"
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
    here = [spread(own, 3).inks.tolist() for own in (random_problem(9, 30, 5), bare("tossed", 70, 4, 5000))]
    assert told[0] == told[1] == here


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("more", [1, 2])
@pytest.mark.parametrize(("degree", "count"), [(3, 20), (4, 45), (6, 90)])
def test_with_more_inks_than_neighbours_the_counts_are_equal_within_one(
    seed: int, more: int, degree: int, count: int
) -> None:
    """Hajnal and Szemeredi 1970: there is such a colouring from one ink more than the largest degree."""
    graph = nx.random_regular_graph(degree, count, seed=seed)
    given_ = of_graph(graph, degree + more)
    found = spread(given_, seed + 1)
    counts = np.bincount(found.inks, minlength=degree + more)
    assert clashes(found.inks, given_) == 0
    assert counts.max() - counts.min() <= 1


@pytest.mark.parametrize("kind", LAYOUTS)
@pytest.mark.parametrize("count", [24, 60, 120])
def test_with_more_inks_than_any_cell_has_neighbours_the_counts_are_equal_within_one(
    kind: str, count: int
) -> None:
    """Hajnal and Szemeredi 1970 again."""
    layout = bare(kind, count, 2, 5000, equal=True)
    degree = max(len(own) for own in layout.neighbours())
    for inks in (degree + 1, degree + 3):
        given_ = bare(kind, count, inks, 5000, equal=True)
        found = spread(given_, 1)
        counts = np.bincount(found.inks, minlength=inks)
        assert found.contact == 0
        assert counts.max() - counts.min() <= 1


GRAPHS: dict[str, Callable[[], nx.Graph]] = {
    "K_{3,3}": lambda: nx.complete_bipartite_graph(3, 3),
    "K_{5,5}": lambda: nx.complete_bipartite_graph(5, 5),
    "K_{2,4}": lambda: nx.complete_bipartite_graph(2, 4),
    "star K_{1,6}": lambda: nx.star_graph(6),
    "star K_{1,5}": lambda: nx.star_graph(5),
    "C5": lambda: nx.cycle_graph(5),
    "petersen": nx.petersen_graph,
    "K7 (torus)": lambda: nx.complete_graph(7),
    "square torus 4x4": lambda: nx.grid_2d_graph(4, 4, periodic=True),
    "octahedron K_{2,2,2}": nx.octahedral_graph,
    "K_{3,3} + K_{3,3}": lambda: nx.disjoint_union(
        nx.complete_bipartite_graph(3, 3), nx.complete_bipartite_graph(3, 3)
    ),
    "W6 (5-rim wheel)": lambda: nx.wheel_graph(6),
}


def equitable() -> list[tuple[str, int, bool]]:
    rows = EXAMPLES["equitable"]["examples"]
    return [(row["graph"], int(k), yes) for row in rows for k, yes in row["equitable_k"].items()]


def test_the_published_examples_are_all_there() -> None:
    rows = EXAMPLES["equitable"]["examples"]
    assert {row["graph"] for row in rows} == GRAPHS.keys()
    for row in rows:
        graph = GRAPHS[row["graph"]]()
        assert graph.number_of_nodes() == row["n"]
        assert max(degree for _, degree in graph.degree) == row["max_degree"]


@pytest.mark.parametrize(("name", "inks", "can"), equitable())
def test_published_equitable_colourings(name: str, inks: int, can: bool) -> None:
    graph = nx.convert_node_labels_to_integers(GRAPHS[name]())
    given_ = of_graph(graph, inks)
    for own in (given_, replace(given_, place=np.zeros((given_.count, 2)))):
        found = spread(own, 1)
        counts = np.bincount(found.inks, minlength=inks)
        reached = clashes(found.inks, given_) == 0 and counts.max() - counts.min() <= 1
        assert reached == can


def test_the_published_repeat_of_seven_cells_needs_seven_inks() -> None:
    """Seven congruent cells on the torus of which each meets each."""
    seeds = EXAMPLES["square_torus_voronoi"]["seeds"]
    place = np.array([[float(Fraction(own)) for own in seed] for seed in seeds])
    a, b, border = borders(place, (1.0, 1.0))
    assert len(a) == EXAMPLES["square_torus_voronoi"]["adjacent_pairs"] == EXAMPLES["k7"]["edges"]
    assert border.min() == pytest.approx(EXAMPLES["square_torus_voronoi"]["shortest_shared_edge"], abs=1e-8)
    for inks in range(3, 9):
        given_ = Problem(
            np.ones(7),
            place,
            (1.0, 1.0),
            a,
            b,
            border,
            np.ones((7, inks), dtype=bool),
            np.full(inks, 1 / inks),
        )
        found = spread(given_, 1)
        # seven nodes that all meet: the fewest contacts are those of parts as equal as can be (Turan)
        sizes = np.bincount(np.arange(7) % inks)
        assert clashes(found.inks, given_) == sum(math.comb(int(size), 2) for size in sizes)
        assert (found.contact == 0) == (inks >= EXAMPLES["heawood_number_by_genus"]["1"])


def test_the_published_triangles_are_the_graph_of_seven() -> None:
    edges = {
        tuple(sorted(pair)) for own in EXAMPLES["k7"]["triangles"] for pair in itertools.combinations(own, 2)
    }
    given_ = problem(7, [(int(a), int(b)) for a, b in edges], 6)
    answer = proper(given_)
    assert len(edges) == 21
    assert answer.sure
    assert answer.inks is None


def test_shares_reach_uneven_targets() -> None:
    target = [0.3, 0.3, 0.2, 0.1, 0.1]
    graph = nx.convert_node_labels_to_integers(nx.grid_2d_graph(10, 10, periodic=True))
    pairs = [(int(a), int(b)) for a, b in graph.edges]
    given_ = problem(100, pairs, 5, target=target)
    found = spread(given_)
    assert found.contact == 0
    assert given_.shares(found.inks) == pytest.approx(target, abs=1e-9)


def test_doubtful_pairs_are_kept_apart_where_that_is_free() -> None:
    plain = problem(6, [(0, 1), (2, 3), (4, 5)], 3)
    more = Pairs(np.array([0, 1, 2]), np.array([2, 4, 5]), np.ones(3))
    found = spread(replace(plain, doubtful=more))
    assert found.contact == 0
    assert not (found.inks[more.a] == found.inks[more.b]).any()


def test_doubtful_pairs_of_a_larger_layout_are_kept_apart_where_that_is_free() -> None:
    layout = bare("tossed", 120, 6, 5000)
    long = layout.border >= np.percentile(layout.border, 15)
    more = Pairs(layout.a[~long], layout.b[~long], layout.border[~long])
    given_ = replace(layout, a=layout.a[long], b=layout.b[long], border=layout.border[long], doubtful=more)
    found = spread(given_)
    assert found.contact == 0
    assert (found.inks[more.a] == found.inks[more.b]).sum() <= 2
    bold = spread(replace(given_, doubtful=NO_PAIRS))
    assert (bold.inks[more.a] == bold.inks[more.b]).sum() > 5


def test_inks_that_look_alike_face_less() -> None:
    layout = bare("jittered", 100, 5, 5000)
    alike = np.zeros((5, 5))
    alike[0, 1] = alike[1, 0] = 1.0

    def meeting(inks: np.ndarray) -> float:
        ends = np.sort(np.column_stack((inks[layout.a], inks[layout.b])), axis=1)
        return float(layout.border[(ends == (0, 1)).all(axis=1)].sum())

    assert meeting(spread(replace(layout, alike=alike)).inks) < 0.8 * meeting(spread(layout).inks)


def test_leanings_are_followed_where_they_are_strong() -> None:
    layout = bare("tossed", 100, 5, 5000)
    leaning = np.zeros((100, 5))
    leaning[:20, 0] = 3.0
    least, plain = spread(replace(layout, leaning=leaning)), spread(layout)
    assert least.contact == 0
    assert (least.inks[:20] == 0).sum() < (plain.inks[:20] == 0).sum()


@settings(max_examples=20)
@given(st.integers(0, 10_000), st.integers(30, 70))
def test_a_known_plan_is_a_start_that_never_gets_contact(seed: int, count: int) -> None:
    given_ = random_problem(seed, count, 4, dense=3 / count)
    known = proper(given_).inks
    if known is None:
        return
    found = spread(given_, 1, 1, known)
    assert found.contact == 0
    energy = Energy(given_)
    assert found.energy <= energy.total(energy.groups(known)) + 1e-6


@pytest.mark.parametrize("count", [1, 2, 3, 30])
@pytest.mark.parametrize("inks", [1, 2, 3])
@pytest.mark.parametrize("setting", SETTINGS)
@pytest.mark.parametrize("area", [0.0, 1.0])
def test_the_smallest_problems(count: int, inks: int, setting: str, area: float) -> None:
    """Up to three nodes that all face each other, no area, one ink, all at one place."""
    given_ = problem(count, itertools.combinations(range(min(count, 3)), 2), inks, area=[area] * count)
    given_ = replace(
        given_,
        cell=given_.cell if setting == "repeat" else None,
        place=given_.place * (setting != "nowhere"),
    )
    found = spread(given_)
    needed = {(3, 1): 3, (2, 1): 1, (3, 2): 1}.get((min(count, 3), inks), 0)
    assert clashes(found.inks, given_) == needed
    assert math.isfinite(found.energy)
    if area:
        counts = np.bincount(found.inks, minlength=inks)
        assert counts.max() - counts.min() <= 1


def test_a_layout_of_which_nothing_is_seen_is_inked_all_the_same() -> None:
    found = spread(replace(bare("tossed", 60, 4, 5000), area=np.zeros(60)))
    assert found.contact == 0


def test_a_single_sheet_is_spread_as_a_repeat_is() -> None:
    for kind in ("tossed", "jittered"):
        layout = bare(kind, 150, 5, 5000)
        assert layout.cell is not None
        # the pairs over the seam fall away
        step = np.abs(layout.place[layout.a] - layout.place[layout.b])
        inner = (step < np.array(layout.cell) / 2).all(axis=1)
        sheet = replace(layout, cell=None, a=layout.a[inner], b=layout.b[inner], border=layout.border[inner])
        found = spread(sheet)
        energy = Energy(sheet)
        rng = np.random.default_rng(1)
        by_chance = [rng.permutation(found.inks) for _ in range(20)]
        crowding = replace(sheet, a=sheet.a[:0], b=sheet.b[:0], border=sheet.border[:0])
        free = Energy(crowding)
        assert energy.contacts(energy.groups(found.inks))[0] == 0
        assert sheet.share_error(found.inks) < 0.002
        assert free.total(free.groups(found.inks)) < min(free.total(free.groups(inks)) for inks in by_chance)


def test_a_single_row_of_nodes_takes_its_inks_in_turn() -> None:
    row = problem(30, [(node, node + 1) for node in range(29)], 3)
    given_ = replace(row, cell=None, place=np.column_stack((np.arange(30) * 10.0, np.zeros(30))))
    found = spread(given_).inks
    assert all(len(set(found[node : node + 3].tolist())) == 3 for node in range(28))


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


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"a": np.array([1]), "b": np.array([0])}, "a pair a < b expected"),
        ({"tied": np.array([0])}, "2 ties expected"),
        ({"alike": np.zeros((3, 3))}, "likeness of 2 x 2 inks expected"),
        ({"leaning": np.zeros((2, 3))}, "leaning of 2 nodes and 2 inks expected"),
    ],
)
def test_so_is_the_rest(change: dict[str, Any], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        replace(problem(2, [(0, 1)], 2), **change)


def test_even_areas_on_a_wrapped_grid_lie_far_more_evenly_than_chance() -> None:
    graph = nx.convert_node_labels_to_integers(nx.grid_2d_graph(12, 12, periodic=True))
    given_ = of_graph(graph, 4)
    energy = Energy(given_)
    found = spread(given_)
    rng = np.random.default_rng(0)
    chance = np.mean([energy.total(rng.permutation(energy.groups(found.inks))) for _ in range(20)])
    assert found.contact == 0
    assert math.isclose(given_.share_error(found.inks), 0, abs_tol=1e-9)
    assert found.energy < chance
