"""Visible regions: nothing lost, nothing twice, and the stacking order obeyed, round the seam too."""

import itertools
from fractions import Fraction

import numpy as np
import pytest
from builders import LATTICES, disc, layout, motif, square, tile_of
from hypothesis import given, settings
from hypothesis import strategies as st

from mockup.geometry import shapes
from mockup.geometry.affine import IDENTITY, translation
from mockup.geometry.ground import on_ground
from mockup.geometry.lattice import Lattice
from mockup.geometry.shapes import Shape
from mockup.pattern.field import cut, origin
from mockup.pattern.motif import LineWork, Motif, Part
from mockup.pattern.regions import SLIVER, UNDERLAP, Tile, visible

AROUND = list(itertools.product(range(-4, 5), repeat=2))


def wrapped(own: list[Shape], lattice: Lattice) -> Shape:
    """What the shapes and all their copies cover of the rectangle from (0, 0) to (w, h)."""
    window = shapes.rectangle(0, 0, lattice.width, lattice.height)
    moved = [shapes.moved(shape, translation(*lattice.shift(i, j))) for i, j in AROUND for shape in own]
    return shapes.intersection(shapes.union(moved), window)


BLOB = st.builds(disc, st.floats(0, 40), st.floats(0, 30), st.floats(2, 15), st.integers(3, 12))


@settings(max_examples=25)
@given(st.sampled_from(LATTICES), st.lists(BLOB, min_size=1, max_size=5))
def test_what_is_seen_is_what_is_covered_and_nothing_is_seen_twice(
    lattice: Lattice, own: list[Shape]
) -> None:
    tile = tile_of(lattice, *own)
    covered = shapes.area(wrapped(own, lattice))
    seen = [node.seen for node in tile.nodes]
    assert sum(map(shapes.area, seen)) == pytest.approx(covered, rel=1e-3, abs=SLIVER * 8)
    assert shapes.area(wrapped(seen, lattice)) == pytest.approx(sum(map(shapes.area, seen)), rel=1e-3)


@settings(max_examples=25)
@given(st.sampled_from(LATTICES), st.lists(BLOB, min_size=1, max_size=4))
def test_every_point_belongs_to_what_lies_on_top_of_it(lattice: Lattice, own: list[Shape]) -> None:
    tile = tile_of(lattice, *own)
    rng = np.random.default_rng(3)
    for x, y in rng.random((25, 2)) * (lattice.width, lattice.height):
        here = []
        for number, shape in enumerate(own):
            for i, j in AROUND:
                right, down = lattice.shift(i, j)
                if shapes.covers_point(shape, x - right, y - down):
                    here.append((number, round(down, 6), round(right, 6)))
        shown = []
        for node in tile.nodes:
            for i, j in AROUND:
                right, down = lattice.shift(i, j)
                if shapes.covers_point(node.seen, x - right, y - down):
                    shown.append((node.place, round(down, 6), round(right, 6)))
        # later places on top, of the copies of one motif the lower; what is seen of the top one is all there is
        if shown and here:
            assert max(here) in shown
        if not here:
            assert shown == []


def test_later_elements_lie_on_top() -> None:
    both = motif(square(0, 0, 10), square(5, 5, 10))
    tile = visible(layout(Lattice(40, 40), [(both, IDENTITY)]))
    assert [shapes.area(node.seen) for node in tile.nodes] == pytest.approx([75, 100])


def test_later_places_lie_on_top_even_of_copies() -> None:
    tile = tile_of(Lattice(20, 20), square(12, 5, 10), square(0, 5, 10))
    assert [shapes.area(node.seen) for node in tile.nodes] == pytest.approx([80, 100])


@pytest.mark.parametrize(
    ("lattice", "own", "wanted"),
    [
        (Lattice(20, 20), shapes.rectangle(5, 0, 15, 25), (5, 0, 15, 20)),
        (Lattice(20, 20), shapes.rectangle(0, 5, 25, 15), (0, 5, 20, 15)),
        # with a drop of 2/3 the copy one column on and one row up lies 1/3 higher, and below
        (Lattice(20, 30, drop=Fraction(2, 3)), shapes.rectangle(0, 5, 25, 12), (0, 5, 25, 12)),
    ],
)
def test_of_the_copies_of_one_motif_the_lower_lies_on_top(
    lattice: Lattice, own: Shape, wanted: tuple[float, float, float, float]
) -> None:
    (node,) = tile_of(lattice, own).nodes
    assert shapes.box_of([node.seen]) == pytest.approx(wanted)


def drawn_below(tile: Tile, number: int) -> Shape:
    """What the later regions of the tile, and lower copies, paint over a region."""
    later = [region.drawn for region in tile.regions[number + 1 :]]
    every = [region.drawn for region in tile.regions]
    lattice = tile.lattice
    found = [shapes.moved(shape, translation(*lattice.shift(i, j))) for i, j in AROUND for shape in later]
    found += [
        shapes.moved(shape, translation(*lattice.shift(i, j)))
        for i, j in AROUND
        if lattice.stacking(i, j) > lattice.stacking(0, 0)
        for shape in every
    ]
    return shapes.union(found)


@settings(max_examples=15)
@given(st.sampled_from(LATTICES), st.lists(BLOB, min_size=2, max_size=4))
def test_what_is_painted_covers_what_is_seen_and_hides_what_it_exceeds(
    lattice: Lattice, own: list[Shape]
) -> None:
    tile = tile_of(lattice, *own)
    for number, region in enumerate(tile.regions):
        assert shapes.area(shapes.difference(region.seen, region.drawn)) == pytest.approx(0, abs=1e-3)
        beyond = shapes.difference(region.drawn, own[region.place])
        assert shapes.area(shapes.difference(beyond, drawn_below(tile, number))) == pytest.approx(0, abs=2e-2)
        assert (
            shapes.area(shapes.difference(region.drawn, shapes.grown(own[region.place], UNDERLAP + 1e-3)))
            < 1e-3
        )


def test_parts_of_a_group_are_one_node_and_hidden_ones_none() -> None:
    petals = motif(square(0, 0, 4), square(10, 0, 4), square(10, 0, 4), groups=("petal", "petal", "top"))
    tile = visible(layout(Lattice(40, 40), [(petals, IDENTITY)]))
    assert [node.label for node in tile.nodes] == ["spot-1/petal", "spot-1/top"]
    assert [shapes.area(node.seen) for node in tile.nodes] == pytest.approx([16, 16])


def test_slivers_are_no_regions() -> None:
    tile = tile_of(Lattice(40, 40), square(0, 0, 10), shapes.rectangle(-1, -1, 12, 9.999))
    assert [node.label for node in tile.nodes] == ["spot-2/p0"]


def test_lines_are_hidden_by_what_lies_on_them() -> None:
    line = LineWork((np.array([[0.0, 5.0], [20.0, 5.0]]),), (False,), 0.4, "#000")
    parts = motif(square(0, 0, 10)).parts
    drawn = Motif("lined", 10, 10, (*parts, line, Part("q", "q", square(5, 0, 10), "", "")), ())
    tile = visible(layout(Lattice(40, 40), [(drawn, IDENTITY)]))
    found = sorted(tuple(map(tuple, line)) for drawn_line in tile.lines for line in drawn_line.lines)
    assert found == [((0.0, 5.0), (5.0, 5.0)), ((15.0, 5.0), (20.0, 5.0))]


@pytest.mark.parametrize("lattice", [Lattice(40, 30), Lattice(40, 30, drop=Fraction(1, 2))], ids=str)
def test_a_drawing_that_fills_its_tile_touches_no_ground(lattice: Lattice) -> None:
    board = [shapes.rectangle(10 * x, 15 * y, 10 * x + 10, 15 * y + 15) for x in range(4) for y in range(2)]
    assert not on_ground(board, lattice).any()
    # what lies above the hole lies below it, too
    assert on_ground(board[1:], lattice).sum() == 3


def test_the_edge_of_a_sheet_is_no_ground() -> None:
    field = (0.0, 0.0, 20.0, 10.0)
    halves = [shapes.rectangle(0, 0, 10, 10), shapes.rectangle(10, 0, 20, 10)]
    assert not on_ground(halves, None, field).any()
    assert not on_ground([shapes.rectangle(0, 0, 20, 10)], None, field).any()
    assert on_ground([square(3, 3, 4)], None, field).all()
    assert on_ground([], None, field).shape == (0,)


def test_a_seed_in_its_husk_touches_no_ground_unless_a_gap_shows() -> None:
    husk = shapes.difference(disc(20, 15, 10), disc(20, 15, 6))
    assert on_ground([husk, disc(20, 15, 6)], Lattice(40, 30)).tolist() == [True, False]
    assert on_ground([husk, disc(20, 15, 5.7)], Lattice(40, 30)).tolist() == [True, True]


@settings(max_examples=15)
@given(
    st.sampled_from(LATTICES),
    st.integers(30, 90),
    st.integers(30, 90),
    st.lists(BLOB, min_size=1, max_size=3),
)
def test_a_field_shows_the_pattern_cut_at_its_edge(
    lattice: Lattice, width: int, height: int, own: list[Shape]
) -> None:
    tile = tile_of(lattice, *own)
    nodes = cut(tile, width, height)
    x, y = origin(tile, width, height)
    frame = shapes.rectangle(0, 0, width, height)
    steps = [lattice.shift(i, j) for i, j in itertools.product(range(-5, 6), repeat=2)]
    whole = [
        shapes.moved(node.seen, translation(x + right, y + down))
        for right, down in steps
        for node in tile.nodes
    ]
    wanted = shapes.area(shapes.intersection(shapes.union(whole), frame))
    assert sum(shapes.area(node.seen) for node in nodes) == pytest.approx(wanted, rel=1e-3, abs=SLIVER * 20)
    box = shapes.box_of([node.seen for node in nodes]) if nodes else (0, 0, 0, 0)
    assert min(box[:2]) >= -1e-4
    assert box[2] <= width + 1e-4
    assert box[3] <= height + 1e-4


def test_a_drawing_that_does_not_repeat_is_there_once() -> None:
    tile = tile_of(Lattice(40, 30), square(5, 5, 10))
    assert [(n.i, n.j) for n in cut(tile, 40, 30, repeats=False)] == [(0, 0)]
