"""The energy against its own formula summed pair by pair and copy by copy; its kernel and its tables."""

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
from builders import problem
from hypothesis import given, settings
from hypothesis import strategies as st
from problems import SETTINGS, keep_sparse, random_problem, renumbered, rich_problem

from mockup.colouring.couplings import Couplings
from mockup.colouring.crowding import REACH, kernel, matrix, wendland
from mockup.colouring.energy import BARRED, CONTACT, CONTRAST, DOUBT, SHARE, Energy
from mockup.colouring.order import canonical
from mockup.colouring.problem import Floats, Ints, Problem

CELLS = [(4.0, 4.0), (9.0, 2.0), (1.0, 30.0), (40.0, 40.0), (100.0, 60.0)]


def random_inks(energy: Energy, rng: np.random.Generator) -> Ints:
    """Draw an ink that it may take for every group."""
    return np.array([rng.choice(np.flatnonzero(row)) for row in energy.allowed])


def summed_kernel(place: Floats, cell: tuple[float, float]) -> Floats:
    """Kernel (n, n) with every copy within reach, and with each node itself."""
    n = len(place)
    reach = REACH * math.sqrt(cell[0] * cell[1] / n)
    far = [range(-math.ceil(reach / side) - 1, math.ceil(reach / side) + 2) for side in cell]
    found = np.zeros((n, n))
    for one, other in itertools.product(range(n), repeat=2):
        for right, down in itertools.product(*far):
            away = place[one] - place[other] + (right * cell[0], down * cell[1])
            near = math.hypot(*away) / reach
            found[one, other] += max(0.0, 1 - near) ** 4 * (4 * near + 1)
    return found


def stated(given_: Problem, inks: Ints) -> float:
    """Energy of a plan without ties on a repeat, term by term as it is stated."""
    area = given_.area / given_.area.mean()
    assert given_.cell is not None
    near = summed_kernel(given_.place, given_.cell)
    hard = dict(
        zip(zip(given_.a.tolist(), given_.b.tolist(), strict=True), given_.border.tolist(), strict=True)
    )
    soft: dict[tuple[int, int], float] = {}
    for a, b, border in zip(*given_.doubtful, strict=True):
        pair = (int(a), int(b))
        (hard if pair in hard else soft)[pair] = (hard if pair in hard else soft).get(pair, 0.0) + float(
            border
        )
    mean = sum(hard.values()) / len(hard)
    total = sum(DOUBT for a, b in soft if inks[a] == inks[b])
    total += sum(CONTACT * (1 + min(own / mean, 4) / 4) for (a, b), own in hard.items() if inks[a] == inks[b])
    for one, other in itertools.combinations(range(given_.count), 2):
        total += area[one] * area[other] * near[one, other] * float(inks[one] == inks[other])
    total -= float((area * (near @ area) * given_.target[inks]).sum())
    off = np.bincount(inks, area, given_.inks) - given_.target * area.sum()
    total += SHARE / 2 * float((off**2).sum())
    if given_.alike is not None:
        for (a, b), own in (hard | soft).items():
            total += CONTRAST * own / mean * given_.alike[inks[a], inks[b]] * float(inks[a] != inks[b])
    if given_.leaning is not None:
        total += float(given_.leaning[np.arange(given_.count), inks].sum())
    return float(total)


@settings(max_examples=40)
@given(st.integers(0, 10_000), st.integers(3, 9), st.integers(1, 4))
def test_the_energy_is_what_is_stated(seed: int, count: int, inks: int) -> None:
    given_ = replace(rich_problem(seed, count, inks), tied=None)
    energy = Energy(given_)
    own = random_inks(energy, np.random.default_rng(seed))
    assert energy.total(own) == pytest.approx(stated(given_, energy.nodes(own)), rel=1e-9, abs=1e-9)


@settings(max_examples=40)
@given(st.integers(0, 10_000), st.integers(6, 9))
def test_tied_nodes_pay_what_each_of_them_pays(seed: int, count: int) -> None:
    """Borders are added up and crowding within a group is left out, so that plain pairs alone are compared."""
    rich = rich_problem(seed, count, 3)
    given_ = replace(rich, a=rich.a[:0], b=rich.b[:0], border=rich.border[:0], alike=None)
    given_ = replace(given_, doubtful=type(rich.doubtful)(rich.a[:0], rich.b[:0], rich.border[:0]))
    tied, free = Energy(given_), Energy(replace(given_, tied=None))
    rng = np.random.default_rng(seed)
    one, other = random_inks(tied, rng), random_inks(tied, rng)
    nodes = [free.groups(tied.nodes(own)) for own in (one, other)]
    assert tied.total(one) - tied.total(other) == pytest.approx(free.total(nodes[0]) - free.total(nodes[1]))


@pytest.mark.parametrize("setting", SETTINGS)
@pytest.mark.parametrize("sparse", [False, True])
def test_fields_are_the_differences_of_the_energy(
    setting: str, sparse: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    if sparse:
        keep_sparse(monkeypatch)
    for seed in range(8):
        energy, rng = Energy(rich_problem(seed, 30, 4, setting)), np.random.default_rng(seed)
        inks = random_inks(energy, rng)
        fields, before = energy.fields(inks), energy.total(inks)
        for node, ink in np.argwhere(energy.allowed).tolist():
            other = inks.copy()
            other[node] = ink
            off, more = energy.amounts(inks) - energy.wanted, energy.amounts(other) - energy.wanted
            wanted = (
                fields[node, ink] - fields[node, inks[node]] + SHARE / 2 * float((more**2 - off**2).sum())
            )
            assert energy.total(other) - before == pytest.approx(wanted, abs=1e-7)


def test_a_barred_ink_costs_more_than_any_contact() -> None:
    given_ = random_problem(4, 30, 4, dense=1.0)
    energy = Energy(given_)
    assert (energy.linear[~energy.allowed] == BARRED).all()
    assert energy.price.sum() + np.abs(energy.linear[energy.allowed]).sum() < BARRED


@settings(max_examples=30)
@given(st.integers(0, 10_000), st.integers(2, 40), st.sampled_from(SETTINGS))
def test_a_contact_costs_no_more_than_two_others_and_is_counted(seed: int, count: int, setting: str) -> None:
    rich = rich_problem(seed, count, 4, setting)
    energy = Energy(replace(rich, target=np.full(4, 0.25), alike=None))
    rng = np.random.default_rng(seed)
    counted = [random_inks(energy, rng) for _ in range(20)]
    assert (energy.price[~energy.doubt] >= CONTACT).all()
    assert (energy.price[~energy.doubt] <= 2 * CONTACT).all()
    for inks in counted:
        same = (inks[energy.a] == inks[energy.b]) & ~energy.doubt
        number, length = energy.contacts(inks)
        assert number == same.sum()
        assert length == pytest.approx(energy.border[same].sum())


@settings(max_examples=40)
@given(st.integers(0, 10_000), st.integers(1, 40), st.sampled_from(SETTINGS))
def test_the_energy_does_not_hang_on_the_numbers_of_the_nodes(seed: int, count: int, setting: str) -> None:
    given_, rng = rich_problem(seed, count, 3, setting), np.random.default_rng(seed)
    order = rng.permutation(count)
    one, other = Energy(given_), Energy(renumbered(given_, order, rng))
    inks = random_inks(one, rng)
    again = other.groups(one.nodes(inks)[order])
    assert other.total(again) == pytest.approx(one.total(inks), rel=1e-9)
    if setting != "nowhere":
        assert np.array_equal(canonical(given_), order[canonical(renumbered(given_, order, rng))])


def test_nodes_alike_in_place_and_area_are_told_apart_by_whom_they_face() -> None:
    rng = np.random.default_rng(2)
    pairs = [(0, 1), (1, 2), (2, 3), (3, 4), (4, 5), (1, 3), (5, 6)]
    given_ = replace(problem(7, pairs, 3), place=np.zeros((7, 2)))
    for _ in range(20):
        order = rng.permutation(7)
        assert np.array_equal(canonical(given_), order[canonical(renumbered(given_, order, rng))])


def test_the_kernel_is_one_at_nothing_and_ends_softly() -> None:
    steps = np.linspace(0, 1.2, 200)
    value = wendland(steps)
    assert value[0] == 1
    assert (np.diff(value) <= 0).all()
    assert (value[steps >= 1] == 0).all()
    assert float(wendland(np.array([0.999]))[0]) < 1e-10


@pytest.mark.parametrize("cell", CELLS)
@pytest.mark.parametrize("count", [1, 2, 3, 17, 160])
def test_the_kernel_is_the_sum_over_all_copies(cell: tuple[float, float], count: int) -> None:
    place = (np.random.default_rng(count).random((count, 2)) * 3 - 1) * cell
    found = kernel(place, cell, np.ones(count))
    table = matrix(found, count).toarray() + np.diag(found.own)
    if count < 100:
        assert table == pytest.approx(summed_kernel(np.mod(place, cell), cell), abs=1e-9)
    assert table == pytest.approx(table.T, abs=1e-12)
    assert np.linalg.eigvalsh(table).min() > -1e-9, "a blur has no negative waves"


@pytest.mark.parametrize("cell", [(13.0, 13.0), (13.0, 14.5)])
def test_on_a_wide_repeat_the_nearest_copy_is_all(cell: tuple[float, float]) -> None:
    count = round(cell[0] * cell[1])
    place = np.random.default_rng(1).random((count, 2)) * cell
    found = kernel(place, cell, np.ones(count))
    assert found.law is not None
    few = np.random.default_rng(2).integers(0, count, (60, 2))
    spacing = math.sqrt(cell[0] * cell[1] / count)
    table = matrix(found, count)
    for one, other in few.tolist():
        steps = itertools.product((-1, 0, 1), repeat=2)
        away = [math.dist(place[one], place[other] + np.array(step) * cell) for step in steps]
        wanted = float(wendland(np.array(away) / (REACH * spacing)).sum())
        own = float(found.law(np.array([one]), np.array([other]))[0])
        assert own == pytest.approx(wanted, abs=1e-12)
        assert one == other or table[one, other] == pytest.approx(wanted, abs=1e-12)


def test_on_a_sheet_the_edge_counts_about_as_much_as_the_middle() -> None:
    rng = np.random.default_rng(3)
    place = np.argwhere(np.ones((14, 10))) + rng.uniform(-0.2, 0.2, (140, 2))
    found = kernel(place, None, np.ones(140))
    summed = np.bincount(found.i, found.value, 140) + found.own
    assert found.law is not None
    plain = wendland(np.hypot(*(place[:, None] - place).transpose(2, 0, 1)) / found.law.reach).sum(axis=1)
    assert np.ptp(plain) > 0.6 * plain.max()
    assert np.ptp(summed) < 0.35 * summed.max()
    assert found.law.reach == pytest.approx(REACH, rel=0.05), "places lie one apart"


@pytest.mark.parametrize("wobble", [0.0, 0.01, 0.3])
def test_a_single_row_of_nodes_crowds_as_well(wobble: float) -> None:
    rng = np.random.default_rng(4)
    place = np.column_stack((np.arange(30.0), rng.uniform(0, 1, 30) * wobble))
    found = kernel(place, None, np.ones(30))
    assert found.law is not None
    assert found.law.reach == pytest.approx(REACH, rel=0.35)


def test_places_that_are_all_one_do_not_crowd() -> None:
    found = kernel(np.full((5, 2), 3.0), (10.0, 10.0), np.ones(5))
    assert len(found.value) == 0
    assert (found.own == 0).all()


@settings(max_examples=40)
@given(st.integers(0, 10_000), st.integers(1, 30), st.booleans())
def test_a_table_of_couplings_says_the_same_dense_and_sparse(seed: int, count: int, sparse: bool) -> None:
    rng = np.random.default_rng(seed)
    one, other = rng.integers(0, count, (2, 3 * count))
    value = rng.normal(size=3 * count)
    wanted = np.zeros((count, count))
    np.add.at(wanted, (one, other), value)
    np.add.at(wanted, (other, one), value)
    np.fill_diagonal(wanted, 0.0)
    with pytest.MonkeyPatch.context() as patch:
        if sparse:
            keep_sparse(patch)
        table = Couplings(
            count, np.concatenate((one, other)), np.concatenate((other, one)), np.tile(value, 2)
        )
    assert (table.dense is None) == sparse
    some = rng.permutation(count)[: max(1, count // 2)]
    often = rng.integers(0, count, 2 * count)
    few = rng.normal(size=(count, 3))
    assert table.times(few) == pytest.approx(wanted @ few)
    assert table.values(often, often[::-1]) == pytest.approx(wanted[often, often[::-1]])
    assert table.block(often) == pytest.approx(wanted[np.ix_(often, often)])
    assert table.added(some, few[: len(some)]) == pytest.approx(wanted[:, some] @ few[: len(some)])
    row, column, own = table.among(some)
    among = np.zeros((len(some), len(some)))
    among[row, column] = own
    assert among == pytest.approx(wanted[np.ix_(some, some)])


def test_tied_nodes_that_may_take_no_ink_together_are_refused() -> None:
    barred = problem(2, [], 2, allowed=[[True, False], [False, True]])
    with pytest.raises(ValueError, match="tied nodes that may take no ink together"):
        Energy(replace(barred, tied=np.array([1, 1])))
