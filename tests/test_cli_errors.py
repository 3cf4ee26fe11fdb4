"""Refusals: one plain line each, the right exit code, never a traceback, nothing written."""

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from small import DRAWN, changed, write_design

from mockup.cli import main as cli
from mockup.cli.main import run

Captured = pytest.CaptureFixture[str]


@pytest.fixture
def design(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return write_design(tmp_path)


LONG = "a" * 300

USAGE = {
    "prevew": "mockup: no command 'prevew'; did you mean 'preview'? (mockup -h explains)",
    "Plan": "mockup: no command 'Plan'; did you mean 'plan'? (mockup -h explains)",
    "xyzzy": "mockup: no command 'xyzzy'; there are new, motifs, inks, palette, repeats, scan, preview, views, stages, colourways, check, plan, demo (mockup -h explains)",
    "motifs lst": "mockup motifs: No such command 'lst'. Did you mean 'list'? (mockup motifs -h explains)",
    "--colour": "mockup: No such option '--colour' (mockup -h explains)",
    "preview": "mockup preview: Missing argument 'DESIGN' (mockup preview -h explains)",
    "preview a b": "mockup preview: Got unexpected extra argument (b) (mockup preview -h explains)",
    "preview a --dpi x": "mockup preview: Invalid value for '--dpi': 'x' is not a valid number (mockup preview -h explains)",
    "preview a --dpi nan": "mockup preview: Invalid value for '--dpi': 'nan' is not a valid number "
    "(mockup preview -h explains)",
    "preview a --dpi 9": "mockup preview: Invalid value for '--dpi': 9.0 is not in the range 10<=x<=2400 "
    "(mockup preview -h explains)",
    "preview a --dpi inf": "mockup preview: Invalid value for '--dpi': inf is not in the range 10<=x<=2400 "
    "(mockup preview -h explains)",
}


@pytest.mark.usefixtures("design")
@pytest.mark.parametrize("words", USAGE)
def test_wrong_usage(words: str, capsys: Captured) -> None:
    assert run(words.split()) == 2
    assert capsys.readouterr() == ("", USAGE[words] + "\n")


@pytest.mark.usefixtures("design")
def test_an_option_that_is_nearly_one(capsys: Captured) -> None:
    assert run(["preview", "a", "--nmes"]) == 2
    out, err = capsys.readouterr()
    assert not out
    assert err.startswith("mockup preview: No such option '--nmes'")
    assert "--names" in err
    assert err.count("\n") == 1


REFUSED = {
    "preview missing.toml": "mockup: missing.toml: there is no such file; `mockup new` writes one",
    "preview block.toml": "mockup: block.toml: there is no such file; did you mean 'blocks.toml'?",
    "preview .": "mockup: .: is a folder; name the design file in it",
    "preview blocks.svg": "mockup: blocks.svg: is a drawing, not a design file; name it as file in [drawing]",
    "preview blocks.toml -o x.jpg": "mockup: x.jpg: a sheet cannot be written as '.jpg'; "
    "end the name in .png, .svg or .pdf",
    "preview blocks.toml -o x": "mockup: x: the name has no ending; end the name in .png, .svg or .pdf",
    "preview blocks.toml -o no/x.png": "mockup: no/x.png: its folder does not exist; make the folder first, or name another",
    "preview blocks.toml -o folder.png": "mockup: folder.png: is a folder; name a file in it",
    "preview blocks.toml -o other.png": "mockup: other.png: exists, and mockup did not write it for this design; "
    "name another file, or use --force to replace it",
    f"preview blocks.toml -o {LONG}.png": f"mockup: {LONG}.png: cannot be written: file name too long; "
    "choose a folder that you may write to",
    "plan blocks.toml -o x.png": "mockup: x.png: a plan cannot be written as '.png'; end the name in .geojson",
    "demo -o blocks.toml": "mockup: blocks.toml: is a file, not a folder; name another folder",
    "new x.txt": "mockup: x.txt: a design file ends in .toml; name it x.toml",
    "new blocks.toml": "mockup: blocks.toml: exists already; name another file, or use --force to replace it",
    "motifs sheet -o x.gif": "mockup: x.gif: a sheet cannot be written as '.gif'; end the name in .png, .svg or .pdf",
}


@pytest.mark.parametrize("words", REFUSED)
def test_refusals(words: str, design: Path, capsys: Captured) -> None:
    (design.parent / "folder.png").mkdir()
    (design.parent / "other.png").write_bytes(b"hers")
    before = sorted(os.listdir())
    assert run(words.split()) == 1
    assert capsys.readouterr() == ("", REFUSED[words] + "\n")
    assert sorted(os.listdir()) == before
    assert (design.parent / "other.png").read_bytes() == b"hers"


@pytest.mark.parametrize(
    ("table", "key", "value", "line"),
    [
        (
            "colouring",
            "ground",
            '"plum"',
            "[colouring] ground: no ink is named 'plum'; the inks are oat, clay, moss, night",
        ),
        ("border", "ink", '"mos"', "[border] ink: no ink is named 'mos'; did you mean 'moss'?"),
        ("sheet", "paper", '"whit"', "[sheet] paper: 'whit' is not a colour"),
        ("line", "ink", '"zork"', "[line] ink: 'zork' is not a colour"),
        (
            "drawing",
            "width",
            "60",
            "[sheet]: the drawing of 60 x 60 mm does not fit into the sheet's field of 44 x 52 mm",
        ),
        (
            "shading",
            "light",
            "45",
            '[shading] light: style = "none" has no use for it; leave it out, or write style = "side" or "one-end"',
        ),
    ],
)
def test_what_a_design_asks_in_vain(
    tmp_path: Path, table: str, key: str, value: str, line: str, capsys: Captured
) -> None:
    path = write_design(tmp_path, changed(DRAWN, **{table: {key: value}}))
    assert run(["preview", str(path)]) == 1
    out, err = capsys.readouterr()
    assert not out
    assert err.startswith(f"mockup: blocks.toml, {line}")
    assert err.count("\n") == 1
    assert not path.with_suffix(".png").exists()


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(content=st.binary(max_size=300) | st.text(max_size=300).map(str.encode))
def test_no_content_of_a_file_makes_a_traceback(content: bytes, tmp_path: Path, capsys: Captured) -> None:
    path = tmp_path / "odd.toml"
    path.write_bytes(content)
    for words in (["preview", str(path)], ["check", str(path)], ["plan", str(path)]):
        assert run(words) == 1
        out, err = capsys.readouterr()
        assert not out
        assert err.startswith("mockup: odd.toml")
        assert err.count("\n") == 1
        assert "fault of the program" not in err


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(name=st.text(st.characters(blacklist_characters="\0/"), max_size=40))
@pytest.mark.usefixtures("design")
def test_no_name_of_a_file_makes_a_traceback(name: str, capsys: Captured) -> None:
    for words in (
        ["preview", "--", name],
        ["preview", "blocks.toml", "-o", f"no/{name}"],
        ["new", "--", f"no/{name}"],
    ):
        assert run(words) in {1, 2}
        out, err = capsys.readouterr()
        assert not out
        assert err.startswith("mockup")
        assert err.count("\n") == 1
        assert "fault of the program" not in err


def test_loops_of_links_pipes_and_devices_are_no_designs(design: Path, capsys: Captured) -> None:
    folder = design.parent
    (folder / "loop.toml").symlink_to("loop.toml")
    os.mkfifo(folder / "pipe.toml")
    os.mkfifo(folder / "pipe.png")
    for name, told in (
        ("loop.toml", "no such file"),
        ("pipe.toml", "not an ordinary file"),
        ("/dev/null", "not an ordinary"),
    ):
        assert run(["preview", name]) == 1
        assert told in capsys.readouterr().err
    assert run(["preview", "blocks.toml", "-o", "pipe.png", "--force"]) == 1
    assert capsys.readouterr().err == "mockup: pipe.png: is not an ordinary file; name another file\n"


def test_a_file_that_may_not_be_read(design: Path, monkeypatch: pytest.MonkeyPatch, capsys: Captured) -> None:
    def refused(self: Path, *_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied", str(self))

    monkeypatch.setattr(Path, "open", refused)
    assert run(["preview", str(design)]) == 1
    assert (
        capsys.readouterr().err
        == "mockup: blocks.toml: cannot be read (permission denied); look at its rights and name\n"
    )


@pytest.mark.parametrize(
    ("fault", "line"),
    [
        (KeyboardInterrupt(), "mockup: stopped; what was written stays"),
        (MemoryError(), "mockup: not enough memory; ask for a smaller sheet or a lower --dpi"),
        (
            ZeroDivisionError("a\nb"),
            "mockup: a fault of the program, not yours (ZeroDivisionError: a b); please report it with the file",
        ),
    ],
)
@pytest.mark.usefixtures("design")
def test_faults_end_in_one_line(
    fault: BaseException, line: str, monkeypatch: pytest.MonkeyPatch, capsys: Captured
) -> None:
    def fails(*_: object, **__: object) -> None:
        raise fault

    monkeypatch.setattr("mockup.jobs.preview.preview_design", fails)
    assert run(["preview", "blocks.toml"]) == (130 if isinstance(fault, KeyboardInterrupt) else 1)
    out, err = capsys.readouterr()
    assert not out
    assert err.strip() == line


def test_a_traceback_is_given_to_who_asks(design: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("MOCKUP_TRACEBACK", "1")
    monkeypatch.setattr(cli.LateGroup, "get_command", lambda *_: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        run(["preview", str(design)])


def _started(*words: str, folder: Path, stdout: int | None = subprocess.PIPE) -> "subprocess.Popen[bytes]":
    return subprocess.Popen(
        [sys.executable, "-m", "mockup", *words],
        cwd=folder,
        stdout=stdout,
        stderr=subprocess.PIPE,
        stdin=subprocess.DEVNULL,
    )


def test_a_reader_that_goes_away(tmp_path: Path) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    with _started("motifs", "list", folder=tmp_path, stdout=writing) as process:
        os.close(writing)
        _, err = process.communicate()
    assert err == b""
    assert process.returncode == 1


def test_ctrl_c_while_drawing(tmp_path: Path) -> None:
    program = (
        "import os, signal, sys, mockup.jobs.demo as demo\n"
        "demo.preview_scene = lambda *_: os.kill(os.getpid(), signal.SIGINT)\n"
        "from mockup.cli.main import main; main(['demo', '-o', 'there'])"
    )
    before = signal.signal(
        signal.SIGINT, signal.default_int_handler
    )  # a shell may have it ignored in the background
    done = subprocess.run([sys.executable, "-c", program], cwd=tmp_path, capture_output=True, check=False)
    signal.signal(signal.SIGINT, before)
    assert (done.returncode, done.stdout, done.stderr.strip()) == (
        130,
        b"",
        b"mockup: stopped; what was written stays",
    )
    assert not (tmp_path / "there").exists()
