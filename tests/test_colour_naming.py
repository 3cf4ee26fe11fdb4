"""Plain names for colours: every colour has one, and it says what an eye sees."""

import csv
import re
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mockup.colour.conversion import from_srgb, read_colour
from mockup.colour.ink import Ink
from mockup.colour.naming import LONGEST, RESERVED, colour_name, distinct_names
from mockup.colour.oklch import lab_from_srgb, oklch_from_srgb, srgb_from_oklch
from mockup.colour.palette import Palette

PUBLISHED = Path(__file__).parent / "data" / "published"
NAME = re.compile(r"[a-z]+(?:[ -][a-z]+)*")
numbers = st.integers(0, 0xFFFFFF)

#: Words of ours that agree with a plain hue word, beside the word itself.
AGREEING = {
    "red": {"red", "maroon"},
    "blue": {"blue", "aqua", "teal", "turquoise"},
    "green": {"green", "aqua", "teal", "turquoise"},
    "yellow": {"yellow", "gold", "golden"},
    "orange": {"orange", "apricot"},
    "purple": {"purple", "violet", "lilac", "lavender"},
    "violet": {"violet", "purple", "lilac", "lavender", "magenta"},
    "pink": {"pink"},
    "brown": {"brown", "rust"},
    "grey": {"grey"},
    "gray": {"grey"},
    "white": {"white"},
    "black": {"black"},
}

#: Names of CSS that say another hue than an eye sees; why.
EXCEPTIONS = {
    "antiquewhite": "a cream",
    "navajowhite": "a pale apricot",
    "brown": "a deep red, 26 degrees in OKLCH",
    "rosybrown": "a dusty pink",
    "sandybrown": "a light orange",
    "palevioletred": "a rose",
    "aliceblue": "an off-white",
}

#: The middle of some classes.
MIDDLES = {
    "#0e2150": "navy blue",
    "#f7c9d3": "pale pink",
    "#c9332c": "vivid red",
    "#2f6d3a": "deep green",
    "#8c8c8c": "grey",
    "#303030": "charcoal",
    "#f3e9d2": "cream",
    "#fefefe": "white",
    "#e4b02e": "gold",
    "#1c6b68": "deep teal",
    "#7b5fa6": "violet",
    "#3c4a3e": "dark grey-green",
    "#6f4a2c": "brown",
}


def published(name: str) -> list[dict[str, str]]:
    with (PUBLISHED / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


# Properties


@given(numbers)
def test_every_colour_has_a_short_plain_name_that_an_ink_may_bear(number: int) -> None:
    name = colour_name(read_colour(f"#{number:06x}"))
    assert NAME.fullmatch(name)
    assert len(name) <= 20
    assert name not in RESERVED


@given(st.lists(st.one_of(numbers, st.sampled_from([0x1B2A49, 0x1B2A4B, 0x203050, 0xFFFFFF])), max_size=60))
@settings(max_examples=30, deadline=None)
def test_names_of_several_colours_all_differ_and_make_a_palette(values: list[int]) -> None:
    colours = [read_colour(f"#{value:06x}") for value in values]
    names = distinct_names(colours)
    assert len(names) == len(colours)
    assert len({name.casefold() for name in names}) == len(names)
    for name in names:
        assert NAME.fullmatch(name)
        assert len(name) <= LONGEST
        assert name not in RESERVED
    if colours:
        Palette(tuple(Ink(name, colour) for name, colour in zip(names, colours, strict=True))[:12])


@given(st.lists(numbers, min_size=1, max_size=8))
def test_names_that_are_taken_are_not_given_again(values: list[int]) -> None:
    colours = [read_colour(f"#{value:06x}") for value in values]
    taken = {name.upper() for name in distinct_names(colours)}
    assert not taken & {name.upper() for name in distinct_names(colours, taken)}


@given(st.sampled_from(sorted(MIDDLES)), st.tuples(*[st.integers(-2, 2)] * 3))
def test_a_small_change_in_the_middle_of_a_class_keeps_the_name(text: str, step: tuple[int, ...]) -> None:
    at = [int(text[i : i + 2], 16) for i in (1, 3, 5)]
    moved = [min(max(channel + change, 0), 255) / 255 for channel, change in zip(at, step, strict=True)]
    assert colour_name(from_srgb(moved)) == MIDDLES[text]


def test_greys_are_named_in_order_from_black_to_white() -> None:
    names = list(dict.fromkeys(colour_name(from_srgb([value / 255] * 3)) for value in range(256)))
    assert names == [
        *("black", "charcoal", "dark grey", "grey", "light grey", "pale grey", "off-white", "white"),
    ]


def test_two_of_one_class_are_told_apart_by_lightness_and_others_by_number() -> None:
    lighter, darker = read_colour("#2f6d3a"), read_colour("#22552c")
    assert colour_name(lighter) == colour_name(darker) == "deep green"
    assert distinct_names([lighter, darker]) == ("deep green", "very deep green")
    assert distinct_names([lighter, lighter]) == ("deep green", "deep green two")


def test_a_hundred_of_one_name_are_refused() -> None:
    grey = read_colour("#808080")
    assert len(set(distinct_names([grey] * 99))) == 99
    with pytest.raises(ValueError, match="more than 99 colours named 'grey'"):
        distinct_names([grey] * 100)


# Published values


def test_names_agree_with_the_hue_words_of_css() -> None:
    """CSS Color Module Level 4, section 6.1; a name agrees if it says a hue of the CSS name, or one beside it."""
    judged, wrong = 0, []
    for row in published("css_named_colours.csv"):
        words = [word for word in AGREEING if word in row["name"]]
        if not words:
            continue
        judged += 1
        own = set(re.split("[ -]", colour_name(read_colour(row["hex"]))))
        if not any(AGREEING[word] & own for word in words):
            wrong.append(row["name"])
    assert judged > 80
    assert set(wrong) == set(EXCEPTIONS)
    assert len(wrong) <= judged // 10


def test_the_arrays_agree_with_published_values() -> None:
    """OKLab by Ottosson 2020 and CIELAB by CIE 15, with the tolerances that the file states."""
    rows = published("srgb_lab_oklab.csv")
    srgb = np.array([read_colour(row["hex"]).srgb for row in rows])
    lab = np.array([[float(row[key]) for key in ("L65", "a65", "b65")] for row in rows])
    oklch = np.array([[float(row[key]) for key in ("okL", "oka", "okb")] for row in rows])
    found = oklch_from_srgb(srgb)
    turn = np.radians(found[:, 2])
    cartesian = np.stack([found[:, 0], found[:, 1] * np.cos(turn), found[:, 1] * np.sin(turn)], axis=-1)
    assert np.abs(cartesian - oklch).max() < 5e-4
    assert np.abs(lab_from_srgb(srgb) - lab).max() < 0.05


@given(st.tuples(*[st.floats(0.0, 1.0)] * 3))
def test_oklch_and_back_is_the_same_colour(srgb: tuple[float, float, float]) -> None:
    back, holds = srgb_from_oklch(oklch_from_srgb(srgb))
    assert bool(holds)
    assert back == pytest.approx(np.array(srgb), abs=1e-6)


def test_what_srgb_does_not_hold_is_told() -> None:
    _, holds = srgb_from_oklch([[0.9, 0.3, 29.0], [0.6, 0.1, 29.0]])
    assert holds.tolist() == [False, True]
