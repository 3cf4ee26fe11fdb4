"""The command ``scan``: what it writes is read back as it was found, and what it cannot read it says in one line."""

import re
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import shapely
from PIL import Image, ImageDraw, ImageFilter
from scipy import ndimage

from mockup.cli.main import run
from mockup.colour.photo import read_photo
from mockup.drawing.tracing import Traced, trace
from mockup.drawing.written import fill_of, written_drawing
from mockup.pattern.motif import LineWork
from mockup.pattern.svg import read_svg

DPI = 200
DOT = DPI / 25.4


def picture(width: float = 60.0, height: float = 40.0, *, dark: int = 30) -> Image.Image:
    """Three circles in a row, a leaf with a vein, an open ring, a filled blot; mm."""
    fine = 3
    image = Image.new("L", (round(width * DOT) * fine, round(height * DOT) * fine), 245)
    pen, mm = ImageDraw.Draw(image), DOT * fine
    wide = round(0.5 * mm)
    for x in (10, 20, 30):
        pen.ellipse([(x - 5) * mm, 5 * mm, (x + 5) * mm, 15 * mm], outline=dark, width=wide)
    turn = np.linspace(0, np.pi, 60)
    for sign in (-1, 1):
        side = np.column_stack((10 + 34 * turn / np.pi, 28 + sign * 6 * np.sin(turn))) * mm
        pen.line([tuple(point) for point in side.tolist()], fill=dark, width=wide, joint="curve")
    pen.line([(10 * mm, 28 * mm), (30 * mm, 28 * mm)], fill=dark, width=wide)
    pen.arc([44 * mm, 5 * mm, 56 * mm, 17 * mm], 8, 352, fill=dark, width=wide)
    pen.ellipse([50 * mm, 26 * mm, 54 * mm, 30 * mm], fill=dark)
    return image.reduce(fine)


def saved(folder: Path, image: Image.Image, name: str = "sheet.png", *, dpi: int | None = DPI) -> Path:
    path = folder / name
    if dpi:
        image.info["dpi"] = (dpi, dpi)
    image.save(path, dpi=(dpi, dpi) if dpi else None)
    return path


def found(image: Image.Image) -> Traced:
    return trace(np.asarray(image.convert("RGB")), DPI)


def told(capsys: pytest.CaptureFixture[str]) -> str:
    return capsys.readouterr().err.strip()


# ---- what is written


def test_it_finds_what_was_drawn_and_says_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = saved(tmp_path, picture())
    assert run(["scan", str(path)]) == 0
    out, err = capsys.readouterr()
    assert out.split() == [str(tmp_path / "sheet.svg"), str(tmp_path / "sheet-found.png")]
    lines = err.splitlines()
    assert lines[0] == "sheet.png: 59.9 x 40.0 mm"
    assert lines[1].startswith("sheet.png: 4 regions, 1 area left for the ground, ")
    width = re.search(r" lines of (\d\.\d\d) mm$", lines[1])
    assert width
    assert float(width[1]) == pytest.approx(0.5, abs=0.05)
    assert lines[2] == "sheet.png: 1 place inked solid: parts named solid, which take one ink"
    assert lines[3].startswith("sheet.png: 1 wider gap left open, at mm 56,11: ")


def test_what_is_written_is_read_back_as_it_was_found() -> None:
    seen = found(picture())
    motif = read_svg(written_drawing(seen, "sheet").encode(), "sheet", where="sheet.svg")
    assert (motif.width, motif.height) == (seen.width, seen.height)
    assert not motif.left_out
    parts = [part for part in motif.parts if part.name != "solid"]
    for part, shape in zip(parts, seen.regions, strict=True):
        assert shapely.symmetric_difference(part.shape, shape).area < 2e-3
    assert len({part.group for part in parts}) == len(parts)
    lines = [one for one in motif.elements if isinstance(one, LineWork)]
    assert [line.width for line in lines] == pytest.approx([line.width for line in seen.lines], abs=1e-3)
    for line, drawn in zip(lines, seen.lines, strict=True):
        near = shapely.LineString(drawn.points)
        assert max(near.distance(shapely.Point(spot)) for spot in line.lines[0]) < 1e-3


def test_regions_meet_without_gap_or_overlap_beneath_the_lines() -> None:
    seen = found(picture())
    every = [*seen.regions, *seen.grounds, *(one.shape for one in seen.solid)]
    page = shapely.box(0, 0, seen.width, seen.height)
    assert sum(one.area for one in every) == pytest.approx(page.area, abs=0.5)  # specks and slivers left out
    assert shapely.union_all(every).area == pytest.approx(sum(one.area for one in every), abs=1e-3)


def test_regions_that_are_given_one_fill_go_together_and_ground_with_a_fill_is_a_region() -> None:
    text = written_drawing(found(picture()), "sheet")
    together = text.replace(fill_of(1), fill_of(0))
    groups = read_svg(together.encode(), "sheet", where="sheet.svg").groups
    assert len(groups) == len(read_svg(text.encode(), "sheet", where="sheet.svg").groups) - 1
    filled = text.replace('id="ground-1" fill="none"', 'id="ground-1" fill="#ffffff"')
    assert "ground-1" in read_svg(filled.encode(), "sheet", where="sheet.svg").groups


def test_fills_differ_for_thousands_of_regions() -> None:
    assert len({fill_of(number) for number in range(20_000)}) == 20_000


def test_a_drawing_that_she_changed_is_never_written_over(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = saved(tmp_path, picture())
    assert run(["scan", str(path)]) == 0
    first = (tmp_path / "sheet.svg").read_bytes()
    assert run(["scan", str(path)]) == 0
    assert (tmp_path / "sheet.svg").read_bytes() == first
    hers = first.replace(b"region-1", b"sun")
    (tmp_path / "sheet.svg").write_bytes(hers)
    capsys.readouterr()
    assert run(["scan", str(path)]) == 1
    assert "exists, and mockup did not write it" in told(capsys)
    assert (tmp_path / "sheet.svg").read_bytes() == hers
    assert run(["scan", str(path), "--force"]) == 0


@pytest.mark.parametrize("ending", ["png", "svg", "pdf"])
def test_the_picture_of_what_was_found_is_drawn_in_every_form(ending: str, tmp_path: Path) -> None:
    shown = tmp_path / f"shown.{ending}"
    assert run(["scan", str(saved(tmp_path, picture())), "--picture", str(shown)]) == 0
    assert shown.stat().st_size > 5000


# ---- size


def test_true_size_is_the_scanners_or_hers(tmp_path: Path) -> None:
    path = saved(tmp_path, picture())
    assert run(["scan", str(path), "--width", "120"]) == 0
    assert b'width="120mm" height="80' in (tmp_path / "sheet.svg").read_bytes()
    assert run(["scan", str(path), "--dpi", "100", "--force"]) == 0
    assert b'width="119.888mm"' in (tmp_path / "sheet.svg").read_bytes()


def test_a_picture_that_does_not_say_its_size_is_asked_for_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    asked = "sheet.png: does not say how large the drawing is; give --width, the mm that the picture is wide"
    for dpi in (None, 72):
        assert run(["scan", str(saved(tmp_path, picture(), dpi=dpi))]) == 1
        assert told(capsys) == f"mockup: {asked}"
    assert not (tmp_path / "sheet.svg").exists()


def test_a_cameras_own_figure_is_no_size(tmp_path: Path) -> None:
    image = picture().convert("RGB")
    exif = Image.Exif()
    exif.get_ifd(0x8769)[0x829A] = 0.01
    image.save(tmp_path / "photo.jpg", dpi=(300, 300), exif=exif)
    assert read_photo(tmp_path / "photo.jpg").dpi is None
    image.save(tmp_path / "scan.jpg", dpi=(300, 300))
    assert read_photo(tmp_path / "scan.jpg").dpi == pytest.approx(300)


@pytest.mark.parametrize("orientation", range(2, 9))
def test_a_picture_is_read_as_its_orientation_tag_says(orientation: int, tmp_path: Path) -> None:
    upright = picture().convert("RGB")
    back = {2: 2, 3: 3, 4: 4, 5: 5, 6: 8, 7: 7, 8: 6}[orientation]
    ways = {2: 0, 3: 3, 4: 1, 5: 5, 6: 4, 7: 6, 8: 2}  # Pillow's transpositions
    exif = Image.Exif()
    exif[0x0112] = orientation
    path = tmp_path / "turned.jpg"
    upright.transpose(Image.Transpose(ways[back])).save(path, quality=95, exif=exif, dpi=(DPI, DPI))
    seen = trace(read_photo(path).pixels, DPI)
    assert (seen.width, seen.height) == pytest.approx((59.944, 40.005), abs=0.2)
    assert len(seen.regions) == 4


# ---- frames


def framed(turn: float, askew: float) -> Image.Image:
    """The picture in a frame of 56 x 36 mm, on a larger sheet, turned and seen askew."""
    sheet = Image.new("L", (round(90 * DOT), round(70 * DOT)), 245)
    sheet.paste(picture(), (round(15 * DOT), round(15 * DOT)))
    pen = ImageDraw.Draw(sheet)
    pen.rectangle([16 * DOT, 17 * DOT, 73 * DOT, 53 * DOT], outline=30, width=round(0.5 * DOT))
    wide, high = sheet.size
    far = askew * DOT
    corners = (0, 0, -far, high + far, wide, high - far, wide + far, far)
    return sheet.rotate(turn, Image.Resampling.BICUBIC, fillcolor=245).transform(
        sheet.size, Image.Transform.QUAD, corners, Image.Resampling.BICUBIC, fillcolor=245
    )


@pytest.mark.parametrize(("turn", "askew"), [(0, 0), (3, 0), (-2, 0), (1.5, 2), (-4, -2)])
def test_a_picture_is_cut_to_its_frame_and_straightened(turn: float, askew: float, tmp_path: Path) -> None:
    path = saved(tmp_path, framed(turn, askew))
    assert run(["scan", str(path), "--frame", "--width", "56.5"]) == 0
    motif = read_svg((tmp_path / "sheet.svg").read_bytes(), "sheet", where="sheet.svg")
    assert motif.width == pytest.approx(56.5, abs=1e-3)
    assert motif.height == pytest.approx(35.6, abs=0.6 + abs(askew) / 2)
    assert len([part for part in motif.parts if part.name != "solid"]) == 4
    circles = sorted((part.shape for part in motif.parts), key=lambda shape: shape.bounds[0])[:1]
    assert circles[0].centroid.x == pytest.approx(25 - 16.25, abs=0.5 + abs(askew) / 4)
    for line in (one for one in motif.elements if isinstance(one, LineWork)):
        x, y = line.lines[0].mean(axis=0)
        assert min(x, y, 56.5 - x, motif.height - y) > 1  # nothing is left of the frame


def test_where_no_frame_is_drawn_that_is_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["scan", str(saved(tmp_path, picture())), "--frame"]) == 1
    assert told(capsys).startswith("mockup: sheet.png: no frame is drawn round it; leave --frame out, or ")


# ---- what cannot be read


def _noise(shape: tuple[int, int], *, seed: int = 0) -> Image.Image:
    return Image.fromarray(np.random.default_rng(seed).integers(0, 256, shape, dtype=np.uint8))


def _specks() -> Image.Image:
    dots = np.random.default_rng(1).random((2000, 2000)) < 0.008
    return Image.fromarray(np.where(ndimage.binary_dilation(dots), 20, 240).astype(np.uint8))


BAD: dict[str, tuple[Callable[[], Image.Image], str]] = {
    "white": (lambda: Image.new("L", (600, 400), 255), "no lines are to be seen in it"),
    "black": (lambda: Image.new("L", (600, 400), 0), "the picture is dark all over"),
    "negative": (lambda: picture().point(lambda level: 255 - level), "the picture is dark all over"),
    "one pixel": (lambda: Image.new("L", (1, 1), 255), "no lines are to be seen in it"),
    "a strip": (lambda: Image.new("L", (3000, 2), 255), "no lines are to be seen in it"),
    "noise": (lambda: _noise((500, 500)), "no lines are to be seen in it"),
    "specks": (_specks, "separate marks are in it, most of them specks"),
    "blurred": (
        lambda: picture().filter(ImageFilter.GaussianBlur(6)),
        "it is blurred: the edges of its lines are",
    ),
    "no outline": (lambda: picture().crop((340, 30, 470, 150)), "no closed region is found in it"),
}


@pytest.mark.parametrize("case", BAD)
def test_what_is_no_line_drawing_is_refused_in_one_line(
    case: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    make, what = BAD[case]
    path = saved(tmp_path, make())
    assert run(["scan", str(path)]) == 1
    line = told(capsys)
    assert "\n" not in line
    assert line.startswith("mockup: sheet.png: ")
    assert what in line
    assert "; " in line  # and what to do
    assert {one.name for one in tmp_path.iterdir()} == {"sheet.png"}


def test_too_few_pixels_are_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = saved(tmp_path, picture().resize((150, 100)))
    assert run(["scan", str(path), "--width", "60"]) == 1
    assert (
        told(capsys) == "mockup: sheet.png: 64 pixels an inch are too few for its lines; scan it at 300 dpi"
    )


@pytest.mark.parametrize(
    ("arguments", "code", "what"),
    [
        (["--width", "60", "--dpi", "200"], 2, "give --width or --dpi, not both"),
        (["-o", "drawing.png"], 1, "drawing.png: a drawing is written as SVG; name it drawing.svg"),
        (["--picture", "found.gif"], 1, "found.gif"),
        (["--gap", "9"], 2, "9.0 is not in the range 0<=x<=5"),
        (
            ["--width", "1499"],
            1,
            "with 8 pixels an inch; 50 to 2400 pixels an inch and up to 1500 mm are read",
        ),
    ],
)
def test_options_that_cannot_be_followed_are_told(
    arguments: list[str],
    code: int,
    what: str,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    path = saved(tmp_path, picture())
    assert run(["scan", str(path), *arguments]) == code
    assert what in told(capsys)


def test_chance_pictures_never_end_in_a_fault(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for seed in range(24):
        chance = np.random.default_rng(seed)
        shape = tuple(chance.integers(1, 260, 2).tolist())
        soft = ndimage.gaussian_filter(chance.normal(0, 1, shape), chance.uniform(0, 8))
        levels = 235 + 220 * soft / max(float(np.abs(soft).max()), 1e-9) * chance.uniform(0.2, 2)
        path = saved(tmp_path, Image.fromarray(np.clip(levels, 0, 255).astype(np.uint8)), f"{seed}.png")
        code, line = run(["scan", str(path)]), told(capsys)
        assert code in (0, 1), line
        assert "fault of the program" not in line


@pytest.mark.parametrize("ending", ["png", "jpg"])
def test_a_picture_in_place_of_a_drawing_is_sent_to_scan(
    ending: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = saved(tmp_path, picture(), f"sheet.{ending}")
    assert run(["new", str(tmp_path / "a.toml"), "--drawing", str(path), "--sheet"]) == 1
    remedy = "`mockup scan` makes a drawing of scanned lines"
    assert told(capsys) == f"mockup: sheet.{ending}: the file is a picture, no SVG drawing; {remedy}"
