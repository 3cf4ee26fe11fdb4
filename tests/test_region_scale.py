"""Visible regions of crowded sheets and of degenerate shapes: no area is lost, none is there twice."""

import itertools
from collections.abc import Sequence
from fractions import Fraction

import numpy as np
import pytest
import shapely
from bench.sheets import crowded
from builders import LATTICES, disc, layout, motif, square, tile_of
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from mockup.errors import DrawingError
from mockup.geometry import scanlines, shapes, stacking
from mockup.geometry.affine import IDENTITY, translation
from mockup.geometry.lattice import Lattice
from mockup.geometry.shapes import Shape
from mockup.pattern.motif import Part
from mockup.pattern.regions import SLIVER, Tile, visible
from mockup.pattern.repeat import Layout

STRAIGHT = Lattice(40, 30)


def copied(own: Sequence[Shape], lattice: Lattice) -> list[Shape]:
    """The shapes and all copies that reach into the rectangle from (0, 0) to (w, h)."""
    window = (0.0, 0.0, lattice.width, lattice.height)
    return [
        shapes.moved(shape, translation(*lattice.shift(*step)))
        for shape in own
        for step in lattice.copies(shapes.box_of([shape]), window)
    ]


def covered(own: Sequence[Shape], lattice: Lattice) -> float:
    """Area that shapes and their copies cover of one tile, by one union in floating point."""
    together = shapely.union_all(np.array(copied(own, lattice), dtype=object))
    return float(shapely.intersection(together, shapely.box(0, 0, lattice.width, lattice.height)).area)


def twice(own: Sequence[Shape], lattice: Lattice) -> float:
    """Area that two of the shapes or copies of them have in common, summed over the pairs."""
    every = np.array(copied(own, lattice), dtype=object)
    one, other = shapely.STRtree(every).query(every, predicate="intersects")
    kept = one < other
    return float(shapely.area(shapely.intersection(every[one[kept]], every[other[kept]])).sum())


def seen(tile: Tile) -> list[Shape]:
    return [region.seen for region in tile.regions]


def total(own: Sequence[Shape]) -> float:
    return float(sum(map(shapes.area, own)))


def forms(own: Layout) -> list[tuple[int, Shape]]:
    """Every part as it is drawn, in stacking order, and which motif it belongs to."""
    return [
        (place, shapes.moved(element.shape, placed.transform))
        for place, placed in enumerate(own.placed)
        for element in placed.motif.elements
        if isinstance(element, Part)
    ]


@pytest.fixture(scope="module", params=[Fraction(0), Fraction(1, 2)], ids=["straight", "half-drop"])
def sheet(request: pytest.FixtureRequest) -> tuple[Layout, Tile]:
    """A sheet with more than 1 500 visible regions where it is straight, a smaller one where it drops."""
    own = crowded(60 if request.param else 220, 5, drop=request.param)
    return own, visible(own)


def test_a_crowded_sheet_loses_no_area(sheet: tuple[Layout, Tile]) -> None:
    own, tile = sheet
    drawn = [form for _, form in forms(own)]
    assert len(tile.regions) > (400 if own.lattice.drop else 1500)
    assert total(drawn) > 1.3 * total(seen(tile))  # else hardly anything lies on anything
    assert total(seen(tile)) == pytest.approx(covered(drawn, own.lattice), rel=1e-3)
    assert twice(seen(tile), own.lattice) < 1e-4 * total(seen(tile))


def test_of_every_part_what_later_ones_leave_is_seen(sheet: tuple[Layout, Tile]) -> None:
    own, tile = sheet
    drawn = forms(own)
    found: dict[tuple[int, str], float] = {}
    for region in tile.regions:
        key = region.place, tile.nodes[region.node].label
        found[key] = found.get(key, 0.0) + shapes.area(region.seen)
    ahead = {(0, 0): 0} | {
        step: 1 if own.lattice.stacking(*step) > own.lattice.stacking(0, 0) else -1
        for step in itertools.product((-1, 0, 1), repeat=2)
        if step != (0, 0)
    }
    every = [(step, n) for step in ahead for n in range(len(drawn))]
    laid = [shapes.moved(drawn[n][1], translation(*own.lattice.shift(*step))) for step, n in every]
    tree = shapely.STRtree(laid)
    wanted: dict[tuple[int, str], float] = {}
    labels = [
        f"{placed.name}/{element.group}"
        for placed in own.placed
        for element in placed.motif.elements
        if isinstance(element, Part)
    ]
    for number in np.random.default_rng(3).choice(len(drawn), 120, replace=False).tolist():
        place = drawn[number][0]
        for n in (n for n, label in enumerate(labels) if label == labels[number]):
            left = drawn[n][1]
            for other in tree.query(left, predicate="intersects").tolist():
                step, m = every[other]
                if (drawn[m][0], ahead[step], m) > (place, 0, n):
                    left = shapely.difference(left, laid[other])
            pieces = shapely.get_parts(left)
            areas = shapely.area(pieces)
            wanted[place, labels[n]] = wanted.get((place, labels[n]), 0.0) + areas[areas > SLIVER].sum()
        assert found.get((place, labels[number]), 0.0) == pytest.approx(
            wanted.pop((place, labels[number])), abs=2e-3
        )


GRID_POINT = st.tuples(st.integers(0, 6), st.integers(0, 6))


@settings(max_examples=25)
@given(
    st.sampled_from(LATTICES),
    st.lists(st.lists(GRID_POINT, min_size=3, max_size=6), min_size=2, max_size=7),
    st.sampled_from([5.0, 10 / 3, 0.1]),
)
def test_corners_on_a_few_points_lose_nothing(
    lattice: Lattice, outlines: list[list[tuple[int, int]]], step: float
) -> None:
    """Edges that coincide, cross in corners, run through corners, outlines that cross themselves."""
    own = [shapes.snapped(shapes.polygon(np.array(outline) * step)) for outline in outlines]
    own = [shape for shape in own if not shape.is_empty]
    tile = tile_of(lattice, *own)
    whole = covered(own, lattice) if own else 0.0
    assert total(seen(tile)) == pytest.approx(whole, rel=1e-3, abs=SLIVER * 6 if step < 1 else 1e-2)
    assert twice(seen(tile), lattice) <= 1e-3 * whole + 1e-3


def test_shapes_that_share_their_edges_keep_their_areas() -> None:
    """A board in rows of three and of four: every edge of one row ends within an edge of the next."""
    board = [shapes.rectangle(40 * n / k, 5 * row, 40 * (n + 1) / k, 5 * row + 5)
             for row, k in enumerate((3, 4, 3, 4, 3, 4)) for n in range(k)]  # fmt: skip
    tile = tile_of(STRAIGHT, *board)
    assert [shapes.area(own) for own in seen(tile)] == pytest.approx(list(map(shapes.area, board)), abs=2e-3)


def test_shapes_that_touch_in_corners_keep_their_areas() -> None:
    board = [square(5 * x, 5 * y, 5) for x in range(8) for y in range(6) if (x + y) % 2]
    assert [shapes.area(own) for own in seen(tile_of(STRAIGHT, *board))] == pytest.approx([25.0] * 24)


@pytest.mark.parametrize("lattice", LATTICES, ids=str)
def test_of_shapes_that_are_alike_the_last_is_seen(lattice: Lattice) -> None:
    flower = disc(20, 15, 9, 17)
    tile = tile_of(lattice, *[flower] * 6)
    assert [node.place for node in tile.nodes] == [5]
    assert total(seen(tile)) == pytest.approx(shapes.area(flower), rel=1e-4)


@pytest.mark.parametrize("off", [1e-7, 4e-5, 6e-5, 1e-4, 3e-4, 1e-3])
def test_shapes_that_are_nearly_alike_make_no_slivers(off: float) -> None:
    first, second = disc(20, 15, 9, 30), disc(20 + off, 15 - off / 3, 9 + off / 5, 30)
    tile = tile_of(STRAIGHT, first, second)
    assert [node.place for node in tile.nodes] == [1]
    assert total(seen(tile)) == pytest.approx(covered([first, second], STRAIGHT), abs=SLIVER)


def test_needles_and_hairs_are_not_doubled() -> None:
    """Wedges of 0.0003 to 0.3 mm across a disc, all from one point."""
    wedges = [
        shapes.polygon(np.array([[5, 15], [35, 15 + n - 4], [35, 15 + n - 4 + 3e-4 * 10**exponent]]))
        for n, exponent in itertools.product(range(9), range(4))
    ]
    own = [disc(20, 15, 12, 40), *wedges]
    tile = tile_of(STRAIGHT, *own)
    assert total(seen(tile)) == pytest.approx(covered(own, STRAIGHT), rel=1e-3)
    assert twice(seen(tile), STRAIGHT) < 0.02


def test_a_shape_larger_than_its_tile_covers_it_once() -> None:
    for lattice in LATTICES:
        tile = tile_of(lattice, disc(20, 15, 60, 50), disc(3, 4, 8))
        assert total(seen(tile)) == pytest.approx(lattice.width * lattice.height, rel=1e-4)


def test_many_corners_in_one_point_leave_no_hole() -> None:
    """60 triangles round one point that lies on no grid."""
    middle, turn = np.array([20 + 1 / 3, 15 - 1 / 7]), np.linspace(0, 2 * np.pi, 61)
    rim = middle + 11 * np.column_stack((np.cos(turn), np.sin(turn)))
    fan = [shapes.polygon(np.vstack((middle, rim[n : n + 2]))) for n in range(60)]
    tile = tile_of(STRAIGHT, *fan)
    assert len(tile.nodes) == 60
    assert total(seen(tile)) == pytest.approx(covered(fan, STRAIGHT), rel=1e-4)


def lost(real: NDArray[np.object_]) -> NDArray[np.object_]:
    real[0] = shapes.EMPTY
    return real


def doubled(real: NDArray[np.object_]) -> NDArray[np.object_]:
    real[1] = shapes.union([real[0], real[1]])
    return real


@pytest.mark.parametrize("harm", [lost, doubled])
@pytest.mark.parametrize("lattice", LATTICES, ids=str)
def test_what_does_not_add_up_is_refused(
    lattice: Lattice, harm: object, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = stacking.left_over
    monkeypatch.setattr(stacking, "left_over", lambda own, over: harm(real(own, over)))  # type: ignore[operator]
    spots = [disc(38, 28, 3), disc(10, 10, 4), disc(12, 10, 4)]
    with pytest.raises(DrawingError) as caught:
        tile_of(lattice, *spots)
    assert "the shapes cover" in str(caught.value)
    assert "\n" not in str(caught.value)


def test_what_adds_up_is_not_refused_however_small() -> None:
    """A drawing of 0.3 mm, on which the grid itself tells."""
    for step in (0.05, 0.01, 0.003):
        own = motif(*[square(step * n * 0.7, step * n / 3, step * 1.37) for n in range(20)])
        tile = visible(layout(Lattice(step * 20, step * 20), [(own, IDENTITY)]))
        assert tile.lattice.width == step * 20


@settings(max_examples=30)
@given(
    st.sampled_from(LATTICES),
    st.lists(
        st.builds(disc, st.floats(-30, 70), st.floats(-30, 70), st.floats(2, 15), st.integers(3, 12)),
        min_size=1,
        max_size=6,
    ),
)
def test_lines_tell_how_much_is_covered(lattice: Lattice, own: list[Shape]) -> None:
    """Against one union; the lines see a shape of 2 mm within about 1 %."""
    x0, y0, x1, y1 = scanlines.window(lattice)
    around = [
        shapes.moved(shape, translation(*lattice.shift(*step)))
        for shape in own
        for step in lattice.copies(shapes.box_of([shape]), (x0, y0, x1, y1))
    ]
    told = scanlines.covered(stacking.many(around), lattice)
    whole = lattice.width * lattice.height
    assert told.once == pytest.approx(covered(own, lattice) / whole, rel=0.01)
    assert told.often == pytest.approx(total(own) / whole, rel=0.01)


def test_lines_see_holes_and_edges_along_them() -> None:
    ring = shapes.difference(shapes.rectangle(0, 0, 40, 30), shapes.rectangle(10, 10, 30, 20))
    for lattice in (Lattice(40, 30), Lattice(40, 30, step=Fraction(1, 3))):
        window = scanlines.window(lattice)
        around = [
            shapes.moved(ring, translation(*lattice.shift(*step)))
            for step in lattice.copies(shapes.box_of([ring]), window)
        ]
        told = scanlines.covered(stacking.many(around), lattice)
        assert told.once == told.often == pytest.approx(1 - 200 / 1200, abs=1e-3)
