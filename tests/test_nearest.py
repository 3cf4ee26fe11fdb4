"""What lies nearest to which shapes: all of a field, once, and rightly."""

import numpy as np
import pytest
from builders import disc, square
from hypothesis import given, settings
from hypothesis import strategies as st

from mockup.geometry import shapes
from mockup.geometry.nearest import nearest, rounded

FIELD = (0.0, 0.0, 100.0, 80.0)


@settings(max_examples=25)
@given(st.integers(0, 10**6), st.integers(1, 4))
def test_a_field_is_parted_by_who_is_nearest(seed: int, groups: int) -> None:
    random = np.random.default_rng(seed)
    spots = [(x, y) for x in (12.0, 38, 62, 88) for y in (14.0, 40, 66)]
    own = [
        disc(x + dx, y + dy, radius)
        for (x, y), (dx, dy, radius) in zip(
            spots, random.uniform((-2, -2, 3), (2, 2, 10), (12, 3)), strict=True
        )
    ]
    group = random.integers(0, groups, len(own))
    parts = nearest(own, group, groups, FIELD)
    assert sum(map(shapes.area, parts)) == pytest.approx(8000, rel=1e-4)
    for x, y in random.uniform(0, 1, (60, 2)) * [100, 80]:
        far = np.array([_distance(shape, x, y) for shape in own])
        first = far.argmin()
        if np.partition(far[group != group[first]], 0)[:1].sum() - far[first] < 1.2 and groups > 1:
            continue
        assert shapes.covers_point(parts[group[first]], x, y)


def _distance(shape: shapes.Shape, x: float, y: float) -> float:
    if shapes.covers_point(shape, x, y):
        return 0.0
    return float(np.hypot(*(shapes.outline_points(shape, 0.2) - [x, y]).T).min())


def test_one_shape_has_all_of_it_and_touching_shapes_share() -> None:
    (whole,) = nearest([square(10, 10, 20)], np.array([0]), 1, FIELD)
    assert shapes.area(whole) == pytest.approx(8000, rel=1e-6)
    left, right = nearest([square(30, 30, 20), square(50, 30, 20)], np.array([0, 1]), 2, FIELD)
    assert shapes.area(left) + shapes.area(right) == pytest.approx(8000, rel=1e-4)
    assert shapes.covers_point(left, 20, 40)
    assert shapes.covers_point(right, 80, 40)


def test_a_long_shape_is_as_near_all_along_as_many_small_ones() -> None:
    bar, row = shapes.rectangle(0, 20, 100, 22), [square(x, 60, 2) for x in np.arange(0, 100, 4.0)]
    upper, lower = nearest([bar, *row], np.array([0] + [1] * len(row)), 2, FIELD)
    assert shapes.area(upper) == pytest.approx(4100, rel=0.004)
    assert shapes.area(lower) == pytest.approx(3900, rel=0.004)


def test_rounding_takes_corners_and_closes_cracks() -> None:
    round_ = rounded([square(0, 0, 30), square(30.5, 0, 30)], 2.0)
    assert len(shapes.pieces(round_)) == 1
    assert shapes.covers_point(round_, 30.2, 15)
    assert not shapes.covers_point(round_, 0.2, 0.2)
    assert shapes.area(round_) == pytest.approx(60.5 * 30, rel=0.01)
