"""A few out of many, the two nearest as far apart as can be: against all choices, on small sets."""

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mockup.colouring.choosing import farthest, smallest
from mockup.colouring.problem import Floats


@st.composite
def tables(draw: st.DrawFn) -> Floats:
    """Distances of a few points in the plane, or any symmetric numbers; many of them equal."""
    count = draw(st.integers(2, 9))
    numbers = st.integers(0, 12).map(float)
    upper = draw(st.lists(numbers, min_size=count * count, max_size=count * count))
    table = np.triu(np.array(upper).reshape(count, count), 1)
    return np.asarray(table + table.T)


def best(table: Floats, first: list[int], count: int) -> float:
    others = [one for one in range(len(table)) if one not in first]
    return max(
        smallest(table, [*first, *more], len(first)) for more in combinations(others, count - len(first))
    )


@given(tables(), st.integers(1, 3), st.integers(1, 6))
def test_no_other_choice_lies_farther_apart(table: Floats, settled: int, more: int) -> None:
    first = list(range(min(settled, len(table) - 1)))
    count = min(len(first) + more, len(table))
    found = farthest(table, first, count)
    assert found[: len(first)] == first
    assert len(set(found)) == len(found) == count
    assert smallest(table, found, len(first)) == best(table, first, count)


@given(tables(), st.integers(1, 6), st.integers(1, 12))
def test_none_is_nearer_than_allowed_and_no_more_would_do(table: Floats, count: int, least: int) -> None:
    found = farthest(table, [0], count, float(least))
    assert smallest(table, found) >= least
    for many in range(len(found) + 1, min(count, len(table)) + 1):
        assert best(table, [0], many) < least


@given(tables(), st.integers(2, 6), st.permutations(range(9)))
def test_order_of_the_candidates_changes_nothing(table: Floats, count: int, order: list[int]) -> None:
    mixed = [0, *(one for one in order if 0 < one < len(table))]
    other = table[np.ix_(mixed, mixed)]
    count = min(count, len(table))
    one, two = farthest(table, [0], count), farthest(other, [0], count)
    assert smallest(table, one) == smallest(other, two)


@pytest.mark.parametrize("count", [2, 3, 5])
def test_points_on_a_line_are_taken_from_end_to_end(count: int) -> None:
    at = np.linspace(0, 1, 5)
    table = np.abs(at[:, None] - at)
    assert sorted(at[farthest(table, [0], count)]) == pytest.approx(np.linspace(0, 1, count))
