"""The mock-up sheet: the same bytes every time, true size, ground under all, nothing showing where it should not."""

import io
import itertools
import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any, Final
from xml.etree import ElementTree

import numpy as np
import pytest
import resvg_py
from numpy.typing import NDArray
from PIL import Image
from pypdf import PdfReader
from pypdf.generic import DictionaryObject
from small import DRAWN, Tables, changed, flat, scene_of, spreading_of, texts, write_design

from mockup.cli.main import run
from mockup.geometry.shading import STYLES
from mockup.geometry.shapes import Box
from mockup.jobs.preview import preview_design, preview_scene
from mockup.rendering.canvas import pixels
from mockup.rendering.canvas_text import text_width
from mockup.rendering.scene import Clip, Cloth, Fill, Scene, Stroke, Text
from mockup.rendering.svgwriter import svg

TILED: Final[Tables] = {
    "": {"title": '"Small"', "designer": '"D"'},
    "sheet": {"size": "[150, 140]", "margin": "10"},
    "pattern": {"motifs": '["pear", "leaflet"]', "repeat": '"straight"', "tile": "[60, 60]"},
    "colouring": {"ground": '"light"', "colour_repeat": "[1, 1]"},
    "shading": {"style": '"rim"'},
}
FULL: Final = """<svg xmlns="http://www.w3.org/2000/svg" width="23.7mm" height="23.7mm" viewBox="0 0 2 2" overflow="visible">
<path id="a" d="M-.1 -.1H1V1H-.1z"/><path id="b" d="M1 -.1H2.1V1H1z"/>
<path id="c" d="M-.1 1H1L1.4 2.1H-.1z"/><path id="d" d="M1 1H2.1V2.1H1.4z"/></svg>"""
"""A repeat unit that leaves no ground: what meets in it meets on straight and slanting lines, its copies overlap."""

EVEN: Final = (
    ("garish", "#ff00ff"),
    ("a", "#f0a010"),
    ("b", "#10a0f0"),
    ("c", "#50a090"),
    ("d", "#b0a0d0"),
    ("e", "#00a030"),
)
"""A garish ground, and inks that all have 160 green: wherever the ground shows there is less, where the paper, more."""


def test_the_same_design_gives_the_same_bytes_in_any_process(tmp_path: Path) -> None:
    path = write_design(tmp_path, TILED)
    for ending in (".png", ".svg", ".pdf"):
        first = preview_design(path, tmp_path / f"a{ending}", dpi=100).read_bytes()
        assert preview_design(path, tmp_path / f"b{ending}", dpi=100).read_bytes() == first
        target = tmp_path / f"c{ending}"
        words = [sys.executable, "-m", "mockup", "preview", path.name, "-o", target.name, "--dpi", "100"]
        subprocess.run(
            words,
            cwd=tmp_path,
            env={**os.environ, "PYTHONHASHSEED": str(len(first) % 1000)},
            check=True,
            capture_output=True,
        )
        assert target.read_bytes() == first


@pytest.mark.parametrize(("scale", "step"), [('"1:1"', 600), ('"1:4"', 150), ('"2:1"', 1200)])
def test_a_tile_of_60_mm_measures_60_mm_at_its_scale(tmp_path: Path, scale: str, step: int) -> None:
    big = changed(TILED, sheet={"scale": scale, "size": "[300, 300]"}, shading={"style": '"none"'})
    picture = pixels(scene_of(write_design(tmp_path, big)), 254).astype(int)
    field = picture[100:2900, 100:2900]
    for axis in (0, 1):
        length = field.shape[axis] - step
        first, second = np.take(field, range(length), axis), np.take(field, range(step, step + length), axis)
        # at 10 pixels a mm a tile is a whole number of pixels: the same again, but for the grey of its edges
        assert np.abs(first - second).max() <= 8
        nearer = np.take(field, range(step // 2, step // 2 + length), axis)
        assert np.abs(first - nearer).max() > 100


def test_a_quarter_of_the_scale_shows_four_times_as_much_cloth_each_way_and_says_so(tmp_path: Path) -> None:
    scenes = [
        scene_of(write_design(tmp_path, changed(TILED, sheet={"scale": scale, "size": "[260, 260]"})))
        for scale in ('"1:1"', '"1:4"')
    ]
    bodies = [
        len({id(i) for i in flat(s.items) if isinstance(i, Fill) and "pear-1/" in i.title}) for s in scenes
    ]
    assert bodies[1] == pytest.approx(16 * bodies[0], rel=0.25)
    assert "scale 1:1" in "".join(texts(scenes[0]))
    assert "scale 1:4" in "".join(texts(scenes[1]))


def test_the_ground_lies_under_every_shape(tmp_path: Path) -> None:
    path = write_design(tmp_path, TILED)
    items = flat(scene_of(path).items)
    fills = [item for item in items if isinstance(item, Fill)]
    at = next(number for number, fill in enumerate(fills) if fill.layer == "ground")
    field = spreading_of(path).piece.field
    (ring,) = fills[at].rings
    assert (ring.min(axis=0) <= field[:2]).all()
    assert (ring.max(axis=0) >= field[2:]).all()
    assert all(not fill.layer.startswith("ink ") for fill in fills[:at])
    assert sum(fill.layer.startswith("ink ") for fill in fills[at:]) > 20


@pytest.mark.parametrize(
    "border", [{}, {"style": '"none"'}, {"style": '"double"'}, {"ink": '"garish"'}], ids=str
)
def test_no_ground_and_no_paper_shows_between_what_meets(border: dict[str, str], tmp_path: Path) -> None:
    tables = {
        "sheet": {"size": "[83.3, 79.1]", "margin": "7.77", "paper": '"white"'},
        "drawing": {"file": '"full.svg"', "repeat": '"straight"'},
        "colouring": {
            "ground": '"garish"',
            "only": "{ " + ", ".join(f'{n} = ["{n}", "e"]' for n in "abcd") + " }",
        },
        "line": {"ink": '"none"'},
        "border": {"style": '"plain"', "width": "4.1", "ink": '"e"', **border},
    }
    path = write_design(tmp_path, tables, EVEN)
    (tmp_path / "full.svg").write_text(FULL)
    spreading = spreading_of(path)
    scene = preview_scene(spreading)
    bare = [item for item in scene.items if isinstance(item, Clip | Cloth) or item.layer != "caption"]
    scene = Scene(scene.width, scene.height, tuple(bare))
    for dpi in (100.0, 150.0, 200.0, 300.0):
        green = pixels(scene, dpi)[..., 1].astype(int)
        # the key is left out; what lies between two inks, or ink and paper, never has less green than they
        # (a pixel of under 170 dpi is wider than what runs on under its neighbour: a trace may mix in)
        assert green.min() >= (159 if dpi > 170 else 150)
        assert _inside(green, spreading.piece.field, dpi).max() <= 161
        if not border:
            assert _inside(green, spreading.piece.outer, dpi).max() <= 161


def _inside(green: NDArray[np.int64], box: Box, dpi: float) -> NDArray[np.int64]:
    """Give the pixels that lie wholly inside a box on the sheet (mm)."""
    x0, y0, x1, y1 = np.array(box) / 25.4 * dpi
    return green[int(y0) + 2 : int(y1) - 2, int(x0) + 2 : int(x1) - 2]


@pytest.mark.parametrize(
    ("ground", "style", "across"),
    [
        ('"light"', '"plain"', ["#25313f"]),
        ('"light"', '"double"', ["#25313f", "#fdfcf8", "#25313f"]),
        ('"dark"', '"plain"', ["#b9522b", "#fdfcf8"]),
        ('"dark"', '"double"', ["#b9522b", "#fdfcf8", "#b9522b", "#fdfcf8"]),
    ],
)
def test_the_border_is_darkest_and_on_a_ground_of_its_ink_the_dominant(
    ground: str, style: str, across: list[str], tmp_path: Path
) -> None:
    path = write_design(tmp_path, changed(TILED, colouring={"ground": ground}, border={"style": style}))
    piece = spreading_of(path).piece
    row = pixels(scene_of(path), 254)[700]
    band = row[round(piece.outer[0] * 10) + 1 : round(piece.field[0] * 10) - 1]
    colours = [f"#{r:02x}{g:02x}{b:02x}" for r, g, b in band.tolist()]
    runs = [colour for number, colour in enumerate(colours) if colours[number : number + 5] == [colour] * 5]
    assert [
        colour for number, colour in enumerate(runs) if number == 0 or runs[number - 1] != colour
    ] == across
    assert round(piece.field[0] - piece.outer[0], 6) == piece.border.depth if piece.border else False


def _strokes(path: Path) -> list[Stroke]:
    return [item for item in flat(scene_of(path).items) if isinstance(item, Stroke) and item.layer == "line"]


def test_outlines_are_off_on_a_dark_ground_unless_asked_for(tmp_path: Path) -> None:
    counts = {}
    for ground in ("light", "dark", "paper"):
        for outline in ("", "true", "false"):
            line = {"outline": outline} if outline else {}
            path = write_design(tmp_path, changed(TILED, colouring={"ground": f'"{ground}"'}, line=line))
            counts[ground, outline] = len(_strokes(path)[0].lines)
    assert counts["dark", ""] == counts["dark", "false"] < counts["dark", "true"]
    assert counts["light", "false"] < counts["light", ""] == counts["light", "true"]
    assert counts["paper", ""] == counts["paper", "true"]


@pytest.mark.parametrize(
    ("ink", "colour"), [("dark", "#25313f"), ("Clay", "#b9522b"), ("tomato", "#ff6347"), ("none", None)]
)
def test_the_lines_take_the_ink_that_is_asked_for(ink: str, colour: str | None, tmp_path: Path) -> None:
    strokes = _strokes(write_design(tmp_path, changed(TILED, line={"ink": f'"{ink}"', "width": "0.5"})))
    assert [(stroke.colour, stroke.width) for stroke in strokes] == ([(colour, 0.5)] if colour else [])


def test_shading_stays_inside_shapes_and_leaves_dark_ink_and_bare_paper_alone(tmp_path: Path) -> None:
    inks = (("white", "paper"), ("clay", "#b9522b"), ("moss", "#73834f"), ("night", "#25313f"))
    pictures = {}
    for style in ("none", "rim"):
        wish = {"style": f'"{style}"', "coats": "2", "width": "1.5"}
        tables = changed(TILED, shading=wish, line={"ink": '"none"'}, colouring={"ground": '"paper"'})
        drawn = pixels(scene_of(write_design(tmp_path, tables, inks)), 200)
        pictures[style] = drawn[: round(len(drawn) * 0.88)]  # the caption, which tells of the coats, left out
    weights = np.array([65536, 256, 1])
    plain, shaded = pictures["none"] @ weights, pictures["rim"] @ weights
    for colour, touched in {0xFDFCF8: False, 0x25313F: False, 0xB9522B: True, 0x73834F: True}.items():
        own = shaded[plain == colour]
        assert own.size > 1000
        off = np.abs(pictures["rim"][plain == colour].astype(int) - pictures["none"][plain == colour]).max()
        assert off > 20 if touched else off <= 2
        # plain, one coat and two coats: pure colours, apart from the grey of their edges
        _, count = np.unique(own, return_counts=True)
        assert (count > 500).sum() == (3 if touched else 1)


@pytest.mark.parametrize("style", STYLES)
def test_an_independent_renderer_shows_the_same_sheet(style: str, tmp_path: Path) -> None:
    tables = changed(
        TILED,
        shading={"style": f'"{style}"', "width": "1.2", "coats": "3"},
        border={"style": '"motifs"', "width": "14", "motifs": '["leaflet"]', "ink": '"clay"'},
    )
    whole = scene_of(write_design(tmp_path, tables))
    scene = Scene(
        150, 140, tuple(i for i in whole.items if isinstance(i, Clip) or getattr(i, "layer", "") != "caption")
    )
    ours = pixels(scene, 127)
    content = resvg_py.svg_to_bytes(svg_string=svg(scene), width=750, dpi=96, background="#ffffff")
    theirs = np.asarray(Image.open(io.BytesIO(bytes(content))).convert("RGB"))
    assert theirs.shape == ours.shape
    off = np.abs(ours.astype(int) - theirs).max(axis=2)
    plain = np.ones(off.shape, dtype=bool)
    for picture in (ours.astype(int), theirs.astype(int)):
        for step in ((0, 1), (1, 0), (0, -1), (-1, 0)):
            plain &= np.abs(picture - np.roll(picture, step, axis=(0, 1))).max(axis=2) == 0
    assert plain.mean() > 0.6
    assert off[plain].mean() < 0.5
    assert (off[plain] > 2).sum() == 0
    assert off.mean() < 1.5


def test_signs_that_the_typeface_lacks_are_told(tmp_path: Path) -> None:
    path = write_design(tmp_path, changed(DRAWN, **{"": {"title": '"\u0e44 and \U0001f9f6"'}}))
    said: list[str] = []
    preview_design(path, tmp_path / "a.png", dpi=30, say=said.append)
    assert said == ["the typeface has no sign for \u0e44 \U0001f9f6: a question mark stands for each"]
    text = preview_design(path, tmp_path / "a.svg", say=said.append).read_text(encoding="utf-8")
    assert len(said) == 1
    assert "\u0e44 and \U0001f9f6" in text  # who reads it may have another typeface


def test_the_margin_is_bare_paper(tmp_path: Path) -> None:
    tables = changed(DRAWN, drawing={"repeat": '"straight"'}, sheet={"margin": "9"})
    picture = pixels(scene_of(write_design(tmp_path, tables)), 254)
    for strip in (picture[:90], picture[:700, :90], picture[:700, -90:], picture[-1:]):
        assert (strip == (0xFD, 0xFC, 0xF8)).all()
    assert (picture[95:100, 95:-95] != (0xFD, 0xFC, 0xF8)).any()


def test_an_svg_names_every_region_and_its_ink_and_holds_only_plain_shapes(tmp_path: Path) -> None:
    path = write_design(tmp_path, TILED)
    text = preview_design(path, tmp_path / "out.svg").read_text(encoding="utf-8")
    root = ElementTree.fromstring(text)
    tag = "{http://www.w3.org/2000/svg}"
    kinds = {element.tag.removeprefix(tag) for element in root.iter()}
    assert kinds <= {"svg", "title", "defs", "clipPath", "g", "path", "text"}
    spreading = spreading_of(path)
    names = [ink.name for ink in spreading.piece.palette.inks]
    inked = {
        f"{row.label}: {names[ink]}"
        for row, ink in zip(spreading.rows, spreading.plan.inks.tolist(), strict=True)
    }
    found: set[Any] = set()
    for group in root.iter(f"{tag}g"):
        if group.get("id", "").startswith("ink-"):
            titles = [path.findtext(f"{tag}title") for path in group.findall(f"{tag}path")]
            assert titles[0]
            found |= {title for title in titles if title}
    assert found == inked
    motifs = [
        group
        for group in root.iter(f"{tag}g")
        if str(group.findtext(f"{tag}title")).partition("@")[0] in spreading.piece.tile.places
    ]
    assert len(motifs) >= 4 * len(spreading.piece.tile.places)
    for group in motifs:
        name = str(group.findtext(f"{tag}title")).partition("@")[0]
        inner = group.findall(f"{tag}g")
        assert {own.findtext(f"{tag}title") for own in inner} <= {f"ink {ink}" for ink in names}
        told = [path.findtext(f"{tag}title") for own in inner for path in own.findall(f"{tag}path")]
        assert all(title.startswith(f"{name}/") for title in told if title)
    ids = [element.get("id") for element in root.iter() if element.get("id")]
    assert len(ids) == len(set(ids))


def test_a_pdf_is_vector_and_can_be_searched(tmp_path: Path) -> None:
    page = PdfReader(preview_design(write_design(tmp_path, TILED), tmp_path / "out.pdf")).pages[0]
    assert not list(page.images)
    resources = page["/Resources"].get_object()
    assert isinstance(resources, DictionaryObject)
    assert not [key for key in ("/Pattern", "/Shading") if resources.get(key)]
    assert "half-drop" not in page.extract_text()
    assert "straight repeat 6 x 6 cm" in re.sub(r"\s+", " ", page.extract_text())


LONG: Final = tuple((f"ink with a rather long name {n}", f"#{n:x}0{15 - n:x}080") for n in range(12))


@pytest.mark.parametrize(
    ("size", "margin"),
    [("[60, 90]", 5), ("[150, 140]", 10), ("[150, 140]", 6), ('"A4"', 8), ("[297, 210]", 12)],
)
@pytest.mark.parametrize("inks", [LONG[:1], LONG], ids=["1 ink", "12 inks"])
def test_the_key_stays_on_the_sheet_and_clear_of_the_border(
    size: str, margin: int, inks: tuple[tuple[str, str], ...], tmp_path: Path
) -> None:
    title = '"' + "A long title of many words " * 7 + '"'
    tables = changed(
        DRAWN,
        **{"": {"title": title}, "sheet": {"size": size, "margin": str(margin)}, "drawing": {"width": "20"}},
    )
    path = write_design(tmp_path, changed(tables, border={"width": "1"}), inks)
    frame = spreading_of(path).piece.outer
    scene = scene_of(path)
    lines = [item for item in flat(scene.items) if isinstance(item, Text)]
    assert {line.text for line in lines} >= {chr(ord("A") + n) for n in range(len(inks))}
    assert "".join(f" {line.text}" for line in lines).count("A long title") == 7
    for line in lines:
        width = text_width(line.text, line.size_mm, line.weight)
        end = line.x if line.anchor == "end" else line.x + width
        assert end <= scene.width - min(margin, 5)
        assert line.y - line.size_mm * 0.8 >= frame[3]
        assert line.y + line.size_mm * 0.25 <= scene.height
    lines = [line for line in lines if not line.text.endswith(" cm")]
    heights = sorted({line.y for line in lines})
    assert all(after - before >= lines[0].size_mm * 1.5 for before, after in itertools.pairwise(heights))


def test_a_margin_too_narrow_for_type_carries_none(tmp_path: Path) -> None:
    assert texts(scene_of(write_design(tmp_path, changed(TILED, sheet={"margin": "4"})))) == []


def test_an_unknown_ending_is_told_before_anything_is_read(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["preview", str(tmp_path / "no.toml"), "-o", "x.bmp"]) == 1
    assert capsys.readouterr().err.startswith("mockup: x.bmp: a sheet cannot be written as '.bmp'")
