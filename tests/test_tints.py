"""Roughly tinted copies of drawings of known regions: which tint each region has, out of register and in uneven light."""

import io

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image, ImageDraw
from scipy import ndimage, spatial

from mockup.drawing.tints import Tints, read_tints
from mockup.errors import DrawingError
from mockup.geometry.affine import Affine, Points, about, rotation, translation
from mockup.geometry.shapes import Shape, areas, intersection, polygon, rectangle, rings

Pixels = NDArray[np.uint8]

PAGE = (100.0, 80.0)
DOT = 6.0
TINTS = ("#d94f3a", "#2f6fb5", "#f2c230", "#3f8f4a", "#8a4fa0", "#e88fb0", "#5c3d2e")


def mosaic(seed: int, side: float = 10.0) -> list[Shape]:
    """Cells that share their edges, 8 to 12 mm wide."""
    chance = np.random.default_rng(seed)
    x, y = (np.arange(-1.5, reach / side + 2) * side for reach in PAGE)
    spots = (
        np.array([(a, b) for a in x for b in y]) + chance.uniform(-0.35, 0.35, (len(x) * len(y), 2)) * side
    )
    cells = spatial.Voronoi(spots)
    field = rectangle(3, 3, PAGE[0] - 3, PAGE[1] - 3)
    found = []
    for region in (cells.regions[number] for number in cells.point_region):
        if region and -1 not in region:
            shape = intersection(polygon(cells.vertices[region]), field)
            if areas([shape])[0] > 6:
                found.append(shape)
    return found


def discs(seed: int) -> list[Shape]:
    """Round shapes on ground, apart from each other."""
    chance = np.random.default_rng(seed)
    t = np.linspace(0, 2 * np.pi, 50, endpoint=False)
    round_one = np.column_stack((np.cos(t), np.sin(t)))
    return [
        polygon(np.array((x, y)) + chance.uniform(-1, 1, 2) + chance.uniform(2.5, 5.0) * round_one)
        for x in range(10, 95, 13)
        for y in range(10, 75, 13)
    ]


def painted(
    shapes: list[Shape],
    tint: NDArray[np.int64],
    colours: tuple[str, ...],
    at: Affine,
    chance: np.random.Generator,
) -> NDArray[np.float64]:
    """Colour the shapes in haste: each a little over or short of its outline."""
    image = Image.new("RGB", (round(PAGE[0] * DOT), round(PAGE[1] * DOT)), "#fbf9f5")
    pen = ImageDraw.Draw(image)
    for shape, number in zip(shapes, tint.tolist(), strict=True):
        if number >= 0:
            ring = rings(shape)[0]
            middle = ring.mean(axis=0)
            grown: Points = (
                middle + (ring - middle) * (1 + chance.uniform(-0.08, 0.06)) + chance.normal(0, 0.15, 2)
            )
            pen.polygon([tuple(spot) for spot in (at.apply(grown) * DOT).tolist()], fill=colours[number])
    return np.asarray(image, dtype=float)


def copy_of(
    shapes: list[Shape],
    tint: NDArray[np.int64],
    *,
    colours: tuple[str, ...] = TINTS,
    off: tuple[float, float] = (0.0, 0.0),
    turn: float = 0.0,
    crayon: bool = False,
    lines: bool = True,
    light: float = 0.2,
    seed: int = 0,
) -> Pixels:
    """Tint a copy, register and light off, and take a photograph of it."""
    chance = np.random.default_rng(seed)
    at = translation(*off) @ about(PAGE[0] / 2, PAGE[1] / 2, rotation(turn))
    paint = painted(shapes, tint, colours, at, chance)
    if crayon:
        grain = ndimage.gaussian_filter(chance.normal(0, 1, paint.shape[:2]), 1.3)
        paint = 255 - (255 - paint) * np.clip(0.8 + 0.22 * grain / grain.std(), 0.1, 1)[..., np.newaxis]
    if lines:
        drawn = Image.new("L", (paint.shape[1], paint.shape[0]), 255)
        pen = ImageDraw.Draw(drawn)
        for shape in shapes:
            for ring in rings(shape):
                pen.line(
                    [tuple(spot) for spot in (np.vstack((ring, ring[:1])) * DOT).tolist()], fill=30, width=3
                )
        paint *= np.asarray(drawn, dtype=float)[..., np.newaxis] / 255
    paint *= 1 - light * np.linspace(0, 1, paint.shape[1])[np.newaxis, :, np.newaxis]
    paint = ndimage.gaussian_filter(paint, (0.6, 0.6, 0)) + chance.normal(0, 3, paint.shape)
    file = io.BytesIO()
    Image.fromarray(np.clip(paint, 0, 255).astype(np.uint8)).save(file, "JPEG", quality=85)
    return np.asarray(Image.open(file).convert("RGB"))


def read(pixels: Pixels, shapes: list[Shape]) -> Tints:
    return read_tints(pixels, np.ones(pixels.shape[:2], dtype=bool), shapes, PAGE)


def agreement(truth: NDArray[np.int64], found: NDArray[np.int64]) -> float:
    """Share of regions in the tint that most of their like have; tints may be numbered otherwise, no two alike."""
    right, taken = 0, set()
    for number in np.unique(truth).tolist():
        own = found[truth == number]
        values, counts = np.unique(own, return_counts=True)
        usual = int(values[counts.argmax()])
        if (number < 0) == (usual < 0) and usual not in taken:
            taken.add(usual)
            right += int(counts.max())
    return right / len(truth)


@pytest.mark.parametrize(("crayon", "lines"), [(True, True), (False, False)])
@pytest.mark.parametrize(
    ("off", "turn", "least"), [((0.0, 0.0), 0.0, 0.99), ((0.8, -0.6), 0.7, 0.98), ((1.3, 1.5), -1.0, 0.97)]
)
def test_every_region_has_its_tint(
    off: tuple[float, float], turn: float, least: float, crayon: bool, lines: bool
) -> None:
    for seed, make in ((1, mosaic), (2, discs)):
        shapes = make(seed)
        tint = np.random.default_rng(seed).integers(-1, 5, len(shapes))
        found = read(copy_of(shapes, tint, off=off, turn=turn, crayon=crayon, lines=lines, seed=seed), shapes)
        assert agreement(tint, found.tint) >= least
        assert len(found.colours) == 5
        assert len(set(found.names)) == 5
        assert found.shift == pytest.approx(off, abs=0.6)


def test_the_order_of_the_shapes_plays_no_part() -> None:
    shapes = mosaic(3)
    tint = np.random.default_rng(3).integers(0, 4, len(shapes))
    pixels = copy_of(shapes, tint, off=(0.7, 0.4))
    one = read(pixels, shapes)
    order = np.random.default_rng(4).permutation(len(shapes))
    other = read(pixels, [shapes[number] for number in order])
    assert other.colours == one.colours
    assert (other.tint == one.tint[order]).all()


def test_other_colours_part_the_regions_alike() -> None:
    shapes = mosaic(5)
    tint = np.random.default_rng(5).integers(0, 4, len(shapes))
    found = [
        read(copy_of(shapes, tint, colours=colours), shapes).tint
        for colours in (TINTS[:4], TINTS[3:], ("#cfe3f2", "#f6d9dc", "#f7ecb0", "#d6ead0"))
    ]
    for one in found:
        assert agreement(tint, one) >= 0.99


def test_a_large_tinted_area_is_not_taken_for_a_shadow() -> None:
    shapes = [rectangle(5, 5, 70, 75), rectangle(75, 5, 95, 35), rectangle(75, 40, 95, 75)]
    found = read(copy_of(shapes, np.array([0, 1, -1]), colours=("#d8dcc8", "#d94f3a")), shapes)
    assert found.tint[2] == -1
    assert sorted(found.tint[:2]) == [0, 1]


def test_crayons_of_one_colour_are_one_tint_and_two_colours_two() -> None:
    shapes = mosaic(7)
    tint = np.random.default_rng(7).integers(0, 2, len(shapes))
    found = read(copy_of(shapes, tint, colours=("#3f8f4a", "#7fb04a"), crayon=True), shapes)
    assert len(found.colours) == 2
    assert agreement(tint, found.tint) >= 0.98


def test_like_tints_without_texture_are_told_apart_by_the_gap_between_them() -> None:
    shapes = mosaic(9)
    tint = np.random.default_rng(9).integers(0, 3, len(shapes))
    found = read(
        copy_of(shapes, tint, colours=("#7fa8d0", "#5f8fc0", "#c0533f")), shapes
    )  # the blues are 8 apart
    assert len(found.colours) == 3
    assert agreement(tint, found.tint) >= 0.98


def test_tints_may_be_off_where_the_printed_lines_are_not() -> None:
    shapes = mosaic(11)
    tint = np.random.default_rng(11).integers(-1, 4, len(shapes))
    bare = copy_of(shapes, tint, off=(1.4, -1.4), lines=False)
    lines = copy_of(shapes, np.full(len(shapes), -1), light=0.0)
    found = read(np.minimum(bare, lines), shapes)
    assert agreement(tint, found.tint) >= 0.97
    assert found.shift == pytest.approx((1.4, -1.4), abs=0.6)


def test_what_is_see_through_is_untinted() -> None:
    shapes = mosaic(13)
    tint = np.random.default_rng(13).integers(-1, 3, len(shapes))
    pixels = copy_of(shapes, tint, lines=False, light=0.0)
    seen = pixels.min(axis=2) < 215
    found = read_tints(np.where(seen[..., np.newaxis], pixels, np.uint8(0)), seen, shapes, PAGE)
    assert agreement(tint, found.tint) >= 0.98
    assert min(int(found.paper[at : at + 2], 16) for at in (1, 3, 5)) > 240


@pytest.mark.parametrize("rows", [np.s_[:468], np.s_[12:], np.s_[6:474]])
def test_a_picture_that_is_cut_a_little_is_read_all_the_same(rows: slice) -> None:
    shapes = mosaic(15)
    tint = np.random.default_rng(15).integers(-1, 4, len(shapes))
    found = read(copy_of(shapes, tint)[rows], shapes)
    assert agreement(tint, found.tint) >= 0.98


def test_what_is_too_small_to_be_sure_of_is_doubtful() -> None:
    shapes = [*mosaic(17), rectangle(0.4, 0.4, 1.0, 1.0)]
    tint = np.append(np.random.default_rng(17).integers(0, 4, len(shapes) - 1), -1)
    found = read(copy_of(shapes, tint), shapes)
    assert len(shapes) - 1 in {doubt.shape for doubt in found.doubtful}


def test_what_cannot_be_read_is_refused_with_a_remedy() -> None:
    shapes = mosaic(1)
    blank = np.full((480, 600, 3), 250, dtype=np.uint8)
    for pixels, what in (
        (blank, "nothing in it is tinted"),
        (blank[:240], "shape|wide|high|as"),
        (blank[::40, ::40], "small|few|pixels"),
    ):
        with pytest.raises(DrawingError) as refused:
            read(pixels, shapes)
        assert any(one in refused.value.what for one in what.split("|"))
        assert refused.value.remedy
    with pytest.raises(DrawingError):
        read(blank, [])
