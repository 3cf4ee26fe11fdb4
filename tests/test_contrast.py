"""WCAG contrast."""

import csv
import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mockup.colour.contrast import Contrast, contrast, readable_on, relative_luminance
from mockup.colour.conversion import Colour, from_srgb, read_colour

PUBLISHED = Path(__file__).parent / "data" / "published"
colours = st.tuples(*[st.floats(0.0, 1.0)] * 3).map(from_srgb)


def published(name: str) -> list[dict[str, str]]:
    with (PUBLISHED / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


@given(colours, colours)
def test_contrast_has_no_order_and_lies_between_1_and_21(one: Colour, two: Colour) -> None:
    result = contrast(one, two)
    assert result == contrast(two, one)
    assert 1.0 <= result.ratio <= 21.0 + 1e-9
    assert contrast(one, one).ratio == 1.0
    assert result.large_or_nontext_aa >= result.text_aa >= result.text_aaa


@given(colours)
def test_black_or_white_can_be_read_on_anything(background: Colour) -> None:
    text = readable_on(background)
    assert text in {"#000000", "#ffffff"}
    assert contrast(read_colour(text), background).ratio >= math.sqrt(21.0) - 1e-9


def test_the_better_of_two_text_colours_is_taken_and_the_first_of_equals() -> None:
    assert readable_on(read_colour("#fdfcf8"), ("#1b2a49", "#f2c9c4")) == "#1b2a49"
    assert readable_on(read_colour("#1b2a49"), ("#1b2a49", "#f2c9c4")) == "#f2c9c4"
    assert readable_on(read_colour("gray"), ("rgb(10 20 30)", "#0a141e")) == "#0a141e"


def test_thresholds_are_not_rounded() -> None:
    below, at = Contrast(4.499), Contrast(4.5)
    assert (below.text_aa, at.text_aa) == (False, True)
    assert (Contrast(2.999).large_or_nontext_aa, Contrast(3.0).large_or_nontext_aa) == (False, True)
    assert (Contrast(6.999).text_aaa, Contrast(7.0).text_aaa) == (False, True)


@pytest.mark.parametrize("row", published("wcag_contrast.csv"), ids=lambda row: f"{row['fg']} on {row['bg']}")
def test_published_ratios_and_flags(row: dict[str, str]) -> None:
    one, two = read_colour(row["fg"]), read_colour(row["bg"])
    result = contrast(one, two)
    assert relative_luminance(one) == pytest.approx(float(row["Y_fg"]), abs=1e-6)
    assert relative_luminance(two) == pytest.approx(float(row["Y_bg"]), abs=1e-6)
    assert result.ratio == pytest.approx(float(row["ratio"]), abs=1e-5)
    for flag in ("text_aa", "large_or_nontext_aa", "text_aaa"):
        assert getattr(result, flag) == (row[flag] == "1"), flag


@pytest.mark.parametrize("row", published("srgb_lab_oklab.csv"), ids=lambda row: row["hex"])
def test_published_luminances(row: dict[str, str]) -> None:
    assert relative_luminance(read_colour(row["hex"])) == pytest.approx(float(row["wcag_Y"]), abs=1e-6)
