"""A bar that measures what it says."""

import re
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from pypdf import PageObject, PdfReader
from pypdf.generic import ContentStream
from small import DRAWN, changed, flat, scene_of, spreading_of, write_design

from mockup.jobs.looks import frame_of, key_of, notes_of
from mockup.jobs.preview import preview_design, preview_scene
from mockup.rendering.canvas import pixels
from mockup.rendering.canvas_text import text_width
from mockup.rendering.scene import Fill, Scene, Stroke, Text
from mockup.sheets.caption import caption
from mockup.sheets.preview import _foot
from mockup.sheets.scalebar import bar_lengths, bar_room, scale_bar


@given(st.floats(20, 1200), st.sampled_from([4.0, 2.0, 1.0, 0.5, 0.25, 0.1, 0.05]), st.floats(0.9, 2))
def test_it_measures_what_it_says_at_every_scale(width: float, scale: float, size: float) -> None:
    lengths = bar_lengths(width, scale)
    assert lengths == sorted(lengths, reverse=True)
    assert lengths or width < 104
    for length in lengths:
        line, words = scale_bar(width - 5, 40, length, scale, size)
        assert isinstance(line, Stroke)
        assert isinstance(words, Text)
        found = re.fullmatch(r"([\d.]+) cm", words.text)
        assert found
        x = np.concatenate(line.lines)[:, 0]
        measured = float(np.ptp(x)) + line.width
        assert measured == pytest.approx(float(found[1]) * 10 * scale)
        assert 9.999 < measured < max(width / 4, 10) + 0.001
        assert words.x < x.min()
        begin = words.x - text_width(words.text, size)
        assert width - 5 - begin == pytest.approx(bar_room(length, scale, size))


@pytest.mark.parametrize("count", [1, 4, 7])
@pytest.mark.parametrize("size", [(210, 297), (148, 210), (105, 148), (74, 105), (60, 40)])
def test_the_bar_hardly_makes_the_type_smaller(count: int, size: tuple[int, int], tmp_path: Path) -> None:
    inks = tuple((f"ink number {n}", f"#{n + 2}{n + 1}{n + 1}") for n in range(count))
    tables = changed(
        DRAWN,
        **{"": {"title": '"A title of some length"', "designer": '"A. Name"', "client": '"Somebody"'}},
        sheet={"size": f"[{size[0]}, {size[1]}]"},
        drawing={"width": "16"},
        border={"width": "1"},
    )
    found = spreading_of(write_design(tmp_path, tables, inks))
    scene = preview_scene(found)
    own = [item for item in scene.items if isinstance(item, Text)]
    foot = _foot(frame_of(found.piece))
    alone = [i for i in caption(key_of(found), notes_of(found.piece), foot) if isinstance(i, Text)]
    assert own[0].size_mm >= 0.9 * alone[0].size_mm
    bars = [item for item in own if item.text.endswith(" cm")]
    assert len(bars) == (1 if size[0] > 140 else len(bars))
    for bar in bars:
        assert bar.y == max(item.y for item in own)
        left = bar.x - text_width(bar.text, bar.size_mm)
        beside = [i for i in own if i.y == bar.y and i is not bar]
        assert all(i.x + text_width(i.text, i.size_mm, i.weight) < left for i in beside)


@pytest.mark.parametrize(("scale", "said"), [('"1:1"', "5 cm"), ('"1:2"', "10 cm"), ('"2:1"', "2 cm")])
def test_on_a_printed_sheet_a_ruler_agrees(scale: str, said: str, tmp_path: Path) -> None:
    tables = changed(DRAWN, sheet={"size": "[210, 150]", "scale": scale}, drawing={"width": "40"})
    scene = scene_of(write_design(tmp_path, tables))
    (words,) = (i for i in flat(scene.items) if isinstance(i, Text) and i.text.endswith(" cm"))
    assert words.text == said
    (line,) = (i for i in scene.items if isinstance(i, Stroke) and i.title == "scale bar")
    dark = pixels(Scene(scene.width, scene.height, (line,)), 600)[..., 0] < 160
    columns = np.flatnonzero(dark.any(axis=0)) / 600 * 25.4
    factor = {'"1:1"': 1.0, '"1:2"': 0.5, '"2:1"': 2.0}[scale]
    assert columns[-1] - columns[0] == pytest.approx(float(said[:-3]) * 10 * factor, abs=0.1)


def _points(page: PageObject) -> NDArray[np.float64]:
    """Every point of a path on a page of a PDF, (n, 2) mm from its top left, by the matrices in force."""
    height = float(page.mediabox.height)
    contents = page.get_contents()
    assert contents is not None
    matrix, kept, found = np.eye(3), [], []
    for words, sign in ContentStream(contents, page.pdf).operations:
        if sign == b"q":
            kept.append(matrix)
        elif sign == b"Q":
            matrix = kept.pop()
        elif sign == b"cm":
            a, b, c, d, e, f = map(float, words)
            matrix = np.array([[a, b, 0], [c, d, 0], [e, f, 1]]) @ matrix
        elif sign in {b"m", b"l"}:
            found.append((np.array([float(words[0]), float(words[1]), 1.0]) @ matrix)[:2])
    spots = np.array(found)
    return np.column_stack((spots[:, 0], height - spots[:, 1])) * 25.4 / 72


def test_in_a_pdf_every_shape_lies_where_it_should_within_a_tenth_of_a_mm(tmp_path: Path) -> None:
    path = write_design(tmp_path, changed(DRAWN, sheet={"size": "[210, 150]"}, drawing={"width": "40"}))
    page = PdfReader(preview_design(path, tmp_path / "a.pdf")).pages[0]
    told = _points(page)
    scene = scene_of(path)
    (line,) = (i for i in scene.items if isinstance(i, Stroke) and i.title == "scale bar")
    squares = [i for i in flat(scene.items) if isinstance(i, Fill) and i.layer.startswith("ink ")]
    assert len(squares) == 4
    for spot in np.concatenate((line.lines[0], *(fill.rings[0] for fill in squares))):
        assert np.hypot(*(told - spot).T).min() < 0.1
