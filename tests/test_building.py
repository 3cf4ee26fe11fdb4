"""Palettes built round a lead: complete, clear of each other, and hers where she has a box."""

from dataclasses import replace
from itertools import combinations, pairwise, permutations

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from mockup.colour.building import FEWEST, Built, build, offer
from mockup.colour.building_owned import found
from mockup.colour.building_schemes import Lead
from mockup.colour.conversion import from_srgb, read_colour
from mockup.colour.difference import ciede2000
from mockup.colour.ink import Ink
from mockup.colour.naming import distinct_names
from mockup.colour.oklch import tone
from mockup.colour.palette import MOST_INKS
from mockup.errors import DesignError

channels = st.tuples(*[st.integers(0, 255)] * 3)
greys = st.integers(0, 255).map(lambda value: (value,) * 3)
hues = st.one_of(channels, channels, greys)
leads = hues.map(lambda rgb: Ink("lead", from_srgb([value / 255 for value in rgb]), share=0.3, tip=1.0))
KINDS = (
    *("monochrome", "analogous", "complementary", "split complementary", "triad"),
    *("pastel", "muted", "dark ground"),
)
ANGLES = {
    "monochrome": (0.0, 0.0),
    "analogous": (-38.0, 40.0),
    "complementary": (180.0,),
    "split complementary": (150.0, 210.0),
    "triad": (120.0, 240.0),
}
CLAY = Ink("clay", read_colour("#b5532a"))
NAMED = ("#b5532a", "#6b8f4e", "#d8a32c", "#7a4fb0", "#8c8c8c", "#8fc1e3")


def boxes(least: int, most: int) -> st.SearchStrategy[tuple[Ink, ...]]:
    """Any box of inks, no two of one colour."""
    return st.lists(channels, min_size=least, max_size=most, unique=True).map(boxed)


def boxed(values: list[tuple[int, ...]]) -> tuple[Ink, ...]:
    colours = [from_srgb([value / 255 for value in rgb]) for rgb in values]
    return tuple(
        Ink(name, colour, tip=0.5) for name, colour in zip(distinct_names(colours), colours, strict=True)
    )


def lightness(ink: Ink) -> float:
    return ink.colour.lightness


def dark_of(one: Built) -> Ink:
    assert one.palette.dark is not None
    return one.palette.dark


def light_of(one: Built) -> Ink:
    assert one.palette.light is not None
    return one.palette.light


# Properties of made palettes


def judge_roles(lead: Ink, one: Built, count: int) -> None:
    """All roles are there, the lead is as it was, everything made is inside sRGB."""
    inks = one.palette.inks
    assert [ink.role for ink in inks] == ["dominant", "dark", "light", *["accent"] * (count - 3)]
    assert inks[0] == replace(lead, role="dominant")
    assert all(ink.colour.loss == 0.0 for ink in inks[1:])
    assert one.reasons
    assert all(line.strip() and "\n" not in line for line in one.reasons)


def judge_lightness(lead: Ink, one: Built) -> None:
    """The dark is 15 L* below all others, the light is from 85 up and above all others.

    A lead too dark for a darker ink stands apart from the dark by as much; beside a pale lead the light may lie below.
    """
    dark, light = dark_of(one), light_of(one)
    rest = [ink for ink in one.palette.inks if ink is not dark]
    if lightness(lead) < 23.0:
        assert lightness(dark) - lightness(lead) >= 15.0
        rest = rest[1:]
    assert min(map(lightness, rest)) - lightness(dark) >= 15.0
    assert lightness(light) >= 85.0
    assert light.colour.chroma <= 14.0
    assert all(lightness(light) > lightness(ink) for ink in one.palette.inks[3:])
    if lightness(light) <= lightness(lead):
        assert lightness(lead) >= 83.0
        assert any("too light for a clearly lighter ink" in line for line in one.reasons)


def judge_differences(one: Built) -> None:
    """Any two inks differ by CIEDE2000 10, in one hue by 8; the least is told."""
    least = min(ciede2000(a.colour, b.colour) for a, b in combinations(one.palette.inks, 2))
    told = next(line for line in one.reasons if line.startswith("the two most alike"))
    assert f"CIEDE2000 {least:.0f}" in told
    assert least >= (8.0 if one.kind == "monochrome" else 10.0)


def judge_hues(lead: Ink, one: Built) -> None:
    """Neighbours, the opposite, beside the opposite, thirds of the circle: angles in OKLCH, within 18 degrees."""
    shade = tone(lead.colour)
    accents = one.palette.accents[:2]
    if shade.chroma < 0.03 or one.kind not in ANGLES:
        return
    for ink, angle in zip(accents, ANGLES[one.kind], strict=False):
        assert abs((tone(ink.colour).hue - shade.hue - angle + 180.0) % 360.0 - 180.0) <= 18.0


@given(leads, st.integers(FEWEST, 7))
@settings(max_examples=10, deadline=None)
def test_made_palettes_keep_the_rules_of_the_trade(lead: Ink, count: int) -> None:
    found = build(lead, count)
    kinds = [one.kind for one in found]
    assert {"monochrome", "pastel"} <= set(kinds) <= set(KINDS)
    assert len(set(kinds)) == len(kinds)
    for one in found:
        judge_roles(lead, one, count)
        judge_lightness(lead, one)
        judge_differences(one)
        judge_hues(lead, one)
    for one, other in combinations(found, 2):
        nearest = [min(ciede2000(a.colour, b.colour) for b in other.palette.inks) for a in one.palette.inks]
        assert max(nearest) > 1.0


@pytest.mark.parametrize("text", NAMED)
def test_a_pastel_is_pale_and_soft_with_a_dark_that_is_no_black_and_grey_keeps_a_structure(text: str) -> None:
    lead = read_colour(text)
    for one in build(lead):
        order = sorted(map(lightness, one.palette.inks))
        assert min(b - a for a, b in pairwise(order)) >= 4.0
        if one.kind == "pastel":
            assert all(lightness(ink) >= 74.0 and ink.colour.chroma <= 36.0 for ink in one.palette.accents)
            assert lightness(dark_of(one)) >= min(40.0, lead.lightness - 26.0)


@pytest.mark.parametrize(("text", "count"), [("#ffffff", FEWEST), ("#000000", 8), ("#d98a9b", MOST_INKS)])
def test_few_and_many_inks_are_built_too(text: str, count: int) -> None:
    for one in build(read_colour(text), count):
        assert len(one.palette.inks) == count
        assert {"dominant", "dark", "light"} <= {ink.role for ink in one.palette.inks}


def test_the_same_is_built_again() -> None:
    assert offer(CLAY, 5) == offer(CLAY, 5)


# Bare paper


def test_bare_paper_is_the_light_and_costs_no_ink() -> None:
    paper = read_colour("#fdfcf8")
    for one in build(CLAY, 5, paper=paper):
        light = light_of(one)
        assert light.paper
        assert light.colour == paper
        assert any(line.startswith("bare paper is the light") for line in one.reasons)


@pytest.mark.parametrize(("lead", "paper"), [("#b5532a", "#b89b72"), ("#fbf8f0", "#fdfcf8")])
def test_paper_too_dark_or_too_near_the_lead_is_passed_over_and_told(lead: str, paper: str) -> None:
    for one in build(read_colour(lead), 5, paper=read_colour(paper)):
        assert not any(ink.paper for ink in one.palette.inks)
        assert any(line.startswith("bare paper is too dark") for line in one.reasons)


# Her own inks


@given(boxes(12, 60), channels, st.integers(FEWEST, 7))
@settings(max_examples=8, deadline=None)
def test_every_ink_is_one_of_hers_and_none_comes_twice(
    box: tuple[Ink, ...], wish: tuple[int, ...], count: int
) -> None:
    known = {ink.name: ink for ink in box}
    found = offer(from_srgb([value / 255 for value in wish]), count, box)
    assert found.built
    sets = [frozenset(ink.name for ink in one.palette.inks) for one in found.built]
    assert len(set(sets)) == len(sets)
    for one in found.built:
        inks = one.palette.inks
        assert len({ink.name for ink in inks}) == len(inks) == count
        for ink in inks:
            own = known[ink.name]
            assert (ink.colour, ink.tip) == (own.colour, own.tip)
        assert dark_of(one)
        assert light_of(one)
        assert sum("wished" in line and "nearest of yours" in line for line in one.reasons) >= count - 1


@given(st.lists(channels, min_size=30, max_size=40, unique=True))
@settings(max_examples=4, deadline=None)
def test_a_full_box_keeps_the_rules_of_the_roles(values: list[tuple[int, ...]]) -> None:
    """Where the box holds a good dark, a good light and a middling lead, the dark is clearly the darkest."""
    box = (CLAY, Ink("night", read_colour("#1b2233")), Ink("oat", read_colour("#f1e7d4")), *boxed(values))
    assume(len({ink.name for ink in box}) == len(box))
    for one in build(CLAY, 5, box):
        assert one.palette.inks[0].colour == CLAY.colour
        dark, light = dark_of(one), light_of(one)
        assert all(lightness(ink) - lightness(dark) >= 15.0 for ink in one.palette.inks if ink is not dark)
        assert lightness(light) >= 85.0
        assert all(lightness(ink) < lightness(light) for ink in one.palette.inks if ink is not light)


@given(st.lists(channels, min_size=5, max_size=6, unique=True), channels)
@settings(max_examples=15, deadline=None)
def test_no_other_inks_of_hers_are_nearer(values: list[tuple[int, ...]], wish: tuple[int, ...]) -> None:
    """The choice against all choices there are that keep the rules, where some keep them in full."""
    night, oat = Ink("night", read_colour("#1b2233")), Ink("oat", read_colour("#f1e7d4"))
    box = (night, oat, *boxed(values))
    texts = ("#223047", "#f4ebe0", "#5b97ac")
    wished = (*map(read_colour, texts), from_srgb([value / 255 for value in wish]))
    lead = Lead(CLAY.colour.lightness, tone(CLAY.colour), darkest=False, lightest=False)

    def keeps(inks: tuple[Ink, ...]) -> bool:
        dark, light, *accents = inks
        return (
            lightness(light) >= 85.0
            and light.colour.chroma <= 14.0
            and all(lightness(ink) - lightness(dark) >= 15.0 for ink in (CLAY, *inks[1:]))
            and all(lightness(ink) < lightness(light) for ink in (CLAY, *accents))
            and all(ciede2000(a.colour, b.colour) >= 10.0 for a, b in combinations((CLAY, *inks), 2))
        )

    def miss(inks: tuple[Ink, ...]) -> float:
        return sum(ciede2000(a, ink.colour) for a, ink in zip(wished, inks, strict=True)) / len(inks)

    every = [miss(inks) for inks in permutations(box, 4) if keeps(inks)]
    assume(every)
    chosen = found(CLAY, lead, wished, box, None, 10.0)
    assert keeps(chosen.inks)
    assert chosen.miss == pytest.approx(min(every))


def test_what_is_wished_is_found_in_a_box_that_holds_it() -> None:
    """The box of all inks of a made palette, and strangers: the palette comes again, and no ink misses."""
    wished = next(one for one in build(CLAY, 6) if one.kind == "triad").palette.inks
    strangers = (Ink("acid", read_colour("#c8ff00")), Ink("rag", read_colour("#7a7a70")))
    found = offer(CLAY, 6, (*strangers, *wished))
    again = next(one for one in found.built if one.kind == "triad")
    assert {ink.name for ink in again.palette.inks} == {ink.name for ink in wished}
    assert all("CIEDE2000 0" in line for line in again.reasons if "nearest of yours" in line)


def test_twins_in_the_box_do_not_both_come() -> None:
    palette = next(one for one in build(CLAY, 5) if one.kind == "triad").palette.inks
    twin = Ink("twin", from_srgb([min(value + 0.01, 1.0) for value in palette[3].colour.srgb]))
    found = next(one for one in build(CLAY, 5, (*palette, twin)) if one.kind == "triad")
    assert len({"twin", palette[3].name} & {ink.name for ink in found.palette.inks}) == 1


def test_kinds_that_her_inks_do_not_reach_are_left_out_and_told() -> None:
    box = boxed([(200 - 12 * step, 60 + 9 * step, 40) for step in range(8)])
    found = offer(CLAY, 4, (CLAY, *box))
    assert len(found.built) + len(found.left_out) == len(KINDS)
    assert any("too far" in line or "comes out like" in line for line in found.left_out)


def test_a_lead_that_is_not_hers_gives_way_to_her_nearest() -> None:
    box = boxed([(180, 80, 40), (20, 30, 60), (240, 230, 210), (90, 140, 80), (230, 180, 60), (60, 110, 160)])
    for one in build(read_colour("#b5532a"), 4, box):
        assert one.palette.inks[0].name == box[0].name
        assert one.reasons[0].startswith("lead: wished")


# Refusals


@pytest.mark.parametrize("count", [0, 2, 13])
def test_too_few_or_too_many_inks_are_refused(count: int) -> None:
    with pytest.raises(DesignError) as refusal:
        build(CLAY, count)
    assert str(refusal.value) == f"a palette of {count} inks cannot be built; ask for 3 to 12 inks"


def test_a_box_too_small_is_refused() -> None:
    with pytest.raises(DesignError) as refusal:
        build(CLAY, 5, (CLAY, Ink("night", read_colour("#1b2233"))))
    assert str(refusal.value) == (
        "the box holds 2 inks, the palette is to have 5; ask for fewer inks, or add some to the box"
    )
