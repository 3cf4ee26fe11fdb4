"""Skin sets: the whole range from very light to very dark, each with values to shade it."""

import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mockup.colour.conversion import from_lab, read_colour
from mockup.colour.ink import Ink
from mockup.colour.palette import Palette, SidePalette
from mockup.colour.skin import (
    BANDS,
    DRIFT,
    STEP,
    UNDERTONES,
    SkinSet,
    band,
    ita,
    side_inks,
    skin_sets,
    unfilled,
)
from mockup.errors import DesignError

NAMES = [name for name, _ in BANDS]
FOOD = {"honey", "almond", "caramel", "chocolate", "coffee", "cream", "olive", "wheat", "cinnamon", "toffee"}
undertones = st.sampled_from(sorted(UNDERTONES))


def turn(one: float, other: float) -> float:
    return abs((one - other + 180.0) % 360.0 - 180.0)


def values(one: SkinSet) -> list[Ink]:
    return [one.base, *one.shading]


def pens(sets: tuple[SkinSet, ...], wander: float = 0.0) -> tuple[Ink, ...]:
    """A box of the tones of some sets, moved a little, under names of her own, each colour once."""
    inks = [ink for one in sets for ink in values(one)]
    moved = [from_lab((ink.colour.lightness + wander, *ink.colour.lab[1:])) for ink in inks]
    return tuple(Ink(f"pen {i}", colour, tip=0.8) for i, colour in enumerate(moved))


# The angle


@pytest.mark.parametrize(
    ("lab", "degrees"),
    [
        ((70.0, 10.0, 20.0), 45.0),  # arctan(20 / 20)
        ((50.0, 10.0, 15.0), 0.0),  # arctan(0)
        ((40.0, 12.0, 10.0), -45.0),  # arctan(-10 / 10)
        ((50.0 + 3.0**0.5 * 15.0, 8.0, 15.0), 60.0),  # arctan(root of 3)
        ((60.0, 10.0, 10.0 * 3.0**0.5), 30.0),  # arctan(1 / root of 3)
        ((62.0, 9.0, 24.0), 26.565),  # arctan(1 / 2)
    ],
)
def test_the_angle_follows_its_definition(lab: tuple[float, float, float], degrees: float) -> None:
    """ITA = arctan((L* - 50) / b*) 180 / pi: Chardon and others 1991; values worked out by hand from that."""
    assert ita(from_lab(lab)) == pytest.approx(degrees, abs=0.001)


@pytest.mark.parametrize(
    ("degrees", "name"),
    [
        *(
            (60.0, "very light"),
            (56.0, "very light"),
            (54.0, "light"),
            (42.0, "light"),
            (40.0, "intermediate"),
        ),
        *((29.0, "intermediate"), (27.0, "tan"), (11.0, "tan"), (9.0, "brown"), (-29.0, "brown")),
        *((-31.0, "dark"), (-80.0, "dark")),
    ],
)
def test_bands_end_where_the_literature_ends_them(degrees: float, name: str) -> None:
    """Limits 55, 41, 28, 10 and -30 degrees: Chardon and others 1991, Del Bino and Bernerd 2013, from memory."""
    rise = math.tan(math.radians(degrees))
    b = min(20.0, 40.0 / abs(rise))
    assert band(from_lab((50.0 + rise * b, 12.0, b))) == name


# Properties of made sets


@given(undertones)
def test_the_six_bands_are_covered_in_order_and_each_base_lies_in_its_band(undertone: str) -> None:
    sets = skin_sets(undertone=undertone)
    assert [one.band for one in sets] == NAMES
    for one in sets:
        assert band(one.base.colour) == one.band
    light = [one.base.colour.lightness for one in sets]
    assert all(above - below >= 7.0 for above, below in pairwise(light))
    assert light[0] > 80.0
    assert light[-1] < 36.0


@given(undertones)
def test_shading_is_darker_by_the_stated_steps_and_hardly_turns(undertone: str) -> None:
    for one in skin_sets(undertone=undertone):
        for above, below in pairwise(values(one)):
            assert STEP[0] <= above.colour.lightness - below.colour.lightness <= STEP[1]
        for ink in one.shading:
            assert turn(ink.colour.hue, one.base.colour.hue) <= DRIFT / 2


@given(undertones)
def test_tones_are_natural_and_inside_srgb(undertone: str) -> None:
    for one in skin_sets(undertone=undertone):
        assert all(ink.colour.loss == 0.0 for ink in values(one))
        assert 45.0 <= one.base.colour.hue <= 75.0
        assert 12.0 <= one.base.colour.chroma <= 32.0
        assert all(38.0 <= ink.colour.hue <= 75.0 for ink in one.shading)
        assert all(12.0 <= ink.colour.chroma <= 32.0 for ink in one.shading)


def test_undertones_turn_the_hue_from_cool_to_warm() -> None:
    for cool, neutral, warm in zip(*(skin_sets(undertone=name) for name in UNDERTONES), strict=True):
        assert cool.base.colour.hue + 4.0 < neutral.base.colour.hue < warm.base.colour.hue - 4.0


def test_names_are_plain_and_no_food() -> None:
    sets = [one for undertone in UNDERTONES for one in skin_sets(undertone=undertone)]
    names = [ink.name for one in sets for ink in values(one)]
    assert len(set(names)) == len(names)
    assert not FOOD & {word for name in names for word in name.split()}
    assert [ink.name for ink in values(skin_sets()[3])] == ["tan base", "tan shade", "tan deep"]


# Her own inks


@given(st.sets(st.sampled_from(range(6)), min_size=1), st.floats(-0.4, 0.4))
@settings(max_examples=30, deadline=None)
def test_her_inks_fill_the_bands_they_can_and_no_others(bands: set[int], wander: float) -> None:
    box = pens(tuple(one for i, one in enumerate(skin_sets()) if i in bands), wander)
    strangers = (Ink("sea", read_colour("#2f7f86")), Ink("night", read_colour("#1b2233")))
    found = skin_sets((*strangers, *box))
    assert {one.band for one in found} >= {NAMES[i] for i in bands}
    assert [one.band for one in found] == [name for name in NAMES if name in {one.band for one in found}]
    for one in found:
        assert all(ink in box for ink in values(one))
        assert band(one.base.colour) == one.band
        for above, below in pairwise(values(one)):
            assert STEP[0] <= above.colour.lightness - below.colour.lightness <= STEP[1]
        assert all(turn(ink.colour.hue, one.base.colour.hue) <= DRIFT for ink in one.shading)
    told = unfilled(found, box)
    assert [line.split(":")[0] for line in told] == [
        name for name in NAMES if name not in {one.band for one in found}
    ]


def test_a_box_without_skin_fills_nothing_and_says_so() -> None:
    box = (Ink("sea", read_colour("#2f7f86")), Ink("night", read_colour("#1b2233")))
    assert skin_sets(box) == ()
    assert unfilled((), box)[0] == "very light: none of your inks is like this skin"


def test_a_base_without_deeper_inks_is_told() -> None:
    base = skin_sets()[2].base
    assert skin_sets((base,)) == ()
    assert unfilled((), (base,))[2] == (
        "intermediate: there is a base among your inks, but no two deeper ones 8 to 20 L* apart"
    )


# As a side palette


@given(undertones, st.sampled_from(("figure", "piece")), st.sets(st.sampled_from(range(6)), min_size=1))
def test_bases_come_first_and_what_shades_says_what(undertone: str, per: str, bands: set[int]) -> None:
    sets = tuple(one for i, one in enumerate(skin_sets(undertone=undertone)) if i in bands)
    inks = side_inks(sets, per)
    assert len(inks) == 3 * len(sets)
    assert inks[0] == sets[0].base
    bases = {ink.name for ink in inks if not ink.shades}
    assert bases == {one.base.name for one in sets}
    assert {ink.shades for ink in inks if ink.shades} == bases
    if per == "figure":
        assert {ink.name for ink in inks[: len(sets)]} == bases
    else:
        assert [ink.name for ink in inks] == [ink.name for one in sets for ink in values(one)]
    clay = Ink("clay", read_colour("#b5532a"))
    Palette((clay,), (SidePalette("skin", inks),))


def test_an_ink_that_is_a_base_elsewhere_stays_a_base() -> None:
    one, two, three, four = (Ink(f"pen {i}", from_lab((80.0 - 10.0 * i, 10.0, 19.0))) for i in range(4))
    inks = side_inks((SkinSet("light", one, (two, three)), SkinSet("intermediate", two, (three, four))))
    assert [(ink.name, ink.shades) for ink in inks] == [
        *(("pen 0", ""), ("pen 1", ""), ("pen 2", "pen 0"), ("pen 3", "pen 1")),
    ]


# Refusals


def test_unknown_words_are_refused() -> None:
    with pytest.raises(DesignError, match="no undertone 'olive'; the undertones are cool, neutral, warm"):
        skin_sets(undertone="olive")
    with pytest.raises(DesignError, match="not by 'tile'"):
        side_inks(skin_sets(), "tile")
