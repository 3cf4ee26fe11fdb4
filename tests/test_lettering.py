"""Lines of type fitted to their width."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mockup.rendering.lettering import (
    LARGE,
    SMALL,
    SMALL_BOLD,
    Style,
    broken,
    caption,
    fitted,
    paragraph,
    width_of,
)

words = st.text(st.characters(min_codepoint=32, max_codepoint=0x17F), max_size=60)


@given(words, st.floats(0, 60), st.sampled_from([SMALL, SMALL_BOLD, LARGE]))
def test_what_is_fitted_fits(text: str, width: float, style: Style) -> None:
    cut = fitted(text, width, style)
    assert width_of(cut, style) <= width
    assert cut in (text, "") or (cut.endswith("…") and text.startswith(cut[:-1]))


def test_no_more_is_cut_than_must_be() -> None:
    text = "Pears in half-drop, second colourway"
    cut = fitted(text, 30)
    assert width_of(text[: len(cut)] + "…", SMALL) > 30
    assert fitted(text, 100) == text
    assert fitted(text, 1) == ""


@given(words, st.floats(8, 60))
def test_broken_lines_fit_and_lose_no_word(text: str, width: float) -> None:
    lines = broken(text, width)
    assert all(width_of(line, SMALL) <= width for line in lines)
    if all(width_of(word, SMALL) <= width for word in text.split()):
        assert " ".join(lines) == " ".join(text.split())


def test_lines_are_as_full_as_they_can_be() -> None:
    lines = broken("Screen is a guide; approve the ink sample before a metre is printed.", 40)
    assert len(lines) > 1
    for line, following in pairwise(lines):
        assert width_of(f"{line} {following.split()[0]}", SMALL) > 40


def test_a_caption_is_cut_to_its_width() -> None:
    item = caption(
        5, 9, "A title that is far too long", "#202020", "title", style=LARGE, anchor="end", width=30
    )
    assert item.text.endswith("…")
    assert (item.x, item.y, item.size_mm, item.weight, item.anchor) == (5, 9, 4.25, "bold", "end")
    assert caption(5, 9, "Short", "#202020", "title").text == "Short"


def test_a_paragraph_runs_down_the_sheet() -> None:
    lines = paragraph(
        5, 9, "Test inks on the paper first: colours depend on it.", "#202020", "notes", width=25
    )
    assert [line.y for line in lines] == pytest.approx([9 + n * SMALL.line for n in range(len(lines))])
    assert len(lines) > 2
    assert {line.x for line in lines} == {5}
