"""Pixels and PDF."""

import io
import re
import subprocess
import sys
import time
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pypdf
import pytest
import shapely
from bench import bench_drawing
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from mockup.errors import DesignError
from mockup.geometry import shapes
from mockup.rendering import canvas
from mockup.rendering.canvas import pdf, picture_size, pixels
from mockup.rendering.canvas_text import missing_glyphs, text_rings, text_width
from mockup.rendering.scene import Anchor, Clip, Fill, Item, Scene, Stroke, Text

HERE = Path(__file__).parent
DPI_10 = 254.0
"""10 pixels a mm."""

Picture = NDArray[np.uint8]


def box(x0: float, y0: float, x1: float, y1: float) -> NDArray[np.float64]:
    return np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]], dtype=float)


def disc(x: float, y: float, radius: float, points: int = 90) -> NDArray[np.float64]:
    angles = np.linspace(0, 2 * np.pi, points, endpoint=False)
    return np.column_stack((x + radius * np.cos(angles), y + radius * np.sin(angles)))


def draw(*items: Item, width: float = 20.0, height: float = 20.0, dpi: float = DPI_10) -> Picture:
    return pixels(Scene(width, height, items), dpi)


def colour_at(picture: Picture, x: float, y: float) -> str:
    return "#" + bytes(picture[int(y * 10), int(x * 10)].tolist()).hex()


def ink(picture: Picture) -> NDArray[np.float64]:
    """How much of each pixel black covers, 0..1."""
    return 1.0 - picture[:, :, 0].astype(float) / 255


def mixed() -> Scene:
    """A little of everything."""
    items: tuple[Item, ...] = (
        Fill((box(0, 0, 40, 90),), "#f4efe6", "ground"),
        Clip(
            (box(3.03, 3.07, 36, 86.4),),
            (
                *(
                    Fill((disc(4 + 8 * (n % 5), 5 + 9 * (n // 5), 5),), f"#{n * 5:02x}8040", "petals")
                    for n in range(45)
                ),
                Clip((disc(20, 45, 14), disc(20, 45, 6)), (Fill((box(0, 0, 40, 90),), "#204060", "leaves"),)),
                Stroke(
                    tuple(disc(4 + 8 * n, 20 + 9 * n, 4) for n in range(5)),
                    (True,) * 5,
                    0.4,
                    "#202020",
                    "lines",
                ),
            ),
        ),
        Stroke((np.array([[2.0, 2], [30, 80], [5, 60]]),), (False,), 1.0, "#803030", "lines"),
        Text(20, 88, "A label, turned", 3, "#202020", "key", anchor="middle", turn=-8),
    )
    return Scene(40, 90, items, "Mixed")


def test_a_sheet_without_items_is_white_and_as_large_as_it_should_be() -> None:
    picture = pixels(Scene(210, 297, ()), 96)
    assert picture.shape == (round(297 / 25.4 * 96), round(210 / 25.4 * 96), 3)
    assert picture.dtype == np.uint8
    assert np.all(picture == 255)


@pytest.mark.parametrize("colour", ["#000000", "#ffffff", "#b5532a", "#0180fe", "#40e0d0"])
def test_colours_come_out_as_written(colour: str) -> None:
    picture = draw(Fill((box(-1, -1, 21, 21),), colour, "ground"))
    assert {colour_at(picture, x, y) for x in (0, 10, 19.9) for y in (0, 10, 19.9)} == {colour}


def test_the_sheet_fills_its_picture_to_the_last_pixel() -> None:
    scene = Scene(10.06, 7.03, (Fill((box(0, 0, 10.06, 7.03),), "#000000", "ground"),))
    assert np.all(pixels(scene, DPI_10) == 0)


def test_the_last_item_lies_on_top() -> None:
    low, high = Fill((box(2, 2, 12, 12),), "#b5532a", "a"), Fill((box(8, 8, 18, 18),), "#336699", "b")
    assert colour_at(draw(low, high), 10, 10) == "#336699"
    assert colour_at(draw(high, low), 10, 10) == "#b5532a"


def test_rings_are_filled_even_odd() -> None:
    picture = draw(Fill((box(1, 1, 19, 19), box(5, 5, 15, 15), box(8, 8, 12, 12)), "#000000", "a"))
    assert [colour_at(picture, at, 10) for at in (3, 6, 10)] == ["#000000", "#ffffff", "#000000"]


def test_rings_without_area_and_lines_without_points_are_passed_over() -> None:
    nothing = np.zeros((0, 2))
    items = (
        Fill((nothing, box(1, 1, 2, 2)[:2]), "#000000", "a"),
        Fill((), "#000000", "a"),
        Stroke((nothing,), (True,), 1.0, "#000000", "a"),
        Stroke((box(1, 1, 9, 9),), (True,), 0.0, "#000000", "a"),
        Clip((), (Fill((box(0, 0, 20, 20),), "#000000", "a"),)),
        Text(5, 5, "", 3, "#000000", "a"),
    )
    assert np.all(draw(*items) == 255)
    assert len(pypdf.PdfReader(io.BytesIO(pdf(Scene(20, 20, items)))).pages) == 1


@pytest.mark.parametrize("closed", [True, False])
def test_a_line_of_one_point_is_a_round_dot(closed: bool) -> None:
    picture = draw(Stroke((np.array([[10.0, 10.0]]),), (closed,), 4.0, "#000000", "a"))
    assert ink(picture).sum() / 100 == pytest.approx(np.pi * 4, rel=5e-3)
    assert colour_at(picture, 10, 10) == "#000000"


def test_the_area_of_a_stroke_is_its_length_times_its_width() -> None:
    ring = draw(Stroke((disc(10, 10, 6),), (True,), 0.4, "#000000", "a"))
    assert ink(ring).sum() / 100 == pytest.approx(2 * np.pi * 6 * 0.4, rel=5e-3)
    line = draw(Stroke((np.array([[4.0, 5.0], [16.0, 10.0]]),), (False,), 1.0, "#000000", "a"))
    assert ink(line).sum() / 100 == pytest.approx(13.0 + np.pi / 4, rel=5e-3)


def under_a_pen(lines: list[NDArray[np.float64]], closed: bool, width: float) -> shapes.Shape:
    """What a round pen covers along the lines, by another road: the union over each side."""
    sides = []
    for line in lines:
        path = np.concatenate((line, line[:1])) if closed else line
        sides += [shapely.LineString(side) for side in pairwise(path)]
    return shapes.as_shape(
        shapely.union_all(shapely.buffer(np.array(sides, dtype=object), width / 2, quad_segs=48))
    )


def told_exactly(off: NDArray[np.int64], picture: Picture, area: shapes.Shape) -> NDArray[np.int64]:
    """Where a picture is off by more than 32, how far it is from the share of the pixel that is covered.

    Cairo fills a very narrow notch of the union wrongly, and so what it is compared with may be what is off.
    """
    rows, columns = np.nonzero(off > 32)
    pixel = shapely.box(columns / 10, rows / 10, (columns + 1) / 10, (rows + 1) / 10)
    covered = shapely.area(shapely.intersection(pixel, area)) * 100
    off[rows, columns] = np.abs(picture[rows, columns, 0] - np.rint(255 * (1 - covered)))
    return off


@settings(deadline=None, max_examples=40)
@given(
    st.lists(
        st.lists(st.tuples(st.integers(10, 190), st.integers(10, 190)), min_size=2, max_size=12),
        min_size=1,
        max_size=4,
    ),
    st.booleans(),
    st.floats(0.2, 3),
)
def test_strokes_cover_what_a_round_pen_covers(
    corners: list[list[tuple[int, int]]], closed: bool, width: float
) -> None:
    lines = [np.array(line, dtype=float) / 10 for line in corners]
    ours = draw(Stroke(tuple(lines), (closed,) * len(lines), width, "#000000", "a"))
    area = under_a_pen(lines, closed, width)
    off = np.abs(ours.astype(int) - draw(Fill(shapes.rings(area), "#000000", "a"))).max(axis=2)
    assert off.mean() < 0.2
    off = told_exactly(off, ours.astype(int), area)
    assert off.max() <= 32


def test_a_narrow_crook_is_covered_as_far_as_it_is() -> None:
    line = np.array([[2.4, 15.6], [14.6, 1.8], [7.1, 1.3], [14.1, 16.2]])
    width = 1.26171875
    ours = draw(Stroke((line,), (False,), width, "#000000", "a")).astype(int)
    area = under_a_pen([line], False, width)
    off = np.abs(ours - draw(Fill(shapes.rings(area), "#000000", "a"))).max(axis=2)
    assert off[83, 96] > 100  # the union is what is filled wrongly
    assert told_exactly(off, ours, area).max() <= 32


@pytest.mark.parametrize(("band", "threads"), [(37, 1), (37, 3), (512, 8), (4000, 1)])
def test_the_picture_does_not_depend_on_bands_or_threads(
    band: int, threads: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    expected = pixels(mixed(), 200)
    monkeypatch.setattr(canvas, "_BAND", band)
    monkeypatch.setattr(canvas, "_MOST_THREADS", threads)
    assert np.array_equal(pixels(mixed(), 200), expected)


def seam(*, ground: bool) -> Picture:
    left = np.array([[-1.0, -1], [7, -1], [13, 21], [-1, 21]])
    right = np.array([[7.0, -1], [21, -1], [21, 21], [13, 21]])
    under = (Fill((box(-1, -1, 21, 21),), "#404040", "ground"),) if ground else ()
    return draw(*under, Fill((left,), "#404040", "a"), Fill((right,), "#404040", "b"))


def test_paper_shows_through_a_seam_unless_the_ground_lies_under_it() -> None:
    assert seam(ground=False).max() - 0x40 > 20
    assert seam(ground=True).max() == 0x40


def test_a_window_shows_nothing_outside_and_all_inside() -> None:
    picture = draw(Clip((box(4, 5, 15, 12),), (Fill((box(0, 0, 20, 20),), "#204060", "a"),)))
    shown = np.any(picture != 255, axis=2)
    expected = np.zeros((200, 200), dtype=bool)
    expected[50:120, 40:150] = True
    assert np.array_equal(shown, expected)
    assert np.all(picture[expected] == (0x20, 0x40, 0x60))


def test_a_round_window_is_exact_to_the_pixel() -> None:
    shade = Fill((box(0, 0, 20, 20),), "#000000", "a")
    picture = draw(Clip((disc(10, 10, 7), disc(10, 10, 3)), (shade,)))
    rows, columns = np.mgrid[:200, :200]
    radius = np.hypot(rows + 0.5 - 100, columns + 0.5 - 100)
    assert np.all(ink(picture)[(radius > 71) | (radius < 29)] == 0)
    assert np.all(ink(picture)[(radius < 69) & (radius > 31)] == 1)


def test_windows_in_windows_show_what_lies_in_both() -> None:
    inner = Clip((box(5, 5, 18, 18),), (Fill((box(0, 0, 20, 20),), "#000000", "a"),))
    picture = draw(Clip((box(2, 2, 10, 10),), (inner,)))
    assert ink(picture).sum() == 2500
    assert ink(picture)[50:100, 50:100].min() == 1


def test_items_wholly_in_a_window_look_as_without_it() -> None:
    item = Fill((disc(10, 10, 4),), "#204060", "a")
    assert np.array_equal(draw(Clip((box(1.03, 1.04, 19, 19),), (item,))), draw(item))
    crossing = Fill((disc(3, 10, 4),), "#b5532a", "a")
    window = (box(1.03, 1.04, 19, 19),)
    apart = draw(*(Clip(window, (piece,)) for piece in (crossing, item, crossing)))
    assert np.array_equal(draw(Clip(window, (crossing, item, crossing))), apart)


def test_a_slanted_window_of_four_corners_is_no_upright_one() -> None:
    slanted = np.array([[10.0, 0], [20, 10], [10, 20], [0, 10]])
    picture = draw(Clip((slanted,), (Fill((box(2, 2, 18, 18),), "#000000", "a"),)))
    assert ink(picture)[:, :].sum() / 100 == pytest.approx(200 - 4 * 4, rel=5e-3)


@pytest.mark.parametrize("dpi", [0.0, -5.0, float("nan"), float("inf")])
def test_a_picture_needs_a_resolution(dpi: float) -> None:
    with pytest.raises(DesignError, match=r"^a picture cannot have .* dpi; 300 is usual for print"):
        picture_size(Scene(10, 10, ()), dpi)


@pytest.mark.parametrize(
    ("size", "dpi"), [((841, 1189), 600), ((10, 3000), 300), ((5000, 5000), 100), ((90000, 90000), 9)]
)
def test_a_picture_that_is_too_large_is_refused_with_what_fits(size: tuple[float, float], dpi: float) -> None:
    scene = Scene(*size, ())
    with pytest.raises(DesignError, match=r"more than a picture can hold; ask for .* dpi or less") as refused:
        pixels(scene, dpi)
    told = re.search(r"ask for ([\d.]+) dpi", str(refused.value))
    assert told
    columns, rows = picture_size(scene, float(told[1]))
    assert max(columns, rows) <= canvas.LONGEST_SIDE
    assert columns * rows <= canvas.MOST_PIXELS
    with pytest.raises(DesignError):
        picture_size(scene, float(told[1]) + 1)


@pytest.mark.parametrize(
    "item",
    [
        Fill((np.array([[0.0, 0], [1, np.nan], [2, 2]]),), "#000000", "a"),
        Stroke((np.array([[0.0, 0], [np.inf, 1]]),), (False,), 1.0, "#000000", "a"),
    ],
)
def test_coordinates_must_be_numbers(item: Item) -> None:
    for output in (lambda scene: pixels(scene, 50), pdf):
        with pytest.raises(ValueError, match="a coordinate that is not a finite number"):
            output(Scene(10, 10, (item,)))


def test_colours_must_be_colours() -> None:
    with pytest.raises(ValueError, match="'teal' is not a colour written #rrggbb"):
        draw(Fill((box(1, 1, 2, 2),), "teal", "a"))


# type


def test_signs_that_the_typeface_lacks_are_named() -> None:
    assert missing_glyphs("Clay № 3 · 12 × 4 mm — ½ → é ü ß ✂ ☐ ◆") == ""
    assert missing_glyphs("a\u0e44b\U0001f9f6\u0e44") == "\u0e44\U0001f9f6"
    assert missing_glyphs("moss", "bold") == ""


def test_what_the_typeface_lacks_is_never_an_empty_box() -> None:
    for weight in ("regular", "bold"):
        one, other = (Text(5, 5, text, 4, "#000000", "c", weight) for text in ("a\u0e44\U0001f9f6", "a??"))
        assert all((a == b).all() for a, b in zip(text_rings(one), text_rings(other), strict=True))
        assert text_width(one.text, 4, weight) == text_width(other.text, 4, weight)
        assert pdf(Scene(40, 10, (one,))) == pdf(Scene(40, 10, (other,)))


@pytest.mark.parametrize("weight", ["regular", "bold"])
def test_type_is_as_wide_as_measured(weight: Any) -> None:
    picture = draw(Text(1, 10, "Hamburg 120", 3, "#000000", "a", weight), width=40)
    columns = np.flatnonzero(ink(picture).max(axis=0) > 0.5)
    assert np.ptp(columns) / 10 == pytest.approx(text_width("Hamburg 120", 3, weight), abs=0.8)


def test_widths_grow_with_size_weight_and_text() -> None:
    assert text_width("Clay", 5) == pytest.approx(2 * text_width("Clay", 2.5))
    assert text_width("Clay", 5, "bold") > text_width("Clay", 5)
    assert text_width("Clay moss", 5) == pytest.approx(text_width("Clay", 5) + text_width(" moss", 5))
    assert {text_width(digit, 1) for digit in "0123456789"} == {text_width("8", 1)}
    assert text_width("", 5) == 0


def test_different_signs_look_different() -> None:
    looks = {draw(Text(5, 15, sign, 12, "#000000", "a")).tobytes() for sign in "ABCDEFGabcdefg0123456789é№→½"}
    assert len(looks) == 28


@pytest.mark.parametrize(("anchor", "share"), [("start", 0.0), ("middle", 0.5), ("end", 1.0)])
def test_type_stands_where_it_is_anchored(anchor: Anchor, share: float) -> None:
    points = np.concatenate(text_rings(Text(20, 10, "HHHH", 3, "#000000", "a", anchor=anchor)))
    width = text_width("HHHH", 3)
    middle = (points[:, 0].min() + points[:, 0].max()) / 2
    assert middle == pytest.approx(20 + width * (0.5 - share), abs=0.02)
    assert points[:, 1].max() == pytest.approx(10)
    assert points[:, 1].min() == pytest.approx(10 - 3 * 0.729, abs=0.02)


def test_turned_type_runs_down_the_sheet() -> None:
    points = np.concatenate(text_rings(Text(5, 4, "HHHH", 3, "#000000", "a", turn=90)))
    assert np.ptp(points[:, 1]) > 3 * np.ptp(points[:, 0])
    assert points[:, 1].min() > 4
    assert points[:, 0].min() == pytest.approx(5)


# PDF


def page_of(content: bytes) -> Any:
    return pypdf.PdfReader(io.BytesIO(content)).pages[0]


@pytest.mark.parametrize("size", [(60.0, 80.0), (210.0, 297.0), (33.3, 1000.1)])
def test_a_page_is_exactly_as_large_as_its_scene(size: tuple[float, float]) -> None:
    page = page_of(pdf(Scene(*size, ())))
    assert float(page.mediabox.width) == pytest.approx(size[0] / 25.4 * 72, abs=1e-4)
    assert float(page.mediabox.height) == pytest.approx(size[1] / 25.4 * 72, abs=1e-4)


def test_a_page_holds_type_and_no_images() -> None:
    content = pdf(mixed())
    page = page_of(content)
    assert len(page.images) == 0
    assert b"/Subtype /Image" not in content
    assert b"/SMask" not in content
    assert "A label, turned" in page.extract_text()
    fonts = [font.get_object() for font in page["/Resources"]["/Font"].values()]
    assert fonts
    assert all("/FontFile2" in font["/FontDescriptor"] for font in fonts)
    assert all("DejaVuSans" in font["/BaseFont"] for font in fonts)


def test_strokes_stay_strokes_on_a_page() -> None:
    content = page_of(
        pdf(Scene(20, 20, (Stroke((disc(10, 10, 5),), (True,), 0.4, "#000000", "a"),)))
    ).get_contents()
    assert re.search(rb"\bS\b|\bs\b", content.get_data())


def test_each_scene_has_a_page_of_its_own_size() -> None:
    pages = pypdf.PdfReader(io.BytesIO(pdf(Scene(60, 80, ()), mixed(), Scene(100, 50, ())))).pages
    assert [round(float(page.mediabox.width) / 72 * 25.4) for page in pages] == [60, 40, 100]
    assert "A label" in pages[1].extract_text()
    assert not pages[2].extract_text()


@pytest.mark.parametrize(
    ("told", "year"), [("", 2026), ("1000000000", 2001), ("next week", 2026), ("²", 2026), ("9" * 30, 9999)]
)
def test_the_date_is_told_or_constant(told: str, year: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", told)
    about = pypdf.PdfReader(io.BytesIO(pdf(mixed()))).metadata
    assert about is not None
    assert about.title == "Mixed"
    assert about.creator == "mockup"
    assert str(about["/CreationDate"]).removeprefix("D:").startswith(str(year))


def test_the_same_scene_gives_the_same_bytes_later_and_elsewhere() -> None:
    program = (
        f"import sys; sys.path.insert(0, {str(HERE)!r}); import hashlib; import test_canvas as t;"
        "print(hashlib.sha256(t.pdf(t.mixed()) + t.pixels(t.mixed(), 150).tobytes()).hexdigest())"
    )

    def elsewhere() -> str:
        return subprocess.run(
            [sys.executable, "-c", program], capture_output=True, text=True, check=True
        ).stdout

    first, content = elsewhere(), pdf(mixed())
    time.sleep(2.0)
    assert elsewhere() == first
    assert pdf(mixed()) == content


def test_without_the_library_one_line_says_what_to_install(tmp_path: Path) -> None:
    (tmp_path / "cairocffi.py").write_text('raise OSError("no library called cairo-2 was found")')
    program = (
        f"import sys; sys.path.insert(0, {str(tmp_path)!r})\n"
        "from mockup.errors import SetupError\n"
        "try:\n import mockup.rendering.canvas\nexcept SetupError as told:\n print(told)\n"
    )
    told = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True).stdout
    assert told == (
        "the cairo graphics library is not on this machine; install it: libcairo2 (Debian, Ubuntu), "
        "cairo (Fedora), brew install cairo (macOS)\n"
    )


# the benchmark


def test_the_benchmark_runs_and_its_pictures_agree() -> None:
    rings, colours = bench_drawing.sheet(60)
    for outlined, most in ((False, 0), (True, 40)):
        ours = pixels(bench_drawing.scene(rings, colours, outlined), 100).astype(int)
        bare = bench_drawing.bare(rings, colours, 100, outlined)[:, :, canvas._CHANNELS]
        assert np.abs(ours - bare).max() <= most
        assert np.abs(ours - bare).mean() < 0.1
    rows = bench_drawing.table(20, 50, 1)
    assert rows[0][2] == 1.0
    assert all(spent > 0 for _, spent, _ in rows)
