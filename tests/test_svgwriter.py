"""SVG as text, read by a parser and by another renderer."""

import io
import re
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree as ET

import numpy as np
import pytest
import resvg_py
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from PIL import Image

from mockup.rendering.canvas import pixels
from mockup.rendering.scene import Clip, Fill, Item, Scene, Stroke, Text
from mockup.rendering.svgwriter import svg

HERE = Path(__file__).parent
NS = "{http://www.w3.org/2000/svg}"
SQUARE = np.array([[1.0, 1.0], [9.0, 1.0], [9.0, 9.0], [1.0, 9.0]])


def disc(x: float, y: float, radius: float, points: int = 90) -> NDArray[np.float64]:
    angles = np.linspace(0, 2 * np.pi, points, endpoint=False)
    return np.column_stack((x + radius * np.cos(angles), y + radius * np.sin(angles)))


def page(*items: Item, title: str = "") -> ET.Element:
    return ET.fromstring(svg(Scene(40, 30, items, title)))


def mixed() -> Scene:
    petals = [
        Fill((disc(5 + 6 * (n % 6), 4 + 5 * (n // 6), 4),), f"#{n * 6:02x}8040", "petals", f"pear-{n}")
        for n in range(36)
    ]
    items: tuple[Item, ...] = (
        Fill((np.array([[0.0, 0], [40, 0], [40, 30], [0, 30]]),), "#f4efe6", "ground"),
        Clip(
            (SQUARE * 3.1,),
            (*petals, Clip((disc(20, 15, 9), disc(20, 15, 4)), (Fill((SQUARE * 4,), "#204060", "leaves"),))),
        ),
        Stroke((disc(20, 15, 12), disc(8, 8, 3)), (True, False), 0.4, "#202020", "lines"),
        Stroke((np.array([[35.0, 25.0]]),), (False,), 3.0, "#803030", "dots"),
    )
    return Scene(40, 30, items, "Mixed")


def test_one_unit_is_one_millimetre() -> None:
    root = ET.fromstring(svg(Scene(210, 297.5, ())))
    assert (root.get("width"), root.get("height"), root.get("viewBox")) == (
        "210mm",
        "297.5mm",
        "0 0 210 297.5",
    )


def test_painters_order_is_kept_and_runs_of_a_layer_share_a_group() -> None:
    colours = ["#000001", "#000002", "#000003", "#000004"]
    layers = ["petals", "petals", "leaves", "petals"]
    root = page(*(Fill((SQUARE,), colour, layer) for colour, layer in zip(colours, layers, strict=True)))
    groups = root.findall(f"{NS}g")
    assert [group.get("id") for group in groups] == ["petals", "leaves", "petals-2"]
    assert [group.findtext(f"{NS}title") for group in groups] == ["petals", "leaves", "petals"]
    assert [[path.get("fill") for path in group.findall(f"{NS}path")] for group in groups] == [
        colours[:2],
        colours[2:3],
        colours[3:],
    ]


def test_what_belongs_to_one_motif_shares_a_group_and_in_it_its_layers_do() -> None:
    given = [("pear", "a"), ("pear", "b"), ("fig", "b"), ("", "b"), ("pear", "b")]
    root = page(*(Fill((SQUARE,), "#000000", layer, of=of) for of, layer in given))
    tree = [
        (group.findtext(f"{NS}title"), [own.findtext(f"{NS}title") for own in group.findall(f"{NS}g")])
        for group in root.findall(f"{NS}g")
    ]
    assert tree == [("pear", ["a", "b"]), ("fig", ["b"]), ("b", []), ("pear", ["b"])]


def test_ids_are_plain_and_never_given_twice() -> None:
    names = ["petals", "petals-2", "petals", 'a b&"c', "é", "7", "petals-2", "petals", "", "clip"]
    root = page(
        *(Fill((SQUARE,), "#000000", name) for name in names),
        Clip((SQUARE,), (Fill((SQUARE,), "#000000", "z"),)),
    )
    ids = [element.get("id") for element in root.iter() if element.get("id")]
    assert len(set(ids)) == len(ids) == len(names) + 2
    assert all(re.fullmatch(r"[A-Za-z_][A-Za-z0-9_.-]*", name or "") for name in ids)


def test_titles_are_told_and_made_harmless() -> None:
    nasty = 'pear <1> & "fig" ]]>\x00\x1b\ufffe\ud800'
    root = page(
        Fill((SQUARE,), "#000000", "a", nasty),
        Stroke((SQUARE,), (True,), 1, "#000000", "a", "rim"),
        title=nasty,
    )
    said = 'pear <1> & "fig" ]]>    '
    assert [title.text for title in root.iter(f"{NS}title")] == [said, "a", said, "rim"]
    assert root[0].tag == f"{NS}title"


def test_nothing_but_plain_shapes_and_type() -> None:
    text = svg(mixed()) + svg(Scene(9, 9, (Text(1, 5, "A", 3, "#000000", "a"),)))
    tags = set(re.findall(r"<([a-zA-Z]+)", text))
    assert tags == {"svg", "title", "defs", "clipPath", "g", "path", "text"}
    for never in (
        "href",
        "data:",
        "<style",
        "<script",
        "opacity",
        "crispEdges",
        "filter",
        "<pattern",
        "<image",
    ):
        assert never not in text


def test_numbers_are_short() -> None:
    numbers = re.findall(r"-?\d*\.\d+", svg(mixed()))
    assert len(numbers) > 1000
    assert all(re.fullmatch(r"-?[1-9]?\d*\.\d{0,2}[1-9]", number) for number in numbers)


def points_of(data: str) -> list[NDArray[np.float64]]:
    """Outlines of path data made of M, l and z."""
    outlines = []
    for start, steps in re.findall(r"M([^lz]*)l([^zM]*)z?", data):
        values = [float(n) for n in re.findall(r"-?(?:\d+\.?\d*|\.\d+)", f"{start} {steps}")]
        outlines.append(np.cumsum(np.array(values).reshape(-1, 2), axis=0))
    return outlines


@given(st.lists(st.tuples(st.floats(-500, 500), st.floats(-500, 500)), min_size=1, max_size=40))
def test_outlines_are_true_to_a_thousandth_of_a_millimetre(points: list[tuple[float, float]]) -> None:
    line = np.array(points)
    (path,) = page(Stroke((line,), (False,), 0.4, "#000000", "a")).iter(f"{NS}path")
    (back,) = points_of(path.get("d") or "")
    for point in line:
        assert np.abs(back - point).max(axis=1).min() <= 0.00051
    assert np.allclose(back[[0, -1]], line[[0, -1]], atol=0.00051)


def test_lines_without_points_are_passed_over() -> None:
    (path,) = page(Fill((np.zeros((0, 2)), SQUARE), "#000000", "a")).iter(f"{NS}path")
    assert path.get("d") == "M1 1l8 0 0 8-8 0z"


def test_strokes_and_fills_say_how_they_are_painted() -> None:
    root = page(
        Stroke((SQUARE, SQUARE), (True, False), 0.45, "#102030", "a"), Fill((SQUARE,), "#a0b0c0", "a")
    )
    stroke, fill = root.iter(f"{NS}path")
    assert (stroke.get("fill"), stroke.get("stroke"), stroke.get("stroke-width")) == (
        "none",
        "#102030",
        ".45",
    )
    assert (stroke.get("d") or "").count("z") == 1
    assert (fill.get("fill"), fill.get("stroke")) == ("#a0b0c0", None)
    assert (root.get("fill-rule"), root.get("clip-rule")) == ("evenodd", "evenodd")
    assert (root.get("stroke-linecap"), root.get("stroke-linejoin")) == ("round", "round")


def test_type_stays_type() -> None:
    plain = Text(2.5, 8, "Clay & <moss>", 2.5, "#202020", "key")
    turned = Text(2.5, 8, " two  spaces", 4, "#202020", "key", weight="bold", anchor="middle", turn=-12.5)
    first, second = page(plain, turned).iter(f"{NS}text")
    assert first.text == "Clay & <moss>"
    assert first.attrib == {"x": "2.5", "y": "8", "font-size": "2.5", "fill": "#202020"}
    assert second.text == " two  spaces"
    assert second.get("transform") == "rotate(-12.5 2.5 8)"
    assert (second.get("font-weight"), second.get("text-anchor")) == ("bold", "middle")
    assert second.get("{http://www.w3.org/XML/1998/namespace}space") == "preserve"


def test_the_same_window_is_kept_once() -> None:
    inside = Fill((SQUARE,), "#000000", "a")
    root = page(Clip((SQUARE,), (inside,)), Clip((SQUARE,), (inside,)), Clip((SQUARE * 2,), (inside,)))
    clips = [clip.get("id") for clip in root.iter(f"{NS}clipPath")]
    users = [group.get("clip-path") for group in root.iter(f"{NS}g") if group.get("clip-path")]
    assert len(clips) == 2
    assert users == [f"url(#{clips[0]})", f"url(#{clips[0]})", f"url(#{clips[1]})"]


@pytest.mark.parametrize(
    ("item", "told"),
    [
        (Fill((SQUARE * np.nan,), "#000000", "a"), "a coordinate that is not a finite number"),
        (Fill((SQUARE,), '"/>', "a"), "is not a colour written #rrggbb"),
        (Text(1, 1, "A", 3, "black", "a"), "is not a colour written #rrggbb"),
    ],
)
def test_what_cannot_be_written_is_refused(item: Item, told: str) -> None:
    with pytest.raises(ValueError, match=told):
        page(item)


def test_equal_scenes_give_the_same_text_in_any_process() -> None:
    program = (
        f"import sys; sys.path.insert(0, {str(HERE)!r}); import test_svgwriter as t;"
        "sys.stdout.write(t.svg(t.mixed()))"
    )
    told = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True).stdout
    assert told == svg(mixed()) == svg(mixed())


def rendered(scene: Scene, columns: int) -> NDArray[np.uint8]:
    content = resvg_py.svg_to_bytes(svg_string=svg(scene), width=columns, dpi=96, background="#ffffff")
    return np.asarray(Image.open(io.BytesIO(bytes(content))).convert("RGB"))


def test_another_renderer_shows_the_same() -> None:
    scene = mixed()
    ours, theirs = pixels(scene, 254), rendered(scene, 400)
    assert ours.shape == theirs.shape
    off = np.abs(ours.astype(int) - theirs).max(axis=2)
    flat = (
        np.ptp(np.stack([np.roll(ours, (y, x), (0, 1)) for y in (-1, 0, 1) for x in (-1, 0, 1)]), axis=0).max(
            axis=2
        )
        == 0
    )
    assert flat.mean() > 0.5
    assert off[flat].mean() < 0.5
    assert off[flat].max() <= 2
    assert off.mean() < 2.0


def test_another_renderer_sets_the_same_type() -> None:
    texts = (
        Text(20, 5, "Hamburg 120 mm", 4, "#000000", "a"),
        Text(40, 11, "Hamburg 120 mm", 4, "#000000", "a", weight="bold", anchor="end"),
        Text(25, 17, "Hamburg 120 mm", 4, "#000000", "a", anchor="middle"),
        Text(20, 23, "Hamburg 120 mm", 4, "#000000", "a", weight="bold", turn=14.0),
    )
    scene = Scene(60, 40, texts)
    ours, theirs = (picture[:, :, 0] < 128 for picture in (pixels(scene, 254), rendered(scene, 600)))
    assert np.count_nonzero(ours) > 2000
    assert np.count_nonzero(ours & theirs) > 0.8 * np.count_nonzero(ours | theirs)
