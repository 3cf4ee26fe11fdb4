"""Plans of lattices, against the published best colourings by sublattices, and on what is no lattice."""

import itertools
import json
import math
from dataclasses import replace

import numpy as np
import pytest
from bench.layouts import bare, borders
from builders import PUBLISHED
from hypothesis import given, settings
from hypothesis import strategies as st

from mockup.colouring.energy import Energy
from mockup.colouring.lattices import lattice_plan
from mockup.colouring.measure import Nodes, lump_ratio
from mockup.colouring.problem import Ints, Problem
from mockup.colouring.spread import spread

REFERENCES = json.loads((PUBLISHED / "spread_references.json").read_text(encoding="utf-8"))[
    "lattice_colourings"
]
RISE = math.sqrt(3) / 2

FITTING = [
    *(
        ("square", inks, inks * across, inks * down)
        for inks in range(2, 8)
        for across, down in ((1, 1), (1, 2), (2, 2))
    ),
    *(
        ("triangular", inks, inks * across, 2 * inks * down)
        for inks in range(2, 8)
        for across, down in ((1, 1), (2, 1))
    ),
    ("square", 2, 12, 6),
    ("square", 4, 10, 6),
    ("square", 5, 10, 15),
    ("triangular", 3, 9, 6),
    ("triangular", 3, 3, 6),
    ("triangular", 4, 8, 12),
    ("triangular", 7, 7, 14),
]
"""Lattice, inks, nodes across, rows down: the published sublattice goes through the steps of the repeat."""


def lattice(kind: str, across: int, down: int, inks: int) -> tuple[Problem, Ints]:
    """Make a problem of a lattice of spacing 1; gives the coordinates of its nodes, too."""
    row, column = np.divmod(np.arange(across * down), across)
    if kind == "square":
        place, cell = np.column_stack((column, row)) * 1.0, (float(across), float(down))
        at = np.column_stack((column, row))
    else:
        place = np.column_stack((column + row % 2 / 2, row * RISE))
        cell = (float(across), down * RISE)
        at = np.column_stack((column - row // 2, row))
    a, b, border = borders(place + 0.1, cell)
    may = np.ones((len(row), inks), dtype=bool)
    return Problem(np.ones(len(row)), place, cell, a, b, border, may, np.full(inks, 1 / inks)), at


def published_plan(kind: str, inks: int, at: Ints) -> Ints:
    """Number the nodes by the cosets of the published sublattice."""
    (width, _), (slide, height) = REFERENCES[kind][str(inks)]["basis"]
    turns, rest = np.divmod(at[:, 1], height)
    return np.asarray(rest * width + (at[:, 0] - turns * slide) % width)


def least_distance(given_: Problem, inks: Ints) -> float:
    """Least distance between two nodes of one ink, copies of a node itself included."""
    assert given_.cell is not None
    far = min(given_.cell)
    steps = np.array(list(itertools.product((-1, 0, 1), repeat=2))) * given_.cell
    away = np.hypot(*(given_.place[:, None, None] - given_.place[:, None] + steps).transpose(3, 0, 1, 2))
    away[(inks[:, None] != inks) | np.eye(len(inks), dtype=bool)] = far
    return min(far, float(away.min()))


def ratio(given_: Problem, inks: Ints) -> float:
    assert given_.cell is not None
    return lump_ratio(Nodes(given_.area, given_.place, given_.cell, True), inks, given_.target)


def contacts(given_: Problem, inks: Ints) -> int:
    return int((inks[given_.a] == inks[given_.b]).sum())


@pytest.mark.parametrize(("kind", "inks", "across", "down"), FITTING)
def test_a_lattice_is_inked_as_well_as_published(kind: str, inks: int, across: int, down: int) -> None:
    given_, at = lattice(kind, across, down, inks)
    wanted = published_plan(kind, inks, at)
    assert (np.bincount(wanted) == across * down // inks).all()
    best = math.sqrt(REFERENCES[kind][str(inks)]["d2"])
    assert least_distance(given_, wanted) == pytest.approx(best), "the published plan as published"
    found = spread(given_).inks
    assert (np.bincount(found, minlength=inks) == across * down // inks).all()
    assert least_distance(given_, found) >= 0.95 * best
    assert ratio(given_, found) <= ratio(given_, wanted) + 0.001
    assert contacts(given_, found) <= contacts(given_, wanted)


@settings(max_examples=30)
@given(
    st.sampled_from(["square", "triangular"]),
    st.integers(2, 5),
    st.integers(2, 7),
    st.integers(2, 4),
    st.integers(0, 99),
)
def test_a_plan_of_a_lattice_moves_onto_itself(
    kind: str, inks: int, across: int, rows: int, seed: int
) -> None:
    """Every step from a node to one of its ink leads from every node to one of the same ink."""
    given_, _ = lattice(kind, across, 2 * rows, inks)
    assert given_.cell is not None
    rng = np.random.default_rng(seed)
    cell = np.array(given_.cell)
    moved = replace(given_, place=np.mod(given_.place + rng.random(2) * cell, cell) * 7, cell=tuple(cell * 7))
    energy = Energy(moved)
    plan = lattice_plan(energy)
    if plan is None:
        assert (across * 2 * rows) % inks, (
            "as many nodes of each ink could be had by a sublattice of rows or columns"
        )
        return
    own = energy.nodes(plan.inks)
    assert (np.bincount(own, minlength=inks) == given_.count // inks).all()
    assert plan.perfect == (contacts(moved, own) == 0)
    offset = np.mod(given_.place[own == own[0]] - given_.place[0] + 0.01, cell) - 0.01
    for node in rng.integers(0, given_.count, 4).tolist():
        for step in offset:
            away = given_.place - given_.place[node] - step
            away -= cell * np.round(away / cell)
            assert own[int(np.hypot(*away.T).argmin())] == own[node]


def test_places_that_lie_at_random_are_no_lattice() -> None:
    for count in (20, 60, 200):
        assert lattice_plan(Energy(bare("tossed", count, 4, 5000, equal=True))) is None


def test_a_lattice_is_none_on_a_sheet_or_where_an_ink_is_barred() -> None:
    given_, _ = lattice("square", 8, 8, 4)
    assert lattice_plan(Energy(given_)) is not None
    assert lattice_plan(Energy(replace(given_, cell=None))) is None
    allowed = given_.allowed.copy()
    allowed[5, 2] = False
    assert lattice_plan(Energy(replace(given_, allowed=allowed))) is None
    tied = np.arange(64)
    tied[9] = 0
    assert lattice_plan(Energy(replace(given_, tied=tied))) is None


def test_an_ink_that_no_node_may_take_is_left_out() -> None:
    given_, _ = lattice("square", 8, 8, 5)
    allowed = given_.allowed.copy()
    allowed[:, 1] = False
    plan = lattice_plan(Energy(replace(given_, allowed=allowed)))
    assert plan is not None
    assert sorted(set(plan.inks.tolist())) == [0, 2, 3, 4]


@pytest.mark.parametrize(
    ("steps", "inks", "sides"),
    [
        ([(1, 0), (0, 1)], 2, (6, 6)),
        ([(1, 0), (0, 1)], 2, (12, 8)),
        ([(1, 0), (0, 1), (1, 1), (1, -1)], 4, (6, 6)),
        ([(1, 0), (0, 1), (1, 1), (1, -1)], 4, (12, 8)),
    ],
)
def test_checks_and_kings_are_inked_without_contact_and_without_a_lump(
    steps: list[tuple[int, int]], inks: int, sides: tuple[int, int]
) -> None:
    """Square lattices need 2 inks and the king's 4 where both sides are even (textbook)."""
    across, down = sides
    given_, _ = lattice("square", across, down, inks)
    pairs = {
        tuple(sorted((y * across + x, (y + j) % down * across + (x + i) % across)))
        for x, y in itertools.product(range(across), range(down))
        for i, j in steps
    }
    a, b = np.array(sorted(pairs)).T
    found = spread(replace(given_, a=a, b=b, border=np.ones(len(a))))
    assert found.contact == 0
    assert ratio(given_, found.inks) <= 0.01
