"""Tied nodes: drawn together into one node a group they are exact, and what she fixed holds for all of them."""

import itertools
from collections.abc import Iterable
from dataclasses import replace

import numpy as np
import pytest
from builders import problem
from hypothesis import given, settings
from hypothesis import strategies as st

from mockup.colouring.ceiling import ceiling
from mockup.colouring.exact import crowd, fewest_inks, proper
from mockup.colouring.pins import Named, Rules, rules
from mockup.colouring.problem import Pairs, Problem
from mockup.colouring.targets import Targets, targets
from mockup.colouring.tiedpins import as_first, held_by_all, spread_out
from mockup.colouring.ties import contracted, firsts_of, groups_of, joined
from mockup.errors import DesignError

INKS = ("oat", "clay", "night")


@st.composite
def tied_problems(draw: st.DrawFn) -> Problem:
    """Up to seven nodes, some of them tied, of which each group may take an ink in common."""
    count, inks = draw(st.integers(1, 7)), draw(st.integers(1, 3))
    every = list(itertools.combinations(range(count), 2))
    pairs = draw(st.lists(st.sampled_from(every), unique=True)) if every else []
    tied = np.array(draw(st.lists(st.integers(-3, 3), min_size=count, max_size=count)))
    row = st.lists(st.booleans(), min_size=inks, max_size=inks)
    allowed = np.array(draw(st.lists(row, min_size=count, max_size=count)))
    common = draw(st.integers(0, inks - 1))
    allowed[:, common] |= draw(st.booleans()) or ~allowed.any(axis=1)
    for tie in np.unique(tied):
        if not allowed[tied == tie].all(axis=0).any():
            allowed[tied == tie, common] = True
    area = draw(st.lists(st.floats(0.5, 3), min_size=count, max_size=count))
    made = problem(count, pairs, inks, allowed=allowed.tolist(), area=area)
    soft = draw(st.lists(st.sampled_from(every), unique=True)) if every else []
    a, b = np.array(sorted(set(soft) - set(pairs)), dtype=np.int64).reshape(-1, 2).T
    return replace(
        made,
        border=np.arange(1.0, len(made.a) + 1),
        doubtful=Pairs(a, b, np.ones(len(a))),
        leaning=np.arange(count * inks, dtype=float).reshape(count, inks),
        tied=tied,
    )


def kept(tied: np.ndarray, inks: np.ndarray) -> bool:
    return all(len(set(inks[tied == tie].tolist())) == 1 for tie in np.unique(tied))


def every_plan(made: Problem) -> Iterable[np.ndarray]:
    """All plans that keep the ties and what each node may take, by trying everything."""
    choices = [np.flatnonzero(row).tolist() for row in made.allowed]
    assert made.tied is not None
    return [inks for inks in map(np.array, itertools.product(*choices)) if kept(made.tied, inks)]


@settings(max_examples=100)
@given(tied_problems())
def test_a_plan_of_the_groups_is_a_plan_of_the_nodes_that_keeps_the_ties(made: Problem) -> None:
    drawn = contracted(made)
    plans = every_plan(made)
    choices = [np.flatnonzero(row).tolist() for row in drawn.problem.allowed]
    spread_over = [np.array(inks)[drawn.group] for inks in itertools.product(*choices)]
    assert {tuple(inks) for inks in spread_over} == {tuple(inks.tolist()) for inks in plans}
    forced = float(drawn.within.border.sum())
    first = firsts_of(drawn.group)
    soft = made.doubtful
    known = set(zip(drawn.problem.a.tolist(), drawn.problem.b.tolist(), strict=True))
    for inks in plans:
        own = inks[first]
        assert made.contact(inks) == pytest.approx(drawn.problem.contact(own) + forced)
        assert made.shares(inks) == pytest.approx(drawn.problem.shares(own))
        assert made.leaning is not None
        assert drawn.problem.leaning is not None
        leaning = made.leaning[np.arange(made.count), inks].sum()
        assert leaning == pytest.approx(drawn.problem.leaning[np.arange(len(own)), own].sum())
    ends = {tuple(sorted(pair)) for pair in zip(drawn.group[soft.a], drawn.group[soft.b], strict=True)}
    apart = {(int(one), int(other)) for one, other in ends if one != other}
    found = drawn.problem.doubtful
    assert set(zip(found.a.tolist(), found.b.tolist(), strict=True)) == apart - known


def test_a_problem_without_ties_is_left_as_it_is() -> None:
    made = problem(3, [(0, 1)], 2)
    assert contracted(made).problem is made
    assert contracted(made).group.tolist() == [0, 1, 2]
    assert len(contracted(made).within.a) == 0


def test_a_group_lies_where_its_first_largest_node_does() -> None:
    made = replace(problem(4, [], 2, area=[1, 5, 5, 2]), tied=np.array([9, 9, 9, 1]))
    assert contracted(made).problem.place.tolist() == [made.place[1].tolist(), made.place[3].tolist()]


def test_tied_nodes_without_an_ink_in_common_are_no_problem_to_be_solved() -> None:
    made = problem(2, [], 2, allowed=[[True, False], [False, True]])
    with pytest.raises(ValueError, match="may take no ink"):
        contracted(replace(made, tied=np.zeros(2, dtype=np.int64)))


@settings(max_examples=100)
@given(tied_problems())
def test_exact_answers_keep_the_ties(made: Problem) -> None:
    within = contracted(made).within
    free = [inks for inks in every_plan(made) if made.contact(inks) <= within.border.sum()]
    answer = proper(made)
    assert answer.sure
    assert (answer.inks is not None) == bool(free)
    if answer.inks is not None:
        assert made.tied is not None
        assert kept(made.tied, answer.inks)
        assert made.contact(answer.inks) == pytest.approx(within.border.sum())
        assert made.allowed[np.arange(made.count), answer.inks].all()


@settings(max_examples=60)
@given(tied_problems())
def test_a_crowd_holds_one_node_a_group_and_the_groups_all_face_each_other(made: Problem) -> None:
    drawn = contracted(made)
    group = crowd(made)
    pairs = set(zip(drawn.problem.a.tolist(), drawn.problem.b.tolist(), strict=True))
    numbers = sorted(drawn.group[group].tolist())
    assert len(set(numbers)) == len(group)
    assert all(pair in pairs for pair in itertools.combinations(numbers, 2))


def test_ties_can_take_more_inks() -> None:
    # a ring of six takes two inks; with opposite nodes tied the three groups all face each other
    ring = problem(6, [(n, (n + 1) % 6) for n in range(6)], 2)
    assert fewest_inks(ring) == 2
    tied = replace(ring, tied=np.array([0, 1, 2, 0, 1, 2]), alike=np.eye(2), leaning=np.zeros((6, 2)))
    assert proper(tied).inks is None
    assert crowd(tied) == [0, 1, 2]
    assert fewest_inks(tied) == 3


@settings(max_examples=60)
@given(st.lists(st.tuples(st.integers(0, 3), st.integers(0, 3)), min_size=1, max_size=8))
def test_what_either_of_two_ties_ties_is_tied(both: list[tuple[int, int]]) -> None:
    one, other = np.array(both).T
    found = joined(one, other)
    expected = np.arange(len(both))
    for _ in both:
        for a, b in itertools.combinations(range(len(both)), 2):
            if one[a] == one[b] or other[a] == other[b]:
                low = min(expected[a], expected[b])
                expected[[a, b]] = low
    assert found.tolist() == groups_of(expected).tolist()
    assert groups_of(found).tolist() == found.tolist()


def test_all_take_what_the_first_of_them_has() -> None:
    assert as_first(np.array([4, 5, 6, 7]), np.array([1, 0, 1, 0])).tolist() == [4, 5, 4, 5]


def reached(made: Problem, wanted: list[float]) -> Targets:
    count, inks = made.allowed.shape
    return targets(
        "own", [""] * inks, wanted, None, made.area, made.allowed, np.zeros(count, dtype=bool),
        (made.a, made.b), made.tied,
    )  # fmt: skip


def test_an_ink_reaches_no_more_than_groups_that_do_not_face_each_other_hold() -> None:
    # a ring of six equal nodes: every other one is half of it; with opposite ones tied, a third
    ring = problem(6, [(n, (n + 1) % 6) for n in range(6)], 3)
    assert reached(ring, [0.5, 0.25, 0.25]).reachable == pytest.approx([0.5, 0.25, 0.25], abs=2e-3)
    tied = replace(ring, tied=np.array([0, 1, 2, 0, 1, 2]))
    found = reached(tied, [0.5, 0.25, 0.25])
    assert found.wanted == pytest.approx([0.5, 0.25, 0.25])
    assert found.reachable == pytest.approx([1 / 3] * 3, abs=2e-3)


@settings(max_examples=40)
@given(tied_problems(), st.integers(0, 2))
def test_the_ceiling_of_the_groups_is_the_most_that_any_plan_gives_an_ink(made: Problem, ink: int) -> None:
    ink = min(ink, made.inks - 1)
    drawn = contracted(made).problem
    most = 0.0
    for chosen in itertools.product((False, True), repeat=drawn.count):
        own = np.array(chosen)
        if not (own & ~drawn.allowed[:, ink]).any() and not (own[drawn.a] & own[drawn.b]).any():
            most = max(most, float(drawn.area[own].sum() / drawn.area.sum()))
    assert ceiling(drawn.area, drawn.allowed[:, ink], drawn.a, drawn.b) == pytest.approx(most, abs=3e-3)


def named(count: int) -> Named:
    labels = [f"fig-{n + 1}/body" for n in range(count)]
    return Named(labels, labels, [f"part{n}" for n in range(count)])


def held(
    tied: list[int],
    only: dict[str, list[int]] | None = None,
    fixed: dict[int, int] | None = None,
    ground: int | None = None,
    on_ground: list[bool] | None = None,
) -> Rules:
    """Rules of tied nodes, each a part of its own name."""
    own, rows = named(len(tied)), np.array(tied)
    lies = np.array(on_ground or [False] * len(tied))
    spread = spread_out(fixed or {}, rows, own, INKS, lies, ground)
    return held_by_all(rules(own, INKS, lies, ground, only or {}, spread), rows, own)


def test_what_one_is_fixed_to_all_are_fixed_to() -> None:
    found = held([0, 1, 0], fixed={2: 1})
    assert found.allowed.tolist() == [[False, True, False], [True, True, True], [False, True, False]]
    assert found.pinned.tolist() == [True, False, True]


def test_fixed_goes_before_only_for_all_that_is_tied() -> None:
    assert held([0, 0], only={"part1": [0, 2]}, fixed={0: 1}).pinned.tolist() == [True, True]


def test_all_may_take_what_each_may() -> None:
    found = held([0, 0, 1], only={"part0": [0, 1], "part1": [1, 2]})
    assert found.allowed.tolist() == [[False, True, False], [False, True, False], [True, True, True]]
    assert found.pinned.tolist() == [True, True, False]
    assert found.asked.tolist() == [True, True, False]


def test_one_on_the_ground_keeps_all_from_its_ink_and_pins_none() -> None:
    found = held([0, 0, 1], ground=0, on_ground=[True, False, False])
    assert found.allowed.tolist() == [[False, True, True], [False, True, True], [True, True, True]]
    assert not found.pinned.any()


REFUSED = [
    (
        {"tied": [0, 0], "fixed": {0: 1, 1: 2}},
        "[colouring] fixed: fig-1/body is fixed to 'clay' and fig-2/body to 'night', but the two are tied and take "
        "one ink; fix both to one ink, or one of them only",
    ),
    (
        {"tied": [0, 1, 0], "only": {"part0": [0], "part2": [1, 2]}},
        "[colouring] only: fig-1/body and fig-3/body are tied and take one ink, and no ink is left to both; let them "
        "take one and the same ink",
    ),
    (
        {"tied": [0, 0, 0], "only": {"part0": [0, 1], "part1": [1, 2], "part2": [0, 2]}},
        "[colouring] only: fig-1/body, fig-2/body and fig-3/body are tied and take one ink, and no ink is left to all; "
        "let them take one and the same ink",
    ),
    (
        {"tied": [0, 0], "fixed": {0: 0}, "ground": 0, "on_ground": [False, True]},
        "[colouring] fixed: fig-1/body is fixed to the ground's ink 'oat', and fig-2/body, which lies on the ground, "
        "may not take that, but the two are tied and take one ink; give it another ink, or choose another ground",
    ),
]


@pytest.mark.parametrize(
    ("case", "line"), REFUSED, ids=lambda value: "" if isinstance(value, str) else str(value)
)
def test_wishes_that_tied_nodes_cannot_share_are_refused(case: dict[str, object], line: str) -> None:
    with pytest.raises(DesignError) as refused:
        held(**case)  # type: ignore[arg-type]
    assert str(refused.value) == line
