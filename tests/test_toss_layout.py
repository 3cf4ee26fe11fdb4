"""Tossed layouts as wholes: nothing overlaps, the space is even, and what is asked for is what comes."""

import json
import math
import re
import subprocess
import sys
from collections import Counter
from collections.abc import Mapping

import numpy as np
import pytest
import shapely
from bench.evenness import Figures, bodies_of, dropped, measured, strewn
from builders import PUBLISHED, disc, motif

from mockup.errors import DesignError
from mockup.geometry import shapes
from mockup.geometry.affine import translation
from mockup.geometry.shapes import Shape, area, moved
from mockup.geometry.tossing import Body, Tossed, toss
from mockup.pattern.motif_library import library_motif
from mockup.pattern.repeat import Layout, Setting
from mockup.pattern.toss import SLACK, lay_tossed

REFERENCES = json.loads((PUBLISHED / "spread_references.json").read_text(encoding="utf-8"))
COMPACT = ("pear", "lemon", "heart", "tulip", "acorn", "bud", "leaflet", "floret", "drop")


def settings(*names: str) -> list[Setting]:
    return [Setting(library_motif(name)) for name in names]


def pairs(bodies: list[Shape], size: tuple[float, float]) -> tuple[float, float]:
    """Largest area that two bodies or copies of them have in common, and least distance of two, mm."""
    copies = [
        (number, i, j, moved(body, translation(i * size[0], j * size[1])))
        for number, body in enumerate(bodies)
        for i in (-2, -1, 0, 1, 2)
        for j in (-2, -1, 0, 1, 2)
    ]
    common, least = 0.0, math.inf
    for number, body in enumerate(bodies):
        others = np.array([c for n, i, j, c in copies if (n, i, j) != (number, 0, 0)], dtype=object)
        far = shapely.distance(body, others)
        least = min(least, float(far.min()))
        met = others[far == 0]
        common = max(common, float(shapely.area(shapely.intersection(body, met)).max(initial=0.0)))
    return common, least


def everything(layout: Layout) -> list[Shape]:
    """Placed motifs with their line work, in the pen's width."""
    found = []
    for one in layout.placed:
        drawn = [moved(part.shape, one.transform) for part in one.motif.parts]
        for element in one.motif.elements:
            if element not in one.motif.parts:
                lines = [one.transform.apply(line) for line in element.lines]  # type: ignore[union-attr]
                drawn.append(shapes.drawn_lines(lines, element.closed, 0.5 * one.transform.stretch))  # type: ignore[union-attr]
        found.append(shapes.union(drawn))
    return found


SMALL: list[tuple[tuple[str, ...], dict[str, object]]] = [
    (("acorn", "drop"), {"count": 6, "coverage": 0.5}),
    (("bell", "pebble", "seed"), {"count": 11, "coverage": 0.45, "directions": "four-way"}),
    (("tulip", "floret"), {"count": 10, "tile": (120.0, 70.0), "coverage": 0.4}),
    (("leaflet", "drop"), {"count": 14, "coverage": 0.5, "variant": 5}),
    (("lemon", "petal"), {"count": 12, "coverage": 0.5, "gap": 0.8}),
    (("snail", "star"), {"count": 7, "coverage": 0.45, "directions": "two-way"}),
]


@pytest.mark.parametrize(("names", "asked"), SMALL, ids=lambda value: str(value)[:40])
def test_no_two_motifs_overlap(names: tuple[str, ...], asked: Mapping[str, object]) -> None:
    layout = lay_tossed(settings(*names), **asked)  # type: ignore[arg-type]
    size = layout.lattice.tile
    common, least = pairs(everything(layout), size)
    assert common == 0.0
    gap = float(str(asked.get("gap", 1.5)))
    told = [re.search(r"come within ([0-9.]+) mm", note) for note in layout.notes]
    closest = next((float(found[1]) for found in told if found), gap * 0.98)
    assert least > min(closest - 0.06, 0.3)  # a clearance is rounded to tenths where it is told
    assert least > closest - 0.25
    covered = sum(map(area, bodies_of(layout))) / (size[0] * size[1])
    assert covered == pytest.approx(float(str(asked["coverage"])), abs=SLACK)
    inside = np.array([(one.transform.e, one.transform.f) for one in layout.placed])
    middles = np.array([shapely.get_coordinates(shapely.envelope(b).centroid)[0] for b in bodies_of(layout)])
    assert np.abs(middles - np.array(size) / 2).max() < max(size)
    assert len(inside) == asked["count"]


def bodies_at(bodies: list[Shape], found: Tossed) -> list[Shape]:
    laid = []
    for body, spot, turn in zip(bodies, found.spot, found.turn.tolist(), strict=True):
        cosine, sine = found.scale * math.cos(turn), found.scale * math.sin(turn)
        at = translation(*spot.tolist()) @ type(translation(0, 0))(cosine, sine, -sine, cosine)
        laid.append(moved(body, at))
    return laid


def odd_shapes(rng: np.random.Generator, count: int) -> list[Shape]:
    """Bars, angles, crescents and wheels about (0, 0)."""
    found = []
    for number in range(count):
        long, wide = rng.uniform(9, 18), rng.uniform(3, 6)
        bar = shapes.rectangle(-long / 2, -wide / 2, long / 2, wide / 2)
        kinds = (
            bar,
            shapes.union([bar, shapes.rectangle(-long / 2, -wide / 2, -long / 2 + wide, long / 2)]),
            shapes.difference(disc(0, 0, long / 2), disc(wide / 2, 0, long / 2.4)),
            disc(0, 0, wide, 5 + number % 7),
        )
        found.append(kinds[number % 4])
    return found


@pytest.mark.parametrize("seed", [0, 1, 2, 3, 4])
def test_shapes_of_any_kind_keep_the_clearance_that_is_told(seed: int) -> None:
    rng = np.random.default_rng([seed, 3])
    count = 6 + seed
    own = odd_shapes(rng, count)
    covered = (0.35, 0.5, 0.75)[seed % 3]
    side = math.sqrt(sum(map(area, own)) / covered)
    size = side * (1.25 if seed % 2 else 1.0), side / (1.25 if seed % 2 else 1.0)
    found = toss(
        [Body(one, one) for one in own], size, np.zeros(count), np.ones(count, dtype=bool), 0.8, seed
    )
    common, least = pairs(bodies_at(own, found), size)
    assert least == pytest.approx(min(found.clear, 2 * least + 1), abs=1e-6)
    assert (common > 0) <= (found.clear == 0.0)  # what meets is told as no clearance at all, and is refused
    assert (found.spot >= 0).all()
    assert (found.spot < np.array(size)).all()
    if covered < 0.4:
        assert found.scale == 1.0
        assert found.clear > 0.4


def test_a_number_gives_one_arrangement_in_any_process() -> None:
    own = settings("acorn", "drop")
    first = lay_tossed(own, count=6, coverage=0.4)
    again = lay_tossed(own, count=6, coverage=0.4)
    other = lay_tossed(own, count=6, coverage=0.4, variant=2)
    assert [one.transform for one in first.placed] == [one.transform for one in again.placed]
    assert [one.transform for one in first.placed] != [one.transform for one in other.placed]
    code = (
        "from mockup.pattern.toss import *; from mockup.pattern.motif_library import library_motif as m\n"
        "l = lay_tossed([Setting(m(n)) for n in ('acorn', 'drop')], count=6, coverage=0.4)\n"
        "print(repr([p.transform for p in l.placed]))"
    )
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert told.strip() == repr([one.transform for one in first.placed])


def test_what_is_told_of_a_layout_is_what_a_grid_sees() -> None:
    """The variation is told a fifth lower, since the outlines it is read from are coarse where gaps are narrow."""
    rng = np.random.default_rng(1)
    own = odd_shapes(rng, 12)
    side = math.sqrt(sum(map(area, own)) / 0.4)
    found = toss([Body(s, s) for s in own], (side, side), np.zeros(12), np.ones(12, dtype=bool), 0.8, 1)
    seen = measured(bodies_at(own, found), (side, side), 500)
    assert found.void == pytest.approx(seen.void, rel=0.04)
    assert found.variation == pytest.approx(0.79 * seen.variation, rel=0.08)
    assert found.alley == pytest.approx(seen.alley, rel=0.08)
    assert seen.overlap == 0.0
    assert seen.coverage == pytest.approx(0.4, abs=0.005)


def test_equal_discs_are_denser_than_thrown_ones_can_be() -> None:
    """Coverage 0.6 is over the 0.5471 at which random sequential throwing ends; hexagonal packing has rho = 1."""
    thrown = REFERENCES["hexagonal_packing_density"] * REFERENCES["rho_rsa_saturation"] ** 2
    assert thrown == pytest.approx(0.5471, abs=1e-4)
    for count, variant in ((10, 2), (16, 1)):
        radius = 5.0
        own = [Setting(motif(disc(0, 0, radius, 96)))]
        layout = lay_tossed(own, count=count, coverage=0.6, gap=0.3, variant=variant)
        side = layout.lattice.width
        spots = np.array([shapely.get_coordinates(shapely.centroid(b))[0] for b in bodies_of(layout)]) / side
        way = spots[:, None] - spots[None]
        way -= np.round(way)
        far = np.hypot(way[..., 0], way[..., 1])[~np.eye(count, dtype=bool)]
        most = next(row["r_max"] for row in REFERENCES["unit_torus"] if row["N"] == count)
        rho = float(far.min()) / 2 / most
        least = math.sqrt(0.6 / REFERENCES["hexagonal_packing_density"])  # discs of this size just touch
        assert 0.65 < least < rho <= 1.0
        assert sum(map(area, bodies_of(layout))) / side**2 == pytest.approx(0.6, abs=0.02)
        assert thrown < 0.6 - 0.02
        assert pairs(bodies_of(layout), (side, side))[0] == 0.0


def test_a_copy_in_the_next_tile_is_exactly_the_same() -> None:
    """Whatever runs over the edge comes in on the other side: all copies together cover as much as the motifs do."""
    layout = lay_tossed(settings("pear", "leaflet"), count=6, coverage=0.45)
    width, height = layout.lattice.tile
    bodies = bodies_of(layout)
    window = shapes.rectangle(0, 0, width, height)
    cut = [
        area(shapes.intersection(moved(body, translation(i * width, j * height)), window))
        for body in bodies
        for i in (-1, 0, 1)
        for j in (-1, 0, 1)
    ]
    assert sum(cut) == pytest.approx(sum(map(area, bodies)), rel=1e-6)
    assert sum(value > 1 for value in cut) > len(bodies)  # some lie across the edge
    assert layout.lattice.shift(1, 0) == (width, 0)
    assert layout.lattice.shift(0, 1) == (0, height)


def test_the_tile_follows_from_the_coverage() -> None:
    own = [Setting(motif(disc(0, 0, 6), name="large")), Setting(motif(disc(0, 0, 4), name="small"))]
    sides = []
    for coverage in (0.3, 0.5):
        layout = lay_tossed(own, count=8, coverage=coverage, gap=0.5)
        width, height = layout.lattice.tile
        assert width == height == round(width)
        assert sum(map(area, bodies_of(layout))) / width**2 == pytest.approx(coverage, abs=0.001)
        sides.append(width)
    assert (sides[0] / sides[1]) ** 2 == pytest.approx(0.5 / 0.3, rel=0.1)


def test_as_many_come_as_cover_what_is_asked_at_their_natural_sizes() -> None:
    own = [Setting(motif(disc(0, 0, radius), name=f"d{radius}")) for radius in (3, 4, 5)]
    for tile, coverage in (((60.0, 50.0), 0.35), ((60.0, 50.0), 0.5), ((44.0, 80.0), 0.42)):
        layout = lay_tossed(own, tile=tile, coverage=coverage, gap=0.5)
        assert layout.lattice.tile == tile
        assert {round(one.transform.stretch, 9) for one in layout.placed} == {1.0}
        covered = sum(map(area, bodies_of(layout))) / (tile[0] * tile[1])
        assert covered == pytest.approx(coverage, abs=SLACK)


def test_with_tile_and_number_all_are_scaled_alike() -> None:
    own = [Setting(motif(disc(0, 0, 3), name="a"), scale=2.0), Setting(motif(disc(0, 0, 5), name="b"))]
    layout = lay_tossed(own, tile=(70.0, 50.0), count=10, coverage=0.4, gap=0.5)
    found = {one.motif.name: one.transform.stretch for one in layout.placed}
    assert len(layout.placed) == 10
    assert found["a"] == pytest.approx(2 * found["b"])
    assert sum(map(area, bodies_of(layout))) / 3500 == pytest.approx(0.4, abs=1e-6)


@pytest.mark.parametrize(
    ("often", "count", "wanted"),
    [
        ((None, None, None), 7, {"hero": 1, "second": 2, "filler": 4}),
        ((None, None, None), 21, {"hero": 3, "second": 6, "filler": 12}),
        ((2, 1, 1), 8, {"hero": 4, "second": 2, "filler": 2}),
        ((3, None, 0.5), 9, {"hero": 6, "second": 2, "filler": 1}),
        ((50, 1, 1), 8, {"hero": 6, "second": 1, "filler": 1}),
    ],
)
def test_numbers_are_dealt_by_class_or_as_often_as_said(
    often: tuple[float | None, ...], count: int, wanted: dict[str, int]
) -> None:
    """Without a word one to two to four; with one, by number; each comes once at least."""
    kinds = [("hero", 15.0), ("second", 9.0), ("filler", 3.0)]
    own = [
        Setting(motif(disc(0, 0, radius), name=name), often=times)
        for (name, radius), times in zip(kinds, often, strict=True)
    ]
    layout = lay_tossed(own, count=count, coverage=0.25, gap=0.5)
    assert Counter(one.motif.name for one in layout.placed) == wanted


def test_fillers_share_their_number() -> None:
    own = [Setting(motif(disc(0, 0, 15), name="hero"))]
    own += [Setting(motif(disc(0, 0, 3), name=f"filler{n}")) for n in range(4)]
    many = Counter(one.motif.name for one in lay_tossed(own, count=10, coverage=0.25, gap=0.5).placed)
    assert many == {"hero": 2, **{f"filler{n}": 2 for n in range(4)}}


@pytest.mark.parametrize(("directions", "ways"), [("one-way", 1), ("two-way", 2), ("four-way", 4)])
def test_only_so_many_ways_are_pointed_and_all_of_them(directions: str, ways: int) -> None:
    arrow = motif(shapes.polygon(np.array([[0.0, 0], [9, 0], [9, 4], [3, 4]])), name="arrow")
    layout = lay_tossed([Setting(arrow, turn=25)], count=12, coverage=0.35, directions=directions, gap=0.5)
    turns = Counter(
        round((math.degrees(math.atan2(one.transform.b, one.transform.a)) - 25) % 360, 6) % 360
        for one in layout.placed
    )
    assert set(turns) <= {360 / ways * number for number in range(ways)}
    assert len(turns) == ways


def test_motifs_that_may_point_anywhere_do() -> None:
    layout = lay_tossed(settings("leaflet"), count=12, coverage=0.4)
    turns = np.array([math.atan2(one.transform.b, one.transform.a) for one in layout.placed])
    assert abs(np.exp(1j * turns).mean()) < 0.35
    assert len(set(np.round(turns, 3))) == 12


@pytest.mark.parametrize(("names", "tile", "coverage"), [(("snail", "drop"), (64.0, 48.0), 0.9)])
def test_too_much_is_refused_in_one_line_whose_coverage_works(
    names: tuple[str, ...], tile: tuple[float, float], coverage: float
) -> None:
    with pytest.raises(DesignError) as refused:
        lay_tossed(settings(*names), tile=tile, coverage=coverage)
    line = str(refused.value)
    assert "\n" not in line
    assert f"{tile[0]:g} x {tile[1]:g} mm" in line
    found = re.search(r"write coverage = ([0-9.]+)", line)
    assert found
    layout = lay_tossed(settings(*names), tile=tile, coverage=float(found[1]))
    assert pairs(bodies_of(layout), tile)[0] == 0.0


@pytest.fixture(scope="module")
def medium() -> tuple[list[Shape], tuple[float, float], Figures]:
    layout = lay_tossed(settings(*COMPACT), count=24, coverage=0.5, variant=2)
    bodies, size = bodies_of(layout), layout.lattice.tile
    return bodies, size, measured(bodies, size, 500)


def test_space_is_even(medium: tuple[list[Shape], tuple[float, float], Figures]) -> None:
    found = medium[2]
    assert found.overlap == 0.0
    assert found.coverage == pytest.approx(0.5, abs=SLACK)
    assert found.void < 0.66
    assert found.variation < 0.32
    assert found.alley < 0.28


def test_chance_leaves_space_far_less_even(
    medium: tuple[list[Shape], tuple[float, float], Figures],
) -> None:
    """The same motifs thrown anywhere, and thrown so that none meets another, the largest first."""
    bodies, size, ours = medium
    rng = np.random.default_rng(5)
    anywhere = [measured(strewn(bodies, size, rng), size, 300) for _ in range(3)]
    assert min(one.void for one in anywhere) > 1.5 * ours.void
    assert min(one.variation for one in anywhere) > 2 * ours.variation
    assert min(one.alley for one in anywhere) > 1.5 * ours.alley
    assert min(one.overlap for one in anywhere) > 0.1
    apart = [laid for _ in range(4) if (laid := dropped(bodies, size, rng))]
    thrown = [measured(laid, size, 300) for laid in apart]
    assert len(thrown) >= 2
    assert np.median([one.void for one in thrown]) > 1.25 * ours.void
    assert np.median([one.variation for one in thrown]) > 1.5 * ours.variation
    assert np.median([one.alley for one in thrown]) > 1.2 * ours.alley
