"""The command line: help, what goes to which stream, exit codes, endings."""

import os
import subprocess
import sys
from pathlib import Path

import click
import pytest
from PIL import Image
from pypdf import PdfReader
from small import write_design

from mockup import __version__
from mockup.cli.main import COMMANDS, run

Captured = pytest.CaptureFixture[str]
EVERY = [[name] for name in COMMANDS] + [["motifs", "list"], ["motifs", "sheet"]]


@pytest.fixture
def design(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return write_design(tmp_path)


@pytest.mark.parametrize("words", [[], *EVERY], ids=" ".join)
@pytest.mark.parametrize("option", ["-h", "--help"])
def test_help_goes_to_standard_output(words: list[str], option: str, capsys: Captured) -> None:
    assert run([*words, option]) == 0
    out, err = capsys.readouterr()
    assert out.startswith("Usage: mockup " + " ".join(words))
    assert not err


def test_help_lists_every_command_in_the_order_of_her_work(capsys: Captured) -> None:
    run(["-h"])
    listed = [line.split()[0] for line in capsys.readouterr().out.partition("Commands:\n")[2].splitlines()]
    assert listed == list(COMMANDS)


def test_version(capsys: Captured) -> None:
    assert run(["--version"]) == 0
    assert capsys.readouterr() == (f"mockup {__version__}\n", "")


@pytest.mark.parametrize("words", [[], ["motifs"]], ids=["mockup", "motifs"])
def test_without_arguments_the_help_is_an_error(words: list[str], capsys: Captured) -> None:
    assert run(words) == 2
    out, err = capsys.readouterr()
    assert not out
    assert err.startswith("Usage: mockup")


def test_preview_without_a_target_writes_a_png_beside_the_design(
    design: Path, monkeypatch: pytest.MonkeyPatch, capsys: Captured
) -> None:
    monkeypatch.chdir("/")
    assert run(["preview", str(design), "--dpi", "50"]) == 0
    assert capsys.readouterr() == (f"{design.with_suffix('.png')}\n", "")
    assert design.with_suffix(".png").read_bytes().startswith(b"\x89PNG")


@pytest.mark.parametrize(
    ("ending", "start"), [(".png", b"\x89PNG"), (".PNG", b"\x89PNG"), (".svg", b"<svg "), (".pdf", b"%PDF")]
)
def test_the_ending_chooses_the_kind(design: Path, ending: str, start: bytes, capsys: Captured) -> None:
    target = design.parent / f"out{ending}"
    assert run(["preview", "blocks.toml", "-o", f"out{ending}"]) == 0
    assert capsys.readouterr() == (f"out{ending}\n", "")
    assert target.read_bytes().startswith(start)


@pytest.mark.parametrize("dpi", [10, 72, 300])
def test_a_png_has_its_true_size_and_says_so(design: Path, dpi: int) -> None:
    assert run(["preview", "blocks.toml", "--dpi", str(dpi)]) == 0
    with Image.open(design.with_suffix(".png")) as picture:
        assert picture.size == (round(72 / 25.4 * dpi), round(80 / 25.4 * dpi))
        assert picture.info["dpi"] == pytest.approx((dpi, dpi), abs=0.02)


@pytest.mark.usefixtures("design")
def test_a_pdf_has_the_sheet_as_its_page() -> None:
    assert run(["preview", "blocks.toml", "-o", "out.pdf"]) == 0
    page = PdfReader("out.pdf").pages[0]
    assert [float(side) for side in page.mediabox[2:]] == pytest.approx(
        [72 / 25.4 * 72, 80 / 25.4 * 72], abs=0.01
    )


@pytest.mark.usefixtures("design")
@pytest.mark.parametrize(
    "words",
    [["preview", "blocks.toml"], ["plan", "blocks.toml"], ["motifs", "sheet"]],
    ids=["preview", "plan", "motifs sheet"],
)
def test_only_the_paths_that_were_written_go_to_standard_output(words: list[str], capsys: Captured) -> None:
    before = set(os.listdir())
    assert run(words) == 0
    out, err = capsys.readouterr()
    assert set(out.splitlines()) == set(os.listdir()) - before
    assert not err


@pytest.mark.usefixtures("design")
def test_check_prints_its_findings_as_data_too(capsys: Captured) -> None:
    assert run(["check", "blocks.toml"]) == 0
    plain = capsys.readouterr()
    assert run(["check", "blocks.toml", "--json"]) == 0
    data = capsys.readouterr()
    assert plain.out.startswith("blocks: four inks on 4 shapes")
    assert data.out.startswith("{")
    assert not plain.err
    assert not data.err


@pytest.mark.usefixtures("design")
@pytest.mark.parametrize(
    "words", [["preview", "blocks.toml"], ["motifs", "sheet"]], ids=["preview", "motifs sheet"]
)
@pytest.mark.parametrize(
    ("code", "told"), [(0, ""), (1, "mockup: nothing here can show {}; open it by hand\n")]
)
def test_open_shows_the_result(
    words: list[str], code: int, told: str, monkeypatch: pytest.MonkeyPatch, capsys: Captured
) -> None:
    shown: list[str] = []

    def launch(path: str) -> int:
        shown.append(path)
        return code

    monkeypatch.setattr(click, "launch", launch)
    assert run([*words, "--open"]) == 0
    out, err = capsys.readouterr()
    assert shown == out.splitlines()
    assert err == told.format(*shown)


@pytest.mark.usefixtures("design")
def test_names_prints_the_names_of_the_plan(capsys: Captured) -> None:
    assert run(["preview", "blocks.toml", "--names", "-o", "named.svg"]) == 0
    assert run(["preview", "blocks.toml", "-o", "plain.svg"]) == 0
    capsys.readouterr()
    assert ">blocks-1</text>" in Path("named.svg").read_text(encoding="utf-8")
    assert ">blocks-1</text>" not in Path("plain.svg").read_text(encoding="utf-8")


def test_a_design_whose_name_is_no_text_is_drawn(design: Path) -> None:
    name = b"\xff \n.toml"
    design.rename(design.parent / os.fsdecode(name))
    done = subprocess.run(
        [sys.executable, "-m", "mockup", "preview", name, "--dpi", "50"], capture_output=True, check=False
    )
    assert (done.returncode, done.stdout, done.stderr) == (0, b"\xff \n.png\n", b"")


def test_help_loads_no_heavy_library() -> None:
    program = (
        "import sys; from mockup.cli.main import run; run(['preview', '-h']);"
        "sys.exit(any(name in sys.modules for name in ('numpy', 'scipy', 'shapely', 'cairocffi', 'jinja2')))"
    )
    assert subprocess.run([sys.executable, "-c", program], capture_output=True, check=False).returncode == 0
