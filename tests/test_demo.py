"""The demo: what it writes, that it is the same each time, and that an edit of hers is never lost."""

import os
from pathlib import Path

import pytest
from conftest import Ran
from PIL import Image
from pypdf import PdfReader

from mockup.cli.main import run
from mockup.jobs.demo import WAYS, Way, demo_ways

FILES = {
    *("index.html", "larder.png", "larder.pdf", "larder.geojson"),
    *(f"colourway-{letter}.png" for letter in "abc"),
    *(f"{stem}.toml" for stem in ("larder", "lamplight", "washday")),
    *("compare.png", "orchard.toml", "shading.png", "posy.toml"),
    *("sketch.jpg", "sketch-tinted.jpg", "jug.toml"),
}


@pytest.fixture
def demo(whole_demo: Ran) -> Path:
    return whole_demo.folder


@pytest.fixture(scope="module")
def ways() -> list[Way]:
    return demo_ways()


def _contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def test_it_writes_what_it_says_and_the_page_first(whole_demo: Ran) -> None:
    assert not whole_demo.err
    lines = whole_demo.out.splitlines()
    assert lines[0] == str(whole_demo.folder / "index.html")
    assert {Path(line).name for line in lines} == FILES
    assert set(os.listdir(whole_demo.folder)) == FILES


@pytest.fixture
def own(demo: Path, tmp_path: Path) -> Path:
    """A copy of the demo that may be written to."""
    folder = tmp_path / "demo"
    folder.mkdir()
    for name, content in _contents(demo).items():
        (folder / name).write_bytes(content)
    return folder


@pytest.mark.long
def test_again_it_writes_the_same(demo: Path, own: Path) -> None:
    assert run(["demo", "-o", str(own)]) == 0
    assert _contents(own) == _contents(demo)
    (own / "larder.toml").write_text("hers", encoding="utf-8")
    assert run(["demo", "-o", str(own), "--force"]) == 0
    assert _contents(own) == _contents(demo)


def test_it_never_writes_over_her_edit(own: Path, capsys: pytest.CaptureFixture[str]) -> None:
    edited = (own / "larder.toml").read_text(encoding="utf-8").replace("#b9522b", "#2b52b9")
    (own / "larder.toml").write_text(edited, encoding="utf-8")
    (own / "larder.png").unlink()
    before = _contents(own)
    capsys.readouterr()
    assert run(["demo", "-o", str(own)]) == 1
    line = f"mockup: {own / 'larder.toml'}: exists, and mockup did not write it for this design; "
    assert capsys.readouterr() == ("", line + "name another file, or use --force to replace it\n")
    assert _contents(own) == before


def test_the_colourways_are_one_plan_in_other_inks(ways: list[Way]) -> None:
    assert [(way.letter, way.stem, way.name) for way in ways] == list(WAYS)
    first = ways[0].spreading
    for way in ways[1:]:
        assert (way.spreading.plan.inks == first.plan.inks).all()
        assert {ink.name for ink in way.spreading.piece.palette.inks}.isdisjoint(
            ink.name for ink in first.piece.palette.inks
        )
        assert way.spreading.piece.ground == first.piece.ground


def test_each_design_of_the_demo_can_be_drawn_by_itself(demo: Path, tmp_path: Path) -> None:
    for stem in [*(stem for _, stem, _ in WAYS), "orchard"]:
        assert (
            run(["preview", str(demo / f"{stem}.toml"), "-o", str(tmp_path / f"{stem}.png"), "--dpi", "40"])
            == 0
        )


def test_pictures_of_the_page_are_at_most_1600_pixels(demo: Path) -> None:
    for letter in "abc":
        with Image.open(demo / f"colourway-{letter}.png") as picture:
            assert 1000 <= max(picture.size) <= 1600


def test_the_sheet_is_a4(demo: Path) -> None:
    box = PdfReader(demo / "larder.pdf").pages[0].mediabox
    assert [float(box.width), float(box.height)] == pytest.approx(
        [210 / 25.4 * 72, 297 / 25.4 * 72], abs=0.01
    )


def test_a_folder_that_is_a_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "file").write_bytes(b"hers")
    assert run(["demo", "-o", str(tmp_path / "file")]) == 1
    assert capsys.readouterr() == (
        "",
        f"mockup: {tmp_path / 'file'}: is a file, not a folder; name another folder\n",
    )
