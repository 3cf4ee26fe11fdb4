"""Drawing again whenever a design or one of its files is saved."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from small import DRAWN, changed, toml, write_design

from mockup.errors import FileError
from mockup.jobs.watching import files_of, watch


class EndedError(Exception):
    """The test has seen enough."""


class Session:
    """A watched design: what is done to its files after each picture or mistake, and what was seen."""

    def __init__(self, path: Path, target: Path, steps: Iterator[Callable[[], object]]) -> None:
        self.path, self.target, self.steps = path, target, steps
        self.pictures: list[str] = []
        self.said: list[str] = []

    def draw(self) -> Path:
        from mockup.jobs.preview import preview_design

        return preview_design(self.path, self.target, dpi=20)

    def drawn(self, path: Path) -> None:
        assert path == self.target
        self.pictures.append(path.read_text())

    def say(self, line: str) -> None:
        self.said.append(line)
        if line.startswith("waiting"):
            step = next(self.steps, None)
            if step is None:
                raise EndedError
            step()

    def run(self) -> None:
        with pytest.raises(EndedError):
            watch(self.path, self.target, self.draw, self.drawn, self.say, pause=0.01)


def saved(path: Path, text: str) -> Callable[[], object]:
    def save() -> None:
        before = path.stat().st_mtime_ns if path.exists() else 0
        path.write_text(text)
        os.utime(path, ns=(before + 1_000_000, before + 1_000_000))  # a save on a coarse clock

    return save


def test_each_save_of_the_design_or_its_drawing_is_drawn_and_a_mistake_is_told(tmp_path: Path) -> None:
    path = write_design(tmp_path)
    drawing = tmp_path / "blocks.svg"
    other = toml(changed(DRAWN, colouring={"ground": '"clay"'}))
    steps = iter(
        [
            saved(path, other),
            saved(path, other.replace("ground", "grounds")),
            saved(path, other),
            saved(drawing, drawing.read_text().replace('y="20" width="16"', 'y="20" width="12"')),
            saved(drawing, "<svg"),
            saved(drawing, drawing.read_text()),
        ]
    )
    session = Session(path, tmp_path / "out.svg", steps)
    session.run()
    pictures = session.pictures
    assert len(pictures) == 5
    assert pictures[1] != pictures[0]
    assert pictures[2] == pictures[1]
    assert pictures[3] != pictures[2]
    assert pictures[4] == pictures[2]
    mistakes = [line for line in session.said if line.startswith("mockup: ")]
    assert len(mistakes) == 2
    assert 'unknown key "grounds"' in mistakes[0]
    assert mistakes[1].startswith("mockup: blocks.svg, line 1")
    assert (tmp_path / "out.svg").read_text() == pictures[-1]


def test_a_save_while_it_is_drawn_is_not_lost(tmp_path: Path) -> None:
    path = write_design(tmp_path)
    drawing = tmp_path / "blocks.svg"
    session = Session(path, tmp_path / "out.svg", iter([lambda: None]))
    plain = session.draw

    def draw() -> Path:
        done = plain()
        if not session.pictures:
            saved(drawing, drawing.read_text().replace('y="20" width="16"', 'y="20" width="12"'))()
        return done

    session.draw = draw  # type: ignore[method-assign]
    session.run()
    assert len(session.pictures) == 2
    assert session.pictures[0] != session.pictures[1]


def test_every_file_that_a_design_names_is_watched(tmp_path: Path) -> None:
    tables = {
        "sheet": {"size": "[90, 90]"},
        "palette": {"box": '"inks.csv"'},
        "pattern": {"motifs": '["leaflet", "blocks.svg"]'},
        "border": {"style": '"motifs"', "motifs": '["mine/edge.svg"]'},
        "colouring": {"plan": '"chosen.geojson"'},
    }
    path = write_design(tmp_path, tables)
    names = ["blocks.toml", "inks.csv", "blocks.svg", "mine/edge.svg", "chosen.geojson"]
    found = files_of(path, [])
    assert found == [tmp_path / name for name in names]
    path.write_text("no design")
    assert files_of(path, found) == found


def test_what_may_not_be_written_is_told_before_anything_is_drawn(tmp_path: Path) -> None:
    path, target = write_design(tmp_path), tmp_path / "hers.png"
    target.write_text("hers")
    session = Session(path, target, iter(()))
    with pytest.raises(FileError, match="mockup did not write it for this design"):
        watch(path, target, session.draw, session.drawn, session.say)
    with pytest.raises(FileError, match=r"gone\.toml"):
        watch(tmp_path / "gone.toml", tmp_path / "a.png", session.draw, session.drawn, session.say)
    assert not session.said


@pytest.mark.skipif(sys.platform == "win32", reason="signals")
def test_the_command_goes_on_until_it_is_stopped(tmp_path: Path) -> None:
    path = write_design(tmp_path)
    command = [sys.executable, "-m", "mockup", "preview", str(path), "--watch", "--dpi", "20"]
    before = signal.signal(
        signal.SIGINT, signal.default_int_handler
    )  # a shell may have it ignored in the background
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as running:
        signal.signal(signal.SIGINT, before)
        assert running.stdout
        assert running.stderr
        assert running.stdout.readline().strip() == str(tmp_path / "blocks.png")
        assert running.stderr.readline() == "waiting for a change; Ctrl-C ends\n"
        first = (tmp_path / "blocks.png").read_bytes()
        time.sleep(0.05)
        path.write_text(path.read_text().replace("#b9522b", "#2255aa"))
        assert running.stdout.readline().strip() == str(tmp_path / "blocks.png")
        assert (tmp_path / "blocks.png").read_bytes() != first
        running.send_signal(signal.SIGINT)
        out, err = running.communicate()
    assert running.returncode == 0
    assert out == ""
    assert "Traceback" not in err
