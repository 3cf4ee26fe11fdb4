"""Contrast of text and signs with what lies behind them.

References
----------
Web Content Accessibility Guidelines (WCAG) 2.2: relative luminance, contrast ratio, success criteria
1.4.3, 1.4.6 and 1.4.11. Thresholds are not rounded: 4.499 fails.
"""

from dataclasses import dataclass
from typing import Final

from mockup.colour.coding import linear_from_srgb
from mockup.colour.conversion import Colour, read_colour

_WEIGHTS: Final = (0.2126, 0.7152, 0.0722)


@dataclass(frozen=True)
class Contrast:
    """A contrast ratio, 1 to 21, and what it is good enough for."""

    ratio: float

    @property
    def text_aa(self) -> bool:
        """Text at level AA (1.4.3)."""
        return self.ratio >= 4.5

    @property
    def large_or_nontext_aa(self) -> bool:
        """Large text (from 18 pt, or bold 14 pt) and graphics at level AA (1.4.3, 1.4.11)."""
        return self.ratio >= 3.0

    @property
    def text_aaa(self) -> bool:
        """Text at level AAA (1.4.6)."""
        return self.ratio >= 7.0


def relative_luminance(colour: Colour) -> float:
    """Give the WCAG relative luminance of a colour as shown, 0 to 1."""
    return float(linear_from_srgb(colour.srgb) @ _WEIGHTS)


def contrast(one: Colour, two: Colour) -> Contrast:
    """Give the WCAG contrast of two colours as shown, in any order."""
    dark, light = sorted((relative_luminance(one), relative_luminance(two)))
    return Contrast((light + 0.05) / (dark + 0.05))


def readable_on(background: Colour, texts: tuple[str, str] = ("#000000", "#ffffff")) -> str:
    """Give that of two text colours which stands out more from a background.

    Parameters
    ----------
    background : Colour
    texts : 2 str
        Text colours in CSS syntax; where both do alike, the first is taken. Black and white
        always leave a ratio of 4.58 (the root of 21) or more.

    Returns
    -------
    str
        "#rrggbb"
    """
    first, second = (read_colour(text) for text in texts)
    ahead = contrast(first, background).ratio >= contrast(second, background).ratio
    return (first if ahead else second).hex
