"""Borders of motifs: the published frieze groups, whole repeats, like ends, made corners, nothing beside the band."""

import itertools
import json
import math
import re
from dataclasses import astuple
from fractions import Fraction
from typing import Any

import numpy as np
import pytest
import shapely
from builders import PUBLISHED, design_text, disc, motif, piece, square
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from mockup.errors import DesignError
from mockup.geometry.affine import Affine, rotation, scaling, translation
from mockup.geometry.shapes import Shape, area, difference, intersection, moved, polygon, rectangle, union
from mockup.jobs.piece import Piece
from mockup.jobs.preview import preview_scene
from mockup.jobs.spreading import spread_piece
from mockup.pattern.frieze import FRIEZES, Strip, frieze, run
from mockup.pattern.motif import LineWork, Motif
from mockup.pattern.motif_library import library_motif
from mockup.rendering.canvas import pixels

Floats = NDArray[np.float64]

GROUPS: dict[str, dict[str, Any]] = {
    group["ite_symbol"]: group
    for group in json.loads((PUBLISHED / "frieze_groups.json").read_text(encoding="utf-8"))["groups"]
}
ROWS = {"p11m": 2, "p2mm": 2}
LIKE_ENDS = ("p211", "p1m1", "p2mm", "p2mg")

HOOK = motif(
    polygon(np.array([(0, 0), (9, 2), (7, 6), (2, 4)], dtype=float)),
    disc(4.2, 2.9, 1.2, 8),
    name="hook",
    groups=("body", "eye"),
)
"""An outline without any symmetry."""

WEDGE = motif(polygon(np.array([(0, 0), (4, 0), (1, 9)], dtype=float)), name="wedge")
BLOCK = motif(square(0, 0, 10), name="block")
BAR = motif(rectangle(0, 0, 30, 4), name="bar")
OUTER = (5.0, 8.0, 145.0, 208.0)


# the published table


def operation(position: str) -> tuple[float, ...]:
    """Read "-x+1/2,y" as a map."""
    found = {"x": [0.0, 0.0, 0.0], "y": [0.0, 0.0, 0.0]}
    for row, text in zip("xy", position.split(","), strict=True):
        for sign, term in re.findall(r"([+-]?)([xy]|\d+/\d+|\d+)", text):
            value = -1.0 if sign == "-" else 1.0
            if term in "xy":
                found[row]["xy".index(term)] += value
            else:
                found[row][2] += value * float(Fraction(term))
    (a, c, e), (b, d, f) = found["x"], found["y"]
    return a, b, c, d, e, f


def modulo(at: tuple[float, ...]) -> tuple[float, ...]:
    """A map but for whole repeats along the strip."""
    return *(part + 0.0 for part in at[:4]), at[4] % 1, at[5] + 0.0


def test_there_are_the_seven_groups() -> None:
    assert list(FRIEZES) == list(GROUPS)


@pytest.mark.parametrize("group", FRIEZES)
def test_positions_are_those_of_the_published_table(group: str) -> None:
    own = [modulo(astuple(at)) for at in FRIEZES[group]]
    assert len(set(own)) == len(own) == GROUPS[group]["order_mod_translation"]
    assert set(own) == {modulo(operation(text)) for text in GROUPS[group]["positions"]}
    assert FRIEZES[group][0] == Affine()


@pytest.mark.parametrize("group", FRIEZES)
def test_positions_close_into_a_group_that_the_published_generators_make(group: str) -> None:
    own = {modulo(astuple(at)) for at in FRIEZES[group]}
    for one, other in itertools.product(FRIEZES[group], repeat=2):
        assert modulo(astuple(one @ other)) in own
    made, fresh = {modulo(astuple(Affine()))}, {modulo(astuple(Affine()))}
    makers = [Affine(*operation(text)) for text in GROUPS[group]["generators"]]
    while fresh:
        fresh = {modulo(astuple(at @ Affine(*old))) for old in fresh for at in makers} - made
        made |= fresh
    assert made == own


# strips


def sides_of(outer: tuple[float, float, float, float], width: float) -> list[tuple[Affine, float]]:
    """Top, right, bottom, left: how the strip's own frame (x along, y from the outer edge) lies, and its length."""
    x0, y0, x1, y1 = outer
    return [
        (translation(x0 + width, y0), x1 - x0 - 2 * width),
        (translation(x1, y0 + width) @ rotation(90), y1 - y0 - 2 * width),
        (translation(x1 - width, y1) @ rotation(180), x1 - x0 - 2 * width),
        (translation(x0, y1 - width) @ rotation(270), y1 - y0 - 2 * width),
    ]


def on_side(strip: Strip, at: Affine, length: float, width: float) -> list[Shape]:
    """Silhouettes of one side in its own frame, from its start on."""
    own = [moved(fill, at.inverse) for fill in strip.fills]
    boxes = shapely.bounds(np.array(own, dtype=object))
    middle = (boxes[:, :2] + boxes[:, 2:]) / 2
    keep = (middle > 0).all(axis=1) & (middle[:, 0] < length) & (middle[:, 1] < width)
    order = np.lexsort((middle[:, 1], np.round(middle[:, 0], 6)))
    return [own[number] for number in order.tolist() if keep[number]]


MOTIFS = {"hook": [HOOK], "hook and wedge": [HOOK, WEDGE, BLOCK], "wren": [library_motif("wren"), BLOCK]}


def repeats_in(fills: list[Shape], group: str, kinds: int) -> int:
    """How often a strip repeats, from how many motifs it has."""
    count, left = divmod(len(fills), len(FRIEZES[group]) * kinds)
    assert left == 0, "no whole number of repeats"
    return count


CASES = [(group, name) for group in FRIEZES for name in MOTIFS]


@pytest.mark.parametrize(("group", "name"), CASES)
@pytest.mark.parametrize("width", [9.0, 14.0])
def test_each_side_holds_whole_repeats_with_equal_gaps_half_of_one_at_both_ends(
    group: str, name: str, width: float
) -> None:
    motifs = MOTIFS[name]
    strip = frieze(motifs, OUTER, width, group)
    rows = ROWS.get(group, 1)
    counts = []
    for at, length in sides_of(OUTER, width):
        fills = on_side(strip, at, length, width)
        counts.append(repeats_in(fills, group, max(1, len(motifs) - 1)))
        boxes = shapely.bounds(np.array(fills, dtype=object))
        upper = (boxes[:, 1] + boxes[:, 3]) / 2 < width / 2
        for row in [boxes[upper], boxes[~upper]] if rows == 2 else [boxes]:
            left, right = np.sort(row[:, 0]), np.sort(row[:, 2])
            gaps = left[1:] - right[:-1]
            assert len(gaps) > 1
            assert np.ptp(gaps) < 1e-6
            assert gaps[0] > 0
            assert left[0] == pytest.approx(gaps[0] / 2, abs=1e-6)
            assert length - right[-1] == pytest.approx(gaps[0] / 2, abs=1e-6)
    assert counts[0] == counts[2]
    assert counts[1] == counts[3]
    # all of it: sides, and four corners
    assert len(strip.fills) == sum(counts) * len(FRIEZES[group]) * max(1, len(motifs) - 1) + 4


@pytest.mark.parametrize(("group", "name"), CASES)
def test_a_strip_is_invariant_under_its_group(group: str, name: str) -> None:
    """The published generators, in repeats along the strip and about its middle line, on the central part."""
    motifs, width = MOTIFS[name], 9.0
    strip = frieze(motifs, (0, 0, 120, 330), width, group)
    at, length = sides_of((0, 0, 120, 330), width)[1]
    fills = on_side(strip, at, length, width)
    count = repeats_in(fills, group, max(1, len(motifs) - 1))
    assert count >= 3
    step, whole = length / count, union(fills)
    scaled = translation(0, width / 2) @ scaling(step)
    window = rectangle(1.01 * step, 0, length - 1.01 * step, width)
    for text in [*GROUPS[group]["generators"], *GROUPS[group]["positions"]]:
        own = scaled @ Affine(*operation(text)) @ scaled.inverse
        middle = own.apply(np.array([[length / 2, 0.0]]))[0][0]
        back = translation(round((length / 2 - middle) / step) * step, 0) @ own
        after = intersection(moved(whole, back), window)
        before = intersection(whole, window)
        assert area(difference(after, before)) + area(difference(before, after)) < 0.01 * count
        assert area(before) > 0.2 * area(whole)


@pytest.mark.parametrize("group", FRIEZES)
def test_other_groups_than_its_own_do_not_hold(group: str) -> None:
    """A motif without symmetry: operations that the group does not have change the strip."""
    fills = list(run([HOOK], 200.0, 10.0, group).fills)
    count = repeats_in(fills, group, 1)
    step, whole = 200.0 / count, union(fills)
    kept = set()
    for a, d, half in itertools.product((1, -1), (1, -1), (0, 1)):
        differs = []
        for slide in np.arange(0, 1, 0.125) if a == -1 else (half / 2,):
            own = translation(slide * step, 5) @ Affine(a=a, d=d) @ translation(0, -5)
            middle = own.apply(np.array([[100.0, 0.0]]))[0][0]
            after = moved(whole, translation(round((100 - middle) / step) * step, 0) @ own)
            window = rectangle(1.6 * step, 0, 200 - 1.6 * step, 10)
            one, other = intersection(after, window), intersection(whole, window)
            differs.append(area(difference(one, other)) + area(difference(other, one)))
        if min(differs) < 0.05:
            kept.add((a, d))
    assert kept == {(int(at.a), int(at.d)) for at in FRIEZES[group]}


@pytest.mark.parametrize("group", LIKE_ENDS)
@pytest.mark.parametrize("name", MOTIFS)
def test_strips_with_a_mirror_or_a_half_turn_are_alike_at_both_ends(group: str, name: str) -> None:
    strip, width = frieze(MOTIFS[name], OUTER, 9.0, group), 9.0
    for at, length in sides_of(OUTER, width):
        whole = union(on_side(strip, at, length, width))
        mirror = translation(length, 0) @ scaling(-1, 1)
        turn = translation(length, width) @ rotation(180)
        found = [area(difference(moved(whole, own), whole)) for own in (mirror, turn)]
        assert min(found) < 0.05
        if group in {"p1m1", "p2mm"}:
            assert found[0] < 0.05


@settings(max_examples=20)
@given(
    st.sampled_from(sorted(FRIEZES)),
    st.sampled_from([(HOOK,), (WEDGE,), (BLOCK,), (BAR,), (HOOK, WEDGE), (WEDGE, BAR), (BLOCK, HOOK, WEDGE)]),
    st.floats(4, 16),
    st.floats(130, 260),
    st.floats(130, 320),
)
def test_nothing_of_a_strip_lies_outside_its_band_or_on_another_motif(
    group: str, motifs: tuple[Motif, ...], width: float, across: float, down: float
) -> None:
    outer = (3.0, 4.0, 3 + across, 4 + down)
    strip = frieze(motifs, outer, width, group)
    band = difference(
        rectangle(*outer),
        rectangle(outer[0] + width, outer[1] + width, outer[2] - width, outer[3] - width),
    )
    shapes = np.array(strip.fills, dtype=object)
    assert area(difference(union(strip.fills), band)) < 1e-3
    one, other = shapely.STRtree(shapes).query(shapes, "dwithin", 1e-3)
    assert (one == other).all()
    # lines are left bare inside the motifs
    if strip.lines:
        lines = shapely.MultiLineString(list(strip.lines))
        assert (
            shapely.length(shapely.difference(lines, shapely.union_all(shapely.buffer(shapes, 1e-3)))) < 1e-3
        )


@pytest.mark.parametrize("corner", [HOOK, WEDGE, BLOCK, BAR, library_motif("wren")], ids=lambda m: m.name)
def test_a_corner_s_motif_stands_on_the_diagonal_inside_its_square(corner: Motif) -> None:
    width = 12.0
    strip = frieze([BLOCK, corner], OUTER, width, "p1")
    x0, y0, x1, y1 = OUTER
    half = width / 2
    spots = [(x1 - half, y0 + half), (x1 - half, y1 - half), (x0 + half, y1 - half), (x0 + half, y0 + half)]
    x, y, far_x, far_y = corner.box
    top = np.array([[(x + far_x) / 2, y], [(x + far_x) / 2, (y + far_y) / 2]])
    for number, (across, down) in enumerate(spots):
        box = rectangle(across - half, down - half, across + half, down + half)
        (own,) = [fill for fill in strip.fills if area(intersection(fill, box)) > 1e-6]
        assert area(difference(own, box)) < 1e-6
        # as large as goes, and clear of the square's edge
        left = shapely.distance(own, shapely.boundary(box))
        assert 0.03 * width < left < 0.2 * width
        # the motif, its top outward on the diagonal
        size = math.sqrt(area(own) / area(union(part.shape for part in corner.parts)))
        at = translation(across, down) @ rotation(45 + 90 * number) @ scaling(size) @ translation(*-top[1])
        wanted = union(moved(part.shape, at) for part in corner.parts)
        assert area(difference(wanted, own)) < 0.05
        way = at.apply(top)
        outward = (way[0] - way[1]) / np.hypot(*(way[0] - way[1]))
        away = np.array([across, down]) - [(x0 + x1) / 2, (y0 + y1) / 2]
        assert outward == pytest.approx(np.sign(away) / math.sqrt(2))


def test_the_only_motif_makes_the_corners_too_and_of_several_the_last() -> None:
    width = 10.0
    sizes = {
        area(own.parts[0].shape) / math.prod((own.box[2] - own.box[0], own.box[3] - own.box[1]))
        for own in (BLOCK, WEDGE)
    }
    assert len(sizes) == 2

    def fullness(fill: Shape) -> float:
        """Share of the smallest rectangle round a shape that it covers."""
        return area(fill) / float(shapely.area(shapely.oriented_envelope(fill)))

    alone, two = frieze([WEDGE], OUTER, width), frieze([WEDGE, BLOCK], OUTER, width)
    assert {round(fullness(fill), 3) for fill in alone.fills} == {0.5}
    full = [round(fullness(fill), 3) for fill in two.fills]
    assert full.count(1.0) == 4
    assert set(full) == {0.5, 1.0}


def test_tops_are_outward_on_every_side() -> None:
    """The wedge's broad side is its top."""
    width = 10.0
    for at, length in sides_of(OUTER, width):
        for fill in on_side(frieze([WEDGE], OUTER, width, "p1"), at, length, width):
            points = shapely.get_coordinates(fill)[:-1]
            assert (points[:, 1] < width / 2).sum() == 2


def test_motifs_are_as_tall_as_the_strip_allows() -> None:
    for group in FRIEZES:
        fills = run([WEDGE], 300.0, 10.0, group).fills
        tall = {round(float(np.ptp(shapely.get_coordinates(fill)[:, 1])), 6) for fill in fills}
        assert tall == {4.0 if group in ROWS else 8.0}


def test_a_side_that_is_too_short_is_refused() -> None:
    with pytest.raises(DesignError) as refusal:
        frieze([BAR, BLOCK, BAR], (0, 0, 90, 70), 20.0, "p2mg")
    need = 4 * (32 + 16 + 2 * 0.06 * 16)
    assert str(refusal.value) == (
        f"the border's motifs need {need:.0f} mm of a side, and the shortest has 30; "
        "make the border narrower, or name fewer motifs for it"
    )


def test_a_motif_of_lines_alone_is_refused() -> None:
    lines = Motif("twig", 9, 9, (LineWork((np.array([[0.0, 0], [5, 5]]),), (False,), 0.4, "#000"),), ())
    with pytest.raises(DesignError) as refusal:
        frieze([lines], OUTER, 10.0)
    assert str(refusal.value) == "twig has no filled part; name another motif for the border"


def test_lines_between_the_parts_and_line_work_are_left_bare() -> None:
    wren = library_motif("wren")
    assert not frieze([WEDGE], OUTER, 10.0).lines
    strip = frieze([wren], OUTER, 14.0)
    assert strip.lines
    # inside the silhouette, off its edge
    edges = shapely.boundary(shapely.union_all(np.array(strip.fills, dtype=object)))
    for line in strip.lines:
        assert shapely.distance(edges, shapely.LineString(line)) > 0.02


# designs


def bordered(colouring: str, border: str = "") -> Piece:
    """A small sheet with a border of motifs."""
    text = design_text(5, 'repeat = "straight"\nmotifs = ["drop"]\ntile = [16, 16]', colouring)
    text = text.replace('size = "A4"', "size = [100, 130]")
    return piece(f'{text}\n[border]\nstyle = "motifs"\nmotifs = ["leaflet", "seed"]\nwidth = 10\n{border}\n')


def test_a_border_is_in_the_dark_ink() -> None:
    own = bordered('ground = "light"')
    assert own.border
    assert own.border.colour == own.palette.darkest.colour.hex
    assert own.border.gap == 0


def test_on_a_ground_of_its_own_ink_a_border_is_in_the_dominant_with_paper_between() -> None:
    own = bordered('ground = "dark"')
    assert own.ground is not None
    assert own.palette.inks[own.ground].name == own.palette.darkest.name
    assert own.border
    assert own.palette.dominant
    assert own.border.colour == own.palette.dominant.colour.hex
    assert own.border.colour != own.ground_colour.hex
    assert own.border.gap > 0
    # seen: from the strip inward the paper, the line, the paper again, then the field
    dpi = 254.0
    picture = pixels(preview_scene(spread_piece(own)), dpi)
    x0, y0, _, y1 = own.outer
    row = round((y0 + y1) / 2 * 10)
    met: list[str] = []
    for column in range(round((x0 + own.border.width) * 10) - 2, round((own.field[0] + 0.1) * 10) + 3):
        colour = "#" + bytes(picture[row, column].tolist()).hex()
        if not met or met[-1] != colour:
            met.append(colour)
    pure = [colour for colour in met if colour in {own.paper.hex, own.border.colour, own.ground_colour.hex}]
    assert pure == [own.paper.hex, own.border.colour, own.paper.hex, own.ground_colour.hex]


@pytest.mark.parametrize("group", FRIEZES)
def test_a_design_s_strip_lies_between_sheet_and_field(group: str) -> None:
    own = bordered('ground = "light"', f'frieze = "{group}"')
    assert own.border
    assert own.border.strip
    width, whole = own.border.width, union(own.border.strip.fills)
    x0, y0, x1, y1 = own.outer
    assert area(difference(whole, rectangle(*own.outer))) < 1e-6
    assert area(intersection(whole, rectangle(x0 + width, y0 + width, x1 - width, y1 - width))) < 1e-6
    assert own.field[0] > x0 + width
    at, length = sides_of(own.outer, width)[0]
    repeats_in(on_side(own.border.strip, at, length, width), group, 1)


def test_a_border_without_motifs_of_its_own_has_the_pattern_s() -> None:
    text = design_text(4, 'repeat = "straight"\nmotifs = ["seed"]\ntile = [16, 16]')
    own = piece(f'{text}\n[border]\nstyle = "motifs"\n')
    seed = frieze([library_motif("seed")], own.outer, 14.0, "p1m1")
    assert own.border
    assert own.border.strip
    assert [area(fill) for fill in own.border.strip.fills] == pytest.approx(
        [area(fill) for fill in seed.fills]
    )


def test_a_border_that_does_not_fit_is_refused_by_the_design() -> None:
    text = design_text(4, 'repeat = "straight"\nmotifs = ["drop"]').replace(
        'size = "A4"', "size = [100, 130]"
    )
    border = '[border]\nstyle = "motifs"\nwidth = 36\nmotifs = ["wren"]\n'
    with pytest.raises(DesignError) as refusal:
        piece(f"{text}\n{border}")
    assert re.fullmatch(
        r"test\.toml, \[border\]: the border's motifs need \d+ mm of a side, and the shortest has 12; "
        r"make the border narrower, or name fewer motifs for it",
        str(refusal.value),
    )
    with pytest.raises(DesignError) as refusal:
        piece(f'{text}\n[border]\nfrieze = "p2mg"\n')
    assert str(refusal.value) == (
        'test.toml, [border] frieze: a border without style has no use for it; leave it out, or write style = "motifs"'
    )
