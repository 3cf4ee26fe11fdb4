"""One seamless unit of a repeat: it wraps, says how large it is, and rounds only where it may."""

import re
import struct
from pathlib import Path
from typing import Final

import numpy as np
import pytest
from click.testing import CliRunner
from pypdf import PdfReader
from small import Tables, changed, flat, spreading_of, write_design

from mockup.cli.main import mockup
from mockup.errors import DesignError
from mockup.jobs.looks import look_of
from mockup.jobs.tilework import tile_design, tile_scene
from mockup.rendering.canvas import pixels
from mockup.rendering.pattern import Window, field_items
from mockup.rendering.scene import Scene, Text

SET: Final[Tables] = {
    "sheet": {"size": "[90, 90]"},
    "pattern": {"motifs": '["moth", "sprig"]', "tile": "[50.8, 38.1]", "grid": "[2, 1]"},
    "colouring": {"ground": '"light"', "colour_repeat": "[2, 2]"},
    "shading": {"style": '"ends"', "width": "1"},
}
"""Motifs with line work that crosses the sides of the tile."""

REPEATS: Final = {
    "half-drop": SET,
    "straight": changed(SET, pattern={"repeat": '"straight"'}),
    "brick 1/3": changed(
        SET, pattern={"repeat": '"brick"', "drop": '"1/3"'}, colouring={"colour_repeat": "[1, 3]"}
    ),
    "mirror": changed(SET, pattern={"repeat": '"mirror"'}),
    "p2gg": {
        **SET,
        "pattern": {"motifs": '["sprig"]', "repeat": '"p2gg"', "tile": "[76.2, 50.8]"},
        "colouring": {"colour_repeat": "[1, 1]"},
    },
    "tossed": {
        **SET,
        "pattern": {
            "motifs": '["moth", "sprig"]',
            "repeat": '"tossed"',
            "count": "6",
            "coverage": "0.3",
            "tile": "[76.2, 76.2]",
        },
        "colouring": {"colour_repeat": "[1, 1]"},
    },
}


@pytest.mark.parametrize("name", REPEATS)
def test_the_left_edge_continues_the_right_one_and_the_top_the_foot(name: str, tmp_path: Path) -> None:
    found = spreading_of(write_design(tmp_path, REPEATS[name]))
    scene = tile_scene(found)
    own = pixels(scene, 100)
    assert own.shape[:2] == (round(scene.height / 25.4 * 100), round(scene.width / 25.4 * 100))
    width, height = 3 * scene.width, 3 * scene.height
    window = Window((0.0, 0.0, width, height), (0.0, 0.0))
    cloth = Scene(width, height, field_items(found.piece.tile, found.plan, look_of(found.piece), window))
    off = np.abs(pixels(cloth, 100).astype(int) - np.tile(own, (3, 3, 1)))
    assert off.max() <= 2  # of 255: where an edge falls half-way between two of the painter's steps
    assert (off > 0).mean() < 1e-4


def _per_metre(path: Path) -> tuple[int, int]:
    data = path.read_bytes()
    at = data.index(b"pHYs") + 4
    across, down, unit = struct.unpack(">IIB", data[at : at + 9])
    assert unit == 1
    return across, down


def test_a_size_is_rounded_to_whole_pixels_and_the_file_says_what_dpi_that_gives(tmp_path: Path) -> None:
    path = write_design(tmp_path, changed(SET, pattern={"tile": "[50, 40]"}))
    said: list[str] = []
    done = tile_design(path, tmp_path / "t.png", dpi=100, say=said.append)
    head = done.read_bytes()[16:24]
    columns, rows = struct.unpack(">II", head)
    assert (columns, rows) == (394, 315)  # 100 x 80 mm are 393.7 x 314.96 pixels
    assert _per_metre(done) == (3940, 3938)
    assert said == ["tile of 10 x 8 cm (3.94 x 3.15 in), 394 x 315 pixels, 100.08 x 100.01 dpi"]


def test_exact_refuses_to_round_and_the_sizes_that_it_names_fit(tmp_path: Path) -> None:
    tables = changed(SET, pattern={"tile": "[50, 40]"})
    path = write_design(tmp_path, tables)
    with pytest.raises(DesignError) as refused:
        tile_design(path, tmp_path / "t.png", dpi=100, exact=True)
    line = str(refused.value)
    assert line.startswith(
        "blocks.toml, [pattern]: the unit of 100 x 80 mm is 393.7 x 314.96 pixels at 100 dpi, no whole number; "
    )
    assert not (tmp_path / "t.png").exists()
    told = re.search(r"the tile ([\d.]+) or ([\d.]+) mm wide and ([\d.]+) or ([\d.]+) mm high", line)
    assert told
    for wide, high in ((told[1], told[3]), (told[2], told[4])):
        assert abs(float(wide) - 50) < 25.4 / 100
        write_design(tmp_path, changed(SET, pattern={"tile": f"[{wide}, {high}]"}))
        tile_design(path, tmp_path / "t.png", dpi=100, exact=True)


def test_exact_names_widths_of_a_drawing_at_which_its_height_fits_too(tmp_path: Path) -> None:
    tables = {
        "sheet": {"size": "[90, 90]"},
        "drawing": {"file": '"blocks.svg"', "repeat": '"straight"', "width": "41"},
        "colouring": {"ground": '"paper"', "colour_repeat": "[1, 1]"},
    }
    for height, fits in (("40mm", True), ("39.71mm", False)):
        path = write_design(tmp_path, tables)
        drawing = (tmp_path / "blocks.svg").read_text()
        (tmp_path / "blocks.svg").write_text(
            drawing.replace(
                'height="40mm" viewBox="0 0 40 40"', f'height="{height}" viewBox="0 0 40 {height[:-2]}"'
            )
        )
        with pytest.raises(DesignError) as refused:
            tile_design(path, tmp_path / "t.png", dpi=100, exact=True)
        told = re.search(r"write width = ([\d.]+) or ([\d.]+)", str(refused.value))
        assert bool(told) == fits
        if not told:
            assert "no width near it fits both ways: choose an SVG or a PDF" in str(refused.value)
            continue
        for width in told.groups():
            path.write_text(path.read_text().replace("width = 41", f"width = {width}"))
            tile_design(path, tmp_path / "t.png", dpi=100, exact=True)
            path.write_text(path.read_text().replace(f"width = {width}", "width = 41"))


def test_exact_never_minds_a_vector(tmp_path: Path) -> None:
    path = write_design(tmp_path, changed(SET, pattern={"tile": "[50, 40]"}))
    page = PdfReader(tile_design(path, tmp_path / "t.pdf", exact=True)).pages[0]
    assert [float(side) * 25.4 / 72 for side in page.mediabox[2:]] == pytest.approx([100, 80], abs=0.001)
    assert not page.images
    drawn = tile_design(path, tmp_path / "t.svg", exact=True).read_text(encoding="utf-8")
    assert 'width="100mm" height="80mm"' in drawn
    assert "<image" not in drawn
    assert "<pattern" not in drawn


def test_a_cell_of_sixty_degrees_is_hardly_ever_exact_on_pixels(tmp_path: Path) -> None:
    tables = {
        **SET,
        "pattern": {"motifs": '["sprig"]', "repeat": '"p3"', "tile": "63.5"},
        "colouring": {"colour_repeat": "[1, 1]"},
    }
    with pytest.raises(
        DesignError, match="hardly any cell of 60 degrees is a whole number of pixels both ways"
    ):
        tile_design(write_design(tmp_path, tables), tmp_path / "t.png", dpi=100, exact=True)


@pytest.mark.parametrize(
    ("tables", "line"),
    [
        (
            changed(SET, colouring={"colour_repeat": '"none"'}),
            'blocks.toml, [pattern]: colour_repeat = "none" inks every region of the sheet by itself, '
            'and so there is no tile; leave it out, or write "smallest"',
        ),
        (
            {
                "sheet": {"size": "[90, 90]"},
                "drawing": {"file": '"blocks.svg"'},
                "colouring": {"ground": '"paper"'},
            },
            "blocks.toml, [drawing]: is one sheet that does not repeat, and so has no tile; "
            "draw it without --tile, or choose another repeat",
        ),
    ],
)
def test_one_sheet_has_no_tile(tables: Tables, line: str, tmp_path: Path) -> None:
    with pytest.raises(DesignError) as refused:
        tile_design(write_design(tmp_path, tables), tmp_path / "t.png")
    assert str(refused.value) == line
    assert sorted(path.name for path in tmp_path.iterdir()) == ["blocks.svg", "blocks.toml"]


def test_a_tile_has_neither_border_nor_key_nor_grain_and_is_named_after_the_design(tmp_path: Path) -> None:
    path = write_design(tmp_path, changed(SET, border={"style": '"plain"'}, sheet={"grain": "true"}))
    assert not [item for item in flat(tile_scene(spreading_of(path)).items) if isinstance(item, Text)]
    done = CliRunner().invoke(mockup, ["preview", str(path), "--tile", "--dpi", "50"])
    assert done.stdout.strip() == str(tmp_path / "blocks-tile.png")
    assert done.stderr.splitlines()[-1] == "the grain of the paper is left out of a tile"


@pytest.mark.parametrize(
    ("options", "line"),
    [
        (["--exact"], "--exact is for --tile only"),
        (["--tile", "--names"], "--names is for a sheet, not for --tile"),
    ],
)
def test_options_that_do_not_go_together_are_told(options: list[str], line: str, tmp_path: Path) -> None:
    done = CliRunner().invoke(mockup, ["preview", str(write_design(tmp_path, SET)), *options])
    assert done.exit_code == 2
    assert line in done.stderr
