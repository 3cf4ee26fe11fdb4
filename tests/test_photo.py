"""Photographs as they are looked at: upright, in sRGB; and one plain line for what cannot be read."""

import io
import os
import struct
import zlib
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import ArrayLike, NDArray
from PIL import Image

from mockup.colour.coding import srgb_from_linear
from mockup.colour.conversion import read_colour
from mockup.colour.leading import leading_colours
from mockup.colour.photo import Photo, read_photo
from mockup.errors import FileError

Bytes = NDArray[np.uint8]

SIDES = {  # Exif 2.32, tag 0x0112: at which side of the scene the first row and the first column lie
    1: ("top", "left"),
    2: ("top", "right"),
    3: ("bottom", "right"),
    4: ("bottom", "left"),
    5: ("left", "top"),
    6: ("right", "top"),
    7: ("right", "bottom"),
    8: ("left", "bottom"),
}
BLOCKS = np.array(
    [[(200, 16, 46), (244, 233, 208), (31, 63, 174)], [(20, 20, 20), (34, 136, 58), (255, 138, 0)]],
    dtype=np.uint8,
)
SQUARES = BLOCKS.repeat(32, axis=0).repeat(32, axis=1)


def encoded(picture: Image.Image, kind: str, **options: object) -> bytes:
    file = io.BytesIO()
    picture.save(file, kind, **options)
    return file.getvalue()


def read(content: bytes, folder: Path, name: str = "photo.jpg") -> Photo:
    (folder / name).write_bytes(content)
    return read_photo(folder / name)


def refused(content: bytes, folder: Path) -> str:
    with pytest.raises(FileError) as caught:
        read(content, folder)
    return str(caught.value)


def png(size: tuple[int, int], depth: int, kind: int, data: bytes, *more: tuple[bytes, bytes]) -> bytes:
    """Write a PNG by hand: ``data`` are the rows, each with its filter byte."""
    head = struct.pack(">IIBBBBB", *size, depth, kind, 0, 0, 0)
    chunks = [(b"IHDR", head), *more, (b"IDAT", zlib.compress(data)), (b"IEND", b"")]
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))
        for name, body in chunks
    )


# Colour profiles, made here


def fixed(values: ArrayLike) -> bytes:
    """Write numbers as s15Fixed16 (ICC.1:2010, 4.6)."""
    return b"".join(struct.pack(">i", round(float(value) * 65536)) for value in np.ravel(values))


def profile(space: bytes, connection: bytes, kind: bytes, tags: dict[bytes, bytes]) -> bytes:
    """Write an ICC profile of version 2."""
    tags = {
        b"desc": b"desc\0\0\0\0" + struct.pack(">I", 5) + b"made\0" + bytes(78),
        b"cprt": b"text\0\0\0\0none\0",
        b"wtpt": b"XYZ \0\0\0\0" + fixed([0.9642, 1.0, 0.8249]),
        **tags,
    }
    table, body = struct.pack(">I", len(tags)), b""
    for name, content in tags.items():
        table += name + struct.pack(">II", 132 + 12 * len(tags) + len(body), len(content))
        body += content + bytes(-len(content) % 4)
    head = struct.pack(">I4sI4s4s4s", 0, b"none", 0x02400000, kind, space, connection)
    head += struct.pack(">6H", 2026, 1, 1, 0, 0, 0) + b"acsp" + bytes(28) + fixed([0.9642, 1.0, 0.8249])
    head = head.ljust(128, b"\0")
    return struct.pack(">I", 128 + len(table) + len(body)) + (head + table + body)[4:]


def curve(gamma: float) -> bytes:
    return b"curv\0\0\0\0" + struct.pack(">IH", 1, round(gamma * 256))


def tabled(values: ArrayLike) -> bytes:
    numbers = np.rint(65535 * np.asarray(values)).astype(int)
    return b"curv\0\0\0\0" + struct.pack(f">I{len(numbers)}H", len(numbers), *numbers)


def wide() -> bytes:
    """Primaries of SMPTE EG 432-1 (from memory), white D65, the curve of sRGB, adapted to D50 by Bradford."""
    primaries = np.array([(0.680, 0.320), (0.265, 0.690), (0.150, 0.060)])
    columns = np.column_stack([primaries, 1 - primaries.sum(axis=1)]).T
    white, whence = np.array([0.3127, 0.3290, 0.3583]) / 0.3290, np.array([0.9642, 1.0, 0.8249])
    matrix = columns * np.linalg.solve(columns, white)
    cones = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])
    adapted = np.linalg.inv(cones) @ np.diag((cones @ whence) / (cones @ white)) @ cones @ matrix
    coded = np.linspace(0, 1, 1024)
    light = np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4)
    tags = {name + b"TRC": tabled(light) for name in (b"r", b"g", b"b")}
    for name, column in zip((b"r", b"g", b"b"), adapted.T, strict=True):
        tags[name + b"XYZ"] = b"XYZ \0\0\0\0" + fixed(column)
    return profile(b"RGB ", b"XYZ ", b"mntr", tags)


def grey(gamma: float) -> bytes:
    return profile(b"GRAY", b"XYZ ", b"mntr", {b"kTRC": curve(gamma)})


def press() -> bytes:
    """A CMYK profile whose paper is white, whose solid cyan is lab(60 -30 -20), and all else black."""
    corners = np.zeros((16, 3))  # C M Y K, K fastest
    corners[0b0000], corners[0b1000] = (100, 0, 0), (60, -30, -20)
    codes = np.rint(corners * (2.55, 1, 1) + (0, 128, 128)).astype(np.uint8)
    straight = bytes(range(256))
    table = b"mft1\0\0\0\0" + bytes([4, 3, 2, 0]) + fixed(np.eye(3))
    return profile(
        b"CMYK", b"Lab ", b"prtr", {b"A2B0": table + straight * 4 + codes.tobytes() + straight * 3}
    )


# Properties


@given(
    width=st.integers(1, 9),
    height=st.integers(1, 9),
    seed=st.integers(0, 999),
    mode=st.sampled_from(["RGB", "L"]),
)
@settings(max_examples=30)
def test_what_png_holds_is_read_as_it_is(
    width: int, height: int, seed: int, mode: str, tmp_path_factory: pytest.TempPathFactory
) -> None:
    pixels = np.random.default_rng(seed).integers(0, 256, (height, width, 3), dtype=np.uint8)
    if mode == "L":
        pixels = pixels[..., :1].repeat(3, axis=2)
    picture = Image.fromarray(pixels).convert(mode)
    photo = read(encoded(picture, "PNG"), tmp_path_factory.mktemp("photo"))
    assert (photo.pixels == pixels).all()
    assert photo.seen.all()
    assert photo.notes == ()
    assert photo.colours.shape == (width * height, 3)


@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
@pytest.mark.parametrize("tag", SIDES)
def test_every_orientation_is_set_upright(tag: int, kind: str, tmp_path: Path) -> None:
    row, column = SIDES[tag]
    stored = SQUARES if row in ("top", "bottom") else SQUARES.transpose(1, 0, 2)
    stored = stored[::-1] if row in ("bottom", "right") else stored
    stored = stored[:, ::-1] if column in ("bottom", "right") else stored
    exif = Image.Exif()
    exif[0x0112] = tag
    options = {} if kind == "PNG" else {"quality": 95, "subsampling": 0}
    photo = read(encoded(Image.fromarray(np.ascontiguousarray(stored)), kind, exif=exif, **options), tmp_path)
    assert photo.pixels.shape == SQUARES.shape
    assert np.abs(photo.pixels.astype(int) - SQUARES).max() <= (0 if kind == "PNG" else 4)
    assert photo.notes == ()


def test_alpha_is_set_upright_too(tmp_path: Path) -> None:
    alpha = np.zeros((*SQUARES.shape[:2], 1), dtype=np.uint8)
    alpha[:10] = 255  # the first row lies at the right
    exif = Image.Exif()
    exif[0x0112] = 6
    photo = read(encoded(Image.fromarray(np.dstack([SQUARES, alpha])), "PNG", exif=exif), tmp_path)
    assert photo.seen[:, -10:].all()
    assert not photo.seen[:, :-10].any()


# Colour profiles


@given(levels=st.lists(st.tuples(*[st.integers(0, 255)] * 3), min_size=40, max_size=80))
@settings(max_examples=15)
def test_a_wide_profile_is_converted(
    levels: list[tuple[int, int, int]], tmp_path_factory: pytest.TempPathFactory
) -> None:
    picture = Image.fromarray(np.array([levels], dtype=np.uint8))
    photo = read(encoded(picture, "PNG", icc_profile=wide()), tmp_path_factory.mktemp("photo"))
    for given_, got in zip(levels, photo.pixels[0].astype(int), strict=True):
        red, green, blue = (level / 255 for level in given_)
        wanted = read_colour(
            f"color(display-p3 {red} {green} {blue})"
        )  # CSS Color Module Level 4, by coloraide
        if wanted.loss == 0:
            assert np.abs(got - 255 * np.array(wanted.srgb)).max() <= 2
    assert photo.notes == ()


def test_a_wide_colour_beyond_srgb_is_clipped(tmp_path: Path) -> None:
    picture = Image.new("RGB", (4, 4), (255, 0, 0))
    photo = read(encoded(picture, "JPEG", icc_profile=wide(), quality=100), tmp_path)
    assert photo.pixels[0, 0].tolist() == pytest.approx([255, 0, 0], abs=2)


@pytest.mark.parametrize("gamma", [1.8, 2.2, 2.6])
@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
def test_a_grey_profile_is_converted(kind: str, gamma: float, tmp_path: Path) -> None:
    levels = np.arange(0, 256, 5, dtype=np.uint8)
    picture = Image.fromarray(levels.repeat(64).reshape(-1, 8).repeat(2, axis=1))
    photo = read(encoded(picture, kind, icc_profile=grey(gamma), quality=100), tmp_path)
    wanted = 255 * srgb_from_linear((np.asarray(picture) / 255) ** gamma)
    assert np.abs(photo.pixels - wanted[..., None]).max() <= 2
    assert photo.notes == ()


def test_a_press_profile_is_converted(tmp_path: Path) -> None:
    picture = Image.new("CMYK", (32, 16), (0, 0, 0, 0))
    picture.paste((255, 0, 0, 0), (16, 0, 32, 16))
    photo = read(encoded(picture, "JPEG", icc_profile=press(), quality=100), tmp_path)
    assert photo.pixels[8, 4].tolist() == pytest.approx([255, 255, 255], abs=2)
    wanted = 255 * np.array(read_colour("lab(60 -30 -20)").srgb)
    assert photo.pixels[8, 28].tolist() == pytest.approx(wanted.tolist(), abs=3)
    assert photo.notes == ()


def test_cmyk_without_a_profile_is_a_guess(tmp_path: Path) -> None:
    picture = Image.new("CMYK", (16, 16), (0, 200, 100, 20))
    photo = read(encoded(picture, "JPEG", quality=100), tmp_path)
    wanted = [255 * (1 - c / 255) * (1 - 20 / 255) for c in (0, 200, 100)]  # common practice, no source
    assert photo.pixels[8, 8].tolist() == pytest.approx(wanted, abs=4)
    assert photo.notes == ("the picture is in CMYK and carries no colour profile; its colours are a guess",)


@pytest.mark.parametrize(
    ("mode", "content"),
    [
        ("RGB", b"no profile at all"),
        ("RGB", wide()[:200]),
        ("RGB", grey(2.2)),
        ("RGB", wide().replace(b"RGB ", b"Luv ")),
        ("L", press()),
        ("L", wide()[:150]),
    ],
    ids=["noise", "cut short", "of grey", "of another space", "of a press", "grey, cut short"],
)
def test_a_profile_that_cannot_be_used_is_told_and_left_out(
    mode: str, content: bytes, tmp_path: Path
) -> None:
    picture = Image.fromarray(SQUARES).convert(mode)
    photo = read(encoded(picture, "PNG", icc_profile=content), tmp_path)
    assert (photo.pixels == np.asarray(picture.convert("RGB"))).all()
    assert photo.notes == ("the colour profile in it cannot be used; its colours are read as sRGB",)


def test_a_profile_for_colour_serves_a_grey_picture(tmp_path: Path) -> None:
    picture = Image.fromarray(SQUARES).convert("L")
    photo = read(encoded(picture, "PNG", icc_profile=wide()), tmp_path)
    assert np.abs(photo.pixels.astype(int) - np.asarray(picture)[..., None]).max() <= 1
    assert photo.notes == ()


# Modes and depths


def test_16_bits_of_colour(tmp_path: Path) -> None:
    row = b"\0" + struct.pack(">6H", 0xFF00, 0x80FF, 0, 0x1234, 0xFFFF, 0x00FF)
    photo = read(png((2, 1), 16, 2, row), tmp_path)
    assert photo.pixels.tolist() == [[[255, 128, 0], [18, 255, 0]]]


def test_16_bits_of_grey(tmp_path: Path) -> None:
    photo = read(png((3, 1), 16, 0, b"\0" + struct.pack(">3H", 0, 0x80FF, 0xFFFF)), tmp_path)
    assert photo.pixels[0, :, 1].tolist() == [0, 128, 255]
    assert photo.seen.all()


def test_16_bits_of_grey_with_one_see_through(tmp_path: Path) -> None:
    row = b"\0" + struct.pack(">3H", 0x1234, 0x1235, 0xFFFF)
    photo = read(png((3, 1), 16, 0, row, (b"tRNS", struct.pack(">H", 0x1235))), tmp_path)
    assert photo.seen.tolist() == [[True, False, True]]


@pytest.mark.parametrize("depth", [1, 2, 4, 8])
def test_a_palette_of_any_depth(depth: int, tmp_path: Path) -> None:
    palette = (b"PLTE", bytes([200, 16, 46, 244, 233, 208]))
    row = b"\0" + bytes([0b01 << (8 - 2 * depth)] if depth < 8 else [0, 1])
    photo = read(png((2, 1), depth, 3, row, palette), tmp_path)
    assert photo.pixels.tolist() == [[[200, 16, 46], [244, 233, 208]]]


def test_a_palette_with_see_through_entries(tmp_path: Path) -> None:
    palette = (b"PLTE", bytes([200, 16, 46, 244, 233, 208, 0, 0, 255]))
    content = png((3, 1), 8, 3, bytes([0, 0, 1, 2]), palette, (b"tRNS", bytes([0, 127, 128])))
    photo = read(content, tmp_path)
    assert photo.seen.tolist() == [[False, False, True]]
    assert photo.colours.tolist() == [[0, 0, 255]]


@pytest.mark.parametrize(
    ("kind", "row", "colours"),
    [
        (6, [200, 16, 46, 255, 0, 0, 255, 127, 31, 63, 174, 128], [[200, 16, 46], [31, 63, 174]]),
        (4, [90, 255, 10, 0, 250, 200], [[90] * 3, [250] * 3]),
    ],
    ids=["colour", "grey"],
)
def test_alpha_leaves_out_what_is_see_through(
    kind: int, row: list[int], colours: list[list[int]], tmp_path: Path
) -> None:
    photo = read(png((3, 1), 8, kind, bytes([0, *row])), tmp_path)
    assert photo.seen.tolist() == [[True, False, True]]
    assert photo.colours.tolist() == colours


def test_one_colour_may_stand_for_see_through(tmp_path: Path) -> None:
    row = bytes([0, 200, 16, 46, 1, 2, 3])
    photo = read(png((2, 1), 8, 2, row, (b"tRNS", struct.pack(">3H", 1, 2, 3))), tmp_path)
    assert photo.seen.tolist() == [[True, False]]


def test_black_and_white(tmp_path: Path) -> None:
    photo = read(png((8, 1), 1, 0, b"\0\xa0"), tmp_path)
    assert photo.pixels[0, :, 2].tolist() == [255, 0, 255, 0, 0, 0, 0, 0]


@pytest.mark.parametrize("options", [{}, {"progressive": True}, {"subsampling": 2}])
@pytest.mark.parametrize("mode", ["RGB", "L"])
def test_kinds_of_jpeg(mode: str, options: dict[str, object], tmp_path: Path) -> None:
    picture = Image.fromarray(SQUARES).convert(mode)
    photo = read(encoded(picture, "JPEG", quality=95, **options), tmp_path)
    middles = (slice(16, None, 32), slice(16, None, 32))
    wanted = np.asarray(picture.convert("RGB")).astype(int)
    assert np.abs(photo.pixels[middles].astype(int) - wanted[middles]).max() <= 4


def test_of_several_pictures_the_first_is_read(tmp_path: Path) -> None:
    first, second = Image.new("RGB", (16, 8), (200, 16, 46)), Image.new("RGB", (8, 8), (0, 0, 255))
    photo = read(encoded(first, "MPO", save_all=True, append_images=[second]), tmp_path)
    assert photo.pixels.shape == (8, 16, 3)
    assert photo.pixels[4, 4].tolist() == pytest.approx([200, 16, 46], abs=3)


def test_the_ending_is_of_no_account(tmp_path: Path) -> None:
    content = encoded(Image.fromarray(SQUARES), "PNG")
    assert (read(content, tmp_path, "photo.txt").pixels == SQUARES).all()


def test_from_file_to_colours(tmp_path: Path) -> None:
    photo = read(encoded(Image.fromarray(SQUARES), "PNG"), tmp_path)
    found = {one.colour.hex: one.share for one in leading_colours(photo.colours, 6)}
    wanted = ["#{:02x}{:02x}{:02x}".format(*colour) for colour in BLOCKS.reshape(-1, 3)]
    assert found == pytest.approx(dict.fromkeys(wanted, 1 / 6))


# What is refused


def test_a_missing_file(tmp_path: Path) -> None:
    with pytest.raises(FileError) as caught:
        read_photo(tmp_path / "rose.jpg")
    assert str(caught.value) == "rose.jpg: there is no such file; look at its name and folder"


def test_a_folder(tmp_path: Path) -> None:
    (tmp_path / "roses").mkdir()
    with pytest.raises(FileError) as caught:
        read_photo(tmp_path / "roses")
    assert str(caught.value) == "roses: is a folder; name the photograph in it"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="has no pipes with names")
def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.jpg")
    with pytest.raises(FileError) as caught:
        read_photo(tmp_path / "pipe.jpg")
    assert str(caught.value) == "pipe.jpg: is not an ordinary file; give a JPEG or PNG file"


def test_a_file_that_may_not_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "rose.jpg").write_bytes(b"x")

    def denied(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", denied)
    with pytest.raises(FileError) as caught:
        read_photo(tmp_path / "rose.jpg")
    assert str(caught.value) == "rose.jpg: cannot be read (permission denied); look at its rights and name"


def test_an_empty_file(tmp_path: Path) -> None:
    assert refused(b"", tmp_path) == "photo.jpg: is empty; copy or save it again"


OTHERS = {
    "a GIF picture": encoded(Image.new("L", (2, 2)), "GIF"),
    "a TIFF picture, or a camera's raw file": encoded(Image.new("L", (2, 2)), "TIFF"),
    "a BMP picture": encoded(Image.new("L", (2, 2)), "BMP"),
    "a WebP picture": b"RIFF\x24\0\0\0WEBPVP8 ",
    "a HEIC picture": b"\0\0\0\x24ftypheic\0\0\0\0mif1",
    "an AVIF picture": b"\0\0\0\x20ftypavif\0\0\0\0",
    "a camera's raw file": b"\0\0\0\x18ftypcrx \0\0\0\1",
    "a JPEG XL picture": b"\xff\x0a\x10\x20",
    "a JPEG 2000 picture": b"\0\0\0\x0cjP  \r\n\x87\n",
    "a PDF": b"%PDF-1.7\n",
    "an SVG drawing": b'<svg xmlns="http://www.w3.org/2000/svg"/>',
    "an SVG drawing, or other text": b'<?xml version="1.0"?><svg/>',
    "no picture that can be read": b'title = "Rose"\n',
}


@pytest.mark.parametrize("what", OTHERS)
def test_other_kinds_are_named(what: str, tmp_path: Path) -> None:
    assert refused(OTHERS[what], tmp_path) == f"photo.jpg: is {what}; save it as JPEG or PNG"


@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
@pytest.mark.parametrize("part", [0.02, 0.3, 0.6, 0.9])
def test_a_file_that_is_cut_short(kind: str, part: float, tmp_path: Path) -> None:
    noise = np.random.default_rng(1).integers(0, 256, (40, 40, 3), dtype=np.uint8)
    content = encoded(Image.fromarray(noise), kind)
    told = refused(content[: int(part * len(content))], tmp_path)
    assert told == "photo.jpg: is cut short or damaged; copy or save it again"


@given(data=st.data())
@settings(max_examples=150)
def test_damage_is_read_or_refused_and_never_fails(
    data: st.DataObject, tmp_path_factory: pytest.TempPathFactory
) -> None:
    exif = Image.Exif()
    exif[0x0112] = 6
    picture = Image.fromarray(SQUARES[::8, ::8])
    kind = data.draw(st.sampled_from(["PNG", "JPEG"]))
    content = bytearray(encoded(picture, kind, exif=exif, icc_profile=wide()[:900]))
    for place in data.draw(st.lists(st.integers(0, len(content) - 1), min_size=1, max_size=8)):
        content[place] = data.draw(st.integers(0, 255))
    folder = tmp_path_factory.getbasetemp()
    try:
        photo = read(bytes(content), folder)
    except FileError as fault:
        told = str(fault)
    else:
        told = "photo.jpg: is read" if photo.pixels.shape[:2] == photo.seen.shape else ""
    assert told.startswith("photo.jpg: is ")


def test_a_broken_orientation_tag_is_told(tmp_path: Path) -> None:
    content = encoded(Image.fromarray(SQUARES), "PNG", exif=b"Exif\0\0ZZ*\0\0\0\0\x08")
    photo = read(content, tmp_path)
    assert (photo.pixels == SQUARES).all()
    assert photo.notes == ("the orientation tag cannot be read; the picture is taken as it lies",)


def test_81_million_pixels_are_refused_before_they_are_decoded(tmp_path: Path) -> None:
    told = refused(png((9000, 9000), 8, 2, b"not a picture of that size"), tmp_path)
    assert told == (
        "photo.jpg: has 9000 by 9000 pixels, 81 million; save a smaller copy: up to 80 million are read"
    )


@pytest.mark.parametrize("size", [(10_000, 10_000), (100_000, 100_000)])
def test_a_bomb_is_refused(size: tuple[int, int], tmp_path: Path) -> None:
    told = refused(png(size, 1, 0, b""), tmp_path)
    assert told == (
        "photo.jpg: has more pixels than can be read; save a smaller copy: up to 80 million are read"
    )


def test_a_picture_that_is_see_through_all_over(tmp_path: Path) -> None:
    told = refused(encoded(Image.new("RGBA", (4, 4), (200, 16, 46, 100)), "PNG"), tmp_path)
    assert told == "photo.jpg: is see-through all over; give a picture that covers something"
