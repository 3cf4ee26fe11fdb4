"""What a spread is compared with: lots that are fair, and a graph library that is helped where it can be."""

import networkx as nx
import numpy as np
import pytest
from builders import of_graph, problem

from mockup.colouring.problem import Problem
from mockup.colouring.rivals import STRATEGIES, by_chance, by_graph_library

TIED = np.array([0, 1, 0, 3, 4, 4, 6, 7, 8, 9, 10, 11])


def planar(seed: int, count: int = 60) -> nx.Graph:
    """Neighbours among points strewn in the plane."""
    from scipy.spatial import Delaunay

    corners = Delaunay(np.random.Generator(np.random.PCG64(seed)).random((count, 2))).simplices
    return nx.Graph([(int(a), int(b)) for corner in corners for a in corner for b in corner if a < b])


def with_bars(seed: int) -> Problem:
    """Nodes of many sizes of which half may not take the first ink, a few only the last."""
    rng = np.random.Generator(np.random.PCG64(seed))
    allowed = np.ones((80, 4), dtype=bool)
    allowed[:40, 0] = False
    allowed[70:, :3] = False
    pairs = [(n, n + 1) for n in range(79)]
    sizes = rng.uniform(0.2, 3.0, 80)
    return problem(80, pairs, 4, area=sizes.tolist(), allowed=allowed.tolist(), target=[0.2, 0.3, 0.2, 0.3])


def tied() -> Problem:
    """Twelve nodes in a ring, some of them tied, none of those neighbours."""
    from dataclasses import replace

    ring = of_graph(nx.cycle_graph(12), 4)
    return replace(ring, tied=np.where(np.arange(12) == 5, 5, TIED))


def test_lots_keep_to_what_a_node_may_take_and_reach_the_targets_in_the_long_run() -> None:
    given = with_bars(3)
    draws = [by_chance(given, seed) for seed in range(200)]
    for inks in draws:
        assert given.allowed[np.arange(80), inks].all()
    assert np.mean([given.shares(inks) for inks in draws], axis=0) == pytest.approx(given.target, abs=0.015)


def test_lots_differ_from_seed_to_seed_and_not_from_time_to_time() -> None:
    given = with_bars(5)
    assert (by_chance(given, 1) == by_chance(given, 1)).all()
    assert (by_chance(given, 1) != by_chance(given, 2)).any()


def test_lots_know_nothing_of_neighbours() -> None:
    """Of all pairs, one in k meets in one ink."""
    graph = planar(1, 200)
    given = of_graph(graph, 5)
    met = [
        float((inks[given.a] == inks[given.b]).mean()) for inks in (by_chance(given, n) for n in range(60))
    ]
    assert np.mean(met) == pytest.approx(1 / 5, abs=0.01)


@pytest.mark.parametrize("seed", range(4))
def test_the_library_keeps_neighbours_apart_in_its_own_classes(seed: int) -> None:
    graph = planar(seed)
    given = of_graph(graph, 6)
    plan = by_graph_library(given)
    assert given.contact(plan.inks) == 0.0
    own = nx.greedy_color(nx.Graph(sorted(graph.edges)), plan.strategy)
    assert plan.colours == len(set(plan.inks.tolist())) <= 6
    assert plan.strategy in STRATEGIES
    assert len(set(own.values())) <= 6
    assert (plan.lacking, plan.barred) == (0, 0)


def test_of_its_strategies_the_kindest_is_taken() -> None:
    given = of_graph(planar(9, 120), 5)
    best = by_graph_library(given)
    graph = nx.Graph()
    graph.add_nodes_from(range(given.count))
    graph.add_edges_from(zip(given.a.tolist(), given.b.tolist(), strict=True))
    tried = 0
    for strategy in STRATEGIES:
        found = nx.greedy_color(graph, strategy)
        shares = np.sort(np.bincount([found[n] for n in range(given.count)], minlength=5) / given.count)
        if len(shares) == 5:
            tried += 1
            assert given.share_error(best.inks) <= np.abs(shares - given.target).max() + 1e-12
    assert tried > 1


def test_its_largest_colour_gets_the_ink_with_the_largest_target() -> None:
    star = problem(7, [(0, n) for n in range(1, 7)], 3, target=[0.1, 0.2, 0.7])
    plan = by_graph_library(star)
    assert plan.inks.tolist() == [1] + [2] * 6


def test_barred_inks_are_kept_to_where_its_colours_allow_it() -> None:
    allowed = [[False, True, True], [True, False, False], [False, True, True], [True, False, False]]
    plan = by_graph_library(problem(4, [(0, 1), (1, 2), (2, 3)], 3, allowed=allowed, target=[0.1, 0.8, 0.1]))
    assert plan.inks.tolist() == [1, 0, 1, 0]
    assert plan.barred == 0
    mixed = [[False, True], [True, False], [True, True]]
    assert by_graph_library(problem(3, [(1, 2)], 2, allowed=mixed)).barred == 0
    same = [[True, False], [False, True], [True, False]]
    assert by_graph_library(
        problem(3, [(0, 1), (0, 2), (1, 2)], 3, allowed=[[*row, False] for row in same])
    ).barred


def test_what_it_needs_beyond_the_palette_is_told() -> None:
    six = of_graph(nx.complete_graph(6), 5)
    plan = by_graph_library(six)
    assert (plan.colours, plan.lacking) == (6, 1)
    assert six.contact(plan.inks) == pytest.approx(1.0)
    assert set(plan.inks.tolist()) == set(range(5))


def test_tied_nodes_take_one_ink_either_way() -> None:
    given = tied()
    assert given.tied is not None
    for inks in (by_chance(given, 4), by_graph_library(given).inks):
        for group in set(given.tied.tolist()):
            assert len(set(inks[given.tied == group].tolist())) == 1


def test_the_librarys_even_colouring_takes_no_palette() -> None:
    """It wants more inks than any node has neighbours."""
    graph = planar(2)
    most = max(dict(graph.degree).values())
    assert most > 7
    with pytest.raises(nx.NetworkXAlgorithmError):
        nx.equitable_color(graph, 7)
