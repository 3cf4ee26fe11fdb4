"""Tossed layouts: no overlap, exact wrap, the same for a seed, even gaps, sensible numbers, plain refusals."""

import math
import subprocess
import sys
from collections import Counter

import numpy as np
import pytest
import shapely
from builders import disc, motif
from scipy import ndimage

from mockup.errors import DesignError
from mockup.geometry.affine import translation
from mockup.geometry.shapes import area, moved, union
from mockup.pattern.motif_library import library_motif
from mockup.pattern.repeat import Layout, Setting
from mockup.pattern.toss import lay_tossed, size_class

COMPACT = ("windflower", "pear", "lemon", "tulip", "heart", "leaflet", "floret", "acorn", "bud", "drop")


def settings(*names: str) -> list[Setting]:
    return [Setting(library_motif(name)) for name in names or COMPACT]


def bodies(layout: Layout) -> list[shapely.MultiPolygon]:
    return [union(moved(part.shape, one.transform) for part in one.motif.parts) for one in layout.placed]


def clearance(layout: Layout) -> float:
    """Least distance of two placed motifs, copies in the neighbouring tiles included, mm."""
    own, (width, height) = bodies(layout), layout.lattice.tile
    around = [
        (number, moved(shape, translation(x * width, y * height)))
        for number, shape in enumerate(own)
        for x in (-1, 0, 1)
        for y in (-1, 0, 1)
        if x or y
    ]
    least = math.inf
    for number, shape in enumerate(own):
        others = [other for rank, other in enumerate(own) if rank != number] + [other for _, other in around]
        least = min(least, float(shapely.distance(shape, np.array(others, dtype=object)).min()))
    return least


def mask(
    shapes: list[shapely.MultiPolygon], side: float, pixels: int
) -> np.ndarray[tuple[int, int], np.dtype[np.bool_]]:
    """Pixels of a square tile that shapes cover, wrapped."""
    step = side / pixels
    x, y = np.meshgrid((np.arange(pixels) + 0.5) * step, (np.arange(pixels) + 0.5) * step)
    covered = np.zeros((pixels, pixels), dtype=bool)
    for shape in shapes:
        for i in (-1, 0, 1):
            for j in (-1, 0, 1):
                covered |= shapely.contains_xy(moved(shape, translation(i * side, j * side)), x, y)
    return covered


def void(covered: np.ndarray[tuple[int, int], np.dtype[np.bool_]], side: float, count: int) -> float:
    """Diameter of the largest empty circle over the mean spacing."""
    far = ndimage.distance_transform_edt(np.tile(~covered, (3, 3)))
    return 2 * float(far.max()) * side / len(covered) / (side / math.sqrt(count))


@pytest.fixture(scope="module")
def tossed() -> Layout:
    return lay_tossed(settings(), count=20, variant=4)


def test_nothing_meets_and_the_gap_is_kept_as_told(tossed: Layout) -> None:
    clear = clearance(tossed)
    assert clear > 0.3
    assert clear > 1.4 or any("come within" in note for note in tossed.notes)


def test_the_coverage_is_what_is_asked_for(tossed: Layout) -> None:
    width, height = tossed.lattice.tile
    assert sum(map(area, bodies(tossed))) / (width * height) == pytest.approx(0.55, abs=0.02)


def test_gaps_are_far_more_even_than_by_chance(tossed: Layout) -> None:
    side, own = tossed.lattice.width, bodies(tossed)
    ours = void(mask(own, side, 200), side, len(own))
    rng = np.random.default_rng(3)
    thrown = []
    for _ in range(3):
        moves = [translation(*(rng.random(2) * side)) for _ in own]
        spread = [moved(shape, move) for shape, move in zip(own, moves, strict=True)]
        home = [
            moved(s, translation(*(-np.floor(np.array(shapely.centroid(s).coords[0]) / side) * side)))
            for s in spread
        ]
        thrown.append(void(mask(home, side, 200), side, len(own)))
    assert ours < 0.66
    assert min(thrown) > 1.3 * ours


def test_a_number_gives_one_arrangement_in_any_process() -> None:
    own = settings("pear", "leaflet", "floret", "drop")
    first = lay_tossed(own, count=8)
    again = lay_tossed(own, count=8)
    other = lay_tossed(own, count=8, variant=2)
    assert [one.transform for one in first.placed] == [one.transform for one in again.placed]
    assert [one.transform for one in first.placed] != [one.transform for one in other.placed]
    code = (
        "from mockup.pattern.toss import *; from mockup.pattern.motif_library import library_motif as m\n"
        "l = lay_tossed([Setting(m(n)) for n in ('pear', 'leaflet', 'floret', 'drop')], count=8)\n"
        "print(repr([p.transform for p in l.placed]))"
    )
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert told.strip() == repr([one.transform for one in first.placed])


@pytest.mark.parametrize(("directions", "steps"), [("one-way", 1), ("two-way", 2), ("four-way", 4)])
def test_motifs_point_only_the_ways_that_are_allowed(directions: str, steps: int) -> None:
    own = [Setting(library_motif("bell"), turn=10), Setting(library_motif("leaflet"))]
    layout = lay_tossed(own, count=8, directions=directions, coverage=0.4)
    for one in layout.placed:
        turn = math.degrees(math.atan2(one.transform.b, one.transform.a))
        turn -= 10 if one.motif.name == "bell" else 0
        assert math.remainder(turn, 360 / steps) == pytest.approx(0, abs=1e-6)
        assert one.transform.determinant > 0


def test_heroes_seconds_and_fillers_come_as_one_to_two_to_four() -> None:
    own = settings("pear", "bell", "leaflet")
    assert [size_class(one) for one in own] == ["hero", "second", "filler"]
    many = Counter(one.motif.name for one in lay_tossed(own, count=14, coverage=0.4).placed)
    assert many == {"pear": 2, "bell": 4, "leaflet": 8}


def test_often_counts_by_number() -> None:
    own = [Setting(library_motif("leaflet"), often=3), Setting(library_motif("acorn"))]
    many = Counter(one.motif.name for one in lay_tossed(own, count=8, coverage=0.3).placed)
    assert many == {"leaflet": 6, "acorn": 2}


def test_sizes_are_natural_unless_tile_and_number_are_both_given() -> None:
    own = settings("pear", "leaflet")
    free = lay_tossed(own, tile=(90, 70), coverage=0.4)
    assert {round(one.transform.stretch, 6) for one in free.placed} == {1.0}
    both = lay_tossed(own, tile=(90, 70), count=6, coverage=0.4)
    (scale,) = {round(one.transform.stretch, 6) for one in both.placed}
    assert scale != 1.0
    assert sum(map(area, bodies(both))) / (90 * 70) == pytest.approx(0.4, abs=0.001)


def test_equal_discs_lie_denser_than_thrown_ones_ever_do() -> None:
    # random sequential saturation 0.5471 (Feder 1980, from memory); relative radius up to 1 (Lagae and Dutre 2008)
    own = [Setting(motif(disc(0, 0, 5, 48)))]
    layout = lay_tossed(own, count=16, coverage=0.62, gap=0.2)
    assert not layout.notes
    side = layout.lattice.width
    spots = np.array([(one.transform.e, one.transform.f) for one in layout.placed])
    way = spots[:, None] - spots[None]
    way -= side * np.round(way / side)
    far = np.hypot(way[..., 0], way[..., 1]) + 1e9 * np.eye(len(spots))
    rho = far.min() / 2 / (side * math.sqrt(1 / (2 * math.sqrt(3) * len(spots))))
    assert 0.75 < rho < 1


def test_too_much_is_refused_with_what_would_do() -> None:
    own = settings("wren", "bell", "sprig")
    with pytest.raises(DesignError) as refused:
        lay_tossed(own, tile=(70, 70), coverage=0.9)
    assert "do not keep 0.3 mm clear of each other" in refused.value.what
    fits = float(refused.value.remedy.split("coverage = ")[1].split(",")[0])
    assert 0.3 < fits < 0.9
