"""How dark a picture is against its paper: light that falls unevenly, tints and the texture of the paper taken off."""

from concurrent.futures import ThreadPoolExecutor
from functools import reduce
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage
from skimage.transform import downscale_local_mean

from mockup.colour.coding import linear_from_srgb
from mockup.errors import DrawingError

Picture = NDArray[np.uint8]
Floats = NDArray[np.float32]

FINEST: Final = 300.0
"""Pixels an inch that are worked on, about; finer pictures are averaged down."""

_COARSE: Final = 2.0
"""Pixels a mm at which the paper is looked at."""

_WIDEST: Final = 12.0
"""Dark places up to this wide (mm) are drawing, wider ones shade."""

_EASE: Final = 0.045
"""Blur of the picture before it is measured, mm: no line is that thin."""

_LIGHT: Final[Floats] = (255 * linear_from_srgb(np.arange(256) / 255)).astype(np.float32)
"""Light of each level."""

_BLACK: Final = 20.0
"""Light (of 255) of the lightest tenth of a picture under which there is no paper in it."""


class Darkness(NamedTuple):
    """``dark`` (rows, columns): 0 is bare paper, 1 black; ``noise``: what the paper's own texture amounts to.

    ``scale`` is pixels a mm.
    """

    dark: Floats
    noise: float
    scale: float


def darkness(pixels: Picture, dpi: float) -> Darkness:
    """Measure how dark a picture is against its paper.

    Each channel is divided by the paper's own level round about, and the channel in which a place is darkest counts:
    so a line of any colour shows, and tinted paper is bare.

    Parameters
    ----------
    pixels : (rows, columns, 3) uint8
        sRGB.
    dpi : float
        Pixels an inch.

    Raises
    ------
    DrawingError
        There is no light paper in it.
    """
    factor = max(1, round(dpi / FINEST))
    scale = dpi / 25.4 / factor
    if np.percentile(_LIGHT[pixels[::8, ::8, 1]], 90) < _BLACK:
        raise DrawingError(
            "the picture is dark all over",
            remedy="give dark lines on light paper; invert it if it is a negative",
        )
    grey = bool((pixels[..., 0] == pixels[..., 1]).all() and (pixels[..., 1] == pixels[..., 2]).all())

    def against_paper(channel: int) -> Floats:
        level = _level(pixels[..., channel], factor)
        ndimage.gaussian_filter(level, _EASE * scale, output=level)
        level /= _paper(level, scale)
        return level

    with ThreadPoolExecutor(2) as pool:
        least = reduce(np.minimum, pool.map(against_paper, (1,) if grey else (1, 0, 2)))
    dark = np.clip(1 - least, 0, 1)
    return Darkness(dark, _noise(dark), scale)


def _level(channel: Picture, factor: int) -> Floats:
    """Give one channel as light (0 to 255), averaged down: half a pixel of ink is half its light."""
    rows, columns = (side // factor * factor for side in channel.shape)
    light = _LIGHT[channel[:rows, :columns]]
    if factor == 1:
        return light
    return np.asarray(downscale_local_mean(light, (factor, factor)), dtype=np.float32)


def _paper(level: Floats, scale: float) -> Floats:
    """Give the level of the bare paper everywhere: what is dark is closed up to the paper round it."""
    coarse = max(1, round(scale / _COARSE))
    small = np.asarray(downscale_local_mean(level, (coarse, coarse)), dtype=np.float32)
    size = 2 * round(_WIDEST * scale / coarse / 2) + 1
    closed = ndimage.grey_closing(small, (size, size), mode="nearest")
    smooth = np.maximum(ndimage.gaussian_filter(closed, 0.75 * scale / coarse, mode="nearest"), 8.0)
    return np.repeat(np.repeat(smooth, coarse, axis=0), coarse, axis=1)[: level.shape[0], : level.shape[1]]


def _noise(dark: Floats) -> float:
    """Give the spread of bare paper: from the lower half of what is there, which lines do not reach."""
    some = dark[::3, ::3]
    low = np.percentile(some, (20, 50))
    return float(max(1.19 * (low[1] - low[0]), 0.004))
