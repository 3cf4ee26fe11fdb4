"""PNG files, read back by another library."""

import io
import struct
import zlib

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from PIL import Image

from mockup.rendering import png
from mockup.rendering.png import encode


def noise(rows: int, columns: int, seed: int, levels: int = 256) -> NDArray[np.uint8]:
    return np.random.default_rng(seed).integers(0, levels, (rows, columns, 3), dtype=np.uint8)


def read(content: bytes) -> tuple[Image.Image, NDArray[np.uint8]]:
    image = Image.open(io.BytesIO(content))
    image.load()
    return image, np.asarray(image)


def kinds(content: bytes) -> list[bytes]:
    """Names of the chunks, each one's checksum proved on the way."""
    assert content[:8] == b"\x89PNG\r\n\x1a\n"
    at, found = 8, []
    while at < len(content):
        (length,) = struct.unpack(">I", content[at : at + 4])
        body = content[at + 4 : at + 8 + length]
        assert struct.unpack(">I", content[at + 8 + length : at + 12 + length])[0] == zlib.crc32(body)
        found.append(body[:4])
        at += 12 + length
    return found


@given(
    st.integers(1, 40),
    st.integers(1, 40),
    st.integers(0, 999),
    st.sampled_from([1, 2, 256]),
    st.integers(1, 50),
)
def test_pixels_come_back_as_they_were(rows: int, columns: int, seed: int, levels: int, block: int) -> None:
    pixels = noise(rows, columns, seed, levels)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(png, "_BLOCK", block)
        image, back = read(encode(pixels, 300))
    assert image.mode == "RGB"
    assert np.array_equal(back, pixels)


@pytest.mark.parametrize("rows", [511, 512, 513, 1024, 1400])
def test_pictures_of_several_blocks_come_back(rows: int) -> None:
    pixels = noise(rows, 30, rows)
    assert np.array_equal(read(encode(pixels, 96))[1], pixels)


def test_views_that_skip_rows_are_written_as_they_are_seen() -> None:
    pixels = noise(60, 30, 1)[::2, ::-1]
    assert np.array_equal(read(encode(pixels, 96))[1], pixels)


@pytest.mark.parametrize("dpi", [72, 96, 150, 299.5, 300, 600, 1200])
def test_the_resolution_is_read_back(dpi: float) -> None:
    image, _ = read(encode(noise(4, 5, 1), dpi))
    assert image.info["dpi"] == pytest.approx((dpi, dpi), abs=0.02)


def test_the_file_says_that_it_is_srgb() -> None:
    content = encode(noise(4, 5, 1), 300)
    image, _ = read(content)
    assert image.info["srgb"] == 0
    assert image.info["gamma"] == pytest.approx(1 / 2.2, abs=1e-5)
    assert kinds(content) == [b"IHDR", b"gAMA", b"sRGB", b"pHYs", b"IDAT", b"IEND"]


@pytest.mark.parametrize("text", ["Pears in half-drop", "Poires à l'été", "Muster № 4 → B"])
def test_texts_are_carried(text: str) -> None:
    content = encode(noise(4, 5, 1), 300, {"Software": "mockup", "Title": text})
    assert read(content)[0].info["Title"] == text
    assert read(content)[0].info["Software"] == "mockup"
    assert kinds(content)[4] == b"tEXt"


def test_a_text_cannot_end_early() -> None:
    assert read(encode(noise(2, 2, 1), 300, {"Title": "a\0b"}))[0].info["Title"] == "a b"


@pytest.mark.parametrize("keyword", ["", " Title", "Title ", "Tit\0le", "Título", "x" * 80])
def test_keywords_are_plain_and_short(keyword: str) -> None:
    with pytest.raises(ValueError, match="cannot be the keyword of a text in a PNG file"):
        encode(noise(2, 2, 1), 300, {keyword: "x"})


@pytest.mark.parametrize(
    "pixels",
    [
        np.zeros((4, 5), np.uint8),
        np.zeros((4, 5, 4), np.uint8),
        np.zeros((0, 5, 3), np.uint8),
        np.zeros((4, 5, 3), np.uint16),
    ],
)
def test_other_arrays_are_refused(pixels: NDArray[np.uint8]) -> None:
    with pytest.raises(ValueError, match=r"pixels must be \(rows, columns, 3\) uint8, not \("):
        encode(pixels, 300)


def test_flat_areas_take_next_to_nothing() -> None:
    flat = np.full((2000, 1500, 3), 200, np.uint8)
    assert len(encode(flat, 300)) < flat.size / 200


def test_bytes_do_not_depend_on_the_number_of_threads(monkeypatch: pytest.MonkeyPatch) -> None:
    pixels = noise(1300, 40, 5, 3)
    expected = encode(pixels, 300)
    monkeypatch.setattr(png, "_MOST_THREADS", 1)
    assert encode(pixels, 300) == expected
