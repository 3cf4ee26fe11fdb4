"""Nothing that a design file can say is passed over: every key changes the output, is refused, or is listed here."""

from pathlib import Path
from typing import Final

import numpy as np
import pytest
from PIL import Image
from small import DRAWN, INKS, Tables, changed, spreading_of, toml, write_design

from mockup.design import keys
from mockup.errors import DesignError, UnknownNameError
from mockup.jobs.plan import plan_bytes
from mockup.jobs.preview import preview_scene
from mockup.rendering.scene import fingerprint

TILED: Final[Tables] = {
    "": {"title": '"Small"'},
    "sheet": {"size": "[90, 90]"},
    "pattern": {"motifs": '["leaflet", "acorn"]', "tile": "[30, 30]", "grid": "[2, 1]"},
    "colouring": {"ground": '"light"', "colour_repeat": "[2, 2]"},
    "shading": {"style": '"rim"', "width": "0.7"},
    "border": {"style": '"plain"', "width": "3"},
}
NATURAL: Final[Tables] = {**TILED, "pattern": {"motifs": '["leaflet", "acorn"]'}}

OGEE: Final = changed(NATURAL, pattern={"repeat": '"ogee"'})
TOSSED: Final = changed(
    NATURAL,
    pattern={"repeat": '"tossed"', "count": "7", "coverage": "0.35"},
    colouring={"colour_repeat": "[1, 1]"},
)
FRAMED: Final = changed(TILED, border={"style": '"motifs"', "motifs": '["leaflet"]', "width": "9"})

LINED: Final = changed(DRAWN, drawing={"file": '"lines.svg"'})
"""Two squares and, beside them, one that is open for 1 mm."""

LINES: Final = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="40mm" viewBox="0 0 40 40"><path fill="none" '
    'stroke="#000" stroke-width=".4" d="M4 4H20V20H4ZM20 4H36V20H20M6 24H18M19.4 24H20V36H6V24"/></svg>'
)

FIGURES: Final = changed(
    TILED,
    pattern={"motifs": '["gardener", "acorn"]', "tile": "[80, 45]"},
    colouring={"colour_repeat": "[1, 1]"},
    shading={"width": "0.5"},
)

NOT_YET: Final = {
    "palette.side.ink.tip": "as that of the palette's inks",
    "palette.side.ink.bleed": "as that of the palette's inks",
    "palette.ink.tip": "what a nib can fill is told by `finish`",
    "palette.ink.bleed": "as tip",
    "colouring.start": "the order of work: tests/test_stages.py",
    "shading.when": "the order of work: tests/test_stages.py",
    "colourway": "other inks on request: tests/test_colourways.py",
    "colourway.name": "other inks on request: tests/test_colourways.py",
    "colourway.code": "other inks on request: tests/test_colourways.py",
    "colourway.ground": "other inks on request: tests/test_colourways.py",
    "colourway.inks": "other inks on request: tests/test_colourways.py",
}
"""Keys that only matter to sheets that do not exist yet, or beside something that is refused."""

SHOWN: Final = [
    (TILED, "", "title", '"Other"'),
    (TILED, "", "designer", '"D"'),
    (TILED, "", "client", '"C"'),
    (TILED, "", "date", "2026-03-04"),
    (TILED, "sheet", "size", "[90, 95]"),
    (TILED, "sheet", "scale", '"1:2"'),
    (TILED, "sheet", "margin", "9"),
    (TILED, "sheet", "paper", '"white"'),
    (TILED, "pattern", "repeat", '"brick"'),
    (TILED, "pattern", "tile", "[30, 31]"),
    (TILED, "pattern", "motifs", '["leaflet", "drop"]'),
    (TILED, "pattern", "motifs", '["leaflet", { name = "drop" }]'),
    (TILED, "pattern", "motifs", '["leaflet", { name = "acorn", scale = 1.2 }]'),
    (TILED, "pattern", "motifs", '["leaflet", { name = "acorn", turn = 10 }]'),
    (TILED, "pattern", "grid", "[1, 2]"),
    (changed(TILED, colouring={"colour_repeat": "[6, 1]"}), "pattern", "drop", '"1/3"'),
    (NATURAL, "pattern", "coverage", "0.2"),
    (NATURAL, "pattern", "gap", "5"),
    (NATURAL, "pattern", "repeat", '"ogee"'),
    (NATURAL, "pattern", "repeat", '"p4"'),
    (OGEE, "pattern", "cells", '"band"'),
    (OGEE, "pattern", "gap", "3"),
    (TOSSED, "pattern", "count", "9"),
    (TOSSED, "pattern", "coverage", "0.2"),
    (TOSSED, "pattern", "directions", '"one-way"'),
    (TOSSED, "pattern", "variant", "2"),
    (TOSSED, "pattern", "motifs", '["leaflet", { name = "acorn", often = 3 }]'),
    (TILED, "border", "style", '"motifs"'),
    (FRAMED, "border", "motifs", '["drop"]'),
    (FRAMED, "border", "frieze", '"p211"'),
    (FRAMED, "border", "width", "10"),
    (DRAWN, "drawing", "file", '"other.svg"'),
    (DRAWN, "drawing", "width", "30"),
    (DRAWN, "drawing", "repeat", '"brick"'),
    (changed(DRAWN, drawing={"repeat": '"half-drop"'}), "drawing", "drop", '"1/3"'),
    (DRAWN, "drawing", "groups", '"tint.png"'),
    (DRAWN, "drawing", "ground", '["a"]'),
    (LINED, "drawing", "strokes", '"parts"'),
    (LINED, "drawing", "gap", "1.5"),
    (TILED, "colouring", "ground", '"dark"'),
    (TILED, "colouring", "balance", '"led"'),
    (TILED, "colouring", "colour_repeat", "[4, 2]"),
    (TILED, "colouring", "copies", '"alike"'),
    (DRAWN, "colouring", "symmetry", "true"),
    (TILED, "colouring", "only", '{ leaf = ["clay"] }'),
    (TILED, "colouring", "fixed", '{ "at 7,13" = "moss", "at 10,15" = "night" }'),
    (TILED, "colouring", "variant", "2"),
    (TILED, "colouring", "reach", "3"),
    (TILED, "line", "ink", '"none"'),
    (TILED, "line", "outline", "false"),
    (TILED, "line", "width", "0.6"),
    (TILED, "shading", "style", '"none"'),
    (TILED, "shading", "style", '"ends"'),
    (TILED, "shading", "style", '"one-end"'),
    (changed(TILED, shading={"style": '"side"'}), "shading", "light", "45"),
    (TILED, "shading", "width", "0.8"),
    (TILED, "shading", "coats", "2"),
    (TILED, "shading", "only", '["petal"]'),
    (TILED, "border", "style", '"double"'),
    (TILED, "border", "width", "4"),
    (TILED, "border", "ink", '"clay"'),
    (TILED, "palette", "box", '"inks.csv"'),
]

IDLE: Final = [
    (TILED, "pattern", "count", "40", 'repeat = "half-drop"'),
    (TILED, "pattern", "directions", '"two-way"', 'repeat = "half-drop"'),
    (TILED, "pattern", "variant", "2", 'repeat = "half-drop"'),
    (TILED, "pattern", "motifs", '["leaflet", { name = "acorn", often = 2 }]', 'repeat = "half-drop"'),
    (TILED, "pattern", "coverage", "0.2", "a pattern with a tile of your own"),
    (TILED, "pattern", "gap", "5", "a pattern with a tile of your own"),
    (TILED, "pattern", "cells", '"band"', 'repeat = "half-drop"'),
    (changed(TILED, pattern={"repeat": '"straight"'}), "pattern", "drop", '"1/3"', 'repeat = "straight"'),
    (OGEE, "pattern", "grid", "[1, 1]", 'repeat = "ogee"'),
    (changed(NATURAL, pattern={"repeat": '"ring"'}), "pattern", "tile", "60", 'repeat = "ring"'),
    (changed(NATURAL, pattern={"repeat": '"ring"'}), "pattern", "coverage", "0.4", 'repeat = "ring"'),
    (TILED, "border", "motifs", '["drop"]', 'style = "plain"'),
    (TILED, "border", "frieze", '"p211"', 'style = "plain"'),
    (TILED, "shading", "light", "45", 'style = "rim"'),
    (DRAWN, "drawing", "drop", '"1/3"', 'repeat = "none"'),
    (changed(LINED, drawing={"strokes": '"parts"'}), "drawing", "gap", "0.3", 'strokes = "parts"'),
]

BEFORE: Final[dict[str, tuple[str, bytes]]] = {}
"""What designs come out as before a key is changed, by their text."""

SIDE = (
    '[[palette.side]]\nname = "skin"\nper = "piece"\nink = [{ name = "tan", colour = "#c99", coats = ["#a77"] }, '
    '{ name = "rose", colour = "#edd", tip = 1, bleed = 0.1 }]\n'
)
INK_CHANGES: Final = [
    ("name", 'name = "brick"'),
    ("colour", 'colour = "#b9522c"'),
    ("role", 'role = "accent"'),
    ("coats", 'coats = ["#903010"]'),
]


def _output(path: Path) -> tuple[str, bytes]:
    spreading = spreading_of(path)
    return fingerprint(preview_scene(spreading)), plan_bytes(spreading, "")


def _with(folder: Path, tables: Tables, tail: str = "") -> Path:
    path = write_design(folder, tables)
    (folder / "other.svg").write_text((folder / "blocks.svg").read_text().replace('x="4"', 'x="5"'))
    (folder / "inks.csv").write_text("name,colour,paper\npaper,#efe6d2,card\nclay,#b9522b,card\n")
    (folder / "lines.svg").write_text(LINES)
    tint = np.full((160, 160, 3), 250, dtype=np.uint8)
    tint[16:80, 16:144] = (220, 120, 110)
    Image.fromarray(tint).save(folder / "tint.png")
    path.write_text(path.read_text() + tail)
    return path


def _name(case: tuple[object, ...]) -> str:
    return f"{case[1]}.{case[2]} {case[3]}"


@pytest.mark.parametrize("case", SHOWN, ids=_name)
def test_a_key_that_is_there_changes_the_output(case: tuple[Tables, str, str, str], tmp_path: Path) -> None:
    tables, table, key, value = case
    text = toml(tables)
    if text not in BEFORE:
        BEFORE[text] = _output(_with(tmp_path, tables))
    before = BEFORE[text]
    assert _output(_with(tmp_path, changed(tables, **{table: {key: value}}))) != before


@pytest.mark.parametrize("case", IDLE, ids=_name)
def test_a_key_without_use_is_refused_by_name(
    case: tuple[Tables, str, str, str, str], tmp_path: Path
) -> None:
    tables, table, key, value, owner = case
    path = _with(tmp_path, changed(tables, **{table: {key: value}}))
    with pytest.raises(DesignError) as refused:
        spreading_of(path)
    name = "often" if "often" in value else key
    assert str(refused.value).startswith(f"blocks.toml, [{table}] {name}: {owner} has no use for it; ")
    assert refused.value.remedy


@pytest.mark.parametrize(
    ("before", "after"),
    [
        (SIDE, ""),
        ('per = "piece"', 'per = "figure"'),
        ('name = "tan"', 'name = "oak"'),
        ('"#c99"', '"#caa"'),
        (', coats = ["#a77"]', ""),
    ],
)
def test_keys_of_a_side_palette_change_the_output(before: str, after: str, tmp_path: Path) -> None:
    outputs = {_output(_with(tmp_path, FIGURES, side)) for side in (SIDE, SIDE.replace(before, after))}
    assert len(outputs) == 2


def test_a_side_that_the_design_gives_parts_changes_the_output(tmp_path: Path) -> None:
    outputs = {
        _output(_with(tmp_path, changed(DRAWN, drawing={"side": f"{{ skin = [{place}] }}"}), SIDE))
        for place in ('"a"', '"at 28,12"')
    }
    assert len(outputs) == 2


def test_an_ink_that_shades_another_is_taken_for_that_and_is_no_base(tmp_path: Path) -> None:
    tones = '{{ name = "tan", colour = "#c99" }}, {{ name = "oak", colour = "#a77" }}, {{ name = "umber", colour = "#744"{} }}'
    side = '[[palette.side]]\nper = "piece"\nink = [' + tones + "]\n"
    outputs = {_output(_with(tmp_path, FIGURES, side.format(more)))[0] for more in ("", ', shades = "tan"')}
    assert len(outputs) == 2
    each = side.replace('"piece"', '"figure"').format(', shades = "oak"')
    assert '"ink":"umber"' not in _output(_with(tmp_path, FIGURES, each))[1].decode()


def test_a_side_palette_is_named_as_its_parts_name_it(tmp_path: Path) -> None:
    with pytest.raises(UnknownNameError, match="no part belongs to the side palette 'hide'"):
        spreading_of(_with(tmp_path, FIGURES, SIDE.replace('name = "skin"', 'name = "hide"')))


@pytest.mark.parametrize(("key", "line"), INK_CHANGES)
def test_keys_of_an_ink_change_the_output(key: str, line: str, tmp_path: Path) -> None:
    path = _with(tmp_path, TILED)
    before = _output(path)
    ink = 'name = "clay"\ncolour = "#b9522b"\n'
    other = (
        ink.replace(next(old for old in ink.splitlines() if old.startswith(key)), line)
        if key in ink
        else ink + line + "\n"
    )
    path.write_text(toml(TILED).replace(ink, other))
    assert _output(path) != before


def test_a_darker_pen_changes_the_output_where_there_is_one(tmp_path: Path) -> None:
    inks = (*INKS, ("fern", "#3f5228"))
    outputs = {
        pen: _output(write_design(tmp_path, changed(TILED, shading={"pen": f'"{pen}"'}), inks))
        for pen in ("same", "darker")
    }
    assert outputs["same"] != outputs["darker"]


def test_a_share_counts_with_balance_of_her_own(tmp_path: Path) -> None:
    path = write_design(tmp_path, changed(TILED, colouring={"balance": '"own"'}))
    ink = 'colour = "#b9522b"\n'
    outputs = set()
    for share in (0.1, 0.5):
        path.write_text(
            toml(changed(TILED, colouring={"balance": '"own"'})).replace(ink, f"{ink}share = {share}\n")
        )
        outputs.add(_output(path))
    assert len(outputs) == 2


def test_a_plan_is_followed_in_place_of_a_spread(tmp_path: Path) -> None:
    path = _with(tmp_path, TILED)
    before = _output(path)
    turned = before[1].decode().replace('"ink":"clay"', '"ink":"?"').replace('"ink":"moss"', '"ink":"clay"')
    (tmp_path / "chosen.geojson").write_text(turned.replace('"ink":"?"', '"ink":"moss"'))
    after = _output(_with(tmp_path, changed(TILED, colouring={"plan": '"chosen.geojson"'})))
    assert after[1].decode() == (tmp_path / "chosen.geojson").read_text()
    assert after[0] != before[0]


def test_what_is_listed_as_not_mattering_yet_does_not(tmp_path: Path) -> None:
    before = _output(_with(tmp_path, TILED))
    after = changed(
        TILED,
        colouring={"start": '"top-left"'},
        shading={"when": '"as-you-go"'},
    )
    tail = '[[colourway]]\nname = "Dusk"\ncode = "C"\nground = "dark"\ninks = { clay = "moss" }\n'
    path = _with(tmp_path, after, tail)
    ink = 'colour = "#b9522b"\n'
    path.write_text(path.read_text().replace(ink, f"{ink}tip = 2\nbleed = 0.3\n"))
    assert _output(path) == before


def test_every_key_of_the_design_file_is_spoken_of() -> None:
    spoken = {f"{table}.{key}".strip(".") for _, table, key, _ in SHOWN} | {"drawing.side"}
    spoken |= (
        {f"palette.ink.{key}" for key, _ in INK_CHANGES}
        | {"palette.ink.share"}
        | {"shading.pen", "colouring.plan"}
        | {"sheet.grain"}  # on pixels only: tests/test_grain.py
        | set(NOT_YET)
    )
    spoken |= {f"pattern.motifs.{key}" for key in ("name", "scale", "turn", "often", "strokes")}
    spoken |= {f"pattern.motifs.{key}" for key in ("grow", "petals", "layers", "depth", "size", "seed")}
    spoken |= {
        f"palette.side.{key}" for key in ("name", "per", "ink.name", "ink.colour", "ink.coats", "ink.shades")
    }
    known = {f"{table.path}.{key.name}".strip(".") for table in keys.TABLES for key in table.keys}
    assert spoken == known | {"colourway"}
