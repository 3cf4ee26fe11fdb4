"""More coats, one ink over another, how sure that is, and darker pens."""

import csv
import itertools
import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mockup.colour.coding import linear_from_srgb
from mockup.colour.conversion import Colour, from_lab, from_srgb, read_colour
from mockup.colour.difference import ciede2000
from mockup.colour.ink import Ink
from mockup.colour.layering import (
    FILMS,
    GUESS,
    REPEATS,
    UNMEASURED,
    Layer,
    coats,
    darker_pen,
    next_darker,
    overlaid,
    shading,
)
from mockup.colour.palette import Palette
from mockup.errors import DesignError

PUBLISHED = Path(__file__).parent / "data" / "published"
PAPER = read_colour("#fdfcf8")
WHITE = read_colour("white")
KRAFT = read_colour("#b08d62")
colours = st.tuples(*[st.floats(0.0, 1.0)] * 3).map(from_srgb)
vivid = st.tuples(st.floats(0.0, 100.0), st.floats(-90.0, 90.0), st.floats(-90.0, 90.0)).map(from_lab)
few = settings(max_examples=40)  # a colour takes up to a millisecond to make
unsure = st.none() | st.floats(0.0, 20.0)
sure = Ink("sure", read_colour("#b5532a"), uncertainty=2.0)


def inks_of(colour: st.SearchStrategy[Colour], most_coats: int = 3) -> st.SearchStrategy[Ink]:
    more = st.lists(colour, max_size=most_coats).map(tuple)
    return st.builds(lambda c, m, u: Ink("any", c, coats=m, uncertainty=u), colour, more, unsure)


def no_lighter(one: Colour, other: Colour) -> bool:
    return all(np.array(one.srgb) <= np.array(other.srgb) + 1e-7)


# Coats


@few
@given(colours | vivid, colours, st.integers(1, 6))
def test_a_coat_is_never_lighter_than_the_coat_before(colour: Colour, paper: Colour, number: int) -> None:
    ink = Ink("any", colour)
    before, after = coats(ink, number, paper).colour, coats(ink, number + 1, paper).colour
    assert no_lighter(after, before)
    assert after.lightness <= before.lightness + 0.05  # as near as a vivid colour is shown


@few
@given(inks_of(colours | vivid), colours)
def test_measured_coats_are_exact_and_not_guessed(ink: Ink, paper: Colour) -> None:
    for number, colour in enumerate((ink.colour, *ink.coats), 1):
        layer = coats(ink, number, paper)
        assert layer.colour is colour
        assert not layer.guessed
        assert layer.uncertainty == (UNMEASURED if ink.uncertainty is None else max(ink.uncertainty, REPEATS))
    assert coats(ink, len(ink.coats) + 2, paper).guessed


@few
@given(inks_of(colours | vivid), colours, st.integers(1, 6))
def test_further_coats_are_never_surer(ink: Ink, paper: Colour, number: int) -> None:
    assert coats(ink, number + 1, paper).uncertainty >= coats(ink, number, paper).uncertainty


@few
@given(colours, colours, unsure, st.integers(2, 5))
def test_measuring_a_coat_makes_it_and_the_next_surer(
    colour: Colour, paper: Colour, known: float | None, number: int
) -> None:
    bare = Ink("any", colour, uncertainty=known)
    swatched = Ink("any", colour, coats=(coats(bare, 2, paper).colour,), uncertainty=known)
    guess, better = coats(bare, number, paper), coats(swatched, number, paper)
    assert better.colour.srgb == pytest.approx(guess.colour.srgb, abs=1e-5)
    assert better.uncertainty <= guess.uncertainty + 1e-4  # the guess is made again of a rounded colour


@few
@given(inks_of(colours), colours, st.integers(1, 6), st.floats(0.0, 20.0))
def test_the_less_sure_the_ink_the_less_sure_its_coats(
    ink: Ink, paper: Colour, number: int, known: float
) -> None:
    less, more = (Ink("any", ink.colour, coats=ink.coats, uncertainty=u) for u in (known, known + 1.0))
    assert coats(less, number, paper).uncertainty <= coats(more, number, paper).uncertainty


def test_the_uncertainty_of_a_guess_is_as_stated() -> None:
    steps = [coats(sure, number, PAPER).colour for number in range(1, 6)]
    way = [ciede2000(one, two) for one, two in itertools.pairwise(steps)]
    assert min(way) > 1.0
    for number in range(1, 7):
        layer = coats(sure, number, PAPER)
        assert layer.uncertainty == pytest.approx(math.hypot(2.0, 0.5 * sum(way[: number - 1])), abs=1e-9)


def test_what_nobody_measured_may_be_off_by_5_and_no_swatch_by_less_than_2() -> None:
    clay = read_colour("#b5532a")
    assert (UNMEASURED, REPEATS) == (5.0, 2.0)
    assert coats(Ink("clay", clay), 1, PAPER) == Layer(clay, 5.0, False)
    assert coats(Ink("clay", clay, uncertainty=0.3), 1, PAPER) == Layer(clay, 2.0, False)
    assert coats(Ink("clay", clay, uncertainty=9.0), 1, PAPER) == Layer(clay, 9.0, False)
    assert coats(Ink("white", WHITE, paper=True, uncertainty=3.0), 2, PAPER) == Layer(PAPER, 3.0, False)
    assert coats(sure, 0, PAPER) == Layer(PAPER, 5.0, False)


def test_the_notice_says_whose_guess_it_is() -> None:
    assert GUESS == "our guess, from memory: test on your paper"


@pytest.mark.parametrize("value", [-0.1, 100.1, math.nan, math.inf])
def test_an_uncertainty_out_of_range_is_refused(value: float) -> None:
    with pytest.raises(DesignError, match=f"the ink 'clay' has uncertainty = {value:g}") as told:
        Ink("clay", PAPER, uncertainty=value)
    assert told.value.remedy == "uncertainty is a CIEDE2000 difference, from 0 to 100"


def test_uncertainty_is_unknown_until_it_is_told() -> None:
    assert Ink("clay", PAPER).uncertainty is None


@few
@given(colours, colours)
def test_the_first_coat_is_the_ink_and_none_is_the_paper(colour: Colour, paper: Colour) -> None:
    ink = Ink("any", colour)
    assert coats(ink, 0, paper).colour is paper
    assert coats(ink, 1, paper).colour is colour


@few
@given(colours, st.integers(0, 6))
def test_bare_paper_stays_paper(paper: Colour, number: int) -> None:
    assert coats(Ink("white", PAPER, paper=True), number, paper).colour is paper


@few
@given(colours)
def test_density_over_the_paper_grows_as_stated_and_stops(colour: Colour) -> None:
    ink = Ink("any", colour)
    bare, first = linear_from_srgb(PAPER.srgb), linear_from_srgb(colour.srgb)
    seen = (first > 1e-3) & (first < bare)
    for number, films in zip(range(1, 6), (1.0, 1.25, 1.4, 1.5, 1.57), strict=True):
        shown = linear_from_srgb(coats(ink, number, PAPER).colour.srgb)
        density = -np.log10(shown[seen] / bare[seen])
        assert density == pytest.approx(-films * np.log10(first[seen] / bare[seen]), abs=1e-4)
    assert coats(ink, 6, PAPER).colour == coats(ink, 5, PAPER).colour
    assert FILMS == (1.0, 1.25, 1.4, 1.5, 1.57)


def test_measured_coats_come_first_and_the_guess_goes_on_from_the_last() -> None:
    second, third = read_colour("#a04520"), read_colour("#92391a")
    ink = Ink("clay", read_colour("#b5532a"), coats=(second, third))
    assert [coats(ink, number, PAPER).colour for number in (1, 2, 3)] == [ink.colour, second, third]
    fourth = coats(ink, 4, PAPER).colour
    bare, last, next_coat = (linear_from_srgb(colour.srgb) for colour in (PAPER, third, fourth))
    assert np.log(next_coat / bare) == pytest.approx(np.log(last / bare) * 1.5 / 1.4, abs=1e-6)
    assert coats(ink, 7, PAPER).colour == coats(ink, 5, PAPER).colour


def test_beyond_more_measured_coats_than_the_guess_knows_the_last_stays() -> None:
    more = tuple(read_colour(text) for text in ("#a04520", "#92391a", "#8a3417", "#853115", "#822f14"))
    ink = Ink("clay", read_colour("#b5532a"), coats=more)
    assert coats(ink, 7, PAPER) == Layer(more[-1], UNMEASURED, True)
    assert coats(ink, 7, PAPER).colour is more[-1]


def test_a_second_coat_of_a_common_ink_can_be_seen() -> None:
    ink = Ink("clay", read_colour("#b5532a"))
    assert 3.0 < ciede2000(ink.colour, coats(ink, 2, PAPER).colour) < 10.0


def test_an_ink_lighter_than_its_paper_stays_as_it_is() -> None:
    white = read_colour("#f8f4ea")
    assert coats(Ink("white", white), 3, KRAFT).colour.srgb == pytest.approx(white.srgb, abs=1e-9)


def test_fewer_than_no_coats_are_refused() -> None:
    with pytest.raises(ValueError, match=r"^an ink cannot have -1 coats$"):
        coats(Ink("clay", PAPER), -1, PAPER)


# One ink over another


@few
@given(inks_of(colours | vivid), inks_of(colours | vivid), colours)
def test_over_an_ink_that_is_no_lighter_nothing_gets_lighter(upper: Ink, lower: Ink, paper: Colour) -> None:
    layer = overlaid(upper, lower, paper)
    assert layer.guessed or upper == lower
    if upper == lower:
        assert layer == coats(upper, 2, paper)
    elif upper.colour.lightness >= paper.lightness + 5.0:
        assert layer.colour is upper.colour  # it covers
    else:
        assert no_lighter(layer.colour, lower.colour)
        if no_lighter(lower.colour, paper):
            assert no_lighter(layer.colour, upper.colour)
            assert layer.colour.lightness <= min(upper.colour.lightness, lower.colour.lightness) + 0.02


@few
@given(inks_of(colours), inks_of(colours))
def test_on_white_paper_the_order_does_not_matter(one: Ink, two: Ink) -> None:
    first, second = overlaid(one, two, WHITE), overlaid(two, one, WHITE)
    assert first.colour == second.colour
    assert first.uncertainty == pytest.approx(second.uncertainty, abs=1e-9)


@few
@given(inks_of(colours | vivid), inks_of(colours | vivid), colours)
def test_order_matters_only_through_inks_lighter_than_the_paper(one: Ink, two: Ink, paper: Colour) -> None:
    if no_lighter(one.colour, paper) and no_lighter(two.colour, paper):
        assert overlaid(one, two, paper).colour.srgb == pytest.approx(
            overlaid(two, one, paper).colour.srgb, abs=1e-6
        )


@few
@given(inks_of(colours | vivid), colours)
def test_bare_paper_is_neutral_on_either_side(ink: Ink, paper: Colour) -> None:
    bare = Ink("bare", WHITE, paper=True)
    assert overlaid(bare, ink, paper) == overlaid(ink, bare, paper) == coats(ink, 1, paper)
    assert overlaid(bare, bare, paper).colour is paper
    assert not overlaid(ink, bare, paper).guessed


@few
@given(colours, colours)
def test_an_ink_of_the_papers_colour_changes_nothing(colour: Colour, paper: Colour) -> None:
    clear = Ink("clear", paper)
    if no_lighter(colour, paper):
        for layer in (overlaid(clear, Ink("any", colour), paper), overlaid(Ink("any", colour), clear, paper)):
            assert layer.colour.srgb == pytest.approx(colour.srgb, abs=1e-6)


@few
@given(colours, colours)
def test_two_inks_of_one_colour_are_two_coats(colour: Colour, paper: Colour) -> None:
    if no_lighter(colour, paper):
        both = overlaid(Ink("one", colour), Ink("two", colour), paper)
        assert both.colour.srgb == pytest.approx(coats(Ink("one", colour), 2, paper).colour.srgb, abs=1e-6)


@few
@given(inks_of(colours | vivid), inks_of(colours | vivid), colours)
def test_two_inks_are_never_surer_than_what_shows_of_them(upper: Ink, lower: Ink, paper: Colour) -> None:
    layer = overlaid(upper, lower, paper)
    assert layer.uncertainty >= coats(upper, 1, paper).uncertainty
    if upper.colour.lightness < paper.lightness + 5.0:
        assert layer.uncertainty >= coats(lower, 1, paper).uncertainty


def test_inks_that_stop_different_light_multiply_as_clear_films_do() -> None:
    yellow, sky = Ink("yellow", from_srgb((1.0, 1.0, 0.2))), Ink("sky", from_srgb((0.3, 1.0, 1.0)))
    assert overlaid(yellow, sky, WHITE).colour.srgb == pytest.approx((0.3, 1.0, 0.2), abs=1e-6)
    green = overlaid(Ink("ochre", read_colour("#e8c63a")), Ink("teal", read_colour("#4aa0c8")), PAPER).colour
    assert 110.0 < green.hue < 180.0


def test_in_one_channel_the_weaker_film_counts_a_quarter() -> None:
    one, two = (Ink(name, from_srgb([level] * 3)) for name, level in (("pale", 0.8), ("mid", 0.5)))
    density = [-np.log10(linear_from_srgb(ink.colour.srgb)) for ink in (one, two)]
    seen = -np.log10(linear_from_srgb(overlaid(one, two, WHITE).colour.srgb))
    assert seen == pytest.approx(density[1] + 0.25 * density[0], abs=1e-6)


def test_black_over_and_under_is_nearly_black_and_little_of_a_guess() -> None:
    black, lemon = Ink("black", read_colour("#1a1a1c"), uncertainty=2.0), Ink("lemon", read_colour("#f4e04a"))
    layer = overlaid(black, lemon, PAPER)
    assert ciede2000(layer.colour, black.colour) < 8.0
    assert math.hypot(2.0, 5.0) <= layer.uncertainty < math.hypot(2.0, 5.0, 4.0)
    assert overlaid(lemon, black, PAPER).colour.srgb == pytest.approx(layer.colour.srgb, abs=1e-9)


def test_white_covers_on_kraft_and_red_is_brighter_over_it() -> None:
    white, navy = Ink("white", read_colour("#f8f4ea"), uncertainty=2.0), Ink("navy", read_colour("#1f3a5f"))
    red = Ink("red", read_colour("#8f3322"))
    covered = overlaid(white, navy, KRAFT)
    assert covered.colour is white.colour
    assert covered.guessed
    halfway = (linear_from_srgb(white.colour.srgb) + linear_from_srgb(navy.colour.srgb)) / 2.0
    shown = from_srgb(np.where(halfway > 0.0031308, 1.055 * halfway ** (1 / 2.4) - 0.055, 0.0).tolist())
    assert covered.uncertainty == pytest.approx(
        math.hypot(2.0, 0.5 * ciede2000(white.colour, shown)), abs=1e-6
    )
    over = overlaid(red, white, KRAFT).colour
    assert red.colour.lightness + 5.0 < over.lightness < white.colour.lightness
    through = linear_from_srgb(red.colour.srgb) / linear_from_srgb(KRAFT.srgb)
    assert linear_from_srgb(over.srgb) == pytest.approx(
        through * linear_from_srgb(white.colour.srgb), abs=1e-6
    )


def test_a_hair_lighter_than_the_paper_does_not_cover() -> None:
    chalk, clay = Ink("chalk", WHITE), Ink("clay", read_colour("#b5532a"))
    assert overlaid(chalk, clay, PAPER).colour.srgb == pytest.approx(clay.colour.srgb, abs=1e-9)


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


# Published values: process inks printed on each other


def overprints(source: str) -> dict[str, Colour]:
    with (PUBLISHED / "overprints.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(line for line in file if not line.startswith("#")))
    return {r["inks"]: read_colour(f"lab({r['L']} {r['a']} {r['b']})") for r in rows if r["source"] == source}


@pytest.mark.parametrize("pair", ["my", "cy", "cm"])
@pytest.mark.parametrize("source", ["iso", "swop"])
def test_published_overprints_lie_within_the_stated_uncertainty(source: str, pair: str) -> None:
    """ISO 12647-2 and SWOP; sources in the file's header. The guess misses by 5 to 11 and says 14 or more."""
    told = overprints(source)
    one, two = (Ink(name, told[name], uncertainty=REPEATS) for name in pair)
    layer = overlaid(one, two, told["paper"])
    miss = ciede2000(layer.colour, told[pair])
    way = min(ciede2000(layer.colour, ink.colour) for ink in (one, two))
    assert 0.18 < miss / way < 0.33
    assert miss < 12.0
    assert miss < layer.uncertainty
    assert miss < 0.4 * min(
        ciede2000(told[pair], ink.colour) for ink in (one, two)
    )  # far better than either ink


def test_each_of_four_coats_of_shading_shows() -> None:
    paper, ink = read_colour("#fdfcf8"), Ink("clay", read_colour("#b5532a"))
    found = [ink.colour, *(shading(ink, ink, number, paper).colour for number in (1, 2, 3, 4))]
    assert all(ciede2000(one, other) > 1.0 for one, other in itertools.pairwise(found))


@pytest.mark.parametrize("number", [1, 2, 3, 4])
def test_shading_with_the_same_pen_is_its_further_coats(number: int) -> None:
    paper, ink = read_colour("#fdfcf8"), Ink("clay", read_colour("#d98a63"))
    assert shading(ink, ink, number, paper) == coats(ink, number + 1, paper)


def test_shading_with_another_pen_lies_on_the_ink_and_gets_darker_coat_by_coat() -> None:
    paper = read_colour("#fdfcf8")
    ink, pen = Ink("blush", read_colour("#e9a48a")), Ink("clay", read_colour("#c8714d"))
    found = [shading(ink, pen, number, paper) for number in (1, 2, 3, 4)]
    assert found[0] == overlaid(pen, ink, paper)
    light = [layer.colour.lightness for layer in found]
    assert light == sorted(light, reverse=True)
    assert light[0] < pen.colour.lightness
    assert all(layer.guessed for layer in found)
    measured = Ink("clay", pen.colour, coats=(read_colour("#803010"),))
    assert shading(ink, measured, 2, paper).colour.lightness < light[1]


def test_an_ink_is_not_shaded_by_no_coat() -> None:
    ink = Ink("clay", read_colour("#d98a63"))
    with pytest.raises(ValueError, match="an ink is not shaded by 0 coats"):
        shading(ink, ink, 0, read_colour("#ffffff"))
