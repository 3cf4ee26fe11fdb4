"""Many colours at once by lightness, chroma and hue as an eye orders them: OKLCH and CIELAB of sRGB, as arrays.

OKLCH keeps the hue of blues where CIELAB turns them violet, so hues are chosen and named in it; differences and
lightness stay CIELAB. Single colours are read by ``read_colour``; this is for grids of some thousands.

References
----------
OKLab: see ``oklab``; CSS Color Module Level 4, section 18 (sRGB to XYZ under D65, white x 0.3127, y 0.3290); CIE 15
(CIELAB).
"""

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mockup.colour.coding import linear_from_srgb, srgb_from_linear
from mockup.colour.conversion import Colour
from mockup.colour.difference import FloatArray
from mockup.colour.oklab import linear_from_oklab, oklab_from_linear

_XYZ: Final = np.array(
    [
        [506752 / 1228815, 87881 / 245763, 12673 / 70218],
        [87098 / 409605, 175762 / 245763, 12673 / 175545],
        [7918 / 409605, 87881 / 737289, 1001167 / 1053270],
    ]
)
_WHITE: Final = np.array([0.3127 / 0.3290, 1.0, (1 - 0.3127 - 0.3290) / 0.3290])
_HAIR: Final = 0.25 / 255


class Tone(NamedTuple):
    """OKLCH of one colour as shown: lightness 0 to 1, chroma 0 to about 0.32, hue in degrees 0 to 360."""

    lightness: float
    chroma: float
    hue: float


def tone(colour: Colour) -> Tone:
    """Give the OKLCH of a colour as shown; the hue of a grey is only rounding."""
    return Tone(*oklch_from_srgb(colour.srgb).tolist())


def oklch_from_srgb(srgb: ArrayLike) -> FloatArray:
    """Give OKLCH of sRGB.

    Parameters
    ----------
    srgb : (..., 3) floats, 0 to 1

    Returns
    -------
    (..., 3) floats
        Lightness 0 to 1, chroma, hue in degrees 0 to 360.
    """
    lab = oklab_from_linear(linear_from_srgb(srgb))
    a, b = lab[..., 1], lab[..., 2]
    return np.stack([lab[..., 0], np.hypot(a, b), np.degrees(np.arctan2(b, a)) % 360.0], axis=-1)


def srgb_from_oklch(values: ArrayLike) -> tuple[FloatArray, NDArray[np.bool_]]:
    """Give sRGB of OKLCH, and whether sRGB holds it.

    Parameters
    ----------
    values : (..., 3) floats
        Lightness, chroma, hue in degrees.

    Returns
    -------
    (..., 3) floats, (...) bools
        Channels clipped to 0..1; whether none had to be clipped.
    """
    light, chroma, hue = np.moveaxis(np.asarray(values, dtype=np.float64), -1, 0)
    turn = np.radians(hue)
    lab = np.stack([light, chroma * np.cos(turn), chroma * np.sin(turn)], axis=-1)
    linear = linear_from_oklab(lab)
    srgb = np.where(linear < 0, linear * 12.92, srgb_from_linear(np.maximum(linear, 0.0)))
    holds = ((srgb >= -_HAIR) & (srgb <= 1 + _HAIR)).all(axis=-1)
    return np.clip(srgb, 0.0, 1.0), np.asarray(holds)


def lab_from_srgb(srgb: ArrayLike) -> FloatArray:
    """Give CIELAB under D65 of sRGB, (..., 3) floats each."""
    ratio = linear_from_srgb(srgb) @ _XYZ.T / _WHITE
    f = np.where(ratio > 216 / 24389, np.cbrt(ratio), (24389 / 27 * ratio + 16) / 116)
    x, y, z = np.moveaxis(f, -1, 0)
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)
