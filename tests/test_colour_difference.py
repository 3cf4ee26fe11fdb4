"""CIEDE2000: one formula, always asked for by name."""

import ast
import csv
import itertools
from pathlib import Path

import numpy as np
import pytest
from coloraide import Color
from hypothesis import given
from hypothesis import strategies as st

from mockup.colour.conversion import from_lab, read_colour
from mockup.colour.difference import ciede2000, ciede2000_lab, differences

Triple = tuple[float, float, float]
PUBLISHED = Path(__file__).parent / "data" / "published"
PACKAGE = Path(__file__).parent.parent / "mockup"
labs = st.tuples(st.floats(0.0, 100.0), st.floats(-120.0, 120.0), st.floats(-120.0, 120.0))


def sharma() -> list[dict[str, float]]:
    with (PUBLISHED / "ciede2000_sharma.csv").open(encoding="utf-8", newline="") as file:
        rows = csv.DictReader(line for line in file if not line.startswith("#"))
        return [{key: float(value) for key, value in row.items()} for row in rows]


# Properties


@given(labs)
def test_a_colour_does_not_differ_from_itself(lab: Triple) -> None:
    assert ciede2000_lab(lab, lab) == 0.0


@given(labs, labs)
def test_the_order_does_not_matter(one: Triple, two: Triple) -> None:
    there, back = ciede2000_lab(one, two), ciede2000_lab(two, one)
    assert there >= 0.0
    assert there == pytest.approx(back, abs=1e-9)


@given(labs, labs)
def test_it_is_the_formula_of_another_library(one: Triple, two: Triple) -> None:
    oracle = Color("lab-d65", one).delta_e(Color("lab-d65", two), method="2000")
    assert ciede2000_lab(one, two) == pytest.approx(oracle, abs=1e-6)


@given(st.floats(0.0, 100.0), st.floats(0.0, 100.0))
def test_the_lighter_a_grey_the_more_it_differs_from_black(one: float, two: float) -> None:
    nearer, farther = (ciede2000_lab((0.0, 0.0, 0.0), (level, 0.0, 0.0)) for level in sorted((one, two)))
    assert nearer <= farther + 1e-9


def test_black_and_white_differ_by_a_hundred() -> None:
    assert ciede2000(read_colour("black"), read_colour("white")) == pytest.approx(100.0, abs=1e-6)


@given(st.lists(labs, min_size=1, max_size=6))
def test_the_matrix_holds_every_pair(values: list[Triple]) -> None:
    colours = [from_lab(lab) for lab in values]
    matrix = differences(colours)
    assert matrix.shape == (len(values), len(values))
    assert not matrix.diagonal().any()
    for (i, one), (j, two) in itertools.product(enumerate(colours), repeat=2):
        assert matrix[i, j] == pytest.approx(ciede2000(one, two), abs=1e-9)


def test_of_no_colours_the_matrix_is_empty() -> None:
    assert differences([]).shape == (0, 0)


def test_leading_axes_are_broadcast() -> None:
    values = np.random.default_rng(3).uniform(-60.0, 60.0, (4, 5, 3))
    result = ciede2000_lab(values, values[0, 0])
    assert result.shape == (4, 5)
    assert result[2, 3] == pytest.approx(ciede2000_lab(values[2, 3], values[0, 0]), abs=1e-12)


@pytest.mark.parametrize("shape", [(), (2,), (3, 4)])
def test_arrays_of_another_shape_are_refused(shape: tuple[int, ...]) -> None:
    with pytest.raises(ValueError, match="CIELAB values need a last axis of 3, not the shape"):
        ciede2000_lab(np.zeros(shape), (50.0, 0.0, 0.0))


# Published values


@pytest.mark.parametrize("row", sharma(), ids=lambda row: f"pair {row['pair']:.0f}")
def test_the_pairs_of_sharma_wu_and_dalal(row: dict[str, float]) -> None:
    one, two = ([row[f"{axis}{n}"] for axis in "Lab"] for n in (1, 2))
    assert ciede2000_lab(one, two) == pytest.approx(row["dE00"], abs=5.01e-5)  # rounding of the table
    assert ciede2000_lab(two, one) == pytest.approx(row["dE00"], abs=5.01e-5)


def test_there_are_34_pairs() -> None:
    assert [row["pair"] for row in sharma()] == list(range(1, 35))


def test_a_pair_that_libraries_disagreed_about() -> None:
    assert ciede2000(read_colour("#4269d0"), read_colour("#a463f2")) == pytest.approx(18.4365, abs=2e-3)


# No other difference, and none by default


def differences_without_method(source: str) -> list[int]:
    """Lines that ask coloraide for a difference and do not say which."""
    tree = ast.parse(source)
    uses_coloraide = any(
        (isinstance(node, ast.Import) and any(name.name.split(".")[0] == "coloraide" for name in node.names))
        or (isinstance(node, ast.ImportFrom) and (node.module or "").split(".")[0] == "coloraide")
        for node in ast.walk(tree)
    )
    asking = {"delta_e", "closest", "distance"} if uses_coloraide else {"delta_e"}
    return [
        node.lineno
        for node in ast.walk(tree)
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Attribute)
        and node.func.attr in asking
        and (node.func.attr == "distance" or "method" not in {keyword.arg for keyword in node.keywords})
    ]


@pytest.mark.parametrize(
    ("source", "lines"),
    [
        ("a.delta_e(b)", [1]),
        ("a.delta_e(b, method='2000')", []),
        ("import shapely\nshapely.distance(a, b)", []),
        ("from coloraide import Color\na.distance(b)", [2]),
        ("from coloraide import Color\na.closest(b)\na.closest(b, method='2000')", [2]),
    ],
)
def test_the_search_finds_what_it_is_for(source: str, lines: list[int]) -> None:
    assert differences_without_method(source) == lines


def test_no_module_asks_for_a_difference_by_default() -> None:
    modules = sorted(PACKAGE.rglob("*.py"))
    assert PACKAGE / "colour" / "conversion.py" in modules
    found = {str(path): differences_without_method(path.read_text(encoding="utf-8")) for path in modules}
    assert {path: lines for path, lines in found.items() if lines} == {}
