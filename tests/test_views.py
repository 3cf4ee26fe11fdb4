"""The sheet of views: that each picture is the piece, turned, in grey or to other eyes, and that the places are right."""

import re
from pathlib import Path

import numpy as np
import pytest
from builders import design_text, piece
from hypothesis import given
from hypothesis import strategies as st
from small import changed, flat, spreading_of, texts, write_design

from mockup.cli.main import COMMANDS, run
from mockup.colour.conversion import read_colour
from mockup.errors import DesignError, FileError
from mockup.geometry.affine import rotation
from mockup.jobs.check import figures_of
from mockup.jobs.looks import look_of
from mockup.jobs.planned import Spreading
from mockup.jobs.spreading import spread_piece
from mockup.jobs.views import draw_views, excess_of, views_scene
from mockup.rendering.canvas import pixels
from mockup.rendering.canvas_text import text_width
from mockup.rendering.eye import as_seen, in_grey
from mockup.rendering.scene import Clip, Cloth, Fill, Item, Scene, Stroke, Text, fingerprint
from mockup.sheets.views import HEIGHT, MARGIN, ROOM, WIDTH, carried, has_room, laid, run_on, turned

HALF_DROP = 'repeat = "half-drop"\ntile = [50, 60]\ngrid = [1, 2]\nmotifs = ["pear", "moth"]'
SHEET = changed({}, sheet={"size": "[90, 120]", "margin": "5"}, pattern={"tile": "[50, 60]", "motifs": '["pear", "moth"]'}, colouring={"colour_repeat": '"none"', "ground": '"dark"'})  # fmt: skip
KINDS = ("repeat", "sheet", "drawing")


def made(kind: str, folder: Path) -> Spreading:
    if kind == "repeat":
        return spread_piece(piece(design_text(5, HALF_DROP, 'ground = "light"')))
    return spreading_of(write_design(folder, SHEET) if kind == "sheet" else write_design(folder))


@pytest.fixture(scope="module")
def pieces(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Spreading]:
    return {kind: made(kind, tmp_path_factory.mktemp(kind)) for kind in KINDS}


@pytest.fixture(scope="module")
def sheets(pieces: dict[str, Spreading]) -> dict[str, Scene]:
    return {kind: views_scene(spreading) for kind, spreading in pieces.items()}


@st.composite
def pictures(draw: st.DrawFn) -> Scene:
    number = st.floats(0.0, 30.0)
    spots = [np.array(draw(st.lists(st.tuples(number, number), min_size=3, max_size=6))) for _ in range(3)]
    x, y = spots[0][0].tolist()
    text = Text(x, y, "word", 3.0, "#000000", "t")
    line = Stroke((spots[1],), (False,), 0.4, "#123456", "l")
    items: tuple[Item, ...] = (
        Fill((spots[0],), "#abcdef", "f", "title", "of"),
        Clip((spots[2],), (line, text)),
    )
    return Scene(draw(st.floats(1.0, 60.0)), draw(st.floats(1.0, 60.0)), items, "picture")


def spots(items: tuple[Item, ...]) -> list[tuple[float, float]]:
    """Give every point of a picture."""
    found: list[tuple[float, float]] = []
    for item in items:
        lines = item.lines if isinstance(item, Stroke) else () if isinstance(item, Text) else item.rings
        found += [(float(x), float(y)) for line in lines for x, y in line]
        found += [(item.x, item.y), (item.turn % 360.0, 0.0)] if isinstance(item, Text) else []
        found += spots(item.items) if isinstance(item, Clip) else []
    return found


@given(pictures(), st.integers(0, 7), st.integers(0, 7))
def test_quarters_add_up(picture: Scene, first: int, then: int) -> None:
    """Twice a quarter is upside down, four quarters are none."""
    twice, once = turned(turned(picture, first), then), turned(picture, (first + then) % 4)
    assert spots(twice.items) == [pytest.approx(spot, abs=1e-9) for spot in spots(once.items)]
    assert (twice.width, twice.height) == (once.width, once.height)
    assert [item.colour for item in flat(twice.items)] == [item.colour for item in flat(picture.items)]


@pytest.mark.parametrize("quarters", [1, 2, 3])
def test_a_turned_picture_is_the_picture_turned(quarters: int) -> None:
    shape = np.array([[1.0, 1.0], [9.0, 2.0], [4.0, 5.0]])
    line = Stroke((np.array([[8.0, 1.0], [11.0, 5.0]]),), (False,), 0.6, "#204060", "l")
    clip = Clip((np.array([[7.0, 0.0], [12.0, 0.0], [12.0, 4.0], [7.0, 4.0]]),), (line,))
    picture = Scene(12.0, 6.0, (Fill((shape,), "#c04020", "f"), clip))
    before, after = (pixels(one, 254).astype(int) for one in (picture, turned(picture, quarters)))
    off = np.abs(np.rot90(before, -quarters) - after)
    assert off.max() <= 20
    assert off.mean() < 0.3


@given(st.floats(-180, 180))
def test_type_turns_with_its_picture(angle: float) -> None:
    word = Text(3.0, 4.0, "word", 3.0, "#000000", "t", turn=10.0)
    (found,) = carried((word,), rotation(angle))
    assert isinstance(found, Text)
    assert (found.turn - 10.0 - angle + 180) % 360 - 180 == pytest.approx(0.0, abs=1e-6)
    assert np.hypot(found.x, found.y) == pytest.approx(5.0)


def test_cloth_is_not_moved() -> None:
    with pytest.raises(ValueError, match="whole pixels"):
        carried((Cloth((), (1.0, 1.0), (0.0, 0.0), ()),), rotation(90))


def pictures_of(sheet: Scene) -> list[tuple[float, float, float, float]]:
    frames = [item for item in sheet.items if isinstance(item, Stroke) and item.layer == "frame"]
    boxes = [(*one.lines[0].min(axis=0), *one.lines[0].max(axis=0)) for one in frames]
    return [(float(a), float(b), float(c), float(d)) for a, b, c, d in boxes]


def cut(picture: np.ndarray, box: tuple[float, float, float, float], dpi: float) -> np.ndarray:
    x0, y0, x1, y1 = (round(side * dpi / 25.4) for side in box)
    return picture[y0 + 2 : y1 - 2, x0 + 2 : x1 - 2].astype(int)


@pytest.mark.parametrize("kind", KINDS)
def test_nine_pictures_lie_on_the_sheet_and_not_on_each_other(kind: str, sheets: dict[str, Scene]) -> None:
    boxes = pictures_of(sheets[kind])
    assert len(boxes) == 9
    for number, (x0, y0, x1, y1) in enumerate(boxes):
        assert MARGIN - 1e-6 <= x0 < x1 <= WIDTH - MARGIN + 1e-6
        assert MARGIN < y0 < y1 < HEIGHT - MARGIN
        for a0, b0, a1, b1 in boxes[:number]:
            assert x0 >= a1 or a0 >= x1 or y0 >= b1 or b0 >= y1
    for item in flat(sheets[kind].items):
        if isinstance(item, Text) and item.anchor == "start":
            assert item.x + text_width(item.text, item.size_mm, item.weight) <= WIDTH - MARGIN / 2
            assert item.y <= HEIGHT - MARGIN / 2


@pytest.mark.parametrize("kind", KINDS)
def test_the_fourth_view_is_the_first_upside_down(kind: str, sheets: dict[str, Scene]) -> None:
    dpi = 254
    drawn, boxes = pixels(sheets[kind], dpi), pictures_of(sheets[kind])
    first, fourth = cut(drawn, boxes[0], dpi), cut(drawn, boxes[3], dpi)
    rows, columns = (min(pair) for pair in zip(first.shape[:2], fourth.shape[:2], strict=True))
    off = np.abs(first[:rows, :columns] - np.rot90(fourth, 2)[:rows, :columns])
    assert off.mean() < 8
    assert np.abs(first[:rows, :columns] - fourth[:rows, :columns]).mean() > 2 * off.mean() + 2


@pytest.mark.parametrize("kind", ["sheet", "drawing"])
def test_the_third_view_of_a_sheet_is_the_first_turned(kind: str, sheets: dict[str, Scene]) -> None:
    dpi = 254
    drawn, boxes = pixels(sheets[kind], dpi), pictures_of(sheets[kind])
    first, third = np.rot90(cut(drawn, boxes[0], dpi), -1), cut(drawn, boxes[2], dpi)
    rows, columns = (min(pair) for pair in zip(first.shape[:2], third.shape[:2], strict=True))
    assert np.abs(first[:rows, :columns] - third[:rows, :columns]).mean() < 8


def fills_in(sheet: Scene, box: tuple[float, float, float, float], name: str) -> list[str]:
    """Colours of an ink's shapes within a picture."""
    found = []
    for item in flat(sheet.items):
        if isinstance(item, Fill) and item.layer == f"ink {name}" and item.title:
            x, y = item.rings[0].mean(axis=0)
            if box[0] < x < box[2] and box[1] < y < box[3]:
                found.append(item.colour)
    return found


@pytest.mark.parametrize("kind", KINDS)
def test_grey_keeps_lightness_and_other_eyes_see_as_they_do(
    kind: str, pieces: dict[str, Spreading], sheets: dict[str, Scene]
) -> None:
    look, boxes = look_of(pieces[kind].piece), pictures_of(sheets[kind])
    names = {
        4: in_grey(look),
        **{5 + n: as_seen(look, one) for n, one in enumerate(("protan", "deutan", "tritan"))},
    }
    for number, changed_look in names.items():
        for ink, after in zip(look.inks, changed_look.inks, strict=True):
            colours = set(fills_in(sheets[kind], boxes[number], ink.name))
            assert colours == ({after.colour} if fills_in(sheets[kind], boxes[0], ink.name) else set())
            for colour in colours if number == 4 else ():
                assert read_colour(colour).lightness == pytest.approx(
                    read_colour(ink.colour).lightness, abs=0.5
                )


@pytest.mark.parametrize("kind", KINDS)
def test_the_ringed_places_are_those_of_the_measures(
    kind: str, pieces: dict[str, Spreading], sheets: dict[str, Scene]
) -> None:
    spreading, sheet = pieces[kind], sheets[kind]
    inks, worst = spreading.piece.palette.inks, figures_of(spreading).worst
    assert len(worst) == 2
    said = " ".join(" ".join(texts(sheet)).split())
    scale = 1 / float(re.search(r"every picture 1:([\d.]+)", said)[1])  # type: ignore[index]
    box = pictures_of(sheet)[8]
    signs = [item for item in sheet.items if isinstance(item, Text) and item.layer == "rings"]
    rings = [
        item.lines[0].mean(axis=0)
        for item in sheet.items
        if isinstance(item, Stroke) and item.layer == "rings"
    ]
    for lump, sign, ring in zip(worst, signs, rings[::2], strict=True):
        assert sign.text == "ABCDEFG"[lump.ink]
        assert ring == pytest.approx([box[0] + lump.x * scale, box[1] + lump.y * scale], abs=1e-6)
        told = (
            f"{inks[lump.ink].name}, {100 * lump.excess:.1f} % too much round {lump.x:.0f}, {lump.y:.0f} mm"
        )
        assert f"{sign.text} {told}" in said


@pytest.mark.parametrize("kind", KINDS)
def test_the_map_is_highest_where_the_measures_say(kind: str, pieces: dict[str, Spreading]) -> None:
    field = excess_of(pieces[kind])
    (wide, high), lump = pieces[kind].cell, figures_of(pieces[kind]).worst[0]
    rows, columns = field.shape[1:]
    sides = (rows, columns) if pieces[kind].plan.tiles else (rows - 1, columns - 1)
    row, column = round(lump.y / high * sides[0]) % rows, round(lump.x / wide * sides[1]) % columns
    assert np.isfinite(field).all()
    assert field[lump.ink, row, column] == pytest.approx(field.max())
    if pieces[kind].plan.tiles:
        assert field.max() == pytest.approx(lump.excess)


def test_values_run_on_and_fade() -> None:
    field = np.full((2, 30, 30), np.nan)
    field[0, 10:20, 10:20], field[1, 10:20, 10:20] = 0.5, -0.25
    after = run_on(field)
    assert (after[:, 10:20, 10:20] == field[:, 10:20, 10:20]).all()
    along = after[0, 15, 20:]
    assert (np.diff(along) <= 0).all()
    assert 0 < along[3] < along[0] < 0.5
    assert along[-1] == 0
    assert after[1] == pytest.approx(-0.5 * after[0])


@given(st.integers(2, 9), st.integers(2, 9), st.floats(4.0, 30.0), st.floats(4.0, 30.0))
def test_a_cell_is_laid_side_by_side(rows: int, columns: int, wide: float, high: float) -> None:
    tints = np.random.default_rng(rows * columns).integers(0, 2, (rows, columns, 1)) * np.ones(3)
    scene = laid(tints, (10.0, 12.0), (wide, high), "cells")
    drawn = pixels(scene, 25.4 * 10)
    assert (scene.width, scene.height) == (wide, high)
    for row in range(int(high / 12 * rows)):
        for column in range(int(wide / 10 * columns)):
            y, x = (row + 0.5) * 12 / rows, (column + 0.5) * 10 / columns
            assert (drawn[int(y * 10), int(x * 10)] == 255 * tints[row % rows, column % columns]).all()


@given(st.floats(1, 3000), st.floats(1, 3000), st.booleans())
def test_less_always_has_room(wide: float, high: float, repeats: bool) -> None:
    if has_room(wide, high, repeats):
        assert has_room(wide * 0.9, high * 0.9, repeats)
        assert max(wide, high) <= ROOM[1]
    assert has_room(wide / 3000 * ROOM[0], high / 3000 * ROOM[0], repeats)


def test_what_is_said(pieces: dict[str, Spreading], sheets: dict[str, Scene]) -> None:
    spreading, said = pieces["repeat"], texts(sheets["repeat"])
    shares = spreading.problem.shares(spreading.inks)
    for letter, ink, share in zip("ABCDE", spreading.piece.palette.inks, shares, strict=True):
        for word in (letter, ink.name, ink.role, f"{100 * share:.1f} %"):
            assert word in said
    assert said[0] == "Test piece"
    assert "squinted at from 6 m" in said[1]
    assert "From 6 m" in " ".join(said)
    assert "From 2.5 m" in " ".join(texts(views_scene(spreading, distance=2.5)))


def test_from_farther_off_less_is_seen(pieces: dict[str, Spreading]) -> None:
    ranges = []
    for distance in (1.0, 6.0, 40.0):
        sheet = views_scene(pieces["drawing"], distance=distance)
        drawn = cut(pixels(sheet, 100), pictures_of(sheet)[1], 100)
        ranges.append(np.abs(np.diff(drawn, axis=1)).mean())
    assert ranges == sorted(ranges, reverse=True)
    assert ranges[2] < 0.5 * ranges[0]


@pytest.mark.parametrize("distance", [0.0, -2.0, 0.19, 201.0, float("nan"), float("inf")])
def test_a_distance_that_cannot_be_is_refused(distance: float, tmp_path: Path) -> None:
    with pytest.raises(DesignError, match=r"cannot be judged from .* m; give a distance from 0.2 to 200 m$"):
        draw_views(write_design(tmp_path), distance=distance)


def test_the_command_writes_any_form_and_says_where(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(COMMANDS, "views", ("mockup.cli.views", ""))
    path = write_design(tmp_path)
    assert run(["views", str(path), "--dpi", "40"]) == 0
    assert capsys.readouterr().out.strip() == str(tmp_path / "blocks-views.png")
    assert (tmp_path / "blocks-views.png").read_bytes().startswith(b"\x89PNG")
    for ending, start in ((".svg", b"<"), (".pdf", b"%PDF")):
        target = tmp_path / f"views{ending}"
        assert run(["views", str(path), "-o", str(target), "--distance", "3"]) == 0
        assert target.read_bytes().startswith(start)
    capsys.readouterr()
    for words, code, told in (
        (["-o", str(tmp_path / "views.gif")], 1, "a sheet cannot be written as '.gif'"),
        (["--distance", "0"], 2, "--distance"),
        (["--distance", "far"], 2, "'far' is not a valid number"),
        (["--dpi", "1"], 2, "--dpi"),
    ):
        assert run(["views", str(path), *words]) == code
        lines = capsys.readouterr().err.splitlines()
        assert len(lines) == 1
        assert told in lines[0]


def test_a_file_of_hers_is_kept(tmp_path: Path) -> None:
    path = write_design(tmp_path)
    (tmp_path / "blocks-views.png").write_bytes(b"hers")
    with pytest.raises(FileError, match="mockup did not write it"):
        draw_views(path, dpi=40)
    assert (tmp_path / "blocks-views.png").read_bytes() == b"hers"
    draw_views(path, dpi=40, force=True)
    assert (tmp_path / "blocks-views.png").read_bytes().startswith(b"\x89PNG")


def test_the_sheet_is_the_same_every_time(pieces: dict[str, Spreading], sheets: dict[str, Scene]) -> None:
    assert fingerprint(views_scene(pieces["drawing"])) == fingerprint(sheets["drawing"])
