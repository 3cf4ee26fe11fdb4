"""Path data: the published cases, faults told with their place, every spelling of a path read alike."""

import csv
import json
import math
import random
from pathlib import Path as File
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mockup.errors import DrawingError
from mockup.geometry.path import MOST_COMMANDS, Arc, Cubic, Line, Path, Quadratic, Segment, read_path

PUBLISHED = File(__file__).parent / "data" / "published"
CASES: list[dict[str, Any]] = json.loads((PUBLISHED / "svg_path_cases.json").read_text(encoding="utf-8"))[
    "cases"
]
LETTERS = {Line: "L", Quadratic: "Q", Cubic: "C"}


def spelt(path: Path) -> list[list[Any]]:
    """Write a path as the cases do; after Z, a moveto is written where more than closing follows."""
    result: list[list[Any]] = []
    for subpath in path.subpaths:
        if subpath.segments or not (result and result[-1] == ["Z"] and subpath.closed):
            result.append(["M", *subpath.start])
        result += [letters(segment) for segment in subpath.segments]
        if subpath.closed:
            result.append(["Z"])
    return result


def letters(segment: Segment) -> list[Any]:
    if isinstance(segment, Arc):
        return ["A", *segment.radii, segment.turn, int(segment.large), int(segment.sweep), *segment.end]
    return [LETTERS[type(segment)], *(number for point in segment for number in point)]


@pytest.mark.parametrize("case", CASES, ids=lambda case: repr(case["d"]))
def test_published_case(case: dict[str, Any]) -> None:
    path = read_path(case["d"])
    got = spelt(path)
    assert [step[0] for step in got] == [step[0] for step in case["expect"]]
    for one, other in zip(got, case["expect"], strict=True):
        assert one[1:] == pytest.approx(other[1:], abs=1e-12)
    assert bool(path.fault) is not case["valid"]


@pytest.mark.parametrize(
    ("d", "fault"),
    [
        ("L1 1", "path data begins with 'L' at character 1 where a moveto (M) is due"),
        ("M0 0X1", "path data has 'X' at character 5 where a command is due"),
        ("M0 0L1", "path data has the end at character 7 where a number of 'L' is due"),
        ("M0 0A1 1 0 2 0 5 5", "path data has '2' at character 12 where a flag (0 or 1) of 'A' is due"),
        ("M0 0z5", "path data has '5' at character 6 where a command is due"),
        (
            "M0 0L\N{ARABIC-INDIC DIGIT ONE} 1",
            "path data has '١' at character 6 where a number of 'L' is due",
        ),
        (
            "M0 0\N{LATIN SMALL LETTER LONG S}1 1 2 2",
            "path data has 'ſ' at character 5 where a command is due",
        ),
        ("M0 0L1 1,", "path data has ',' at character 9 where a number of 'L' is due"),
        ("M0 0h1,\fh2", "path data has ',' at character 7 where a number of 'h' is due"),
    ],
)
def test_fault_is_told_with_its_place(d: str, fault: str) -> None:
    assert read_path(d).fault == fault


@pytest.mark.parametrize("text", ["1e6", "-1e6", "1e999", "123456789012345678901234567890"])
def test_coordinate_out_of_bounds_is_refused(text: str) -> None:
    with pytest.raises(DrawingError, match=r"a path has the coordinate .{1,20}, which is too large"):
        read_path(f"M0 0L{text} 0")


def test_path_that_wanders_out_of_bounds_is_refused() -> None:
    with pytest.raises(DrawingError, match="a path runs to coordinates that are too large"):
        read_path("M0 0l999999 0 999999 0")


def test_number_of_commands_is_bounded() -> None:
    read_path("M0 0" + "h1" * (MOST_COMMANDS - 1))
    with pytest.raises(DrawingError, match="a path has more than 100000 commands"):
        read_path("M0 0" + "h1" * MOST_COMMANDS)


@pytest.mark.parametrize(
    "d", ["M0 0A1e-200 1 0 0 1 5 5", "M0 0A1 1 0 0 1 1e-200 0", "M0 0A1e-9 1e-9 0 0 1 1e5 0"]
)
def test_vanishing_numbers_do_no_harm(d: str) -> None:
    for subpath in read_path(d).subpaths:
        for segment in subpath.segments:
            if isinstance(segment, Arc):
                assert all(map(math.isfinite, (*segment.middle, *segment.axes, segment.begin, segment.span)))


def arc_rows() -> list[dict[str, str]]:
    with (PUBLISHED / "svg_arcs.csv").open(encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


@pytest.mark.parametrize("row", arc_rows(), ids=lambda row: f"{row['rx']},{row['ry']},{row['phi']}")
def test_published_arc(row: dict[str, str]) -> None:
    words = [row[key] for key in ("rx", "ry", "phi", "large", "sweep", "x2", "y2")]
    path = read_path(f"M{row['x1']} {row['y1']}A{' '.join(words)}")
    (arc,) = path.subpaths[0].segments
    assert isinstance(arc, Arc)
    assert arc.middle == pytest.approx((float(row["cx"]), float(row["cy"])), abs=1e-6)
    assert arc.axes == pytest.approx((float(row["rx_used"]), float(row["ry_used"])), abs=1e-6)
    assert arc.span == pytest.approx(float(row["dtheta"]), abs=1e-5)
    assert math.remainder(arc.begin - float(row["theta1"]), 360) == pytest.approx(0, abs=1e-5)


whole = st.integers(-999, 999).map(float)
point = st.tuples(whole, whole)
commands = st.lists(
    st.one_of(
        st.tuples(st.just("L"), point),
        st.tuples(st.just("Q"), point, point),
        st.tuples(st.just("C"), point, point, point),
        st.tuples(st.just("Z")),
        st.tuples(st.just("M"), point),
    ),
    max_size=12,
)


@given(point, commands, st.randoms(use_true_random=False))
def test_every_spelling_is_read_alike(start: tuple[float, float], steps: Any, rng: random.Random) -> None:
    written = [("M", start), *steps]
    plain = "".join(letter + " ".join(f"{x!r} {y!r}" for x, y in points) for letter, *points in written)
    assert spelt(read_path(respelt(written, rng))) == spelt(read_path(plain))


def respelt(written: Any, rng: random.Random) -> str:
    """Write commands relative or not, short where that says the same, with all manner of gaps."""
    text, at, start, control, last = "", (0.0, 0.0), (0.0, 0.0), (0.0, 0.0), ""
    for letter, *points in written:
        relative = rng.random() < 0.5
        base = at if relative else (0.0, 0.0)
        numbers = [value - base[axis] for target in points for axis, value in enumerate(target)]
        short = letter
        mirrored = (2 * at[0] - control[0], 2 * at[1] - control[1])
        if letter == "L" and points[0][1] == at[1]:
            short, numbers = "H", numbers[:1]
        elif letter == "L" and points[0][0] == at[0]:
            short, numbers = "V", numbers[1:]
        elif letter in "QC" and points[0] == (mirrored if last == letter else at):
            short, numbers = {"Q": "T", "C": "S"}[letter], numbers[2:]
        text += short.lower() if relative else short
        text += rng.choice([" ", "\n", "", "\t\f"])
        text += "".join(number(value, rng, first=not index) for index, value in enumerate(numbers))
        text += rng.choice(["", " ", "\r\n"])
        at = points[-1] if points else start
        start = at if letter == "M" else start
        control, last = (points[-2] if letter in "QC" else at), letter
    return text


def number(value: float, rng: random.Random, *, first: bool) -> str:
    text = rng.choice([f"{value:.0f}", f"{value:+.1f}", f"{value:.4e}", f"{value:06.1f}"])
    gap = rng.choice([",", " ", " , ", "\n"]) if text[0] not in "+-" or rng.random() < 0.5 else ""
    return text if first else gap + text


@given(st.text(alphabet="MmLlHhVvCcSsQqTtAaZz0123456789.,+-eE \n#", max_size=60))
def test_any_text_gives_a_path_or_a_refusal(d: str) -> None:
    try:
        path = read_path(d)
    except DrawingError:
        return
    assert path.fault or path.subpaths or not d.strip()


@given(
    st.text(alphabet="MmLlHhQqAaZz0123456789., -", max_size=40), st.text(alphabet="LlZz019,- ", max_size=10)
)
def test_what_stands_before_a_fault_is_kept(d: str, more: str) -> None:
    try:
        before, after = read_path(d), read_path(f"{d}#{more}")
    except DrawingError:
        return
    if not before.fault:
        assert after.subpaths == before.subpaths
        assert after.fault or not d
