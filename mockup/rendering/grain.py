"""The grain of paper: a fine unevenness that shows through every ink and leaves all colours as they are on the mean.

It is one pattern for every sheet, of a true size whatever the resolution. Nothing here is measured from a paper:
size and strength are ours.
"""

from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from mockup.units import MM_PER_INCH

Pixels = NDArray[np.uint8]

_SIDE: Final = 512
"""Samples along each side of the pattern, which repeats."""

_PITCH: Final = 25.4 / 300
"""Distance of two samples, mm."""

_FINEST: Final = 0.2
_COARSEST: Final = 1.6
"""Wavelengths between which the unevenness lies, mm."""

STRENGTH: Final = 1.8
"""Its standard deviation, in steps of 255."""

_ROWS: Final = 256


def grained(picture: Pixels, dpi: tuple[float, float]) -> Pixels:
    """Lay the grain over a picture.

    Parameters
    ----------
    picture : (rows, columns, 3) uint8
        sRGB; it is changed in place.
    dpi : (float, float)
        Pixels an inch, across and down.

    Returns
    -------
    (rows, columns, 3) uint8
        The same picture.
    """
    rows, columns = (
        np.rint(np.arange(count) * (MM_PER_INCH / fine / _PITCH)).astype(np.int64) % _SIDE
        for count, fine in zip(picture.shape[:2], reversed(dpi), strict=True)
    )
    for top in range(0, len(rows), _ROWS):
        band = picture[top : top + _ROWS]
        uneven = _pattern()[rows[top : top + _ROWS]][:, columns]
        band[:] = np.clip(band + uneven[:, :, None], 0, 255)
    return picture


@lru_cache(maxsize=1)
def _pattern() -> NDArray[np.int16]:
    """Noise of some wavelengths, in whole steps, that repeats and is 0 on the mean."""
    noise = np.fft.rfft2(np.random.default_rng(20_260_101).standard_normal((_SIDE, _SIDE)))
    waves = np.hypot(np.fft.fftfreq(_SIDE, _PITCH)[:, None], np.fft.rfftfreq(_SIDE, _PITCH)[None, :])
    kept = np.where((waves >= 1 / _COARSEST) & (waves <= 1 / _FINEST), noise, 0)
    uneven = np.fft.irfft2(kept, s=(_SIDE, _SIDE))
    steps = np.rint(uneven * (STRENGTH / uneven.std())).astype(np.int16)
    return np.asarray(np.clip(steps, -4, 4), dtype=np.int16)
