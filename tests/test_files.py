"""Safe writing: whole or not at all, never over what is not ours, nothing left behind."""

import os
import re
import stat
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mockup.errors import FileError
from mockup.jobs.targets import beside
from mockup.sheets.files import check_targets, folder, mark, write, write_all

OURS = mark("rose")
FIRST, SECOND = b"one " + OURS.encode(), b"two " + OURS.encode()


def _only(path: Path) -> None:
    """Nothing lies beside the file, no temporary file either."""
    assert os.listdir(path.parent) == [path.name]


def test_a_new_file_is_written_whole(tmp_path: Path) -> None:
    path = tmp_path / "rose.png"
    assert write(path, FIRST, OURS) == path
    assert path.read_bytes() == FIRST
    _only(path)


def test_our_own_file_is_replaced(tmp_path: Path) -> None:
    path = tmp_path / "rose.png"
    write(path, FIRST, OURS)
    write(path, SECOND, OURS)
    assert path.read_bytes() == SECOND
    _only(path)


@pytest.mark.parametrize("there", [b"", b"hers", mark("rosehip").encode(), mark("ros").encode()])
def test_any_other_file_is_refused_unless_forced(tmp_path: Path, there: bytes) -> None:
    path = tmp_path / "rose.png"
    path.write_bytes(there)
    with pytest.raises(
        FileError, match="exists, and mockup did not write it for this design; name another file, or use"
    ):
        write(path, FIRST, OURS)
    assert path.read_bytes() == there
    write(path, FIRST, OURS, force=True)
    assert path.read_bytes() == FIRST
    _only(path)


def test_a_file_without_a_mark_may_be_written_again_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "rose.toml"
    write(path, b"no mark", OURS)
    write(path, b"no mark", OURS)
    with pytest.raises(FileError):
        write(path, b"another", OURS)


@pytest.mark.parametrize("umask", [0o022, 0o077, 0o002])
def test_permissions_follow_the_umask(tmp_path: Path, umask: int) -> None:
    before = os.umask(umask)
    try:
        path = write(tmp_path / "rose.png", FIRST, OURS)
    finally:
        os.umask(before)
    assert stat.S_IMODE(path.stat().st_mode) == 0o666 & ~umask


def test_all_targets_are_checked_before_the_first_is_touched(tmp_path: Path) -> None:
    hers = tmp_path / "b.png"
    hers.write_bytes(b"hers")
    with pytest.raises(FileError, match=r"b\.png: exists"):
        write_all({tmp_path / "a.png": FIRST, hers: SECOND}, OURS)
    assert hers.read_bytes() == b"hers"
    _only(hers)


def test_when_writing_fails_midway_nothing_has_changed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    old, new = tmp_path / "a.png", tmp_path / "b.png"
    write(old, FIRST, OURS)
    chmod, calls = Path.chmod, []

    def fails(self: Path, mode: int) -> None:
        calls.append(self)
        if len(calls) == 2:
            raise OSError(28, "No space left on device")
        chmod(self, mode)

    monkeypatch.setattr(Path, "chmod", fails)
    with pytest.raises(
        FileError, match=r"b\.png: cannot be written: no space left on device; choose a folder"
    ):
        write_all({old: SECOND, new: SECOND}, OURS)
    assert old.read_bytes() == FIRST
    _only(old)


def test_when_she_stops_it_nothing_is_left(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def stopped(self: Path, mode: int) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(Path, "chmod", stopped)
    with pytest.raises(KeyboardInterrupt):
        write_all({tmp_path / "a.png": FIRST}, OURS)
    assert os.listdir(tmp_path) == []


def test_when_putting_it_in_place_fails_nothing_is_left(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(self: Path, _: Path) -> Path:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "replace", refused)
    with pytest.raises(FileError, match="cannot be written: permission denied"):
        write_all({tmp_path / "a.png": FIRST, tmp_path / "b.png": SECOND}, OURS)
    assert os.listdir(tmp_path) == []


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_write_protected_folder(tmp_path: Path) -> None:
    tmp_path.chmod(0o500)
    try:
        with pytest.raises(
            FileError, match="cannot be written: permission denied; choose a folder that you may write to"
        ):
            write(tmp_path / "rose.png", FIRST, OURS)
    finally:
        tmp_path.chmod(0o700)


def test_targets_that_cannot_be(tmp_path: Path) -> None:
    (tmp_path / "folder").mkdir()
    (tmp_path / "file").write_bytes(b"")
    os.mkfifo(tmp_path / "pipe")
    for name, told in {
        "folder": "is a folder; name a file in it",
        "no/rose.png": "its folder does not exist; make the folder first, or name another",
        "file/rose.png": "its folder does not exist",
        "pipe": "is not an ordinary file; name another file",
        "a" * 300: "cannot be written: file name too long",
    }.items():
        with pytest.raises(FileError, match=told):
            write(tmp_path / name, FIRST, OURS, force=True)
    assert sorted(os.listdir(tmp_path)) == ["file", "folder", "pipe"]


def test_the_longest_name_that_a_folder_can_hold(tmp_path: Path) -> None:
    path = tmp_path / ("a" * 251 + ".png")
    write(path, FIRST, OURS)
    _only(path)


def test_a_link_to_our_own_file_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "far").mkdir()
    there, link = tmp_path / "far" / "rose.png", tmp_path / "rose.png"
    write(there, FIRST, OURS)
    link.symlink_to(there)
    write(link, SECOND, OURS)
    assert link.is_symlink()
    assert there.read_bytes() == SECOND
    _only(there)


@pytest.mark.parametrize("to", ["nowhere.png", "rose.png"], ids=["dangling", "loop"])
def test_a_link_that_leads_nowhere_is_not_ours(tmp_path: Path, to: str) -> None:
    link = tmp_path / "rose.png"
    link.symlink_to(to)
    with pytest.raises(FileError, match="exists, and mockup did not write it"):
        write(link, FIRST, OURS)
    assert link.is_symlink()


def test_a_check_touches_nothing(tmp_path: Path) -> None:
    check_targets({tmp_path / "a.png": None}, OURS)
    assert os.listdir(tmp_path) == []


def test_a_folder_is_made_where_there_is_none(tmp_path: Path) -> None:
    assert folder(tmp_path / "a" / "b").is_dir()
    assert folder(tmp_path / "a").is_dir()
    (tmp_path / "file").write_bytes(b"")
    for name, told in {
        "file": "is a file, not a folder; name another folder",
        "file/b": "cannot be written: not a directory",
        "a" * 300: "cannot be written: file name too long",
    }.items():
        with pytest.raises(FileError, match=told):
            folder(tmp_path / name)


@pytest.mark.parametrize("design", ["rose", "sea-side.v2", "larder"])
def test_the_mark_of_a_plain_name_is_the_name(design: str) -> None:
    assert mark(design) == f"mockup-made-for:{design};"


@given(st.text())
def test_marks_are_plain_and_never_end_a_comment(design: str) -> None:
    assert re.fullmatch(r"mockup-made-for:[A-Za-z0-9.-]+;", mark(design))
    assert "--" not in mark(design)


def test_names_that_differ_in_odd_signs_only_have_marks_of_their_own() -> None:
    names = ["a b", "a-b", "a--b", "a/b", "été", "âtâ", "", "unnamed", "\udcff", "\udcfe"]
    assert len({mark(name) for name in names}) == len(names)


def test_output_lies_beside_the_design() -> None:
    assert beside(Path("far/rose.v2.toml"), ".png") == Path("far/rose.v2.png")
    with pytest.raises(FileError, match=r"\.: is a folder; name the design file in it"):
        beside(Path(), ".png")
