"""Her own drawing from file to sheet: overlaps, shared fills, nested groups, its size."""

from pathlib import Path

import numpy as np
import pytest
from small import DRAWN, changed, flat, scene_of, spreading_of, write_design

from mockup.errors import DesignError
from mockup.geometry import shapes
from mockup.rendering.canvas import pixels
from mockup.rendering.scene import Text

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="40mm" viewBox="0 0 40 40">'


def _drawn(folder: Path, body: str, **tables: dict[str, str]) -> Path:
    path = write_design(folder, changed(DRAWN, **tables))
    (folder / "blocks.svg").write_text(f"{HEAD}{body}</svg>", encoding="utf-8")
    return path


def test_what_lies_on_top_hides_what_lies_below(tmp_path: Path) -> None:
    body = '<rect id="under" x="5" y="5" width="20" height="20"/><rect id="over" x="15" y="15" width="20" height="20"/>'
    areas = {row.label: shapes.area(row.seen) for row in spreading_of(_drawn(tmp_path, body)).rows}
    assert areas == pytest.approx({"blocks-1/under": 300, "blocks-1/over": 400}, rel=1e-3)


def test_one_written_fill_takes_one_ink(tmp_path: Path) -> None:
    squares = [(5, "red"), (15, "blue"), (25, "red")]
    body = "".join(f'<rect x="{x}" y="5" width="8" height="8" fill="{fill}"/>' for x, fill in squares)
    rows = spreading_of(_drawn(tmp_path, body)).rows
    assert sorted(round(shapes.area(row.seen)) for row in rows) == [64, 128]


def test_nested_groups_move_what_is_in_them(tmp_path: Path) -> None:
    body = (
        '<g transform="translate(10 10)"><g transform="scale(2)"><rect id="in" width="5" height="5"/></g></g>'
    )
    (row,) = spreading_of(_drawn(tmp_path, body)).rows
    assert shapes.box_of([row.seen]) == pytest.approx((10, 10, 20, 20), abs=1e-6)


def test_a_drawing_lies_in_the_middle_with_its_border_round_it(tmp_path: Path) -> None:
    body = '<rect width="40" height="40"/>'
    piece = spreading_of(_drawn(tmp_path, body)).piece
    assert piece.field == pytest.approx((16, 20, 56, 60))
    assert piece.outer == pytest.approx((10, 14, 62, 66))
    assert piece.single


@pytest.mark.parametrize(("width", "tall"), [('"3cm"', 30.0), ("20", 20.0)])
def test_a_given_width_sets_the_true_size(width: str, tall: float, tmp_path: Path) -> None:
    body = '<rect id="a" width="40" height="40"/>'
    path = _drawn(
        tmp_path, body, drawing={"width": width}, border={"style": '"none"'}, line={"ink": '"none"'}
    )
    (row,) = spreading_of(path).rows
    assert shapes.box_of([row.seen]) == pytest.approx((0, 0, tall, tall))
    picture = pixels(scene_of(path), 254)
    inked = np.flatnonzero((picture[:640, 360] != (0xFD, 0xFC, 0xF8)).any(axis=1))
    assert inked[-1] - inked[0] + 1 == pytest.approx(tall * 10, abs=2)


def test_a_drawing_larger_than_the_sheet_is_refused_with_what_helps(tmp_path: Path) -> None:
    with pytest.raises(DesignError) as refused:
        spreading_of(_drawn(tmp_path, '<rect width="40" height="40"/>', drawing={"width": "100"}))
    assert str(refused.value) == (
        "blocks.toml, [sheet]: the drawing of 100 x 100 mm does not fit into the sheet's field of 44 x 52 mm; "
        "choose a larger size, a smaller scale or a smaller width of the drawing"
    )


def test_a_smaller_scale_makes_it_fit(tmp_path: Path) -> None:
    body = '<rect width="40" height="40"/>'
    piece = spreading_of(_drawn(tmp_path, body, drawing={"width": "100"}, sheet={"scale": '"1:4"'})).piece
    assert piece.field[2] - piece.field[0] == pytest.approx(25)
    assert piece.field_size == pytest.approx((100, 100))


def test_as_cloth_a_drawing_steps(tmp_path: Path) -> None:
    body = (
        '<rect id="a" x="2" y="2" width="16" height="36"/><rect id="b" x="20" y="2" width="16" height="36"/>'
    )
    for repeat, tiles in (("straight", (1, 1)), ("half-drop", (2, 1)), ("brick", (1, 2))):
        spreading = spreading_of(_drawn(tmp_path, body, drawing={"repeat": f'"{repeat}"'}))
        assert spreading.plan.tiles is not None
        assert all(have % unit == 0 for have, unit in zip(spreading.plan.tiles, tiles, strict=True))


def test_the_key_of_a_small_drawing_is_as_wide_as_the_sheet(tmp_path: Path) -> None:
    path = _drawn(tmp_path, '<rect width="40" height="40"/>', sheet={"size": '"A4"'}, drawing={"width": "20"})
    lines = [item for item in flat(scene_of(path).items) if isinstance(item, Text)]
    assert {line.size_mm for line in lines} == {1.9}
    assert min(line.x for line in lines) == pytest.approx(8)
