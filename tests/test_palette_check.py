"""What is found of a palette: each finding holds for the colours it is told of, and nothing is passed over."""

import json
import math
import os
import pty
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st
from small import DRAWN, changed, write_design

from mockup.cli.main import mockup
from mockup.cli.shared import _terminal_colour
from mockup.colour.apart import ALIKE, SAME_GREY, alike_limit, as_dichromats_see, same_grey, too_alike
from mockup.colour.conversion import from_srgb, read_colour
from mockup.colour.difference import ciede2000, differences
from mockup.colour.ink import Ink
from mockup.colour.judging import (
    CLEARLY,
    ON_DARK,
    ON_LIGHT,
    Drawing,
    advised,
    clear_dark,
    clear_of_ground,
    judged,
    number_of_inks,
    out_of_gamut,
    sound_light,
)
from mockup.colour.palette import Palette
from mockup.colour.roles import with_roles
from mockup.colour.vision import DEFICIENCIES, seen
from mockup.jobs.palettecheck import as_data, check_palette, in_lines

channel = st.floats(0, 1).map(lambda value: round(value, 3))
colours = st.lists(st.tuples(channel, channel, channel), min_size=1, max_size=8, unique=True)
drawings = st.builds(Drawing, st.integers(1, 3000), st.floats(0.5, 5000), st.floats(0.3, 80))


def inked(rgb: list[tuple[float, float, float]]) -> Palette:
    return with_roles(Palette(tuple(Ink(f"ink {n}", from_srgb(c)) for n, c in enumerate(rgb))))


def palette(**inks: str) -> Palette:
    return with_roles(Palette(tuple(Ink(name, read_colour(colour)) for name, colour in inks.items())))


PASTEL = {"milk": "#f4eee1", "rose": "#dba39a", "butter": "#ead08c", "sage": "#a8bc9d"}


@settings(max_examples=30)
@given(colours, drawings)
def test_every_finding_says_what_and_on_what_ground_in_one_line(
    rgb: list[tuple[float, float, float]], drawing: Drawing
) -> None:
    own = inked(rgb)
    found = judged(own, drawing, own.inks[0])
    assert {one.topic for one in found} >= {
        "number",
        "dark",
        "light",
        "ground",
        "alike",
        "grey",
        *DEFICIENCIES,
    }
    for one in found:
        assert "\n" not in one.line
        assert one.line.endswith(f"({one.source})")
        assert one.source
        assert bool(one.advice) == (not one.good)


@given(drawings, drawings)
def test_more_shapes_and_more_room_never_ask_for_fewer_inks(one: Drawing, other: Drawing) -> None:
    small = Drawing(min(one.shapes, other.shapes), min(one.area, other.area), 5)
    large = Drawing(max(one.shapes, other.shapes), max(one.area, other.area), 5)
    assert 4 <= advised(small) <= advised(large) <= 7


@pytest.mark.parametrize(
    ("shapes", "area", "inks"),
    [
        (6, 300, 4),
        (12, 60, 4),
        (20, 20, 4),
        (26, 57, 5),
        (80, 200, 5),
        (120, 300, 6),
        (400, 600, 7),
        (90, 1200, 7),
    ],
)
def test_small_and_simple_takes_four_inks_large_or_detailed_up_to_seven(
    shapes: int, area: float, inks: int
) -> None:
    """Common practice, no source: four, about five, up to seven."""
    assert advised(Drawing(shapes, area, 5)) == inks


def test_too_many_inks_are_told_with_the_two_that_are_nearest() -> None:
    own = palette(a="#f4eee1", b="#25313f", c="#b9522b", d="#bb5530", e="#dca63f", f="#73834f")
    found = number_of_inks(own, Drawing(8, 40, 6))
    assert not found.good
    assert found.line == (
        "6 inks for 8 shapes on 40 cm2; about 4 do: leave one of c and d out, the nearest to each other "
        "(common practice, no source)"
    )
    few = number_of_inks(palette(a="#f4eee1", b="#25313f"), Drawing(60, 100, 6))
    assert (
        few.line
        == "2 inks for 60 shapes on 100 cm2; about 5 are usual: add an accent (common practice, no source)"
    )


@settings(max_examples=30)
@given(colours)
def test_a_dark_is_clear_exactly_where_it_is_so_much_darker_than_the_next(
    rgb: list[tuple[float, float, float]],
) -> None:
    own = inked(rgb)
    light = sorted(ink.colour.lightness for ink in own.inks)
    found = clear_dark(own)
    if len(light) > 1:
        assert found.good == (light[1] - light[0] >= CLEARLY)
        if not found.good:
            told = float(found.advice.split("L* ")[1].split(" ")[0])
            assert told == pytest.approx(max(light[1] - CLEARLY, 0), abs=0.51)


def test_a_pastel_needs_a_dark_too() -> None:
    assert not clear_dark(palette(**PASTEL)).good
    assert clear_dark(palette(**PASTEL, slate="#64788f")).good


def test_a_dark_that_is_not_the_darkest_is_told() -> None:
    own = Palette((Ink("a", read_colour("#445566"), "dark"), Ink("b", read_colour("#111111"), "dominant")))
    assert clear_dark(own).seen == "a is to be the dark, but b is darker"


def test_a_light_is_light_or_neutral_and_unlike_the_others() -> None:
    assert sound_light(palette(**PASTEL, slate="#64788f")).good
    vivid = palette(a="#b9522b", b="#25313f", c="#2f8f5b")
    assert not sound_light(vivid).good
    assert sound_light(vivid, Ink("bare paper", read_colour("#fdfcf8"), paper=True)).good
    assert sound_light(palette(a="#b9522b", b="#25313f", c="#8f8f8c")).good
    near = sound_light(palette(a="#f4eee1", b="#f2e3c8", c="#25313f"))
    assert not near.good
    assert "is near" in near.seen


@settings(max_examples=30)
@given(colours, st.integers(0, 7))
def test_an_ink_that_does_not_stand_off_the_ground_is_told(
    rgb: list[tuple[float, float, float]], number: int
) -> None:
    own = inked(rgb)
    ground = own.inks[number % len(rgb)]
    found = clear_of_ground(own, ground)
    level = ground.colour.lightness
    weak = [
        ink.name
        for ink in own.inks
        if ink is not ground
        and (
            ink.colour.lightness - level < ON_DARK
            if level < 50
            else abs(ink.colour.lightness - level) < ON_LIGHT
        )
    ]
    assert found.good == (not weak)
    assert sum(f"{name} by" in found.seen for name in weak) == min(len(weak), 3)


def test_the_limit_for_alike_inks_grows_as_shapes_get_smaller() -> None:
    """The size term is the mean of B / A for L*, a*, b* (Stone, Szafir, Setlur 2014, from memory)."""
    term = np.mean([1.50 / 10.16, 3.08 / 10.68, 5.74 / 10.70])
    widths = [0.5, 1, 2, 3, 5, 8, 12, 20, 40, 80]
    limits = [alike_limit(width) for width in widths]
    assert limits == sorted(limits, reverse=True)
    for width, limit in zip(widths, limits, strict=True):
        degrees = math.degrees(2 * math.atan(width / 1000))
        assert limit == pytest.approx(ALIKE * (1 + term / degrees), rel=0.02)


@settings(max_examples=30)
@given(colours, st.floats(0.5, 60))
def test_pairs_too_alike_are_told_the_nearest_first(
    rgb: list[tuple[float, float, float]], width: float
) -> None:
    own = inked(rgb)
    found, limit = too_alike(own, width), alike_limit(width)
    names = [ink.name for ink in own.inks]
    pairs = {
        f"{names[i]} and {names[j]}": ciede2000(own.inks[i].colour, own.inks[j].colour)
        for i in range(len(names))
        for j in range(i + 1, len(names))
    }
    near = sorted(value for value in pairs.values() if value < limit)
    assert all(one.good for one in found) == (not near)
    if near:
        assert len(found) == min(3, len(near))
        told = [
            next(value for pair, value in pairs.items() if one.seen.startswith(f"{pair} differ"))
            for one in found
        ]
        assert told == pytest.approx(near[: len(told)])


@settings(max_examples=30)
@given(colours)
def test_inks_of_one_grey_are_told(rgb: list[tuple[float, float, float]]) -> None:
    own = inked(rgb)
    light = sorted(ink.colour.lightness for ink in own.inks)
    steps = np.diff(light)
    assert same_grey(own).good == (not len(steps) or steps.min() >= SAME_GREY)


@settings(max_examples=30)
@given(colours, st.floats(1, 40))
def test_pairs_that_fall_together_are_those_that_others_tell_apart(
    rgb: list[tuple[float, float, float]], width: float
) -> None:
    own, limit = inked(rgb), alike_limit(width)
    given_ = [ink.colour for ink in own.inks]
    before = differences(given_)
    for one in as_dichromats_see(own, width):
        after = differences(seen(given_, one.topic))
        lost = np.triu((after < limit) & (before >= limit), 1)
        assert one.good == (not lost.any())
        assert one.seen.count(" to ") == min(3, int(lost.sum()))


def test_red_and_green_of_one_lightness_fall_together_and_blue_and_orange_do_not() -> None:
    red_green = {one.topic: one.good for one in as_dichromats_see(palette(a="#b9522b", b="#73834f"), 4)}
    assert red_green == {"protan": False, "deutan": False, "tritan": True}
    told = {one.topic: one.good for one in as_dichromats_see(palette(a="#0072b2", b="#e69f00"), 10)}
    assert all(told.values())


def test_what_a_screen_cannot_show_is_told_with_the_loss() -> None:
    (found,) = out_of_gamut(palette(a="lab(55 -60 -5)", b="#25313f"))
    assert found.seen == "a is more vivid than sRGB; it is shown 7 off (CIEDE2000)"


def test_a_drawing_is_measured_on_its_sheet(tmp_path: Path) -> None:
    report = check_palette(write_design(tmp_path))
    assert report.drawing
    assert report.drawing.shapes == 4
    assert report.drawing.width == pytest.approx(16, abs=0.01)
    assert report.drawing.area == pytest.approx(16.0, rel=0.01)
    assert report.ground
    assert report.ground.paper
    assert next(line.text for line in in_lines(report)) == (
        "blocks.toml: 4 inks, ground bare paper, for 4 shapes, the smaller ones 16 mm wide"
    )


def test_a_palette_alone_is_judged_without_number_and_ground(tmp_path: Path) -> None:
    file = tmp_path / "four.csv"
    file.write_text("name,colour,role\noat,#f1e4c8,\nclay,#b9522b,dominant\nmoss,#73834f,\nnight,#25313f,\n")
    report = check_palette(file)
    assert report.drawing is None
    assert {one.topic for one in report.findings}.isdisjoint({"number", "ground"})
    assert "clay: dominant, as you gave it" in report.account
    assert as_data(report)["drawing"] is None


def run(*words: str) -> str:
    result = CliRunner().invoke(mockup, words, standalone_mode=False, catch_exceptions=False)
    return result.output


def test_the_command_tells_roles_and_findings_and_draws(tmp_path: Path) -> None:
    design = write_design(tmp_path, changed(DRAWN, colouring={"ground": '"dark"'}))
    told = run("palette", "check", str(design), "-o", str(tmp_path / "palette.png")).splitlines()
    assert told[1].split()[:4] == ["A", "#f1e4c8", "light", "oat"]
    assert any(line.startswith("roles     oat: light, the lightest and most neutral") for line in told)
    assert any(line.startswith("ground    ") and "on night (dark, L* 20)" in line for line in told)
    assert told[-1] == str(tmp_path / "palette.png")
    assert (tmp_path / "palette.png").read_bytes()[:4] == b"\x89PNG"
    data = json.loads(run("palette", "check", str(design), "--json"))
    assert [ink["role"] for ink in data["inks"]] == ["light", "dominant", "accent", "dark"]
    assert data["drawing"]["inks_advised"] == 4
    assert {one["topic"] for one in data["findings"]} >= {"number", "dark", "grey", "tritan"}


def test_a_colour_terminal_shows_swatches_and_a_file_gets_none(tmp_path: Path) -> None:
    design = write_design(tmp_path)
    words = [sys.executable, "-m", "mockup", "palette", "check", str(design)]
    kept = {key: value for key, value in os.environ.items() if key != "NO_COLOR"}
    ours, theirs = pty.openpty()
    subprocess.run(words, stdout=theirs, check=True, env={**kept, "TERM": "xterm", "COLORTERM": "truecolor"})
    os.close(theirs)
    told = b""
    while True:
        try:
            chunk = os.read(ours, 65536)
        except OSError:
            break
        if not chunk:
            break
        told += chunk
    os.close(ours)
    assert b"\x1b[48;2;185;82;43m" in told
    plain = subprocess.run(words, stdout=subprocess.PIPE, check=True, env=kept).stdout
    assert b"\x1b" not in plain


@given(st.integers(0, 0xFFFFFF))
def test_a_terminal_of_few_colours_gets_a_near_one(value: int) -> None:
    number = _terminal_colour(f"#{value:06x}", 1)
    assert isinstance(number, int)
    steps = (0, 95, 135, 175, 215, 255)
    cell = number - 16
    shown = (steps[cell // 36], steps[cell // 6 % 6], steps[cell % 6])
    assert all(
        abs(a - b) <= 48 for a, b in zip(shown, (value >> 16, value >> 8 & 255, value & 255), strict=True)
    )
