"""How eyes see a piece: from a distance, colour blurred more than lightness; in values alone; without one kind of cone.

Light is parted into an achromatic, a red-green and a blue-yellow plane. Each is blurred by a kernel of its own, a
weighted sum of Gaussians whose spreads are degrees of visual angle, and the planes are put together again. Nothing is
lost of the mean, and an even colour stays what it is.

References
----------
X. Zhang, B. A. Wandell, "A spatial extension of CIELAB for digital color-image reproduction", SID Symposium Digest 27
(1996) and Journal of the SID 5 (1997): opponent planes (after Poirson and Wandell 1993), weights and spreads. A kernel
there is k sum w_i k_i exp(-(x^2 + y^2) / s_i^2), each Gaussian and the whole summing to 1. All of it from memory.
IEC 61966-2-1 (linear sRGB to CIE XYZ; from memory).
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy import fft
from numpy.typing import ArrayLike, NDArray

from mockup.colour.conversion import read_colour
from mockup.colour.vision import grey, seen
from mockup.rendering.look import Look

Floats = NDArray[np.float64]

_XYZ: Final = np.array(
    [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]], dtype=np.float64
)
_OPPONENT: Final = np.array(
    [[0.279, 0.722, -0.107], [-0.449, 0.290, 0.077], [0.086, -0.590, 0.501]], dtype=np.float64
)


def _planes() -> Floats:
    """Take from both colour planes what a grey has of them, in proportion to the achromatic plane.

    As published, greys have a little red-green and blue-yellow, and a fine pattern of black and white would come out
    coloured. The directions of the two colours stay as published.
    """
    planes = _OPPONENT @ _XYZ
    white = planes.sum(axis=1)
    white[0], whole = 0.0, white[0]
    return np.asarray(planes - np.outer(white / whole, planes[0]))


PLANES: Final[Floats] = _planes()
"""(3, 3): linear sRGB to the achromatic, the red-green and the blue-yellow plane; greys have no colour."""

_LIGHT: Final[Floats] = np.asarray(np.linalg.inv(PLANES), dtype=np.float64)


@dataclass(frozen=True, slots=True)
class Kernel:
    """A blur: weights of its Gaussians, and their spreads in degrees of visual angle (where each falls to 1/e)."""

    weights: tuple[float, ...]
    spreads: tuple[float, ...]

    @property
    def shares(self) -> tuple[float, ...]:
        """The weights, summing to 1."""
        whole = sum(self.weights)
        return tuple(weight / whole for weight in self.weights)

    def response(self, frequency: ArrayLike) -> Floats:
        """How much is left of a grating of so many cycles a degree, of any shape: 1 at none.

        The Fourier transform of a Gaussian exp(-r^2 / s^2) that sums to 1 is exp(-(pi s f)^2).
        """
        cycles = np.asarray(frequency, dtype=np.float64)
        left = np.zeros_like(cycles)
        for share, spread in zip(self.shares, self.spreads, strict=True):
            left += share * np.exp(-((math.pi * spread * cycles) ** 2))
        return left


ACHROMATIC: Final = Kernel((0.921, 0.105, -0.108), (0.0283, 0.133, 4.336))
RED_GREEN: Final = Kernel((0.531, 0.330), (0.0392, 0.494))
BLUE_YELLOW: Final = Kernel((0.488, 0.371), (0.0536, 0.386))

KERNELS: Final = (ACHROMATIC, RED_GREEN, BLUE_YELLOW)
"""In the order of ``PLANES``."""


def mm_per_degree(distance: float) -> float:
    """How many mm a degree of visual angle spans, straight ahead, at a distance in m."""
    return 2000.0 * distance * math.tan(math.radians(0.5))


def finest(distance: float) -> float:
    """Width of the narrowest blur at half its height, mm, at a distance in m: nothing finer is told apart."""
    return 2.0 * math.sqrt(math.log(2.0)) * ACHROMATIC.spreads[0] * mm_per_degree(distance)


def seen_from(light: Floats, cell: tuple[float, float], distance: float, wraps: bool) -> Floats:
    """Blur a picture as the eye does from a distance.

    Parameters
    ----------
    light : (rows, columns, 3) floats, 0 to 1
        Linear sRGB.
    cell : (float, float)
        Width and height that the picture shows, mm.
    distance : float
        From the eye to it, m.
    wraps : bool
        Whether the picture repeats. If not, beyond its edge nothing is seen, and each Gaussian is the mean of what of
        the picture lies under it.

    Returns
    -------
    (rows, columns, 3) floats
        Linear sRGB; beside sharp edges it may lie a little beyond 0 to 1.

    Raises
    ------
    ValueError
        The distance, or a side of the cell, is no positive number.
    """
    if not all(math.isfinite(side) and side > 0.0 for side in (distance, *cell)):
        raise ValueError(f"a cell of {cell} mm at {distance} m cannot be seen")
    degree = mm_per_degree(distance)
    size = cell[0] / degree, cell[1] / degree
    planes = np.moveaxis(light @ PLANES.T, -1, 0)
    blur = _wrapped if wraps else _within
    soft = [blur(plane, size, kernel) for plane, kernel in zip(planes, KERNELS, strict=True)]
    return np.asarray(np.stack(soft, axis=-1) @ _LIGHT.T)


def shown(light: Floats) -> Floats:
    """Bring light beyond sRGB back inside: lightness stays, colour fades towards the grey of like achromatic value.

    Parameters
    ----------
    light : (..., 3) floats
        Linear sRGB, as from ``seen_from``.

    Returns
    -------
    (..., 3) floats, 0 to 1
        Linear sRGB.
    """
    value = np.clip(light @ PLANES[0] / PLANES[0].sum(), 0.0, 1.0)[..., None]
    away = light - value
    room = np.where(away > 0.0, 1.0 - value, value)
    most = np.min(room / np.maximum(np.abs(away), 1e-12), axis=-1, keepdims=True)
    return np.asarray(np.clip(value + np.minimum(most, 1.0) * away, 0.0, 1.0))


def _wrapped(plane: Floats, size: tuple[float, float], kernel: Kernel) -> Floats:
    """Blur a plane that repeats; its size in degrees."""
    rows, columns = plane.shape
    fy, fx = fft.fftfreq(rows, size[1] / rows), fft.rfftfreq(columns, size[0] / columns)
    left = kernel.response(np.hypot(fy[:, None], fx[None, :]))
    return np.asarray(fft.irfft2(fft.rfft2(plane) * left, s=plane.shape))


def _within(plane: Floats, size: tuple[float, float], kernel: Kernel) -> Floats:
    """Blur a plane that ends at its edge: a Gaussian over a rectangle is one along each side."""
    rows, columns = plane.shape
    soft = np.zeros_like(plane)
    for share, spread in zip(kernel.shares, kernel.spreads, strict=True):
        down, across = _means(rows, size[1], spread), _means(columns, size[0], spread)
        soft += share * (down @ plane @ across.T)
    return soft


def _means(count: int, size: float, spread: float) -> Floats:
    """Give the weights by which each of so many squares in a row is the mean of all of them, (count, count)."""
    place = (np.arange(count) + 0.5) * size / count
    weight = np.exp(-(((place[:, None] - place[None, :]) / spread) ** 2))
    return np.asarray(weight / weight.sum(axis=1, keepdims=True))


def in_grey(look: Look) -> Look:
    """Give a look with every colour as the grey of its CIE L*; borders are left out."""
    return _changed(look, lambda colour: grey(read_colour(colour)).hex)


def as_seen(look: Look, name: str) -> Look:
    """Give a look as eyes see it that lack one kind of cone, of ``vision.DEFICIENCIES``; borders are left out."""
    return _changed(look, lambda colour: seen([read_colour(colour)], name)[0].hex)


def _changed(look: Look, change: Callable[[str], str]) -> Look:
    inks = tuple(
        replace(ink, colour=change(ink.colour), coats=tuple(change(coat) for coat in ink.coats))
        for ink in look.inks
    )
    line = change(look.line) if look.line else None
    return replace(
        look, paper=change(look.paper), ground=change(look.ground), inks=inks, line=line, border=None
    )
