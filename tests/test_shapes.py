"""Shapes: what is done with them keeps areas, places and outlines."""

import itertools
import math

import numpy as np
import pytest
from builders import disc, square
from hypothesis import given
from hypothesis import strategies as st

from mockup.geometry import shapes
from mockup.geometry.affine import Affine, about, rotation, scaling, translation

NUMBER = st.floats(-20, 20)
MAPS = st.builds(Affine, *[NUMBER] * 6)


def near(one: Affine, other: Affine) -> bool:
    spots = np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]])
    return bool(np.allclose(one.apply(spots), other.apply(spots), atol=1e-6))


@given(MAPS, MAPS, MAPS)
def test_maps_compose(one: Affine, two: Affine, three: Affine) -> None:
    assert near((one @ two) @ three, one @ (two @ three))
    spots = np.array([[3.0, -2.0], [0.5, 7.0]])
    assert np.allclose((one @ two).apply(spots), one.apply(two.apply(spots)))
    assert (one @ two).determinant == pytest.approx(one.determinant * two.determinant, abs=1e-6)


@given(st.floats(-720, 720), NUMBER, NUMBER)
def test_a_turn_keeps_its_point_and_runs_clockwise(angle: float, x: float, y: float) -> None:
    assert np.allclose(about(x, y, rotation(angle)).apply(np.array([[x, y]])), [[x, y]], atol=1e-9)
    right = rotation(90).apply(np.array([[1.0, 0.0]]))
    assert np.allclose(right, [[0.0, 1.0]])


@given(MAPS)
def test_stretch_is_the_largest_growth(one: Affine) -> None:
    turn = np.linspace(0, 2 * math.pi, 720)
    circle = np.column_stack((np.cos(turn), np.sin(turn)))
    grown = np.hypot(*(one.apply(circle) - one.apply(np.zeros((1, 2)))).T)
    assert grown.max() == pytest.approx(one.stretch, rel=1e-3, abs=1e-6)


@given(st.floats(0.2, 5), st.floats(0.2, 5), st.floats(0, 360), NUMBER, NUMBER)
def test_area_follows_the_map(x: float, y: float, angle: float, right: float, down: float) -> None:
    map_ = translation(right, down) @ rotation(angle) @ scaling(x, -y)
    shape = disc(3, 4, 2)
    assert shapes.area(shapes.moved(shape, map_)) == pytest.approx(shapes.area(shape) * x * y, rel=1e-9)
    assert shapes.centroid(shapes.moved(shape, map_)) == pytest.approx(
        tuple(map_.apply(np.array([[3.0, 4.0]]))[0]), abs=1e-6
    )


@given(st.floats(-3, 3), st.floats(-3, 3), st.floats(0.5, 3), st.floats(0.5, 3))
def test_overlays_conserve_area(x: float, y: float, one: float, other: float) -> None:
    a, b = disc(0, 0, one), disc(x, y, other)
    both, either = shapes.intersection(a, b), shapes.union([a, b])
    left, right = shapes.difference(a, b), shapes.difference(b, a)
    assert shapes.area(both) + shapes.area(either) == pytest.approx(shapes.area(a) + shapes.area(b), abs=2e-3)
    assert shapes.area(left) + shapes.area(both) == pytest.approx(shapes.area(a), abs=2e-3)
    assert shapes.area(left) + shapes.area(right) + shapes.area(both) == pytest.approx(
        shapes.area(either), abs=2e-3
    )


def test_rings_fill_even_odd_and_the_outline_comes_first() -> None:
    frame = shapes.difference(square(0, 0, 10), square(3, 3, 4))
    outer, hole = shapes.rings(frame)
    assert shapes.area(shapes.polygon(outer)) == pytest.approx(100)
    assert shapes.area(shapes.polygon(hole)) == pytest.approx(16)
    assert not np.array_equal(outer[0], outer[-1])


def test_pieces_are_the_connected_areas() -> None:
    both = shapes.union([square(0, 0, 2), square(5, 0, 3), square(7, 1, 3)])
    assert sorted(shapes.area(piece) for piece in shapes.pieces(both)) == pytest.approx([4, 16])


def test_slivers_go_and_what_lies_only_at_a_corner_does_not_join() -> None:
    both = shapes.union([square(0, 0, 2), square(2, 2, 0.2)])
    assert len(shapes.pieces(both)) == 2
    assert shapes.area(shapes.without_slivers(both, 0.05)) == pytest.approx(4)
    assert shapes.without_slivers(both, 5.0).is_empty


def test_touching_shapes_cut_from_each_other_leave_nothing_between() -> None:
    turned = [shapes.moved(square(0, 0, 7), rotation(angle)) for angle in (0, 33)]
    below, above = (shapes.snapped(shape) for shape in turned)
    seen = shapes.difference(below, above)
    between = shapes.difference(shapes.union([below, above]), shapes.grown(shapes.union([seen, above]), 1e-3))
    assert between.is_empty
    assert shapes.area(shapes.intersection(seen, above)) == 0


def test_near_pairs_are_those_within_reach() -> None:
    row = [square(4 * x, 0, 2) for x in range(4)]
    assert shapes.near_pairs(row, row).tolist() == [[0, 0], [1, 1], [2, 2], [3, 3]]
    close = {tuple(pair) for pair in shapes.near_pairs(row, row, 2.5).tolist()}
    assert close == {(x, y) for x in range(4) for y in range(4) if abs(x - y) <= 1}


def test_outline_outside_leaves_out_what_lies_beyond_the_field() -> None:
    side = square(0, 0, 10)
    assert shapes.outline_outside(side, square(5, -1, 20)) == pytest.approx(20)
    assert shapes.outline_outside(side, square(5, -1, 20), square(1, 1, 30)) == pytest.approx(4)


def test_lines_are_cut_and_joined() -> None:
    loop = shapes.outline(square(0, 0, 10))
    inside, outside = (cut(loop, square(5, -5, 20)) for cut in (shapes.lines_inside, shapes.lines_outside))
    lengths = [sum(math.dist(p, q) for p, q in itertools.pairwise(line)) for line in (*inside, *outside)]
    assert lengths == pytest.approx([20, 20])
