"""A drawing whose page is the repeat unit: what the edges cut is one again, copies are kept once, faults are told."""

import itertools
import math
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from builders import disc
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from mockup.geometry import seams, shapes
from mockup.geometry.affine import translation
from mockup.geometry.lattice import Lattice
from mockup.geometry.seams import Step, basis
from mockup.geometry.shapes import Shape, annulus, polygon, rectangle
from mockup.pattern.motif import Element, LineWork, Motif, Part
from mockup.pattern.seams import MOST_TOLD, Joined, join_seams

WIDE, HIGH = 40.0, 30.0
STRAIGHT = Lattice(WIDE, HIGH)
HALF = Lattice(WIDE, HIGH, drop=Fraction(1, 2))
BRICK = Lattice(WIDE, HIGH, step=Fraction(1, 2))
PAGES = (
    STRAIGHT,
    HALF,
    Lattice(WIDE, HIGH, drop=Fraction(1, 3)),
    Lattice(WIDE, HIGH, drop=Fraction(2, 5)),
    BRICK,
    Lattice(WIDE, HIGH, step=Fraction(1, 3)),
)
SLIGHT = 0.3
"""What is smaller than this (mm2) may stay cut off: hairs at the edge."""

ANYWHERE = st.tuples(st.floats(0, WIDE), st.floats(0, HIGH))


def part(shape: Shape, name: str = "petal", group: str = "", fill: str = "", side: str = "") -> Part:
    return Part(name, group or name, shape, side, fill, "1" if side else "")


def line(*points: tuple[float, float], closed: bool = False, stroke: str = "black") -> LineWork:
    return LineWork((np.array(points, dtype=float),), (closed,), 0.4, stroke)


def joined(lattice: Lattice, *elements: Element) -> Joined:
    return join_seams(Motif("own", lattice.width, lattice.height, tuple(elements), ()), lattice)


def by(shape: Shape, lattice: Lattice, i: int, j: int) -> Shape:
    return shapes.moved(shape, translation(*lattice.shift(i, j)))


def cut(shape: Shape, lattice: Lattice) -> list[Shape]:
    """What the page shows of a shape and all its copies: one shape a copy."""
    page = rectangle(0, 0, lattice.width, lattice.height)
    steps = lattice.copies(shapes.box_of([shape]), (0, 0, lattice.width, lattice.height))
    found = [shapes.intersection(by(shape, lattice, *step), page) for step in steps]
    return [own for own in found if shapes.area(own) > 0]


def off(one: Shape, other: Shape) -> float:
    return shapes.area(shapes.difference(one, other)) + shapes.area(shapes.difference(other, one))


def off_by_a_step(one: Shape, other: Shape, lattice: Lattice) -> float:
    """How much two shapes differ, mm2, the other moved by the step that brings its middle nearest."""
    steps = [(i, j) for i in range(-3, 4) for j in range(-4, 5)]
    moves = np.array([lattice.shift(*step) for step in steps])
    away = np.array(shapes.centroid(other)) + moves - np.array(shapes.centroid(one))
    return off(one, by(other, lattice, *steps[int(np.hypot(*away.T).argmin())]))


@st.composite
def flower_beds(draw: st.DrawFn) -> list[Shape]:
    """Six bodies that do not meet, nor their copies: discs and stars."""
    found = []
    for number in range(6):
        corners = 2 * draw(st.integers(4, 20))
        reach = np.full(corners, draw(st.floats(3, 6)))
        reach[::2] *= draw(st.sampled_from((1.0, 0.8, 0.5)))
        turn = np.linspace(0, 2 * math.pi, corners, endpoint=False) + draw(st.floats(0, 1))
        x, y = (number % 3 + 0.5) * WIDE / 3, (number // 3 + 0.5) * HIGH / 2
        found.append(polygon(np.column_stack((x + reach * np.cos(turn), y + reach * np.sin(turn)))))
    return found


def cut_up(bodies: Sequence[Shape], move: tuple[float, float], lattice: Lattice) -> list[Part]:
    placed = [shapes.moved(body, translation(*move)) for body in bodies]
    return [
        part(piece, f"{number}-{rank}", fill="red")
        for number, body in enumerate(placed)
        for rank, piece in enumerate(cut(body, lattice))
    ]


def told_areas(found: Joined) -> list[float]:
    areas = sorted(shapes.area(own.shape) for own in found.motif.parts)
    return [own for own in areas if own > SLIGHT]


# what is cut is put together


@settings(max_examples=30)
@given(st.sampled_from(PAGES), flower_beds(), ANYWHERE, st.randoms(use_true_random=False))
def test_what_the_edges_cut_is_one_again_wherever_they_cut(lattice, bodies, move, chance) -> None:  # type: ignore[no-untyped-def]
    parts = cut_up(bodies, move, lattice)
    chance.shuffle(parts)
    found = joined(lattice, *parts)
    whole = [own for own in found.motif.parts if shapes.area(own.shape) > SLIGHT]
    assert len(whole) == len(bodies)
    for own in whole:
        body = shapes.moved(bodies[int(own.name.partition("-")[0])], translation(*move))
        assert off_by_a_step(body, own.shape, lattice) < SLIGHT
    assert not found.ground
    assert not found.stripes


@settings(max_examples=15)
@given(st.sampled_from(PAGES), flower_beds(), ANYWHERE, ANYWHERE)
def test_the_page_may_begin_anywhere_in_a_pattern(lattice, bodies, one, other) -> None:  # type: ignore[no-untyped-def]
    found = [told_areas(joined(lattice, *cut_up(bodies, move, lattice))) for move in (one, other)]
    assert found[0] == pytest.approx(found[1], abs=SLIGHT)


@settings(max_examples=15)
@given(st.sampled_from(PAGES), flower_beds(), ANYWHERE)
def test_what_no_edge_cuts_stays_the_very_part_and_the_order_is_kept(lattice, bodies, move) -> None:  # type: ignore[no-untyped-def]
    parts = cut_up(bodies, move, lattice)
    found = joined(lattice, *parts)
    inside = [
        own
        for own in parts
        if (box := shapes.box_of([own.shape]))[0] > 0.06
        and box[1] > 0.06
        and box[2] < WIDE - 0.06
        and box[3] < HIGH - 0.06
    ]
    assert all(any(own is kept for kept in found.motif.parts) for own in inside)
    names = [own.name for own in parts]
    order = [names.index(own.name) for own in found.motif.parts]
    assert order == sorted(order)


def test_a_drawing_without_seams_is_given_back_as_it_is() -> None:
    motif = Motif("own", WIDE, HIGH, (part(disc(20, 15, 5)), line((1, 1), (9, 9))), ())
    found = join_seams(motif, HALF)
    assert found.motif is motif
    assert found.bare is motif
    assert (found.ground, found.stripes, found.mismatches, found.notes) == ((), (), (), ())


def test_a_page_that_is_not_what_steps_is_refused() -> None:
    with pytest.raises(ValueError, match="a page of 40 x 30 mm cannot step by 40 x 31 mm"):
        join_seams(Motif("own", WIDE, HIGH, (), ()), Lattice(WIDE, 31))


@pytest.mark.parametrize("lattice", PAGES)
def test_a_ring_round_the_corner_of_the_page_keeps_its_hole(lattice: Lattice) -> None:
    ring = shapes.moved(annulus(4, 7, 60), translation(39, 1))
    pieces = cut(ring, lattice)
    assert len(pieces) >= 3
    (own,) = joined(lattice, *(part(piece, f"ring-{n}") for n, piece in enumerate(pieces))).motif.parts
    assert off_by_a_step(ring, own.shape, lattice) < 0.01
    assert len(shapes.rings(own.shape)) == 2


def test_the_larger_piece_gives_name_and_place_and_the_page_of_the_other_is_left() -> None:
    large = part(rectangle(30, 10, 40, 20), "leaf", "green", "#070")
    small = part(rectangle(0, 10, 4, 20), "blade", "lime", "#070")
    found = joined(STRAIGHT, small, part(disc(20, 25, 2), "dot"), large)
    assert [own.name for own in found.motif.parts] == ["dot", "leaf"]
    leaf = found.motif.parts[1]
    assert shapes.box_of([leaf.shape]) == (30, 10, 44, 20)
    assert (leaf.group, leaf.fill) == ("green", "#070")
    mirrored = joined(
        HALF, part(rectangle(36, 1, 40, 9), "a"), part(rectangle(0, 16, 10, 24), "b")
    ).motif.parts
    assert [(own.name, shapes.box_of([own.shape])) for own in mirrored] == [("b", (-4, 16, 10, 24))]


def test_groups_and_figures_that_go_on_in_each_other_are_one() -> None:
    found = joined(
        STRAIGHT,
        part(rectangle(35, 10, 40, 20), "arm", "arms", side="skin"),
        replace(part(disc(30, 15, 2), "hand", "arms", side="skin")),
        replace(part(rectangle(0, 10, 3, 20), "sleeve", "left", side="skin"), figure="girl"),
        replace(part(disc(12, 15, 2), "face", "left", side="skin"), figure="girl"),
        part(disc(20, 25, 2), "dot"),
    )
    assert [own.group for own in found.motif.parts] == ["arms", "arms", "arms", "dot"]
    assert {own.figure for own in found.motif.parts if own.side} == {"1"}
    assert found.notes == ('the group "left" goes on in "arms", and is one with it',)


def test_one_path_of_many_leaves_is_no_ground_and_stays_one_part() -> None:
    bodies = [disc(0, 15, 4), disc(20, 0, 4), disc(20, 15, 4)]
    leaves = seams.together([piece for body in bodies for piece in cut(body, STRAIGHT)])
    found = joined(STRAIGHT, part(leaves, "leaves"))
    (own,) = found.motif.parts
    assert (found.ground, found.stripes) == ((), ())
    assert len(shapes.pieces(own.shape)) == 3
    assert shapes.area(own.shape) == pytest.approx(shapes.area(leaves), abs=1e-3)


def test_edges_drawn_a_little_off_are_brought_together() -> None:
    found = joined(STRAIGHT, part(rectangle(30, 10, 39.96, 20), "a"), part(rectangle(0.04, 10, 8, 20), "b"))
    (own,) = found.motif.parts
    assert len(shapes.pieces(own.shape)) == 1
    assert off(own.shape, rectangle(30, 10, 48, 20)) < 1e-6
    apart = joined(STRAIGHT, part(rectangle(30, 10, 39.9, 20), "a"), part(rectangle(0.1, 10, 8, 20), "b"))
    assert len(apart.motif.parts) == 2


def test_neighbours_that_meet_by_a_hair_and_shapes_that_only_touch_the_edge_stay_apart() -> None:
    neighbours = joined(
        STRAIGHT,
        part(rectangle(30, 2, 40, 12), "a"),
        part(rectangle(30, 12, 40, 20), "b"),
        part(rectangle(0, 2, 10, 12.1), "c"),
        part(rectangle(0, 12.1, 10, 20), "d"),
    )
    boxes = sorted(shapes.box_of([own.shape])[1::2] for own in neighbours.motif.parts)
    assert boxes == [(2, 12.1), (12, 20)]
    touching = joined(STRAIGHT, part(disc(34, 15, 6, 200), "a"), part(disc(6.01, 15, 6, 200), "b"))
    assert len(touching.motif.parts) == 2
    assert not touching.mismatches


def test_shapes_that_overlap_at_the_edge_find_each_its_own_other_half() -> None:
    halves = [
        part(piece, f"{name}{number}")
        for name, body in (("a", disc(0, 15, 6)), ("b", disc(0, 17, 3)), ("c", disc(0, 22, 6)))
        for number, piece in enumerate(cut(body, STRAIGHT))
    ]
    found = joined(STRAIGHT, *halves)
    assert [round(shapes.area(own.shape)) for own in found.motif.parts] == [112, 28, 112]


@pytest.mark.parametrize("order", list(itertools.permutations(range(4))))
def test_petals_that_end_alike_at_the_edge_go_on_as_they_bend(order: Sequence[int]) -> None:
    bodies = [disc(-2.5, 12, 4), disc(2.5, 12, 4)]
    halves = [
        part(piece, f"p{n}") for n, piece in enumerate(one for own in bodies for one in cut(own, STRAIGHT))
    ]
    found = joined(STRAIGHT, *(halves[number] for number in order))
    assert [shapes.area(own.shape) for own in found.motif.parts] == pytest.approx([49.69] * 2, abs=0.01)


def test_a_stem_as_thin_as_a_hair_goes_on() -> None:
    found = joined(
        STRAIGHT,
        part(rectangle(30, 10, 40, 10.2), "a"),
        part(rectangle(0, 10, 8, 10.2), "b"),
        part(disc(20, 5, 2)),
    )
    assert [own.name for own in found.motif.parts] == ["a", "petal"]


def test_halves_of_different_paint_stay_two_and_one_is_told_so() -> None:
    red, blue = rectangle(30, 10, 40, 20), rectangle(0, 10, 10, 20)
    apart = joined(STRAIGHT, part(red, "a", fill="#f00"), part(blue, "b", fill="#00F"))
    assert len(apart.motif.parts) == 2
    assert apart.notes == ("what an edge cuts and meets another paint there stays as it is",)
    assert not apart.mismatches
    one = joined(STRAIGHT, part(red, "a", "g", "#f00"), part(blue, "b", "g", "#00F"))
    assert len(one.motif.parts) == 1
    gradients = joined(STRAIGHT, part(red, "a", fill="url(#g1)"), part(blue, "b", fill="url(#g2)"))
    assert len(gradients.motif.parts) == 1


def test_what_lies_on_what_is_kept_where_halves_lie_in_two_stacks() -> None:
    bodies = [disc(37.5, 12, 4), disc(42.5, 12, 4), disc(41, 17, 4), disc(39.5, 14, 2.4)]
    right, left = (
        [
            part(
                by(shapes.intersection(own, rectangle(x, 0, x + 40, 30)), STRAIGHT, -x // 40, 0),
                f"{name}-{n}",
            )
            for n, own in enumerate(bodies)
        ]
        for name, x in (("right", 0), ("left", 40))
    )
    found = joined(STRAIGHT, *right, *left)
    assert [own.name for own in found.motif.parts] == ["right-0", "left-1", "left-2", "right-3"]
    assert not found.notes
    crossed = joined(STRAIGHT, right[0], right[3], left[3], left[0])
    assert crossed.notes == ("right-0 lies on right-3 at one side of the page and under it at the other",)


# copies


@pytest.mark.parametrize("lattice", PAGES)
def test_a_figure_drawn_again_at_the_other_side_is_kept_once(lattice: Lattice) -> None:
    body = disc(38.5, 11, 4)
    steps = lattice.copies(shapes.box_of([body]), (0, 0, WIDE, HIGH))
    assert len(steps) > 1
    copies = [part(by(body, lattice, *step), f"copy-{n}") for n, step in enumerate(steps)]
    found = joined(lattice, *copies, part(disc(20, 20, 2), "dot"))
    assert [own.name for own in found.motif.parts] == [f"copy-{steps.index((0, 0))}", "dot"]
    assert found.motif.parts[0] is copies[steps.index((0, 0))]
    assert found.notes[0].endswith("drawn again at the other side of the page, and kept once")


def test_a_corner_figure_drawn_four_times_and_its_line_work_are_kept_once() -> None:
    corners = [(i, j) for j in (0, 1) for i in (0, 1)]
    body, vein = disc(1, 1, 5), ((-2.0, 1.0), (4.0, 2.0))
    drawn: list[Element] = []
    for i, j in corners:
        x, y = STRAIGHT.shift(i, j)
        drawn.append(part(by(body, STRAIGHT, i, j), f"p{i}{j}"))
        drawn.append(line(*((a + x, b + y) for a, b in vein)))
    found = joined(STRAIGHT, *drawn)
    assert found.motif.elements == tuple(drawn[:2])
    assert found.notes == ("6 shapes are drawn again at the other side of the page, and kept once",)
    assert not found.mismatches


@pytest.mark.parametrize(("far", "left"), [(0.0, 1), (0.2, 1), (0.6, 2)])
def test_a_copy_may_be_a_little_off(far: float, left: int) -> None:
    found = joined(STRAIGHT, part(disc(39, 15, 5), "a"), part(disc(-1, 15 + far, 5), "b"))
    assert len(found.motif.parts) == left


def test_what_overhangs_without_a_copy_and_what_is_painted_otherwise_stays() -> None:
    alone, red, blue = (
        part(disc(39, 8, 4), "a"),
        part(disc(39, 20, 4), "b", fill="red"),
        part(disc(-1, 20, 4), "c", fill="blue"),
    )
    found = joined(STRAIGHT, alone, red, blue)
    assert found.motif.elements == (alone, red, blue)
    assert not found.notes


def test_of_one_path_the_leaves_that_are_drawn_again_are_kept_once() -> None:
    leaves = seams.together(
        [disc(39, 8, 4), disc(-1, 8, 4), disc(20, 15, 4), disc(20, 29, 4), disc(20, -1, 4)]
    )
    found = joined(STRAIGHT, part(leaves, "leaves"))
    middles = sorted(
        tuple(map(round, shapes.centroid(own))) for own in shapes.pieces(found.motif.parts[0].shape)
    )
    assert middles == [(20, 15), (20, 29), (39, 8)]


def test_copies_that_are_cut_at_another_edge_are_dropped_before_the_cut_is_joined() -> None:
    body = disc(40, 28, 5)
    above, below = rectangle(-10, -10, 60, 30), rectangle(-10, 30, 60, 50)
    upper, lower = shapes.intersection(body, above), by(shapes.intersection(body, below), STRAIGHT, 0, -1)
    drawn = [upper, by(upper, STRAIGHT, -1, 0), lower, by(lower, STRAIGHT, -1, 0)]
    found = joined(STRAIGHT, *(part(own, f"p{n}") for n, own in enumerate(drawn)))
    (own,) = found.motif.parts
    assert off_by_a_step(body, own.shape, STRAIGHT) < 0.01


# what runs on into itself

BANDS: tuple[tuple[Lattice, tuple[Shape, ...], tuple[Step, ...]], ...] = (
    (STRAIGHT, (rectangle(0, 10, 40, 14),), ((1, 0),)),
    (STRAIGHT, (rectangle(-3, 10, 43, 14),), ((1, 0),)),
    (STRAIGHT, (rectangle(10, 0, 14, 30),), ((0, 1),)),
    (HALF, (rectangle(0, 5, 40, 9), rectangle(0, 20, 40, 24)), ((2, -1),)),
    (BRICK, (rectangle(5, 0, 9, 30), rectangle(25, 0, 29, 30)), ((-1, 2),)),
    (HALF, (polygon(np.array([(0, 2), (40, 17), (40, 21), (0, 6)], dtype=float)),), ((1, 0),)),
    (HALF, (rectangle(10, -2, 14, 32),), ((0, 1),)),
)


@pytest.mark.parametrize(("lattice", "bands", "steps"), BANDS)
def test_a_stripe_is_one_part_and_its_step_is_told(
    lattice: Lattice, bands: tuple[Shape, ...], steps: tuple[Step, ...]
) -> None:
    found = joined(lattice, *(part(own, f"band-{n}", fill="red") for n, own in enumerate(bands)))
    (stripe,) = found.stripes
    assert (stripe.part,) == found.motif.parts
    assert not found.ground
    assert basis(stripe.steps) == basis(steps)
    assert shapes.area(stripe.part.shape) == pytest.approx(sum(map(shapes.area, bands)))
    assert not found.mismatches


HOLED = shapes.difference(
    rectangle(0, 0, 40, 30), shapes.union([disc(20, 15, 5), disc(0, 8, 4), disc(40, 8, 4)])
)
GROUNDS = (
    rectangle(0, 0, 40, 30),
    rectangle(-2, -2, 42, 32),
    rectangle(0, -2, 40, 33),
    rectangle(-0.03, 0.03, 40.03, 29.98),
    HOLED,
    shapes.union([rectangle(0, 10, 40, 12), rectangle(10, 0, 12, 30)]),
)


@pytest.mark.parametrize("shape", GROUNDS[:4])
@pytest.mark.parametrize("lattice", [*PAGES, Lattice(WIDE, HIGH, drop=Fraction(1, 8))])
def test_what_runs_all_round_with_nothing_beneath_is_ground(lattice: Lattice, shape: Shape) -> None:
    ground, dot = part(shape, "page", fill="#eee"), part(disc(20, 15, 4), "dot", fill="red")
    found = joined(lattice, ground, dot)
    assert found.ground == (ground,)
    assert found.motif.elements == (ground, dot)
    assert found.bare.elements == (dot,)
    assert (found.stripes, found.mismatches) == ((), ())


@pytest.mark.parametrize("shape", GROUNDS[4:])
def test_ground_may_have_holes_or_be_a_net(shape: Shape) -> None:
    ground = part(shape, "page")
    assert joined(STRAIGHT, ground).ground == (ground,)


def test_a_net_that_lies_on_something_is_a_stripe_in_two_directions() -> None:
    net, dot = part(GROUNDS[5], "net", fill="blue"), part(disc(11, 11, 5), "dot", fill="red")
    page = part(GROUNDS[0], "page", fill="white")
    found = joined(STRAIGHT, page, dot, net)
    assert found.ground == (page,)
    assert [(own.part, own.steps) for own in found.stripes] == [(net, ((1, 0), (0, 1)))]
    assert joined(STRAIGHT, net, dot).ground == (net,)


def test_a_leaf_that_overhangs_both_sides_is_no_stripe() -> None:
    leaf = part(polygon(np.array([(-8, 12), (20, 4), (43, 12), (20, 20)], dtype=float)))
    assert not joined(STRAIGHT, leaf).stripes


def test_stripes_of_one_path_tell_the_steps_of_all() -> None:
    cross = seams.together([rectangle(0, 3, 40, 5), rectangle(0, 25, 40, 27)])
    assert joined(STRAIGHT, part(cross)).stripes[0].steps == ((1, 0),)


@given(st.lists(st.tuples(st.integers(-9, 9), st.integers(-9, 9)), max_size=5))
@example([(2, -1), (1, 1)])
def test_the_fewest_steps_make_up_the_same_lattice(ways: list[Step]) -> None:
    found = basis(ways)
    minors = [a[0] * b[1] - a[1] * b[0] for a in ways for b in ways]
    index = math.gcd(*minors)
    if index:
        (a, b), (c, d) = found
        assert abs(a * d - b * c) == index
        for x, y in ways:  # by Cramer's rule
            assert (x * d - y * c) % index == 0
            assert (a * y - b * x) % index == 0
    else:
        content = math.gcd(*(number for way in ways for number in way))
        assert len(found) == (1 if content else 0)
        assert all(
            math.gcd(*step) == content and step[0] * y == step[1] * x for step in found for x, y in ways
        )


# what does not meet


@pytest.mark.parametrize("miss", [0.0, 0.04, 0.6, 2.9])
def test_lines_that_miss_each_other_are_told(miss: float) -> None:
    found = joined(STRAIGHT, line((30, 12), (40, 12.3)), line((0, 12.3 + miss), (9, 15)))
    if miss < 0.05:
        assert not found.mismatches
        return
    (wrong,) = found.mismatches
    assert (wrong.kind, wrong.edge, wrong.place) == ("lines", "right", 12.3)
    assert (wrong.off, wrong.across) == pytest.approx((miss, 12.3 + miss))
    told = f"at the right edge, 12.3 mm from the top, lines miss each other by {miss:.1f} mm"
    assert found.lines() == (told,)
    assert found.lines(2.0) == (told.replace("12.3", "24.6").replace(f"{miss:.1f}", f"{2 * miss:.1f}"),)


def test_outlines_that_miss_each_other_are_told() -> None:
    found = joined(STRAIGHT, part(rectangle(5, 20, 20, 30), "a"), part(rectangle(5.6, 0, 20, 5), "b"))
    assert len(found.motif.parts) == 1
    assert found.lines() == ("at the bottom edge, 5.0 mm from the left, outlines miss each other by 0.6 mm",)
    thin = joined(STRAIGHT, part(rectangle(30, 10, 40, 11)), part(rectangle(0, 11.5, 9, 12.5), "b"))
    assert len(thin.motif.parts) == 2
    assert thin.lines() == ("at the right edge, 10.5 mm from the top, outlines miss each other by 1.5 mm",)


def test_where_columns_are_moved_both_places_are_told() -> None:
    found = joined(HALF, line((30, 5), (40, 5)), line((0, 20.6), (9, 20)))
    (told,) = found.lines()
    assert (
        told
        == "at the right edge, 5.0 mm from the top, lines miss those at the left, 20.6 mm from the top, by 0.6 mm"
    )
    assert not joined(HALF, line((30, 5), (40, 5)), line((0, 20), (9, 20))).mismatches
    assert not joined(BRICK, line((5, 20), (5, 30)), line((25, 0), (25, 9))).mismatches


def test_a_line_and_a_part_that_nothing_goes_on_from_are_told_before_what_is_off() -> None:
    found = joined(
        STRAIGHT,
        line((20, 0), (20, 9)),
        part(rectangle(30, 20, 40, 24)),
        line((30, 12), (40, 12)),
        line((0, 12.6), (9, 15)),
    )
    assert found.lines() == (
        "a part is cut off at the right edge, 22.0 mm from the top, and nothing goes on at the left",
        "a line ends at the top edge, 20.0 mm from the left, and nothing goes on at the bottom",
        "at the right edge, 12.0 mm from the top, lines miss each other by 0.6 mm",
    )


def test_lines_that_only_cross_touch_or_run_along_an_edge_are_not_told() -> None:
    quiet = [
        line((35, 5), (43, 6)),
        line((30, 10), (40, 12), (30, 14)),
        line((0, 0), (0, 30)),
        line((5, 5), (12, 5), (9, 9), closed=True),
        line((30, 25), (39.9, 25)),
    ]
    assert not joined(STRAIGHT, *quiet).mismatches
    twice = joined(STRAIGHT, line((0, 0), (0, 30)), line((40, 0), (40, 30)))
    assert len(twice.motif.elements) == 1
    assert not twice.mismatches


def test_a_closed_line_that_an_edge_cuts_goes_on_where_it_leaves_the_edge() -> None:
    half: list[tuple[float, float]] = [(40, 10), (35, 12), (34, 15), (40, 20)]
    other = [(0, 10.0), (0, 20), (6, 15)]
    assert not joined(STRAIGHT, line(*half, closed=True), line(*other, closed=True)).mismatches
    assert [own.place for own in joined(STRAIGHT, line(*half, closed=True)).mismatches] == [10, 20]


def test_at_most_twelve_are_told_the_largest_first() -> None:
    lines = [line((30, 1 + n), (40, 1 + n)) for n in range(0, 28, 2)]
    others = [line((0, 1 + n + 0.1 + n / 50), (9, 1 + n)) for n in range(0, 28, 2)]
    found = joined(STRAIGHT, *lines, *others)
    offs = [own.off for own in found.mismatches]
    assert len(offs) == 14
    assert offs == sorted(offs, reverse=True)
    assert len(found.lines()) == MOST_TOLD + 1
    assert found.lines()[-1] == "and 2 more"


def test_places_are_paired_over_the_corner_of_the_page_and_no_further_than_they_may() -> None:
    ((one, other, off),) = seams.nearest([10.0, 29.9], [0.2, 15.0], HIGH)
    assert (one, other, round(off, 6)) == (1, 0, 0.3)


@settings(max_examples=40)
@given(st.lists(st.floats(0, 30), max_size=8), st.integers(0, 3), st.floats(-60, 60))
def test_places_along_an_edge_are_paired_all_round(places: list[float], left: int, turn: float) -> None:
    assume(all(0.01 < abs(a - b) < HIGH - 0.01 for n, a in enumerate(places) for b in places[:n]))
    others = places[left:]
    found = seams.nearest([place + turn for place in places], [place + turn - HIGH for place in others], HIGH)
    assert sorted((one, other) for one, other, miss in found if miss < 1e-6) == [
        (n + left, n) for n in range(len(others))
    ]
    offs = [miss for _, _, miss in found]
    assert offs == sorted(offs)
