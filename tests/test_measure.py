"""The figures of a plan, against a double sum, closed forms and colourings by chance."""

import itertools
import math

import numpy as np
import pytest
from builders import disc, square
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from mockup.colouring.facing import Facing, facing
from mockup.colouring.measure import Figures, Nodes, lump_field, lump_ratio, measure
from mockup.geometry.territories import territories

Floats = NDArray[np.float64]


def nodes_of(seed: int, count: int, cell: tuple[float, float] = (60.0, 40.0), wraps: bool = True) -> Nodes:
    rng = np.random.default_rng(seed)
    return Nodes(rng.lognormal(0, 0.5, count), rng.random((count, 2)) * cell, cell, wraps)


def summed(nodes: Nodes, inks: NDArray[np.int64], target: Floats, blur: float, spots: Floats) -> Floats:
    """Lump field at some points (k, points), added up node by node and copy by copy."""
    spacing = math.sqrt(nodes.cell[0] * nodes.cell[1] / len(nodes.area))
    width = blur * spacing
    reach = [math.ceil(6 * width / side) for side in nodes.cell]
    steps = itertools.product(range(-reach[0], reach[0] + 1), range(-reach[1], reach[1] + 1))
    near = np.zeros((len(spots), len(nodes.area)))
    for i, j in steps:
        away = spots[:, None, :] - nodes.place[None] - np.array([i, j]) * nodes.cell
        near += np.exp(-(away**2).sum(axis=2) / (2 * width**2)) / (2 * math.pi * width**2)
    weight = near * nodes.area
    excess = [
        weight[:, inks == ink].sum(axis=1) - share * weight.sum(axis=1) for ink, share in enumerate(target)
    ]
    return np.asarray(np.array(excess) / (nodes.area.sum() / (nodes.cell[0] * nodes.cell[1])))


@settings(max_examples=20)
@given(st.integers(0, 1000), st.integers(3, 60), st.sampled_from([1.5, 2.0]))
def test_the_lump_field_is_the_sum_over_all_copies(seed: int, count: int, blur: float) -> None:
    nodes = nodes_of(seed, count)
    inks = np.random.default_rng(seed).integers(0, 4, count)
    target = np.array([0.4, 0.3, 0.2, 0.1])
    field, (right, down) = lump_field(nodes, inks, target, blur)
    spots = [(3, 2), (0, 0), (7, 11), (12, 5)]
    points = np.array([(x * right, y * down) for x, y in spots])
    found = np.array([field[:, y, x] for x, y in spots]).T
    assert found == pytest.approx(summed(nodes, inks, target, blur, points), abs=0.03)


def test_where_the_excess_goes_is_where_the_ink_is() -> None:
    place = np.array([(x + 0.5, y + 0.5) for y in range(8) for x in range(8)]) * 5
    nodes = Nodes(np.ones(64), place, (40.0, 40.0), True)
    inks = ((place[:, 0] - 12.5) ** 2 + (place[:, 1] - 27.5) ** 2 > 90).astype(np.int64)
    shares = np.bincount(inks) / 64
    figures = measured(nodes, inks, shares)
    assert figures.worst[0].ink == 0
    assert (figures.worst[0].x, figures.worst[0].y) == pytest.approx((12.5, 27.5), abs=2.6)


def measured(nodes: Nodes, inks: NDArray[np.int64], target: Floats) -> Figures:
    none, nil = np.zeros(0, dtype=np.int64), np.zeros(0)
    nobody = Facing(len(inks), none, none, nil, nil, nil, none > 0, none > 0, none > 0, 1.0)
    return measure(nodes, inks, target, nobody, np.zeros((len(target), len(target))))


@pytest.mark.parametrize("target", [(0.25,) * 4, (0.4, 0.3, 0.2, 0.1)])
def test_inks_placed_by_chance_read_one(target: tuple[float, ...]) -> None:
    rng, wanted = np.random.default_rng(5), np.array(target)
    read = []
    for seed in range(12):
        nodes = nodes_of(seed, 600)
        read.append(lump_ratio(nodes, rng.choice(4, 600, p=wanted), wanted))
    assert np.mean(read) == pytest.approx(1, abs=0.06)


def test_on_a_single_sheet_chance_reads_one_too() -> None:
    rng = np.random.default_rng(6)
    read = []
    for seed in range(8):
        nodes = nodes_of(seed, 300, wraps=False)
        inks = rng.permutation(np.arange(300) % 4)
        read.append(lump_ratio(nodes, inks, np.bincount(inks, nodes.area) / nodes.area.sum()))
    assert np.mean(read) == pytest.approx(1, abs=0.08)


def test_a_checkerboard_is_far_below_chance_and_halves_far_above() -> None:
    place = np.array([(x + 0.5, y + 0.5) for y in range(12) for x in range(12)])
    nodes = Nodes(np.ones(144), place, (12.0, 12.0), True)
    even, half = np.array([0.5, 0.5]), place[:, 0] < 6
    assert lump_ratio(nodes, (place.sum(axis=1) % 2).astype(np.int64), even) < 0.01
    assert lump_ratio(nodes, half.astype(np.int64), even) > 3


@settings(max_examples=20)
@given(st.integers(0, 1000), st.floats(-30, 90), st.floats(-30, 90))
def test_figures_do_not_hang_on_where_the_cell_begins(seed: int, x: float, y: float) -> None:
    nodes, inks = nodes_of(seed, 40), np.random.default_rng(seed).integers(0, 3, 40)
    moved = Nodes(nodes.area, nodes.place + np.array([x, y]), nodes.cell, True)
    target = np.full(3, 1 / 3)
    assert lump_ratio(moved, inks, target) == pytest.approx(lump_ratio(nodes, inks, target), rel=0.04)
    assert measured(moved, inks, target).lump_max == pytest.approx(
        measured(nodes, inks, target).lump_max, abs=0.03
    )


def test_the_worst_place_of_a_sheet_lies_on_the_sheet() -> None:
    nodes = nodes_of(3, 60, wraps=False)
    figures = measured(nodes, (nodes.place[:, 0] > 30).astype(np.int64), np.array([0.5, 0.5]))
    for lump in figures.worst:
        assert 0 <= lump.x <= 60
        assert 0 <= lump.y <= 40


def three() -> tuple[Facing, Nodes]:
    """Three squares in a row that touch, on a single sheet of 30 x 10 mm."""
    own = [square(0, 0, 10), square(10, 0, 10), square(20, 0, 10)]
    nodes = Nodes(np.full(3, 100.0), np.array([(5.0, 5.0), (15.0, 5.0), (25.0, 5.0)]), (30.0, 10.0), False)
    return facing(territories(own, (0, 0, 30, 10), None), 10.0), nodes


def test_conflicts_contact_and_shares() -> None:
    graph, nodes = three()
    figures = measure(
        nodes, np.array([0, 0, 1]), np.array([0.5, 0.5]), graph, np.array([[0, 30.0], [30.0, 0]])
    )
    assert (figures.conflicts, figures.own_copies, figures.wished) == (1, 0, 0)
    assert figures.contact == pytest.approx(0.5, rel=0.02)
    assert figures.shares == pytest.approx([2 / 3, 1 / 3])
    assert figures.share_error == pytest.approx(1 / 6)
    assert (figures.contrast_low, figures.contrast_mean) == pytest.approx((30, 30))


def test_wished_contact_is_no_conflict() -> None:
    graph, nodes = three()
    wished = (graph.a == 0) & (graph.b == 1)
    figures = measure(nodes, np.array([0, 0, 1]), np.array([0.5, 0.5]), graph, np.eye(2), wished)
    assert (figures.conflicts, figures.wished, figures.contact) == (0, 1, 0.0)


def test_contrast_is_weighted_by_border() -> None:
    own = [square(0, 0, 20), square(20, 0, 10), square(20, 10, 10)]
    graph = facing(territories(own, (0, 0, 30, 20), None), 10.0)
    nodes = Nodes(
        np.array([400.0, 100.0, 100.0]),
        np.array([(10.0, 10.0), (25.0, 5.0), (25.0, 15.0)]),
        (30.0, 20.0),
        False,
    )
    apart = np.array([[0, 10.0, 40.0], [10.0, 0, 25.0], [40.0, 25.0, 0]])
    figures = measure(nodes, np.array([0, 1, 2]), np.full(3, 1 / 3), graph, apart)
    assert figures.contrast_low == 10
    assert figures.contrast_mean == pytest.approx(25, abs=0.5)


def test_a_node_that_faces_its_own_copy_is_a_conflict() -> None:
    graph = Facing(
        1, np.array([0]), np.array([0]), np.array([9.0]), np.array([1.0]), np.array([0.5]),
        np.array([True]), np.array([False]), np.array([True]), 5.0,
    )  # fmt: skip
    nodes = Nodes(np.ones(1), np.zeros((1, 2)), (10.0, 10.0), True)
    figures = measure(nodes, np.array([0]), np.array([1.0]), graph, np.zeros((1, 1)))
    assert (figures.conflicts, figures.own_copies, figures.contact) == (1, 1, 1.0)
    assert math.isnan(figures.contrast_low)


def test_discs_alone_on_a_sheet_have_no_conflict() -> None:
    graph = facing(territories([disc(10, 10, 3)], (0, 0, 20, 20), None), 99.0)
    nodes = Nodes(np.ones(1), np.array([[10.0, 10.0]]), (20.0, 20.0), False)
    assert measure(nodes, np.array([0]), np.array([1.0]), graph, np.zeros((1, 1))).conflicts == 0
