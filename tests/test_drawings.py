"""Her own drawings in a design: lines as regions, ground left out, sides and tints by name, tint or point, copies as plans."""

from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageDraw
from small import DRAWN, Tables, changed, spreading_of, toml

from mockup.cli.main import run
from mockup.design.reading import parse_design
from mockup.errors import DesignError, DrawingError, MockupError, UnknownNameError
from mockup.geometry.shapes import area
from mockup.jobs.check import check_design
from mockup.jobs.piece import Piece, read_piece

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="40mm" viewBox="0 0 40 40">'
PEN = 'fill="none" stroke="#000" stroke-width=".4"'
GRID = f'<path {PEN} d="M4 4H36V36H4ZM20 4V36M4 20H36"/>'
SKIN = '[[palette.side]]\nname = "skin"\nper = "piece"\nink = [{ name = "tan", colour = "#c99" }]\n'


def piece(folder: Path, svg: str, tables: Tables = DRAWN, tail: str = "", **drawing: str) -> Piece:
    (folder / "blocks.svg").write_text(f"{HEAD}{svg}</svg>", encoding="utf-8")
    path = folder / "blocks.toml"
    path.write_text(toml(changed(tables, drawing=drawing)) + tail, encoding="utf-8")
    return read_piece(parse_design(path.read_text(encoding="utf-8"), where=path.name, file=path))


def sizes(made: Piece) -> list[int]:
    return sorted(round(area(node.seen)) for node in made.tile.nodes)


# ---- strokes


def test_what_strokes_close_in_is_a_region(tmp_path: Path) -> None:
    assert sizes(piece(tmp_path, GRID)) == [256] * 4


def test_lines_stay_lines_where_that_is_asked(tmp_path: Path) -> None:
    with pytest.raises(DrawingError, match=r"would be left for the ground"):
        piece(tmp_path, GRID, strokes='"lines"')
    assert sizes(piece(tmp_path, f'<path d="M0 0H10V10H0Z"/>{GRID}', strokes='"lines"')) == [100]


def test_fills_lie_on_the_regions_of_a_line_drawing(tmp_path: Path) -> None:
    dot = '<circle cx="12" cy="12" r="3" data-part="eye"/>'
    made = piece(tmp_path, f"{GRID}{dot}")
    assert sizes(made) == [28, 228, 256, 256, 256]
    assert {node.part for node in made.tile.nodes} >= {"eye", "region-1"}


def test_line_work_on_fills_stays_line_work(tmp_path: Path) -> None:
    fills = '<path data-part="leaf" d="M4 4H36V36H4Z"/>'
    ring = f'<circle {PEN} cx="20" cy="20" r="6"/>'
    assert sizes(piece(tmp_path, fills + ring)) == [1024]
    assert sizes(piece(tmp_path, fills + ring, strokes='"regions"')) == [1024]  # it lies beneath the fill


def test_a_gap_is_closed_up_to_what_the_design_says_at_true_size(tmp_path: Path) -> None:
    gappy = f'<path {PEN} d="M4 4H36V36H4V20.8M4 20V4"/>'
    made = piece(tmp_path, gappy)
    assert sizes(made) == [1024]
    assert "1 gap of up to 0.6 mm in its lines closed" in made.layout.notes
    with pytest.raises(DrawingError, match="close in no region"):
        piece(tmp_path, gappy, gap="0.1")
    with pytest.raises(DrawingError, match="close in no region"):
        piece(tmp_path, gappy, gap="0.6", width="80", tables=changed(DRAWN, sheet={"size": "[120, 130]"}))
    assert (
        len(
            piece(
                tmp_path, gappy, gap="1.2", width="80", tables=changed(DRAWN, sheet={"size": "[120, 130]"})
            ).tile.nodes
        )
        == 1
    )


def test_a_gap_that_is_left_open_is_told_where(tmp_path: Path) -> None:
    open_ring = f'<path {PEN} d="M24 4H36V36H4V21.6M4 20V4H22"/><path {PEN} d="M8 8H16V16H8Z"/>'
    notes = piece(tmp_path, open_ring).layout.notes
    assert "2 wider gaps left open, at mm 23,4, 4,21" in notes


# ---- ground


def test_a_lowest_part_that_covers_the_page_is_the_ground_unless_told_otherwise(tmp_path: Path) -> None:
    drawn = '<rect data-part="sky" width="40" height="40"/><circle data-part="sun" cx="20" cy="20" r="9"/>'
    assert [node.part for node in piece(tmp_path, drawn).tile.nodes] == ["sun"]
    assert len(piece(tmp_path, drawn, ground='"none"').tile.nodes) == 2
    assert [node.part for node in piece(tmp_path, drawn, ground='["sun"]').tile.nodes] == ["sky"]
    assert [node.part for node in piece(tmp_path, drawn, ground='["at 1,1"]').tile.nodes] == ["sun"]


def test_a_region_is_left_for_the_ground_where_a_point_says_so(tmp_path: Path) -> None:
    assert len(piece(tmp_path, GRID, ground='["at 10,10", "at 30,30"]').tile.nodes) == 2
    with pytest.raises(UnknownNameError) as refused:
        piece(tmp_path, GRID, ground='["region-44"]')
    assert (
        str(refused.value)
        == "blocks.toml, [drawing] ground: the drawing has no part 'region-44'; did you mean 'region-4'?"
    )


def test_all_of_it_cannot_be_ground(tmp_path: Path) -> None:
    with pytest.raises(DrawingError, match="all of it would be left for the ground"):
        piece(tmp_path, '<circle cx="20" cy="20" r="9" id="sun"/>', ground='["sun"]')


# ---- sides and tints


def test_skin_is_found_by_name_and_by_point(tmp_path: Path) -> None:
    drawn = '<rect id="face" x="2" y="2" width="9" height="9"/><rect x="20" y="2" width="9" height="9"/><rect id="hat" x="2" y="20" width="9" height="9"/>'
    made = piece(tmp_path, drawn, tail=SKIN, side='{ skin = ["face", "at 24,5"] }')
    assert [node.side for node in made.tile.nodes] == ["skin", ""]
    with pytest.raises(UnknownNameError, match=r"has no part 'fase'.*did you mean 'face'"):
        piece(tmp_path, drawn, tail=SKIN, side='{ skin = ["fase"] }')
    with pytest.raises(UnknownNameError, match="no part 'at 38,38'"):
        piece(tmp_path, drawn, tail=SKIN, side='{ skin = ["at 38,38"] }')


def tint(folder: Path, name: str, *boxes: tuple[tuple[int, int, int, int], str], size: int = 320) -> None:
    image = Image.new("RGB", (size, size), "#fbf9f5")
    pen = ImageDraw.Draw(image)
    for box, colour in boxes:
        pen.rectangle([side * size // 40 for side in box], fill=colour)
    image.save(folder / name)


def test_regions_of_one_tint_take_one_ink_and_are_named_by_it(tmp_path: Path) -> None:
    tint(
        tmp_path,
        "t.png",
        ((5, 5, 19, 19), "#e0503f"),
        ((21, 21, 35, 36), "#e0503f"),
        ((21, 4, 35, 19), "#3f7fe0"),
    )
    made = piece(tmp_path, GRID, groups='"t.png"')
    assert sizes(made) == [256, 256, 512]
    red, blue = sorted(
        {node.part for node in made.tile.nodes} - {"region-3"}, key=lambda part: "blue" in part
    )
    assert "blue" in blue
    assert any(f"2 tints group its regions: {red}, {blue}" in note for note in made.layout.notes)
    made = piece(tmp_path, GRID, tail=SKIN, groups='"t.png"', side=f'{{ skin = ["{red}"] }}')
    assert {node.part: node.side for node in made.tile.nodes}[red] == "skin"


@pytest.mark.parametrize(
    ("boxes", "told"),
    [
        ((), "nothing in it is tinted"),
        (None, "there is no such file"),
    ],
)
def test_a_tinted_copy_that_says_nothing_is_refused(
    boxes: tuple[()] | None, told: str, tmp_path: Path
) -> None:
    if boxes is not None:
        tint(tmp_path, "t.png", *boxes)
    with pytest.raises(MockupError, match=told) as refused:
        piece(tmp_path, GRID, groups='"t.png"')
    assert "t.png" in str(refused.value)


# ---- a coloured copy as the plan


COPY = (
    ((4, 4, 20, 20), "#c0603a"),
    ((20, 4, 36, 20), "#78884f"),
    ((4, 20, 20, 36), "#2c3846"),
    ((20, 20, 36, 36), "#c0603a"),
)


def test_a_coloured_copy_is_her_plan(tmp_path: Path) -> None:
    tint(tmp_path, "copy.png", *COPY)
    tables = changed(DRAWN, colouring={"plan": '"copy.png"'})
    piece(tmp_path, GRID, tables)
    spreading = spreading_of(tmp_path / "blocks.toml")
    names = [spreading.piece.palette.every[ink].name for ink in spreading.plan.inks]
    assert names == ["clay", "moss", "night", "clay"]
    report = check_design(tmp_path / "blocks.toml", tmp_path / "copy.png")
    assert report.figures.conflicts == 0
    assert report.plan == "copy.png"


def test_a_tint_far_from_every_ink_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    tint(tmp_path, "copy.png", (COPY[0][0], "#d040d0"), *COPY[1:])
    piece(tmp_path, GRID)
    assert run(["check", str(tmp_path / "blocks.toml"), "--plan", str(tmp_path / "copy.png")]) == 0
    told = capsys.readouterr().out
    assert "is read as " in told
    assert " off (CIEDE2000)" in told


def test_a_copy_cannot_be_the_plan_of_motifs(tmp_path: Path) -> None:
    tint(tmp_path, "copy.png", *COPY)
    path = tmp_path / "m.toml"
    path.write_text(
        toml({"pattern": {"motifs": '["pear"]'}, "colouring": {"plan": '"copy.png"', "ground": '"light"'}})
    )
    with pytest.raises(DesignError, match="a picture can be the plan of a drawing of your own only"):
        spreading_of(path)


def test_a_picture_of_another_shape_is_no_copy(tmp_path: Path) -> None:
    Image.fromarray(np.full((100, 300, 3), 200, dtype=np.uint8)).save(tmp_path / "copy.png")
    piece(tmp_path, GRID, changed(DRAWN, colouring={"plan": '"copy.png"'}))
    with pytest.raises(DesignError) as refused:
        spreading_of(tmp_path / "blocks.toml")
    assert str(refused.value).startswith("copy.png: ")
