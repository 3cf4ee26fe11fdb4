"""Photographs: a JPEG or PNG file as sRGB pixels. The only home of Pillow.

A picture is decoded whole, never in the smaller draft that a JPEG offers: the draft averages squares of
pixels, which dims small accents and depends on where the squares begin. The orientation tag is followed, an
embedded colour profile converted to sRGB (relative colorimetric with black point compensation; what
sRGB cannot hold is clipped), of samples of 16 bits the upper 8 are kept. Only the first picture of a file with
several is read. A PNG's own gamma and primaries are left aside where it carries no profile.

References
----------
PNG specification, third edition (2023); JPEG (ITU-T T.81); ICC.1:2010; Exif 2.32, tag 0x0112 (orientation).
"""

import struct
import warnings
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageCms, ImageOps, UnidentifiedImageError

from mockup.errors import FileError

ByteArray = NDArray[np.uint8]
BoolArray = NDArray[np.bool_]

LARGEST: Final = 80_000_000
"""Pixels; A3 at 600 dpi has 70 million."""

_OPAQUE: Final = 128  # alpha from which a pixel is seen: half
_DAMAGE: Final = (
    OSError,
    SyntaxError,
    ValueError,
    TypeError,
    LookupError,
    EOFError,
    OverflowError,
    struct.error,
)
_SPACES: Final = {"RGB": "RGB", "GRAY": "L", "CMYK": "CMYK"}  # of ICC profiles, and Pillow's names
_HEAD: Final = 32
_KINDS: Final = (  # where in the file, what stands there, what it is
    (0, b"GIF8", "a GIF picture"),
    (0, b"II*\0", "a TIFF picture, or a camera's raw file"),
    (0, b"MM\0*", "a TIFF picture, or a camera's raw file"),
    (8, b"WEBP", "a WebP picture"),
    (4, b"ftypavif", "an AVIF picture"),
    (4, b"ftyphei", "a HEIC picture"),
    (4, b"ftypmif1", "a HEIC picture"),
    (4, b"ftypcrx", "a camera's raw file"),
    (0, b"\0\0\0\x0cJXL ", "a JPEG XL picture"),
    (0, b"\xff\x0a", "a JPEG XL picture"),
    (0, b"\0\0\0\x0cjP  ", "a JPEG 2000 picture"),
    (0, b"BM", "a BMP picture"),
    (0, b"%PDF", "a PDF"),
    (0, b"<svg", "an SVG drawing"),
    (0, b"<?xml", "an SVG drawing, or other text"),
)
_EXIF: Final = 0x8769
_EXPOSED: Final = 0x829A
_ASKED: Final = "save it as JPEG or PNG"


@dataclass(frozen=True, eq=False)
class Photo:
    """A photograph as it is looked at: upright, in sRGB.

    Attributes
    ----------
    pixels : (rows, columns, 3) uint8
        sRGB levels.
    seen : (rows, columns) bools
        False where the picture is more than half see-through.
    notes : tuple of str
        What could not be followed, a plain line each.
    dpi : float or None
        Pixels an inch as a scanner wrote them into the file; None where nothing says them, or a camera does, which
        knows no size.
    """

    pixels: ByteArray
    seen: BoolArray
    notes: tuple[str, ...] = ()
    dpi: float | None = None

    @property
    def colours(self) -> ByteArray:
        """The pixels that are seen, (n, 3) uint8."""
        return self.pixels.reshape(-1, 3) if self.seen.all() else self.pixels[self.seen]


def read_photo(path: Path) -> Photo:
    """Read a photograph.

    Parameters
    ----------
    path : Path
        A JPEG or PNG file: colour, grey, CMYK or of a palette, of any depth, with or without alpha.

    Returns
    -------
    Photo

    Raises
    ------
    FileError
        Missing, a folder, not to be read, no JPEG or PNG, cut short or damaged, over 80 million pixels,
        or see-through all over.
    """
    name = path.name or str(path)
    head = _head(path, name)
    notes: list[str] = []
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        warnings.simplefilter("error", Image.DecompressionBombWarning)
        try:
            with Image.open(path, formats=("PNG", "JPEG")) as image:
                _refuse_large(image, name)
                image.load()
                _set_upright(image, notes)
                seen, dpi = _seen(image), _dpi(image)
                pixels = np.asarray(_in_srgb(image, notes))
        except (Image.DecompressionBombWarning, Image.DecompressionBombError):
            raise _too_large("has more pixels than can be read", name) from None
        except UnidentifiedImageError:
            raise _unknown(head, name) from None
        except _DAMAGE:
            raise _damaged(name) from None
    if not seen.any():
        raise FileError("is see-through all over", where=name, remedy="give a picture that covers something")
    return Photo(pixels, seen, tuple(notes), dpi)


def _head(path: Path, name: str) -> bytes:
    """Read the first bytes, or say why there are none."""
    try:
        if path.is_dir():
            raise FileError("is a folder", where=name, remedy="name the photograph in it")
        if not path.exists():
            raise FileError("there is no such file", where=name, remedy="look at its name and folder")
        if not path.is_file():
            raise FileError("is not an ordinary file", where=name, remedy="give a JPEG or PNG file")
        with path.open("rb") as file:
            head = file.read(_HEAD)
    except (OSError, ValueError) as fault:
        reason = getattr(fault, "strerror", None) or "no possible file name"
        raise FileError(
            f"cannot be read ({reason.lower()})", where=name, remedy="look at its rights and name"
        ) from None
    if not head:
        raise FileError("is empty", where=name, remedy="copy or save it again")
    return head


def _refuse_large(image: Image.Image, name: str) -> None:
    """Stop before decoding what would fill the memory."""
    width, height = image.size
    if width * height > LARGEST:
        raise _too_large(f"has {width} by {height} pixels, {width * height / 1e6:.0f} million", name)


def _too_large(what: str, name: str) -> FileError:
    return FileError(
        what, where=name, remedy=f"save a smaller copy: up to {LARGEST // 1_000_000} million are read"
    )


def _damaged(name: str) -> FileError:
    return FileError("is cut short or damaged", where=name, remedy="copy or save it again")


def _unknown(head: bytes, name: str) -> FileError:
    """Say what a file is that is no JPEG or PNG."""
    if head.startswith((b"\x89PNG", b"\xff\xd8\xff")):
        return _damaged(name)
    for start, sign, kind in _KINDS:
        if head.startswith(sign, start):
            return FileError(f"is {kind}", where=name, remedy=_ASKED)
    return FileError("is no picture that can be read", where=name, remedy=_ASKED)


def _set_upright(image: Image.Image, notes: list[str]) -> None:
    """Turn and mirror a picture as its orientation tag says."""
    try:
        ImageOps.exif_transpose(image, in_place=True)
    except _DAMAGE:
        notes.append("the orientation tag cannot be read; the picture is taken as it lies")


def _dpi(image: Image.Image) -> float | None:
    """Give the pixels an inch of a scan; None for a photograph, and where the two sides differ."""
    across, down = (float(side) for side in image.info.get("dpi", (0, 0)))
    if not (1 < across < 10_000 and abs(across - down) < 0.02 * across):
        return None
    return None if image.getexif().get_ifd(_EXIF).get(_EXPOSED) else across


def _seen(image: Image.Image) -> BoolArray:
    """Tell which pixels are at least half opaque, (rows, columns)."""
    hidden = image.info.get("transparency")
    if image.mode.startswith("I") and hidden is not None:  # 16-bit grey: one value is see-through
        return np.asarray(np.asarray(image) != hidden)
    if not image.has_transparency_data:
        return np.ones((image.height, image.width), dtype=bool)
    return np.asarray(image.convert("RGBA").getchannel("A")) >= _OPAQUE


def _in_srgb(image: Image.Image, notes: list[str]) -> Image.Image:
    """Give a picture's colours in sRGB, its alpha left out."""
    plain = _plain(image)
    content = image.info.get("icc_profile")
    if not content:
        if plain.mode == "CMYK":
            notes.append("the picture is in CMYK and carries no colour profile; its colours are a guess")
        return plain.convert("RGB")
    try:
        profile = ImageCms.ImageCmsProfile(BytesIO(content))
        mode = _SPACES[profile.profile.xcolor_space.strip()]
        if mode != plain.mode and (plain.mode, mode) != ("L", "RGB"):
            raise ValueError(f"a profile for {mode} in a picture in {plain.mode}")
        managed = ImageCms.profileToProfile(
            plain.convert(mode),
            profile,
            ImageCms.createProfile("sRGB"),
            renderingIntent=ImageCms.Intent.RELATIVE_COLORIMETRIC,
            outputMode="RGB",
            flags=ImageCms.Flags.BLACKPOINTCOMPENSATION | ImageCms.Flags.HIGHRESPRECALC,
        )
    except (ImageCms.PyCMSError, *_DAMAGE):
        notes.append("the colour profile in it cannot be used; its colours are read as sRGB")
        return plain.convert("RGB")
    assert managed is not None  # as it was not asked to change the picture in its place
    return managed


def _plain(image: Image.Image) -> Image.Image:
    """Bring a picture into one of three modes without alpha: RGB, L (grey) or CMYK."""
    if image.mode.startswith("I"):
        return Image.fromarray((np.asarray(image) >> 8).astype(np.uint8))
    if image.mode in ("RGB", "L", "CMYK"):
        return image
    return image.convert("L" if image.mode in ("1", "LA", "La") else "RGB")
