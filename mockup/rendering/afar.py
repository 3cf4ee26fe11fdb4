"""How a coloured surface looks from afar: inks and ground mixed in light, by area, under a soft blur.

From so far that shapes are no longer told apart, the eye adds up the light that comes from round each point. So the
shares of the inks are blurred, and their colours are mixed by these shares in linear light, not as they are coded.

References
----------
IEC 61966-2-1 (the coding of sRGB). That fine detail mixes by area in linear light: Talbot's law for the eye in space
(common practice in halftone printing, Murray and Davies 1936; from memory).
"""

import math
from collections.abc import Sequence

import numpy as np
from numpy import fft
from numpy.typing import NDArray

from mockup.colour.coding import linear_from_srgb, srgb_from_linear
from mockup.geometry.affine import Points
from mockup.geometry.grains import strewn
from mockup.rendering.scene import channels

Floats = NDArray[np.float64]

_FAR = 4.0
"""Blurs beyond which nothing counts."""


def squinted(
    area: Floats,
    place: Points,
    inks: NDArray[np.int64],
    colours: Sequence[str],
    ground: str,
    cell: tuple[float, float],
    *,
    blur: float,
    wraps: bool = True,
    grain: float | None = None,
) -> Floats:
    """Mix any coloured areas as they look from afar.

    Parameters
    ----------
    area : (n,) floats
        What is seen of each, mm2.
    place : (n, 2) floats
        Where each lies, mm from the cell's top left.
    inks : (n,) ints
        Ink of each.
    colours : sequence of str
        "#rrggbb" of each ink.
    ground : str
        "#rrggbb" of what lies between.
    cell : (float, float)
        Width and height, mm.
    blur : float
        Standard deviation of the blur, mm.
    wraps : bool
        Whether the cell repeats.
    grain : float, optional
        Side of a square, mm; left out, a quarter of the blur.

    Returns
    -------
    (rows, columns, 3) floats
        sRGB, 0 to 1.
    """
    grain = grain or blur / 4
    shares = [
        strewn(area[inks == ink], place[inks == ink], cell, grain, wraps) for ink in range(len(colours))
    ]
    return mixed(np.array(shares), colours, ground, cell, blur=blur, wraps=wraps)


def mixed(
    shares: Floats,
    colours: Sequence[str],
    ground: str,
    cell: tuple[float, float],
    *,
    blur: float,
    wraps: bool = True,
) -> Floats:
    """Mix what covers the squares of a grid as it looks from afar; the ground covers what is left of each.

    Parameters
    ----------
    shares : (k, rows, columns) floats
        Share of each square that each ink covers.
    colours, ground, cell, blur, wraps
        As for ``squinted``.

    Returns
    -------
    (rows, columns, 3) floats
        sRGB, 0 to 1.
    """
    soft = np.clip(blurred(shares, cell, blur, wraps), 0.0, None)
    whole = soft.sum(axis=0)
    soft = soft / np.maximum(whole, 1.0)
    light = linear_from_srgb([channels(colour) for colour in (*colours, ground)])
    parts = np.concatenate((soft, np.clip(1.0 - whole, 0.0, 1.0)[None]))
    return srgb_from_linear(np.clip(np.tensordot(parts, light, axes=(0, 0)), 0.0, 1.0))


def blurred(values: Floats, cell: tuple[float, float], blur: float, wraps: bool) -> Floats:
    """Blur squares, (k, rows, columns), by a Gaussian of ``blur`` mm; at the edge of a sheet only the sheet counts."""
    rows, columns = values.shape[1:]
    steps = cell[1] / rows, cell[0] / columns
    pads = (0, 0) if wraps else (math.ceil(_FAR * blur / steps[0]), math.ceil(_FAR * blur / steps[1]))
    wide = np.pad(values, ((0, 0), (0, pads[0]), (0, pads[1])))
    tall, long = wide.shape[1:]
    fy, fx = fft.fftfreq(tall, steps[0])[:, None], fft.rfftfreq(long, steps[1])[None, :]
    soft = np.exp(-2 * (math.pi * blur) ** 2 * (fy**2 + fx**2))

    def smooth(grid: Floats) -> Floats:
        found: Floats = fft.irfft2(fft.rfft2(grid) * soft, s=(tall, long))
        return found[..., :rows, :columns]

    if wraps:
        return smooth(wide)
    inside = np.pad(np.ones((rows, columns)), ((0, pads[0]), (0, pads[1])))
    return np.asarray(smooth(wide) / smooth(inside))


def resampled(values: Floats, shape: tuple[int, int], wraps: bool) -> Floats:
    """Read smooth values at corners of squares, (rows, columns), at the middles of finer squares, ``shape``.

    Between them straight lines are drawn. A sheet's last row and column lie on its edge, those of a repeat one step
    before it.
    """
    rows, columns = values.shape
    sides = (rows, columns) if wraps else (rows - 1, columns - 1)
    y, x = ((np.arange(n) + 0.5) / n * m for n, m in zip(shape, sides, strict=True))
    top, left = np.floor(y).astype(np.int64), np.floor(x).astype(np.int64)
    down, right = (y - top)[:, None], (x - left)[None, :]

    def at(row: NDArray[np.int64], column: NDArray[np.int64]) -> Floats:
        if wraps:
            return values[np.ix_(row % rows, column % columns)]
        return values[np.ix_(np.minimum(row, rows - 1), np.minimum(column, columns - 1))]

    upper = at(top, left) * (1 - right) + at(top, left + 1) * right
    lower = at(top + 1, left) * (1 - right) + at(top + 1, left + 1) * right
    return np.asarray(upper * (1 - down) + lower * down)
