"""Scanned line drawings whose truth is known: regions one to one, gaps closed, wider ones told, lines where they lie."""

from collections.abc import Sequence
from dataclasses import replace
from functools import cache

import agreements
import linedrawings
import numpy as np
import penwork
import pytest
import scans
import shapely
from agreements import Agreement, OpenDrawing
from numpy.typing import NDArray
from penwork import Line, Truth
from scans import Scan
from scipy import ndimage

from mockup.drawing.tracing import Traced, trace
from mockup.geometry.affine import IDENTITY, translation

Floats = NDArray[np.float64]

SIZE = (80.0, 104.0)
DPI = 300
NARROW = (0.2, 0.3, 0.5, 0.4, 0.5, 0.5)
WIDE = (0.8, 1.0, 1.2, 1.5, 0.8, 1.0)
MORE = [pytest.param(seed, marks=pytest.mark.long) for seed in range(2, 8)]

each_kind = pytest.mark.parametrize("kind", linedrawings.KINDS)
each_seed = pytest.mark.parametrize("seed", [1, *MORE])
as_taken = pytest.mark.parametrize("setting", ["flatbed", "phone"])


@cache
def truth_of(kind: str, seed: int, gaps: tuple[float, ...] = ()) -> Truth:
    return scans.with_cuts(truth_of(kind, seed), gaps, seed) if gaps else linedrawings.KINDS[kind](seed, SIZE)


@cache
def traced(kind: str, setting: str, seed: int, gaps: tuple[float, ...]) -> tuple[Truth, Scan, Traced]:
    truth = truth_of(kind, seed, gaps)
    scan = scans.scanned(penwork.drawn(truth, DPI), DPI, setting, seed)
    return truth, scan, trace(scan.pixels, DPI, gap=0.6)


def agreed(truth: Truth, scan: Scan, found: Traced) -> Agreement:
    return agreements.agreement(truth.regions, agreements.upright(agreements.closed(found), scan.turn), SIZE)


# What was drawn is found


@each_kind
@as_taken
@each_seed
def test_regions_are_found_one_to_one_and_no_narrow_gap_leaks(kind: str, setting: str, seed: int) -> None:
    truth, scan, found = traced(kind, setting, seed, NARROW)
    told = agreed(truth, scan, found)
    assert told.count >= 20
    assert told.matched >= 0.98
    assert not told.merged
    assert told.merge < 0.01
    assert told.split < 0.01
    assert told.lost < 0.01
    assert told.invented < 0.01


@each_kind
@as_taken
@each_seed
def test_lines_are_found_where_they_were_drawn(kind: str, setting: str, seed: int) -> None:
    truth, scan, found = traced(kind, setting, seed, NARROW)
    drawn_wrongly, not_found = agreements.distance(truth.lines, found.lines, scan.turn)
    assert drawn_wrongly[0] < 0.04
    assert drawn_wrongly[1] < 0.15
    assert not_found[1] < 0.15 + max(NARROW) / 2


@each_kind
@as_taken
@each_seed
def test_found_lines_are_as_wide_as_drawn(kind: str, setting: str, seed: int) -> None:
    truth, _, found = traced(kind, setting, seed, NARROW)
    ink = [sum(line.width * lengths(line) for line in lines) for lines in (truth.lines, found.lines)]
    length = [sum(lengths(line) for line in lines) for lines in (truth.lines, found.lines)]
    assert ink[1] / length[1] == pytest.approx(ink[0] / length[0], rel=0.1)


def lengths(line: penwork.Course) -> float:
    return float(penwork.lengths(penwork.with_end(line.points, line.closed))[-1])


@each_kind
@as_taken
@each_seed
def test_regions_neither_overlap_nor_are_broken(kind: str, setting: str, seed: int) -> None:
    _, _, found = traced(kind, setting, seed, NARROW)
    every = [*found.regions, *found.grounds]
    assert all(shape.is_valid and shape.area > 0 and len(shape.geoms) == 1 for shape in every)
    whole = shapely.union_all(every)
    assert whole.area == pytest.approx(sum(shape.area for shape in every), rel=1e-6)
    assert whole.area == pytest.approx(found.width * found.height, rel=1e-2)


@pytest.mark.parametrize(("kind", "setting"), [("petals", "flatbed"), ("mosaic", "phone")])
@each_seed
def test_wide_gaps_are_told_where_they_are(kind: str, setting: str, seed: int) -> None:
    truth, scan, found = traced(kind, setting, seed, WIDE)
    assert len(truth.cuts) >= 5
    listed = np.vstack((found.leaks, found.closings.mean(axis=1)))  # a little wider than 0.6 may be closed
    told = [near(listed, middle) for middle in scan.turn.apply(middles(truth))]
    assert np.mean(told) >= 0.8
    assert len(found.leaks) <= 2 * len(truth.cuts)


@pytest.mark.parametrize(("width", "regions"), [(0.15, 1), (0.5, 2)])
def test_a_fibre_of_dust_divides_nothing_where_a_line_does(width: float, regions: int) -> None:
    angle = np.linspace(0, 2 * np.pi, 90, endpoint=False)
    rim = 25 + 12 * np.column_stack((np.cos(angle), np.sin(angle)))
    across = np.array([(13.7, 25.0), (25.0, 26.0), (36.3, 25.0)])
    lines = (Line(rim, True, np.full(90, 0.6)), Line(across, False, np.full(3, width)))
    found = trace(scans.scanned(penwork.drawn(Truth(50, 50, lines, ()), DPI), DPI, "flatbed", 1).pixels, DPI)
    assert len(found.regions) == regions


@each_kind
@as_taken
@each_seed
def test_narrow_gaps_are_listed_as_closed(kind: str, setting: str, seed: int) -> None:
    truth, scan, found = traced(kind, setting, seed, NARROW)
    told = [near(found.closings.mean(axis=1), middle) for middle in scan.turn.apply(middles(truth))]
    assert np.mean(told) >= 0.8  # ink of the narrowest may have run together
    assert len(found.closings) <= 2 * len(truth.cuts)


def middles(truth: Truth) -> Floats:
    return np.array([cut.middle for cut in truth.cuts])


def near(places: Floats, middle: Floats) -> bool:
    return bool((np.hypot(*(places - middle).T) < 1.0).any())


@pytest.mark.parametrize(("kind", "setting"), [("petals", "pencil"), ("nested", "hard")])
@each_seed
def test_faint_and_soft_lines_are_found_as_well(kind: str, setting: str, seed: int) -> None:
    truth, scan, found = traced(kind, setting, seed, ())
    told = agreed(truth, scan, found)
    assert told.matched >= 0.95
    assert told.merge + told.split + told.lost + told.invented < 0.03


# Drawings by others


@cache
def open_ones(count: int) -> tuple[OpenDrawing, ...]:
    return tuple(agreements.open_drawings(count))


FLOORS = {"": 0.97, "flatbed": 0.97, "phone": 0.97}
"""Share of the white areas of 24 drawings that are found one to one."""


@pytest.mark.parametrize(
    "setting",
    ["", pytest.param("flatbed", marks=pytest.mark.long), pytest.param("phone", marks=pytest.mark.long)],
)
def test_outline_drawings_by_others_are_read(setting: str) -> None:
    told = [agreements.agreement_on(drawing, setting, number) for number, drawing in enumerate(open_ones(24))]
    areas = sum(one.count for one in told)
    assert areas > 120
    assert sum(one.count - len(one.wrong) for one in told) / areas >= FLOORS[setting]


# The bench itself


@each_kind
def test_the_truth_is_what_the_clean_drawing_shows(kind: str) -> None:
    truth = truth_of(kind, 1)
    white = agreements.white_areas(penwork.drawn(truth, 600), 600)
    told = agreements.compared(
        white, np.where(white > 0, penwork.painted(truth.regions, SIZE, 25.4 / 600), 0), 25.4 / 600
    )
    assert told.count >= 20
    assert told.matched == 1.0
    assert told.merge == told.split == told.lost == 0.0


@each_kind
def test_the_same_seed_draws_the_same(kind: str) -> None:
    one, other, third = (linedrawings.KINDS[kind](seed, (60.0, 60.0)) for seed in (1, 1, 3))
    assert all(np.array_equal(a.points, b.points) for a, b in zip(one.lines, other.lines, strict=True))
    assert not np.array_equal(one.lines[0].points, third.lines[0].points)
    assert all(0.35 <= line.widths.min() <= line.widths.max() <= 0.7 for line in one.lines)


@pytest.mark.parametrize("kind", ["petals", "mosaic", "nested"])
def test_gaps_are_as_wide_as_told(kind: str) -> None:
    truth, dot = truth_of(kind, 1, (0.3, 0.5, 0.5, 0.8, 1.2, 1.2)), 1200 / 25.4
    ink = penwork.drawn(truth, 1200) < 128
    assert len(truth.cuts) >= 5
    for cut in truth.cuts:
        x, y = (np.array(cut.middle) * dot).astype(int)
        reach = round(1.9 * dot)
        marks = ndimage.label(ink[y - reach : y + reach, x - reach : x + reach], np.ones((3, 3)))[0]
        away = [ndimage.distance_transform_edt(marks != number) for number in range(1, marks.max() + 1)]
        nearest = sorted(range(len(away)), key=lambda number: away[number][reach, reach])[:2]
        assert len(nearest) == 2
        gap = away[nearest[0]][marks == nearest[1] + 1].min() / dot
        assert gap == pytest.approx(cut.width, abs=0.05)


def test_gaps_join_the_faces_beside_them() -> None:
    whole, cut = truth_of("mosaic", 1), truth_of("mosaic", 1, (0.8,) * 6)
    white = agreements.white_areas(penwork.drawn(cut, 600), 600)
    shown = penwork.painted(whole.regions, SIZE, 25.4 / 600) * (penwork.drawn(cut, 600) > 127)
    inside = [one for one in cut.cuts if -1 not in one.between]
    assert len(inside) >= 3
    for one in inside:
        first, second = (np.unique(white[shown == face + 1]) for face in one.between)
        assert set(first) & set(second) - {0}


def squares() -> list[shapely.Polygon]:
    return [shapely.box(x, y, x + 10, y + 10) for x in (0, 10, 20) for y in (0, 10, 20)]


def told_of(found: Sequence[shapely.Polygon]) -> Agreement:
    return agreements.agreement(squares(), found, (40, 40))


def test_the_same_agrees_wholly_in_any_order() -> None:
    told = told_of(squares()[::-1])
    assert (told.count, told.matched) == (9, 1.0)
    assert told.merge == told.split == told.lost == told.invented == 0.0


def test_a_border_that_lies_aside_is_no_fault() -> None:
    told = told_of([shapely.affinity.translate(one, 0.2, 0) for one in squares()])
    assert told.matched == 1.0
    assert told.merge == told.split == 0.0


def test_two_in_one_are_a_merge_of_both() -> None:
    first, second, *others = squares()
    told = told_of([shapely.union(first, second), *others])
    assert told.matched == pytest.approx(7 / 9)
    assert told.merge == pytest.approx(2 / 9, abs=1e-3)
    assert told.merged == ((0, 1),)
    assert told.split == 0.0


def test_one_in_two_is_a_split_of_it() -> None:
    others = squares()[1:]
    told = told_of([shapely.box(0, 0, 4, 10), shapely.box(4, 0, 10, 10), *others])
    assert told.matched == pytest.approx(8 / 9)
    assert told.split == pytest.approx(1 / 9, abs=1e-3)
    assert told.merge == 0.0
    assert told.wrong == (0,)


def test_what_is_missing_is_lost_and_what_is_more_is_invented() -> None:
    told = told_of([*squares()[1:], shapely.box(32, 32, 39, 39)])
    assert told.lost == pytest.approx(1 / 9, abs=1e-3)
    assert told.invented == pytest.approx(49 / 849, abs=1e-3)
    assert told_of([]).lost == 1.0


def test_a_line_that_lies_aside_is_told_by_how_much() -> None:
    lines = truth_of("nested", 1).lines
    aside = [replace(line, points=translation(0.3, 0.0).apply(line.points)) for line in lines]
    ways = agreements.distance(lines, aside, IDENTITY)
    assert ways[:, 2] == pytest.approx(0.3, abs=0.02)
    assert np.allclose(agreements.distance(lines, aside, translation(0.3, 0.0)), 0, atol=0.02)


@pytest.mark.parametrize("setting", scans.SETTINGS)
def test_a_scan_lies_under_its_turn(setting: str) -> None:
    truth = linedrawings.nested(1, (60.0, 60.0))
    clean = penwork.drawn(truth, DPI)
    scan = scans.scanned(clean, DPI, setting, 1, clean)
    points = np.vstack([scan.turn.apply(line.points) for line in truth.lines])
    x, y = (points * DPI / 25.4).astype(int).T
    grey = scan.pixels.mean(axis=2)
    around = ndimage.percentile_filter(grey[::4, ::4], 80, 25).repeat(4, 0).repeat(4, 1)
    assert np.mean(grey[y, x] < 0.93 * around[y, x]) > 0.97
    assert abs(scan.turn.b) > 0.008
    again = scans.scanned(clean, DPI, setting, 1, clean)
    assert np.array_equal(scan.pixels, again.pixels)
