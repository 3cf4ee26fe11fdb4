"""More coats, and darker pens."""

import csv
import re
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mockup.colour.conversion import Colour, from_srgb, linear_from_srgb, read_colour
from mockup.colour.difference import ciede2000
from mockup.colour.ink import Ink
from mockup.colour.layering import (
    FILMS,
    coat_colour,
    darker_pen,
    next_darker,
    over_paper,
    transmittance,
)
from mockup.colour.palette import Palette

PUBLISHED = Path(__file__).parent / "data" / "published"
PAPER = read_colour("#fdfcf8")
colours = st.tuples(*[st.floats(0.0, 1.0)] * 3).map(from_srgb)
light = st.floats(0.01, 1.0)


def double_passes() -> list[dict[str, float]]:
    with (PUBLISHED / "ink_optics.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(line for line in file if not line.startswith("#")))
    return [
        {key: float(number) for key, number in re.findall(r"(\w+)=([\d.]+)", row["inputs"])}
        | {"R": float(row["value"])}
        for row in rows
        if row["model"] == "beer_lambert_double_pass"
    ]


# Films


@given(light, st.floats(0.05, 1.0))
def test_transmittance_undoes_one_film(paper: float, through: float) -> None:
    assert transmittance(over_paper(through, paper, 1.0), paper) == pytest.approx(through, abs=1e-9)


@given(light, light, st.floats(0.0, 3.0), st.floats(0.0, 3.0))
def test_films_add_up(paper: float, through: float, one: float, two: float) -> None:
    at_once = over_paper(through, paper, one + two)
    assert over_paper(through, over_paper(through, paper, one), two) == pytest.approx(at_once, abs=1e-9)


def test_a_film_lighter_than_its_paper_is_clear() -> None:
    assert transmittance([0.5, 0.9, 0.0], [0.4, 0.9, 0.0]).tolist() == [1.0, 1.0, 1.0]


# Coats


@given(colours, colours, st.integers(0, 6))
def test_a_coat_is_never_lighter_than_the_coat_before(colour: Colour, paper: Colour, coats: int) -> None:
    ink = Ink("any", colour)
    before, after = coat_colour(ink, coats, paper), coat_colour(ink, coats + 1, paper)
    if coats > 0:
        assert all(np.array(after.srgb) <= np.array(before.srgb) + 1e-7)
        assert after.lightness <= before.lightness + 1e-4


@given(colours, colours)
def test_the_first_coat_is_the_ink_and_none_is_the_paper(colour: Colour, paper: Colour) -> None:
    ink = Ink("any", colour)
    assert coat_colour(ink, 0, paper) is paper
    assert coat_colour(ink, 1, paper) is colour


@given(colours, st.integers(0, 6))
def test_bare_paper_stays_paper(paper: Colour, coats: int) -> None:
    assert coat_colour(Ink("white", PAPER, paper=True), coats, paper) is paper


@given(colours)
def test_density_over_the_paper_grows_as_stated_and_stops(colour: Colour) -> None:
    ink = Ink("any", colour)
    bare, first = linear_from_srgb(PAPER.srgb), linear_from_srgb(colour.srgb)
    seen = (first > 1e-3) & (first < bare)
    for coats, films in zip(range(1, 5), (1.0, 1.25, 1.4, 1.5), strict=True):
        shown = linear_from_srgb(coat_colour(ink, coats, PAPER).srgb)
        density = -np.log10(shown[seen] / bare[seen])
        assert density == pytest.approx(-films * np.log10(first[seen] / bare[seen]), abs=1e-4)
    assert coat_colour(ink, 5, PAPER) == coat_colour(ink, 4, PAPER)
    assert FILMS == (1.0, 1.25, 1.4, 1.5)


def test_measured_coats_come_first_and_the_guess_goes_on_from_the_last() -> None:
    second, third = read_colour("#a04520"), read_colour("#92391a")
    ink = Ink("clay", read_colour("#b5532a"), coats=(second, third))
    assert [coat_colour(ink, coats, PAPER) for coats in (1, 2, 3)] == [ink.colour, second, third]
    fourth = coat_colour(ink, 4, PAPER)
    bare, last, next_coat = (linear_from_srgb(colour.srgb) for colour in (PAPER, third, fourth))
    assert np.log(next_coat / bare) == pytest.approx(np.log(last / bare) * 1.5 / 1.4, abs=1e-6)
    assert coat_colour(ink, 7, PAPER) == fourth


def test_beyond_more_measured_coats_than_the_guess_knows_the_last_stays() -> None:
    coats = tuple(read_colour(text) for text in ("#a04520", "#92391a", "#8a3417", "#853115"))
    ink = Ink("clay", read_colour("#b5532a"), coats=coats)
    assert coat_colour(ink, 6, PAPER) is coats[-1]


def test_a_second_coat_of_a_common_ink_can_be_seen() -> None:
    ink = Ink("clay", read_colour("#b5532a"))
    assert 3.0 < ciede2000(ink.colour, coat_colour(ink, 2, PAPER)) < 10.0


def test_an_ink_lighter_than_its_paper_stays_as_it_is() -> None:
    white, kraft = read_colour("#f8f4ea"), read_colour("#b08d62")
    assert coat_colour(Ink("white", white), 3, kraft).srgb == pytest.approx(white.srgb, abs=1e-9)


def test_fewer_than_no_coats_are_refused() -> None:
    with pytest.raises(ValueError, match=r"^an ink cannot have -1 coats$"):
        coat_colour(Ink("clay", PAPER), -1, PAPER)


# Darker pens


def pens(**colours_by_name: str) -> Palette:
    return Palette(tuple(Ink(name, read_colour(text)) for name, text in colours_by_name.items()))


BOX = {
    "sky": "lch(70 40 250)",
    "sea": "lch(54 45 265)",
    "dusk": "lch(48 45 250)",
    "night": "lch(20 30 260)",
    "near": "lch(66 40 250)",
    "plum": "lch(58 45 320)",
    "pale": "lab(80 0 0)",
    "stone": "lab(62 2 3)",
}


@pytest.mark.parametrize(
    ("name", "darker"),
    [
        ("sky", "sea"),  # not the nearly alike, not the second next, not another hue, not the grey
        ("dusk", "dusk"),  # the only darker one of like hue is too dark
        ("night", "night"),
        ("pale", "stone"),
        ("stone", "stone"),
        ("plum", "plum"),
    ],
)
def test_the_next_darker_pen_of_like_hue(name: str, darker: str) -> None:
    box = pens(**BOX)
    assert darker_pen(box.ink(name), box, PAPER).name == darker


@given(st.lists(colours, min_size=1, max_size=8))
def test_a_darker_pen_is_darker_by_10_to_25_or_the_same(values: list[Colour]) -> None:
    box = Palette(tuple(Ink(f"pen {i}", colour) for i, colour in enumerate(values)))
    for ink in box.inks:
        other = darker_pen(ink, box, PAPER)
        assert other in box.inks
        if other is not ink:
            assert 10.0 <= ink.colour.lightness - other.colour.lightness <= 25.0


def test_hues_meet_across_0_degrees() -> None:
    box = pens(pink="lch(70 40 350)", red="lch(55 45 20)")
    assert darker_pen(box.ink("pink"), box, PAPER).name == "red"


def test_bare_paper_is_shaded_by_a_grey_and_never_shades() -> None:
    white = Ink("white", read_colour("black"), paper=True)
    box = Palette((white, Ink("mist", read_colour("lab(85 0 2)")), Ink("snow", read_colour("lab(99 0 0)"))))
    assert darker_pen(white, box, PAPER).name == "mist"
    cream = read_colour("lab(82 0 2)")
    only = Palette((Ink("white", cream, paper=True), Ink("snow", read_colour("lab(99 0 0)"))))
    assert darker_pen(only.ink("snow"), only, cream).name == "snow"


@given(st.lists(colours, min_size=1, max_size=6))
def test_a_set_shades_with_its_next_darker_value_whatever_its_hue(values: list[Colour]) -> None:
    inks = [Ink(f"tone {i}", colour) for i, colour in enumerate(values)]
    for ink in inks:
        darker = [other for other in inks if other.colour.lightness < ink.colour.lightness]
        pen = next_darker(ink, inks, PAPER)
        assert pen in (darker or [ink])
        assert all(other.colour.lightness <= pen.colour.lightness for other in darker)


def test_bare_paper_as_a_skin_is_shaded_and_never_shades() -> None:
    white = Ink("white", read_colour("black"), paper=True)
    rose = Ink("rose", read_colour("#edd"))
    assert next_darker(white, (white, rose), PAPER) is rose
    assert next_darker(rose, (white, rose), PAPER) is rose


# Published values


@pytest.mark.parametrize(
    "row", double_passes(), ids=lambda row: f"Rp={row['Rp']} T={row['T']} n={row['n']:.0f}"
)
def test_beer_lambert_double_pass(row: dict[str, float]) -> None:
    assert over_paper(row["T"], row["Rp"], row["n"]) == pytest.approx(row["R"], abs=1e-9)
    if row["n"] == 1:
        assert transmittance(row["R"], row["Rp"]) == pytest.approx(row["T"], abs=1e-9)


def test_all_twenty_double_passes_are_there() -> None:
    assert len(double_passes()) == 20
