"""What sheets say and how inks look: key, notes, lines, shading, borders, the names that --names prints."""

from pathlib import Path
from typing import Final

import numpy as np
import pytest
from small import DRAWN, Tables, changed, flat, scene_of, spreading_of, write_design

from mockup.errors import DesignError, UnknownNameError
from mockup.geometry import shapes
from mockup.jobs.looks import key_of, look_of, notes_of
from mockup.jobs.piece import recoloured
from mockup.rendering.border import UNDERLAP, border_items, inside, underlap
from mockup.rendering.look import BorderLook
from mockup.rendering.scene import Fill, Text
from mockup.sheets.caption import letters
from mockup.sheets.overlay import grid_step

TILED: Final[Tables] = {
    "": {"title": '"Small"', "designer": '"A. Name"', "client": '"B"', "date": "2026-03-04"},
    "sheet": {"size": "[150, 140]"},
    "pattern": {"motifs": '["pear", "leaflet"]', "tile": "[60, 40]"},
    "colouring": {"ground": '"light"', "colour_repeat": "[2, 1]"},
}
SHEET: Final[Tables] = changed(TILED, sheet={"size": "[100, 90]"}, colouring={"colour_repeat": '"none"'})


def test_the_key_tells_letter_name_role_share_and_colour(tmp_path: Path) -> None:
    spreading = spreading_of(write_design(tmp_path, TILED))
    key = key_of(spreading)
    assert [entry.letter for entry in key] == ["A", "B", "C", "D"]
    assert [entry.name for entry in key] == ["oat", "clay", "moss", "night"]
    assert [entry.role for entry in key] == ["light", "dominant", "accent", "dark"]
    assert [entry.colour for entry in key] == ["#f1e4c8", "#b9522b", "#73834f", "#25313f"]
    assert sum(entry.share for entry in key) == pytest.approx(1)
    assert key[1].words == f"clay, dominant {key[1].share:.0%}"
    assert letters(12)[-1] == "L"


def test_the_notes_tell_title_who_when_ground_repeat_and_scale(tmp_path: Path) -> None:
    notes = notes_of(spreading_of(write_design(tmp_path, TILED)).piece)
    size = "6 x 4 cm (2.36 x 1.57 in)"
    assert notes == [
        "Small",
        "A. Name",
        "for B",
        "2026-03-04",
        "ground oat",
        f"half-drop repeat {size}",
        "scale 1:1",
    ]
    bare = notes_of(spreading_of(write_design(tmp_path, {k: v for k, v in DRAWN.items() if k})).piece)
    assert bare == ["blocks", "ground paper", "4 x 4 cm (1.57 x 1.57 in)", "scale 1:1"]


def test_bare_paper_in_the_palette_takes_the_colour_of_the_paper(tmp_path: Path) -> None:
    inks = (("bare", "paper"), ("clay", "#b9522b"), ("night", "#25313f"))
    piece = spreading_of(write_design(tmp_path, changed(TILED, colouring={"ground": '"paper"'}), inks)).piece
    look = look_of(piece)
    assert piece.ground_name == "bare"
    assert look.ground == look.paper == look.inks[0].colour == "#fdfcf8"


def test_coats_get_darker_and_measured_ones_are_taken(tmp_path: Path) -> None:
    path = write_design(tmp_path, changed(TILED, shading={"style": '"rim"', "coats": "3"}))
    clay = look_of(spreading_of(path).piece).inks[1]
    greens = [int(colour[3:5], 16) for colour in (clay.colour, *clay.coats)]
    assert len(clay.coats) == 3
    assert greens == sorted(greens, reverse=True)
    path.write_text(path.read_text().replace('"#b9522b"', '"#b9522b"\ncoats = ["#802010"]'))
    assert look_of(spreading_of(path).piece).inks[1].coats[0] == "#802010"


def test_a_darker_pen_of_like_hue_shades(tmp_path: Path) -> None:
    inks = (("oat", "#f1e4c8"), ("moss", "#73834f"), ("fern", "#3f5228"), ("night", "#25313f"))
    coats = {}
    for pen in ("same", "darker"):
        path = write_design(tmp_path, changed(TILED, shading={"style": '"rim"', "pen": f'"{pen}"'}), inks)
        coats[pen] = look_of(spreading_of(path).piece).inks[1].coats
    assert coats["darker"] != coats["same"]
    assert int(coats["darker"][0][3:5], 16) < int(coats["same"][0][3:5], 16)


@pytest.mark.parametrize(
    ("table", "key", "error", "told"),
    [
        (
            "colouring",
            "ground",
            UnknownNameError,
            r"blocks\.toml, \[colouring\] ground: no ink is named 'plum'",
        ),
        ("border", "ink", UnknownNameError, r"blocks\.toml, \[border\] ink: no ink is named 'plum'"),
        ("sheet", "paper", None, ""),
        ("line", "ink", None, ""),
    ],
)
def test_names_of_inks_and_colours(
    table: str, key: str, error: type[Exception] | None, told: str, tmp_path: Path
) -> None:
    path = write_design(tmp_path, changed(DRAWN, **{table: {key: '"plum"'}}))
    if error is None:
        look_of(spreading_of(path).piece)
        return
    with pytest.raises(error, match=told):
        spreading_of(path)


def test_a_sheet_with_no_room_for_pattern_is_refused(tmp_path: Path) -> None:
    tables = changed(
        TILED, sheet={"size": "[60, 60]", "margin": "10"}, border={"style": '"double"', "width": "11"}
    )
    with pytest.raises(
        DesignError, match=r"margin and border leave no room for the pattern; make the margin or the border n"
    ):
        spreading_of(write_design(tmp_path, tables))


@pytest.mark.parametrize("double", [False, True])
@pytest.mark.parametrize("gap", [0.0, 1.5])
@pytest.mark.parametrize("width", [0.3, 4.0])
def test_borders_keep_inside_their_box_and_cover_what_runs_on_under_them(
    width: float, gap: float, double: bool
) -> None:
    look = BorderLook("#25313f", width, double, gap)
    outer = (10.0, 10.0, 100.0, 140.0)
    bands = [item for item in border_items(outer, look, "#fdfcf8") if isinstance(item, Fill)]
    assert [band.colour for band in bands] == ["#25313f"] * (1 + double) + ["#fdfcf8"] * bool(gap)
    assert bands[0].rings[0].min() == 10.0
    assert tuple(bands[-1].rings[-1].min(axis=0)) == pytest.approx(inside(outer, look)[:2])
    innermost = bands[-1].rings
    depth = innermost[1].min(axis=0)[0] - innermost[0].min(axis=0)[0]
    assert 0 < underlap(look) <= min(UNDERLAP, depth + 1e-9)


def test_without_a_border_the_field_is_the_whole_box() -> None:
    assert inside((1.0, 2.0, 3.0, 4.0), None) == (1.0, 2.0, 3.0, 4.0)
    assert border_items((1.0, 2.0, 3.0, 4.0), None, "#ffffff") == ()


def test_other_inks_take_the_border_with_them(tmp_path: Path) -> None:
    piece = spreading_of(write_design(tmp_path, changed(TILED, border={"style": '"plain"'}))).piece
    same = recoloured(piece, piece.palette, piece.ground)
    assert (same.field, same.outer, same.border) == (piece.field, piece.outer, piece.border)
    dark = recoloured(piece, piece.palette, 3)
    assert dark.border is not None
    assert dark.border.gap > 0
    assert dark.field[0] == pytest.approx(piece.field[0] + dark.border.gap)


def _plates(path: Path) -> list[Text]:
    return [i for i in flat(scene_of(path, names=True).items) if isinstance(i, Text) and i.layer == "names"]


@pytest.mark.parametrize("single", [True, False], ids=["sheet", "cloth"])
def test_printed_names_are_those_of_the_plan_and_lie_on_what_they_name(single: bool, tmp_path: Path) -> None:
    path = write_design(tmp_path, changed(TILED, colouring={"colour_repeat": '"none"'}) if single else TILED)
    spreading = spreading_of(path)
    rows: dict[str, list[shapes.Shape]] = {}
    for row in spreading.rows:
        rows.setdefault(row.label.rpartition("/")[0], []).append(row.seen)
    names = [plate for plate in _plates(path) if not plate.text.isdecimal()]
    large = {
        name
        for name, seen in rows.items()
        if min(np.ptp(np.reshape(shapes.box_of(seen), (2, 2)), axis=0)) > 3
    }
    assert large <= {plate.text for plate in names} <= set(rows)
    if single:
        field = spreading.piece.field
        for plate in names:
            a, b, c, d = shapes.box_of(rows[plate.text])
            at = np.array((plate.x - field[0], plate.y - field[1]))
            assert ((at >= (a - 8, b - 1)) & (at <= (c + 8, d + 1))).all()


def test_the_grid_counts_the_plans_own_mm(tmp_path: Path) -> None:
    path = write_design(tmp_path, SHEET)
    spreading = spreading_of(path)
    field = spreading.piece.field
    figures = [plate for plate in _plates(path) if plate.text.isdecimal()]
    across = {
        float(plate.text): plate.x - field[0]
        for plate in figures
        if plate.y < field[1] + 5 and plate.x > field[0] + 5
    }
    assert sorted(across) == [20.0, 40.0, 60.0]
    assert all(at == pytest.approx(figure) for figure, at in across.items())
    # a place that is pointed at in these mm is found there
    row = next(row for row in spreading.rows if row.label.endswith("/body"))
    x, y = shapes.centroid(row.seen)
    fixed = changed(SHEET, colouring={"fixed": f'{{ "at {x:.2f},{y:.2f}" = "moss" }}'})
    pinned = spreading_of(write_design(tmp_path, fixed))
    assert [r.label for r, pin in zip(pinned.rows, pinned.rules.pinned, strict=True) if pin] == [row.label]


@pytest.mark.parametrize(
    ("scale", "step"), [(1.0, 10.0), (2.0, 10.0), (0.5, 10.0), (0.25, 20.0), (0.1, 50.0), (1e-9, 1000.0)]
)
def test_the_grid_never_lies_too_close(scale: float, step: float) -> None:
    assert grid_step(scale) == step


@pytest.mark.parametrize(("ink", "shaded"), [("night", False), ("clay", True)])
def test_motifs_of_a_border_are_shaded_as_the_field_is_but_not_in_the_dark_ink(
    ink: str, shaded: bool, tmp_path: Path
) -> None:
    tables = changed(
        TILED,
        shading={"style": '"ends"', "width": "0.8", "coats": "2"},
        border={"style": '"motifs"', "width": "12", "motifs": '["leaflet"]', "ink": f'"{ink}"'},
    )
    path = write_design(tmp_path, tables)
    look = look_of(spreading_of(path).piece)
    assert look.border is not None
    assert look.border.coats == (look.inks[1].coats if shaded else ())
    fills = [item for item in flat(scene_of(path).items) if isinstance(item, Fill) and item.layer == "border"]
    bands = [fill for fill in fills if fill.colour in look.border.coats]
    strip = look.border.strip
    assert strip is not None
    assert len(bands) == (2 * len(strip.fills) if shaded else 0)
    if shaded:
        # every leaf has both of its ends darker, whichever side of the sheet it stands on
        assert {len(fill.rings) for fill in bands} == {2}


def test_bands_of_a_border_scale_with_the_sheet_and_stay_away_where_parts_are_named(tmp_path: Path) -> None:
    border = {"style": '"motifs"', "width": "12", "motifs": '["leaflet"]', "ink": '"clay"'}
    tables = changed(TILED, shading={"style": '"rim"', "width": "0.8"}, border=border)

    def areas(tables: Tables) -> list[float]:
        path = write_design(tmp_path, tables)
        coats = {coat for ink in look_of(spreading_of(path).piece).inks for coat in ink.coats}
        fills = [i for i in flat(scene_of(path).items) if isinstance(i, Fill) and i.layer == "border"]
        bands = [fill for fill in fills if fill.colour in coats]
        return [shapes.area(shapes.polygon(fill.rings[0], fill.rings[1:])) for fill in bands]

    full, half = areas(tables), areas(changed(tables, sheet={"scale": '"1:2"'}))
    assert len(full) == len(half) > 0
    assert half[0] / full[0] == pytest.approx(0.5, abs=0.1)  # motifs as large, bands half as wide
    assert areas(changed(tables, shading={"only": '["body"]'})) == []
