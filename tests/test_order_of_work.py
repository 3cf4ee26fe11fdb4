"""The order of work as numbers: every node once, outward, all inks in each patch, light before dark."""

import itertools
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mockup.colouring.order_of_work import (
    STARTS,
    Order,
    Work,
    done_at,
    order_of_work,
    patches_done,
    start_point,
)
from mockup.colouring.patches import SLACK, cut, grid, walk

SIZES = st.sampled_from([(210.0, 297.0), (100.0, 100.0), (600.0, 90.0), (60.0, 400.0)])
SHEETS = [((210.0, 297.0), 10.0), ((400.0, 400.0), 9.0), ((500.0, 120.0), 8.0)]


@st.composite
def works(draw: st.DrawFn, least: int = 0) -> Work:
    """Nodes anywhere on a sheet, many in line; the last of the inks is skin."""
    size = draw(SIZES)
    count, inks = draw(st.integers(least, 90)), draw(st.integers(1, 6))
    random = np.random.default_rng(draw(st.integers(0, 10**6)))
    place = random.uniform(0, 1, (count, 2)) * size
    if draw(st.booleans()):
        place = np.round(place / 20) * 20
    ink = random.integers(0, inks, count)
    light = np.round(random.uniform(20, 95, inks), draw(st.sampled_from([-1, 2])))
    skin = (ink == inks - 1) & draw(st.booleans())
    return Work(np.round(random.uniform(1, 80, count)), place, ink, light, skin, size)


def lattice(size: tuple[float, float], step: float, jitter: float = 0.0) -> Work:
    """Give nodes in rows with five inks as even as can be: any five in a row or a column are all of them."""
    x, y = np.meshgrid(np.arange(step / 2, size[0], step), np.arange(step / 2, size[1], step))
    column, row = np.meshgrid(np.arange(x.shape[1]), np.arange(x.shape[0]))
    place = np.column_stack((x.ravel(), y.ravel()))
    place += np.random.default_rng(5).uniform(-jitter, jitter, place.shape)
    ink = ((column + 2 * row) % 5).ravel()
    none = np.zeros(len(ink), dtype=bool)
    return Work(np.full(len(ink), 30.0), place, ink, np.array([91.0, 46, 22, 54, 72]), none, size)


def told(work: Work, nodes: "np.ndarray[tuple[int], np.dtype[np.int64]]") -> list[tuple[float, ...]]:
    """What can be known of nodes without their numbers."""
    return [(*work.place[n], work.area[n], work.ink[n]) for n in nodes]


def blocks(values: list[int]) -> list[int]:
    return [v for k, v in enumerate(values) if not k or values[k - 1] != v]


@given(works(), st.sampled_from(STARTS), st.integers(-1, 5))
def test_every_node_is_inked_once_and_patch_after_patch(work: Work, start: str, held: int) -> None:
    order = order_of_work(work, start, None if held < 0 else held)
    assert sorted(order.nodes.tolist()) == list(range(len(work.ink)))
    rest = [n for n in order.nodes.tolist() if work.ink[n] != held]
    for part in (rest, order.nodes.tolist()[len(rest) :]):
        patches = blocks(order.patch[part].tolist())
        assert patches == sorted(set(patches))
    assert set(order.patch.tolist()) == set(range(order.patches))


@given(works(), st.sampled_from(STARTS))
def test_a_patch_is_inked_ink_by_ink_the_lightest_first(work: Work, start: str) -> None:
    order = order_of_work(work, start)
    for patch in range(order.patches):
        inks = work.ink[[n for n in order.nodes if order.patch[n] == patch]].tolist()
        assert len(blocks(inks)) == len(set(inks))
        light = work.light[inks]
        assert (np.diff(light) <= 1e-6).all()


@given(works(), st.sampled_from(STARTS))
def test_the_shapes_of_one_ink_in_a_patch_are_inked_outward(work: Work, start: str) -> None:
    order = order_of_work(work, start)
    far = np.hypot(*(work.place - start_point(start, work.size)).T)
    for one, other in itertools.pairwise(order.nodes.tolist()):
        if order.patch[one] == order.patch[other] and work.ink[one] == work.ink[other]:
            assert far[one] <= far[other] + 1e-5


@given(works(), st.sampled_from(STARTS), st.integers(0, 5))
def test_a_held_ink_comes_last_and_all_else_keeps_its_order(work: Work, start: str, held: int) -> None:
    plain, order = order_of_work(work, start), order_of_work(work, start, held)
    own = work.ink[plain.nodes] == held
    assert order.nodes.tolist() == [*plain.nodes[~own].tolist(), *plain.nodes[own].tolist()]
    assert (order.patch == plain.patch).all()


@given(works(), st.sampled_from(STARTS), st.integers(0, 5), st.integers(0, 1000))
def test_the_order_does_not_depend_on_how_nodes_are_numbered(
    work: Work, start: str, held: int, seed: int
) -> None:
    mixed = np.random.default_rng(seed).permutation(len(work.ink))
    other = replace(
        work, area=work.area[mixed], place=work.place[mixed], ink=work.ink[mixed], skin=work.skin[mixed]
    )
    found, again = order_of_work(work, start, held), order_of_work(other, start, held)
    assert told(work, found.nodes) == told(other, again.nodes)


@given(works(least=1), st.sampled_from(STARTS))
def test_skin_is_inked_where_it_lies_and_changes_nothing_for_the_others(work: Work, start: str) -> None:
    if work.skin.all():
        return
    keep = np.flatnonzero(~work.skin)
    alone = replace(
        work, area=work.area[keep], place=work.place[keep], ink=work.ink[keep], skin=work.skin[keep]
    )
    order, without = order_of_work(work, start), order_of_work(alone, start)
    assert [n for n in order.nodes if not work.skin[n]] == keep[without.nodes].tolist()


def test_skin_belongs_to_the_patch_round_it() -> None:
    work = lattice((210.0, 297.0), 10.0)
    last = work.ink == 4
    work = replace(work, skin=last)
    order = order_of_work(work)
    for n in np.flatnonzero(last):
        near = np.hypot(*(work.place - work.place[n]).T)
        assert order.patch[n] in order.patch[(near < 15) & ~last]


@pytest.mark.parametrize("start", STARTS)
@pytest.mark.parametrize(("size", "step"), SHEETS)
@pytest.mark.parametrize("jitter", [0.0, 3.0])
def test_patches_of_an_even_plan_hold_every_ink_and_are_alike(
    start: str, size: tuple[float, float], step: float, jitter: float
) -> None:
    work = lattice(size, step, jitter)
    order = order_of_work(work, start)
    assert order.patches > 8
    counts = np.array([np.bincount(work.ink[order.patch == p], minlength=5) for p in range(order.patches)])
    assert counts.min() >= 1
    assert 1.8 <= len(work.ink) / order.patches / 5 <= 3.2
    assert np.ptp(counts.sum(axis=1)) <= 4


@pytest.mark.parametrize("start", STARTS)
@pytest.mark.parametrize(("size", "step"), SHEETS)
def test_patches_are_compact(start: str, size: tuple[float, float], step: float) -> None:
    work = lattice(size, step, 3.0)
    order = order_of_work(work, start)
    chance = np.random.default_rng(1).permutation(order.patch)
    assert _wide(work, order.patch) < 0.3 * _wide(work, chance)


def test_an_ink_of_one_corner_only_does_not_tear_patches_apart() -> None:
    """No patch reaches further for an ink than the slack."""
    work = lattice((210.0, 297.0), 10.0)
    below = work.place[:, 1] > 150
    work = replace(work, ink=np.where((work.ink == 4) & below, 3, work.ink))
    order = order_of_work(work)
    side = np.sqrt(210 * 297 / order.patches)
    for patch in range(order.patches):
        own = work.place[order.patch == patch]
        assert (np.ptp(own, axis=0) < (1.7 + 2 * SLACK) * side).all()
    assert _wide(work, order.patch) < 0.5 * side


def _wide(work: Work, patch: "np.ndarray[tuple[int], np.dtype[np.int64]]") -> float:
    own = [work.place[patch == p] for p in range(patch.max() + 1)]
    return float(np.mean(np.concatenate([np.hypot(*(at - at.mean(axis=0)).T) for at in own])))


@pytest.mark.parametrize("start", STARTS)
@pytest.mark.parametrize(("size", "step"), SHEETS)
def test_work_begins_at_the_start_and_goes_outward(
    start: str, size: tuple[float, float], step: float
) -> None:
    work = lattice(size, step, 3.0)
    order = order_of_work(work, start)
    at = np.array([work.place[order.patch == p].mean(axis=0) for p in range(order.patches)])
    far = np.hypot(*(at - start_point(start, size)).T)
    assert far.argmin() == 0
    side = np.sqrt(size[0] * size[1] / order.patches)
    assert (np.diff(far) > -0.7 * side).all()
    assert far[-1] > 0.8 * far.max()
    first = work.place[order.nodes[0]]
    assert np.hypot(*(first - start_point(start, size))) < 1.5 * side


@given(works(least=1), st.sampled_from(STARTS), st.floats(0, 1))
def test_a_stage_is_within_half_a_node_of_its_share(work: Work, start: str, share: float) -> None:
    area = work.area[order_of_work(work, start).nodes]
    done = done_at(area, share)
    assert abs(area[:done].sum() - share * area.sum()) <= area.max() / 2 + 1e-9
    assert (done_at(area, 0.0), done_at(area, 1.0)) == (0, len(area))


@given(works(), st.sampled_from(STARTS), st.integers(-1, 5), st.floats(0, 1))
def test_a_patch_is_done_when_all_of_it_is_inked(work: Work, start: str, held: int, part: float) -> None:
    order = order_of_work(work, start, None if held < 0 else held)
    done = round(part * len(order.nodes))
    found = patches_done(order, done, work.ink, None if held < 0 else held)
    inked = set(order.nodes[:done].tolist())
    for patch in range(order.patches):
        own = [n for n in range(len(work.ink)) if order.patch[n] == patch and work.ink[n] != held]
        assert found[patch] == inked.issuperset(own)


@pytest.mark.parametrize("start", STARTS)
@pytest.mark.parametrize(("rows", "columns"), [(1, 1), (1, 7), (5, 3), (4, 6)])
def test_the_walk_meets_every_patch_and_never_comes_nearer(start: str, rows: int, columns: int) -> None:
    size = (120.0, 200.0)
    found = walk(rows, columns, start, size)
    assert sorted(found) == [(row, column) for row in range(rows) for column in range(columns)]
    ends = {"centre": ((rows - 1) / 2, (columns - 1) / 2), "top-left": (0, 0), "top-right": (0, columns - 1)}
    ends |= {"bottom-left": (rows - 1, 0), "bottom-right": (rows - 1, columns - 1)}
    way = (np.array(found) - ends[start]) * [size[1] / rows, size[0] / columns]
    assert (np.diff(np.hypot(*way.T)) > -1e-5).all()


@given(st.floats(0.1, 400), SIZES, st.booleans())
def test_a_grid_has_about_so_many_patches_as_square_as_can_be(
    wanted: float, size: tuple[float, float], odd: bool
) -> None:
    rows, columns = grid(wanted, size, odd=odd)
    assert not odd or rows % 2 == columns % 2 == 1
    assert abs(np.log2(rows * columns / max(wanted, 1))) < (1.25 if odd else 0.76)
    if wanted > 30:
        assert 0.6 < (size[0] / columns) / (size[1] / rows) < 1.6


@given(works(least=1), st.integers(1, 6))
def test_cuts_lie_one_after_the_other(work: Work, parts: int) -> None:
    """Of one ink no node of a later part lies before one of an earlier; without slack all inks are cut alike."""
    part = cut(work.place, work.ink, work.skin, parts, 1e9, 1)
    assert set(part.tolist()) <= set(range(parts))
    for ink in set(work.ink[~work.skin].tolist()):
        own = (work.ink == ink) & ~work.skin
        for number in range(1, parts):
            before, after = work.place[own & (part < number), 0], work.place[own & (part >= number), 0]
            assert not len(before) or not len(after) or before.max() <= after.min() + 1e-6
        count = np.bincount(part[own], minlength=parts)
        assert count.min() >= 1 or own.sum() < parts


def test_nobody_starts_elsewhere() -> None:
    with pytest.raises(ValueError, match="not at 'middle'"):
        order_of_work(lattice((50.0, 50.0), 10.0), "middle")


def test_nothing_to_ink_is_no_work() -> None:
    none = np.zeros(0, dtype=np.int64)
    work = Work(np.zeros(0), np.zeros((0, 2)), none, np.array([50.0]), none.astype(bool), (50.0, 50.0))
    order = order_of_work(work)
    assert isinstance(order, Order)
    assert (len(order.nodes), order.patches, done_at(work.area, 0.5)) == (0, 0, 0)
