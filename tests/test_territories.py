"""Territories and their borders, against brute force on points and against closed forms."""

import itertools
import math
from fractions import Fraction

import numpy as np
import pytest
from builders import LATTICES, disc, square
from numpy.typing import NDArray
from scipy import spatial

from mockup.geometry import shapes
from mockup.geometry.lattice import Lattice
from mockup.geometry.shapes import Shape
from mockup.geometry.territories import Borders, mask_of, territories

WINDOW = (0.0, 0.0, 40.0, 30.0)


def scattered(seed: int, count: int, lattice: Lattice, apart: float) -> list[tuple[float, float]]:
    """Drop points no nearer than so many mm to each other, copies included."""
    rng = np.random.default_rng(seed)
    found: list[tuple[float, float]] = []
    while len(found) < count:
        x, y = rng.random(2) * (lattice.width, lattice.height)
        steps = [lattice.shift(i, j) for i, j in itertools.product(range(-2, 3), repeat=2)]
        if all(math.hypot(x + u - p, y + v - q) > apart for p, q in found for u, v in steps):
            found.append((float(x), float(y)))
    return found


def bordered(borders: Borders) -> dict[tuple[int, int], float]:
    """Length of border by pair of shapes."""
    total: dict[tuple[int, int], float] = {}
    for a, b, length in zip(borders.a.tolist(), borders.b.tolist(), borders.length.tolist(), strict=True):
        total[a, b] = total.get((a, b), 0.0) + length
    return total


def voronoi(points: list[tuple[float, float]], lattice: Lattice) -> dict[tuple[int, int], float]:
    """Length of border by pair, from the Voronoi diagram of the points and all their copies round the tile."""
    steps = [lattice.shift(i, j) for i, j in itertools.product(range(-5, 6), repeat=2)]
    own = len(points)
    cloud = np.array([(x + u, y + v) for u, v in steps for x, y in points])
    diagram = spatial.Voronoi(cloud)
    middle = steps.index((0.0, 0.0))
    total: dict[tuple[int, int], float] = {}
    for (one, other), ridge in zip(diagram.ridge_points.tolist(), diagram.ridge_vertices, strict=True):
        ends = [number for number in (one, other) if number // own == middle]
        if ends:
            pair = (min(one % own, other % own), max(one % own, other % own))
            length = math.dist(*diagram.vertices[ridge])
            total[pair] = total.get(pair, 0.0) + length * len(ends) / 2
    return total


@pytest.mark.parametrize("lattice", LATTICES, ids=str)
@pytest.mark.parametrize("seed", range(3))
def test_discs_of_one_size_have_the_voronoi_borders(lattice: Lattice, seed: int) -> None:
    points = scattered(seed, 9, lattice, 6.0)
    found = bordered(territories([disc(x, y, 1.5, 48) for x, y in points], WINDOW, lattice))
    wanted = voronoi(points, lattice)
    for pair in found.keys() | wanted.keys():
        assert found.get(pair, 0.0) == pytest.approx(wanted.get(pair, 0.0), abs=0.9)
    assert sum(found.values()) == pytest.approx(sum(wanted.values()), rel=0.02)


@pytest.mark.parametrize("turn", [1e-6, 1e-3, 0.02])
def test_four_discs_that_nearly_meet_in_one_point_share_no_long_border(turn: float) -> None:
    lattice = Lattice(20, 20)
    places = [(5.0, 5.0 + turn), (15.0, 5.0), (5.0, 15.0), (15.0, 15.0 - turn)]
    found = bordered(territories([disc(x, y, 2) for x, y in places], (0, 0, 20, 20), lattice))
    for one, other in itertools.combinations(range(4), 2):
        if one + other == 3:
            assert found.get((one, other), 0.0) < 1.0
        else:
            assert found[one, other] == pytest.approx(20, rel=0.07)


def nearest(spots: NDArray[np.float64], own: list[Shape]) -> NDArray[np.int64]:
    """Nearest shape of each point, by sampling every outline densely and telling what lies inside."""
    distance = np.full((len(spots), len(own)), np.inf)
    for number, shape in enumerate(own):
        for ring in shapes.rings(shape):
            closed = np.vstack((ring, ring[:1]))
            dense = np.concatenate([np.linspace(p, q, 60) for p, q in itertools.pairwise(closed)])
            distance[:, number] = np.minimum(distance[:, number], spatial.KDTree(dense).query(spots)[0])
        inside = [shapes.covers_point(shape, x, y) for x, y in spots]
        distance[inside, number] = 0.0
    found: NDArray[np.int64] = distance.argmin(axis=1)
    return found


def test_unlike_shapes_on_a_sheet_meet_where_the_nearest_shape_changes() -> None:
    own = [disc(10, 10, 6), disc(27, 9, 2), square(24, 18, 9), disc(8, 24, 3, 5)]
    borders = territories(own, WINDOW, None)
    found = bordered(borders)
    # count the changes along the lines of a grid in four directions (Cauchy-Crofton)
    x, y = np.meshgrid(np.arange(0.1, 40, 0.2), np.arange(0.1, 30, 0.2))
    owner = nearest(np.column_stack((x.ravel(), y.ravel())), own).reshape(x.shape)
    wanted: dict[tuple[int, int], float] = {}
    diagonal = math.sqrt(0.5)
    for here, there, weight in (
        (owner[:, :-1], owner[:, 1:], 1.0),
        (owner[:-1], owner[1:], 1.0),
        (owner[:-1, :-1], owner[1:, 1:], diagonal),
        (owner[:-1, 1:], owner[1:, :-1], diagonal),
    ):
        for a, b in zip(here[here != there].tolist(), there[here != there].tolist(), strict=True):
            pair = (min(a, b), max(a, b))
            wanted[pair] = wanted.get(pair, 0.0) + 0.2 * math.pi / 8 * weight
    assert found.keys() == wanted.keys()
    for pair, length in wanted.items():
        assert found[pair] == pytest.approx(length, rel=0.04, abs=0.4)


@pytest.mark.parametrize("angle", range(0, 90, 15))
def test_border_lengths_do_not_hang_on_the_angle(angle: int) -> None:
    side = math.radians(angle)
    x, y = 4 * math.cos(side), 4 * math.sin(side)
    borders = territories([disc(20 - x, 20 - y, 1, 90), disc(20 + x, 20 + y, 1, 90)], (0, 0, 40, 40), None)
    wanted = 40 / max(abs(math.cos(side)), abs(math.sin(side)))
    # four directions of Cauchy and Crofton's count tell a length within 5.3 %
    assert borders.length.tolist() == pytest.approx([wanted], rel=0.065)


@pytest.mark.parametrize(("width", "height"), [(300.0, 12.0), (12.0, 300.0)])
def test_borders_in_a_long_narrow_tile_are_no_longer(width: float, height: float) -> None:
    lattice = Lattice(width, height)
    middle = (width / 2, height / 2)
    found = territories([disc(*middle, 2)], (0, 0, width, height), lattice)
    by_step = dict(zip(map(tuple, found.step.tolist()), found.length.tolist(), strict=True))
    assert by_step[1, 0] == pytest.approx(height, rel=0.06)
    assert by_step[0, 1] == pytest.approx(width, rel=0.06)


def test_gaps_are_the_distances_between_the_shapes() -> None:
    borders = territories([disc(8, 15, 4, 90), disc(30, 15, 6, 90)], WINDOW, None)
    assert borders.gap.tolist() == pytest.approx([12], abs=0.3)


def test_what_touches_has_no_gap() -> None:
    borders = territories([square(0, 0, 15), square(15, 0, 15)], WINDOW, None)
    assert borders.gap.max() == 0


def test_shapes_smaller_than_the_grid_are_not_lost() -> None:
    borders = territories([square(10, 10, 0.004), square(30, 10, 0.004), square(20, 22, 8)], WINDOW, None)
    assert set(borders.a.tolist()) | set(borders.b.tolist()) == {0, 1, 2}


def test_nothing_to_see_gives_no_borders() -> None:
    assert len(territories([], WINDOW, None).a) == 0
    assert len(territories([shapes.EMPTY], WINDOW, Lattice(40, 30)).a) == 0


def test_copies_that_touch_are_joined() -> None:
    stripe, spot = shapes.rectangle(0, 10, 40, 16), disc(20, 25, 3)
    borders = territories([stripe, spot], WINDOW, Lattice(40, 30))
    own = borders.joined
    assert set(zip(borders.a[own].tolist(), borders.b[own].tolist(), strict=True)) == {(0, 0)}
    assert {abs(i) for i, _ in borders.step[own].tolist()} == {1}
    assert not borders.joined[borders.a != borders.b].any()


@pytest.mark.parametrize("share", [Fraction(1, 2), Fraction(1, 3), Fraction(5, 7)])
def test_lattice_borders_stand_once_and_in_all_directions(share: Fraction) -> None:
    lattice = Lattice(40, 30, drop=share)
    borders = territories([disc(20, 15, 4)], WINDOW, lattice)
    steps = {tuple(step) for step in borders.step.tolist()}
    assert len(steps) == len(borders.a)
    assert not any((-i, -j) in steps for i, j in steps)
    # the cell of a lattice is a hexagon with opposite sides alike, so that three steps carry it
    assert borders.length.sum() == pytest.approx(sum(sorted(borders.length)[-3:]), rel=0.02)


def test_masks_share_edges_exactly() -> None:
    whole = np.array([[0.3, 0.2], [9.7, 1.1], [8.8, 9.4], [1.2, 8.7]])
    middle = whole.mean(axis=0)
    count = np.zeros((12, 12), dtype=int)
    for p, q in zip(whole, np.roll(whole, -1, axis=0), strict=True):
        mask = mask_of([np.array([p, q, middle])])
        if mask:
            top, left, inside = mask
            count[top : top + inside.shape[0], left : left + inside.shape[1]] += inside
    all_of_it = mask_of([whole])
    assert all_of_it is not None
    assert count.max() == 1
    assert count.sum() == all_of_it[2].sum()
