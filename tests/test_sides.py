"""Base inks dealt to figures, and what the shapes beside them lean away from."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mockup.colouring.facing import Facing
from mockup.colouring.leanings import UNLIKE, likeness
from mockup.colouring.problem import Ints
from mockup.colouring.sides import (
    PRICE,
    Figures,
    among,
    base_inks,
    beside,
    leaning,
    renumbered,
)

NONE: tuple[Ints, Ints] = (np.zeros(0, dtype=np.int64), np.zeros(0, dtype=np.int64))


def graph(pairs: list[tuple[int, int, float, bool]], count: int) -> Facing:
    """Make a facing graph of (a, b, length, faces)."""
    a, b, length, faces = (np.array(column) for column in zip(*pairs, strict=True))
    gap, share = np.zeros(len(a)), np.ones(len(a))
    return Facing(count, a, b, length.astype(float), gap, share, faces, ~faces & False, faces, 5.0)


def row(count: int, inks: int, pairs: tuple[Ints, Ints] = NONE) -> Figures:
    """Make figures in a row of 10 mm steps that wraps."""
    place = np.column_stack((10.0 * np.arange(count), np.zeros(count)))
    return Figures(place, (10.0 * count, 10.0), True, np.ones((count, inks), dtype=bool), pairs)


@given(st.integers(1, 14), st.integers(1, 5), st.integers(1, 50))
@settings(max_examples=30)
def test_every_ink_comes_as_often_as_every_other(count: int, inks: int, seed: int) -> None:
    often = np.bincount(base_inks(row(count, inks), seed), minlength=inks)
    assert often.sum() == count
    assert often.max() - often.min() <= 1


@pytest.mark.parametrize(("count", "inks"), [(6, 2), (6, 3), (9, 3), (8, 4), (12, 3)])
def test_neighbours_in_a_row_differ(count: int, inks: int) -> None:
    dealt = base_inks(row(count, inks), 1)
    assert (dealt != np.roll(dealt, 1)).all()


@given(st.lists(st.lists(st.booleans(), min_size=3, max_size=3).filter(any), min_size=1, max_size=9))
@settings(max_examples=20)
def test_a_figure_takes_what_it_may(allowed: list[list[bool]]) -> None:
    may = np.array(allowed)
    own = row(len(may), 3)
    dealt = base_inks(Figures(own.place, own.size, False, may, NONE), 1)
    assert may[np.arange(len(may)), dealt].all()


def test_figures_whose_skin_meets_differ_before_those_that_are_only_near() -> None:
    own = row(3, 2, (np.array([0]), np.array([2])))
    for seed in range(1, 6):
        dealt = base_inks(own, seed)
        assert dealt[0] != dealt[2]


MEETS = graph([(0, 1, 4.0, True), (0, 2, 2.0, True), (1, 3, 6.0, True), (1, 2, 9.0, False)], 4)
"""Rows 0 and 1 of the palette, 2 and 3 of skin; mean border 4."""


def test_the_price_of_an_ink_beside_skin_is_by_likeness_and_border() -> None:
    alike = np.array([[1.0, 0.25, 0.0], [0.0, 0.5, 0.0]])
    price = leaning(MEETS, 2, np.array([0, 1]), alike)
    assert price == pytest.approx(np.array([PRICE * 2 / 4 * alike[0], PRICE * 6 / 4 * alike[1]]))
    assert (leaning(among(MEETS, 2), 2, np.array([0, 1]), alike) == 0).all()


def test_likeness_falls_evenly_from_the_same_colour_to_an_unlike_one() -> None:
    assert likeness(np.array([0.0, UNLIKE / 2, UNLIKE, 90.0])) == pytest.approx([1, 0.5, 0, 0])


def test_rows_of_the_palette_keep_their_own_pairs() -> None:
    own = among(MEETS, 2)
    assert (own.count, own.a.tolist(), own.b.tolist(), own.length.tolist()) == (2, [0], [1], [4.0])
    assert [list(column) for column in beside(MEETS, 2)] == [[0, 1], [0, 1], [2.0, 6.0]]


@given(st.permutations(range(4)))
def test_renumbering_there_and_back_changes_nothing(order: list[int]) -> None:
    number = np.array(order)
    back = renumbered(renumbered(MEETS, number), np.argsort(number))
    assert (back.a == MEETS.a).all()
    assert (back.b == MEETS.b).all()
    assert (renumbered(MEETS, number).a <= renumbered(MEETS, number).b).all()
