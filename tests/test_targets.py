"""Target shares as the design page words them, and the most that an ink can hold."""

import itertools

import numpy as np
import pytest
from builders import problem
from hypothesis import given, settings
from hypothesis import strategies as st

from mockup.colouring import ceiling as ceilings
from mockup.colouring.ceiling import ceiling, crowds, nearest
from mockup.colouring.problem import Problem
from mockup.colouring.targets import Targets, reachable, targets

ROLES = ("light", "dominant", "dark", "accent", "accent")


def asked(
    balance: str,
    *,
    ground: int | None = None,
    enclosed: float = 0.3,
    given_: tuple[float | None, ...] = (None,) * 5,
    roles: tuple[str, ...] = ROLES,
    nodes: int = 100,
) -> Targets:
    """Ask for targets on many nodes that face nobody, a share of which touches no ground."""
    touching = np.arange(nodes) >= round(enclosed * nodes)
    allowed = np.ones((nodes, len(roles)), dtype=bool)
    if ground is not None:
        allowed[touching, ground] = False
    none = np.zeros(0, dtype=np.int64)
    return targets(balance, roles, given_, ground, np.ones(nodes), allowed, touching, (none, none))


def test_even_on_bare_paper_is_one_part_each() -> None:
    assert asked("even").wanted == pytest.approx([0.2] * 5)


@pytest.mark.parametrize(("enclosed", "own"), [(0.5, 0.2), (0.2, 0.2), (0.08, 0.08), (0.0, 0.0)])
def test_even_gives_the_ground_s_ink_no_more_than_touches_no_ground(enclosed: float, own: float) -> None:
    found = asked("even", ground=0, enclosed=enclosed)
    assert found.wanted == pytest.approx([own] + [(1 - own) / 4] * 4)
    assert found.reachable == pytest.approx(found.wanted)
    assert found.missed == []


def test_led_follows_the_dominant() -> None:
    raw = np.array([0.2, 0.34, 0.17, 0.2, 0.16])
    assert asked("led").wanted == pytest.approx(raw / raw.sum())


def test_led_keeps_the_ground_s_ink_as_in_even() -> None:
    found = asked("led", ground=0, enclosed=0.12)
    raw = np.array([1.7, 0.85, 1.0, 0.8]) * 0.22
    assert found.wanted == pytest.approx([0.12, *(raw / raw.sum() * 0.88)])


def test_led_s_dark_is_half_of_what_the_dominant_can_reach() -> None:
    # a ring of triangles: no ink can hold more than a third
    own = problem(
        9, [(a, b) for c in range(3) for a, b in itertools.combinations(range(3 * c, 3 * c + 3), 2)], 5
    )
    found = targets(
        "led", ROLES, (None,) * 5, None, own.area, own.allowed, np.ones(9, dtype=bool), (own.a, own.b)
    )
    raw = np.array([0.2, 1 / 3, 1 / 6, 0.2, 0.16])
    assert found.wanted == pytest.approx(raw / raw.sum(), abs=1e-3)


def test_own_shares_are_kept_and_the_rest_is_shared() -> None:
    found = asked("own", given_=(None, 0.4, 0.3, None, None))
    assert found.wanted == pytest.approx([0.1, 0.4, 0.3, 0.1, 0.1])


@settings(max_examples=50)
@given(
    st.sampled_from(["even", "led", "own"]),
    st.sampled_from([None, 0, 1, 2, 3]),
    st.floats(0, 1),
    st.lists(st.one_of(st.none(), st.floats(0, 0.25)), min_size=5, max_size=5),
)
def test_targets_add_up_to_one(
    balance: str, ground: int | None, enclosed: float, given_: list[float | None]
) -> None:
    found = asked(balance, ground=ground, enclosed=enclosed, given_=tuple(given_))
    for shares in (found.wanted, found.reachable):
        assert shares.sum() == pytest.approx(1)
        assert shares.min() >= -1e-9


def test_what_barred_inks_cannot_hold_goes_to_the_others_and_is_told() -> None:
    own = problem(
        4, [], 2, area=[6, 2, 1, 1], allowed=[[False, True], [True, True], [True, True], [True, True]]
    )
    found = targets(
        "even",
        ("dominant", "dark"),
        (None, None),
        None,
        own.area,
        own.allowed,
        np.ones(4, bool),
        (own.a, own.b),
    )
    assert found.wanted == pytest.approx([0.5, 0.5])
    assert found.reachable == pytest.approx([0.4, 0.6])
    assert found.missed == [0, 1]


def heaviest(own: Problem, ink: int) -> float:
    """Largest share of the ink without contact, by trying every set."""
    pairs = set(zip(own.a.tolist(), own.b.tolist(), strict=True))
    nodes = np.flatnonzero(own.allowed[:, ink]).tolist()
    best = 0.0
    for size in range(len(nodes) + 1):
        for group in itertools.combinations(nodes, size):
            if not any(pair in pairs for pair in itertools.combinations(group, 2)):
                best = max(best, float(own.area[list(group)].sum()))
    return best / float(own.area.sum())


@st.composite
def small(draw: st.DrawFn) -> Problem:
    count, inks = draw(st.integers(2, 8)), draw(st.integers(2, 4))
    every = list(itertools.combinations(range(count), 2))
    pairs = draw(st.lists(st.sampled_from(every), unique=True))
    row = st.lists(st.booleans(), min_size=inks, max_size=inks).filter(any)
    allowed = draw(st.lists(row, min_size=count, max_size=count))
    area = draw(st.lists(st.floats(0.2, 5), min_size=count, max_size=count))
    return problem(count, pairs, inks, area=area, allowed=allowed)


@settings(max_examples=60)
@given(small())
def test_the_ceiling_is_the_heaviest_set_without_contact(own: Problem) -> None:
    for ink in range(own.inks):
        found = ceiling(own.area, own.allowed[:, ink], own.a, own.b)
        assert found == pytest.approx(heaviest(own, ink), abs=0.003)


def test_the_ceiling_is_not_worked_out_for_too_many_nodes(monkeypatch: pytest.MonkeyPatch) -> None:
    own = problem(4, [(0, 1), (1, 2), (2, 3)], 2)
    assert ceiling(own.area, own.allowed[:, 0], own.a, own.b) == pytest.approx(0.5)
    monkeypatch.setattr(ceilings, "MOST_NODES", 3)
    assert ceiling(own.area, own.allowed[:, 0], own.a, own.b) == 1.0


@settings(max_examples=40)
@given(small())
def test_no_plan_without_contact_is_nearer_than_what_is_called_reachable(own: Problem) -> None:
    choices = [np.flatnonzero(row).tolist() for row in own.allowed]
    wanted = np.full(own.inks, 1 / own.inks)
    if np.prod([len(choice) for choice in choices]) > 3000:
        return
    plans = [np.array(inks) for inks in itertools.product(*choices)]
    good = [inks for inks in plans if own.contact(inks) == 0]
    found = reachable(wanted, own.area, own.allowed, (own.a, own.b))
    assert found.sum() == pytest.approx(1)
    if good and len(own.a):
        least = np.abs(found - wanted).max()
        assert all(np.abs(own.shares(inks) - wanted).max() >= least - 0.005 for inks in good)


def test_an_ink_that_is_forced_above_its_share_takes_no_part_of_what_others_cannot_hold() -> None:
    # two inks can hold nothing; a third must hold half: the fourth, which lacks as much, takes what it can
    allowed = np.array([[0, 0, 0, 1], [0, 0, 1, 0], [0, 0, 1, 1]], dtype=bool)
    pairs = (np.array([0]), np.array([1]))
    found = reachable(np.full(4, 0.25), np.array([1.0, 2.0, 1.0]), allowed, pairs)
    assert found == pytest.approx([0, 0, 0.5, 0.5])


def test_shares_that_can_be_held_together_stay_as_they_are() -> None:
    ring = problem(6, [(n, (n + 1) % 6) for n in range(6)], 3)
    bounds = (np.zeros(3), np.ones(3))
    wanted = np.array([0.5, 0.3, 0.2])
    found = nearest(wanted, bounds, ring.area, ring.allowed, ring.a, ring.b)
    assert found is not None
    assert found == pytest.approx(wanted)


def test_inks_together_can_hold_less_than_each_alone() -> None:
    # three nodes that all face each other, the third of which may not take the first two inks
    own = problem(
        3, [(0, 1), (0, 2), (1, 2)], 3, allowed=[[True, True, True], [True, True, True], [False, False, True]]
    )
    found = nearest(np.array([0.5, 0.1, 0.4]), (np.zeros(3), np.ones(3)), own.area, own.allowed, own.a, own.b)
    assert found is not None
    assert found == pytest.approx([1 / 3, 1 / 3, 1 / 3])


def test_where_no_plan_is_without_contact_nothing_is_called_nearest() -> None:
    own = problem(3, [(0, 1), (0, 2), (1, 2)], 2)
    bounds = (np.zeros(2), np.ones(2))
    assert nearest(np.array([0.5, 0.5]), bounds, own.area, own.allowed, own.a, own.b) is None
    assert reachable(np.array([0.5, 0.5]), own.area, own.allowed, (own.a, own.b)) == pytest.approx([0.5, 0.5])


def test_crowds_are_the_largest_groups() -> None:
    own = problem(5, [(0, 1), (0, 2), (1, 2), (2, 3)], 2)
    groups = {tuple(np.flatnonzero(row).tolist()) for row in crowds(5, own.a, own.b).toarray()}
    assert groups == {(0, 1, 2), (2, 3)}
