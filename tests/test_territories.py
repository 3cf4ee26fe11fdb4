"""Territories and their borders, against closed forms and against brute force on points."""

import itertools
import math
from fractions import Fraction

import numpy as np
import pytest
from builders import LATTICES, disc, square
from numpy.typing import NDArray
from scipy import spatial

from mockup.geometry import shapes, tessellation
from mockup.geometry.affine import translation
from mockup.geometry.lattice import Lattice
from mockup.geometry.shapes import Shape
from mockup.geometry.territories import Borders, territories

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
    for row in np.flatnonzero(~borders.claim):
        a, b = int(borders.a[row]), int(borders.b[row])
        total[a, b] = total.get((a, b), 0.0) + float(borders.length[row])
    return total


def by_step(borders: Borders) -> dict[tuple[int, int, int, int], tuple[float, float]]:
    """Length and gap of each border, by pair and step."""
    keys = np.column_stack((borders.a, borders.b, borders.step))[~borders.claim]
    figures = np.column_stack((borders.length, borders.gap))[~borders.claim]
    found = {tuple(key): tuple(figure) for key, figure in zip(keys.tolist(), figures.tolist(), strict=True)}
    assert len(found) == len(keys)
    return found


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
        assert found.get(pair, 0.0) == pytest.approx(wanted.get(pair, 0.0), abs=0.25)
    assert sum(found.values()) == pytest.approx(sum(wanted.values()), rel=0.003)


@pytest.mark.parametrize("turn", [1e-6, 1e-3, 0.02])
def test_four_discs_that_nearly_meet_in_one_point_share_no_long_border(turn: float) -> None:
    lattice = Lattice(20, 20)
    places = [(5.0, 5.0 + turn), (15.0, 5.0), (5.0, 15.0), (15.0, 15.0 - turn)]
    found = bordered(territories([disc(x, y, 2) for x, y in places], (0, 0, 20, 20), lattice))
    for one, other in itertools.combinations(range(4), 2):
        if one + other == 3:
            assert found.get((one, other), 0.0) < 3 * turn + 1e-3
        else:
            assert found[one, other] == pytest.approx(20, rel=0.003)


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
    assert borders.length.tolist() == pytest.approx([wanted], rel=0.002)


@pytest.mark.parametrize(("width", "height"), [(300.0, 12.0), (12.0, 300.0)])
def test_borders_in_a_long_narrow_tile_are_no_longer(width: float, height: float) -> None:
    lattice = Lattice(width, height)
    middle = (width / 2, height / 2)
    found = territories([disc(*middle, 2)], (0, 0, width, height), lattice)
    lengths = {key[2:]: length for key, (length, _) in by_step(found).items()}
    assert lengths == pytest.approx({(1, 0): height, (0, 1): width}, rel=0.002)


def test_gaps_are_the_distances_between_the_shapes() -> None:
    borders = territories([disc(8, 15, 4, 90), disc(30, 15, 6, 90)], WINDOW, None)
    assert borders.gap.tolist() == pytest.approx([12], abs=1e-6)


def test_what_touches_has_no_gap() -> None:
    borders = territories([square(0, 0, 15), square(15, 0, 15)], WINDOW, None)
    assert borders.gap.tolist() == [0]
    assert borders.length.tolist() == pytest.approx([30])


@pytest.mark.parametrize("gap", [6.0, 1.0, 0.1, 0.02, 0.004, 0.001, 0.0])
def test_squares_side_by_side_meet_along_their_sides_however_near(gap: float) -> None:
    side = 10 - gap
    own = [square(0, 0, side), square(10, 0, side)]
    found = by_step(territories(own, (0, 0, 20, 10), Lattice(20, 10)))
    assert found.keys() == {(0, 0, 0, 1), (1, 1, 0, 1), (0, 1, 0, 0), (0, 1, -1, 0)}
    for length, across in found.values():
        assert length == pytest.approx(10, rel=1e-3)
        assert across == pytest.approx(gap, rel=1e-3, abs=0.0071)


@pytest.mark.parametrize(("inner", "outer"), [(3.0, 6.0), (5.0, 5.2), (5.0, 5.01), (0.5, 9.0)])
def test_a_seed_in_a_ring_has_the_middle_circle_for_its_border(inner: float, outer: float) -> None:
    husk = shapes.difference(disc(20, 15, 11, 500), disc(20, 15, outer, 500))
    borders = territories([husk, disc(20, 15, inner, 500)], WINDOW, None)
    assert borders.length.tolist() == pytest.approx([math.pi * (inner + outer)], rel=2e-3)
    assert borders.gap.tolist() == pytest.approx([outer - inner], rel=5e-3, abs=1e-3)


def test_a_half_drop_of_discs_has_the_hexagons_of_its_lattice() -> None:
    lattice = Lattice(20, 20, drop=Fraction(1, 2))
    found = by_step(territories([disc(10, 10, 4, 240)], (0, 0, 20, 20), lattice))
    # three pairs of sides: upright distance 20, slanted distance sqrt(500)
    slanted = math.sqrt(125)
    wanted = {(0, 0, 0, 1): (15.0, 12.0)} | dict.fromkeys(
        ((0, 0, -1, 1), (0, 0, 1, 0)), (slanted, math.sqrt(500) - 8)
    )
    assert found.keys() == wanted.keys()
    for key, figures in wanted.items():
        assert found[key] == pytest.approx(figures, rel=2e-3)


def test_a_triangular_lattice_of_discs_has_regular_hexagons() -> None:
    high = 20 * math.sqrt(3)
    own = [disc(0, 0, 5, 240), disc(10, high / 2, 5, 240)]
    found = by_step(territories(own, (0, 0, 20, high), Lattice(20, high)))
    assert len(found) == 6
    for length, gap in found.values():
        assert (length, gap) == pytest.approx((20 / math.sqrt(3), 10), rel=2e-3)


def parabola(half: float, focus: float) -> float:
    """Length of the parabola between a point and a line 2 ``focus`` mm apart, ``half`` mm to both sides."""
    turn = half / (2 * focus)
    return 2 * focus * (turn * math.hypot(1, turn) + math.asinh(turn))


def test_a_point_and_a_line_have_a_parabola_between_them() -> None:
    bar = shapes.rectangle(0, 20, 40, 30)
    borders = territories([bar, disc(20, 12, 0.001, 12)], WINDOW, None)
    # 4 mm from both it turns, and leaves the sheet 16 mm to either side
    assert borders.length.tolist() == pytest.approx([parabola(16, 4)], rel=5e-3)
    assert borders.gap.tolist() == pytest.approx([8], abs=2e-3)


def leaf(x: float, y: float, half: float, bulge: float, turn: float = 0.0) -> list[Shape]:
    """Two halves of a pointed leaf that share its midrib."""
    along = np.linspace(-half, half, 41)
    edge = bulge * np.cos(along / half * math.pi / 2)
    cosine, sine = math.cos(turn), math.sin(turn)
    halves = []
    for side in (-1, 1):
        points = np.vstack((np.column_stack((along, side * edge)), [[0.0, 0.0]]))
        turned = points @ np.array([[cosine, sine], [-sine, cosine]])
        halves.append(shapes.polygon(turned + np.array([x, y])))
    return halves


@pytest.mark.parametrize("bulge", [0.3, 2.0, 8.0])
def test_halves_of_a_leaf_meet_along_the_midrib_and_its_continuation(bulge: float) -> None:
    borders = territories(leaf(20, 15, 10, bulge), WINDOW, None)
    assert borders.length.tolist() == pytest.approx([40], rel=2e-3)
    assert borders.gap.tolist() == [0]
    assert not borders.claim.any()


def test_either_half_of_a_leaf_may_claim_what_lies_beyond_its_tip() -> None:
    beyond = shapes.rectangle(36, 0, 40, 30)
    borders = territories([*leaf(20, 15, 10, 2), beyond], WINDOW, None)
    found = bordered(borders)
    assert found[0, 2] == pytest.approx(found[1, 2], rel=0.01)
    for half in (0, 1):
        row = (borders.a == half) & (borders.b == 2)
        # what the one may lose, the other may win
        (lost,) = borders.loose[row & ~borders.claim, 0]
        other = (borders.a == 1 - half) & (borders.b == 2) & borders.claim
        assert 1 < lost < found[half, 2]
        assert borders.length[other].tolist() == pytest.approx([lost])


@pytest.mark.parametrize("corners", [17, 48, 61, 96])
def test_outlines_that_nearly_run_along_each_other_meet_along_their_length(corners: int) -> None:
    # two polygons of one circle, the outer one cut by the inner: they touch here and leave narrow gaps there
    seed = disc(20, 15, 6, corners)
    husk = shapes.difference(shapes.difference(disc(20, 15, 11, 48), disc(20, 15, 6, 48)), seed)
    borders = territories([husk, seed], WINDOW, None)
    assert borders.length.tolist() == pytest.approx([12 * math.pi], rel=0.01)


def test_points_more_on_an_outline_change_nothing() -> None:
    plain = [square(3, 4, 9), square(14, 5, 7), square(23.5, 3, 12), disc(18, 22, 5, 11)]
    dense = [shapes.polygon(thick(shapes.rings(shape)[0])) for shape in plain]
    lattice = LATTICES[3]
    first, second = by_step(territories(plain, WINDOW, lattice)), by_step(territories(dense, WINDOW, lattice))
    assert first.keys() == second.keys()
    for key, figures in first.items():
        assert second[key] == pytest.approx(figures, rel=5e-3, abs=0.02)


def thick(ring: NDArray[np.float64]) -> NDArray[np.float64]:
    """Put 30 points on each side of a ring."""
    sides = zip(ring, np.roll(ring, -1, axis=0), strict=True)
    return np.concatenate([np.linspace(p, q, 30, endpoint=False) for p, q in sides])


@pytest.mark.parametrize("lattice", [*LATTICES[:4], None], ids=str)
def test_a_tile_may_be_done_in_blocks(lattice: Lattice | None, monkeypatch: pytest.MonkeyPatch) -> None:
    rng = np.random.default_rng(5)
    own = [
        disc(
            4 * x + 2 + rng.uniform(-0.5, 0.5), 3 * y + 1.5 + rng.uniform(-0.3, 0.3), rng.uniform(0.5, 1.1), 9
        )
        for x in range(10)
        for y in range(10)
    ]
    at_once = by_step(territories(own, WINDOW, lattice))
    monkeypatch.setattr(tessellation, "BLOCK", 150)
    in_blocks = by_step(territories(own, WINDOW, lattice))
    assert at_once.keys() == in_blocks.keys()
    for key, figures in at_once.items():
        assert in_blocks[key] == pytest.approx(figures, rel=1e-3, abs=1e-3)
    if lattice:
        # Euler on the torus: three borders to one territory
        assert len(at_once) == 3 * len(own)


@pytest.mark.parametrize("lattice", LATTICES, ids=str)
@pytest.mark.parametrize("away", [(3.3, 17.9), (-51.7, 8.25)])
def test_borders_do_not_hang_on_where_the_window_cuts(lattice: Lattice, away: tuple[float, float]) -> None:
    own = [*leaf(9, 9, 6, 2, 0.4), disc(24, 8, 4), square(30, 16, 7), square(23, 16, 7), disc(10, 23, 4, 7)]
    moved = [shapes.moved(shape, translation(*away)) for shape in own]
    first, second = by_step(territories(own, WINDOW, lattice)), by_step(territories(moved, WINDOW, lattice))
    for key in first.keys() | second.keys():
        one, other = first.get(key, (0.0, 0.0)), second.get(key, (0.0, 0.0))
        assert one[0] == pytest.approx(other[0], rel=1e-3, abs=0.02)
        if min(one[0], other[0]) > 0.1:
            assert one[1] == pytest.approx(other[1], rel=1e-3, abs=0.02)


def test_tiny_shapes_are_not_lost() -> None:
    borders = territories([square(10, 10, 0.004), square(30, 10, 0.004), square(20, 22, 8)], WINDOW, None)
    assert set(bordered(borders)) == {(0, 1), (0, 2), (1, 2)}


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
    assert borders.length.sum() == pytest.approx(sum(sorted(borders.length)[-3:]), rel=1e-9)
