"""Ogee, diamond, scallop, stripe and ring: cells that fill the plane, and motifs that keep clear of them and each other."""

import itertools
import math
from collections import Counter

import numpy as np
import pytest
import shapely
from builders import design_text, disc, motif, piece
from hypothesis import example, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from mockup.errors import DesignError
from mockup.geometry.affine import rotation, translation
from mockup.geometry.lattice import Lattice
from mockup.geometry.shapes import (
    Shape,
    area,
    covers_points,
    intersection,
    moved,
    polygon,
    rectangle,
    rings,
    union,
)
from mockup.jobs.planned import Spreading
from mockup.jobs.spreading import spread_piece
from mockup.pattern.arranging import DRAWN, Wish, arrange
from mockup.pattern.cells import CELL, CELLED, OUTLINES, lay_cells
from mockup.pattern.motif import LineWork, Motif
from mockup.pattern.motif_library import library_motif
from mockup.pattern.regions import visible
from mockup.pattern.repeat import Layout, Placed, Setting
from mockup.pattern.rings import lay_rings
from mockup.pattern.stripes import lay_stripes

Floats = NDArray[np.float64]

HOOK = motif(
    polygon(np.array([(0, 0), (9, 2), (7, 6), (2, 4)], dtype=float)),
    disc(3.2, 2.6, 0.9, 8),
    name="hook",
    groups=("body", "eye"),
)
SPIKE = motif(polygon(np.array([(0, 0), (30, 14), (0, 28), (-30, 14)], dtype=float)), name="spike")
"""Few corners, far apart: what lies between them must keep clear too."""

ARROW = motif(polygon(np.array([(0, 0), (40, 10), (0, 44), (-6, 30)], dtype=float)), name="arrow")
WHISKER = Motif(
    "whisker",
    20,
    20,
    (*motif(disc(0, 0, 3)).parts, LineWork((np.array([[0.0, 0.0], [14.0, -4.0]]),), (False,), 0.4, "#000")),
    (),
)
"""Its line reaches far out on one side."""


def silhouette(placed: Placed) -> Shape:
    return union(moved(part.shape, placed.transform) for part in placed.motif.parts)


def drawn(placed: Placed) -> shapely.Geometry:
    """All that a placed motif draws, lines too."""
    lines = [
        shapely.LineString(placed.transform.apply(line))
        for e in placed.motif.elements
        if isinstance(e, LineWork)
        for line in e.lines
    ]
    return shapely.union_all([silhouette(placed), *lines])


def own_of(layout: Layout) -> list[Placed]:
    return [placed for placed in layout.placed if placed.motif.name != CELL]


def cells_of(layout: Layout) -> list[Placed]:
    return [placed for placed in layout.placed if placed.motif.name == CELL]


def copies(shapes: list[shapely.Geometry], lattice: Lattice) -> list[tuple[int, shapely.Geometry]]:
    """Shapes and their copies in the tiles all round, each with its number."""
    return [
        (number, shapely.transform(shape, translation(*lattice.shift(i, j)).apply))
        for number, shape in enumerate(shapes)
        for i in (-1, 0, 1)
        for j in (-1, 0, 1)
    ]


def nearest(shapes: list[shapely.Geometry], others: list[shapely.Geometry], lattice: Lattice) -> float:
    """Least distance between a shape and a copy of one of the others, at most 6 mm; not of a shape from itself."""
    every = np.array([copy for _, copy in copies(others, lattice)], dtype=object)
    one, other = shapely.STRtree(every).query(np.array(shapes, dtype=object), "dwithin", 6.0)
    if others is shapes:
        keep = other != 9 * one + 4
        one, other = one[keep], other[keep]
    return float(shapely.distance(np.array(shapes, dtype=object)[one], every[other]).min(initial=6.0))


def middle_of(placed: Placed) -> Floats:
    x0, y0, x1, y1 = placed.motif.box
    return np.asarray(placed.transform.apply(np.array([[(x0 + x1) / 2, (y0 + y1) / 2]]))[0])


# cells

SIDES = st.floats(8, 200)


@given(st.sampled_from(CELLED), SIDES, SIDES)
def test_a_cell_is_half_a_tile_large_and_sound(repeat: str, width: float, height: float) -> None:
    cell = polygon(OUTLINES[repeat](width, height))
    assert shapely.is_valid(cell)
    assert area(cell) == pytest.approx(width * height / 2, rel=1e-9)
    x0, y0, x1, y1 = shapely.bounds(cell).tolist()
    assert (x0, y0, x1, y1) == pytest.approx((-width / 2, -height / 2, width / 2, height / 2))


@settings(max_examples=30)
@given(st.sampled_from(CELLED), SIDES, SIDES)
def test_cells_fill_the_plane_without_overlap_or_hole(repeat: str, width: float, height: float) -> None:
    cell = polygon(OUTLINES[repeat](width, height))
    steps = [
        (i * width + k * width / 2, j * height + k * height / 2)
        for i, j, k in itertools.product((-1, 0, 1, 2), (-1, 0, 1, 2), (0, 1))
    ]
    every = [moved(cell, translation(*step)) for step in steps]
    tile = rectangle(0, 0, width, height)
    inside = [intersection(own, tile) for own in every]
    assert sum(map(area, inside)) == pytest.approx(width * height, rel=1e-4)
    assert area(union(inside)) == pytest.approx(width * height, rel=1e-4)
    spots = np.random.default_rng(5).random((200, 2)) * (width, height)
    edge = shapely.distance(
        shapely.union_all(shapely.boundary(np.array(every, dtype=object))), shapely.points(spots)
    )
    many = np.sum([covers_points(own, spots) for own in every], axis=0)
    assert (many == 1)[edge > 1e-6].all()


@pytest.mark.parametrize("repeat", CELLED)
@pytest.mark.parametrize("gap", [0.5, 2.0])
def test_drawn_cells_leave_the_gap_between_them(repeat: str, gap: float) -> None:
    layout = lay_cells([Setting(HOOK)], repeat, tile=(50, 60), gap=gap)
    shapes = [silhouette(placed) for placed in cells_of(layout)]
    assert len(shapes) == 2
    assert nearest(shapes, shapes, layout.lattice) == pytest.approx(gap, abs=0.02)
    # and they are all of the tile but for that
    left = 50 * 60 - sum(map(area, shapes))
    around = shapely.length(shapely.boundary(polygon(OUTLINES[repeat](50, 60))))
    assert left == pytest.approx(gap * around, rel=0.1)


@pytest.mark.parametrize("repeat", CELLED)
def test_what_is_drawn_of_a_cell(repeat: str) -> None:
    layouts = {
        kind: lay_cells([Setting(HOOK)], repeat, tile=(60, 80), drawn=kind)
        for kind in ("field", "band", "none")
    }
    (field, _), (band, _) = cells_of(layouts["field"]), cells_of(layouts["band"])
    assert not cells_of(layouts["none"])
    assert [part.name for part in field.motif.parts] == ["cloth"]
    assert [part.name for part in band.motif.parts] == ["band"]
    whole, ring = silhouette(field), silhouette(band)
    assert area(intersection(whole, ring)) == pytest.approx(area(ring), rel=1e-4)
    assert len(rings(ring)) == 2
    hole = polygon(rings(ring)[1])
    assert area(ring) + area(hole) == pytest.approx(area(whole), rel=1e-3)
    # as wide all round as a share of the tile says
    assert shapely.distance(hole, shapely.boundary(whole)) == pytest.approx(0.09 * 60, rel=1e-3)
    # cells lie under the motifs, and are named
    for layout in (layouts["field"], layouts["band"]):
        assert [placed.name for placed in layout.placed] == ["cell-1", "cell-2", "hook-1", "hook-2"]


@pytest.mark.parametrize("repeat", CELLED)
@pytest.mark.parametrize("drawn_as", ["field", "band", "none"])
@pytest.mark.parametrize("name", ["hook", "spike", "arrow", "wren", "whisker"])
def test_a_motif_stays_inside_its_cell_a_gap_off_its_edge(repeat: str, drawn_as: str, name: str) -> None:
    own = {"hook": HOOK, "spike": SPIKE, "arrow": ARROW, "whisker": WHISKER, "wren": library_motif("wren")}[
        name
    ]
    gap = 1.5
    layout = lay_cells([Setting(own)], repeat, tile=(44, 52), gap=gap, drawn=drawn_as)
    cell = shapely.buffer(polygon(OUTLINES[repeat](44, 52)), -gap / 2)
    if drawn_as == "band":
        cell = shapely.buffer(cell, -0.09 * 44)
    for placed, at in zip(own_of(layout), ((0, 0), (22, 26)), strict=True):
        room = shapely.transform(cell, translation(*at).apply)
        assert shapely.covers(room, drawn(placed))
        assert shapely.distance(drawn(placed), shapely.boundary(room)) >= gap - 0.03
        assert placed.transform.stretch <= 1
        # scaled down no more than need be
        if placed.transform.stretch < 1 - 1e-6:
            assert shapely.distance(drawn(placed), shapely.boundary(room)) < gap + 0.1


@pytest.mark.parametrize("repeat", CELLED)
@pytest.mark.parametrize("count", [1, 2, 3, 4, 5, 6, 8])
def test_motifs_are_dealt_to_the_cells_row_by_row_in_a_block_of_enough_tiles(repeat: str, count: int) -> None:
    every = [Setting(motif(disc(0, 0, 2), name=f"m{number}")) for number in range(count)]
    layout = lay_cells(every, repeat, tile=(20, 30), drawn="none")
    across, down = layout.lattice.unit
    assert across * down == math.ceil(count / 2)
    assert across >= down
    assert layout.lattice.tile == pytest.approx((20, 30))
    assert layout.lattice.multiples == (1, 1)
    spots = [middle_of(placed) for placed in layout.placed]
    rows = [(round(y * 2 / 30), float(x)) for x, y in spots]
    assert rows == sorted(rows)
    assert [placed.motif.name for placed in layout.placed] == [
        f"m{n % count}" for n in range(2 * across * down)
    ]
    # every cell of the block once, roomiest place of each
    first = spots[0]
    wanted = [(x * 10, y * 15) for y in range(2 * down) for x in range(y % 2, 2 * across, 2)]
    assert np.allclose(np.array(spots) - first, wanted)


@pytest.mark.parametrize("repeat", CELLED)
@pytest.mark.parametrize("drawn_as", ["field", "band", "none"])
def test_a_tile_left_out_holds_the_motifs_at_their_size(repeat: str, drawn_as: str) -> None:
    every = [Setting(HOOK), Setting(library_motif("wren"), turn=30)]
    layout = lay_cells(every, repeat, drawn=drawn_as, coverage=0.5)
    assert [placed.transform.stretch for placed in own_of(layout)] == pytest.approx([1, 1])
    width, height = layout.lattice.tile
    assert (width, height) == (round(width), round(height))
    assert max(area(silhouette(placed)) for placed in own_of(layout)) <= 0.5 * width * height / 2 + 1e-6
    smaller = lay_cells(every, repeat, tile=(width - 2, height - 3), drawn=drawn_as)
    largest = max(area(silhouette(placed)) for placed in own_of(layout))
    assert (
        min(placed.transform.stretch for placed in own_of(smaller)) < 1
        or largest > 0.5 * (width - 2) * (height - 3) / 2
    )


def test_a_scale_of_hers_is_kept_in_a_cell() -> None:
    layout = lay_cells([Setting(HOOK, 3.0)], "ogee", tile=(20, 30))
    assert [placed.transform.stretch for placed in own_of(layout)] == pytest.approx([3, 3])


@pytest.mark.parametrize("repeat", CELLED)
def test_tiles_without_room_are_refused(repeat: str) -> None:
    with pytest.raises(DesignError) as refusal:
        lay_cells([Setting(library_motif("wren"))], repeat, tile=(9, 9), gap=3, drawn="none")
    assert str(refusal.value) == (
        "a cell has no room for wren and a gap of 3 mm; make the tile larger or the gap smaller"
    )
    with pytest.raises(DesignError) as refusal:
        lay_cells([Setting(library_motif("wren"))], repeat, tile=(4, 5), gap=8)
    assert str(refusal.value) == (
        "a tile 4 mm wide leaves no cell beside a gap of 8 mm; make the tile larger or the gap smaller"
    )


# stripes


@settings(max_examples=25)
@given(
    st.integers(1, 4),
    st.floats(30, 160),
    st.floats(12, 160),
    st.sampled_from(["band", "field", "none"]),
    st.sampled_from([0.0, 1.5, 3.0]),
)
def test_stripes_are_columns_of_whole_numbers_without_overlap(
    count: int, width: float, height: float, drawn_as: str, gap: float
) -> None:
    every = [
        Setting(motif(disc(0, 0, 2 + number), name=f"m{number}"), turn=10 * number) for number in range(count)
    ]
    layout = lay_stripes(every, tile=(width, height), gap=gap, drawn=drawn_as)
    assert (layout.lattice.width, layout.lattice.height) == (width, height)
    lefts = []
    for number in range(count):
        spots = np.array([middle_of(own) for own in own_of(layout) if own.motif.name == f"m{number}"])
        assert np.ptp(spots[:, 0]) == pytest.approx(0)
        lefts.append(float(spots[0, 0]))
        y = np.sort(spots[:, 1])
        assert y[0] >= 0
        assert y[-1] < height + 1e-9
        steps = np.diff([*y, y[0] + height])
        assert steps == pytest.approx(height / len(y))
        # every other column begins half a step lower
        lower = height / len(y) * (0.5 if number % 2 else 0)
        first = min(float(spot) % (height / len(y)) for spot in y)
        assert math.remainder(first - height / len(y) / 2 - lower, height / len(y)) == pytest.approx(
            0, abs=1e-6
        )
    assert lefts == sorted(lefts)
    shapes = [silhouette(own) for own in own_of(layout)]
    factor = own_of(layout)[0].transform.stretch
    assert {round(own.transform.stretch, 9) for own in own_of(layout)} == {round(factor, 9)}
    assert nearest(shapes, shapes, layout.lattice) >= gap * factor - 1e-6
    if drawn_as == "band":
        bars = [silhouette(own) for own in cells_of(layout)]
        assert nearest(bars, shapes, layout.lattice) >= gap * factor - 1e-6
    if drawn_as == "field":
        panels = [silhouette(own) for own in cells_of(layout)]
        assert len(panels) == len(shapes)
        for panel, shape in zip(panels, shapes, strict=True):
            assert shapely.covers(shapely.buffer(panel, 1e-6), shape)
        assert nearest(panels, panels, layout.lattice) >= gap * factor - 1e-6


def test_a_wide_stripe_is_not_scaled_up_and_as_many_fit_as_there_is_room_for() -> None:
    layout = lay_stripes([Setting(motif(disc(0, 0, 5, 96)))], tile=(40, 50), gap=2.0)
    assert len(own_of(layout)) == math.floor(50 / 12)
    assert own_of(layout)[0].transform.stretch == pytest.approx(1)


@pytest.mark.parametrize("drawn_as", ["band", "field", "none"])
def test_a_stripe_s_own_tile_holds_the_motifs_at_their_size_clear_of_each_other(drawn_as: str) -> None:
    every = [Setting(HOOK), Setting(library_motif("wren"), turn=15), Setting(WHISKER)]
    layout = lay_stripes(every, drawn=drawn_as, coverage=0.45)
    assert [own.transform.stretch for own in own_of(layout)] == pytest.approx([1.0] * len(own_of(layout)))
    shapes = [drawn(own) for own in own_of(layout)]
    assert nearest(shapes, shapes, layout.lattice) >= 1.5 - 1e-6
    if drawn_as == "band":
        bars = [silhouette(own) for own in cells_of(layout)]
        assert nearest(bars, shapes, layout.lattice) >= 1.5 - 1e-6
        assert {part.name for own in cells_of(layout) for part in own.motif.parts} == {"band"}
    else:
        assert bool(cells_of(layout)) == (drawn_as == "field")


def test_motifs_taller_than_the_tile_are_scaled_down_to_it() -> None:
    layout = lay_stripes([Setting(library_motif("wren"))], tile=(120, 14), gap=1.5)
    shapes = [drawn(own) for own in own_of(layout)]
    assert nearest(shapes, shapes, layout.lattice) >= 1.5 - 1e-6
    assert len(shapes) == 1
    assert own_of(layout)[0].transform.stretch < 1


def test_a_stripe_without_room_is_refused() -> None:
    with pytest.raises(DesignError) as refusal:
        lay_stripes([Setting(library_motif("wren"))] * 60, tile=(20, 30))
    assert str(refusal.value) == (
        "a tile of 20 x 30 mm has no room for 60 columns of motifs; make the tile larger or name fewer motifs"
    )
    with pytest.raises(DesignError):
        lay_stripes([Setting(library_motif("wren"))], tile=(60, 3), gap=4)


# rings


def rings_in(layout: Layout) -> list[list[Placed]]:
    """Placed motifs by ring, the middle first."""
    middle = np.array([layout.lattice.width / 2, layout.lattice.height / 2])
    found: dict[float, list[Placed]] = {}
    for own in own_of(layout):
        found.setdefault(round(float(np.hypot(*(middle_of(own) - middle))), 4), []).append(own)
    return [found[far] for far in sorted(found)]


@settings(max_examples=25)
@given(
    st.integers(1, 4),
    st.floats(60, 130),
    st.floats(60, 200),
    st.sampled_from([0.0, 1.5, 4.0]),
    st.sampled_from(["none", "band", "field"]),
)
@example(1, 102.0, 102.0, 4.0, "field")
@example(2, 60.0, 60.0, 1.5, "none")
def test_rings_are_even_tops_outward_and_within_the_round(
    count: int, width: float, height: float, gap: float, drawn_as: str
) -> None:
    every = [Setting(HOOK), Setting(WHISKER, turn=-20), Setting(SPIKE, 0.3), Setting(ARROW, 0.4)][:count]
    layout = lay_rings(every, tile=(width, height), gap=gap, drawn=drawn_as)
    middle = np.array([width / 2, height / 2])
    radius = min(width, height) / 2 - gap
    inner, *outer = rings_in(layout)
    assert len(inner) == 1
    assert inner[0].motif.name == "hook"
    assert middle_of(inner[0]) == pytest.approx(middle)
    for ring in outer:
        name = ring[0].motif.name
        setting = next(one for one in every if one.motif.name == name)
        assert {own.motif.name for own in ring} == {name}
        way = np.array([middle_of(own) - middle for own in ring])
        angle = np.sort(np.degrees(np.arctan2(*way.T)))
        assert len(ring) >= 3
        assert np.diff([*angle, angle[0] + 360]) == pytest.approx(360 / len(ring))
        for own, (x, y) in zip(ring, way, strict=True):
            # up in the drawing, turned as she wants it, points away from the middle
            at = own.transform @ rotation(-setting.turn)
            up = np.array([-at.c, -at.d]) / math.hypot(at.c, at.d)
            assert up == pytest.approx(np.array([x, y]) / math.hypot(x, y), abs=1e-6)
            assert own.transform.stretch == pytest.approx(setting.factor)
    for own in layout.placed:
        corners = shapely.get_coordinates(drawn(own))
        assert np.hypot(*(corners - middle).T).max() <= radius + 1e-3
    shapes = np.array([drawn(own) for own in own_of(layout)], dtype=object)
    near = (
        shapely.STRtree(shapes).query(shapes, "dwithin", gap - 0.02) if gap else np.zeros((2, 0), dtype=int)
    )
    assert (near[0] == near[1]).all()
    for under in map(silhouette, cells_of(layout)):
        if drawn_as == "band":
            assert shapely.distance(under, shapes).min() >= gap - 0.05
        else:
            outside = shapely.distance(shapely.buffer(under, -0.05), shapes) > 0
            assert (outside | shapely.covers(shapely.buffer(under, 0.05), shapes)).all()
    assert bool(cells_of(layout)) == (drawn_as == "field" or (drawn_as == "band" and len(outer) > 0))


def test_rings_begin_anew_after_the_last_motif_and_pass_over_what_does_not_fit() -> None:
    small, large = Setting(motif(disc(0, 0, 2), name="small")), Setting(motif(disc(0, 0, 14), name="large"))
    layout = lay_rings([small, large, small], tile=(140, 160))
    names = [ring[0].motif.name for ring in rings_in(layout)]
    assert names[:3] == ["small", "large", "small"]
    assert "large" not in names[3:]
    assert len(names) > 3
    counts = Counter(own.name for own in layout.placed)
    assert set(counts.values()) == {1}
    # one sheet
    assert not layout.steps
    assert (layout.lattice.width, layout.lattice.height) == (140, 160)


def test_a_ring_without_room_for_its_middle_is_refused() -> None:
    with pytest.raises(DesignError) as refusal:
        lay_rings([Setting(motif(disc(0, 0, 30, 96)))], tile=(40, 90))
    assert str(refusal.value) == (
        "spot needs a field of 63 mm, and there are 40; choose a larger sheet, or give the motif a smaller scale"
    )


# whole pieces


def spread_of(pattern: str, inks: int = 4, colouring: str = 'ground = "paper"', size: str = "") -> Spreading:
    text = design_text(inks, pattern, colouring)
    return spread_piece(piece(text.replace('size = "A4"', size or 'size = "A4"')))


@pytest.mark.parametrize(
    ("pattern", "inks"),
    [
        ('repeat = "ogee"\nmotifs = ["drop"]\ntile = [30, 48]', 4),
        ('repeat = "diamond"\nmotifs = ["drop", "seed"]\ntile = [30, 40]\ncells = "band"', 4),
        ('repeat = "scallop"\nmotifs = ["drop"]\ntile = [32, 32]\ncells = "none"', 4),
        ('repeat = "stripe"\nmotifs = ["drop", "seed"]\ntile = [30, 30]', 4),
        ('repeat = "ring"\nmotifs = ["drop", "seed"]\ncells = "band"', 4),
        ('repeat = "p3"\nmotifs = ["drop"]\ntile = 26', 4),
    ],
)
def test_whole_pieces_are_inked_without_contact(pattern: str, inks: int) -> None:
    found = spread_of(pattern, inks, size="size = [70, 70]")
    assert found.problem.contact(found.inks) == 0
    assert set(found.inks.tolist()) == set(range(inks))
    assert found.plan.tiles is None if '"ring"' in pattern else found.plan.tiles is not None


def test_a_wish_says_what_is_drawn_of_cells() -> None:
    usual = {repeat: arrange([Setting(HOOK)], Wish(repeat, tile=(60, 60))) for repeat in DRAWN}
    named = {
        repeat: {p.name for own in cells_of(layout) for p in own.motif.parts}
        for repeat, layout in usual.items()
    }
    assert named == {
        "ogee": {"cloth"},
        "diamond": {"cloth"},
        "scallop": {"cloth"},
        "stripe": {"band"},
        "ring": set(),
    }
    for repeat in DRAWN:
        layout = arrange([Setting(HOOK)], Wish(repeat, tile=(60, 60), cells="field"))
        assert {p.name for own in cells_of(layout) for p in own.motif.parts} == {"cloth"}
        assert visible(layout).nodes


def test_a_ring_fills_the_sheet_s_field() -> None:
    wish = Wish("ring", room=(90, 130))
    layout = arrange([Setting(HOOK)], wish)
    assert (layout.lattice.width, layout.lattice.height) == (90, 130)
