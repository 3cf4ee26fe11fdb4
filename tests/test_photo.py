"""Photographs are read upright, in sRGB and whole; what is no photograph is told in one line."""

import struct
import zlib
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from mockup.colour.conversion import read_colour
from mockup.colour.photo import LARGEST, read_photo
from mockup.errors import FileError

#: Four quarters, so that every turn and mirroring shows.
QUARTERS = np.zeros((24, 36, 3), dtype=np.uint8)
QUARTERS[:12, :18] = (200, 40, 30)
QUARTERS[:12, 18:] = (30, 90, 200)
QUARTERS[12:, :18] = (240, 220, 60)
QUARTERS[12:, 18:] = (20, 120, 60)

#: What the tag asks to be done to the picture as it lies in the file (Exif 2.32, orientation).
UPRIGHT = {
    1: lambda p: p,
    2: lambda p: p[:, ::-1],
    3: lambda p: p[::-1, ::-1],
    4: lambda p: p[::-1],
    5: lambda p: p.transpose(1, 0, 2),
    6: lambda p: np.rot90(p, -1),
    7: lambda p: np.rot90(p, 2).transpose(1, 0, 2),
    8: lambda p: np.rot90(p, 1),
}


@pytest.mark.parametrize("ending", ["png", "jpg"])
@pytest.mark.parametrize("tag", UPRIGHT)
def test_every_orientation_is_set_upright(tag: int, ending: str, tmp_path: Path) -> None:
    path = tmp_path / f"a.{ending}"
    exif = Image.Exif()
    exif[0x0112] = tag
    Image.fromarray(QUARTERS).save(path, exif=exif, quality=95, subsampling=0)
    wanted = UPRIGHT[tag](QUARTERS).astype(int)
    found = read_photo(path).pixels
    assert found.shape == wanted.shape
    inner = np.abs(found - wanted)[2:-2:4, 2:-2:4]
    assert inner.max() <= (10 if ending == "jpg" else 0)


def profile(
    red: tuple[float, float], green: tuple[float, float], blue: tuple[float, float], gamma: float
) -> bytes:
    """Write a small ICC v2 profile of three primaries under D65 (adapted to D50 by Bradford) and one gamma."""
    xy = np.array([red, green, blue, (0.3127, 0.3290)])
    tall = np.column_stack((xy[:, 0] / xy[:, 1], np.ones(4), (1 - xy.sum(axis=1)) / xy[:, 1])).T
    matrix = tall[:, :3] * np.linalg.solve(tall[:, :3], tall[:, 3])
    cone = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])
    white = np.array([0.9642, 1.0, 0.8249])
    adapted = np.linalg.inv(cone) @ np.diag((cone @ white) / (cone @ tall[:, 3])) @ cone @ matrix

    def fixed(values: "np.ndarray[tuple[int], np.dtype[np.float64]]") -> bytes:
        return b"XYZ \0\0\0\0" + struct.pack(">3i", *(round(value * 65536) for value in values))

    curve = b"curv\0\0\0\0" + struct.pack(">IH", 1, round(gamma * 256)) + b"\0\0"
    text = b"test\0"
    described = b"desc\0\0\0\0" + struct.pack(">I", len(text)) + text + b"\0" * 78
    tags = {b"desc": described, b"cprt": b"text\0\0\0\0none\0", b"wtpt": fixed(white)}
    tags |= {name: fixed(adapted[:, place]) for place, name in enumerate((b"rXYZ", b"gXYZ", b"bXYZ"))}
    tags |= dict.fromkeys((b"rTRC", b"gTRC", b"bTRC"), curve)
    start, table, body = 128 + 4 + 12 * len(tags), b"", b""
    for name, content in tags.items():
        padded = content + b"\0" * (-len(content) % 4)
        table += name + struct.pack(">II", start + len(body), len(content))
        body += padded
    head = struct.pack(">I4sI4s4s4s", start + len(body), b"none", 0x02400000, b"mntr", b"RGB ", b"XYZ ")
    head += (
        struct.pack(">6H4s", 2026, 1, 1, 0, 0, 0, b"acsp")
        + b"\0" * 28
        + struct.pack(">3i", 63190, 65536, 54061)
    )
    return head.ljust(128, b"\0") + struct.pack(">I", len(tags)) + table + body


#: Display P3 (SMPTE EG 432-1, primaries from memory) with a plain gamma in place of its curve, whose ends agree.
WIDE = profile((0.680, 0.320), (0.265, 0.690), (0.150, 0.060), 2.2)


@pytest.mark.parametrize("ending", ["png", "jpg"])
def test_an_embedded_profile_is_followed(ending: str, tmp_path: Path) -> None:
    levels = np.array([(150, 90, 60), (90, 120, 100), (120, 120, 120), (70, 80, 130)], dtype=np.uint8)
    picture = np.repeat(np.repeat(levels[None], 16, axis=0), 16, axis=1)
    path = tmp_path / f"a.{ending}"
    Image.fromarray(picture).save(path, icc_profile=WIDE, quality=100, subsampling=0)
    found = read_photo(path).pixels[8, 8::16].astype(int)
    for level, seen in zip(levels, found, strict=True):
        light = (level / 255) ** 2.2
        wanted = read_colour(f"color(display-p3-linear {' '.join(f'{value:.6f}' for value in light)})")
        assert np.abs(seen - 255 * np.array(wanted.srgb)).max() <= 2.5
    assert np.abs(found[0] - levels[0].astype(int)).max() > 5


def test_a_broken_profile_is_told_and_left_aside(tmp_path: Path) -> None:
    path = tmp_path / "a.png"
    Image.fromarray(QUARTERS).save(path, icc_profile=b"no profile at all")
    photo = read_photo(path)
    assert photo.notes == ("the colour profile in it cannot be used; its colours are read as sRGB",)
    assert (photo.pixels == QUARTERS).all()


def test_what_is_seen_through_is_left_out(tmp_path: Path) -> None:
    path = tmp_path / "a.png"
    alpha = np.full((24, 36, 1), 255, dtype=np.uint8)
    alpha[:12, :18] = 100
    alpha[:12, 18:] = 160
    Image.fromarray(np.concatenate((QUARTERS, alpha), axis=2)).save(path)
    photo = read_photo(path)
    assert not photo.seen[:12, :18].any()
    assert photo.seen[:12, 18:].all()
    assert len(photo.colours) == 24 * 36 * 3 // 4


@pytest.mark.parametrize("mode", ["L", "1", "P", "LA", "CMYK", "I;16"])
def test_every_kind_of_picture_is_read(mode: str, tmp_path: Path) -> None:
    grey = np.repeat(np.arange(0, 240, 8, dtype=np.uint8)[None], 20, axis=0)
    if mode == "I;16":
        image = Image.fromarray(grey.astype(np.uint16) * 257)
    else:
        plain = Image.fromarray(grey)
        image = plain.convert("RGB").convert(mode) if mode == "CMYK" else plain.convert(mode)
    path = tmp_path / ("a.jpg" if mode == "CMYK" else "a.png")
    image.save(path)
    photo = read_photo(path)
    assert photo.pixels.shape == (20, 30, 3)
    assert photo.pixels.dtype == np.uint8
    if mode not in {"1", "CMYK"}:
        assert np.abs(photo.pixels.astype(int) - grey[..., None]).max() <= 4
    assert bool(photo.notes) == (mode == "CMYK")


def bomb(path: Path, side: int) -> Path:
    """Write a PNG of huge sides in few bytes."""

    def chunk(kind: bytes, content: bytes) -> bytes:
        return (
            struct.pack(">I", len(content)) + kind + content + struct.pack(">I", zlib.crc32(kind + content))
        )

    head = struct.pack(">IIBBBBB", side, side, 1, 0, 0, 0, 0)
    path.write_bytes(b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", b"") + chunk(b"IEND", b""))
    return path


def written(path: Path, kind: str) -> None:
    """Write a file that is no photograph."""
    whole = path.parent / "whole.png"
    Image.fromarray(QUARTERS).save(whole)
    clear = Image.new("RGBA", (8, 8), (1, 2, 3, 0))
    if kind == "folder":
        path.mkdir()
    elif kind == "cut":
        path.write_bytes(whole.read_bytes()[:70])
    elif kind == "gif":
        Image.fromarray(QUARTERS).save(path, format="GIF")
    elif kind == "bmp":
        Image.fromarray(QUARTERS).save(path, format="BMP")
    elif kind == "text":
        path.write_text("no picture at all")
    elif kind == "empty":
        path.write_bytes(b"")
    elif kind == "clear":
        clear.save(path, format="PNG")
    elif kind == "large":
        bomb(path, 9000)
    elif kind == "bomb":
        bomb(path, 60_000)


@pytest.mark.parametrize(
    ("kind", "told"),
    [
        ("missing", "there is no such file; look at its name and folder"),
        ("folder", "is a folder; name the photograph in it"),
        ("empty", "is empty; copy or save it again"),
        ("cut", "is cut short or damaged; copy or save it again"),
        ("gif", "is a GIF picture; save it as JPEG or PNG"),
        ("bmp", "is a BMP picture; save it as JPEG or PNG"),
        ("text", "is no picture that can be read; save it as JPEG or PNG"),
        ("clear", "is see-through all over; give a picture that covers something"),
        ("large", "has 9000 by 9000 pixels, 81 million; save a smaller copy: up to 80 million are read"),
        ("bomb", "has more pixels than can be read; save a smaller copy: up to 80 million are read"),
    ],
)
def test_what_is_no_photograph_is_told_in_one_line(kind: str, told: str, tmp_path: Path) -> None:
    path = tmp_path / "photo.png"
    written(path, kind)
    with pytest.raises(FileError) as refused:
        read_photo(path)
    assert str(refused.value) == f"photo.png: {told}"
    assert LARGEST == 80_000_000
