"""Symmetries found in shapes alone, against the published plane groups, and which shapes they tie in a colour repeat."""

import json
import math
import re
from fractions import Fraction
from typing import Any

import numpy as np
import pytest
from builders import PUBLISHED, disc, square
from hypothesis import given, settings
from hypothesis import strategies as st

from mockup.geometry.affine import Affine, about, rotation, scaling, translation
from mockup.geometry.lattice import Lattice
from mockup.geometry.orbits import orbits
from mockup.geometry.shapes import Shape, moved, polygon, union
from mockup.geometry.symmetry import Symmetries, symmetries

GROUPS: list[dict[str, Any]] = json.loads((PUBLISHED / "plane_groups.json").read_text(encoding="utf-8"))[
    "groups"
]
HOOK = np.array([(0.0, 0.0), (3.0, 0.6), (2.4, 1.8), (0.6, 1.3)])
"""An outline without any symmetry, mm."""

SPOT = (0.11, 0.17)
"""A general position in every group, as shares of the cell."""


def operation(position: str) -> tuple[np.ndarray, np.ndarray]:
    """Read "-x+1/2,y" as a matrix and a shift, in shares of the cell."""
    matrix, shift = np.zeros((2, 2)), np.zeros(2)
    for row, text in enumerate(position.split(",")):
        for sign, term in re.findall(r"([+-]?)([xy]|\d+/\d+)", text):
            value = -1 if sign == "-" else 1
            if term in "xy":
                matrix[row, "xy".index(term)] += value
            else:
                shift[row] += value * float(Fraction(term))
    return matrix, shift


def is_hexagonal(group: dict[str, Any]) -> bool:
    return "hexagonal" in group["lattice"]


def laid_out(group: dict[str, Any], side: float, spot: tuple[float, float]) -> tuple[list[Shape], Lattice]:
    """Draw one hook at every position of a group, in its own rectangle or, oblique, its own lattice."""
    lattice = Lattice(side, 0.7 * side)
    steps = np.diag([side, 0.7 * side])
    if group["lattice"] == "oblique":
        lattice, steps = (
            Lattice(side, 0.7 * side, step=Fraction(1, 3)),
            np.array([[side, side / 3], [0, 0.7 * side]]),
        )
    elif "square" in group["lattice"]:
        lattice, steps = Lattice(side, side), np.diag([side, side])
    elif is_hexagonal(group):
        high = side * math.sqrt(3)
        lattice, steps = Lattice(side, high), np.array([[side, -side / 2], [0, high / 2]])
    centring = [(0.0, 0.0), *(operation(own)[1] for own in group["centring"])]
    further = [(0.0, 0.0), (0.0, 1.0)] if is_hexagonal(group) else [(0.0, 0.0)]
    hook = HOOK @ np.linalg.inv(steps).T + spot
    shapes = [
        polygon((hook @ matrix.T + shift + more + cell) @ steps.T)
        for matrix, shift in map(operation, group["positions"])
        for more in centring
        for cell in further
    ]
    return shapes, lattice


def per_tile(group: dict[str, Any]) -> int:
    """Published multiplicity in our tile: that of the cell, twice in a rectangle of two hexagonal cells."""
    return int(group["multiplicity"]) * (2 if is_hexagonal(group) else 1)


def sizes(numbers: np.ndarray) -> set[int]:
    return set(np.bincount(numbers).tolist())


def parted(found: Symmetries) -> set[int]:
    """Sizes of the orbits under every symmetry, plain translations too."""
    first = np.arange(len(found.place))
    for own in [*found.isometries, *found.isometries]:
        np.minimum.at(first, own.to, first.copy())
        first = np.minimum(first, first[own.to])
    return set(np.unique(first, return_counts=True)[1].tolist())


@pytest.mark.parametrize("group", GROUPS, ids=lambda group: group["hm_short"])
def test_every_plane_group_is_found_with_its_published_order(group: dict[str, Any]) -> None:
    shapes, lattice = laid_out(group, 60, SPOT)
    found = symmetries(shapes, lattice)
    assert len(shapes) == per_tile(group)
    assert len(found.isometries) == per_tile(group)
    assert {int(own.to[0]) for own in found.isometries} == set(range(len(shapes)))
    assert parted(found) == {per_tile(group)}
    turns = {tuple(np.round(own.turn, 6).ravel()) for own in found.isometries}
    assert len(turns) == group["point_group_order"]


@pytest.mark.parametrize("group", GROUPS, ids=lambda group: group["hm_short"])
@pytest.mark.parametrize("times", [1, 3])
def test_a_colour_repeat_alike_to_the_tile_keeps_every_turn(group: dict[str, Any], times: int) -> None:
    shapes, lattice = laid_out(group, 60, SPOT)
    across, down = (times * unit for unit in lattice.multiples)
    numbers = orbits(symmetries(shapes, lattice), across, down)
    assert len(numbers) == len(shapes) * across * down
    # thirds of a turn are kept by making the rectangle's two hexagonal cells alike
    two_cells = 2 if is_hexagonal(group) and group["point_group_order"] % 3 == 0 else 1
    assert sizes(numbers) == {group["point_group_order"] * two_cells}


KEPT = [
    ("pm", (2, 1), 2),
    ("pm", (1, 2), 2),
    ("pg", (2, 1), 2),
    ("pg", (1, 2), 1),
    ("pg", (1, 3), 2),
    ("p2mm", (2, 3), 4),
    ("p2mg", (2, 1), 2),
    ("p2mg", (1, 2), 4),
    ("p2gg", (2, 2), 2),
    ("p2gg", (3, 1), 4),
    ("c2mm", (2, 1), 4),
    ("p4", (2, 1), 2),
    ("p4", (2, 2), 4),
    ("p4mm", (1, 2), 4),
    ("p4gm", (2, 1), 2),
    ("p3", (2, 1), 1),
    ("p3", (3, 1), 6),
    ("p3m1", (1, 2), 2),
    ("p6", (2, 1), 2),
    ("p6mm", (2, 2), 24),
]
"""Shapes that a rectangle ties together, by reasoning: which turns map it onto itself, and which glides come round."""


@pytest.mark.parametrize(("name", "rectangle", "tied"), KEPT, ids=str)
def test_a_rectangle_keeps_the_symmetries_that_map_it_onto_itself(
    name: str, rectangle: tuple[int, int], tied: int
) -> None:
    group = next(own for own in GROUPS if own["hm_short"] == name)
    assert sizes(orbits(symmetries(*laid_out(group, 50, SPOT)), *rectangle)) == {tied}


@pytest.mark.parametrize("group", GROUPS, ids=lambda group: group["hm_short"])
def test_plain_copies_are_not_tied(group: dict[str, Any]) -> None:
    shapes, lattice = laid_out(group, 60, SPOT)
    found = symmetries(shapes, lattice)
    across, down = 2 * lattice.multiples[0], 2 * lattice.multiples[1]
    numbers = orbits(found, across, down)
    plain = np.full(len(shapes), -1)
    for own in found.isometries:
        if own.moves:
            plain = np.maximum(
                plain, np.where(own.to > np.arange(len(shapes)), own.to, np.arange(len(shapes)))
            )
    classes = np.tile(plain, across * down)
    twice = 2 if is_hexagonal(group) and group["point_group_order"] % 3 == 0 else 1
    for number in np.unique(numbers):
        assert np.unique(classes[numbers == number], return_counts=True)[1].max() == twice


@settings(max_examples=40)
@given(
    st.sampled_from(GROUPS),
    st.floats(40, 90),
    st.tuples(st.floats(-200, 200), st.floats(-200, 200)),
    st.randoms(use_true_random=False),
)
def test_where_the_pattern_lies_and_the_order_of_its_shapes_play_no_part(
    group: dict[str, Any], side: float, way: tuple[float, float], chance: Any
) -> None:
    shapes, lattice = laid_out(group, side, SPOT)
    chance.shuffle(shapes)
    strewn = [
        moved(
            shape,
            translation(*way)
            @ translation(*lattice.shift(chance.choice((-1, 0, 1)), chance.choice((-1, 0, 1)))),
        )
        for shape in shapes
    ]
    assert len(symmetries(strewn, lattice).isometries) == per_tile(group)


@settings(max_examples=30)
@given(st.sampled_from(GROUPS), st.data())
def test_each_symmetry_takes_every_copy_where_it_says(group: dict[str, Any], data: st.DataObject) -> None:
    shapes, lattice = laid_out(group, 60, SPOT)
    found = symmetries(shapes, lattice)
    own = data.draw(st.sampled_from(found.isometries))
    shift = own.step @ np.array([lattice.shift(1, 0), lattice.shift(0, 1)])
    assert found.place @ own.turn.T + own.shift == pytest.approx(found.place[own.to] + shift, abs=1e-6)


@pytest.mark.parametrize(
    ("lattice", "order"),
    [
        (Lattice(40, 40), 8),
        (Lattice(40, 30), 4),
        (Lattice(40, 30, drop=Fraction(1, 2)), 4),
        (Lattice(30, 50, drop=Fraction(1, 2)), 4),
        (Lattice(30, 30, step=Fraction(1, 2)), 4),
        (Lattice(20, 40, drop=Fraction(1, 2)), 8),
        (Lattice(40, 30, drop=Fraction(1, 3)), 2),
        (Lattice(60, 30 * math.sqrt(3), step=Fraction(1, 2)), 12),
        (Lattice(40, 30, drop=Fraction(5, 12)), 2),
    ],
    ids=str,
)
def test_a_disc_has_the_symmetries_of_its_lattice_and_ties_nothing(lattice: Lattice, order: int) -> None:
    found = symmetries([disc(11, 7, 5, 96)], lattice)
    assert len(found.isometries) == order
    across, down = (3 * unit for unit in lattice.multiples)
    assert sizes(orbits(found, across, down)) == {1}


def test_the_left_and_the_right_leaf_of_a_motif_are_tied_in_each_tile_where_they_can_be() -> None:
    leaf = moved(polygon(HOOK), translation(2, 0))
    plant = [leaf, moved(leaf, scaling(-1, 1)), square(-1, -5, 2)]
    found = symmetries(plant, Lattice(16, 20))
    assert len(found.isometries) == 2
    # two motifs side by side: the mirror goes through both of them
    assert orbits(found, 2, 1).tolist() == [0, 0, 1, 2, 2, 3]
    # of three it goes through one, and ties the leaves of the two others across; their stems stay free
    numbers = orbits(found, 3, 1).reshape(3, 3)
    assert sorted(np.bincount(numbers.ravel()).tolist()) == [1, 1, 1, 2, 2, 2]
    assert len(set(numbers[:, 2].tolist())) == 3


def test_kinds_are_kept_apart() -> None:
    pair = [square(2, 3, 4), square(14, 3, 4)]
    lattice = Lattice(20, 10)
    assert sizes(orbits(symmetries([*pair, square(9, 0, 2)], lattice))) == {1, 2}
    apart = symmetries([*pair, square(9, 0, 2)], lattice, np.array([0, 1, 0]))
    assert sizes(orbits(apart)) == {1}


@pytest.mark.parametrize(("torn", "kept"), [(False, 2), (True, 1)])
def test_a_shape_of_several_pieces_is_matched_piece_by_piece_round_the_seam(torn: bool, kept: int) -> None:
    # a glide by half a tile takes the two hooks of one shape, at either edge of the tile, to those of the other
    hooks = [moved(polygon(HOOK), translation(1, 1)), moved(polygon(HOOK), translation(36, 1) @ rotation(50))]
    glide = translation(20, 20) @ scaling(1, -1)
    onward = translation(-40, 0) if torn else translation(0, 0)
    shapes = [union(hooks), union([moved(hooks[0], glide), moved(hooks[1], onward @ glide)])]
    found = symmetries(shapes, Lattice(40, 20))
    assert [own.whole for own in found.isometries] == [True, not torn]
    assert sizes(orbits(found)) == {2}
    # a colour repeat of two tiles cannot keep what takes the hooks of one shape to two tiles
    assert sizes(orbits(found, 1, 2)) == {kept}


def star(count: int, mirrored: bool) -> list[Shape]:
    """Place hooks evenly round a point, with their mirror images where asked."""
    own = [moved(polygon(HOOK), rotation(360 * n / count) @ translation(20, 3)) for n in range(count)]
    return own + [moved(shape, scaling(1, -1)) for shape in own] if mirrored else own


@pytest.mark.parametrize("count", [1, 2, 3, 4, 5, 6, 8, 12])
@pytest.mark.parametrize("mirrored", [False, True])
def test_what_does_not_repeat_turns_about_its_middle(count: int, mirrored: bool) -> None:
    shapes = [moved(shape, about(7, 9, rotation(17))) for shape in star(count, mirrored)]
    found = symmetries(shapes, None)
    assert len(found.isometries) == len(shapes)
    assert sizes(orbits(found)) == {len(shapes)}


@settings(max_examples=40)
@given(st.integers(2, 8), st.booleans(), st.floats(0, 360), st.floats(-90, 90))
def test_shapes_within_each_other_keep_their_own(count: int, mirrored: bool, turn: float, way: float) -> None:
    ring = [union([disc(0, 0, 6, 72)]), disc(0, 0, 2, 72)]
    shapes = [
        moved(shape, translation(way, -way) @ rotation(turn)) for shape in [*ring, *star(count, mirrored)]
    ]
    numbers = orbits(symmetries(shapes, None))
    assert sizes(numbers[2:]) - {0} == {count * (2 if mirrored else 1)}
    assert len({int(numbers[0]), int(numbers[1]), int(numbers[2])}) == 3


@settings(max_examples=40)
@given(st.integers(3, 30), st.integers(0, 2**32 - 1), st.booleans())
def test_a_scatter_has_no_symmetry(count: int, seed: int, repeats: bool) -> None:
    rng = np.random.default_rng(seed)
    shapes = [
        moved(polygon(HOOK), Affine(e=x, f=y) @ rotation(turn))
        for x, y, turn in zip(*rng.uniform(0, 100, (2, count)), rng.uniform(0, 360, count), strict=True)
    ]
    found = symmetries(shapes, Lattice(100, 100) if repeats else None)
    assert len(found.isometries) == 1
    assert sizes(orbits(found)) == {1}


@pytest.mark.parametrize(("off", "order"), [(0.012, 8), (0.6, 1)])
def test_a_hand_is_not_quite_steady(off: float, order: int) -> None:
    group = next(own for own in GROUPS if own["hm_short"] == "p4mm")
    shapes, lattice = laid_out(group, 60, SPOT)
    rng = np.random.default_rng(5)
    shaken = [moved(shape, translation(*rng.uniform(-off, off, 2))) for shape in shapes]
    assert len(symmetries(shaken, lattice).isometries) == order


def test_like_middles_and_sizes_are_not_enough() -> None:
    # the second is as large, as long all round and reaches as far, but its notch is elsewhere
    notched = polygon(np.array([(0, 0), (8, 0), (8, 8), (5, 8), (5, 7), (3, 7), (3, 8), (0, 8)], dtype=float))
    other = polygon(np.array([(0, 0), (8, 0), (8, 8), (6, 8), (6, 7), (4, 7), (4, 8), (0, 8)], dtype=float))
    pair = [notched, moved(other, translation(20, 0) @ about(4, 4, scaling(-1, 1)))]
    assert len(symmetries(pair, Lattice(40, 20)).isometries) == 1
    twins = [notched, moved(notched, translation(20, 0))]
    assert len(symmetries(twins, Lattice(40, 20)).isometries) == 4


@pytest.mark.parametrize("count", [7, 20])
def test_a_grid_of_discs_in_one_tile_has_the_symmetries_of_the_grid(count: int) -> None:
    places = [(10 * x + 5, 10 * y + 5) for x in range(count) for y in range(count)]
    np.random.default_rng(3).shuffle(places)
    found = symmetries([disc(x, y, 4) for x, y in places], Lattice(10 * count, 10 * count))
    assert len(found.isometries) == 8 * count * count
    assert sizes(orbits(found)) == {1}
