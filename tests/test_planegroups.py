"""Layouts by plane group: the published operations, and patterns that every one of them leaves as they are."""

import itertools
import json
import math
import re
from collections import Counter
from dataclasses import astuple
from fractions import Fraction
from functools import lru_cache
from typing import Any

import numpy as np
import pytest
import shapely
from builders import PUBLISHED, design_text, disc, motif, piece
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from refusals import refused

from mockup.colouring.plan import Plan, rectangle_rows
from mockup.errors import DesignError
from mockup.geometry.affine import IDENTITY, Affine, rotation, scaling, translation
from mockup.geometry.lattice import Lattice
from mockup.geometry.planegroups import (
    CENTRED,
    HEXAGONAL,
    MIRRORED,
    POSITIONS,
    SQUARE,
    Image,
    images,
    is_mirror,
)
from mockup.geometry.shapes import (
    Shape,
    area,
    difference,
    intersection,
    moved,
    polygon,
    rectangle,
    union,
)
from mockup.pattern.motif import LineWork, Motif
from mockup.pattern.motif_library import library_motif
from mockup.pattern.planegroups import cell_of, lay_group
from mockup.pattern.regions import Tile, visible
from mockup.pattern.repeat import Layout, Placed, Setting
from mockup.rendering.canvas import pixels
from mockup.rendering.look import InkLook, Look
from mockup.rendering.pattern import Window, field_items
from mockup.rendering.scene import Scene

Floats = NDArray[np.float64]
Operation = tuple[tuple[int, ...], tuple[Fraction, ...]]
"""Matrix by rows, and shift, in shares of the axes."""

GROUPS: dict[str, dict[str, Any]] = {
    group["hm_short"]: group
    for group in json.loads((PUBLISHED / "plane_groups.json").read_text(encoding="utf-8"))["groups"]
}
TILE = (54.0, 42.0)
SLANTED = [("p1", Fraction(1, 3)), ("p2", Fraction(1, 3)), ("p2", Fraction(5, 12))]

# the published table


def operation(position: str) -> Operation:
    """Read "-x+1/2,y"."""
    matrix, shift = [0] * 4, [Fraction(0)] * 2
    for row, text in enumerate(position.split(",")):
        for sign, term in re.findall(r"([+-]?)([xy]|\d+/\d+|\d+)", text):
            value = -1 if sign == "-" else 1
            if term in "xy":
                matrix[2 * row + "xy".index(term)] += value
            else:
                shift[row] += value * Fraction(term)
    return tuple(matrix), (shift[0] % 1, shift[1] % 1)


def published(symbol: str) -> set[Operation]:
    """All operations of the table modulo the lattice of the conventional cell, centring included."""
    moves = [operation("x,y")[1], *(operation(own)[1] for own in GROUPS[symbol]["centring"])]
    return {
        (matrix, ((shift[0] + x) % 1, (shift[1] + y) % 1))
        for matrix, shift in map(operation, GROUPS[symbol]["positions"])
        for x, y in moves
    }


def axes_of(symbol: str, side: float, height: float) -> Floats:
    """The published axes as columns, mm."""
    if "hexagonal" in GROUPS[symbol]["lattice"]:
        return np.array([[side, -side / 2], [0, side * math.sqrt(3) / 2]])
    return np.diag([side, side if "square" in GROUPS[symbol]["lattice"] else height])


def in_shares(at: Affine, axes: Floats) -> Operation:
    """Write a map in mm as an operation in shares of the axes."""
    back = np.linalg.inv(axes)
    matrix = back @ np.array([[at.a, at.c], [at.b, at.d]]) @ axes
    shift = back @ [at.e, at.f]
    assert np.abs(matrix - np.round(matrix)).max() < 1e-9
    return tuple(int(part) for part in np.round(matrix).ravel()), (share_of(shift[0]), share_of(shift[1]))


def share_of(number: float) -> Fraction:
    found = Fraction(round(12 * float(number)), 12)
    assert abs(float(found) - number) < 1e-9
    return found % 1


def per_tile(symbol: str) -> int:
    """Published multiplicity in what is tiled: a hexagonal rectangle holds two cells."""
    return int(GROUPS[symbol]["multiplicity"]) * (2 if symbol in HEXAGONAL else 1)


def tile_for(symbol: str, tile: tuple[float, float] = TILE) -> tuple[float, float]:
    return (tile[0], tile[0]) if symbol in SQUARE | HEXAGONAL else tile


def group_of(symbol: str, tile: tuple[float, float] = TILE) -> tuple[Image, ...]:
    lattice = cell_of(symbol, tile_for(symbol, tile))
    return images(symbol, (lattice.width, lattice.height))


def test_there_are_the_17_groups() -> None:
    assert list(POSITIONS) == list(GROUPS)
    kinds = {symbol: own["lattice"] for symbol, own in GROUPS.items()}
    assert {s for s, kind in kinds.items() if "hexagonal" in kind} == HEXAGONAL
    assert {s for s, kind in kinds.items() if "square" in kind} == SQUARE
    assert {s for s, own in GROUPS.items() if own["centring"]} == CENTRED


@pytest.mark.parametrize("symbol", POSITIONS)
def test_positions_are_those_of_the_published_table(symbol: str) -> None:
    """Operation by operation, as sets of matrix and shift modulo the lattice; none is written twice."""
    own = [operation(text) for text in POSITIONS[symbol]]
    assert len(set(own)) == len(own) == len(GROUPS[symbol]["positions"])
    assert set(own) == {operation(text) for text in GROUPS[symbol]["positions"]}


@pytest.mark.parametrize("symbol", POSITIONS)
def test_images_are_the_published_operations(symbol: str) -> None:
    own = group_of(symbol)
    axes = axes_of(symbol, *TILE)
    found = [in_shares(image.map, axes) for image in own]
    assert set(found) == published(symbol)
    assert len(own) == per_tile(symbol)
    assert set(Counter(found).values()) == {2 if symbol in HEXAGONAL else 1}
    assert all(image.turn == part[0] for image, part in zip(own, found, strict=True))
    assert tuple(astuple(own[0].map)) == pytest.approx(astuple(IDENTITY), abs=1e-12)


@pytest.mark.parametrize("symbol", POSITIONS)
def test_images_are_isometries_that_close_into_a_group(symbol: str) -> None:
    own = group_of(symbol)
    lattice = cell_of(symbol, tile_for(symbol))
    size = np.array([lattice.width, lattice.height])

    def key(at: Affine) -> tuple[float, ...]:
        shift = np.mod(np.array([at.e, at.f]) / size + 1e-7, 1)
        return tuple(np.round([at.a, at.b, at.c, at.d, *shift], 5).tolist())

    known = {key(image.map) for image in own}
    assert len(known) == len(own)
    for one, other in itertools.product(own, own):
        assert key(one.map @ other.map) in known
    for one in own:
        turn = np.array([[one.map.a, one.map.c], [one.map.b, one.map.d]])
        assert np.allclose(turn.T @ turn, np.eye(2), atol=1e-12)
        assert key(one.map.inverse) in known


@pytest.mark.parametrize("symbol", POSITIONS)
def test_points_have_as_many_images_as_published(symbol: str) -> None:
    """Each Wyckoff position: multiplicity in the cell, and how many operations leave its point where it is."""
    axes = axes_of(symbol, *TILE)
    own = {in_shares(image.map, axes) for image in group_of(symbol)}
    for multiplicity, order, _, example in GROUPS[symbol]["wyckoff"]:
        x, y = (Fraction(part) for part in example.split(","))
        spots = Counter(((a * x + b * y + e) % 1, (c * x + d * y + f) % 1) for (a, b, c, d), (e, f) in own)
        assert len(spots) == multiplicity
        assert set(spots.values()) == {order}


@pytest.mark.parametrize("symbol", POSITIONS)
def test_mirrors_are_told_from_glides(symbol: str) -> None:
    """Mirrors are flips that a step of the lattice makes undo themselves; brute force over steps."""
    own, lattice = group_of(symbol), cell_of(symbol, tile_for(symbol))
    steps = [translation(*lattice.shift(i, j)) for i in range(-2, 3) for j in range(-2, 3)]
    spots = np.array([[0.0, 0.0], [5.0, 1.0], [2.0, 9.0]])
    found = 0
    for image, step in itertools.product(own, steps):
        at = step @ image.map
        undone = image.map.determinant < 0 and bool(np.allclose(at.apply(at.apply(spots)), spots, atol=1e-6))
        assert is_mirror(at) == undone
        found += undone
    assert bool(found) == (symbol in MIRRORED)


@given(st.floats(0, 180), st.floats(-50, 50), st.floats(-50, 50), st.floats(0.01, 50))
def test_a_flip_is_a_mirror_where_nothing_slides_along_it(
    turn: float, x: float, y: float, slide: float
) -> None:
    at = translation(x, y) @ rotation(turn) @ scaling(1, -1) @ rotation(-turn) @ translation(-x, -y)
    assert is_mirror(at)
    along = rotation(turn).apply(np.array([[slide, 0.0]]))[0]
    assert not is_mirror(translation(*along) @ at)
    assert not is_mirror(translation(x, y) @ rotation(180) @ translation(-x, -y))


# layouts

HOOK = motif(
    polygon(np.array([(0, 0), (9, 2), (7, 6), (2, 4)], dtype=float)),
    disc(3.2, 2.6, 0.9, 8),
    name="hook",
    groups=("body", "eye"),
)
"""An outline without any symmetry, and a part on it."""

FLAG = motif(
    polygon(np.array([(0, 0), (1, 0), (1, 3), (5, 4.5), (1, 6), (1, 11), (0, 11)], dtype=float)),
    name="flag",
    groups=("cloth",),
)


def settings_for(count: int) -> list[Setting]:
    """One to three motifs: the hook, a bird of the library turned a little, a flag."""
    every = [Setting(HOOK), Setting(library_motif("wren"), turn=20), Setting(FLAG, turn=-35)]
    return every[:count]


@lru_cache(maxsize=128)
def laid(symbol: str, count: int, drop: Fraction | None = None, gap: float = 1.5) -> Layout:
    return lay_group(settings_for(count), symbol, tile=tile_for(symbol), drop=drop, gap=gap)


@lru_cache(maxsize=128)
def seen_in(symbol: str, count: int, drop: Fraction | None = None) -> Tile:
    return visible(laid(symbol, count, drop))


def silhouette(placed: Placed) -> Shape:
    return union(moved(part.shape, placed.transform) for part in placed.motif.parts)


def maps_of(layout: Layout) -> list[Affine]:
    lattice = layout.lattice
    return [image.map for image in images(layout.repeat, (lattice.width, lattice.height))]


def copies_over(shape: Shape, lattice: Lattice, window: tuple[float, float, float, float]) -> list[Shape]:
    """Copies of a shape that reach into a window."""
    x0, y0, x1, y1 = shapely.bounds(shape).tolist()
    return [
        moved(shape, translation(*lattice.shift(i, j)))
        for i, j in lattice.copies((x0 - 1, y0 - 1, x1 + 1, y1 + 1), window)
    ]


def covered(shapes: list[Shape], lattice: Lattice, at: Affine = IDENTITY) -> Shape:
    """What shapes and all their copies, moved by a map, cover of the rectangle at (0, 0)."""
    frame = rectangle(0, 0, lattice.width, lattice.height)
    window = tuple(shapely.bounds(moved(frame, at.inverse)).tolist())
    every = [moved(copy, at) for shape in shapes for copy in copies_over(shape, lattice, window)]
    return intersection(union(every), frame)


def by_part(tile: Tile) -> dict[str, list[Shape]]:
    """What is seen, by motif and part."""
    found: dict[str, list[Shape]] = {}
    for node in tile.nodes:
        found.setdefault(f"{node.motif}/{node.part}", []).append(node.seen)
    return found


def differs(one: Shape, other: Shape) -> float:
    """Area that lies in one of two shapes only, mm2."""
    return area(difference(one, other)) + area(difference(other, one))


CASES: list[tuple[str, int, Fraction | None]] = [
    *((symbol, count, None) for symbol in POSITIONS for count in (1, 3)),
    *((symbol, 2, None) for symbol in ("p2", "cm", "p2gg", "p4gm", "p31m")),
    *((symbol, 1, drop) for symbol, drop in SLANTED),
]


def every_part_is_seen_alike_after_every_operation(symbol: str, count: int, drop: Fraction | None) -> None:
    """What is seen of each part, moved by an operation, covers what is seen of that part: by area."""
    tile = seen_in(symbol, count, drop)
    small = {name: own for name, own in by_part(tile).items() if not name.startswith("wren")}
    for own in small.values():
        before = covered(own, tile.lattice)
        assert area(before) > 1
        for at in maps_of(laid(symbol, count, drop)):
            assert differs(covered(own, tile.lattice, at), before) < 0.02


class Sight:
    """Which part is seen at a spot of the plane."""

    def __init__(self, tile: Tile) -> None:
        self.lattice = tile.lattice
        window = (0.0, 0.0, tile.lattice.width, tile.lattice.height)
        shapes, names = [], []
        for node in tile.nodes:
            for copy in copies_over(node.seen, tile.lattice, window):
                shapes.append(copy)
                names.append(f"{node.motif}/{node.part}")
        self.names = np.array([*names, "ground"], dtype=object)
        self.tree = shapely.STRtree(np.array(shapes, dtype=object))
        self.edges = shapely.STRtree(shapely.boundary(np.array(shapes, dtype=object)))

    def at(self, spots: Floats) -> tuple[NDArray[np.object_], NDArray[np.bool_]]:
        """Give the part at each spot, and whether every outline is far enough to be sure."""
        row = np.floor(spots[:, 1] / self.lattice.height)
        x = np.mod(spots[:, 0] - row * self.lattice.shift(0, 1)[0], self.lattice.width)
        points = shapely.points(np.column_stack((x, spots[:, 1] - row * self.lattice.height)))
        number = np.full(len(spots), len(self.names) - 1)
        spot, shape = self.tree.query(points, predicate="intersects")
        number[spot] = shape
        sure = np.ones(len(spots), dtype=bool)
        sure[self.edges.query(points, predicate="dwithin", distance=2e-3)[0]] = False
        return self.names[number], sure


def assert_alike(layout: Layout, tile: Tile, spots: Floats) -> None:
    """Every operation takes every spot to one that shows the same part."""
    sight = Sight(tile)
    before, sure = sight.at(spots)
    assert set(before) == {"ground", *by_part(tile)}
    maps = maps_of(layout)
    after, also = sight.at(np.concatenate([at.apply(spots) for at in maps]))
    keep = np.tile(sure, len(maps)) & also
    assert (after == np.tile(before, len(maps)))[keep].all()
    assert keep.mean() > 0.9


def spots_in(tile: Tile, count: int = 250) -> Floats:
    """Spots at random, and one well inside each region, so that small parts are looked at too."""
    own = [shapely.get_coordinates(shapely.point_on_surface(node.seen)) for node in tile.nodes]
    random = np.random.default_rng(11).random((count, 2)) * (tile.lattice.width, tile.lattice.height)
    return np.concatenate((random, *own))


def every_spot_shows_the_same_part_after_every_operation(
    symbol: str, count: int, drop: Fraction | None
) -> None:
    tile = seen_in(symbol, count, drop)
    assert_alike(laid(symbol, count, drop), tile, spots_in(tile))


DPI = 25.4 * 4
"""Four pixels a mm."""


def picture(layout: Layout) -> NDArray[np.uint8]:
    """Paint the rectangle at (0, 0) with the program's own renderer, a colour for each motif and part."""
    tile = visible(layout)
    kinds = list(by_part(tile))
    inks = [kinds.index(f"{node.motif}/{node.part}") for node in tile.nodes]
    across, down = tile.lattice.multiples
    rows = rectangle_rows(len(inks), across, down)
    plan = Plan(np.tile(inks, across * down), rows, tile.lattice, (across, down))
    colours = [f"#{20 * number:02x}{200 - 15 * number:02x}20" for number in range(len(kinds))]
    look = Look("#ffffff", "#ffffff", tuple(InkLook(c, c) for c in colours), None)
    width, height = tile.lattice.width, tile.lattice.height
    items = field_items(tile, plan, look, Window((0, 0, width, height), (0, 0)))
    return pixels(Scene(width, height, items), DPI)


def uniform(picture: NDArray[np.uint8]) -> NDArray[np.bool_]:
    """Pixels that are of one colour with all pixels round them, round the seam too."""
    same = np.ones(picture.shape[:2], dtype=bool)
    for down, right in itertools.product((-1, 0, 1), repeat=2):
        same &= (np.roll(picture, (down, right), axis=(0, 1)) == picture).all(axis=2)
    return same


def the_painted_cell_moved_by_an_operation_is_itself(layout: Layout) -> None:
    """Pixel by pixel, but for those that an outline may touch."""
    painted = picture(layout)
    rows, columns = painted.shape[:2]
    whole = uniform(painted)
    assert whole.mean() > 0.5
    assert len({tuple(colour) for colour in painted[whole].tolist()}) >= 4
    across, down = layout.lattice.width / columns, layout.lattice.height / rows
    y, x = np.mgrid[0:rows, 0:columns]
    spots = np.column_stack(((x.ravel() + 0.5) * across, (y.ravel() + 0.5) * down))
    for at in maps_of(layout):
        there = at.apply(spots)
        to_x = np.mod(np.floor(there[:, 0] / across + 1e-6).astype(int), columns).reshape(rows, columns)
        to_y = np.mod(np.floor(there[:, 1] / down + 1e-6).astype(int), rows).reshape(rows, columns)
        sure = whole & whole[to_y, to_x]
        assert (painted[to_y, to_x] == painted).all(axis=2)[sure].all()
        assert sure.mean() > 0.5


def a_cell_holds_every_image_once_and_named(symbol: str, count: int, drop: Fraction | None) -> None:
    layout = laid(symbol, count, drop)
    many = Counter(placed.motif.name for placed in layout.placed)
    assert many == {one.motif.name: per_tile(symbol) for one in settings_for(count)}
    for name, times in many.items():
        own = [placed for placed in layout.placed if placed.motif.name == name]
        assert sorted(placed.name for placed in own) == sorted(f"{name}-{n + 1}" for n in range(times))
        # numbered row by row
        numbers = sorted(own, key=lambda placed: int(placed.name.rpartition("-")[2]))
        middles = [middle_of(placed) for placed in numbers]
        rows = [(round(float(y), 3), round(float(x), 3)) for x, y in middles]
        assert rows == sorted(rows)
        width, height = layout.lattice.width, layout.lattice.height
        assert all(-1e-6 < x < width + 1e-6 and -1e-6 < y < height + 1e-6 for x, y in middles)


def drawn_by(own: Motif) -> Floats:
    """Every corner that a motif draws, lines too, its own mm."""
    shapes = [shapely.get_coordinates(part.shape) for part in own.parts]
    return np.vstack(shapes + [line for e in own.elements if isinstance(e, LineWork) for line in e.lines])


def middle_of(placed: Placed) -> Floats:
    """Where the middle of a motif's box lies: its site."""
    x0, y0, x1, y1 = placed.motif.box
    return np.asarray(placed.transform.apply(np.array([[(x0 + x1) / 2, (y0 + y1) / 2]]))[0])


def no_two_images_come_nearer_than_the_gap(symbol: str, count: int, drop: Fraction | None) -> None:
    layout = laid(symbol, count, drop)
    lattice = layout.lattice
    shapes = [silhouette(placed) for placed in layout.placed]
    window = (-12.0, -12.0, lattice.width + 12, lattice.height + 12)
    every = [(n, copy) for n, shape in enumerate(shapes) for copy in copies_over(shape, lattice, window)]
    tree = shapely.STRtree([copy for _, copy in every])
    for shape in shapes:
        near = tree.query(shape, predicate="dwithin", distance=1.5 - 1e-3)
        # itself alone
        assert len(near) == 1
        assert shapely.distance(every[int(near[0])][1], shape) == 0
    assert all(0 < placed.transform.stretch <= 1 + 1e-9 for placed in layout.placed)


def motifs_lie_inside_their_unit_half_a_gap_off(symbol: str, count: int, drop: Fraction | None) -> None:
    """Every corner is nearer to its own site than to any other, by half a gap measured square to the border."""
    layout = laid(symbol, count, drop)
    lattice = layout.lattice
    sites = np.array([middle_of(placed) for placed in layout.placed])
    steps = np.array([lattice.shift(i, j) for i in range(-3, 4) for j in range(-3, 4)])
    every = (sites[:, None] + steps).reshape(-1, 2)
    slack = {}
    for placed, site in list(zip(layout.placed, sites, strict=True)):
        corners = placed.transform.apply(drawn_by(placed.motif))
        ways = every - site
        ways = ways[(np.hypot(*ways.T) > 1e-6) & (np.hypot(*ways.T) < 3 * max(TILE))]
        far = np.hypot(*ways.T)
        room = far / 2 - 0.75 - ((corners - site) @ ways.T / far).max(axis=0)
        assert room.min() > -2e-3
        slack[placed.motif.name] = float(room.min())
    # what was scaled down touches: no larger one would do
    for placed in layout.placed:
        if placed.transform.stretch < 1 - 1e-9:
            assert slack[placed.motif.name] < 2e-3


PAINTED = ("p1", "pg", "cm", "p2mg", "p2gg", "p4", "p4gm", "p3", "p31m")
"""Groups of which cells are painted too."""


@pytest.mark.parametrize(("symbol", "count", "drop"), CASES)
def test_every_image_of_every_motif_is_there_clear_of_the_others_and_seen_alike(
    symbol: str, count: int, drop: Fraction | None
) -> None:
    """All about one layout, which takes its time to be laid out."""
    a_cell_holds_every_image_once_and_named(symbol, count, drop)
    no_two_images_come_nearer_than_the_gap(symbol, count, drop)
    motifs_lie_inside_their_unit_half_a_gap_off(symbol, count, drop)
    every_spot_shows_the_same_part_after_every_operation(symbol, count, drop)
    if count == 1 or symbol in {"pg", "p4"}:
        every_part_is_seen_alike_after_every_operation(symbol, count, drop)
    if count == 3 and symbol in PAINTED:
        the_painted_cell_moved_by_an_operation_is_itself(laid(symbol, count, drop))


@settings(max_examples=12)
@given(
    st.sampled_from(sorted(POSITIONS)),
    st.floats(30, 80),
    st.floats(30, 80),
    st.floats(0, 3),
    st.floats(0, 360),
)
def test_any_cell_gap_and_turn_make_an_invariant_pattern(
    symbol: str, width: float, height: float, gap: float, turn: float
) -> None:
    layout = lay_group([Setting(HOOK, turn=turn)], symbol, tile=tile_for(symbol, (width, height)), gap=gap)
    tile = visible(layout)
    assert_alike(layout, tile, spots_in(tile, 100))


# a scale of her own


def mirrors_near(layout: Layout) -> list[tuple[Floats, Floats]]:
    """A point and the unit normal of every mirror near the rectangle."""
    lattice = layout.lattice
    found = []
    for at, i, j in itertools.product(maps_of(layout), range(-2, 3), range(-2, 3)):
        own = translation(*lattice.shift(i, j)) @ at
        if is_mirror(own):
            flip = np.array([[own.a, own.c], [own.b, own.d]])
            values, vectors = np.linalg.eigh(flip)
            found.append((np.array([own.e, own.f]) / 2, vectors[:, int(np.argmin(values))]))
    return found


@pytest.mark.parametrize(
    ("symbol", "count"), [*((symbol, 1) for symbol in sorted(MIRRORED)), ("pm", 3), ("cm", 3), ("p4gm", 3)]
)
def test_what_is_too_large_is_cut_at_the_mirrors(symbol: str, count: int) -> None:
    large = [
        Setting(one.motif, scale, one.turn)
        for one, scale in zip(settings_for(count), (4.0, 1.5, 4.0), strict=False)
    ]
    layout = lay_group(large, symbol, tile=tile_for(symbol))
    corners = [shapely.get_coordinates(silhouette(placed)) for placed in layout.placed]
    cut = 0
    for on, normal in mirrors_near(layout):
        for own in corners:
            over = (own - on) @ normal
            assert over.min() > -1e-3 or over.max() < 1e-3
            cut += bool(np.abs(over).min() < 1e-3)
    assert cut, "nothing reached a mirror"
    # the scale is hers
    for placed in layout.placed:
        assert placed.transform.stretch == pytest.approx(1.5 if placed.motif.name == "wren" else 4.0)


@pytest.mark.parametrize("symbol", ["p2", "pm", "pg", "cm", "p2mg", "c2mm", "p4", "p4gm", "p3", "p31m"])
def test_a_pattern_that_is_too_large_covers_alike_after_every_operation(symbol: str) -> None:
    layout = lay_group([Setting(HOOK, 4.0)], symbol, tile=tile_for(symbol))
    own = [silhouette(placed) for placed in layout.placed]
    before = covered(own, layout.lattice)
    for at in maps_of(layout):
        assert differs(covered(own, layout.lattice, at), before) < 0.05


@pytest.mark.parametrize("symbol", ["pm", "p2mm", "p4mm", "p3m1", "p6mm"])
def test_between_mirrors_all_round_what_is_too_large_is_seen_alike_after_every_operation(symbol: str) -> None:
    """Parts too, of several motifs that lie on each other: images of one motif meet at mirrors only."""
    side = 1.0 if symbol == "pm" else 4.0
    large = [Setting(HOOK, side), Setting(FLAG, side)]
    layout = lay_group(large, symbol, tile=tile_for(symbol, (40, 60)))
    tile = visible(layout)
    assert len(by_part(tile)) >= 2
    assert_alike(layout, tile, spots_in(tile))


@pytest.mark.parametrize("symbol", ["p1", "p2", "pg", "p2gg", "p4"])
def test_motifs_that_lie_on_others_do_so_in_every_image(symbol: str) -> None:
    """The second motif lies on the first wherever they meet; images of one motif do not meet here."""
    tile = tile_for(symbol, (60, 60))
    first = lay_group([Setting(motif(disc(0, 0, 1), name=name)) for name in "ab"], symbol, tile=tile)
    size = np.array([first.lattice.width, first.lattice.height])
    spots = {
        name: np.array([middle_of(own) for own in first.placed if own.motif.name == name]) for name in "ab"
    }

    def nearest(one: Floats, other: Floats) -> float:
        way = np.mod(one[:, None] - other, size)
        far = np.hypot(*np.minimum(way, size - way).transpose(2, 0, 1))
        return float(far[far > 1e-6].min(initial=min(size)))

    plate, crumb = (0.49 * nearest(spots[name], spots[name]) for name in "ab")
    assert plate + crumb > nearest(spots["a"], spots["b"]) + 1, "they do not meet"
    large = [
        Setting(motif(disc(0, 0, 1, 48), name="plate"), plate),
        Setting(motif(disc(0, 0, 1, 48), name="crumb"), crumb),
    ]
    layout = lay_group(large, symbol, tile=tile)
    seen = {
        name: [area(n.seen) for n in visible(layout).nodes if n.motif == name] for name in ("plate", "crumb")
    }
    # images of the later are seen whole, of the earlier all as much
    assert max(seen["crumb"]) == pytest.approx(min(seen["crumb"]), rel=1e-3)
    assert max(seen["plate"]) == pytest.approx(min(seen["plate"]), rel=1e-3)
    assert len(seen["plate"]) == len(seen["crumb"]) == per_tile(symbol)
    assert seen["crumb"][0] == pytest.approx(area(disc(0, 0, crumb, 48)), rel=1e-3)
    assert seen["plate"][0] < area(disc(0, 0, plate, 48)) - 1


def test_line_work_is_cut_too_and_what_lies_inside_whole_stays_as_it_was() -> None:
    wren = library_motif("wren")
    whole = lay_group([Setting(wren, 0.2)], "pm", tile=(60, 60)).placed[0]
    assert all(one is other for one, other in zip(whole.motif.elements, wren.elements, strict=True))
    for placed in lay_group([Setting(wren, 3.0)], "pm", tile=(60, 60)).placed:
        lines = [line for e in placed.motif.elements if isinstance(e, LineWork) for line in e.lines]
        assert lines
        for line in lines:
            x = placed.transform.apply(line)[:, 0]
            assert any(low - 1e-3 < x.min() and x.max() < low + 30 + 1e-3 for low in (-60, -30, 0, 30, 60))


def test_what_is_cut_away_whole_leaves_the_rest() -> None:
    """A ring whose hole holds the whole unit is seen nowhere; the other motif still is."""
    ring = motif(difference(disc(0, 0, 10), disc(0, 0, 9)), name="halo")
    layout = lay_group([Setting(ring, 20.0), Setting(HOOK)], "p2mm", tile=(40, 40))
    assert {node.motif for node in visible(layout).nodes} == {"hook"}


# the tile that follows from the motifs


@pytest.mark.parametrize(
    ("symbol", "count"),
    [*((s, 1) for s in ("p1", "pg", "cm", *sorted(SQUARE | HEXAGONAL))), ("p2", 2), ("p4", 3), ("p3m1", 2)],
)
def test_in_a_natural_tile_nothing_is_scaled_and_no_more_is_covered_than_asked(
    symbol: str, count: int
) -> None:
    coverage = 0.4
    layout = lay_group(settings_for(count), symbol, coverage=coverage)
    assert [placed.transform.stretch for placed in layout.placed] == pytest.approx([1.0] * len(layout.placed))
    covers = sum(area(silhouette(placed)) for placed in layout.placed)
    assert covers / (layout.lattice.width * layout.lattice.height) <= coverage
    assert layout.lattice.width == round(layout.lattice.width)
    if symbol not in HEXAGONAL:
        assert layout.lattice.height == round(layout.lattice.height)
    if symbol in SQUARE:
        assert layout.lattice.width == layout.lattice.height


@pytest.mark.parametrize("symbol", ["pm", "p4", "p31m"])
def test_a_natural_tile_obeys_a_small_coverage_and_is_no_larger_than_need_be(symbol: str) -> None:
    small, asked = [Setting(HOOK)], 0.05
    layout = lay_group(small, symbol, coverage=asked)
    covers = sum(area(silhouette(placed)) for placed in layout.placed)
    real = covers / (layout.lattice.width * layout.lattice.height)
    # whole millimetres
    assert asked * 0.85 < real <= asked
    tight = lay_group(small, symbol, coverage=0.95)
    assert tight.lattice.width < layout.lattice.width
    smaller = (
        tight.lattice.width - 2,
        tight.lattice.width - 2 if symbol in SQUARE | HEXAGONAL else tight.lattice.height - 2,
    )
    assert lay_group(small, symbol, tile=smaller).placed[0].transform.stretch < 1


def test_a_motif_that_is_given_a_scale_counts_at_that_scale() -> None:
    once, twice = (lay_group([Setting(HOOK, scale)], "p2", coverage=0.1) for scale in (1.0, 2.0))
    ratio = twice.lattice.width * twice.lattice.height / (once.lattice.width * once.lattice.height)
    assert ratio == pytest.approx(4, rel=0.1)


@pytest.mark.parametrize("symbol", sorted(HEXAGONAL))
def test_a_hexagonal_cell_is_tiled_as_the_rectangle_of_two(symbol: str) -> None:
    lattice = laid(symbol, 1).lattice
    assert (lattice.width, lattice.height) == (TILE[0], TILE[0] * math.sqrt(3))
    assert lattice.multiples == (1, 1)
    assert lattice.unit == (1, 1)
    # the second cell is the first, moved by half of both sides
    own = [silhouette(placed) for placed in laid(symbol, 1).placed]
    half = translation(lattice.width / 2, lattice.height / 2)
    assert differs(covered(own, lattice, half), covered(own, lattice)) < 0.02


def test_an_oblique_lattice_is_slanted_by_the_drop() -> None:
    lattice = lay_group([Setting(HOOK)], "p2", tile=(40, 30), drop=Fraction(2, 5)).lattice
    assert lattice.shift(0, 1) == pytest.approx((16, 30))
    assert lattice.shift(1, 0) == (40, 0)
    assert lattice.multiples == (1, 5)
    assert lay_group([Setting(HOOK)], "p2", tile=(40, 30)).lattice.shift(0, 1) == (0, 30)


# refusals


@pytest.mark.parametrize("symbol", ["p1", "cm", "p2gg", "p4mm", "p31m", "p6"])
def test_a_tile_that_is_too_small_is_refused_in_one_line(symbol: str) -> None:
    with pytest.raises(DesignError) as refusal:
        lay_group([Setting(library_motif("wren"))], symbol, tile=(2, 2))
    assert str(refusal.value) == (
        "the tile has no room for wren and a gap of 1.5 mm; make the tile larger or the gap smaller"
    )


def test_in_a_design_the_refusal_says_where() -> None:
    pattern = 'repeat = "p2"\ntile = 12\ngap = 9\nmotifs = ["wren"]'
    with pytest.raises(DesignError) as refusal:
        piece(design_text(3, pattern))
    assert str(refusal.value) == (
        "test.toml, [pattern]: the tile has no room for wren and a gap of 9 mm; make the tile larger or the gap smaller"
    )


@pytest.mark.parametrize("symbol", sorted(SQUARE | HEXAGONAL))
def test_a_tile_with_unequal_sides_is_refused_by_the_reader(symbol: str) -> None:
    ink = '[[palette.ink]]\nname = "clay"\ncolour = "#b5532a"\n'
    text = f'{ink}[pattern]\nmotifs = ["pear"]\nrepeat = "{symbol}"\ntile = [60, 50]\n'
    assert refused(text) == (
        f"rose.toml, line 7, [pattern] tile: {symbol} needs a tile with equal sides; write tile = 60"
    )


def test_a_drop_is_refused_where_the_lattice_cannot_be_slanted() -> None:
    with pytest.raises(DesignError) as refusal:
        piece(design_text(3, 'repeat = "p4"\ndrop = "1/3"\nmotifs = ["wren"]'))
    assert str(refusal.value) == (
        'test.toml, [pattern] drop: repeat = "p4" has no use for it; leave it out, or choose half-drop, brick, p1, p2'
    )
