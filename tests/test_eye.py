"""How the eye blurs: what is kept, what fades, and how fast, against the closed form of the kernels."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mockup.colour.coding import linear_from_srgb
from mockup.colour.conversion import read_colour
from mockup.colour.vision import DEFICIENCIES, seen
from mockup.rendering.eye import (
    ACHROMATIC,
    BLUE_YELLOW,
    KERNELS,
    PLANES,
    RED_GREEN,
    Floats,
    as_seen,
    finest,
    in_grey,
    mm_per_degree,
    seen_from,
    shown,
)
from mockup.rendering.look import InkLook, Look
from mockup.rendering.scene import channels

UNIT = st.floats(0.0, 1.0)
COLOUR = st.tuples(UNIT, UNIT, UNIT)
HEX = st.integers(0, 0xFFFFFF).map(lambda number: f"#{number:06x}")
FAR = st.floats(0.2, 100.0)


def noise(rows: int, columns: int, seed: int) -> Floats:
    return np.random.default_rng(seed).random((rows, columns, 3))


def grating(plane: int, cycles: int, columns: int = 240) -> Floats:
    """Make bars, some cycles over the picture, that change in one plane only, round a grey."""
    way = np.linalg.inv(PLANES)[:, plane]
    wave = np.cos(2 * math.pi * cycles * (np.arange(columns) + 0.5) / columns)
    return np.tile(0.5 + 0.05 * wave[None, :, None] * way, (8, 1, 1))


def left(plane: int, cycles: int, width: float, distance: float) -> float:
    """How much of a grating's height is left when it is seen, in its own plane."""
    before = grating(plane, cycles)
    after = seen_from(before, (width, 8 * width / 240), distance, True)
    waves = [np.abs(np.fft.rfft((light @ PLANES[plane])[0])[cycles]) for light in (before, after)]
    return float(waves[1] / waves[0])


@given(colour=COLOUR, distance=FAR, wraps=st.booleans(), rows=st.integers(2, 20), columns=st.integers(2, 20))
def test_an_even_colour_stays_what_it_is(
    colour: tuple[float, float, float], distance: float, wraps: bool, rows: int, columns: int
) -> None:
    even = np.tile(np.array(colour), (rows, columns, 1))
    assert seen_from(even, (130.0, 70.0), distance, wraps) == pytest.approx(even, abs=1e-9)


@given(seed=st.integers(0, 99), distance=FAR, rows=st.integers(2, 30), columns=st.integers(2, 30))
def test_what_repeats_keeps_its_mean_and_gains_no_colour_contrast(
    seed: int, distance: float, rows: int, columns: int
) -> None:
    light = noise(rows, columns, seed)
    after = seen_from(light, (90.0, 40.0), distance, True)
    assert after.mean(axis=(0, 1)) == pytest.approx(light.mean(axis=(0, 1)), abs=1e-9)
    spread = [np.var(one @ PLANES[1:].T, axis=(0, 1)) for one in (light, after)]
    assert (spread[1] <= spread[0] + 1e-12).all()


@given(seed=st.integers(0, 99), distance=FAR, wraps=st.booleans())
def test_a_picture_turned_is_seen_turned(seed: int, distance: float, wraps: bool) -> None:
    light = noise(14, 22, seed)
    turned = seen_from(np.rot90(light), (28.0, 44.0), distance, wraps)
    assert turned == pytest.approx(np.rot90(seen_from(light, (44.0, 28.0), distance, wraps)), abs=1e-9)


@given(seed=st.integers(0, 99), down=st.integers(0, 13), right=st.integers(0, 21))
def test_what_repeats_may_be_cut_anywhere(seed: int, down: int, right: int) -> None:
    light = noise(14, 22, seed)
    before = seen_from(light, (44.0, 28.0), 3.0, True)
    after = seen_from(np.roll(light, (down, right), (0, 1)), (44.0, 28.0), 3.0, True)
    assert after == pytest.approx(np.roll(before, (down, right), (0, 1)), abs=1e-9)


@given(seed=st.integers(0, 99), distance=FAR, wraps=st.booleans())
def test_greys_stay_grey(seed: int, distance: float, wraps: bool) -> None:
    grey = np.repeat(noise(12, 16, seed)[..., :1], 3, axis=-1)
    after = seen_from(grey, (50.0, 30.0), distance, wraps)
    assert np.ptp(after, axis=-1).max() < 1e-9


@pytest.mark.parametrize("plane", [0, 1, 2])
@pytest.mark.parametrize(("cycles", "distance"), [(1, 0.5), (3, 1.0), (5, 2.0), (12, 4.0)])
def test_gratings_fade_as_the_closed_form_says(plane: int, cycles: int, distance: float) -> None:
    """A kernel sum w exp(-r2/s2) / (pi s2) passes sum w exp(-(pi s f)2), f in cycles a degree."""
    width = 200.0
    frequency = cycles / width * 2000 * distance * math.tan(math.pi / 360)
    kernel = (ACHROMATIC, RED_GREEN, BLUE_YELLOW)[plane]
    parts = zip(kernel.weights, kernel.spreads, strict=True)
    passed = sum(w * math.exp(-((math.pi * s * frequency) ** 2)) for w, s in parts) / sum(kernel.weights)
    assert left(plane, cycles, width, distance) == pytest.approx(passed, abs=1e-9)


def test_the_response_is_the_kernel_transformed() -> None:
    """The closed form against the integral of the kernel over the plane, along one axis first."""
    for kernel in KERNELS:
        x = np.linspace(-40, 40, 400_001)
        for frequency in (0.0, 0.1, 1.0, 6.0):
            parts = zip(kernel.shares, kernel.spreads, strict=True)
            line = sum(w * np.exp(-((x / s) ** 2)) / (s * math.sqrt(math.pi)) for w, s in parts)
            whole = float(np.sum(line * np.cos(2 * math.pi * frequency * x)) * (x[1] - x[0]))
            assert float(kernel.response(frequency)) == pytest.approx(whole, abs=1e-6)


@pytest.mark.parametrize("cycles", [2, 5, 10, 20, 40])
@pytest.mark.parametrize("plane", [1, 2])
def test_colour_fades_faster_than_light_and_dark(plane: int, cycles: int) -> None:
    assert left(plane, cycles, 200.0, 3.0) < left(0, cycles, 200.0, 3.0)


def test_farther_off_less_is_seen() -> None:
    for plane in range(3):
        seen_at = [left(plane, 20, 200.0, distance) for distance in (1.0, 2.0, 4.0, 8.0)]
        assert seen_at == sorted(seen_at, reverse=True)
        assert seen_at[-1] < 0.5 * seen_at[0]


def test_near_the_middle_an_edge_far_off_does_not_count() -> None:
    """A small blur shows the same within a sheet whether it repeats or not."""
    rows = np.arange(120) / 120
    light = np.stack([0.5 + 0.3 * np.sin(12 * np.pi * rows)[:, None] * np.ones(120)] * 3, axis=-1)
    light[..., 1] *= 0.8
    planes = [seen_from(light, (4000.0, 4000.0), 0.5, wraps) @ PLANES[1:].T for wraps in (True, False)]
    assert planes[0][40:80, 40:80] == pytest.approx(planes[1][40:80, 40:80], abs=2e-3)


def test_a_sheet_knows_nothing_beyond_its_edge() -> None:
    """Its two halves lie side by side; where it repeats the left edge takes from the right, on a sheet it does not."""
    light = np.zeros((20, 60, 3))
    light[:, 30:] = [0.9, 0.1, 0.1]
    alone, repeated = (seen_from(light, (60.0, 20.0), 1.0, wraps) for wraps in (False, True))
    assert np.abs(alone[:, 0] @ PLANES[1]).max() < 0.5 * np.abs(repeated[:, 0] @ PLANES[1]).max()


def test_a_degree_spans_what_it_should() -> None:
    assert mm_per_degree(57.29) == pytest.approx(1000.0, rel=1e-3)
    half = finest(2.0) / 2
    within = math.exp(-((half / (ACHROMATIC.spreads[0] * mm_per_degree(2.0))) ** 2))
    assert within == pytest.approx(0.5)


@pytest.mark.parametrize(
    ("cell", "distance"),
    [((10.0, 10.0), 0.0), ((10.0, 10.0), -1.0), ((0.0, 10.0), 1.0), ((10.0, 10.0), math.nan), ((math.inf, 1.0), 1.0)],
)  # fmt: skip
def test_what_cannot_be_seen_is_refused(cell: tuple[float, float], distance: float) -> None:
    with pytest.raises(ValueError, match="cannot be seen"):
        seen_from(noise(4, 4, 0), cell, distance, True)


@given(light=st.tuples(*[st.floats(-0.5, 1.5)] * 3))
def test_light_beyond_comes_back_with_its_lightness(light: tuple[float, float, float]) -> None:
    there = np.array(light)
    back = shown(there)
    assert (back >= 0).all()
    assert (back <= 1).all()
    weight = PLANES[0] / PLANES[0].sum()
    assert back @ weight == pytest.approx(min(max(there @ weight, 0.0), 1.0), abs=1e-9)
    if ((there >= 0) & (there <= 1)).all() and 0 <= there @ weight <= 1:
        assert back == pytest.approx(there, abs=1e-9)


def look(*colours: str) -> Look:
    inks = tuple(InkLook(f"ink {n}", one, (colours[n - 1],)) for n, one in enumerate(colours))
    return Look(paper="#fdfcf8", ground=colours[0], inks=inks, line=colours[-1])


def every(one: Look) -> list[str]:
    coats = [coat for ink in one.inks for coat in (ink.colour, *ink.coats)]
    return [one.paper, one.ground, *coats, one.line or ""]


@given(st.lists(HEX, min_size=1, max_size=5))
def test_a_grey_look_keeps_every_lightness(colours: list[str]) -> None:
    own = look(*colours)
    for before, after in zip(every(own), every(in_grey(own)), strict=True):
        assert after[1:3] == after[3:5] == after[5:]
        assert read_colour(after).lightness == pytest.approx(read_colour(before).lightness, abs=0.5)


@given(st.lists(HEX, min_size=1, max_size=5), st.sampled_from(DEFICIENCIES))
def test_other_eyes_see_every_colour_as_the_matrix_says(colours: list[str], name: str) -> None:
    own = look(*colours)
    for before, after in zip(every(own), every(as_seen(own, name)), strict=True):
        assert after == seen([read_colour(before)], name)[0].hex


def test_a_look_without_lines_has_none_in_grey() -> None:
    own = Look(paper="#ffffff", ground="#ffffff", inks=(InkLook("a", "#ff0000"),), line=None)
    assert in_grey(own).line is None
    assert linear_from_srgb(channels(in_grey(own).ground)).min() > 0.99
