"""What repeats is painted once and laid side by side: the same pixels, the same size, and never on vectors."""

import math
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from small import changed, spreading_of, write_design
from test_tile import SET

from mockup.colouring.plan import Plan
from mockup.geometry.lattice import Lattice
from mockup.jobs.looks import look_of
from mockup.jobs.preview import preview_scene
from mockup.rendering.canvas import pixels
from mockup.rendering.pattern import DRIFT, Window, field_items, unit_of
from mockup.rendering.scene import Cloth, Scene, fingerprint
from mockup.rendering.svgwriter import svg


def test_on_whole_pixels_it_shows_what_copy_by_copy_does(tmp_path: Path) -> None:
    found = spreading_of(write_design(tmp_path, SET))
    tile, look = found.piece.tile, look_of(found.piece)
    box = (12.7, 25.4, 254.0, 215.9)
    window = Window(box, (-25.4, 12.7))
    unit = unit_of(found.plan, window, (100 / 25.4, 100 / 25.4))
    assert unit == pytest.approx((101.6, 76.2))
    whole = Scene(266.7, 228.6, field_items(tile, found.plan, look, window))
    once = Scene(266.7, 228.6, field_items(tile, found.plan, look, window, unit=unit))
    off = np.abs(pixels(whole, 100).astype(int) - pixels(once, 100))
    assert off.max() <= 2
    assert (off > 0).mean() < 1e-4
    assert fingerprint(whole) != fingerprint(once)


def test_on_other_pixels_nothing_lies_off_by_more_than_is_told(tmp_path: Path) -> None:
    tables = changed(SET, sheet={"size": "[190, 170]", "margin": "9.3"}, pattern={"tile": "[31.7, 29.9]"})
    found = spreading_of(write_design(tmp_path, changed(tables, pattern={"motifs": '["sprig", "leaflet"]'})))
    once, whole = preview_scene(found, dpi=150), preview_scene(found)
    assert any(isinstance(item, Cloth) for item in once.items)
    assert not any(isinstance(item, Cloth) for item in whole.items)
    one, other = (pixels(scene, 150).astype(int) for scene in (once, whole))
    # an edge may lie off by the drift and by half a pixel: no flat place differs
    off = np.abs(one - other).max(axis=2) > 40
    assert off.mean() < 0.02
    runs = off[:, :-2] & off[:, 1:-1] & off[:, 2:]
    assert (runs & np.roll(runs, 1, axis=0) & np.roll(runs, 2, axis=0)).sum() == 0


@given(
    size=st.tuples(st.floats(8, 120), st.floats(8, 120)),
    tiles=st.tuples(st.integers(1, 3), st.integers(1, 3)),
    field=st.tuples(st.floats(20, 400), st.floats(20, 400)),
    dpi=st.floats(30, 600),
    scale=st.sampled_from([1.0, 0.5, 0.25]),
)
def test_a_unit_is_whole_repeats_and_hardly_rounded(
    size: tuple[float, float],
    tiles: tuple[int, int],
    field: tuple[float, float],
    dpi: float,
    scale: float,
) -> None:
    plan = Plan(np.zeros(0, dtype=np.int64), {}, Lattice(*size, drop=Fraction(0)), tiles)
    # a picture of the field has whole pixels, and so a fineness of its own each way
    picture = [max(1, round(far * scale * dpi / 25.4)) for far in field]
    across, down = (count / (far * scale) for count, far in zip(picture, field, strict=True))
    unit = unit_of(plan, Window((0, 0, field[0] * scale, field[1] * scale), (0, 0), scale), (across, down))
    if unit is None:
        return
    assert unit[0] * unit[1] < field[0] * field[1]
    for side, own, count, far, fine in zip(unit, size, tiles, field, (across, down), strict=True):
        assert side / (own * count) == pytest.approx(round(side / (own * count)))
        # the far end of the field, counted in units of whole pixels and the rest of one
        copies, rest = divmod(far * scale, side * scale)
        pixels_there = copies * round(side * scale * fine) + rest * fine
        assert abs(pixels_there / fine - far * scale) <= DRIFT * (1 + 1e-9)
        assert round(side * scale * fine) <= 32_767


def test_a_single_sheet_has_none() -> None:
    plan = Plan(np.zeros(0, dtype=np.int64), {}, Lattice(10, 10), None)
    assert unit_of(plan, Window((0, 0, 200, 200), (0, 0)), (11.8, 11.8)) is None


def test_a_vector_refuses_a_cloth() -> None:
    square = np.array([[0.0, 0], [9, 0], [9, 9], [0, 9]])
    with pytest.raises(ValueError, match="a cloth is for pixels only"):
        svg(Scene(9, 9, (Cloth((square,), (3, 3), (0, 0), ()),)))


def test_lines_that_reach_in_from_beyond_the_field_are_drawn(tmp_path: Path) -> None:
    long = """<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="40mm" viewBox="0 0 40 40" overflow="visible">
<rect data-part="a" x="16" y="16" width="8" height="8"/><path d="M24 20H58" fill="none" stroke="#000"/></svg>"""
    (tmp_path / "whisker.svg").write_text(long)
    tables = {
        "sheet": {"size": "[90, 90]"},
        "pattern": {"motifs": '["whisker.svg"]', "repeat": '"straight"', "tile": "[60, 40]"},
        "colouring": {"ground": '"light"', "colour_repeat": "[1, 1]"},
        "line": {"width": "1"},
    }
    found = spreading_of(write_design(tmp_path, tables))
    lines = found.piece.tile.lines
    reach = max(float(line[:, 0].max()) for drawn in lines for line in drawn.lines)
    # the field begins between the square and the end of its line
    start = math.floor(reach) - 10.0
    window = Window((0.0, 0.0, 8.0, 40.0), (-start, 0.0))
    scene = Scene(8, 40, field_items(found.piece.tile, found.plan, look_of(found.piece), window))
    picture = pixels(scene, 100)
    assert (picture == (0x25, 0x31, 0x3F)).all(axis=2).sum() > 60
