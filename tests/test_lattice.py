"""The lattice's arithmetic, against its vectors and against brute force."""

import itertools
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mockup.geometry.lattice import Lattice

SHARES = st.sampled_from(sorted({Fraction(p, q) for q in range(2, 13) for p in range(1, q)}))
INDEX = st.tuples(st.integers(-40, 40), st.integers(-40, 40))


@st.composite
def lattices(draw: st.DrawFn) -> Lattice:
    width, height = draw(st.floats(10, 200)), draw(st.floats(10, 200))
    kind, share = draw(st.sampled_from(["straight", "drop", "step"])), draw(SHARES)
    if kind == "drop":
        return Lattice(width, height, drop=share)
    return Lattice(width, height, step=share) if kind == "step" else Lattice(width, height)


def whole(lattice: Lattice, times: tuple[int, int]) -> tuple[int, int]:
    across, down = lattice.multiples
    return across * times[0], down * times[1]


@given(lattices(), INDEX, st.tuples(st.integers(1, 3), st.integers(1, 3)))
def test_within_gives_the_copy_that_lies_whole_rectangles_away(
    lattice: Lattice, index: tuple[int, int], times: tuple[int, int]
) -> None:
    across, down = whole(lattice, times)
    i, j = lattice.within(*index, across, down)
    assert 0 <= i < across
    assert 0 <= j < down
    far, near = lattice.shift(*index), lattice.shift(i, j)
    for far_side, near_side, side in zip(far, near, lattice.size(across, down), strict=True):
        turns = (far_side - near_side) / side
        assert turns == pytest.approx(round(turns), abs=1e-6)


@given(lattices(), INDEX, INDEX, st.tuples(st.integers(1, 3), st.integers(1, 3)))
def test_within_respects_sums(
    lattice: Lattice, one: tuple[int, int], other: tuple[int, int], times: tuple[int, int]
) -> None:
    across, down = whole(lattice, times)
    first, second = lattice.within(*one, across, down), lattice.within(*other, across, down)
    apart = lattice.within(first[0] + second[0], first[1] + second[1], across, down)
    assert apart == lattice.within(one[0] + other[0], one[1] + other[1], across, down)


@given(lattices(), st.tuples(st.integers(1, 3), st.integers(1, 3)))
def test_a_rectangle_holds_each_of_its_copies_once(lattice: Lattice, times: tuple[int, int]) -> None:
    across, down = whole(lattice, times)
    own = {(i, j) for i in range(across) for j in range(down)}
    assert {lattice.within(i, j, across, down) for i, j in own} == own


@given(
    lattices(),
    st.tuples(st.floats(-50, 50), st.floats(-50, 50), st.floats(1, 90), st.floats(1, 90)),
    st.tuples(st.floats(-50, 50), st.floats(-50, 50), st.floats(1, 90), st.floats(1, 90)),
)
def test_copies_are_those_that_reach_the_window(
    lattice: Lattice, own: tuple[float, float, float, float], window: tuple[float, float, float, float]
) -> None:
    box = (own[0], own[1], own[0] + own[2], own[1] + own[3])
    frame = (window[0], window[1], window[0] + window[2], window[1] + window[3])
    found = lattice.copies(box, frame)
    i, j = (index.ravel() for index in np.mgrid[-60:60, -60:60])
    x = lattice.width * (i + j * float(lattice.step))
    y = lattice.height * (j + i * float(lattice.drop))
    sides = (box[2] + x - frame[0], frame[2] - box[0] - x, box[3] + y - frame[1], frame[3] - box[1] - y)
    slack = np.minimum.reduce(sides)
    wanted = set(zip(i[slack > 0].tolist(), j[slack > 0].tolist(), strict=True))
    edge = np.abs(slack) < 1e-6
    doubtful = set(zip(i[edge].tolist(), j[edge].tolist(), strict=True))
    assert set(found) - doubtful == wanted - doubtful
    assert len(found) == len(set(found))


@given(lattices(), st.lists(INDEX, min_size=2, max_size=8, unique=True), INDEX)
def test_stacking_is_the_same_everywhere_and_the_lower_copy_lies_on_top(
    lattice: Lattice, copies: list[tuple[int, int]], away: tuple[int, int]
) -> None:
    def keyed(x: int, y: int) -> list[tuple[int, int]]:
        return sorted(copies, key=lambda index: lattice.stacking(index[0] + x, index[1] + y))

    assert keyed(0, 0) == keyed(*away)
    heights = [lattice.shift(*index)[1] for index in keyed(0, 0)]
    assert all(low <= high + 1e-9 for low, high in itertools.pairwise(heights))


@pytest.mark.parametrize(
    ("lattice", "multiples"),
    [
        (Lattice(60, 40), (1, 1)),
        (Lattice(60, 40, drop=Fraction(1, 2)), (2, 1)),
        (Lattice(60, 40, drop=Fraction(3, 7)), (7, 1)),
        (Lattice(60, 40, step=Fraction(1, 3)), (1, 3)),
    ],
)
def test_fewest_tiles_of_a_rectangle(lattice: Lattice, multiples: tuple[int, int]) -> None:
    assert lattice.multiples == multiples
