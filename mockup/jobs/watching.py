"""Drawing again whenever a design, or a file that it names, is saved."""

import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Final

from mockup.design.reading import read_design
from mockup.design.records import Design
from mockup.errors import MockupError
from mockup.jobs.progress import Say
from mockup.sheets.files import check_targets, mark
from mockup.sheets.formats import check_ending

PAUSE: Final = 0.25
"""Between two looks at the files, seconds."""

_Seen = dict[Path, tuple[int, int] | None]
"""When each file was changed (ns) and its size; None where it is not there."""


def watch(
    path: Path,
    target: Path,
    draw: Callable[[], Path],
    drawn: Callable[[Path], None],
    say: Say,
    *,
    force: bool = False,
    pause: float = PAUSE,
) -> None:
    """Draw a design, and again each time one of its files is saved, until interrupted.

    A mistake in a file is told, and the last good picture stays.

    Parameters
    ----------
    path, target : Path
        The design file, and where it is drawn.
    draw : callable
        Draws it and gives what was written.
    drawn : callable
        Hears of each picture.
    say : callable
        Hears mistakes, and what is waited for.
    force : bool
        Replace a file that is not ours.
    pause : float
        Between two looks at the files, seconds.

    Raises
    ------
    FileError
        There is no design file to begin with, or the target may not be written.
    """
    check_ending(target)
    check_targets({target: None}, mark(path.stem), force=force)
    if not path.is_file():
        read_design(path)
    files = [path]
    while True:
        files = files_of(path, files)
        seen = _settled(files, pause)
        try:
            drawn(draw())
        except MockupError as error:
            say(f"mockup: {error}")
        say("waiting for a change; Ctrl-C ends")
        while _looked_at(files) == seen:
            time.sleep(pause)


def files_of(path: Path, before: list[Path]) -> list[Path]:
    """List the files that a design is made of, itself first; those known before where it cannot be read."""
    try:
        design = read_design(path)
    except MockupError:
        return before
    return [path, *dict.fromkeys(design.beside(name) for name in _named(design))]


def _named(design: Design) -> Iterator[str]:
    """Give the files that a design names."""
    if design.palette.box:
        yield design.palette.box
    if design.drawing:
        yield design.drawing.file
        if design.drawing.groups:
            yield design.drawing.groups
    motifs = [motif.name for motif in design.pattern.motifs] if design.pattern else []
    for name in (*motifs, *design.border.motifs):
        if name.lower().endswith(".svg") or "/" in name or "\\" in name:
            yield name
    if design.colouring.plan:
        yield design.colouring.plan


def _looked_at(files: list[Path]) -> _Seen:
    return {file: _state(file) for file in files}


def _state(file: Path) -> tuple[int, int] | None:
    try:
        found = file.stat()
    except OSError:
        return None
    return found.st_mtime_ns, found.st_size


def _settled(files: list[Path], pause: float) -> _Seen:
    """Wait until nothing changes any more, as while an editor writes; give what is there then."""
    while True:
        before = _looked_at(files)
        time.sleep(pause / 2)
        if _looked_at(files) == before:
            return before
