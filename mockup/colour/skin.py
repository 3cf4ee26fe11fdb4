"""Skin from very light to very dark: a base and two deeper values for its shading, in six bands.

The bands are those of the individual typology angle, ITA = arctan((L* - 50) / b*) in degrees; their limits are given
from memory of the papers below. The literature on skin measures under D65, and so is CIELAB here. The tones are our
own, chosen by eye within the bands: hues of 45 to 75 degrees, chroma 12 to 32, less for the very dark (from memory of
published measurements).

References
----------
Chardon, Cretois, Hourseau, "Skin colour typology and suntanning pathways", International Journal of Cosmetic Science
13(4), 1991; Del Bino, Bernerd, "Variations in skin colour and the biological consequences of ultraviolet radiation
exposure", British Journal of Dermatology 169(s3), 2013.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import pairwise, product
from typing import Final

from mockup.colour.conversion import Colour, from_lab, read_colour
from mockup.colour.difference import ciede2000
from mockup.colour.ink import Ink
from mockup.errors import DesignError

BANDS: Final = (
    ("very light", 55.0),
    ("light", 41.0),
    ("intermediate", 28.0),
    ("tan", 10.0),
    ("brown", -30.0),
    ("dark", -180.0),
)
"""Bands from light to dark, each with the ITA in degrees that it lies above."""

UNDERTONES: Final = {"cool": -8.0, "neutral": 0.0, "warm": 8.0}
"""Degrees of CIELAB hue by which an undertone turns a set."""

STEP: Final = (8.0, 20.0)
"""L* from a base to its deeper value, and from that to the deepest: at least, at most."""

DRIFT: Final = 20.0
"""Degrees of CIELAB hue that shading may differ from its base."""

#: Of each band: CIELAB L* and hue of the base; L* between its values; CIELAB chroma of base, shade and deep.
_TONES: Final = (
    (82.5, 61.0, 10.0, (17.5, 22.5, 25.0)),
    (73.5, 61.0, 11.0, (23.0, 26.5, 27.5)),
    (65.5, 60.0, 11.5, (26.0, 29.0, 27.5)),
    (56.5, 59.0, 11.5, (27.5, 29.0, 26.0)),
    (45.0, 56.0, 11.0, (23.5, 24.5, 22.0)),
    (33.5, 54.5, 9.0, (17.0, 16.5, 14.5)),
)
_WORDS: Final = (
    ("base", 0.0),
    ("shade", -3.0),
    ("deep", -6.0),
)  # of the three values, and the turn of their hue
_HUES: Final = (38.0, 80.0)  # CIELAB hue of what is taken for skin among her inks
_CHROMA: Final = (8.0, 38.0)
_SHADE_HUES: Final = (25.0, 85.0)
_SHADE_CHROMA: Final = (5.0, 45.0)


@dataclass(frozen=True)
class SkinSet:
    """One skin: its band, the base ink, and two deeper inks of like hue to shade it with."""

    band: str
    base: Ink
    shading: tuple[Ink, Ink]


def ita(colour: Colour) -> float:
    """Give the individual typology angle in degrees, arctan((L* - 50) / b*), CIELAB under D65.

    Where b* is 0 or less, as no skin is, the angle goes on beyond 90 or -90 without a jump.
    """
    return math.degrees(math.atan2(colour.lightness - 50.0, colour.lab[2]))


def band(colour: Colour) -> str:
    """Give the band that a colour's ITA lies in; a limit belongs to the darker band."""
    angle = ita(colour)
    return next((name for name, least in BANDS if angle > least), BANDS[-1][0])


def skin_sets(owned: Sequence[Ink] = (), undertone: str = "neutral") -> tuple[SkinSet, ...]:
    """Give skins from very light to very dark.

    Parameters
    ----------
    owned : sequence of Ink, optional
        Her inks: only these are used, unchanged, the nearest to ours that keep ``STEP`` and ``DRIFT``. One ink may
        serve as shading here and as a base there. A band that they cannot fill is left out; ``unfilled`` says so.
    undertone : str
        "cool", "neutral" or "warm".

    Raises
    ------
    DesignError
        The undertone has another name.
    """
    if undertone not in UNDERTONES:
        raise DesignError(
            f"there is no undertone {undertone!r}", remedy=f"the undertones are {', '.join(UNDERTONES)}"
        )
    made = tuple(_made(place, undertone) for place in range(len(BANDS)))
    if not owned:
        return made
    found = (_owned(one, owned) for one in made)
    return tuple(one for one in found if one is not None)


def unfilled(sets: Sequence[SkinSet], owned: Sequence[Ink]) -> tuple[str, ...]:
    """Say of each band that her inks could not fill what they lack."""
    filled = {one.band for one in sets}
    bases = {band(ink.colour) for ink in owned if _skin_like(ink.colour)}
    least, most = STEP
    return tuple(
        f"{name}: "
        + (
            f"there is a base among your inks, but no two deeper ones {least:.0f} to {most:.0f} L* apart"
            if name in bases
            else "none of your inks is like this skin"
        )
        for name, _ in BANDS
        if name not in filled
    )


def side_inks(sets: Sequence[SkinSet], per: str = "figure") -> tuple[Ink, ...]:
    """Give the inks of some skins in the order in which a side palette takes them, none twice.

    What shades says so in ``Ink.shades``, so that it is never dealt to a figure as a base. An ink that is a base in
    any of the sets stays a base; one that shades several goes with the first.

    Parameters
    ----------
    sets : sequence of SkinSet
    per : str
        "figure": first all bases, which are dealt to figures, then the shading; "piece": base and shading of each
        set in turn, so that the first base serves the whole piece.

    Raises
    ------
    DesignError
        ``per`` is another word.
    """
    if per not in {"piece", "figure"}:
        raise DesignError(
            f"skin goes by piece or by figure, not by {per!r}", remedy='write "figure" or "piece"'
        )
    bases = {one.base.name.casefold() for one in sets}
    inks = [(one.base, *(replace(ink, shades=one.base.name) for ink in one.shading)) for one in sets]
    taken: dict[str, Ink] = {}
    for base, *shading in inks:
        taken.setdefault(base.name.casefold(), base)
        for ink in shading:
            if ink.name.casefold() not in bases:
                taken.setdefault(ink.name.casefold(), ink)
    if per == "piece":
        return tuple(taken.values())
    return tuple(sorted(taken.values(), key=lambda ink: bool(ink.shades)))


@cache
def _made(place: int, undertone: str) -> SkinSet:
    """Make the set of one band."""
    name = BANDS[place][0]
    light, hue, step, chromas = _TONES[place]
    hue += UNDERTONES[undertone]
    start = name if undertone == "neutral" else f"{undertone} {name}"
    base, shade, deep = (
        Ink(f"{start} {word}", _colour(light - step * i, chroma, hue + turn))
        for i, ((word, turn), chroma) in enumerate(zip(_WORDS, chromas, strict=True))
    )
    return SkinSet(name, base, (shade, deep))


def _colour(light: float, chroma: float, hue: float) -> Colour:
    """Make a colour of CIELAB lightness, chroma and hue, in whole steps of 8 bits."""
    turn = math.radians(hue)
    return read_colour(from_lab((light, chroma * math.cos(turn), chroma * math.sin(turn))).hex)


def _skin_like(colour: Colour) -> bool:
    """Whether a colour can be the base of a skin."""
    return _HUES[0] <= colour.hue <= _HUES[1] and _CHROMA[0] <= colour.chroma <= _CHROMA[1]


def _shades(ink: Ink) -> bool:
    """Whether an ink can shade a skin."""
    hue, chroma = ink.colour.hue, ink.colour.chroma
    inside = _SHADE_HUES[0] <= hue <= _SHADE_HUES[1] and _SHADE_CHROMA[0] <= chroma <= _SHADE_CHROMA[1]
    return inside and not ink.paper


def _owned(wished: SkinSet, owned: Sequence[Ink]) -> SkinSet | None:
    """Find her nearest inks for a set; None where three do not come together."""
    bases = [
        ink for ink in owned if not ink.paper and _skin_like(ink.colour) and band(ink.colour) == wished.band
    ]
    shades = [ink for ink in owned if _shades(ink)]
    fitting = [trio for trio in product(bases, shades, shades) if _falls(trio)]
    if not fitting:
        return None
    wishes = (wished.base, *wished.shading)
    base, shade, deep = min(
        fitting,
        key=lambda trio: sum(
            ciede2000(ink.colour, wish.colour) for ink, wish in zip(trio, wishes, strict=True)
        ),
    )
    return SkinSet(wished.band, base, (shade, deep))


def _falls(inks: Sequence[Ink]) -> bool:
    """Whether inks get darker by the steps of shading, with hues like the first's."""
    least, most = STEP
    hue = inks[0].colour.hue
    return all(
        least <= one.colour.lightness - next_.colour.lightness <= most for one, next_ in pairwise(inks)
    ) and all(abs((ink.colour.hue - hue + 180.0) % 360.0 - 180.0) <= DRIFT for ink in inks[1:])
