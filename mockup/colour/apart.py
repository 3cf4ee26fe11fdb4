"""Telling inks apart: on small shapes, in grey, and as dichromats see; and how a finding is told.

References
----------
Small areas need larger differences: Stone, Szafir, Setlur,
"An Engineering Model for Color Difference as a Function of Size", Color and Imaging Conference 2014; its coefficients
from memory. Lightness is L* of CIE 15 and ISO/CIE 11664-4,
differences are CIEDE2000 (ISO/CIE 11664-6). Dichromats: see ``vision``.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Final

from mockup.colour.difference import differences
from mockup.colour.ink import Ink
from mockup.colour.matching import Pair
from mockup.colour.palette import Palette
from mockup.colour.vision import DEFICIENCIES, Lookalikes, falls_together

PRACTICE: Final = "common practice, no source"
LIGHTNESS: Final = "L* of ISO/CIE 11664-4, limit: common practice, no source"
SIZE: Final = "CIEDE2000, growing with smallness as in Stone and others 2014, from memory"
VISION: Final = "Machado and others 2009"

SAME_GREY: Final = 5.0
"""Inks nearer in L* are one in grey."""

ALIKE: Final = 8.0
"""CIEDE2000 below which two inks on large shapes are too alike to face each other."""

_SIZE_TERM: Final = 0.33
"""Share by which the limit grows at one degree of sight: the mean of B / A over L*, a* and b*."""

_ARM: Final = 500.0
"""Distance at which a piece is looked at, mm: arm's length."""

MOST_TOLD: Final = 3
"""So many pairs are told of a kind."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing seen: a topic, whether all is well, what was seen, what to do, and on what ground it is said."""

    topic: str
    good: bool
    seen: str
    advice: str
    source: str

    @property
    def line(self) -> str:
        """Say it in one line."""
        return f"{self.seen}{'; ' + self.advice if self.advice else ''} ({self.source})"


def alike_limit(width: float) -> float:
    """Give the CIEDE2000 below which inks on shapes of a width (mm) are too alike to face each other."""
    degrees = 2 * math.degrees(math.atan(max(width, 0.1) / 2 / _ARM))
    return ALIKE * (1 + _SIZE_TERM / degrees)


def closest(inks: Sequence[Ink]) -> Pair:
    """Give the two inks that are nearest to each other."""
    table = differences([ink.colour for ink in inks])
    pairs = [Pair(i, j, float(table[i, j])) for i, j in combinations(range(len(inks)), 2)]
    return min(pairs, key=lambda pair: pair.difference)


def too_alike(palette: Palette, width: float) -> list[Finding]:
    """Tell the pairs of inks that are too alike to face each other on shapes of a width, mm."""
    limit = alike_limit(width)
    table = differences([ink.colour for ink in palette.inks])
    pairs = [Pair(i, j, float(table[i, j])) for i, j in combinations(range(len(palette.inks)), 2)]
    on = f"on shapes of {width:.0f} mm"
    near = sorted((pair for pair in pairs if pair.difference < limit), key=lambda pair: pair.difference)
    if not near:
        low = f"all pairs differ by {min((pair.difference for pair in pairs), default=100):.0f} or more"
        return [Finding("alike", True, f"{low}, {limit:.0f} is enough {on}", "", SIZE)]
    return [
        Finding(
            "alike",
            False,
            f"{_names(palette, pair)} differ by {pair.difference:.0f}, and {on} {limit:.0f} is due",
            "part them in lightness, or let an outline keep them apart",
            SIZE,
        )
        for pair in near[:MOST_TOLD]
    ]


def same_grey(palette: Palette) -> Finding:
    """Tell the inks that are one in the grey view."""
    inks = palette.inks
    pairs = [
        Pair(i, j, abs(inks[i].colour.lightness - inks[j].colour.lightness))
        for i, j in combinations(range(len(inks)), 2)
    ]
    near = sorted((pair for pair in pairs if pair.difference < SAME_GREY), key=lambda pair: pair.difference)
    steps = ", ".join(
        f"{ink.name} {ink.colour.lightness:.0f}"
        for ink in sorted(inks, key=lambda ink: -ink.colour.lightness)
    )
    if not near:
        return Finding("grey", True, f"every ink has a grey of its own: {steps}", "", LIGHTNESS)
    told = ", ".join(_names(palette, pair) for pair in near[:MOST_TOLD])
    what = f"{told} {'are' if len(near) == 1 else 'are each'} one in grey (L* {steps})"
    return Finding(
        "grey", False, what, "make one of them lighter or darker, or mind where they meet", LIGHTNESS
    )


def as_dichromats_see(palette: Palette, width: float) -> list[Finding]:
    """Tell the pairs of inks that fall together for each kind of dichromat, and not for others."""
    colours = [ink.colour for ink in palette.inks]
    found = []
    for kind in DEFICIENCIES:
        lost = sorted(falls_together(colours, kind, alike_limit(width)), key=lambda pair: pair.after)
        if not lost:
            found.append(Finding(kind, True, "no two inks fall together", "", VISION))
            continue
        told = ", ".join(
            f"{_names(palette, pair)} (CIEDE2000 {pair.before:.0f} to {pair.after:.0f})"
            for pair in lost[:MOST_TOLD]
        )
        advice = "part them in lightness; the letters of the key tell them apart in any case"
        found.append(Finding(kind, False, f"fall together: {told}", advice, VISION))
    return found


def _names(palette: Palette, pair: Pair | Lookalikes) -> str:
    return f"{palette.inks[pair.one].name} and {palette.inks[pair.other].name}"
