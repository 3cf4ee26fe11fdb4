"""The rooms of tossing: clearances, pushes, gaps, stripes and poses, each against a plain count of the same."""

import itertools
import json
import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import pytest
import shapely
from builders import PUBLISHED, disc
from numpy.typing import NDArray
from scipy import ndimage

from mockup.geometry.affine import rotation, translation
from mockup.geometry.alleys import Alleys
from mockup.geometry.crowd import COUNTS, Crowd, Near, Push
from mockup.geometry.gaps import Gaps, evened, gaps
from mockup.geometry.shapes import (
    Shape,
    area,
    closed_up,
    corner_points,
    filling_points,
    moved,
    outline_points,
    polygon,
    union,
)
from mockup.geometry.tucking import Poses
from mockup.pattern.motif_library import library_motif

Floats = NDArray[np.float64]
MOTIFS = ("pear", "bell", "heart", "leaflet", "acorn", "tulip", "snail", "drop")
SIZE = 150.0, 130.0
TILES = list(itertools.product((-1, 0, 1), repeat=2))


class Thrown(NamedTuple):
    """Shells about (0, 0), and where they lie, apart from each other."""

    shells: list[Shape]
    spot: Floats
    turn: Floats


def shell(name: str) -> Shape:
    """A motif about the middle of its box, with its notches filled."""
    motif = library_motif(name)
    x0, y0, x1, y1 = motif.box
    whole = union(part.shape for part in motif.parts)
    return closed_up(moved(whole, translation(-(x0 + x1) / 2, -(y0 + y1) / 2)), 1.0)


def thrown(seed: int, count: int, size: tuple[float, float] = SIZE, least: float = 0.3) -> Thrown:
    """Throw motifs on a tile that wraps, none nearer than ``least`` mm to another."""
    rng = np.random.default_rng([seed, count])
    names = [MOTIFS[number % len(MOTIFS)] for number in range(count)]
    kinds = {name: shell(name) for name in MOTIFS}
    order = sorted(range(count), key=lambda n: -area(kinds[names[n]]))
    spot, turn = np.zeros((count, 2)), np.zeros(count)
    laid: list[Shape] = []
    for number in order:
        while True:
            spot[number], turn[number] = rng.random(2) * size, rng.random() * 2 * math.pi
            own = lay(kinds[names[number]], spot[number], turn[number])
            copies = around(own, size)
            if not laid or shapely.distance(own, np.array(laid, dtype=object)).min() > least:
                laid += copies
                break
    return Thrown([kinds[name] for name in names], spot, turn)


def lay(own: Shape, spot: Floats, turn: float, scale: float = 1.0) -> Shape:
    """Turn a shape about (0, 0) and move it."""
    turned = rotation(math.degrees(turn))
    if scale != 1:
        turned = type(turned)(*(scale * value for value in (turned.a, turned.b, turned.c, turned.d)))
    return moved(own, translation(*spot.tolist()) @ turned)


def around(own: Shape, size: tuple[float, float]) -> list[Shape]:
    """A shape and its copies in the tiles all round."""
    return [moved(own, translation(i * size[0], j * size[1])) for i, j in TILES]


def meet(bodies: Sequence[Shape], size: tuple[float, float], slack: float = 0.0) -> float:
    """Largest area (mm2) that two of the bodies or of their copies have in common; at most ``slack`` is nothing."""
    every = np.array([copy for own in bodies for copy in around(own, size)], dtype=object)
    home = every[TILES.index((0, 0)) :: len(TILES)]
    one, other = shapely.STRtree(every).query(home, predicate="intersects")
    kept = other != one * len(TILES) + TILES.index((0, 0))
    common = shapely.area(shapely.intersection(home[one[kept]], every[other[kept]]))
    return float(common.max(initial=0.0)) if common.max(initial=0.0) > slack else 0.0


def crowd_of(given: Thrown, size: tuple[float, float] = SIZE, step: float = 2.0) -> tuple[Crowd, list[Shape]]:
    """The bodies as a crowd, and the polygons that it takes them for, about (0, 0)."""
    outlines = [corner_points(own, step, 0.08 * step, COUNTS) for own in given.shells]
    crowd = Crowd(outlines, size, given.spot.copy(), given.turn.copy(), np.ones(len(given.turn), dtype=bool))
    return crowd, [drawn(points, after) for points, after in outlines]


def drawn(points: Floats, after: NDArray[np.int64]) -> Shape:
    """Follow the points round; one closed run each piece."""
    left, found = set(range(len(points))), []
    while left:
        run = [min(left)]
        while int(after[run[-1]]) != run[0]:
            run.append(int(after[run[-1]]))
        left -= set(run)
        found.append(polygon(points[run]))
    return union(found)


def placed(crowd: Crowd, own: Sequence[Shape]) -> list[Shape]:
    return [
        lay(shape, spot, float(turn), crowd.scale)
        for shape, spot, turn in zip(own, crowd.spot, crowd.turn, strict=True)
    ]


def brute(near: Near, crowd: Crowd, bodies: Sequence[Shape]) -> tuple[Floats, Floats]:
    """Distance of every point from the nearest body but its own, and from the one that is told."""
    every = [np.array(around(own, tuple(crowd.size.tolist())), dtype=object) for own in bodies]
    spots = shapely.points(near.point + crowd.spot[near.body])
    table = np.array([[float("inf")] * len(bodies)] * len(spots))
    for number, copies in enumerate(every):
        mine = near.body == number
        home = TILES.index((0, 0))
        others = np.delete(copies, home)
        table[~mine, number] = shapely.distance(spots[~mine, None], copies[None]).min(axis=1)
        table[mine, number] = shapely.distance(spots[mine, None], others[None]).min(axis=1)
    return table.min(axis=1), table[np.arange(len(spots)), near.other]


@pytest.mark.parametrize("seed", range(3))
def test_clearances_are_those_of_the_outlines(seed: int) -> None:
    reach = 20.0
    crowd, own = crowd_of(thrown(seed, 14 + seed))
    crowd.look_round(reach)
    near = crowd.near()
    least, told = brute(near, crowd, placed(crowd, own))
    close = least < reach / 2
    assert close.sum() > 100
    # a point whose nearest corner is not on its nearest edge is told a little too much, never too little
    assert (near.clear - told).min() > -1e-6
    assert near.clear[close] == pytest.approx(least[close], abs=0.05)
    assert float(np.mean(np.abs(near.clear - least)[close] > 0.001)) < 0.01
    # nobody who has something within half of the reach is left out
    apart = [
        min(
            float(shapely.distance(one, copy))
            for number, other in enumerate(placed(crowd, own))
            for tile, copy in zip(TILES, around(other, SIZE), strict=True)
            if number != body or tile != (0, 0)
        )
        for body, one in enumerate(placed(crowd, own))
    ]
    assert set(np.flatnonzero(np.array(apart) < reach / 2)) <= set(near.body[close].tolist())
    told_least = crowd.least(near)
    assert (told_least > np.array(apart) - 1e-6).all()
    assert told_least.min() == pytest.approx(min(apart), abs=0.002)


@pytest.mark.parametrize("seed", range(3))
def test_the_way_off_leads_from_the_other_body(seed: int) -> None:
    crowd, own = crowd_of(thrown(seed, 14))
    crowd.look_round(20.0)
    near = crowd.near()
    assert np.hypot(*near.off.T) == pytest.approx(np.ones(len(near.off)), abs=1e-9)
    there = near.point + crowd.spot[near.body] - near.off * near.clear[:, None]
    bodies = placed(crowd, own)
    for number, shape in enumerate(bodies):
        mine = near.other == number
        rims = shapely.union_all([shapely.boundary(copy) for copy in around(shape, SIZE)])
        assert shapely.distance(shapely.points(there[mine]), rims).max(initial=0.0) < 1e-6
        # about the other body's own spot, in whatever tile it lies
        home = shapely.boundary(moved(shape, translation(*(-crowd.spot[number]).tolist())))
        assert shapely.distance(shapely.points(near.there[mine]), home).max(initial=0.0) < 1e-6


@pytest.mark.parametrize(("seed", "reach"), [(0, 20.0), (1, 6.0), (2, 20.0), (3, 6.0), (4, 12.0)])
def test_whatever_pushes_bodies_they_keep_apart(seed: int, reach: float) -> None:
    """Pushes of several times the reach, at random and towards the middle of the tile."""
    count = 14 + seed
    crowd, own = crowd_of(thrown(seed, count), step=1.0 + seed % 3)
    crowd.look_round(reach)
    rng = np.random.default_rng(seed)
    start, went = crowd.spot.copy(), np.zeros(count)
    for step in range(24):
        near = crowd.near()
        inward = (np.array(SIZE) / 2 - crowd.spot % SIZE) * (0.4 if step % 8 < 4 else -0.2)
        push = Push(inward + rng.normal(0, 6, (count, 2)), rng.normal(0, 0.8, count))
        before = crowd.turn.copy()
        crowd.shift(near, push)
        went += np.abs(crowd.turn - before)
        if step % 3 == 2:
            assert meet(placed(crowd, own), SIZE) == 0.0
    assert np.hypot(*(crowd.spot - start).T).mean() > 2.0
    assert went.mean() > 0.2


def test_what_is_pressed_together_never_meets() -> None:
    shape = disc(0, 0, 5, 24)
    given = Thrown([shape, shape], np.array([[20.0, 30.0], [33.0, 30.2]]), np.zeros(2))
    crowd, own = crowd_of(given, (90.0, 90.0))
    crowd.look_round(20.0)
    for _ in range(150):
        crowd.shift(crowd.near(), Push(np.array([[9.0, 0.0], [-9.0, 0.0]]), np.array([0.0, 0.0])))
    assert 0 < crowd.least(crowd.near()).min() < 1e-3
    assert meet(placed(crowd, own), (90.0, 90.0)) == 0.0


def test_bodies_far_apart_stay_and_grow_freely() -> None:
    spots = np.array([[20.0, 20.0], [60.0, 60.0]])
    crowd, _ = crowd_of(Thrown([disc(0, 0, 2, 24)] * 2, spots.copy(), np.zeros(2)), (90.0, 90.0))
    crowd.scale = 0.5
    crowd.look_round(10.0)
    near = crowd.near()
    assert [len(column) for column in near] == [0] * len(near)
    assert np.isinf(crowd.least(near)).all()
    crowd.shift(near, crowd.pushed(near, 0.5))
    crowd.grow(near, 1.25)
    assert crowd.spot.tolist() == spots.tolist()
    assert crowd.scale == 0.625


def test_bodies_that_may_not_turn_do_not() -> None:
    given = thrown(1, 12)
    outlines = [corner_points(own, 2.0, 0.16, COUNTS) for own in given.shells]
    free = np.arange(12) % 2 == 0
    crowd = Crowd(outlines, SIZE, given.spot.copy(), given.turn.copy(), free)
    crowd.look_round(20.0)
    for _ in range(5):
        near = crowd.near()
        crowd.shift(near, crowd.pushed(near, 0.5))
    assert (crowd.turn == given.turn).tolist() == (~free).tolist()


@pytest.mark.parametrize("seed", range(2))
def test_bodies_grow_to_their_size_and_keep_apart(seed: int) -> None:
    given = thrown(seed, 20)
    crowd, own = crowd_of(given)
    crowd.spot = np.random.default_rng([seed, 7]).permutation(crowd.spot)  # small, they fit anywhere
    crowd.scale = 0.2
    assert meet(placed(crowd, own), SIZE) == 0.0
    crowd.look_round(30.0)
    sizes = [0.2]
    for step in range(48):
        near = crowd.near()
        crowd.shift(near, crowd.pushed(near, 0.5))
        crowd.grow(crowd.near(), 1.1)
        sizes.append(crowd.scale)
        if step % 6 == 5:
            assert meet(placed(crowd, own), SIZE) == 0.0
    assert sizes == sorted(sizes)
    assert 0.6 < crowd.scale <= 1.0


@pytest.mark.parametrize("seed", range(2))
def test_pushes_widen_the_smallest_clearance(seed: int) -> None:
    crowd, _ = crowd_of(thrown(seed, 16))
    crowd.look_round(25.0)
    before = crowd.least(crowd.near())
    for _ in range(25):
        near = crowd.near()
        crowd.shift(near, crowd.pushed(near, 0.3))
    after = crowd.least(crowd.near())
    assert after.min() > 3 * before.min()
    assert np.median(after) > np.median(before)


def points_of(shapes: Sequence[Shape], step: float) -> tuple[Floats, NDArray[np.int64]]:
    """Points along the outlines of shapes about (0, 0), and whose they are."""
    own = [outline_points(shape, step) for shape in shapes]
    return np.concatenate(own), np.repeat(np.arange(len(own)), [len(one) for one in own])


def lattice_of_discs(
    kind: str, pitch: float, radius: float, across: int = 4
) -> tuple[Floats, tuple[float, float]]:
    """Where discs of a packing lie, and the size of their tile."""
    rise = pitch if kind == "square" else pitch * math.sqrt(3) / 2
    spots = [
        (pitch * (column + (row % 2) / 2 * (kind == "hexagonal")), rise * row)
        for row in range(4)
        for column in range(across)
    ]
    return np.array(spots) + np.array([3.3, 2.7]), (
        pitch * across,
        rise * 4,
    )  # no border along the edge of the tile


def gaps_of_discs(kind: str, pitch: float, radius: float) -> Gaps:
    spots, size = lattice_of_discs(kind, pitch, radius)
    points, body = points_of([disc(0, 0, radius, 240)] * len(spots), 2 * math.pi * radius / 239.5)
    return gaps(points, body, spots, np.array(size), 2 * pitch)


@pytest.mark.parametrize("kind", ["square", "hexagonal"])
@pytest.mark.parametrize("filled", [0.3, 0.55, 0.7])
def test_gaps_of_a_packing_are_those_of_the_closed_form(kind: str, filled: float) -> None:
    """Along the border, y off the line of centres, the gap is 2 (sqrt(pitch^2 / 4 + y^2) - radius)."""
    densest = json.loads((PUBLISHED / "spread_references.json").read_text(encoding="utf-8"))[
        f"{kind}_packing_density"
    ]
    pitch = 10.0
    radius = pitch / 2 * math.sqrt(filled / densest)
    found = gaps_of_discs(kind, pitch, radius)
    half = pitch / 2 if kind == "square" else pitch / 2 / math.sqrt(3)
    y = (np.arange(4000) + 0.5) / 4000 * half
    gap = 2 * (np.sqrt(pitch**2 / 4 + y**2) - radius)
    assert found.mean == pytest.approx(gap.mean(), rel=0.01)
    assert found.variation == pytest.approx(gap.std() / gap.mean(), rel=0.03)
    assert found.widest == pytest.approx(2 * (math.hypot(pitch / 2, half) - radius), rel=0.003)
    whole = 16 * (2 if kind == "square" else 3) * 2 * half
    assert found.length.sum() == pytest.approx(whole, rel=0.01)
    assert found.around(16) == pytest.approx(np.full(16, gap.mean()), rel=0.02)


def test_touching_discs_leave_the_published_void() -> None:
    """Densest packings: hexagonal 0.9069, square 0.7854 of the plane is covered, and what is left is told by circles."""
    for kind, reach in (("hexagonal", 1 / math.sqrt(3)), ("square", 1 / math.sqrt(2))):
        found = gaps_of_discs(kind, 10.0, 4.999)
        assert found.widest == pytest.approx(2 * (10 * reach - 4.999), rel=0.01)
        assert found.gap.min() < 0.15


@pytest.mark.parametrize("seed", range(2))
def test_gaps_of_motifs_are_those_of_a_raster(seed: int) -> None:
    """Twice the distance to the nearest body, where a grid changes from one body's territory to another's."""
    given = thrown(seed, 14)
    points, body = points_of(given.shells, 1.0)
    turned = np.column_stack(
        (
            np.cos(given.turn)[body] * points[:, 0] - np.sin(given.turn)[body] * points[:, 1],
            np.sin(given.turn)[body] * points[:, 0] + np.cos(given.turn)[body] * points[:, 1],
        )
    )
    spacing = math.sqrt(SIZE[0] * SIZE[1] / 14)
    found = gaps(turned, body, given.spot, np.array(SIZE), 2 * spacing)
    grain, edge = 0.25, round(30 / 0.25)
    x = (np.arange(-edge, round(SIZE[0] / grain) + edge) + 0.5) * grain
    y = (np.arange(-edge, round(SIZE[1] / grain) + edge) + 0.5) * grain
    label = np.zeros((len(y), len(x)), dtype=int)
    every = [
        copy
        for own, spot, turn in zip(given.shells, given.spot, given.turn, strict=True)
        for copy in around(lay(own, spot % SIZE, float(turn)), SIZE)
    ]
    for number, copy in enumerate(every, 1):
        x0, y0, x1, y1 = copy.bounds
        across, down = slice(*np.searchsorted(x, (x0, x1))), slice(*np.searchsorted(y, (y0, y1)))
        label[down, across][shapely.contains_xy(copy, *np.meshgrid(x[across], y[down]))] = number
    far, (row, column) = ndimage.distance_transform_edt(label == 0, sampling=grain, return_indices=True)
    owner = label[row, column]
    gap, weight = [], []
    for dy, dx in ((0, 1), (1, 0), (1, 1), (1, -1)):
        here = np.s_[edge:-edge, edge:-edge]
        there = np.s_[edge + dy : len(y) - edge + dy, edge + dx : len(x) - edge + dx]
        differ = owner[here] != owner[there]
        gap.append((far[here] + far[there])[differ])
        weight.append(np.full(int(differ.sum()), 1 / math.hypot(dx, dy)))
    own, of = np.concatenate(gap), np.concatenate(weight)
    mean = np.average(own, weights=of)
    assert found.mean == pytest.approx(mean, rel=0.02)
    spread = math.sqrt(np.average((own - mean) ** 2, weights=of)) / mean
    assert found.variation == pytest.approx(spread, rel=0.03)
    assert found.widest == pytest.approx(2 * far[edge:-edge, edge:-edge].max() - grain, rel=0.02)


@pytest.mark.parametrize("seed", range(2))
def test_evening_brings_the_gaps_nearer_to_their_mean(seed: int) -> None:
    given = thrown(seed, 16)
    crowd, _ = crowd_of(given)
    crowd.look_round(25.0)
    local, body = points_of(given.shells, 1.5)

    def now() -> Gaps:
        cosine, sine = np.cos(crowd.turn)[body], np.sin(crowd.turn)[body]
        x, y = local[:, 0], local[:, 1]
        turned = np.column_stack((cosine * x - sine * y, sine * x + cosine * y))
        return gaps(turned, body, crowd.spot, crowd.size, 80.0)

    figures = [now().variation]
    for _ in range(12):
        near = crowd.near()
        crowd.shift(near, Push(*evened(now(), 16)))
        figures.append(now().variation)
    assert figures[3] < figures[0]
    assert figures[-1] < 0.8 * figures[0]


def test_nothing_is_to_be_evened_in_a_packing() -> None:
    move, turn = evened(gaps_of_discs("hexagonal", 10.0, 3.9), 16)
    assert np.abs(move).max() < 0.01
    assert np.abs(turn).max() < 0.01


def ways_of(size: tuple[float, float]) -> list[tuple[int, int]]:
    """The lattice directions up to (3, 3), each once."""
    return [(p, q) for p in range(4) for q in range(-3, 4) if math.gcd(p, q) == 1 and (p > 0 or q > 0)]


def profiles(points: Floats, weight: Floats, size: tuple[float, float], spacing: float) -> list[Floats]:
    """Coverage off its mean along 96 soft lines of each direction, of points that weigh 1 together.

    A line is a bell a quarter of the spacing wide (standard deviation), wrapped round.
    """
    found = []
    line = np.arange(96) / 96
    for p, q in ways_of(size):
        at = (points[:, 0] * p / size[0] + points[:, 1] * q / size[1]) % 1.0
        wide = spacing / 4 * math.hypot(p / size[0], q / size[1])
        off = (line[:, None] - at + 0.5) % 1.0 - 0.5
        bell = sum(np.exp(-(((off + turn) / wide) ** 2) / 2) for turn in range(-4, 5))
        found.append(bell @ weight / (wide * math.sqrt(2 * math.pi)) - 1)
    return found


class Clouds(NamedTuple):
    """Points that stand for bodies about their spots, the bodies' areas, and the stripes they make."""

    points: list[Floats]
    areas: Floats
    alleys: Alleys


def clouds_of(given: Thrown, size: tuple[float, float], grain: float) -> Clouds:
    areas = np.array([area(own) for own in given.shells])
    points = [filling_points(own, grain) for own in given.shells]
    alleys = Alleys(points, areas, size)
    alleys.turned(given.turn)
    turned = [
        own @ np.array([[math.cos(t), math.sin(t)], [-math.sin(t), math.cos(t)]])
        for own, t in zip(points, given.turn.tolist(), strict=True)
    ]
    return Clouds(turned, areas, alleys)


def stripes(cloud: Clouds, spot: Floats, size: tuple[float, float]) -> list[Floats]:
    many = [len(own) for own in cloud.points]
    points = np.concatenate([own + at for own, at in zip(cloud.points, spot, strict=True)])
    weight = np.repeat(cloud.areas / cloud.areas.sum() / many, many)
    return profiles(points, weight, size, math.sqrt(size[0] * size[1] / len(many)))


@pytest.mark.parametrize("seed", range(2))
def test_the_force_leads_down_the_steepest_way(seed: int) -> None:
    """The mean over lines of the sixth power of their deviation falls fastest along it: finite differences."""
    given = thrown(seed, 8)
    cloud = clouds_of(given, SIZE, 4.0)
    way, worst = cloud.alleys.force(given.spot)
    assert np.hypot(*way.T).max() == pytest.approx(1.0)
    assert worst == pytest.approx(
        max(np.abs(own).max() for own in stripes(cloud, given.spot, SIZE)), rel=0.03
    )

    def cost(spot: Floats) -> float:
        return sum(float((own**6).mean()) for own in stripes(cloud, spot, SIZE))

    slope = np.zeros_like(given.spot)
    for index in np.ndindex(slope.shape):
        step = np.zeros_like(slope)
        step[index] = 1e-3
        slope[index] = (cost(given.spot + step) - cost(given.spot - step)) / 2e-3
    likeness = float((-slope * way).sum() / math.sqrt((slope**2).sum() * (way**2).sum()))
    assert likeness > 0.99
    assert cost(given.spot + 0.2 * way) < cost(given.spot)


@pytest.mark.parametrize("seed", range(2))
def test_the_worst_stripe_is_that_of_a_raster(seed: int) -> None:
    given = thrown(seed, 14)
    cloud = clouds_of(given, SIZE, 1.5)
    _, told = cloud.alleys.force(given.spot)
    step = 0.5
    x, y = np.meshgrid(
        (np.arange(round(SIZE[0] / step)) + 0.5) * step, (np.arange(round(SIZE[1] / step)) + 0.5) * step
    )
    covered = np.zeros(x.shape, dtype=bool)
    for own, spot, turn in zip(given.shells, given.spot, given.turn, strict=True):
        for copy in around(lay(own, spot % SIZE, float(turn)), SIZE):
            covered |= shapely.contains_xy(copy, x, y)
    points = np.column_stack((x[covered], y[covered]))
    weight = np.full(len(points), 1 / len(points))
    rows = profiles_binned(points, weight, SIZE, math.sqrt(SIZE[0] * SIZE[1] / 14))
    assert told == pytest.approx(rows, rel=0.04)


def profiles_binned(points: Floats, weight: Floats, size: tuple[float, float], spacing: float) -> float:
    """Worst deviation over all directions, points first counted in fine bins."""
    worst = 0.0
    for p, q in ways_of(size):
        at = (points[:, 0] * p / size[0] + points[:, 1] * q / size[1]) % 1.0
        count = np.bincount((at * 960).astype(int) % 960, weight, 960)
        wide = spacing / 4 * math.hypot(p / size[0], q / size[1])
        place = (np.arange(960) + 480) % 960 / 960 - 0.5
        bell = sum(np.exp(-(((place + turn) / wide) ** 2) / 2) for turn in range(-4, 5))
        soft = np.real(np.fft.ifft(np.fft.fft(count) * np.fft.fft(bell))) / (wide * math.sqrt(2 * math.pi))
        worst = max(worst, float(np.abs(soft - 1).max()))
    return worst


def test_stripes_of_rows_are_those_of_the_closed_form() -> None:
    """Rows of dots every so many spacings: two waves of each order, softened by a bell of a quarter spacing."""
    for rows, each in ((2, 8), (4, 4), (2, 18)):
        across, down = 80.0, 40.0
        spots = np.array(
            [[across * n / each, down * row / rows + 3.0] for row in range(rows) for n in range(each)]
        )
        alleys = Alleys([np.zeros((1, 2))] * len(spots), np.ones(len(spots)), (across, down))
        spacing = math.sqrt(across * down / len(spots))
        wanted = max(
            2 * sum(math.exp(-2 * (math.pi * k * spacing / 4 / pitch) ** 2) for k in range(1, 9))
            for pitch in (down / rows, across / each)
        )
        assert alleys.force(spots)[1] == pytest.approx(wanted, abs=0.04)


@pytest.mark.parametrize("seed", range(2))
def test_poses_never_overlap(seed: int) -> None:
    given = thrown(seed, 16)
    spacing = math.sqrt(SIZE[0] * SIZE[1] / 16)
    outlines = [corner_points(own, 2.0, 0.16, COUNTS)[0] for own in given.shells]
    poses = Poses(outlines, given.shells, np.array(SIZE), np.arange(12) * math.pi / 6)
    spot, turn = given.spot.copy(), given.turn.copy()
    changed = 0
    for _ in range(2):
        changed += poses.tuck(spot, turn, 1.0, 0.25 * spacing, 0.5, list(range(16)))
        bodies = [lay(own, s, float(t)) for own, s, t in zip(given.shells, spot, turn, strict=True)]
        assert meet(bodies, SIZE) == 0.0
    assert changed > 8
    points, body = points_of(bodies, 1.5)
    holes = gaps(points, body, np.zeros((16, 2)), np.array(SIZE), 80.0)
    middles = holes.centre[np.argsort(-holes.radius)[:6]]
    small = sorted(range(16), key=lambda n: area(given.shells[n]))[:10]
    filled = poses.fill(spot, turn, 1.0, middles, small, 0.25 * spacing)
    bodies = [lay(own, s, float(t)) for own, s, t in zip(given.shells, spot, turn, strict=True)]
    assert filled >= 1
    assert meet(bodies, SIZE) == 0.0
