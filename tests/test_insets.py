"""Bands along the inside of an outline."""

import math
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from mockup.geometry.insets import rim
from mockup.geometry.shapes import EMPTY, Shape, area, as_shape


def disc(radius: float, x: float = 0.0, y: float = 0.0) -> Shape:
    return as_shape(shapely.Point(x, y).buffer(radius, quad_segs=64))


def blob(seed: int, radius: float, corners: int, roughness: float) -> Shape:
    random = np.random.default_rng(seed)
    angles = np.linspace(0, 2 * np.pi, corners, endpoint=False)
    reach = radius * (1 + roughness * random.uniform(-1, 1, corners))
    points = np.column_stack((reach * np.cos(angles), reach * np.sin(angles)))
    return as_shape(shapely.make_valid(shapely.Polygon(points), method="structure", keep_collapsed=False))


def slit(seed: int, length: float) -> Shape:
    gap = 0.01 + (seed % 50) / 100
    cut = shapely.box(length / 2, -1, length / 2 + gap, length * 0.9)
    return as_shape(shapely.box(0, 0, length, length).difference(cut))


def dumbbell(seed: int, radius: float) -> Shape:
    neck = radius * (seed % 40) / 100 + 0.05
    ends = shapely.MultiPoint([(0, 0), (4 * radius, 0)]).buffer(radius)
    return as_shape(ends.union(shapely.box(0, -neck / 2, 4 * radius, neck / 2)))


def holed(seed: int, radius: float) -> Shape:
    random = np.random.default_rng(seed)
    whole = shapely.Point(0, 0).buffer(radius)
    for _ in range(seed % 5):
        place = random.uniform(-0.8, 0.8, 2) * radius
        whole = whole.difference(shapely.Point(*place).buffer(radius * random.uniform(0.02, 0.3)))
    return as_shape(whole)


shapes_of_all_kinds = st.one_of(
    st.builds(blob, st.integers(0, 9999), st.floats(0.5, 20), st.integers(3, 60), st.floats(0, 0.9)),
    st.builds(slit, st.integers(0, 9999), st.floats(2, 30)),
    st.builds(dumbbell, st.integers(0, 9999), st.floats(0.5, 12)),
    st.builds(holed, st.integers(0, 9999), st.floats(0.5, 15)),
)


@given(shape=shapes_of_all_kinds, width=st.floats(0.2, 3), coats=st.integers(1, 4))
def test_bands_are_valid_nested_and_inside(shape: Shape, width: float, coats: int) -> None:
    bands = rim(shape, width, coats)
    assert len(bands) == coats
    for outer, band in zip((shape, *bands), bands, strict=False):
        assert band.is_valid
        assert area(band) <= area(outer) * (1 + 1e-9) + 1e-9
        assert shapely.difference(band, outer).area <= 1e-6 * (1 + area(outer))


@given(shape=shapes_of_all_kinds, width=st.floats(0.2, 3), coats=st.integers(1, 4))
def test_a_band_reaches_as_far_from_the_outline_as_asked(shape: Shape, width: float, coats: int) -> None:
    for coat, band in enumerate(rim(shape, width, coats)):
        if band.is_empty:
            continue
        reach = width * (coats - coat) / coats
        corners = shapely.points(shapely.get_coordinates(band))
        assert shapely.distance(corners, shape.boundary).max() <= reach * (1 + 1e-6)
        left = shapely.difference(shape, band)
        deep = [piece for piece in shapely.get_parts(left) if piece.area > 1e-6]
        wide = [p for p in shape.geoms if not shapely.buffer(p, -2 * width, quad_segs=6).is_empty]
        for piece in deep:
            if any(part.intersects(piece.representative_point()) for part in wide):
                assert shapely.distance(piece, shape.boundary) >= reach * 0.98


def test_bands_of_a_disc_have_the_areas_of_rings() -> None:
    bands = rim(disc(10.0), 2.0, 2)
    assert [area(band) for band in bands] == pytest.approx(
        [math.pi * (100 - 64), math.pi * (100 - 81)], rel=1e-3
    )


@pytest.mark.parametrize(("radius", "banded"), [(3.98, False), (4.02, True)])
def test_a_part_with_no_room_for_twice_the_width_stays_plain(radius: float, banded: bool) -> None:
    (band,) = rim(disc(radius), 2.0, 1)
    assert band.is_empty is not banded


def test_only_the_roomy_part_of_a_shape_is_banded() -> None:
    shape = as_shape(shapely.MultiPolygon([*disc(10.0).geoms, *disc(1.0, 30.0).geoms]))
    (band,) = rim(shape, 1.0, 1)
    assert band.bounds[2] == pytest.approx(10.0)


def test_a_hole_has_its_own_band() -> None:
    ring = as_shape(shapely.difference(disc(20.0), disc(4.0)))
    (band,) = rim(ring, 1.0, 1)
    assert area(band) == pytest.approx(math.pi * (400 - 361 + 25 - 16), rel=2e-3)
    assert band.covers(shapely.Point(4.5, 0))
    assert not band.covers(shapely.Point(0, 0))


def test_a_neck_narrower_than_two_bands_is_banded_right_across() -> None:
    (band,) = rim(dumbbell(20, 5.0), 1.0, 1)
    assert band.covers(shapely.Point(10.0, 0.0))
    assert not band.covers(shapely.Point(0.0, 0.0))
    assert not band.covers(shapely.Point(20.0, 0.0))


@pytest.mark.parametrize(("shape", "width", "coats"), [(EMPTY, 1.0, 2), (disc(9), 0.0, 2), (disc(9), 1.0, 0)])
def test_nothing_to_shade_gives_empty_bands(shape: Shape, width: float, coats: int) -> None:
    bands = rim(shape, width, coats)
    assert len(bands) == coats
    assert all(band.is_empty for band in bands)


def test_a_shape_that_the_library_fails_on_stays_plain(monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: Any, **__: Any) -> None:
        raise shapely.errors.GEOSException("side location conflict")

    shape = disc(9.0)
    monkeypatch.setattr(shapely, "buffer", fail)
    assert [band.is_empty for band in rim(shape, 1.0, 3)] == [True] * 3
