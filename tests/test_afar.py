"""From afar: areas on a grid, the blur, and the mixture in light."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mockup.colour.coding import linear_from_srgb
from mockup.geometry import shapes
from mockup.geometry.affine import translation
from mockup.geometry.grains import covered, strewn
from mockup.rendering.afar import blurred, mixed, resampled, squinted
from mockup.rendering.canvas import pixels
from mockup.rendering.mosaic import contours, mosaic
from mockup.rendering.scene import Fill, Scene

CELL = (12.0, 9.0)
KITE = np.array([[2.0, 1.0], [9.5, 2.0], [8.0, 7.5], [1.0, 6.0]])
HOLE = np.array([[4.0, 3.0], [6.0, 3.0], [5.0, 5.0]])


@given(st.booleans(), st.booleans(), st.floats(-20, 20), st.floats(-20, 20))
def test_what_is_covered_is_the_area(ahead: bool, hole_ahead: bool, x: float, y: float) -> None:
    kite = shapes.polygon(KITE if ahead else KITE[::-1], [HOLE if hole_ahead else HOLE[::-1]])
    moved = shapes.moved(kite, translation(x, y))
    share = covered([moved], CELL, 0.25, wraps=True)
    assert -1e-9 <= share.min() <= share.max() <= 1 + 1e-9
    assert share.mean() * CELL[0] * CELL[1] == pytest.approx(shapes.area(kite), rel=0.01)


def test_a_sheet_cuts_off_what_runs_over_its_edge() -> None:
    square = shapes.rectangle(-3.0, 2.0, 3.0, 5.0)
    share = covered([square], CELL, 0.5, wraps=False)
    assert share.sum() * 0.25 == pytest.approx(9)
    assert share[4:10, :6] == pytest.approx(np.ones((6, 6)))
    assert covered([square], CELL, 0.5, wraps=True)[4:10, -6:] == pytest.approx(np.ones((6, 6)))
    assert covered([], CELL, 0.5, wraps=True).tolist() == np.zeros((18, 24)).tolist()


def test_strewn_areas_keep_their_sum() -> None:
    rng = np.random.default_rng(2)
    area, place = rng.uniform(0.1, 0.3, 50), rng.uniform(-5, 15, (50, 2))
    share = strewn(area, place, CELL, 0.5, wraps=True)
    assert share.sum() * 0.25 == pytest.approx(area.sum())
    one = strewn(np.array([2.0]), np.array([[6.1, 4.6]]), CELL, 0.5, wraps=False)
    assert np.argwhere(one).tolist() == [[9, 12]]


@given(st.integers(0, 1000), st.booleans())
def test_a_blur_keeps_what_is_even_and_the_sum_of_what_wraps(seed: int, wraps: bool) -> None:
    values = np.random.default_rng(seed).random((2, 18, 24))
    assert blurred(np.full((1, 18, 24), 0.3), CELL, 2.0, wraps) == pytest.approx(np.full((1, 18, 24), 0.3))
    soft = blurred(values, CELL, 1.0, wraps)
    assert soft.std() < values.std()
    assert (values.min() <= soft.min(), soft.max() <= values.max()) == (True, True)
    if wraps:
        assert soft.mean(axis=(1, 2)) == pytest.approx(values.mean(axis=(1, 2)))
        assert blurred(np.roll(values, 5, axis=2), CELL, 1.0, True) == pytest.approx(np.roll(soft, 5, axis=2))


def test_a_blur_is_a_gaussian_of_that_width() -> None:
    spot = np.zeros((1, 90, 120))
    spot[0, 45, 60] = 1.0
    soft = blurred(spot, CELL, 0.8, True)[0]
    x = (np.arange(120) - 60) * 0.1
    assert np.sqrt((soft.sum(axis=0) * x**2).sum()) == pytest.approx(0.8, rel=1e-3)


def test_half_black_and_half_white_is_half_the_light() -> None:
    """Not half the code: sRGB 0.5 in light is 0.735 coded."""
    rows, columns = 18, 24
    shares = np.stack((np.indices((rows, columns)).sum(axis=0) % 2, np.zeros((rows, columns))))
    seen = mixed(shares, ["#000000", "#ff0000"], "#ffffff", CELL, blur=3.0)
    assert seen == pytest.approx(np.full((rows, columns, 3), 0.7353569), abs=1e-4)


@given(st.integers(0, 1000))
def test_the_light_of_the_whole_is_that_of_its_parts(seed: int) -> None:
    rng = np.random.default_rng(seed)
    count = 30
    area, place = rng.uniform(0.2, 1.0, count), rng.random((count, 2)) * CELL
    inks, colours = rng.integers(0, 3, count), ["#b9522b", "#25313f", "#dca63f"]
    seen = squinted(area, place, inks, colours, "#f1e4c8", CELL, blur=4.0)
    light = linear_from_srgb(seen).mean(axis=(0, 1))
    parts = np.bincount(inks, area, 3) / (CELL[0] * CELL[1])
    told = [linear_from_srgb([int(c[i : i + 2], 16) / 255 for i in (1, 3, 5)]) for c in (*colours, "#f1e4c8")]
    assert light == pytest.approx((np.array([*parts, 1 - parts.sum()])[:, None] * told).sum(axis=0), abs=2e-3)


def test_a_lump_is_seen_and_an_even_spread_is_not() -> None:
    grid = np.stack(np.meshgrid(np.arange(12) + 0.5, np.arange(9) + 0.5), axis=-1).reshape(-1, 2)
    area = np.full(len(grid), 0.5)
    even = (grid.sum(axis=1).astype(int)) % 2
    sides = (grid[:, 0] > 6).astype(int)
    views = [
        squinted(area, grid, inks, ["#b9522b", "#25313f"], "#f1e4c8", CELL, blur=1.5)
        for inks in (even, sides)
    ]
    assert np.ptp(views[0], axis=(0, 1)).max() < 0.03
    assert np.ptp(views[1], axis=(0, 1)).max() > 0.1


def test_values_are_read_between_the_corners() -> None:
    slope = np.tile(np.arange(5.0), (4, 1))
    found = resampled(slope, (6, 8), wraps=False)
    assert found == pytest.approx(np.tile((np.arange(8) + 0.5) / 2, (6, 1)))
    wave = np.tile(np.cos(np.arange(16) / 16 * 2 * np.pi), (3, 1))
    turned = resampled(wave, (6, 64), wraps=True)
    assert turned[0] == pytest.approx(np.cos((np.arange(64) + 0.5) / 64 * 2 * np.pi), abs=0.03)


def test_squares_show_no_background_and_their_own_colour() -> None:
    rng = np.random.default_rng(5)
    colours = 0.4 + 0.2 * rng.random((7, 11, 3))
    box = (1.3, 2.1, 34.7, 20.9)
    ground = Fill(shapes.rings(shapes.rectangle(0, 0, 40, 25)), "#00ff00", "ground")
    seen = pixels(Scene(40, 25, (ground, mosaic(colours, box, "m"))), 220)
    scale = 220 / 25.4
    inner = seen[round(2.4 * scale) : round(20.6 * scale), round(1.6 * scale) : round(34.4 * scale)].astype(
        int
    )
    assert inner.min() > 95
    assert inner.max() < 160
    for row, column in ((0, 0), (3, 5), (6, 10)):
        y, x = box[1] + (row + 0.5) * 18.8 / 7, box[0] + (column + 0.5) * 33.4 / 11
        assert seen[round(y * scale), round(x * scale)] == pytest.approx(colours[row, column] * 255, abs=2)


def test_lines_of_equal_height_lie_at_that_height() -> None:
    y, x = np.indices((40, 50))
    heights = np.hypot(x - 24.5, y - 19.5)
    lines = contours(heights, 12.0, (0, 0, 50, 40))
    points = np.concatenate(lines)
    assert np.hypot(points[:, 0] - 25, points[:, 1] - 20) == pytest.approx(
        np.full(len(points), 12.0), abs=0.05
    )
    length = sum(float(np.hypot(*(line[1] - line[0]))) for line in lines)
    assert length == pytest.approx(2 * np.pi * 12, rel=0.01)
    assert contours(heights, 100.0, (0, 0, 50, 40)) == ()
