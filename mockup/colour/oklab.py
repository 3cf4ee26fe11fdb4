"""OKLab: a space in which the mean of like colours looks like their mean. Not for differences.

How different two colours look is CIEDE2000 everywhere (``mockup.colour.difference``).

References
----------
B. Ottosson, "A perceptual color space for image processing", 2020: linear sRGB to cone responses (his
matrix for sRGB, which joins M1 with IEC 61966-2-1), cube root, M2.
"""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from mockup.colour.difference import FloatArray

_CONES: Final = np.array(
    [
        [0.4122214708, 0.5363325363, 0.0514459929],
        [0.2119034982, 0.6806995451, 0.1073969566],
        [0.0883024619, 0.2817188376, 0.6299787005],
    ]
)
_OPPONENTS: Final = np.array(
    [
        [0.2104542553, 0.7936177850, -0.0040720468],
        [1.9779984951, -2.4285922050, 0.4505937099],
        [0.0259040371, 0.7827717662, -0.8086757660],
    ]
)


def oklab_from_linear(light: ArrayLike) -> FloatArray:
    """Convert linear sRGB light to OKLab.

    Parameters
    ----------
    light : (..., 3) floats
        Linear red, green and blue; 0 to 1 inside sRGB, any number outside.

    Returns
    -------
    (..., 3) floats
        L (0 to 1 inside sRGB), a, b.

    Raises
    ------
    ValueError
        If the last axis does not hold three numbers.
    """
    values = np.asarray(light, dtype=np.float64)
    if values.ndim == 0 or values.shape[-1] != 3:
        raise ValueError(f"linear light needs a last axis of 3, not the shape {values.shape}")
    return np.asarray(np.cbrt(values @ _CONES.T) @ _OPPONENTS.T)


def linear_from_oklab(lab: ArrayLike) -> FloatArray:
    """Convert OKLab, (..., 3) floats, to linear sRGB light, in or out of 0 to 1: the way back."""
    cones = np.asarray(lab, dtype=np.float64) @ np.linalg.inv(_OPPONENTS).T
    return np.asarray(cones**3 @ np.linalg.inv(_CONES).T)
