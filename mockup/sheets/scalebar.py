"""A bar that measures what it says, for checking a print with a ruler."""

from typing import Final

import numpy as np

from mockup.rendering.canvas_text import text_width
from mockup.rendering.scene import Item, Stroke, Text
from mockup.sheets.caption import GREY, LAYER, SMALL
from mockup.units import plain

_LENGTHS: Final = tuple(step * 10.0**power for power in range(5) for step in (1, 2, 5))
"""Lengths that a bar may stand for, mm."""

_LONGEST: Final = 50.0
"""Longest bar, mm on the sheet."""

_SHARE: Final = 0.25
"""Longest bar, as a share of the sheet's width."""

_LEAST: Final = 10.0
"""Shortest bar, mm on the sheet."""

_TICK: Final = 1.2
_LINE: Final = 0.2
"""Height of its ends and width of its lines, mm."""

_AIR: Final = 1.5
"""Between the bar and what it says, mm."""


def bar_lengths(width: float, scale: float) -> list[float]:
    """Lengths (mm at true size) that the bar of a sheet may stand for, the longest first."""
    most = min(_LONGEST, _SHARE * width)
    return sorted((length for length in _LENGTHS if _LEAST <= length * scale <= most), reverse=True)


def bar_room(length: float, scale: float, size: float = SMALL) -> float:
    """How wide a bar is with what it says, mm."""
    return length * scale + _AIR + text_width(_said(length), size)


def _said(length: float) -> str:
    return f"{plain(length / 10, 2)} cm"


def scale_bar(right: float, base: float, length: float, scale: float, size: float = SMALL) -> list[Item]:
    """Draw a bar ranged right, its foot on a line.

    Parameters
    ----------
    right, base : float
        Where it ends, and the line on which it and its words stand, mm.
    length : float
        What it stands for, mm at true size; from outer edge to outer edge it measures that at the sheet's scale.
    scale : float
        Sheet over true size.
    size : float
        Height of its type, mm.
    """
    start, end, half = right - length * scale, right, _LINE / 2
    bar = np.array([[start + half, base - half], [end - half, base - half]])
    ends = [np.array([[x, base - _TICK], [x, base - half]]) for x in (start + half, end - half)]
    line = Stroke((bar, *ends), (False,) * 3, _LINE, GREY, LAYER, "scale bar")
    return [line, Text(start - _AIR, base, _said(length), size, GREY, LAYER, anchor="end")]
