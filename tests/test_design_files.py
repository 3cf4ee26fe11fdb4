"""Files that are read as designs, and files that are not."""

import os
import sys
from pathlib import Path

import pytest

from mockup.design.reading import parse_design, read_design
from mockup.errors import DesignError, FileError

INK = '[[palette.ink]]\nname = "clay"\ncolour = "#b5532a"\n'
MOTIFS = '[pattern]\nmotifs = ["pear", "fig", "dot"]\n'
LEAST = INK + MOTIFS


@pytest.mark.parametrize(
    "data",
    [
        LEAST.encode(),
        b"\xef\xbb\xbf" + LEAST.encode(),
        LEAST.replace("\n", "\r\n").encode(),
        LEAST.replace("\n", "\r").encode(),
        LEAST.replace(" = ", "\t=\t").replace("\n", "\n\t").encode(),
    ],
    ids=["plain", "byte order mark", "Windows line ends", "old Macintosh line ends", "tabs"],
)
def test_files_that_are_read(tmp_path: Path, data: bytes) -> None:
    file = tmp_path / "rose.toml"
    file.write_bytes(data)
    design = read_design(file)
    assert design.pattern == parse_design(LEAST).pattern
    assert design.file == file
    assert design.beside("pear.svg") == tmp_path / "pear.svg"
    assert design.beside(str(tmp_path / "fig.svg")) == tmp_path / "fig.svg"


def test_text_that_comes_from_no_file() -> None:
    assert parse_design("\ufeff" + LEAST).beside("pear.svg") == Path("pear.svg")


def unread(file: Path) -> str:
    with pytest.raises(FileError) as caught:
        read_design(file)
    return str(caught.value)


FILES = [
    (b"{\\rtf1\\ansi", "rose.toml: is a rich-text file, not a design file; save it as plain text"),
    (b"PK\x03\x04\x00\x00\x00", "rose.toml: is an office program's file or a zip, not a design file; save it as plain text"),
    (b"\xd0\xcf\x11\xe0\x00", "rose.toml: is an office program's file, not a design file; save it as plain text"),
    (b"%PDF-1.7\n", "rose.toml: is a PDF, not a design file; save it as plain text"),
    (
        b"\x89PNG\r\n\x1a\n",
        "rose.toml: is a picture, not a design file; a picture can be scanned with `mockup scan`",
    ),
    (b"\n<!DOCTYPE html>", "rose.toml: is a web page, not a design file; save it as plain text"),
    (b"<html>", "rose.toml: is a web page, not a design file; save it as plain text"),
    (b"\xef\xbb\xbf<svg>", "rose.toml: is a drawing, not a design file; name it as file in [drawing]"),
    (b'<?xml version="1.0"?>', "rose.toml: is a drawing or other XML, not a design file; name a drawing as file in [drawing]"),
    (b'{"type": 1}', "rose.toml: is JSON, perhaps a plan, not a design file; name a plan as plan in [colouring]"),
    (LEAST.encode("utf-16"), "rose.toml: is UTF-16 text, or no text; save it as UTF-8"),
    (LEAST.encode("utf-16-be"), "rose.toml: is UTF-16 text, or no text; save it as UTF-8"),
    (LEAST.encode("utf-32"), "rose.toml: is UTF-16 text, or no text; save it as UTF-8"),
    ('# a\ntitle = "Bögen"'.encode("latin-1"), "rose.toml, line 2: is not UTF-8 text; save it as UTF-8"),
    (b"#" * (1 << 20) + b"\n", "rose.toml: is larger than 1 MiB; give a design file; they are a page or two"),
]  # fmt: skip


@pytest.mark.parametrize(("data", "line"), FILES)
def test_files_of_another_kind(tmp_path: Path, data: bytes, line: str) -> None:
    file = tmp_path / "rose.toml"
    file.write_bytes(data)
    assert unread(file) == line


def test_an_empty_file(tmp_path: Path) -> None:
    file = tmp_path / "rose.toml"
    file.touch()
    with pytest.raises(DesignError) as caught:
        read_design(file)
    assert str(caught.value) == "rose.toml: says nothing yet; `mockup new` writes one to begin with"


def test_a_missing_file(tmp_path: Path) -> None:
    missing = tmp_path / "rose.toml"
    assert unread(missing) == "rose.toml: there is no such file; `mockup new` writes one"
    (tmp_path / "rose.txt").touch()
    assert unread(missing) == "rose.toml: there is no such file; did you mean 'rose.txt'?"
    (tmp_path / "roses.toml").touch()
    assert unread(missing) == "rose.toml: there is no such file; did you mean 'roses.toml'?"


def test_a_missing_folder() -> None:
    assert unread(Path("nowhere") / "rose.toml") == (
        "rose.toml: there is no such file; nor is there a folder 'nowhere'"
    )


def test_a_folder(tmp_path: Path) -> None:
    folder = tmp_path / "rose.toml"
    folder.mkdir()
    assert unread(folder) == "rose.toml: is a folder; name the design file in it"


@pytest.mark.skipif(sys.platform == "win32", reason="no pipes with names there")
def test_a_pipe(tmp_path: Path) -> None:
    pipe = tmp_path / "rose.toml"
    os.mkfifo(pipe)
    assert unread(pipe) == "rose.toml: is not an ordinary file; give a design file"


def test_a_file_that_may_not_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "rose.toml"
    file.touch()

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    assert unread(file) == "rose.toml: cannot be read (permission denied); look at its rights and name"


def test_a_name_that_no_file_can_have(tmp_path: Path) -> None:
    assert unread(tmp_path / ("x" * 5000)).endswith("; look at its rights and name")
