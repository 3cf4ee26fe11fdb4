"""Lengths and paper sizes, against the published tables."""

import csv
import math
import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mockup.units import both, both_sides, millimetres, paper_names, paper_size, plain

PUBLISHED = Path(__file__).parent / "data" / "published"
UNITS = ("mm", "cm", "in", "Q", "pt", "pc", "px")


def published(name: str) -> list[dict[str, str]]:
    with (PUBLISHED / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


LENGTHS = published("length_units.csv")
PAPERS = published("paper_sizes.csv")


@given(st.floats(-1000, 1000), st.sampled_from(UNITS))
def test_a_length_grows_with_its_number(number: float, unit: str) -> None:
    one = millimetres(f"1{unit}")
    assert millimetres(f"{number:.9f}{unit}") == pytest.approx(number * one, rel=1e-9, abs=1e-6)


@given(st.floats(0, 1000), st.sampled_from(UNITS))
def test_case_and_blanks_do_not_matter(number: float, unit: str) -> None:
    lengths = {
        millimetres(text) for text in (f"{number}{unit}", f" {number} {unit.upper()} ", f"+{number}{unit}")
    }
    assert len(lengths) == 1


@given(st.text())
def test_any_text_is_a_finite_length_or_a_value_error(text: str) -> None:
    try:
        length = millimetres(text)
    except ValueError:
        length = 0.0
    assert math.isfinite(length)


@pytest.mark.parametrize("row", LENGTHS, ids=lambda row: row["value"] + row["unit"])
def test_published_lengths(row: dict[str, str]) -> None:
    length = float(row["mm"])
    assert millimetres(row["value"] + row["unit"]) == pytest.approx(length, abs=1e-8)
    assert millimetres(row["pt"] + "pt") == pytest.approx(length, abs=1e-8)
    assert millimetres(row["px"] + "px") == pytest.approx(length, abs=1e-8)


def test_a_number_alone_counts_as_told() -> None:
    assert millimetres("3") == 3
    assert millimetres("-.5") == -0.5
    assert millimetres("2e1") == 20
    assert millimetres("96", bare=25.4 / 96) == pytest.approx(25.4)
    assert millimetres("2in", bare=7) == pytest.approx(50.8)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("3,5cm", "'3,5cm' has a decimal comma; write a point ('3.5cm')"),
        (" 3,5 ", "' 3,5 ' has a decimal comma; write a point ('3.5')"),
        ("3 ells", "'3 ells' has an unknown unit; the units are mm, cm, in, Q, pt, pc, px"),
        ("3m", "'3m' has an unknown unit; the units are mm, cm, in, Q, pt, pc, px"),
        ("wide", '\'wide\' is not a length; write a number of mm, or such as "6cm" or "2.5in"'),
        ("", '\'\' is not a length; write a number of mm, or such as "6cm" or "2.5in"'),
        ("nan", '\'nan\' is not a length; write a number of mm, or such as "6cm" or "2.5in"'),
        ("1e6cm", "'1e6cm' is too large for a length"),
        ("1e999", "'1e999' is too large for a length"),
    ],
)
def test_what_is_no_length(text: str, message: str) -> None:
    with pytest.raises(ValueError, match=f"^{re.escape(message)}$"):
        millimetres(text)


def ours(name: str) -> str:
    """Give our name of a published one."""
    return name.removeprefix("US ").lower() if name.startswith("US ") else name


KNOWN = [row for row in PAPERS if paper_size(ours(row["name"]))]


@pytest.mark.parametrize("row", KNOWN, ids=lambda row: row["name"])
def test_published_papers(row: dict[str, str]) -> None:
    size = float(row["width_mm"]), float(row["height_mm"])
    assert paper_size(ours(row["name"])) == size
    assert paper_size(f" {ours(row['name']).swapcase()} ") == size


def test_every_paper_is_a_published_one() -> None:
    assert {ours(row["name"]) for row in KNOWN} == set(paper_names())
    assert len(KNOWN) == 36


@pytest.mark.parametrize("series", "ABC")
def test_each_paper_is_half_of_the_one_before(series: str) -> None:
    for n in range(10):
        larger, smaller = paper_size(f"{series}{n}"), paper_size(f"{series}{n + 1}")
        assert larger
        assert smaller
        assert smaller[1] == larger[0]
        assert 0 <= larger[1] / 2 - smaller[0] < 1


def test_a_paper_that_nobody_knows() -> None:
    assert paper_size("A11") is None
    assert paper_size("") is None


@given(st.floats(-1e5, 1e5), st.integers(0, 6))
def test_plain_numbers_come_back_without_needless_signs(number: float, digits: int) -> None:
    text = plain(number, digits)
    assert float(text) == pytest.approx(number, abs=0.5 * 10**-digits + 1e-9)
    assert re.fullmatch(r"-?\d+(\.\d*[1-9])?", text)
    assert text != "-0"


@pytest.mark.parametrize(
    ("number", "digits", "text"),
    [
        (8.0, 1, "8"),
        (8.25, 2, "8.25"),
        (100.0, 0, "100"),
        (0.04, 1, "0"),
        (-0.04, 1, "0"),
        (12.3456, 3, "12.346"),
    ],
)
def test_plain(number: float, digits: int, text: str) -> None:
    assert plain(number, digits) == text


def test_both_systems() -> None:
    assert both(60) == "6 cm (2.36 in)"
    assert both(25.4) == "2.54 cm (1 in)"
    assert both_sides(210, 297) == "21 x 29.7 cm (8.27 x 11.69 in)"
