"""Values with a form of their own: sizes, scales, drops, tiles, places; what stands for what is left out."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mockup.design.forms import NamedPlace, PointedPlace, read_place
from mockup.design.reading import parse_design
from mockup.design.records import Design, MotifSpec
from mockup.errors import DesignError

INK = '[[palette.ink]]\nname = "clay"\ncolour = "#b5532a"\n'
MOTIFS = '[pattern]\nmotifs = ["pear", "fig", "dot"]\n'
LEAST = INK + MOTIFS


def parse(text: str) -> Design:
    return parse_design(text, where="rose.toml")


@pytest.mark.parametrize(
    ("written", "size", "name"),
    [
        ('"a3"', (297, 420), "A3"),
        ('"Letter"', (215.9, 279.4), "letter"),
        ('"tabloid"', (279.4, 431.8), "tabloid"),
        ('[300, "20cm"]', (300, 200), None),
        ('["10in", "10in"]', (254, 254), None),
    ],
)
def test_sizes(written: str, size: tuple[float, float], name: str | None) -> None:
    sheet = parse(f"{LEAST}[sheet]\nsize = {written}\n").sheet
    assert (sheet.width, sheet.height) == pytest.approx(size)
    assert sheet.size_name == name


@pytest.mark.parametrize(
    ("written", "scale", "text"),
    [("1:4", 0.25, "1:4"), (" 1 : 2.5 ", 0.4, "1:2.5"), ("2:1", 2, "2:1"), ("1:1", 1, "1:1")],
)
def test_scales(written: str, scale: float, text: str) -> None:
    sheet = parse(f'{LEAST}[sheet]\nscale = "{written}"\n').sheet
    assert sheet.scale == pytest.approx(scale)
    assert sheet.scale_text == text


@given(st.integers(1, 12), st.integers(1, 11), st.integers(1, 50))
def test_a_drop_is_given_in_lowest_terms(below: int, above: int, times: int) -> None:
    text = f'{LEAST}drop = "{above * times}/{below * times}"\n'
    if above >= below:
        with pytest.raises(DesignError, match="above 0 and below 1"):
            parse(text)
    else:
        pattern = parse(text).pattern
        assert pattern
        assert pattern.drop == Fraction(above, below)


@pytest.mark.parametrize(
    ("written", "tile"),
    [
        ("60", (60, 60)),
        ("[60]", (60, 60)),
        ('["6cm", 40.5]', (60, 40.5)),
        ('"2in"', (50.8, 50.8)),
    ],
)
def test_tiles(written: str, tile: tuple[float, float]) -> None:
    pattern = parse(f"{LEAST}tile = {written}\n").pattern
    assert pattern
    assert pattern.tile == pytest.approx(tile)


@pytest.mark.parametrize(
    ("written", "read"),
    [('"smallest"', "smallest"), ('"none"', "none"), ("[2, 1]", (2, 1)), ("[12, 12]", (12, 12))],
)
def test_colour_repeats(written: str, read: object) -> None:
    assert parse(f"{LEAST}[colouring]\ncolour_repeat = {written}\n").colouring.colour_repeat == read


@pytest.mark.parametrize(
    ("written", "place"),
    [
        ("pear-3/body", NamedPlace("pear", 3, "body")),
        ("pear-3@2,1/body", NamedPlace("pear", 3, "body", (2, 1))),
        ("my-2-pears-12/a/b", NamedPlace("my-2-pears", 12, "a/b")),
        ("at 32,41", PointedPlace(32, 41)),
        (" at 32.5 , 0 ", PointedPlace(32.5, 0)),
        ("at-1/wing", NamedPlace("at", 1, "wing")),
    ],
)
def test_places(written: str, place: object) -> None:
    assert read_place(written) == place
    assert read_place(str(place)) == place


@given(st.floats(0, 9999), st.floats(0, 9999))
def test_points_come_back(x: float, y: float) -> None:
    point = PointedPlace(round(x, 4), round(y, 4))
    assert read_place(f"at {point.x:.4f},{point.y:.4f}") == point


def test_light_is_a_direction_from_0_to_360() -> None:
    assert parse(f"{LEAST}[shading]\nlight = -45\n").shading.light == 315
    assert parse(f"{LEAST}[shading]\nlight = 360\n").shading.light == 0


def test_colourways_without_code_or_name_get_the_next_free() -> None:
    ways = parse(
        LEAST + '[[colourway]]\n[[colourway]]\ncode = "B"\n[[colourway]]\nname = "Dusk"\n'
    ).colourways
    assert [way.code for way in ways] == ["C", "B", "D"]
    assert [way.name for way in ways] == ["colourway C", "colourway B", "Dusk"]


def test_with_a_box_a_name_is_enough() -> None:
    design = parse('[palette]\nbox = "inks.csv"\nink = [{ name = "clay" }, { name = "moss" }]\n' + MOTIFS)
    assert [(ink.name, ink.colour) for ink in design.palette.inks] == [("clay", None), ("moss", None)]


def test_an_ink_may_be_called_paper_if_it_is() -> None:
    design = parse('[[palette.ink]]\nname = "paper"\ncolour = "paper"\n' + MOTIFS)
    assert design.palette.inks[0].name == "paper"


def test_motifs_may_be_tables_with_two_brackets() -> None:
    pattern = parse(
        INK + '[[pattern.motifs]]\nname = "pear"\n[[pattern.motifs]]\nname = "fig"\nturn = 9\n'
    ).pattern
    assert pattern
    assert pattern.motifs == (MotifSpec("pear"), MotifSpec("fig", turn=9.0))


def test_shares_of_one_third_each_add_up() -> None:
    inks = "".join(f'[[palette.ink]]\nname = "{n}"\ncolour = "#abc"\nshare = 0.33\n' for n in "abc")
    assert parse(inks + MOTIFS + '[colouring]\nbalance = "own"\n').colouring.balance == "own"
