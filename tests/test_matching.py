"""Matching a palette to inks: the least sum of misses there is, no ink twice, whatever the order."""

import csv
import itertools
import random
from functools import cache
from typing import NamedTuple

import numpy as np
import pytest
from builders import PUBLISHED
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from mockup.colour.difference import ciede2000
from mockup.colour.matching import TWINS, matched, misses, near_twins


class Sample(NamedTuple):
    """What has a CIELAB value and nothing else."""

    lab: tuple[float, float, float]


LABS = st.tuples(st.integers(0, 400), st.integers(-400, 400), st.integers(-400, 400)).map(
    lambda lab: Sample((lab[0] / 4, lab[1] / 4, lab[2] / 4))
)
NEAR = st.sampled_from([Sample((60.0, 40.0, 30.0)), Sample((60.5, 41.0, 30.0)), Sample((62.0, 40.0, 33.0))])


def colours(least: int, most: int) -> st.SearchStrategy[list[Sample]]:
    """Lists of colours; some of them near each other or alike."""
    return st.lists(LABS | NEAR, min_size=least, max_size=most)


@cache
def choices(owned: int, wanted: int) -> NDArray[np.int64]:
    """Every way to choose that many of the inks in order, (ways, wanted)."""
    return np.array(list(itertools.permutations(range(owned), wanted)), dtype=np.int64).reshape(-1, wanted)


def least(cost: NDArray[np.float64]) -> float:
    """The least sum over all assignments, each tried."""
    wanted, owned = cost.shape
    return float(cost[np.arange(wanted), choices(owned, wanted)].sum(axis=1).min())


def total(cost: NDArray[np.float64]) -> float:
    found = matched(cost)
    assert len(set(found.tolist())) == len(found) == len(cost)
    return float(cost[np.arange(len(cost)), found].sum())


@st.composite
def boxes(draw: st.DrawFn) -> tuple[list[Sample], list[Sample]]:
    wanted = draw(colours(1, 5))
    return wanted, draw(colours(len(wanted), 12))


@settings(max_examples=25)
@given(boxes())
def test_no_assignment_of_all_costs_less(both: tuple[list[Sample], list[Sample]]) -> None:
    cost = misses(*both)
    assert total(cost) == pytest.approx(least(cost), abs=1e-9)


@settings(max_examples=50)
@given(st.integers(1, 4), st.integers(0, 5), st.randoms(use_true_random=False))
def test_any_costs_are_matched_at_their_least(wanted: int, more: int, chance: random.Random) -> None:
    draw = np.random.default_rng(chance.getrandbits(32))
    cost = draw.integers(0, 6, (wanted, wanted + more)).astype(float)
    assert total(cost) == least(cost)


@settings(max_examples=25)
@given(boxes(), colours(1, 1))
def test_another_ink_in_the_box_never_makes_it_worse(
    both: tuple[list[Sample], list[Sample]], more: list[Sample]
) -> None:
    wanted, owned = both
    assert total(misses(wanted, owned + more)) <= total(misses(wanted, owned)) + 1e-9


@settings(max_examples=25)
@given(boxes(), st.randoms(use_true_random=False))
def test_the_order_of_inks_and_wishes_changes_nothing(
    both: tuple[list[Sample], list[Sample]], chance: random.Random
) -> None:
    wanted, owned = both
    mixed = [list(wanted), list(owned)]
    for one in mixed:
        chance.shuffle(one)
    assert total(misses(*mixed)) == pytest.approx(total(misses(wanted, owned)), abs=1e-9)


@settings(max_examples=25)
@given(boxes())
def test_inks_that_are_in_the_box_are_found(both: tuple[list[Sample], list[Sample]]) -> None:
    wanted, owned = both
    cost = misses(wanted, wanted + owned)
    assert total(cost) == 0.0


@settings(max_examples=25)
@given(boxes())
def test_misses_are_the_differences_of_single_colours(both: tuple[list[Sample], list[Sample]]) -> None:
    wanted, owned = both
    cost = misses(wanted, owned)
    assert cost.shape == (len(wanted), len(owned))
    assert cost.tolist() == [[pytest.approx(ciede2000(one, other)) for other in owned] for one in wanted]


def test_what_costs_least_alone_is_given_up_where_the_whole_gains() -> None:
    assert matched([[1, 2], [1, 9]]).tolist() == [1, 0]


def test_nothing_wanted_is_nothing_matched() -> None:
    assert matched(misses([], [Sample((0.0, 0.0, 0.0))])).tolist() == []


@pytest.mark.parametrize("cost", [[[1.0], [2.0]], [1.0, 2.0], 3.0, np.zeros((2, 2, 2))])
def test_more_wishes_than_inks_cannot_be_matched(cost: object) -> None:
    shape = np.asarray(cost).shape
    with pytest.raises(ValueError, match="expected") as caught:
        matched(cost)  # type: ignore[arg-type]
    assert str(caught.value) == f"expected (w, o) costs with w <= o, not the shape {shape}"


@settings(max_examples=30)
@given(colours(0, 12), st.sampled_from([TWINS, 0.0, 0.5, 10.0, 200.0]))
def test_twins_are_the_pairs_that_a_double_loop_finds(inks: list[Sample], limit: float) -> None:
    found = near_twins(inks, limit)
    pairs = {
        (one, other): ciede2000(inks[one], inks[other])
        for one in range(len(inks))
        for other in range(one + 1, len(inks))
    }
    assert {(pair.one, pair.other) for pair in found} == {key for key, far in pairs.items() if far < limit}
    assert all(pair.difference == pytest.approx(pairs[pair.one, pair.other]) for pair in found)
    assert [pair.difference for pair in found] == sorted(pair.difference for pair in found)


def published() -> list[tuple[list[Sample], float]]:
    """Pairs of Sharma, Wu and Dalal, 2005 (the file names its source), and their difference."""
    with (PUBLISHED / "ciede2000_sharma.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(line for line in file if not line.startswith("#")))
    return [
        (
            [Sample((float(row[f"L{n}"]), float(row[f"a{n}"]), float(row[f"b{n}"]))) for n in "12"],
            float(row["dE00"]),
        )
        for row in rows
    ]


@pytest.mark.parametrize("row", range(34))
def test_published_pairs_are_twins_above_their_published_difference_and_not_below(row: int) -> None:
    pair, difference = published()[row]
    assert [(one.one, one.other) for one in near_twins(pair, difference + 1e-4)] == [(0, 1)]
    assert near_twins(pair, difference - 1e-4) == []
    assert misses(pair[:1], pair[1:])[0, 0] == pytest.approx(difference, abs=1e-4)
