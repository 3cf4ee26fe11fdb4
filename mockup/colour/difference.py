"""How different two colours look: CIEDE2000, and nothing else.

This is the only colour difference in the package. It works on arrays, so that solvers can compare
hundreds of colours at once; the two functions for single colours call the same formula.

References
----------
CIE 142-2001 and ISO/CIE 11664-6; equation numbers as in Sharma, Wu, Dalal, "The CIEDE2000
Color-Difference Formula: Implementation Notes, Supplementary Test Data, and Mathematical
Observations", Color Research and Application 30(1), 2005.
"""

from collections.abc import Sequence
from typing import Final, Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]
_SEVENTH: Final = 25.0**7


class Measured(Protocol):
    """Whatever has a CIELAB D65 value."""

    @property
    def lab(self) -> tuple[float, float, float]:
        """L*, a*, b* under D65."""


def ciede2000(one: Measured, two: Measured) -> float:
    """Give the CIEDE2000 difference of two colours (0 alike, about 1 just seen, 100 black and white)."""
    return float(ciede2000_lab(one.lab, two.lab))


def differences(colours: Sequence[Measured]) -> FloatArray:
    """Compare every colour with every other.

    Returns
    -------
    (k, k) floats
        CIEDE2000; symmetric, with a diagonal of zeros.
    """
    lab = np.array([colour.lab for colour in colours], dtype=np.float64).reshape(-1, 3)
    return ciede2000_lab(lab[:, None, :], lab[None, :, :])


def ciede2000_lab(one: ArrayLike, two: ArrayLike) -> FloatArray:
    """Give the CIEDE2000 difference of CIELAB values, with kL = kC = kH = 1.

    Parameters
    ----------
    one, two : (..., 3) floats
        L*, a*, b* under one white (here always D65); the leading axes are broadcast.

    Returns
    -------
    (...) floats

    Raises
    ------
    ValueError
        If the last axis does not hold three numbers.
    """
    first, second = (np.asarray(values, dtype=np.float64) for values in (one, two))
    for values in (first, second):
        if values.ndim == 0 or values.shape[-1] != 3:
            raise ValueError(f"CIELAB values need a last axis of 3, not the shape {values.shape}")
    (l1, c1, h1), (l2, c2, h2) = _adjusted(first, second)
    grey = c1 * c2 == 0
    turn = np.where(grey, 0.0, h2 - h1)  # equation 10
    turn = np.where(turn > 180, turn - 360, np.where(turn < -180, turn + 360, turn))
    d_hue = 2 * np.sqrt(c1 * c2) * np.sin(np.radians(turn / 2))  # equation 11
    both = h1 + h2  # equation 14
    far = ~grey & (np.abs(h1 - h2) > 180)
    hue = np.where(grey, both, np.where(far, np.where(both < 360, both + 360, both - 360), both) / 2)
    light, chroma = (l1 + l2) / 2, (c1 + c2) / 2  # equations 12, 13
    square = (light - 50) ** 2
    s_light = 1 + 0.015 * square / np.sqrt(20 + square)  # equation 18
    s_chroma = 1 + 0.045 * chroma  # equation 19
    s_hue = 1 + 0.015 * chroma * _hue_weight(hue)  # equation 20
    x, y, z = (l2 - l1) / s_light, (c2 - c1) / s_chroma, d_hue / s_hue
    total = x * x + y * y + z * z + _rotation(chroma, hue) * y * z  # equation 22
    return np.asarray(np.sqrt(np.maximum(total, 0.0)), dtype=np.float64)


def _adjusted(one: FloatArray, two: FloatArray) -> tuple[tuple[FloatArray, FloatArray, FloatArray], ...]:
    """L', C' and h' (degrees, 0 for greys) of both, with a* stretched near grey (equations 2 to 7)."""
    mean = (np.hypot(one[..., 1], one[..., 2]) + np.hypot(two[..., 1], two[..., 2])) / 2
    stretch = 1.5 - 0.5 * _saturation(mean)
    both = []
    for values in (one, two):
        a, b = stretch * values[..., 1], values[..., 2]
        hue = np.where((a == 0) & (b == 0), 0.0, np.degrees(np.arctan2(b, a)) % 360)
        both.append((values[..., 0], np.hypot(a, b), hue))
    return tuple(both)


def _saturation(chroma: FloatArray) -> FloatArray:
    """Root of C^7 / (C^7 + 25^7)."""
    seventh = chroma**7
    return np.asarray(np.sqrt(seventh / (seventh + _SEVENTH)))


def _hue_weight(hue: FloatArray) -> FloatArray:
    """T (equation 15); hue in degrees."""
    r = np.radians
    return np.asarray(
        1
        - 0.17 * np.cos(r(hue - 30))
        + 0.24 * np.cos(r(2 * hue))
        + 0.32 * np.cos(r(3 * hue + 6))
        - 0.20 * np.cos(r(4 * hue - 63))
    )


def _rotation(chroma: FloatArray, hue: FloatArray) -> FloatArray:
    """R_T, which couples chroma and hue in the blues (equations 16, 17, 21)."""
    angle = 30 * np.exp(-(((hue - 275) / 25) ** 2))
    weight = 2 * _saturation(chroma)
    return np.asarray(-np.sin(np.radians(2 * angle)) * weight)
