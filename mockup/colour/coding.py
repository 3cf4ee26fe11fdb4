"""sRGB channels and the light that they stand for, as arrays.

References
----------
IEC 61966-2-1 (the coding of sRGB).
"""

import numpy as np
from numpy.typing import ArrayLike

from mockup.colour.difference import FloatArray


def linear_from_srgb(values: ArrayLike) -> FloatArray:
    """Decode sRGB channels (0 to 1, any shape) to linear light (IEC 61966-2-1)."""
    coded = np.asarray(values, dtype=np.float64)
    return np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4)


def srgb_from_linear(values: ArrayLike) -> FloatArray:
    """Encode linear light (0 to 1, any shape) as sRGB channels (IEC 61966-2-1)."""
    light = np.asarray(values, dtype=np.float64)
    return np.where(light <= 0.0031308, light * 12.92, 1.055 * light ** (1 / 2.4) - 0.055)
