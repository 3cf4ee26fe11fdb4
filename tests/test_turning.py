"""Hues turned: as light, no more vivid, the hue where it was sent."""

import pytest
from coloraide import Color
from hypothesis import given
from hypothesis import strategies as st

from mockup.colour.conversion import Colour, read_colour
from mockup.colour.oklch import tone
from mockup.colour.turning import turned

colours = st.integers(0, 0xFFFFFF).map(lambda number: read_colour(f"#{number:06x}"))
degrees = st.integers(0, 359)


@given(colours, degrees)
def test_it_stays_as_light_and_becomes_no_more_vivid(colour: Colour, by: int) -> None:
    found = turned(colour, by)
    assert found.lightness == pytest.approx(colour.lightness, abs=0.5)
    assert tone(found).chroma <= tone(colour).chroma + 0.012


@given(colours, degrees)
def test_the_hue_goes_where_it_is_sent(colour: Colour, by: int) -> None:
    found = turned(colour, by)
    if tone(found).chroma > 0.05 and found.lightness > 15:
        off = (tone(found).hue - tone(colour).hue - by + 180) % 360 - 180
        assert abs(off) < 4.0  # 8 bits a channel, and lightness mended


@given(colours)
def test_what_comes_out_is_what_its_hex_says(colour: Colour) -> None:
    found = turned(colour, 120)
    assert read_colour(found.hex).lab == pytest.approx(found.lab, abs=1e-9)


@pytest.mark.parametrize("grey", ["#000000", "#808080", "#ffffff", "#7f8081"])
def test_greys_have_no_hue_to_turn(grey: str) -> None:
    assert turned(read_colour(grey), 90).hex == grey


@pytest.mark.parametrize("colour", ["#b9522b", "#73834f", "#25313f"])
def test_the_hue_is_that_of_the_open_library(colour: str) -> None:
    wanted = (Color(colour).convert("oklch")["hue"] + 90) % 360
    found = Color(turned(read_colour(colour), 90).hex).convert("oklch")["hue"]
    assert abs((found - wanted + 180) % 360 - 180) < 3.0
