"""Blocks of several tiles: how repeats step, which tiles are flipped, what each is called, and how colours repeat."""

import itertools
import json
import math
from fractions import Fraction
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest
from builders import design_text, disc, motif, piece
from hypothesis import given, settings
from hypothesis import strategies as st

from mockup.errors import DesignError, MockupError
from mockup.geometry.affine import Affine, scaling, translation
from mockup.geometry.lattice import Lattice
from mockup.geometry.shapes import Shape, area, difference, moved, polygon, union
from mockup.jobs.check import check_design
from mockup.jobs.piece import Piece
from mockup.jobs.plan import plan_bytes, write_plan
from mockup.jobs.planned import Spreading
from mockup.jobs.preview import preview_scene
from mockup.jobs.rectangles import rectangles, wished
from mockup.jobs.spreading import spread_piece
from mockup.pattern.arranging import REPEATS, Wish, arrange
from mockup.pattern.regions import visible
from mockup.pattern.repeat import Layout, Placed, Setting, lay_out
from mockup.rendering.scene import fingerprint

W, H = 40.0, 30.0
HOOK = motif(
    polygon(np.array([(0, 0), (9, 2), (7, 6), (2, 4)], dtype=float)),
    disc(4.2, 2.9, 1.2, 8),
    name="hook",
    groups=("body", "eye"),
)
"""An outline without any symmetry."""

# lattices


@given(
    st.floats(5, 200),
    st.floats(5, 200),
    st.tuples(st.integers(1, 4), st.integers(1, 4)),
    st.tuples(st.integers(1, 5), st.integers(1, 5)),
)
def test_a_block_counts_its_tiles(
    width: float, height: float, unit: tuple[int, int], blocks: tuple[int, int]
) -> None:
    lattice = Lattice(width * unit[0], height * unit[1], unit=unit)
    assert lattice.tile == pytest.approx((width, height))
    across, down = lattice.in_tiles(blocks)
    assert (across, down) == (blocks[0] * unit[0], blocks[1] * unit[1])
    assert lattice.size(*blocks) == pytest.approx((across * width, down * height))
    # how it steps does not hang on what it holds
    bare = Lattice(lattice.width, lattice.height)
    assert bare.unit == (1, 1)
    assert lattice.multiples == bare.multiples
    assert lattice.shift(*blocks) == bare.shift(*blocks)


STEPS = [
    # repeat, drop, first step, second step, tiles across and down in the smallest rectangle
    ("straight", None, (W, 0), (0, H), (1, 1)),
    ("half-drop", None, (W, H / 2), (0, H), (2, 1)),
    ("half-drop", Fraction(3, 5), (W, 3 * H / 5), (0, H), (5, 1)),
    ("half-drop", Fraction(7, 12), (W, 7 * H / 12), (0, H), (12, 1)),
    ("brick", None, (W, 0), (W / 2, H), (1, 2)),
    ("brick", Fraction(2, 3), (W, 0), (2 * W / 3, H), (1, 3)),
    ("mirror", None, (2 * W, 0), (0, 2 * H), (2, 2)),
    ("turned", None, (2 * W, 0), (0, H), (2, 1)),
    ("ogee", None, (W, 0), (0, H), (1, 1)),
    ("diamond", None, (W, 0), (0, H), (1, 1)),
    ("scallop", None, (W, 0), (0, H), (1, 1)),
    ("stripe", None, (W, 0), (0, H), (1, 1)),
    ("p1", None, (W, 0), (0, H), (1, 1)),
    ("p1", Fraction(1, 4), (W, 0), (W / 4, H), (1, 4)),
    ("p2", Fraction(1, 3), (W, 0), (W / 3, H), (1, 3)),
    *((group, None, (W, 0), (0, H), (1, 1)) for group in ("pm", "pg", "p2mm", "p2mg", "p2gg", "cm", "c2mm")),
    *((group, None, (W, 0), (0, W), (1, 1)) for group in ("p4", "p4mm", "p4gm")),
    *((group, None, (W, 0), (0, W * math.sqrt(3)), (1, 1)) for group in ("p3", "p3m1", "p31m", "p6", "p6mm")),
]


@pytest.mark.parametrize(("repeat", "drop", "first", "second", "tiles"), STEPS)
def test_how_each_repeat_steps_and_how_many_tiles_its_smallest_rectangle_holds(
    repeat: str,
    drop: Fraction | None,
    first: tuple[float, float],
    second: tuple[float, float],
    tiles: tuple[int, int],
) -> None:
    tile = (W, W) if second[1] > H and repeat not in {"mirror"} else (W, H)
    layout = arrange([Setting(HOOK)], Wish(repeat, tile=tile, drop=drop))
    lattice = layout.lattice
    assert layout.repeat == repeat
    assert layout.steps
    assert lattice.shift(1, 0) == pytest.approx(first)
    assert lattice.shift(0, 1) == pytest.approx(second)
    assert lattice.in_tiles(lattice.multiples) == tiles
    # it repeats by itself: both sides are whole steps of the lattice
    width, height = lattice.size(*lattice.multiples)
    steps = np.array([lattice.shift(1, 0), lattice.shift(0, 1)])
    for side in ((width, 0.0), (0.0, height)):
        turns = np.array(side) @ np.linalg.inv(steps)
        assert turns == pytest.approx(np.round(turns))


def test_every_repeat_but_a_ring_and_a_tossed_one_is_in_the_table() -> None:
    assert {step[0] for step in STEPS} == set(REPEATS) - {"ring", "tossed"}


# flipped tiles


def silhouette(placed: Placed) -> Shape:
    return union(moved(part.shape, placed.transform) for part in placed.motif.parts)


def tile_flips(repeat: str) -> dict[tuple[int, int], Affine]:
    """How tile (0, 0) lies on each tile of the block, by the definition: what stands at x, y comes to lie where."""
    if repeat == "mirror":
        return {
            (i, j): translation(2 * W if i else 0, 2 * H if j else 0)
            @ scaling(-1 if i else 1, -1 if j else 1)
            for i, j in itertools.product((0, 1), repeat=2)
        }
    return {(0, 0): Affine(), (1, 0): translation(2 * W, H) @ scaling(-1, -1)}


def laid(repeat: str, **wishes: object) -> Layout:
    every = [Setting(HOOK, turn=25), Setting(motif(disc(0, 0, 3, 5), name="bit"))]
    return lay_out(every, repeat, tile=(W, H), grid=(2, 1), **wishes)  # type: ignore[arg-type]


@pytest.mark.parametrize("repeat", ["mirror", "turned"])
def test_every_tile_of_a_block_is_the_first_one_flipped(repeat: str) -> None:
    layout = laid(repeat)
    flips = tile_flips(repeat)
    assert {placed.tile for placed in layout.placed} == set(flips)
    first = [placed for placed in layout.placed if placed.tile == (0, 0)]
    assert [placed.name for placed in first] == ["hook-1", "bit-1"]
    for tile, flip in flips.items():
        own = [placed for placed in layout.placed if placed.tile == tile]
        assert [placed.name for placed in own] == ["hook-1", "bit-1"]
        for one, other in zip(first, own, strict=True):
            wanted, found = moved(silhouette(one), flip), silhouette(other)
            assert area(difference(wanted, found)) + area(difference(found, wanted)) < 1e-3
            # in its tile
            x, y = shape_middle(found)
            assert tile[0] * W < x < (tile[0] + 1) * W
            assert tile[1] * H < y < (tile[1] + 1) * H


def shape_middle(shape: Shape) -> tuple[float, float]:
    x0, y0, x1, y1 = shape.bounds
    return (x0 + x1) / 2, (y0 + y1) / 2


@pytest.mark.parametrize(
    ("repeat", "about"),
    [
        # mirrors through the tiles' sides: p2mm; half turns about the middles of their upright sides: p2
        ("mirror", [(scaling(-1, 1), (0.0, 0.0)), (scaling(1, -1), (0.0, 0.0)), (scaling(-1, 1), (W, 0.0))]),
        ("mirror", [(scaling(1, -1), (0.0, H)), (scaling(-1, -1), (W, H)), (scaling(-1, -1), (W, 0.0))]),
        (
            "turned",
            [(scaling(-1, -1), (W, H / 2)), (scaling(-1, -1), (0.0, H / 2)), (scaling(-1, -1), (W, 0.0))],
        ),
    ],
)
def test_the_pattern_is_symmetric_about_its_tiles_sides(
    repeat: str, about: list[tuple[Affine, tuple[float, float]]]
) -> None:
    tile = visible(laid(repeat))
    lattice = tile.lattice
    parts = {part: [node.seen for node in tile.nodes if node.part == part] for part in ("body", "eye", "p0")}
    around = [translation(*lattice.shift(i, j)) for i, j in itertools.product((-2, -1, 0, 1, 2), repeat=2)]
    for own in parts.values():
        whole = union(moved(shape, step) for shape in own for step in around)
        for turn, (x, y) in about:
            flip = translation(x, y) @ turn @ translation(-x, -y)
            assert area(difference(union(moved(shape, flip) for shape in own), whole)) < 0.01


def test_a_turned_repeat_keeps_no_mirror_and_a_straight_one_no_half_turn() -> None:
    for repeat, flip in (("turned", scaling(-1, 1)), ("straight", scaling(-1, -1))):
        tile = visible(laid(repeat))
        own = [node.seen for node in tile.nodes if node.part == "body"]
        around = [
            translation(*tile.lattice.shift(i, j)) for i, j in itertools.product((-2, -1, 0, 1, 2), repeat=2)
        ]
        whole = union(moved(shape, step) for shape in own for step in around)
        least = min(
            area(difference(union(moved(shape, translation(x, y) @ flip) for shape in own), whole))
            for x, y in itertools.product(np.arange(0, 80, 2.5), (0.0, 15.0, 30.0))
        )
        assert least > 1


# names


def named(pattern: str, colouring: str = "", inks: int = 4) -> Piece:
    return piece(design_text(inks, pattern, f'ground = "paper"\n{colouring}'))


MIRROR = 'repeat = "mirror"\ntile = [34, 30]\nmotifs = ["wren"]'
TURNED = 'repeat = "turned"\ntile = [34, 30]\nmotifs = ["wren"]'


@lru_cache(maxsize=32)
def spread_of(pattern: str, colouring: str) -> Spreading:
    return spread_piece(named(pattern, colouring))


def inks_by_label(found: Spreading) -> dict[str, str]:
    names = [ink.name for ink in found.piece.palette.every]
    return {row.label: names[int(ink)] for row, ink in zip(found.rows, found.plan.inks, strict=True)}


@pytest.mark.parametrize(
    ("pattern", "colours", "tiles"),
    [
        (MIRROR, "[2, 2]", ["", "@2,1", "@1,2", "@2,2"]),
        (TURNED, "[2, 1]", ["", "@2,1"]),
        (TURNED, "[2, 2]", ["", "@2,1", "@1,2", "@2,2"]),
        (MIRROR, "[4, 2]", ["", "@2,1", "@1,2", "@2,2", "@3,1", "@4,1", "@3,2", "@4,2"]),
    ],
)
def test_tiles_are_named_by_column_and_row_from_one(pattern: str, colours: str, tiles: list[str]) -> None:
    found = spread_of(pattern, f"colour_repeat = {colours}")
    first = {node.label for node in found.piece.tile.nodes if node.tile == (0, 0)}
    assert {label.split("/")[0] for label in first} == {"wren-1"}
    wanted = {label.replace("wren-1", f"wren-1{tile}") for label in first for tile in tiles}
    labels = [row.label for row in found.rows]
    assert set(labels) == wanted
    assert len(labels) == len(wanted)
    across, down = json.loads(colours)
    assert found.tiles == (across, down)
    assert found.cell == pytest.approx((34 * across, 30 * down))
    # each lies in the tile that its name says, some feather over the edge
    for row in found.rows:
        at = row.label.partition("@")[2].partition("/")[0]
        column, line = map(int, at.split(",")) if at else (1, 1)
        x, y = shape_middle(row.seen)
        assert (column - 1) * 34 - 5 < x < column * 34 + 5
        assert (line - 1) * 30 - 5 < y < line * 30 + 5


def test_a_wing_of_a_flipped_tile_has_the_name_that_is_printed() -> None:
    found = spread_of(MIRROR, "colour_repeat = [2, 2]")
    assert "wren-1@2,1/wing" in {row.label for row in found.rows}


def test_a_name_without_tile_means_every_copy_and_one_with_it_that_copy() -> None:
    every = inks_by_label(
        spread_piece(named(MIRROR, 'colour_repeat = [2, 2]\nfixed = { "wren-1/wing" = "clay" }'))
    )
    wings = {label: ink for label, ink in every.items() if label.endswith("/wing")}
    assert len(wings) == 4
    assert set(wings.values()) == {"clay"}
    one = inks_by_label(
        spread_piece(
            named(
                MIRROR,
                'colour_repeat = [2, 2]\nfixed = { "wren-1@2,1/wing" = "clay", "wren-1@1,1/wing" = "night", '
                '"wren-1@1,2/wing" = "moss", "wren-1@2,2/wing" = "moss" }',
            )
        )
    )
    assert {label: ink for label, ink in one.items() if label.endswith("/wing")} == {
        "wren-1/wing": "night",
        "wren-1@2,1/wing": "clay",
        "wren-1@1,2/wing": "moss",
        "wren-1@2,2/wing": "moss",
    }


def test_a_tile_that_the_repeat_does_not_have_is_refused() -> None:
    with pytest.raises(MockupError) as refusal:
        spread_piece(named(TURNED, 'colour_repeat = [2, 1]\nfixed = { "wren-1@2,2/wing" = "clay" }'))
    line = str(refusal.value)
    assert "the layout has no 'wren-1@2,2/wing'; did you mean 'wren-1" in line
    assert "\n" not in line


def test_a_named_tile_makes_the_smallest_repeat_large_enough() -> None:
    """Blocks of two tiles: the third column is in the second block."""
    own = named(TURNED, 'fixed = { "wren-1@3,1/wing" = "clay" }')
    assert all(across >= 2 for group in rectangles(own) for across, _ in group)
    own = named(MIRROR, 'fixed = { "wren-1@2,2/wing" = "clay" }')
    assert rectangles(own)[0] == [(1, 1)]


# how colours repeat


@pytest.mark.parametrize(
    ("pattern", "tiles"),
    [
        ('repeat = "straight"\ntile = [30, 26]\nmotifs = ["wren"]', (1, 1)),
        ('repeat = "half-drop"\ntile = [30, 26]\nmotifs = ["wren"]', (2, 1)),
        ('repeat = "half-drop"\ndrop = "1/3"\ntile = [30, 26]\nmotifs = ["acorn"]', (3, 1)),
        ('repeat = "brick"\ntile = [30, 26]\nmotifs = ["wren"]', (1, 2)),
        (MIRROR, (2, 2)),
        (TURNED, (2, 1)),
    ],
)
def test_one_by_one_inks_every_tile_alike(pattern: str, tiles: tuple[int, int]) -> None:
    found = spread_piece(named(pattern, "colour_repeat = [1, 1]"))
    assert found.tiles == tiles
    inks = inks_by_label(found)
    first = {label: ink for label, ink in inks.items() if "@" not in label}
    assert len(inks) == len(first) * tiles[0] * tiles[1]
    assert len(set(first.values())) > 1
    for label, ink in inks.items():
        name, _, group = label.rpartition("/")
        assert ink == first[f"{name.partition('@')[0]}/{group}"]


def test_two_by_two_is_as_a_mirror_repeat_asks_and_inks_each_tile_for_itself() -> None:
    own = named(MIRROR, "colour_repeat = [2, 2]")
    assert wished(own) == (1, 1)
    inks = inks_by_label(spread_of(MIRROR, "colour_repeat = [2, 2]"))
    parts = {label.rpartition("/")[2] for label in inks}
    assert any(
        len({ink for label, ink in inks.items() if label.rpartition("/")[2] == part}) > 1 for part in parts
    )


@pytest.mark.parametrize(
    ("pattern", "colours", "line"),
    [
        (
            MIRROR,
            "[3, 2]",
            "3 x 2 tiles does not fit the mirror repeat, which needs multiples of 2 x 2; write [4, 2]",
        ),
        (
            MIRROR,
            "[1, 2]",
            "1 x 2 tiles does not fit the mirror repeat, which needs multiples of 2 x 2; write [2, 2]",
        ),
        (
            MIRROR,
            "[2, 5]",
            "2 x 5 tiles does not fit the mirror repeat, which needs multiples of 2 x 2; write [2, 4]",
        ),
        (
            TURNED,
            "[5, 3]",
            "5 x 3 tiles does not fit the turned repeat, which needs multiples of 2 x 1; write [4, 3]",
        ),
        (
            'repeat = "half-drop"\ndrop = "1/3"\nmotifs = ["drop"]',
            "[4, 1]",
            "4 x 1 tiles does not fit the half-drop repeat, which needs multiples of 3 x 1; write [3, 1]",
        ),
    ],
)
def test_other_counts_are_refused_with_the_nearest_that_fits(pattern: str, colours: str, line: str) -> None:
    with pytest.raises(DesignError) as refusal:
        wished(named(pattern, f"colour_repeat = {colours}"))
    assert str(refusal.value) == f"test.toml, [colouring] colour_repeat: a colour repeat of {line}"


@settings(max_examples=25)
@given(
    st.sampled_from(
        [
            ("mirror", "", (2, 2)),
            ("turned", "", (2, 1)),
            ("half-drop", 'drop = "2/3"', (3, 1)),
            ("brick", 'drop = "1/4"', (1, 4)),
            ("p2", 'drop = "1/2"', (1, 2)),
            ("p4", "", (1, 1)),
        ]
    ),
    st.integers(1, 12),
    st.integers(1, 12),
)
def test_the_nearest_that_is_told_is_taken(
    repeat: tuple[str, str, tuple[int, int]], across: int, down: int
) -> None:
    name, more, unit = repeat
    pattern = f'repeat = "{name}"\n{more}\ntile = 30\nmotifs = ["drop"]'

    def blocks(counts: list[int]) -> tuple[int, int] | None:
        return wished(named(pattern, f"colour_repeat = {counts}"))

    try:
        found = blocks([across, down])
    except DesignError as error:
        assert across % unit[0] or down % unit[1]
        told = json.loads(str(error.remedy).removeprefix("write "))
        assert all(many > 0 and many % by == 0 for many, by in zip(told, unit, strict=True))
        assert all(
            abs(many - asked) <= by / 2 or many == by
            for many, asked, by in zip(told, (across, down), unit, strict=True)
        )
        assert blocks(told)
    else:
        assert found
        lattice = named(pattern).tile.lattice
        tiles = lattice.in_tiles(found)
        assert tiles == ((across, down) if (across, down) != (1, 1) else unit)


@pytest.mark.parametrize("pattern", [MIRROR, TURNED], ids=["mirror", "turned"])
def test_rectangles_to_try_hold_whole_blocks_and_at_most_sixteen_tiles(pattern: str) -> None:
    own = named(pattern)
    unit = own.tile.lattice.unit
    tried = [one for group in rectangles(own) for one in group]
    assert tried[0] == (1, 1)
    assert len(set(tried)) == len(tried)
    counts = [own.tile.lattice.in_tiles(one) for one in tried]
    assert all(across * down <= 16 for across, down in counts)
    assert {across * down for across, down in counts} >= {unit[0] * unit[1], 2 * unit[0] * unit[1]}
    for group in rectangles(own):
        assert len({across * down for across, down in group}) == 1


# plan files


@pytest.mark.parametrize(
    ("pattern", "colouring"),
    [
        (MIRROR.replace("wren", "acorn"), ""),
        (MIRROR, "colour_repeat = [1, 1]"),
        (TURNED.replace("wren", "acorn"), "colour_repeat = [4, 1]"),
        ('repeat = "p4"\ntile = 44\nmotifs = ["acorn"]', ""),
        ('repeat = "p31m"\ntile = 48\nmotifs = ["drop"]', ""),
        ('repeat = "ogee"\ntile = [30, 44]\nmotifs = ["drop", "seed", "acorn"]', ""),
    ],
)
def test_a_plan_that_was_written_comes_back_as_it_was(pattern: str, colouring: str, tmp_path: Path) -> None:
    again = tmp_path / "again.toml"
    first = spread_piece(piece(design_text(4, pattern, f'ground = "paper"\n{colouring}'), tmp_path))
    (tmp_path / "kept.geojson").write_bytes(plan_bytes(first, "made"))
    again.write_text(
        design_text(4, pattern, f'ground = "paper"\n{colouring}\nplan = "kept.geojson"'), encoding="utf-8"
    )
    back = write_plan(again, tmp_path / "back.geojson")
    one, other = (json.loads(path.read_text(encoding="utf-8")) for path in (tmp_path / "kept.geojson", back))
    assert len(one["features"]) >= 4
    assert one["features"] == other["features"]
    head, head_again = one["mockup"], other["mockup"]
    assert {key: head[key] for key in ("cell", "inks", "wraps")} == {
        key: head_again[key] for key in ("cell", "inks", "wraps")
    }
    assert check_design(again).figures.conflicts == first.problem.contact(first.inks) == 0
    # and looks the same
    found = spread_piece(piece(again.read_text(encoding="utf-8"), tmp_path))
    assert fingerprint(preview_scene(found)) == fingerprint(preview_scene(first))


def test_a_plan_of_another_repeat_of_like_tiles_is_refused(tmp_path: Path) -> None:
    (tmp_path / "test.toml").write_text(
        design_text(4, MIRROR.replace("wren", "acorn"), 'ground = "paper"'), encoding="utf-8"
    )
    write_plan(tmp_path / "test.toml", tmp_path / "kept.geojson")
    with pytest.raises(DesignError) as refusal:
        spread_piece(
            piece(
                design_text(4, TURNED.replace("wren", "acorn"), 'ground = "paper"\nplan = "kept.geojson"'),
                tmp_path,
            )
        )
    assert str(refusal.value) == (
        "test.toml, [colouring] plan: kept.geojson: the repeat was mirror, and is turned now; "
        "change it back, or take the plan out of the design"
    )


# what a repeat has no use for


@pytest.mark.parametrize(
    ("pattern", "line"),
    [
        (f'{MIRROR}\ndrop = "1/3"', '[pattern] drop: repeat = "mirror" has no use for it; leave it out, or choose half-drop, brick, p1, p2'),
        ('repeat = "ogee"\nmotifs = ["drop"]\ngrid = [2, 2]', '[pattern] grid: repeat = "ogee" has no use for it; leave it out, or choose straight, half-drop, brick, mirror, turned'),
        ('repeat = "p2"\nmotifs = ["drop"]\ncells = "band"', '[pattern] cells: repeat = "p2" has no use for it; leave it out, or choose ogee, diamond, scallop, stripe, ring'),
        ('repeat = "ring"\nmotifs = ["drop"]\ntile = 60', '[pattern] tile: repeat = "ring" has no use for it; leave it out; a ring fills the sheet'),
        (f"{TURNED}\ngap = 4", "[pattern] gap: a pattern with a tile of your own has no use for it; leave one of the two out"),
    ],
)  # fmt: skip
def test_a_key_that_changes_nothing_is_refused_by_name(pattern: str, line: str) -> None:
    with pytest.raises(DesignError) as refusal:
        named(pattern)
    assert str(refusal.value) == f"test.toml, {line}"
