"""The colours that lead: the same however the picture lies, few, apart, and with the small accents in."""

import csv
import hashlib
import io
from importlib.util import find_spec
from pathlib import Path

import numpy as np
import pytest
from bench.bench_photo import ACCENTS, COUNTS, KINDS, Bytes, found, levels, photograph, planted, plantings
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageDraw

from mockup.colour.coding import linear_from_srgb
from mockup.colour.conversion import read_colour
from mockup.colour.difference import ciede2000, differences
from mockup.colour.leading import Leading, leading_colours
from mockup.colour.oklab import oklab_from_linear

PUBLISHED = Path(__file__).parent / "data" / "published"
RED, CREAM, INDIGO = (200, 16, 46), (244, 233, 208), (31, 63, 174)


def published(name: str) -> list[dict[str, str]]:
    with (PUBLISHED / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


@st.composite
def pictures(draw: st.DrawFn) -> Bytes:
    """A few colours, each over so many pixels, with so much grain; (rows, columns, 3)."""
    side = draw(st.integers(1, 24))
    colours = draw(st.lists(st.tuples(*[st.integers(0, 255)] * 3), min_size=1, max_size=6))
    chance = np.random.default_rng(draw(st.integers(0, 999)))
    which = chance.choice(len(colours), (side, 30), p=chance.dirichlet(np.ones(len(colours))))
    grain = draw(st.sampled_from([0.0, 2.0, 10.0, 60.0]))
    return levels(np.array(colours)[which] + chance.normal(0, grain, (side, 30, 3)))


def flat(colour: tuple[int, int, int], size: tuple[int, int] = (60, 80)) -> Bytes:
    return np.tile(np.array(colour, dtype=np.uint8), (*size, 1))


def hexes(found: tuple[Leading, ...]) -> list[str]:
    return [one.colour.hex for one in found]


def shapes(ground: tuple[int, int, int], ink: tuple[int, int, int]) -> Image.Image:
    """Discs and bars of one flat colour on another, with smooth edges."""
    chance = np.random.default_rng(5)
    large = Image.new("RGB", (1280, 960), ground)
    pen = ImageDraw.Draw(large)
    for x, y, radius in chance.uniform((0, 0, 40), (1280, 960, 140), (9, 3)):
        pen.ellipse((x - radius, y - radius, x + radius, y + radius), fill=ink)
        pen.rectangle((y, x * 0.7, y + 2 * radius, x * 0.7 + radius / 2), fill=ink)
    return large.resize((320, 240), Image.Resampling.LANCZOS)


def as_jpeg(picture: Image.Image, quality: int, subsampling: int) -> Bytes:
    file = io.BytesIO()
    picture.save(file, "JPEG", quality=quality, subsampling=subsampling)
    return np.asarray(Image.open(file))


# Properties


@given(pictures(), st.integers(1, 8), st.integers(0, 99))
@settings(max_examples=15)
def test_turning_mirroring_and_shuffling_change_nothing(picture: Bytes, count: int, seed: int) -> None:
    found = leading_colours(picture, count)
    assert leading_colours(np.rot90(picture), count) == found
    assert leading_colours(picture[:, ::-1], count) == found
    assert leading_colours(np.random.default_rng(seed).permutation(picture.reshape(-1, 3)), count) == found


@given(pictures(), st.integers(1, 9))
@settings(max_examples=25)
def test_colours_are_few_and_apart_and_their_shares_are_parts(picture: Bytes, count: int) -> None:
    found = leading_colours(picture, count)
    assert 1 <= len(found) <= count
    apart = differences([one.colour for one in found])
    assert (apart[~np.eye(len(found), dtype=bool)] >= 6).all()
    shares = [one.share for one in found]
    assert all(share > 0 for share in shares)
    assert sum(shares) <= 1 + 1e-12
    assert list(found) == sorted(found, key=lambda one: (-one.share, one.colour.lab))
    assert all(colour == read_colour(colour).hex for colour in hexes(found))


@given(st.tuples(*[st.integers(0, 255)] * 3), st.integers(1, 7))
@settings(max_examples=40)
def test_a_flat_picture_gives_its_own_colour(colour: tuple[int, int, int], count: int) -> None:
    (one,) = leading_colours(flat(colour, (3, 5)), count)
    assert one.colour.hex == "#{:02x}{:02x}{:02x}".format(*colour)
    assert one.share == 1


@given(
    st.lists(st.tuples(*[st.integers(0, 255)] * 3), min_size=2, max_size=5, unique=True),
    st.integers(0, 99),
)
@settings(max_examples=60)
def test_flats_that_differ_are_found_as_they_are(colours: list[tuple[int, int, int]], seed: int) -> None:
    wanted = ["#{:02x}{:02x}{:02x}".format(*colour) for colour in colours]
    apart = differences([read_colour(colour) for colour in wanted])
    if (apart[np.triu_indices(len(wanted), 1)] < 25).any():
        return
    parts = np.random.default_rng(seed).integers(300, 400, len(colours))
    found = leading_colours(np.repeat(np.array(colours, dtype=np.uint8), parts, axis=0), 7)
    assert sorted(hexes(found)) == sorted(wanted)
    assert {one.colour.hex: one.share for one in found} == pytest.approx(
        dict(zip(wanted, parts / parts.sum(), strict=True))
    )


# Published values


@pytest.mark.parametrize("row", published("srgb_lab_oklab.csv"), ids=lambda row: row["name"])
def test_oklab_of_srgb(row: dict[str, str]) -> None:
    srgb = np.array(read_colour(row["hex"]).srgb)
    wanted = [float(row[name]) for name in ("okL", "oka", "okb")]
    assert oklab_from_linear(linear_from_srgb(srgb)) == pytest.approx(wanted, abs=5e-4)


@pytest.mark.parametrize("row", published("oklab_ottosson.csv"))
def test_oklab_of_the_author(row: dict[str, str]) -> None:
    to_linear = np.linalg.inv(  # IEC 61966-2-1: linear sRGB to XYZ under D65
        np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
    )
    light = to_linear @ [float(row[name]) for name in "XYZ"]
    wanted = [float(row[name]) for name in "Lab"]
    assert oklab_from_linear(light) == pytest.approx(wanted, abs=1.5e-3)


def test_oklab_needs_three_numbers() -> None:
    with pytest.raises(ValueError, match=r"a last axis of 3, not the shape \(2,\)"):
        oklab_from_linear([0.1, 0.2])


# Accents


@pytest.mark.parametrize("count", COUNTS)
def test_nine_in_ten_planted_accents_of_two_hundredths_are_found(count: int) -> None:
    cases = list(plantings(0.02, [photograph(seed, (120, 160)) for seed in range(20, 24)]))
    assert np.mean([found(*case, count) for case in cases]) >= 0.9


def test_an_accent_is_as_it_was_planted() -> None:
    picture = planted(photograph(7), "#e520b5", 0.02, "flat", 1)
    accent = leading_colours(picture, 5)[-1]
    assert accent.colour.hex == "#e520b5"
    assert accent.share == pytest.approx(0.02, abs=0.002)


def test_specks_are_no_colours() -> None:
    for number, kind in enumerate(KINDS):
        for accent in ACCENTS[number::3]:
            picture = planted(photograph(number, (120, 160)), accent, 0.002, kind, number)
            assert not found(picture, accent, 7), (kind, accent)


# What is not made up


def test_two_flats_give_two_colours() -> None:
    picture = flat(CREAM)
    picture[:, :30] = INDIGO
    assert hexes(leading_colours(picture, 5)) == ["#f4e9d0", "#1f3fae"]


@pytest.mark.parametrize(("quality", "subsampling"), [(60, 2), (75, 2), (90, 0)])
@pytest.mark.parametrize("pair", [(RED, (255, 255, 255)), (INDIGO, (255, 138, 0)), (CREAM, (0, 90, 60))])
def test_what_jpeg_makes_of_edges_is_no_colour(
    pair: tuple[tuple[int, int, int], tuple[int, int, int]], quality: int, subsampling: int
) -> None:
    found = leading_colours(as_jpeg(shapes(*pair), quality, subsampling), 6)
    assert len(found) == 2
    for colour in pair:
        written = read_colour("#{:02x}{:02x}{:02x}".format(*colour))
        assert min(ciede2000(one.colour, written) for one in found) < 3


def test_smooth_edges_are_no_colour() -> None:
    assert hexes(leading_colours(np.asarray(shapes(CREAM, RED)), 6)) == ["#f4e9d0", "#c8102e"]


@pytest.mark.parametrize("grain", [3, 6, 10])
@pytest.mark.parametrize("colour", [(128, 128, 128), (60, 60, 60), (150, 100, 70), (220, 60, 40)])
def test_grain_on_a_flat_is_one_colour(colour: tuple[int, int, int], grain: int) -> None:
    chance = np.random.default_rng(grain)
    picture = levels(np.array(colour) + chance.normal(0, grain, (200, 300, 3)))
    (one,) = leading_colours(picture, 6)
    assert ciede2000(one.colour, read_colour("#{:02x}{:02x}{:02x}".format(*colour))) < 2.5


# Awkward pictures


def test_greys_stay_grey() -> None:
    ramp = np.repeat(np.arange(256, dtype=np.uint8), 40)
    found = leading_colours(np.stack([ramp] * 3, axis=1), 5)
    assert len(found) >= 4
    assert all(one.colour.chroma < 0.01 for one in found)
    assert min(one.colour.lightness for one in found) < 25
    assert max(one.colour.lightness for one in found) > 75


def test_one_pixel() -> None:
    assert hexes(leading_colours(np.array([[[1, 2, 3]]], dtype=np.uint8), 5)) == ["#010203"]


def test_a_huge_flat_picture() -> None:
    picture = np.broadcast_to(np.array(RED, dtype=np.uint8), (3000, 4000, 3))
    assert leading_colours(picture, 5) == leading_colours(flat(RED), 5)


def test_every_colour_there_is() -> None:
    everything = np.stack(np.meshgrid(*[np.arange(0, 256, 12, dtype=np.uint8)] * 3), axis=-1)
    assert len(leading_colours(everything, 7)) == 7


@pytest.mark.parametrize(
    ("pixels", "count", "fault"),
    [
        (flat(RED), 0, "at least 1 colour is to be found, not 0"),
        (np.zeros((0, 3), dtype=np.uint8), 3, r"not uint8 of \(0, 3\)"),
        (np.zeros((4, 4), dtype=np.uint8), 3, r"not uint8 of \(4, 4\)"),
        (np.zeros((4, 3)), 3, r"not float64 of \(4, 3\)"),
    ],
)
def test_what_is_no_picture_is_refused(pixels: Bytes, count: int, fault: str) -> None:
    with pytest.raises(ValueError, match=fault):
        leading_colours(pixels, count)


# Real photographs, where the package that holds them is there: files as listed in sample_images.csv


MUTED = (
    "chelsea.png",
    "rocket.jpg",
    "ihc.png",
    "coins.png",
    "camera.png",
    "gravel.png",
    "hubble_deep_field.jpg",
)


def real(name: str) -> Bytes:
    package = find_spec("skimage")  # not imported: that takes seconds
    if package is None or package.origin is None:
        pytest.skip("scikit-image is not there")
    content = (Path(package.origin).parent / "data" / name).read_bytes()
    (row,) = [row for row in published("sample_images.csv") if row["path_in_package"].endswith(f"/{name}")]
    if hashlib.sha256(content).hexdigest()[:16] != row["sha256_16"]:
        pytest.skip(f"{name} is another picture than listed")
    with Image.open(io.BytesIO(content)) as image:
        step = max(2, max(image.size) // 250)
        return np.asarray(image.convert("RGB"))[::step, ::step]


def test_nine_in_ten_accents_are_found_on_real_muted_photographs() -> None:
    """All counts together; of four colours from a picture that is rich in itself one more may be missed."""
    cases = list(plantings(0.02, [real(name) for name in MUTED]))
    hits = {count: np.mean([found(*case, count) for case in cases]) for count in COUNTS}
    assert np.mean(list(hits.values())) >= 0.9
    assert min(hits.values()) >= 0.8


def test_a_cup_of_coffee_is_brown_red_and_cream() -> None:
    found = [one.colour for one in leading_colours(real("coffee.png"), 5)]
    for wanted in ("#a8260f", "#b06030", "#f6e8d8", "#3a0e08"):  # read off the picture by eye
        assert min(ciede2000(colour, read_colour(wanted)) for colour in found) < 10
