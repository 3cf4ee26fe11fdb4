"""Pixels of thinned lines in order: each link between neighbours lies in one run, and runs end in nodes alone."""

from collections import Counter
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mockup.drawing.runs import Runs, runs_of

pictures = st.integers(1, 9).flatmap(
    lambda columns: st.lists(
        st.lists(st.booleans(), min_size=columns, max_size=columns), min_size=1, max_size=9
    )
)


def neighbours(lit: set[tuple[int, int]]) -> dict[tuple[int, int], set[tuple[int, int]]]:
    """By a side; by a corner where neither side beside it is lit."""
    found = {}
    for y, x in lit:
        own = {(y + 1, x), (y - 1, x), (y, x + 1), (y, x - 1)} & lit
        for v in (-1, 1):
            for u in (-1, 1):
                if (y + v, x + u) in lit and (y + v, x) not in lit and (y, x + u) not in lit:
                    own.add((y + v, x + u))
        found[y, x] = own
    return found


def read(rows: list[str]) -> tuple[Runs, list[tuple[int, int]]]:
    picture = np.array([[mark == "#" for mark in row] for row in rows])
    spots = np.argwhere(picture)
    return runs_of(spots, picture.shape), [(int(y), int(x)) for y, x in spots]


@given(pictures)
def test_each_link_lies_in_one_run(picture: list[list[bool]]) -> None:
    runs, spots = read(["".join(".#"[lit] for lit in row) for row in picture])
    near = neighbours(set(spots))
    links = Counter(
        frozenset((spots[a], spots[b]))
        for run in (*runs.between, *runs.round)
        for a, b in pairwise(run.tolist())
    )
    assert links == Counter({frozenset((one, other)) for one, own in near.items() for other in own})


@given(pictures)
def test_runs_end_in_nodes_and_pass_none(picture: list[list[bool]]) -> None:
    runs, spots = read(["".join(".#"[lit] for lit in row) for row in picture])
    near = neighbours(set(spots))
    degree = [len(near[spot]) for spot in spots]
    for run in runs.between:
        assert degree[run[0]] != 2 != degree[run[-1]]
        assert all(degree[at] == 2 for at in run[1:-1])
    for run in runs.round:
        assert run[0] == run[-1]
        assert all(degree[at] == 2 for at in run)
    assert [degree[at] for at in runs.lone] == [0] * degree.count(0)


@pytest.mark.parametrize(
    ("rows", "between", "round_", "lone"),
    [
        (["#"], 0, 0, 1),
        (["##"], 1, 0, 0),
        ([".##.", "#..#", ".##."], 0, 1, 0),
        (["#...#", ".#.#.", "..#..", ".#.#.", "#...#"], 4, 0, 0),
        (["#####", "....#", "#####"], 1, 0, 0),
    ],
)
def test_simple_figures(rows: list[str], between: int, round_: int, lone: int) -> None:
    runs, _ = read(rows)
    assert (len(runs.between), len(runs.round), len(runs.lone)) == (between, round_, lone)
