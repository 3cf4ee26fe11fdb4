"""Inks, palettes, and the roles of inks that were given none."""

import math
from dataclasses import replace
from random import Random
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from mockup.colour.conversion import from_lab, read_colour
from mockup.colour.ink import ROLES, Ink
from mockup.colour.palette import Palette, SidePalette
from mockup.colour.roles import account, with_roles
from mockup.errors import DesignError, UnknownNameError

PAPER = read_colour("#fdfcf8")
FIVE = {"clay": "#b5532a", "night": "#1b2a49", "oat": "#e9dfc8", "moss": "#6b8f4e", "sun": "#e8c547"}


def palette(colours: dict[str, str], roles: dict[str, str] | None = None) -> Palette:
    """A palette from names and colours; "paper" is bare paper."""
    return Palette(
        tuple(
            Ink(
                name,
                PAPER if colour == "paper" else read_colour(colour),
                role=(roles or {}).get(name, ""),
                paper=colour == "paper",
            )
            for name, colour in colours.items()
        )
    )


def roles_of(given_palette: Palette) -> dict[str, str]:
    return {ink.name: ink.role for ink in with_roles(given_palette).inks}


@st.composite
def palettes(draw: st.DrawFn) -> Palette:
    """Any palette, some of its roles given."""
    lab = st.tuples(st.floats(5.0, 98.0), st.floats(-60.0, 60.0), st.floats(-60.0, 60.0))
    values = draw(st.lists(lab, min_size=1, max_size=12))
    spare = ["dominant", "dark", "light"]
    inks = []
    for i, value in enumerate(values):
        role = draw(st.sampled_from(["", "", "accent", *spare]))
        if role in spare:
            spare.remove(role)
        inks.append(Ink(f"ink {i}", from_lab(value), role=role))
    return Palette(tuple(inks))


# Inks


@pytest.mark.parametrize(
    ("fields", "line"),
    [
        ({"name": "  "}, 'an ink has no name; give it one, such as name = "clay"'),
        (
            {"role": "leader"},
            "the ink 'clay' has the unknown role 'leader'; the roles are dominant, dark, light, accent",
        ),
        ({"share": 1.5}, "the ink 'clay' has share = 1.5; share is a part of the whole, from 0 to 1"),
        ({"share": math.nan}, "the ink 'clay' has share = nan; share is a part of the whole, from 0 to 1"),
        ({"tip": 0.0}, "the ink 'clay' has tip = 0; tip is a width in mm above 0"),
        ({"bleed": -0.1}, "the ink 'clay' has bleed = -0.1; bleed is a width in mm, 0 or more"),
        (
            {"paper": True, "coats": (PAPER,)},
            "the ink 'clay' is bare paper and has coats; leave its coats out",
        ),
    ],
)
def test_what_no_ink_can_be_is_refused(fields: dict[str, Any], line: str) -> None:
    ink = Ink("clay", PAPER)
    with pytest.raises(DesignError) as refusal:
        replace(ink, **fields)
    assert str(refusal.value) == line


# Palettes


@pytest.mark.parametrize("count", [0, 13])
def test_a_palette_holds_1_to_12_inks(count: int) -> None:
    with pytest.raises(DesignError) as refusal:
        Palette(tuple(Ink(f"ink {i}", PAPER) for i in range(count)))
    assert str(refusal.value) == f"the palette has {count} inks; a palette holds 1 to 12 inks"


@pytest.mark.parametrize(
    ("colours", "roles", "line"),
    [
        (
            {"Clay": "#b5532a", "clay": "#b5532b"},
            {},
            "2 inks are named 'clay'; give each ink a name of its own",
        ),
        (
            FIVE,
            {"clay": "dark", "night": "dark"},
            "2 inks have the role dark (clay, night); keep it for one of them",
        ),
        (
            {"white": "paper", "bare": "paper"},
            {},
            "bare paper is given 2 times (white, bare); once is enough",
        ),
    ],
)
def test_what_no_palette_can_be_is_refused(colours: dict[str, str], roles: dict[str, str], line: str) -> None:
    with pytest.raises(DesignError) as refusal:
        palette(colours, roles)
    assert str(refusal.value) == line


def test_inks_are_found_by_name_in_any_case() -> None:
    five = palette(FIVE)
    for position, ink in enumerate(five.inks):
        assert five.position(ink.name.upper()) == position
        assert five.ink(f" {ink.name.title()} ") is ink


@pytest.mark.parametrize(
    ("name", "line"),
    [
        ("Mos", "no ink is named 'Mos'; did you mean 'moss'?"),
        ("plum", "no ink is named 'plum'; the inks are clay, night, oat, moss, sun"),
    ],
)
def test_an_unknown_name_is_refused_with_the_nearest_known(name: str, line: str) -> None:
    with pytest.raises(UnknownNameError) as refusal:
        palette(FIVE).ink(name)
    assert str(refusal.value) == line


def test_inks_are_found_by_role() -> None:
    five = palette(FIVE, {"sun": "dominant", "moss": "accent", "clay": "accent"})
    assert five.dominant is five.ink("sun")
    assert five.dark is None
    assert five.light is None
    assert five.accents == (five.ink("clay"), five.ink("moss"))
    assert five.lightest is five.ink("oat")
    assert five.darkest is five.ink("night")


# Roles


@given(palettes())
def test_roles_are_complete_single_and_hers_are_kept(given_palette: Palette) -> None:
    full = with_roles(given_palette)
    for before, after in zip(given_palette.inks, full.inks, strict=True):
        assert after.role in ROLES
        assert not before.role or after == before
        assert replace(after, role=before.role) == before
    for role in ("dominant", "dark", "light"):
        assert sum(ink.role == role for ink in full.inks) <= 1
    without = sum(not ink.role for ink in given_palette.inks)
    missing = 3 - sum(ink.role in {"dominant", "dark", "light"} for ink in given_palette.inks)
    assert sum(full_ink.role != "accent" for full_ink in full.inks) == 3 - missing + min(missing, without)


@given(palettes())
def test_roles_once_worked_out_stay(given_palette: Palette) -> None:
    full = with_roles(given_palette)
    assert with_roles(full) == full


@given(palettes(), st.randoms(use_true_random=False))
def test_roles_do_not_hang_on_the_order_of_inks(given_palette: Palette, random: Random) -> None:
    looks = [(ink.colour.lightness, ink.colour.chroma) for ink in given_palette.inks]
    scores = [(light, light - 0.5 * chroma, chroma - abs(light - 50.0)) for light, chroma in looks]
    for column in zip(*scores, strict=True):
        assume(len({round(score, 6) for score in column}) == len(looks))  # equals go by order
    shuffled = list(given_palette.inks)
    random.shuffle(shuffled)
    assert roles_of(given_palette) == roles_of(Palette(tuple(shuffled)))


@given(palettes())
def test_a_dark_worked_out_is_the_darkest_of_those_without_a_role(given_palette: Palette) -> None:
    dark = with_roles(given_palette).dark
    if dark is not None and given_palette.dark is None:
        free = [ink.colour.lightness for ink in given_palette.inks if not ink.role]
        assert dark.colour.lightness == min(free)


@pytest.mark.parametrize(
    ("colours", "roles", "worked_out"),
    [
        (FIVE, {}, {"clay": "dominant", "night": "dark", "oat": "light", "moss": "accent", "sun": "accent"}),
        (
            FIVE,
            {"sun": "dominant", "clay": "accent"},
            {"clay": "accent", "night": "dark", "oat": "light", "moss": "accent", "sun": "dominant"},
        ),
        (
            {
                "rose": "#f2c9c4",
                "mint": "#cfe3d4",
                "cream": "#f7efc6",
                "sky": "#b9c7e4",
                "heather": "#8f86a8",
            },
            {},
            {"rose": "accent", "mint": "accent", "cream": "light", "sky": "dominant", "heather": "dark"},
        ),
        (
            {"lemon": "#fff04d", "fog": "#dcdcdc", "night": "#1b2a49", "brick": "#a0301f"},
            {},
            {"lemon": "accent", "fog": "light", "night": "dark", "brick": "dominant"},
        ),
        ({"night": "#1b2a49"}, {}, {"night": "dominant"}),
        ({"white": "paper"}, {}, {"white": "light"}),
        ({"oat": "#e9dfc8", "night": "#1b2a49"}, {}, {"oat": "dominant", "night": "dark"}),
        ({"oat": "#e9dfc8", "night": "#1b2a49"}, {"oat": "light"}, {"oat": "light", "night": "dominant"}),
        ({"white": "paper", "night": "#1b2a49"}, {}, {"white": "light", "night": "dominant"}),
        (
            {"clay": "#b5532a", "night": "#1b2a49", "oat": "#e9dfc8"},
            {},
            {"clay": "dominant", "night": "dark", "oat": "light"},
        ),
        (
            {"clay": "#b5532a", "white": "paper", "oat": "#e9dfc8", "night": "#1b2a49"},
            {"oat": "light"},
            {"clay": "dominant", "white": "accent", "oat": "light", "night": "dark"},
        ),
    ],
)
def test_roles_as_the_trade_would_choose(
    colours: dict[str, str], roles: dict[str, str], worked_out: dict[str, str]
) -> None:
    assert roles_of(palette(colours, roles)) == worked_out


def test_the_account_says_why() -> None:
    assert account(palette(FIVE, {"sun": "accent"})) == (
        "clay: dominant, the strongest of the rest (chroma 56, L* 47)",
        "night: dark, the darkest by 30 L*",
        "oat: light, the lightest and most neutral (L* 89, chroma 13)",
        "moss: accent, to set off the others",
        "sun: accent, as you gave it",
    )


@pytest.mark.parametrize(
    ("colours", "roles", "line"),
    [
        (
            {"coal": "#222222", "soot": "#2c2c2c", "oat": "#e9dfc8"},
            {},
            "coal: dark, the darkest, though only by 5 L*; a dark is best clearly darker",
        ),
        (FIVE, {"night": "accent"}, "clay: dark, the darkest of the inks without a role (L* 47)"),
        (
            {"sea": "#2e86de", "leaf": "#27ae60", "brick": "#a0301f"},
            {},
            "leaf: light, the nearest to a light there is (L* 63, chroma 61); bare paper can be a light too",
        ),
        ({"night": "#1b2a49", "white": "paper"}, {}, "white: light, bare paper counts as a light"),
        (
            {"night": "#1b2a49", "white": "paper"},
            {},
            "night: dominant, what is left to lead (chroma 22, L* 17)",
        ),
        (
            {"oat": "#e9dfc8", "white": "paper"},
            {"oat": "light"},
            "white: accent, bare paper beside the light you gave",
        ),
    ],
)
def test_the_account_of_doubtful_palettes(colours: dict[str, str], roles: dict[str, str], line: str) -> None:
    assert line in account(palette(colours, roles))


def test_side_palettes_stand_apart() -> None:
    tones = tuple(
        Ink(name, read_colour(colour)) for name, colour in {"honey": "#e9bf98", "umber": "#6f4630"}.items()
    )
    own = with_roles(replace(palette(FIVE), side=(SidePalette("skin", tones),)))
    assert [ink.name for ink in own.every] == [*FIVE, "honey", "umber"]
    assert own.sides == ("", "", "", "", "", "skin", "skin")
    assert own.number("Umber") == 6
    assert own.position("sun") == own.number("sun") == 4
    assert roles_of(own) == roles_of(palette(FIVE))
    assert all(ink.role == "" for ink in tones)
    with pytest.raises(UnknownNameError) as refusal:
        own.position("umber")
    assert str(refusal.value) == (
        "'umber' is an ink of the side palette 'skin', which stands apart; the inks are clay, night, oat, moss, sun"
    )
    with pytest.raises(DesignError, match="2 inks are named 'clay'"):
        Palette(own.inks, (SidePalette("skin", (Ink("Clay", PAPER),)),))


def test_the_darkest_and_the_lightest_are_never_skin() -> None:
    tones = (Ink("chalk", read_colour("white")), Ink("jet", read_colour("black")))
    own = Palette(palette(FIVE).inks, (SidePalette("skin", tones),))
    assert (own.darkest.name, own.lightest.name) == ("night", "oat")
