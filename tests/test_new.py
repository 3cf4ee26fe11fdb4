"""Beginning a design: asked on a terminal, by options, or with nothing to ask; what it writes is sound and is drawn."""

import io
import os
import pty
import subprocess
import sys
import tomllib
from datetime import date
from pathlib import Path

import pytest
from small import BLOCKS

from mockup.cli.main import run
from mockup.errors import SpreadError

Captured = pytest.CaptureFixture[str]
FEW = [
    "--motif",
    "drop,acorn",
    "--size",
    "60x60",
    "--ink",
    "oat #f1e4c8",
    "--ink",
    "clay #b9522b",
    "--ink",
    "night #25313f",
]
FEW += ["--ink", "moss #73834f"]


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(sys, "stdin", io.StringIO())
    return tmp_path


def _refused(words: list[str], line: str, capsys: Captured) -> None:
    assert run(["new", *words]) == 1
    assert capsys.readouterr() == ("", f"mockup: {line}\n")


def test_with_nothing_to_ask_the_usual_is_taken(here: Path, capsys: Captured) -> None:
    assert run(["new"]) == 0
    assert capsys.readouterr() == ("design.toml\ndesign.png\n", "")
    data = tomllib.loads((here / "design.toml").read_text(encoding="utf-8"))
    assert data["title"] == "Design"
    assert data["date"] == date.today()
    assert data["sheet"]["size"] == "A4"
    assert len(data["palette"]["ink"]) == 5
    assert data["colouring"]["ground"] == "light"


def test_the_file_is_commented_and_draws_the_same_again(here: Path) -> None:
    assert (
        run(["new", "sea-side.toml", *FEW, "--title", 'Sea "side" <b>', "--ground", "Clay", "--sheet"]) == 0
    )
    text = (here / "sea-side.toml").read_text(encoding="utf-8")
    assert text.startswith("# Draw this design:  mockup preview sea-side.toml ")
    assert all(
        "#" in line
        for line in text.splitlines()
        if line.startswith(("size", "motifs", "ground", "[pattern]"))
    )
    data = tomllib.loads(text)
    assert data["title"] == 'Sea "side" <b>'
    assert data["sheet"]["size"] == [60, 60]
    assert data["colouring"] == {"ground": "clay", "colour_repeat": "none"}
    assert [ink["name"] for ink in data["palette"]["ink"]] == ["oat", "clay", "night", "moss"]
    before = (here / "sea-side.png").read_bytes()
    assert run(["preview", "sea-side.toml"]) == 0
    assert (here / "sea-side.png").read_bytes() == before


def test_every_default_that_stands_behind_a_sign_may_be_uncovered(here: Path) -> None:
    assert run(["new", "a.toml", *FEW]) == 0
    text = (here / "a.toml").read_text(encoding="utf-8")
    shown = [line[2:].split(" #")[0] for line in text.splitlines() if line.startswith("# ") and " = " in line]
    keys = {line.split(" = ")[0] for line in shown}
    assert keys >= {"scale", "margin", "tile", "grid", "balance", "colour_repeat", "width", "coats", "style"}
    for key in ("scale", "margin", "balance", "colour_repeat", "coats", "pen"):
        line = next(line for line in text.splitlines() if line.startswith(f"# {key} = "))
        (here / "b.toml").write_text(text.replace(line, line[2:]), encoding="utf-8")
        assert run(["check", "b.toml"]) == 0


def test_a_file_that_is_there_is_never_replaced_unasked(here: Path, capsys: Captured) -> None:
    (here / "a.toml").write_text("hers")
    _refused(
        ["a.toml", *FEW], "a.toml: exists already; name another file, or use --force to replace it", capsys
    )
    assert (here / "a.toml").read_text() == "hers"
    assert run(["new", "a.toml", *FEW, "--force"]) == 0
    assert (here / "a.toml").read_text() != "hers"


def test_a_picture_that_is_not_ours_is_found_before_anything_is_written(here: Path, capsys: Captured) -> None:
    (here / "a.png").write_bytes(b"hers")
    line = "a.png: exists, and mockup did not write it for this design; name another file, or use --force to replace it"
    _refused(["a.toml", *FEW], line, capsys)
    assert os.listdir(here) == ["a.png"]


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (["--ink", "moss"], "ink 1, 'moss', has no colour that can be read; write it as: clay #b5532a"),
        (["--ink", "a red", "--ink", "A=blue"], "2 inks are named 'a'; give each a name of its own"),
        (
            ["--ground", "plum"],
            "no ground 'plum'; write one of light, dark, paper, oat, clay, ochre, moss, night",
        ),
        (
            ["--paper", "zork"],
            'paper: \'zork\' is not a colour; write such as "#b5532a", "tomato" or "lab(48 39 43)"',
        ),
        (["--size", "A44"], "no size 'A44'; write A4, A4 landscape, letter, 180x240 (mm) or 7x10in"),
        (["--size", "3x100"], "size: a side of 3 mm; a sheet's sides are 10 to 2000 mm"),
        (["--motif", "pear,fgi"], "the library has no motif 'fgi'; did you mean 'fig'?"),
        (["--motif", "no.svg"], "no.svg: there is no such file; check the name and the folder"),
        (["--drawing", "no.svg"], "no.svg: there is no such file; check the name and the folder"),
        (["--title", "x" * 201], None),
    ],
)
def test_answers_that_cannot_be_followed(
    words: list[str], line: str | None, here: Path, capsys: Captured
) -> None:
    assert run(["new", *words]) == 1
    out, err = capsys.readouterr()
    assert not out
    assert err == f"mockup: {line}\n" if line else err.startswith("mockup: title: ")
    assert os.listdir(here) == []


def test_a_drawing_and_motifs_are_too_much(here: Path, capsys: Captured) -> None:
    assert run(["new", "--drawing", "a.svg", "--motif", "fig"]) == 2
    assert (
        capsys.readouterr().err
        == "mockup new: give --drawing or --motif, not both (mockup new -h explains)\n"
    )
    assert os.listdir(here) == []


def test_when_it_cannot_be_drawn_the_file_stays_and_is_told(
    here: Path, monkeypatch: pytest.MonkeyPatch, capsys: Captured
) -> None:
    def fails(*_: object, **__: object) -> None:
        raise SpreadError("cannot be spread", remedy="try more inks")

    monkeypatch.setattr("mockup.jobs.new.preview_design", fails)
    assert run(["new", "a.toml", *FEW]) == 1
    told = "mockup: a.toml: is written, but cannot be drawn yet (cannot be spread; try more inks); "
    assert capsys.readouterr() == ("a.toml\n", told + "change it there and draw it with `mockup preview`\n")
    assert os.listdir(here) == ["a.toml"]


@pytest.mark.parametrize("way", ["--sheet", "--cloth"])
def test_her_own_drawing_is_found_from_where_she_is(way: str, here: Path) -> None:
    (here / "my blocks.svg").write_text(BLOCKS)
    (here / "sub").mkdir()
    assert run(["new", "sub/b.toml", "--drawing", "my blocks.svg", way, "--size", "80x80"]) == 0
    drawing = tomllib.loads((here / "sub" / "b.toml").read_text(encoding="utf-8"))["drawing"]
    assert drawing == {"file": "../my blocks.svg", "repeat": "none" if way == "--sheet" else "straight"}
    assert (here / "sub" / "b.png").exists()
    assert (
        run(
            ["new", "sub/c.toml", "--motif", "my blocks.svg", "--motif", "drop", "--size", "80x80", "--sheet"]
        )
        == 0
    )


def _asked(folder: Path, answers: list[str]) -> "subprocess.CompletedProcess[bytes]":
    """Run ``new`` on a terminal of its own."""
    master, slave = pty.openpty()
    try:
        os.write(master, "".join(f"{answer}\n" for answer in answers).encode())
        words = [sys.executable, "-m", "mockup", "new", "asked.toml"]
        return subprocess.run(words, cwd=folder, stdin=slave, capture_output=True, timeout=300, check=False)
    finally:
        os.close(master)
        os.close(slave)


def test_on_a_terminal_it_asks_in_the_order_of_her_work_and_asks_again(tmp_path: Path) -> None:
    inks = ["oat #f1e4c8", "clay", "clay #b9522b", "oat red", "sea green #2e8b57", "night #25313f", ""]
    answers = ["drop, acrn", " , ", "drop, acorn", "maybe", "Sheet", "", "dim", "dark", *inks, "3x3", "60x60"]
    done = _asked(tmp_path, answers)
    assert (done.returncode, done.stdout) == (0, b"asked.toml\nasked.png\n")
    told = done.stderr.decode()
    questions = [
        "Your own drawing",
        "Cloth, whose",
        "Colour of your paper",
        "The ground",
        "Ink 1",
        "Size of the sheet",
    ]
    assert [told.index(question) for question in questions] == sorted(
        told.index(question) for question in questions
    )
    for error in (
        "did you mean 'acorn'?",
        "'maybe' is not",
        "no ground 'dim'",
        "2 inks are named",
        "a side of 3 mm",
    ):
        assert error in told
    data = tomllib.loads((tmp_path / "asked.toml").read_text(encoding="utf-8"))
    assert data["pattern"]["motifs"] == ["drop", "acorn"]
    assert data["colouring"] == {"ground": "dark", "colour_repeat": "none"}
    assert [ink["name"] for ink in data["palette"]["ink"]] == ["oat", "clay", "sea green", "night"]
    assert data["sheet"]["size"] == [60, 60]


def test_on_a_terminal_her_drawing_may_have_spaces_in_its_name(tmp_path: Path) -> None:
    (tmp_path / "my blocks.svg").write_text(BLOCKS)
    done = _asked(tmp_path, ["'my blocks.svg'", "sheet", "", "paper", "", "80x80"])
    assert done.returncode == 0, done.stderr.decode()
    data = tomllib.loads((tmp_path / "asked.toml").read_text(encoding="utf-8"))
    assert data["drawing"]["file"] == "my blocks.svg"


def test_on_a_terminal_a_file_that_is_there_is_told_before_the_first_question(tmp_path: Path) -> None:
    (tmp_path / "asked.toml").write_text("hers")
    done = _asked(tmp_path, [])
    assert (done.returncode, done.stdout) == (1, b"")
    assert (
        done.stderr
        == b"mockup: asked.toml: exists already; name another file, or use --force to replace it\n"
    )
