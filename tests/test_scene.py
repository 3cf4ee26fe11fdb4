"""The draw list and its fingerprint."""

import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mockup.rendering.scene import Clip, Fill, Item, Scene, Stroke, Text, channels, fingerprint, plain_text

HERE = Path(__file__).parent
SQUARE = np.array([[1.0, 1.0], [5.0, 1.0], [5.0, 5.0], [1.0, 5.0]])


def items(shift: float = 0.0) -> dict[str, Item]:
    return {
        "fill": Fill((SQUARE + shift,), "#b5532a", "petals", "pear"),
        "stroke": Stroke((SQUARE,), (True,), 0.4, "#202020", "lines"),
        "text": Text(2.0, 8.0, "A", 2.5, "#202020", "key"),
        "clip": Clip((SQUARE,), (Fill((SQUARE * 2,), "#336699", "leaves"),)),
    }


def mark(*changed: Item, width: float = 20.0, title: str = "one") -> str:
    return fingerprint(Scene(width, 10.0, changed, title))


def test_equal_scenes_have_equal_fingerprints() -> None:
    assert mark(*items().values()) == mark(*items().values())


def test_fingerprint_is_the_same_in_another_process() -> None:
    program = "import test_scene as t; print(t.mark(*t.items().values()))"
    told = subprocess.run(
        [sys.executable, "-c", f"import sys; sys.path.insert(0, {str(HERE)!r}); {program}"],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert told.stdout.strip() == mark(*items().values())


@pytest.mark.parametrize(
    "other",
    [
        Fill((SQUARE + 0.001,), "#b5532a", "petals", "pear"),
        Fill((SQUARE,), "#b5532b", "petals", "pear"),
        Fill((SQUARE,), "#b5532a", "leaves", "pear"),
        Fill((SQUARE,), "#b5532a", "petals", "fig"),
        Fill((SQUARE[:2], SQUARE[2:]), "#b5532a", "petals", "pear"),
        Clip((SQUARE,), ()),
        Stroke((SQUARE,), (False,), 0.4, "#b5532a", "petals", "pear"),
    ],
)
def test_any_difference_shows(other: Item) -> None:
    assert mark(other) != mark(items()["fill"])


@pytest.mark.parametrize(
    "change",
    [{"turn": 1.0}, {"anchor": "end"}, {"weight": "bold"}, {"text": "B"}, {"x": 2.1}, {"size_mm": 3.0}],
)
def test_any_difference_between_texts_shows(change: dict[str, Any]) -> None:
    plain: dict[str, Any] = {
        "x": 2.0,
        "y": 8.0,
        "text": "A",
        "size_mm": 2.5,
        "colour": "#202020",
        "layer": "key",
    }
    assert mark(Text(**plain)) != mark(Text(**(plain | change)))


def test_order_size_and_title_show() -> None:
    first, second = items()["fill"], items()["stroke"]
    assert mark(first, second) != mark(second, first)
    assert mark(first) != mark(first, width=21.0)
    assert mark(first) != mark(first, title="two")
    assert mark(Clip((SQUARE,), (first,)), second) != mark(Clip((SQUARE,), (first, second)))


@given(st.floats(-4e-5, 4e-5))
def test_a_difference_that_nobody_can_see_does_not_show(shift: float) -> None:
    assert mark(items(shift)["fill"]) == mark(items()["fill"])


@given(st.tuples(*[st.integers(0, 255)] * 3))
def test_channels_read_what_a_colour_says(levels: tuple[int, int, int]) -> None:
    red, green, blue = levels
    assert channels(f"#{red:02x}{green:02X}{blue:02x}") == (red / 255, green / 255, blue / 255)


@pytest.mark.parametrize("colour", ["red", "#fff", "336699", "#3366991", "#gggggg", "#+12345"])
def test_other_ways_to_write_a_colour_are_refused(colour: str) -> None:
    with pytest.raises(ValueError, match="is not a colour written #rrggbb"):
        channels(colour)


def test_a_stroke_needs_a_word_for_each_line() -> None:
    with pytest.raises(ValueError, match="1 lines need as many 'closed', not 2"):
        Stroke((SQUARE,), (True, False), 0.4, "#000000", "lines")


@pytest.mark.parametrize("size", [(0.0, 5.0), (5.0, -1.0), (float("nan"), 5.0), (5.0, float("inf"))])
def test_a_sheet_without_a_size_is_refused(size: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match="cannot be drawn"):
        Scene(*size, ())


def test_what_cannot_be_printed_becomes_a_space() -> None:
    assert plain_text("a\nb\0c\x1bd\ud800é №") == "a b c d é №"
