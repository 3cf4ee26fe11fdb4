"""The design file: whatever is in it, a design or one plain line; every key, every default."""

import datetime
import tomllib
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from mockup.design import keys
from mockup.design.lines import find_lines, line_of
from mockup.design.reading import parse_design, read_design
from mockup.design.records import (
    Border,
    Colouring,
    Design,
    InkSpec,
    Line,
    MotifSpec,
    Shading,
    Sheet,
    SideSpec,
)
from mockup.errors import DesignError, FileError, MockupError

INK = '[[palette.ink]]\nname = "clay"\ncolour = "#b5532a"\n'
MOTIFS = '[pattern]\nmotifs = ["pear", "fig", "dot"]\n'
LEAST = INK + MOTIFS

EVERYTHING = """
title = "Pears"
designer = "A"
client = "B"
date = 2026-03-04
[sheet]
size = "A4"
scale = "1:1"
margin = 8
paper = "#fdfcf8"
grain = false
[palette]
box = "inks.csv"
[[palette.ink]]
name = "clay"
colour = "#b5532a"
role = "dominant"
share = 0.3
coats = ["#a04520"]
tip = 1.0
bleed = 0.2
[[palette.side]]
name = "skin"
per = "figure"
ink = [{ name = "warm", colour = "#d9a" }]
[pattern]
repeat = "half-drop"
tile = [60, 60]
motifs = ["pear", { name = "fig", scale = 1.2, turn = 15, often = 2 }]
grid = [2, 2]
drop = "1/2"
count = 40
coverage = 0.55
directions = "tossed"
gap = 1.5
variant = 1
[colouring]
ground = "paper"
balance = "even"
colour_repeat = "smallest"
copies = "free"
symmetry = false
only = { leaf = ["moss", "sea"] }
fixed = { "pear-3/body" = "clay", "at 32,41" = "moss" }
start = "centre"
plan = "chosen.geojson"
variant = 1
reach = 6
[line]
ink = "dark"
outline = true
width = 0.4
[shading]
style = "none"
width = 2.0
coats = 1
pen = "same"
light = 315
when = "last"
only = ["petal"]
[border]
style = "plain"
width = 6
motifs = ["pear"]
ink = "dark"
[[colourway]]
name = "Dusk"
code = "B"
ground = "clay"
inks = { clay = "plum" }
"""


def parse(text: str) -> Design:
    return parse_design(text, where="rose.toml")


def pattern_of(line: str) -> object:
    return parse(LEAST + line).pattern


# whatever comes in


def a_design_or_one_line(read: Callable[[], Design]) -> None:
    fault: MockupError | None = None
    try:
        assert read().palette.inks
    except (DesignError, FileError) as refused:
        fault = refused
    if fault:
        assert fault.what
        assert fault.remedy
        assert str(fault).isprintable()


@given(st.text())
@example("a = " + "[" * 4000)
@example("a = " + "9" * 5000)
@example("a." * 200_000 + "a = 1")
@example('"\\"".' + "a." * 200_000 + "a = 1")
@example("[" + " " * 200_000)
def test_any_text_is_a_design_or_one_plain_line(text: str) -> None:
    a_design_or_one_line(lambda: parse(text))


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.binary())
@example(b"\xff\xfea\x00")
def test_any_bytes_are_a_design_or_one_plain_line(tmp_path: Path, data: bytes) -> None:
    file = tmp_path / "rose.toml"
    file.write_bytes(data)
    a_design_or_one_line(lambda: read_design(file))


values = st.one_of(
    st.sampled_from(
        (
            *(
                "true",
                "1",
                "-1",
                "0",
                "1.5",
                "nan",
                "inf",
                "1e300",
                "0x" + "f" * 5000,
                "[]",
                "{}",
                "[1, 2]",
                "[[1]]",
            ),
            *(
                '"a"',
                '""',
                "[1, 2, 3]",
                '["a", 1]',
                '{ a = "b" }',
                "{ a = 1 }",
                "2026-03-04",
                "10:00:00",
                "[{}]",
            ),
            *(
                "2026-03-04T10:00:00",
                '{ "at 1,2" = "a" }',
                '"1:0"',
                '"1/0"',
                '"at 1,2"',
                '"1e400mm"',
                '"\\u0007"',
            ),
        )
    ),
    st.text(st.characters(exclude_characters="'", exclude_categories=("Cc", "Cs")), max_size=12).map(
        lambda text: f"'{text}'"
    ),
    st.floats().map(repr),
)
EVERY_KEY = [(table, key) for table in keys.TABLES for key in table.keys]


@given(st.sampled_from(EVERY_KEY), values)
def test_any_value_at_any_key_is_taken_or_refused_in_one_line(
    at: tuple[keys.Table, keys.Key], value: str
) -> None:
    table, key = at
    a_design_or_one_line(lambda: parse(with_key(table, key.name, value)))


@given(st.sampled_from(EVERYTHING.strip().split("\n")), st.data())
def test_any_line_cut_short_is_a_design_or_one_line(line: str, data: st.DataObject) -> None:
    cut = line[: data.draw(st.integers(0, len(line)))]
    a_design_or_one_line(lambda: parse(EVERYTHING.replace(line, cut, 1)))


# every key

GROWN = ("grow", "petals", "layers", "depth", "size", "seed")
"""Keys of a motif that grows."""


def with_key(table: keys.Table, key: str, value: str) -> str:
    """Write a design in which one key has this value, and nothing that is not needed."""
    needs = {"palette.ink": ("name", "colour"), "palette.side.ink": ("name", "colour"), "drawing": ("file",)}
    needs |= {"pattern": ("motifs",), "pattern.motifs": ("grow" if key in GROWN else "name",)}
    inside = {name: table.key(name).example for name in needs.get(table.path, ())}  # type: ignore[union-attr]
    inside[key] = value
    body = "".join(f"{name} = {written}\n" for name, written in inside.items())
    base = '[[palette.side.ink]]\nname = "chestnut"\ncolour = "red"\n' if key == "shades" else ""
    before = f"[[palette.side]]\n{base}" if table.path == "palette.side.ink" else ""
    after = '[[palette.side.ink]]\nname = "warm"\ncolour = "red"\n' if table.path == "palette.side" else ""
    text = f"{before}{table.heading}\n{body}{after}"
    if table.path != "palette.ink":
        text += INK
    if table.path not in {"pattern", "pattern.motifs", "drawing"}:
        text += MOTIFS
    return text


@pytest.mark.parametrize(
    ("table", "key"), EVERY_KEY, ids=lambda one: one.path or "top" if hasattr(one, "path") else one[0]
)
def test_every_key_takes_its_example(table: keys.Table, key: keys.Key) -> None:
    assert isinstance(parse(with_key(table, key.name, key.example)), Design)


@pytest.mark.parametrize(
    ("table", "key", "word"), [(table, key, word) for table, key in EVERY_KEY for word in key.words]
)
def test_every_word_is_taken(table: keys.Table, key: keys.Key, word: str) -> None:
    text = with_key(table, key.name, f'"{word}"')
    if word == "own":
        text = text.replace(INK, INK + "share = 1\n")
    assert f"'{word}'" in repr(parse(text))


WITHOUT_DEFAULT = {
    *(
        "title",
        "designer",
        "client",
        "date",
        "sheet.paper",
        "palette.box",
        "pattern.tile",
        "pattern.motifs",
        "pattern.grid",
    ),
    *("pattern.drop", "pattern.count", "pattern.motifs.name", "pattern.motifs.scale", "drawing.file"),
    "pattern.motifs.grow",
    *(
        *(
            "drawing.width",
            "drawing.groups",
            "drawing.drop",
            "drawing.strokes",
            "drawing.gap",
            "drawing.side",
        ),
        "colouring.only",
        "colouring.fixed",
        "colouring.plan",
        "colouring.reach",
    ),
    *("pattern.cells", "pattern.motifs.often", "border.frieze"),
    *("line.outline", "shading.only", "border.style", "border.motifs", "colourway.name", "colourway.ground"),
    "colourway.inks",
}


@pytest.mark.parametrize(
    ("table", "key"),
    [
        (table, key)
        for table, key in EVERY_KEY
        if f"{table.path}.{key.name}".lstrip(".") not in WITHOUT_DEFAULT and not table.path.endswith("ink")
    ],
)
def test_examples_are_the_defaults(table: keys.Table, key: keys.Key) -> None:
    given = with_key(table, key.name, key.example)
    left_out = given.replace(f"{key.name} = {key.example}\n", "", 1)
    assert left_out != given
    assert parse(given) == parse(left_out)


def test_the_keys_are_those_of_the_specification() -> None:
    grows = ["strokes = 'lines', grow = 'leaf', petals = 3, layers = 1, depth = 0, size = 9, seed = 4"]
    everything = EVERYTHING.replace("often = 2", ", ".join(["often = 2", *grows]))
    everything = everything.replace("count = 40\n", "count = 40\ncells = 'band'\n")
    everything = everything.replace("[border]\n", "[border]\nfrieze = 'p211'\n")
    written = tomllib.loads(
        everything + '[drawing]\nfile = "a"\nwidth = 1\nrepeat = "none"\ngroups = "b"\n'
        "drop = '1/3'\nstrokes = 'lines'\ngap = 1\nground = 'none'\nside = { skin = ['a'] }\n"
    )
    for table in keys.TABLES:
        inside: object = written
        for name in filter(None, table.path.split(".")):
            assert isinstance(inside, dict)
            inside = inside[name]
            inside = inside[-1] if isinstance(inside, list) else inside
        assert isinstance(inside, dict)
        expected = (
            set(inside)
            if table.path != "palette.side.ink"
            else set(inside) | {"coats", "tip", "bleed", "shades"}
        )
        assert set(table.names) == expected


def test_everything_together() -> None:
    design = parse(EVERYTHING)
    assert (design.title, design.designer, design.client) == ("Pears", "A", "B")
    assert design.date == datetime.date(2026, 3, 4)
    assert design.palette.box == "inks.csv"
    assert design.palette.inks == (InkSpec("clay", "#b5532a", "dominant", 0.3, ("#a04520",), 1.0, 0.2),)
    assert design.palette.side == (SideSpec((InkSpec("warm", "#d9a"),), "skin", "figure"),)
    assert design.pattern
    assert design.pattern.motifs == (MotifSpec("pear"), MotifSpec("fig", 1.2, 15.0, 2.0))
    assert (design.pattern.tile, design.pattern.grid) == ((60, 60), (2, 2))
    assert (design.pattern.drop, design.pattern.count) == (Fraction(1, 2), 40)
    assert design.colouring.only == {"leaf": ("moss", "sea")}
    assert design.colouring.fixed == {"pear-3/body": "clay", "at 32,41": "moss"}
    assert (design.colouring.plan, design.colouring.reach) == ("chosen.geojson", 6.0)
    assert design.line.outline is True
    assert design.shading.only == ("petal",)
    assert (design.border.style, design.border.motifs) == ("plain", ("pear",))
    way = design.colourways[0]
    assert (way.name, way.code, way.ground, way.inks) == ("Dusk", "B", "clay", {"clay": "plum"})


def test_a_palette_and_three_motifs_are_enough() -> None:
    design = parse(LEAST)
    assert design.palette.inks == (InkSpec("clay", "#b5532a"),)
    assert design.pattern
    assert [motif.name for motif in design.pattern.motifs] == ["pear", "fig", "dot"]
    assert (design.sheet, design.colouring, design.line) == (Sheet(), Colouring(), Line())
    assert (design.shading, design.border, design.colourways) == (Shading(), Border(), ())
    assert (design.drawing, design.date, design.file) == (None, None, None)


def test_defaults_are_those_of_the_specification() -> None:
    design = parse(LEAST)
    assert design.sheet == Sheet(210, 297, "A4", 1.0, "1:1", 8, None, grain=False)
    assert design.colouring == Colouring(
        "paper", "even", "smallest", "free", False, {}, {}, "centre", None, 1, None
    )
    assert design.line == Line("dark", None, 0.4)
    assert design.shading == Shading("none", 2.0, 1, "same", 315.0, "last", ())
    assert design.border == Border(None, 6.0, (), None, "dark")
    pattern = design.pattern
    assert pattern
    assert (pattern.repeat, pattern.tile, pattern.grid, pattern.drop) == ("half-drop", None, None, None)
    assert (pattern.count, pattern.coverage, pattern.directions) == (None, 0.55, "tossed")
    assert (pattern.gap, pattern.variant) == (1.5, 1)
    drawing = parse(INK + '[drawing]\nfile = "rose.svg"\n').drawing
    assert drawing
    assert (drawing.file, drawing.width, drawing.repeat, drawing.groups) == ("rose.svg", None, "none", None)


# lines


def test_lines_of_keys() -> None:
    text = EVERYTHING + "[a]\nb = '''\n[c]\nd = 1\n'''\ne = 2\n[[palette.side.ink]]\nname = 'x'\n"
    lines = find_lines(text)
    written = text.split("\n")
    for path, line in lines.items():
        last = next(name for name in reversed(path) if isinstance(name, str))
        assert last in written[line - 1]
    assert ("c",) not in lines
    assert line_of(("palette", "ink", 0, "role"), lines) == written.index('role = "dominant"') + 1
    assert line_of(("pattern", "motifs", 1, "turn"), lines) == next(
        n for n, line in enumerate(written, 1) if line.startswith('motifs = ["pear", {')
    )
    assert line_of(("nothing", "here"), lines) is None


def test_errors_are_of_the_family() -> None:
    with pytest.raises(MockupError) as caught:
        parse("x")
    assert caught.value.where == "rose.toml, line 1"
