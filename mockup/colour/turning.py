"""Colours with their hue turned: as light as before, as vivid as sRGB allows.

The turn is made in OKLCH, which keeps how light and how vivid a colour looks while its hue changes.

References
----------
OKLCH: B. Ottosson, "A perceptual color space for image processing", 2020; CSS Color Module Level 4, section 9.2.
Chroma is taken back along constant lightness and hue until sRGB holds it (section 13.2 there does so, too).
"""

from functools import lru_cache
from typing import Final

import numpy as np

from mockup.colour.conversion import Colour, from_srgb, read_colour
from mockup.colour.oklch import lab_from_srgb, oklch_from_srgb, srgb_from_oklch

GREY: Final = 0.02
"""OKLCH chroma up to which a colour has no hue to turn."""

_STEPS: Final = 128
_AGAIN: Final = 4


@lru_cache(maxsize=4096)
def turned(colour: Colour, degrees: float) -> Colour:
    """Turn the hue of a colour by so many degrees; its L* is kept within 0.5, and greys are given back as they are.

    What comes out is a colour of 8 bits a channel, so that "#rrggbb" says all of it.
    """
    light, chroma, hue = oklch_from_srgb(colour.srgb).tolist()
    if chroma <= GREY:
        return colour
    wanted = colour.lightness
    for _ in range(_AGAIN):
        srgb = _held(light, chroma, (hue + degrees) % 360.0)
        off = wanted - float(lab_from_srgb(srgb)[0])
        if abs(off) < 0.05:
            break
        light = min(max(light + off / 100, 0.0), 1.0)
    return read_colour(from_srgb(srgb).hex)


def _held(light: float, chroma: float, hue: float) -> tuple[float, float, float]:
    """Take chroma back until sRGB holds the colour, in even steps."""
    values = np.column_stack((np.full(_STEPS, light), np.linspace(chroma, 0, _STEPS), np.full(_STEPS, hue)))
    srgb, holds = srgb_from_oklch(values)
    red, green, blue = srgb[int(np.argmax(holds))].tolist()
    return red, green, blue
