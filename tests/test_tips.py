"""Shading across the ends and along one side of a shape."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from test_insets import disc, shapes_of_all_kinds

from mockup.geometry.affine import Affine, rotation, scaling, translation
from mockup.geometry.insets import lee
from mockup.geometry.shading import STYLES, Shade, Style, bands, run_on, upright
from mockup.geometry.shapes import Shape, area, as_shape, moved
from mockup.geometry.tips import axis_of, tips


def oblong(length: float, breadth: float) -> Shape:
    return as_shape(shapely.box(-length / 2, -breadth / 2, length / 2, breadth / 2))


def leaf(length: float, breadth: float) -> Shape:
    """Two arcs that meet in a tip at either end, along x."""
    x = np.linspace(-1, 1, 61)
    y = breadth / 2 * (1 - x**2)
    upper = np.column_stack((x * length / 2, y))
    return as_shape(shapely.Polygon(np.concatenate((upper, (upper * (1, -1))[-2:0:-1]))))


def inside(shape: Shape, x: float, y: float) -> bool:
    return bool(shapely.intersects_xy(shape, x, y))


placements = st.builds(
    lambda turn, flip, size, x, y: translation(x, y) @ rotation(turn) @ scaling(flip * size, size),
    st.floats(0, 360),
    st.sampled_from([1.0, -1.0]),
    st.floats(0.4, 2.5),
    st.floats(-80, 80),
    st.floats(-80, 80),
)
shades = st.builds(Shade, st.sampled_from(STYLES), st.floats(0.3, 3), st.integers(1, 4), st.floats(0, 359.9))


@given(shape=shapes_of_all_kinds, shade=shades, place=placements)
def test_bands_of_every_style_are_nested_and_inside(shape: Shape, shade: Shade, place: Affine) -> None:
    found = bands(shape, shade, upright(place, (1.0, 2.0)))
    assert len(found) == shade.coats
    for wide, narrow in zip((shape, *found), found, strict=False):
        assert narrow.is_empty or shapely.is_valid(narrow)
        assert area(as_shape(shapely.difference(narrow, wide))) < 1e-3 + 1e-4 * area(wide)
        assert area(narrow) <= area(wide) + 1e-6


@given(
    length=st.floats(13, 40),
    share=st.floats(0.3, 1),
    shade=shades,
    place=placements,
    more=placements,
)
def test_the_shading_goes_with_its_motif(
    length: float, share: float, shade: Shade, place: Affine, more: Affine
) -> None:
    size = abs(place.determinant) ** 0.5
    own = moved(leaf(length / size, length * share / size), translation(4 / size, 7 / size))
    there = more @ scaling(1 / abs(more.determinant) ** 0.5)  # the same size, elsewhere, perhaps flipped
    one = bands(moved(own, place), shade, upright(place, (0.0, 0.0)))
    other = bands(moved(own, there @ place), shade, upright(there @ place, (0.0, 0.0)))
    for first, second in zip(one, other, strict=True):
        off = shapely.symmetric_difference(moved(first, there), second)
        assert area(as_shape(off)) < 1e-3 * length


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("shape", [leaf(30, 15), oblong(22, 14), disc(11.0)])
def test_parts_under_four_times_the_width_stay_plain(shape: Shape, style: Style) -> None:
    across = shapely.maximum_inscribed_circle(shape).length * 2
    box = shape.bounds
    size = across if style in {"side", "rim"} else box[2] - box[0]
    for width, shaded in ((size / 4.1, True), (size / 3.95, False)):
        (band,) = bands(shape, Shade(style, width, 1), upright(Affine()))
        assert (not band.is_empty) == shaded


@given(st.floats(12, 60), st.floats(2, 8), st.integers(1, 4))
def test_both_ends_are_filled_and_the_middle_is_plain(length: float, breadth: float, coats: int) -> None:
    width = length / 8
    for shape in (oblong(length, breadth), leaf(length, breadth)):
        found = tips(shape, width, coats)
        for coat, band in enumerate(found):
            deep = width * (coats - coat) / coats
            for end in (-1, 1):
                assert inside(band, end * (length / 2 - 0.9 * deep), 0.0)
                assert not inside(band, end * (length / 2 - 1.85 * deep), 0.0)  # a slender tip is filled
            assert band.bounds[2] == pytest.approx(length / 2, abs=0.02 * length)
        reaches = [band.geoms[0].bounds for band in found]
        steps = [box[2] - box[0] for box in reaches]
        assert steps == sorted(steps, reverse=True)


@pytest.mark.parametrize(("middle", "end"), [((-30.0, 0.0), -1), ((30.0, 0.0), 1), ((0.0, 40.0), 1)])
def test_one_end_is_the_inner_one_and_reaches_further(middle: tuple[float, float], end: int) -> None:
    shape = leaf(30, 12)
    (both,), (one,) = tips(shape, 3, 1), tips(shape, 3, 1, single=True, middle=middle)
    assert inside(one, end * 10.0, 0.0)
    assert not inside(one, -end * 14.0, 0.0)
    assert not inside(both, 10.0, 0.0)


@pytest.mark.parametrize(("light", "end"), [(315.0, 1), (45.0, -1), (270.0, 1), (90.0, -1)])
def test_one_end_of_what_stands_for_itself_is_the_one_away_from_the_light(light: float, end: int) -> None:
    for middle in (None, (0.0, 0.0)):
        (one,) = tips(leaf(30, 12), 3, 1, single=True, middle=middle, light=light)
        assert inside(one, end * 10.0, 0.0)
        assert not inside(one, -end * 14.0, 0.0)


@pytest.mark.parametrize("turn", range(0, 360, 40))
def test_broad_petals_are_shaded_in_line_with_the_middle_of_the_flower(turn: int) -> None:
    place = rotation(turn) @ translation(0, -20)
    petal = moved(oblong(15, 12), place)
    axis = axis_of(petal.geoms[0], (0.0, 0.0))
    assert abs(axis.way @ (math.sin(math.radians(turn)), -math.cos(math.radians(turn)))) == pytest.approx(1)
    (inner,) = tips(petal, 2.5, 1, single=True, middle=(0.0, 0.0))
    assert np.hypot(*shapely.get_coordinates(shapely.centroid(inner))[0]) < 17


def test_rings_and_what_is_bent_round_stay_plain_across_their_ends() -> None:
    ring = as_shape(shapely.difference(disc(12.0), disc(8.0)))
    assert tips(ring, 1.5, 1)[0].is_empty
    assert not lee(ring, 0.9, 1, 315.0)[0].is_empty


def test_a_body_with_hairs_is_shaded_or_left_alone_but_never_an_error() -> None:
    for turn in range(0, 180, 7):
        hairs = [
            shapely.LineString([(0, 0), (0.1, 30)]).buffer(0.015),
            shapely.LineString([(0, 0), (25, 9)]).buffer(0.015),
        ]
        body = shapely.union_all([*hairs, *disc(5.0).geoms])
        shape = moved(as_shape(body), rotation(turn))
        for width in (0.5, 2.0, 6.0):
            for band in tips(shape, width, 2):
                assert area(as_shape(shapely.difference(band, shape))) < 1e-3


def test_the_horns_of_a_crescent_are_its_ends() -> None:
    moon = as_shape(shapely.difference(disc(12.0), disc(12.0, 7.0)))
    (band,) = tips(moon, 2.0, 1)
    assert len(band.geoms) == 2
    assert sorted(round(piece.centroid.y) > 0 for piece in band.geoms) == [False, True]
    assert not inside(band, -11.0, 0.0)


@pytest.mark.parametrize("light", [0.0, 45.0, 90.0, 200.0, 315.0])
def test_a_side_is_shaded_away_from_the_light_only(light: float) -> None:
    bright = np.array([math.sin(math.radians(light)), -math.cos(math.radians(light))])
    found = lee(disc(10.0), 2.0, 2, light)
    for coat, band in enumerate(found):
        width = 2.0 * (2 - coat) / 2
        assert inside(band, *(-bright * (10 - 0.9 * width)))
        assert not inside(band, *(-bright * (10 - 1.1 * width)))
        assert not inside(band, *(bright * 9.95))
        flank = np.array([-bright[1], bright[0]])
        assert inside(band, *(flank * (10 - 0.1 * width)))
        assert not inside(band, *(flank * (10 - 0.4 * width)))


@given(shape=shapes_of_all_kinds, width=st.floats(0.3, 3), light=st.floats(0, 359))
def test_a_side_takes_no_more_than_all_round_does(shape: Shape, width: float, light: float) -> None:
    (side,), (rim,) = (bands(shape, Shade(style, width, 1, light), upright(Affine())) for style in STYLES[2:])
    assert side.is_empty == rim.is_empty
    if not side.is_empty:
        assert area(as_shape(shapely.difference(side, shapely.buffer(rim, 0.02)))) < 1e-3 * area(shape) + 1e-3


@pytest.mark.parametrize(
    ("shape", "centre", "longer"),
    [
        (oblong(12, 4), (0.0, 0.0), 3.0),
        (moved(oblong(9, 6), translation(100, -50)), (100.0, -50.0), 1.5),
        (as_shape(shapely.Polygon([(0, 0), (9, 0), (0, 3)])), (3.0, 1.0), None),
        (moved(disc(1.0), scaling(5.0, 2.0)), (0.0, 0.0), 2.5),
    ],
)
def test_middle_and_length_of_a_piece_are_those_of_its_mass(
    shape: Shape, centre: tuple[float, float], longer: float | None
) -> None:
    # closed forms: a rectangle's moments are as the squares of its sides, an ellipse's as those of its axes
    axis = axis_of(shape.geoms[0])
    assert axis.middle == pytest.approx(centre, abs=1e-9)
    if longer:
        assert abs(axis.way) == pytest.approx((1.0, 0.0), abs=1e-6)
        assert axis.longer == pytest.approx(longer)


def test_a_hole_counts_for_the_mass() -> None:
    holed = shapely.Polygon([(0, 0), (30, 0), (30, 10), (0, 10)], [[(2, 2), (2, 8), (13, 8), (13, 2)]])
    axis = axis_of(holed)
    assert axis.middle[0] == pytest.approx((300 * 15 - 66 * 7.5) / 234)
    assert axis.high - axis.low == pytest.approx(30, rel=0.01)


def test_a_band_runs_on_beneath_what_lies_on_the_shape_and_nowhere_else() -> None:
    seen = as_shape(shapely.box(0, 0, 10, 10))
    drawn = as_shape(shapely.box(0, 0, 10.6, 10))
    band = as_shape(shapely.box(7, 0, 10, 10))
    more = run_on(band, seen, drawn, 0.6)
    assert more.bounds == (7, 0, 10.6, 10)
    far = as_shape(shapely.box(0, 0, 2, 10))
    assert run_on(far, seen, drawn, 0.6).equals(far)
