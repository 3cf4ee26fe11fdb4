"""Who faces whom: the rule, its indifference to origin and order, and lifting to rectangles of tiles."""

import itertools
from fractions import Fraction

import networkx as nx
import numpy as np
import pytest
from builders import LATTICES, disc, square

from mockup.colouring.facing import Facing, default_reach, facing, lifted
from mockup.geometry import shapes
from mockup.geometry.affine import rotation, translation
from mockup.geometry.lattice import Lattice
from mockup.geometry.shapes import Shape
from mockup.geometry.territories import territories

BLOBS = [
    disc(8, 8, 4),
    disc(22, 6, 3, 5),
    disc(33, 14, 5),
    square(5, 18, 7),
    disc(20, 20, 4, 7),
    disc(30, 25, 2),
]


def graph_of(own: list[Shape], lattice: Lattice, reach: float = 99.0) -> Facing:
    window = (0.0, 0.0, lattice.width, lattice.height)
    return facing(territories(own, window, lattice), reach)


def edges(graph: Facing, least: float = 0.0) -> dict[tuple[int, int], float]:
    """Length by pair, of the pairs that face each other and share at least so much."""
    keep = graph.faces & (graph.share >= least)
    return dict(
        zip(
            zip(graph.a[keep].tolist(), graph.b[keep].tolist(), strict=True),
            graph.length[keep].tolist(),
            strict=True,
        )
    )


def same(one: Facing, other: Facing) -> None:
    """Both have the same clear edges, of nearly the same length."""
    for first, second in ((one, other), (other, one)):
        faint, clear = edges(second, 0.079), edges(first, 0.081)
        assert clear.keys() <= faint.keys()
        for pair, length in clear.items():
            assert faint[pair] == pytest.approx(length, rel=2e-3, abs=0.02)


@pytest.mark.parametrize("lattice", LATTICES, ids=str)
@pytest.mark.parametrize("away", [(3.3, 17.9), (-51.7, 8.25)])
def test_the_tile_may_begin_anywhere(lattice: Lattice, away: tuple[float, float]) -> None:
    moved = [shapes.moved(shape, translation(*away)) for shape in BLOBS]
    same(graph_of(BLOBS, lattice), graph_of(moved, lattice))


@pytest.mark.parametrize("lattice", LATTICES, ids=str)
def test_a_half_turn_of_the_tile_changes_nothing(lattice: Lattice) -> None:
    turned = [shapes.moved(shape, rotation(180)) for shape in BLOBS]
    same(graph_of(BLOBS, lattice), graph_of(turned, lattice))


def test_the_order_of_the_nodes_is_only_their_numbers() -> None:
    lattice = LATTICES[1]
    order = [4, 2, 5, 0, 3, 1]
    first, second = graph_of(BLOBS, lattice), graph_of([BLOBS[old] for old in order], lattice)
    renamed = {tuple(sorted((order[a], order[b]))): length for (a, b), length in edges(second, 0.0).items()}
    assert renamed == pytest.approx(edges(first, 0.0))


def test_corners_do_not_face() -> None:
    lattice = Lattice(40, 40)
    board = [square(10 * x, 10 * y, 10) for y in range(4) for x in range(4)]
    graph = graph_of(board, lattice)
    degree = np.bincount(np.concatenate((graph.a[graph.faces], graph.b[graph.faces])), minlength=16)
    assert set(degree.tolist()) == {4}
    assert not (graph.avoided & ~graph.faces).any()


def test_a_lone_motif_faces_its_own_copies() -> None:
    graph = graph_of([disc(20, 15, 5)], Lattice(40, 30))
    assert graph.own_copies.tolist() == [0]
    assert len(graph.edges()[0]) == 0


@pytest.mark.parametrize(("tiles", "own"), [((1, 1), True), ((2, 1), True), ((1, 2), True), ((2, 2), False)])
def test_only_a_larger_rectangle_cures_a_motif_that_faces_itself(tiles: tuple[int, int], own: bool) -> None:
    lattice = Lattice(30, 30)
    borders = territories([disc(15, 15, 5)], (0, 0, 30, 30), lattice)
    assert bool(len(lifted(borders, lattice, *tiles, 99.0).own_copies)) is own


@pytest.mark.parametrize("lattice", LATTICES, ids=str)
@pytest.mark.parametrize("times", [(1, 1), (2, 1), (1, 2), (2, 2)])
def test_lifting_is_the_same_as_laying_out_the_tiles(lattice: Lattice, times: tuple[int, int]) -> None:
    across, down = (unit * count for unit, count in zip(lattice.multiples, times, strict=True))
    quick = lifted(territories(BLOBS, (0, 0, 40, 30), lattice), lattice, across, down, 13.0)
    laid = []
    for j, i in itertools.product(range(down), range(across)):
        x, y = lattice.shift(i, j)
        step = translation(x % (40 * across), y % (30 * down))
        laid += [shapes.moved(shape, step) for shape in BLOBS]
    same(quick, graph_of(laid, Lattice(40 * across, 30 * down), 13.0))


def test_reach_hides_what_is_far() -> None:
    borders = territories([disc(8, 15, 3), disc(20, 15, 3), disc(34, 15, 3)], (0, 0, 40, 30), None)
    assert edges(facing(borders, 99.0)).keys() == {(0, 1), (1, 2)}
    assert edges(facing(borders, 7.0)).keys() == {(0, 1)}
    assert edges(facing(borders, 5.0)).keys() == set()


def test_a_seed_faces_its_husk_and_nothing_beyond() -> None:
    husk = shapes.difference(disc(20, 15, 10), disc(20, 15, 6))
    graph = facing(territories([husk, disc(20, 15, 3), disc(34, 15, 3)], (0, 0, 40, 30), None), 99.0)
    assert edges(graph).keys() == {(0, 1), (0, 2)}


def test_a_node_of_several_regions_is_one_node() -> None:
    ends = shapes.union([square(2, 10, 8), square(30, 10, 8)])
    graph = facing(territories([ends, square(12, 10, 16)], (0, 0, 40, 30), None), 99.0)
    assert edges(graph).keys() == {(0, 1)}
    assert graph.share.tolist() == pytest.approx([1.0])


def test_the_edge_of_a_sheet_is_no_border() -> None:
    borders = territories([square(5, 5, 10), square(25, 5, 10)], (0, 0, 40, 30), None)
    graph = facing(borders, 99.0)
    assert graph.share.tolist() == pytest.approx([1.0])
    assert graph.length.tolist() == pytest.approx([30], rel=1e-3)


def test_a_stripe_is_one_region_in_its_own_tile_and_faces_itself_in_further_tiles() -> None:
    lattice = Lattice(40, 30)
    stripe, spot = shapes.rectangle(0, 10, 40, 16), disc(20, 25, 3)
    borders = territories([stripe, spot], (0, 0, 40, 30), lattice)
    alone = lifted(borders, lattice, 1, 1, 99.0)
    # what is left of its own border is the one across the spot's row, not the one where it runs on
    assert alone.gap[(alone.a == 0) & (alone.b == 0)].min() > 20
    twice = lifted(borders, lattice, 2, 1, 99.0)
    # node 0 of the first tile and node 2 of the second are two nodes that touch
    assert twice.gap[(twice.a == 0) & (twice.b == 2)].tolist() == [0.0]


def test_a_sheet_wide_stripe_of_great_height_faces_its_further_copy() -> None:
    lattice = Lattice(20, 30)
    borders = territories([shapes.rectangle(0, 4, 20, 26)], (0, 0, 20, 30), lattice)
    assert (0, 1) in edges(lifted(borders, lattice, 2, 1, 99.0))
    assert lifted(borders, lattice, 2, 1, 99.0).own_copies.tolist() == [0, 1]


def test_grids_of_discs_are_the_square_and_the_triangular_lattice() -> None:
    square_grid = [disc(10 * x + 5, 10 * y + 5, 3) for y in range(4) for x in range(4)]
    graph = nx.Graph(list(edges(graph_of(square_grid, Lattice(40, 40)))))
    assert nx.is_isomorphic(graph, nx.grid_2d_graph(4, 4, periodic=True))
    rows = 30 * 3**0.5 / 6
    triangles = [disc(10 * x + 5 + 5 * (y % 2), rows * (y + 0.5), 3, 48) for y in range(6) for x in range(3)]
    degree = nx.Graph(list(edges(graph_of(triangles, Lattice(30, 6 * rows))))).degree
    assert {count for _, count in degree} == {6}


def test_half_drop_of_one_disc_is_triangular() -> None:
    lattice = Lattice(20, 20, drop=Fraction(1, 2))
    borders = territories([disc(10, 10, 4, 48)], (0, 0, 20, 20), lattice)
    graph = nx.Graph(list(edges(lifted(borders, lattice, 4, 4, 99.0))))
    assert {count for _, count in graph.degree} == {6}


def test_what_lies_beyond_the_tip_of_two_halves_is_avoided_by_both() -> None:
    # two needles side by side that end in one point: only the lower one's continuation meets the spot
    upper = shapes.polygon(np.array([[4.0, 15.0], [20.0, 15.0], [4.0, 14.0]]))
    lower = shapes.polygon(np.array([[4.0, 15.0], [20.0, 15.0], [4.0, 16.0]]))
    spot = disc(32, 24, 3)
    graph = facing(territories([upper, lower, spot], (0, 0, 40, 30), None), 99.0)
    pairs = set(zip(graph.a[graph.avoided].tolist(), graph.b[graph.avoided].tolist(), strict=True))
    assert {(0, 1), (1, 2)} <= edges(graph).keys()
    assert pairs == {(0, 1), (1, 2), (0, 2)}


@pytest.mark.parametrize(
    ("filled", "faces", "avoided"), [(31.0, True, True), (32.0, False, True), (33.5, False, False)]
)
def test_who_shares_eight_hundredths_faces_and_who_shares_five_is_avoided(
    filled: float, faces: bool, avoided: bool
) -> None:
    # two bars see each other past the end of what is between them
    bars = [shapes.rectangle(0, 0, 40, 10), shapes.rectangle(0, 20, 40, 30)]
    middle = shapes.rectangle(0, 10, filled, 20)
    graph = facing(territories([*bars, middle], (0, 0, 40, 30), None), 99.0)
    row = (graph.a == 0) & (graph.b == 1)
    assert graph.share[row] == pytest.approx([(35 - filled) / (35 + 5 * 2**0.5)], rel=0.01)
    assert graph.faces[row].tolist() == [faces]
    assert graph.avoided[row].tolist() == [avoided]


@pytest.mark.parametrize(("area", "motifs", "wanted"), [(900.0, 1, 30.0), (900.0, 4, 15.0), (900.0, 0, 30.0)])
def test_the_usual_reach_is_the_mean_spacing(area: float, motifs: int, wanted: float) -> None:
    assert default_reach(area, motifs) == pytest.approx(wanted)
