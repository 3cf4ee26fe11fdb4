"""Reading colours, showing them, and what is lost on the way."""

import csv
import math
import re
from pathlib import Path

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from mockup.colour.coding import linear_from_srgb, srgb_from_linear
from mockup.colour.conversion import from_lab, from_srgb, read_colour
from mockup.colour.difference import ciede2000

PUBLISHED = Path(__file__).parent / "data" / "published"
channels = st.tuples(*[st.floats(0.0, 1.0)] * 3)
labs = st.tuples(st.floats(0.0, 100.0), st.floats(-150.0, 150.0), st.floats(-150.0, 150.0))


def published(name: str) -> list[dict[str, str]]:
    with (PUBLISHED / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


# Properties


@given(st.integers(0, 0xFFFFFF))
def test_a_hex_colour_gives_its_own_hex_again(number: int) -> None:
    text = f"#{number:06x}"
    colour = read_colour(text)
    assert colour.hex == text
    assert colour.written == text
    assert colour.loss == 0.0


@given(channels)
def test_srgb_is_shown_as_it_is(srgb: tuple[float, float, float]) -> None:
    colour = from_srgb(srgb)
    assert colour.srgb == pytest.approx(srgb, abs=1e-12)
    assert colour.loss == 0.0


@given(labs)
def test_any_colour_is_shown_inside_srgb_with_its_lightness_and_hue(lab: tuple[float, float, float]) -> None:
    colour = from_lab(lab)
    assert colour.lab == pytest.approx(lab, abs=1e-6)
    assert all(0.0 <= channel <= 1.0 for channel in colour.srgb)
    shown = from_srgb(colour.srgb)
    if colour.loss == 0.0:
        assert ciede2000(colour, shown) < 0.2  # a quarter of an 8-bit step
        return
    assert colour.loss == pytest.approx(ciede2000(colour, shown), abs=1e-9)
    assert shown.lightness == pytest.approx(colour.lightness, abs=0.01)
    assert shown.chroma < colour.chroma
    turn = math.radians((shown.hue - colour.hue + 180.0) % 360.0 - 180.0)
    assert abs(turn) * shown.chroma < 0.02 or shown.chroma < 0.02


@given(st.tuples(st.floats(15.0, 85.0), st.floats(-100.0, 100.0), st.floats(-100.0, 100.0)))
def test_the_written_form_of_a_measured_colour_reads_as_the_same(lab: tuple[float, float, float]) -> None:
    colour = from_lab(lab)
    assert read_colour(colour.written).lab == pytest.approx(colour.lab, abs=1e-3)


@given(channels)
def test_the_written_form_of_an_srgb_colour_reads_as_the_same(srgb: tuple[float, float, float]) -> None:
    assert read_colour(from_srgb(srgb).written).srgb == pytest.approx(srgb, abs=1e-5)


@given(channels)
def test_encoding_undoes_decoding(srgb: tuple[float, float, float]) -> None:
    assert srgb_from_linear(linear_from_srgb(srgb)) == pytest.approx(srgb, abs=1e-7)


@given(st.integers(0, 255))
def test_greys_have_no_hue(level: int) -> None:
    grey = read_colour(f"#{level:02x}{level:02x}{level:02x}")
    assert grey.hue == 0.0
    assert grey.chroma == pytest.approx(0.0, abs=1e-6)


@given(labs)
def test_lightness_chroma_and_hue_are_the_lab_values_in_polar_form(lab: tuple[float, float, float]) -> None:
    colour = from_lab(lab)
    assume(colour.chroma > 0.1)
    assert 0.0 <= colour.hue < 360.0
    angle = math.radians(colour.hue)
    back = (colour.lightness, colour.chroma * math.cos(angle), colour.chroma * math.sin(angle))
    assert back == pytest.approx(colour.lab, abs=1e-9)


# Syntax


@pytest.mark.parametrize(
    ("text", "same"),
    [
        ("#B53", "#bb5533"),
        ("  #B5532A ", "#b5532a"),
        ("RebeccaPurple", "#663399"),
        ("#b5532aff", "#b5532a"),
        ("rgb(181, 83, 42)", "#b5532a"),
        ("rgba(181 83 42 / 100%)", "#b5532a"),
        ("rgb(300 -20 42)", "#ff002a"),
        ("rgb(none 83 42)", "#00532a"),
        ("hsl(0.5turn 100% 50%)", "#00ffff"),
        ("hsl(120deg, 100%, 25%)", "#008000"),
        ("hsl(120 -10% 50%)", "#808080"),
        ("hwb(90 80% 80%)", "#808080"),
        ("lab(150 0 0)", "#ffffff"),
        ("lab(none 0 0)", "#000000"),
        ("lch(50 -20 30)", "#777777"),
        ("lch(50 0 none)", "#777777"),
        ("oklab(1.2 0 0)", "#ffffff"),
        ("oklch(60% 0 none)", "#808080"),
        ("color(srgb 0.5 0.5 0.5)", "#808080"),
        ("color(srgb-linear 0.2158605 0.2158605 0.2158605)", "#808080"),
        ("color(a98-rgb 1 1 1)", "#ffffff"),
        ("color(xyz 0.4123908 0.2126390 0.0193308)", "#ff0000"),
        ("color(xyz-d50 0.9642 1 0.8251)", "#ffffff"),
    ],
)
def test_every_css_form_is_read(text: str, same: str) -> None:
    colour = read_colour(text)
    assert colour.hex == same
    assert colour.written == text


@pytest.mark.parametrize("space", ["display-p3", "rec2020", "prophoto-rgb", "a98-rgb"])
def test_wider_spaces_are_read_and_their_loss_is_kept(space: str) -> None:
    colour = read_colour(f"color({space} 0 1 0)")
    assert colour.loss > 1.0
    assert colour.chroma > read_colour("#00ff00").chroma


def test_lab_in_css_is_d50_and_the_record_is_d65() -> None:
    colour = read_colour("lab(54.2905 80.8049 69.8910)")
    assert colour.lab == pytest.approx((53.2371, 80.0901, 67.2033), abs=0.05)


def test_a_hue_a_hair_below_0_is_0() -> None:
    assert from_lab((50.0, 20.0, -1e-200)).hue == 0.0


def test_an_impossible_blue_keeps_its_hue() -> None:
    blue = read_colour("lab(30 60 -130)")
    shown = from_srgb(blue.srgb)
    assert abs(shown.hue - blue.hue) < 0.1
    assert 5.0 < blue.loss < 10.0


EXAMPLE = 'write such as "#b5532a", "tomato" or "lab(48 39 43)"'
REFUSED = [
    ("", f"no colour is given; {EXAMPLE}"),
    ("b5532a", "'b5532a' lacks its sign in front; write \"#b5532a\""),
    ("#12345", "'#12345' has 5 digits where 3 or 6 are due; write such as \"#b5532a\""),
    ("#ggg", "'#ggg' has signs other than 0-9 and a-f; write such as \"#b5532a\""),
    ("tomatoe", "'tomatoe' is not a colour; did you mean \"tomato\"?"),
    ("nothing like it", f"'nothing like it' is not a colour; {EXAMPLE}"),
    ("cmyk(1 2 3 4)", f"cmyk() is no form of colour in CSS; {EXAMPLE}"),
    ("jzazbz(0.2 0.1 0.1)", f"jzazbz() is no form of colour in CSS; {EXAMPLE}"),
    ("rgb(1 2)", "'rgb(1 2)' does not follow the form of rgb(); write such as \"rgb(181 83 42)\""),
    ("hsl(1, 2, 3", "'hsl(1, 2, 3' does not follow the form of hsl(); write such as \"hsl(18 62% 44%)\""),
    (
        "color(--lab-d65 50 10 10)",
        "'color(--lab-d65 50 10 10)' does not follow the form of color(); "
        'write such as "color(display-p3 0.66 0.35 0.21)"',
    ),
    (
        "lab(48,5 39 43)",
        "'lab(48,5 39 43)' has commas; numbers stand apart by spaces, with a decimal point; "
        'write such as "lab(48 39 43)"',
    ),
    (
        "#b5532a80",
        "'#b5532a80' is see-through; inks are opaque: leave the alpha out, as in \"#b5532a\"",
    ),
    (
        "transparent",
        "'transparent' is see-through; inks are opaque: leave the alpha out, as in \"#b5532a\"",
    ),
    (
        "oklab(0.5 0 0 / none)",
        "'oklab(0.5 0 0 / none)' is see-through; inks are opaque: leave the alpha out, "
        'as in "oklab(0.56 0.1 0.09)"',
    ),
    ("lab(50 1e400 0)", f"'lab(50 1e400 0)' holds a number that is too large; {EXAMPLE}"),
    ("lab(50 1e308 0)", f"'lab(50 1e308 0)' holds a number that is too large; {EXAMPLE}"),
    ("lab(50 400 0)", f"'lab(50 400 0)' is beyond what an eye can see; check its numbers, or {EXAMPLE}"),
    (
        "color(srgb 2 2 2)",
        f"'color(srgb 2 2 2)' is beyond what an eye can see; check its numbers, or {EXAMPLE}",
    ),
    ("x" * 101, f"'{'x' * 20}…' is too long for a colour; {EXAMPLE}"),
]


@pytest.mark.parametrize(("text", "line"), REFUSED, ids=[text[:30] for text, _ in REFUSED])
def test_what_is_no_colour_is_refused_in_one_plain_line(text: str, line: str) -> None:
    with pytest.raises(ValueError, match=r"^[^\n]+$") as refusal:
        read_colour(text)
    assert str(refusal.value) == line


@pytest.mark.parametrize(
    "form", ["rgb", "rgba", "hsl", "hsla", "hwb", "lab", "lch", "oklab", "oklch", "color"]
)
def test_the_examples_in_refusals_are_right_and_of_one_colour(form: str) -> None:
    with pytest.raises(ValueError, match="write such as") as refusal:
        read_colour(f"{form}(oops)")
    example = str(refusal.value).rsplit('write such as "', maxsplit=1)[1].removesuffix('"')
    assert ciede2000(read_colour(example), read_colour("#b5532a")) < 1.0


@given(st.text(max_size=30))
def test_no_text_ends_in_anything_but_a_colour_or_a_plain_refusal(text: str) -> None:
    try:
        colour = read_colour(text)
    except ValueError:
        return
    assert re.fullmatch("#[0-9a-f]{6}", colour.hex)


@pytest.mark.parametrize("srgb", [(0.1, 0.2), (0.1, 0.2, 1.01), (math.nan, 0.0, 0.0), (-0.1, 0.0, 0.0)])
def test_channels_that_are_no_srgb_colour_are_refused(srgb: tuple[float, ...]) -> None:
    with pytest.raises(ValueError, match=r"an sRGB colour is three numbers from 0 to 1, not \["):
        from_srgb(srgb)


@pytest.mark.parametrize("lab", [(50.0, 0.0), (math.nan, 0.0, 0.0), (50.0, math.inf, 0.0)])
def test_values_that_are_no_lab_colour_are_refused(lab: tuple[float, ...]) -> None:
    with pytest.raises(ValueError, match=r"a CIELAB colour is three numbers, not \["):
        from_lab(lab)


@pytest.mark.parametrize("lab", [(101.0, 0.0, 0.0), (-1.0, 0.0, 0.0), (50.0, 301.0, 0.0)])
def test_lab_colours_that_nobody_can_see_are_refused(lab: tuple[float, float, float]) -> None:
    with pytest.raises(ValueError, match="is beyond what an eye can see; check its numbers"):
        from_lab(lab)


# Published values


def test_names_follow_css_color_4() -> None:
    rows = published("css_named_colours.csv")
    assert len(rows) == 148
    assert {row["name"]: read_colour(row["name"]).hex for row in rows} == {
        row["name"]: row["hex"] for row in rows
    }


@pytest.mark.parametrize("row", published("css_color4_samples.csv"), ids=lambda row: row["css"])
def test_css_samples(row: dict[str, str]) -> None:
    percent = [100 * channel for channel in read_colour(row["css"]).srgb]
    assert percent == pytest.approx([float(row[key]) for key in ("r_pct", "g_pct", "b_pct")], abs=0.1)


@pytest.mark.parametrize("row", published("srgb_lab_oklab.csv"), ids=lambda row: row["hex"])
def test_srgb_lab_and_oklab_values(row: dict[str, str]) -> None:
    colour = read_colour(row["hex"])
    assert colour.lab == pytest.approx([float(row[key]) for key in ("L65", "a65", "b65")], abs=0.05)
    linear = [float(row[key]) for key in ("rlin", "glin", "blin")]
    assert linear_from_srgb(colour.srgb) == pytest.approx(linear, abs=1e-6)
    assert srgb_from_linear(linear) == pytest.approx(np.array(colour.srgb), abs=1e-5)
    for css in (
        f"lab({row['L50']} {row['a50']} {row['b50']})",
        f"oklab({row['okL']} {row['oka']} {row['okb']})",
        f"oklch({row['okL']} {row['okC']} {row['okh'] or 'none'})",
    ):
        assert read_colour(css).srgb == pytest.approx(colour.srgb, abs=2e-3)


def test_oklab_of_white_and_imaginary_primaries() -> None:
    white, *imaginary = published("oklab_ottosson.csv")
    by_xyz = read_colour(f"color(xyz {white['X']} {white['Y']} {white['Z']})")
    by_oklab = read_colour(f"oklab({white['L']} {white['a']} {white['b']})")
    assert by_xyz.lab == pytest.approx(by_oklab.lab, abs=0.2)
    assert len(imaginary) == 3
    for row in imaginary[:2]:
        with pytest.raises(ValueError, match="beyond what an eye can see"):
            read_colour(f"color(xyz {row['X']} {row['Y']} {row['Z']})")
    assert read_colour("color(xyz 0 0 1)").loss > 10.0
