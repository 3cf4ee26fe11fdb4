"""Judging a palette before it is used: number of inks, dark, light, ground, inks too alike, grey, colour vision.

Each finding says what it saw, what to do, and on what ground. The limits are common practice with figures of ours;
lightness is L* of CIE 15 and ISO/CIE 11664-4, differences are CIEDE2000 (ISO/CIE 11664-6). How inks are told apart
is in ``apart``.
"""

from dataclasses import dataclass
from typing import Final

from mockup.colour.apart import (
    ALIKE,
    LIGHTNESS,
    MOST_TOLD,
    PRACTICE,
    Finding,
    as_dichromats_see,
    closest,
    same_grey,
    too_alike,
)
from mockup.colour.difference import differences
from mockup.colour.ink import Ink
from mockup.colour.palette import Palette

CLEARLY: Final = 10.0
"""L* by which the dark is clearly darker than any other ink."""

PALE: Final = 70.0
NEUTRAL: Final = 15.0
"""From this L*, or up to this chroma, an ink is light or neutral."""

ON_DARK: Final = 25.0
ON_LIGHT: Final = 12.0
"""L* by which inks stand off a dark ground, and a light one."""

DARK_GROUND: Final = 50.0
"""A ground below this L* is dark."""

_FEW: Final = (12, 25.0)
_STEPS: Final = ((80, 5), (160, 6))
_LARGE: Final = 900.0
"""Shapes and cm2 up to which a drawing is small; shapes up to which five and six do; cm2 that ask for one more."""


@dataclass(frozen=True, slots=True)
class Drawing:
    """What a palette is for: shapes in one repeat or sheet, its area in cm2, the width of its smaller shapes, mm."""

    shapes: int
    area: float
    width: float


def judged(
    palette: Palette, drawing: Drawing | None = None, ground: Ink | None = None
) -> tuple[Finding, ...]:
    """Judge a palette in which every ink has a role.

    Parameters
    ----------
    palette : Palette
    drawing : Drawing, optional
        What it is for; without one nothing is said of the number of inks, and shapes are taken as 10 mm wide.
    ground : Ink, optional
        What lies behind the motifs, bare paper as an ink; without it nothing is said of the ground.
    """
    width = drawing.width if drawing else 10.0
    found = [number_of_inks(palette, drawing)] if drawing else []
    found += [clear_dark(palette), sound_light(palette, ground)]
    if ground:
        found.append(clear_of_ground(palette, ground))
    found += [*too_alike(palette, width), same_grey(palette), *as_dichromats_see(palette, width)]
    return (*found, *out_of_gamut(palette))


def advised(drawing: Drawing) -> int:
    """Give the number of inks that a drawing asks for: four to seven."""
    if drawing.shapes <= _FEW[0] or (drawing.area <= _FEW[1] and drawing.shapes <= 2 * _FEW[0]):
        return 4
    inks = next((inks for most, inks in _STEPS if drawing.shapes <= most), 7)
    return min(7, inks + (drawing.area >= _LARGE))


def number_of_inks(palette: Palette, drawing: Drawing) -> Finding:
    """Compare the number of inks with what the drawing asks for; one more or fewer is let be."""
    count, right = len(palette.inks), advised(drawing)
    what = f"{count} ink{'s' * (count != 1)} for {drawing.shapes} shapes on {drawing.area:.0f} cm2"
    good = abs(count - right) <= 1 and (count <= 7 or right == 7)
    advice = ""
    if not good and count > right:
        pair = closest(palette.inks)
        one, other = (palette.inks[place].name for place in (pair.one, pair.other))
        advice = f"about {right} do: leave one of {one} and {other} out, the nearest to each other"
    elif not good:
        advice = f"about {right} are usual: add an accent"
    return Finding("number", good, what, advice, PRACTICE)


def clear_dark(palette: Palette) -> Finding:
    """Tell whether one ink is clearly darker than all others."""
    inks = sorted(palette.inks, key=lambda ink: ink.colour.lightness)
    if len(inks) < 2:
        return Finding("dark", True, f"{inks[0].name} is the only ink", "", PRACTICE)
    darkest, following = inks[:2]
    margin = following.colour.lightness - darkest.colour.lightness
    what = f"{darkest.name} is darker than {following.name}, the next, by {margin:.0f} L*"
    if palette.dark and palette.dark is not darkest:
        what = f"{palette.dark.name} is to be the dark, but {darkest.name} is darker"
        return Finding("dark", False, what, f"give {darkest.name} that role, or a deeper ink", LIGHTNESS)
    if margin >= CLEARLY:
        return Finding("dark", True, what, "", LIGHTNESS)
    advice = f"take a deeper ink for it, of L* {max(following.colour.lightness - CLEARLY, 0):.0f} or less"
    return Finding("dark", False, what, advice, LIGHTNESS)


def sound_light(palette: Palette, ground: Ink | None = None) -> Finding:
    """Tell whether there is a light or neutral that is unlike all others."""
    light = palette.light or palette.lightest
    others = [ink for ink in palette.inks if ink is not light and ink.name != light.name]
    colour = light.colour
    what = f"{light.name} (L* {colour.lightness:.0f}, chroma {colour.chroma:.0f})"
    if colour.lightness < PALE and colour.chroma > NEUTRAL:
        if ground and ground.paper and ground.colour.lightness >= PALE:
            return Finding("light", True, "bare paper, the ground, is the light", "", PRACTICE)
        advice = 'add a cream, a pale grey, or an ink with colour = "paper"'
        return Finding("light", False, f"no ink is light or neutral; the nearest is {what}", advice, PRACTICE)
    if others:
        apart = differences([ink.colour for ink in (light, *others)])[0, 1:]
        near = int(apart.argmin())
        if apart[near] < 2 * ALIKE:
            return Finding(
                "light",
                False,
                f"{what} is near {others[near].name} (CIEDE2000 {apart[near]:.0f})",
                "a light sits best with all others where it is unlike each: take a paler or greyer one",
                PRACTICE,
            )
    return Finding("light", True, f"{what} sits with all others", "", PRACTICE)


def clear_of_ground(palette: Palette, ground: Ink) -> Finding:
    """Tell whether every other ink stands off the ground by its lightness."""
    name, colour = ground.name, ground.colour
    dark = colour.lightness < DARK_GROUND
    least = ON_DARK if dark else ON_LIGHT
    others = [ink for ink in palette.inks if ink.name != name and not (ink.paper and ground.paper)]
    signed = {ink.name: ink.colour.lightness - colour.lightness for ink in others}
    margins = signed if dark else {name_: abs(margin) for name_, margin in signed.items()}
    kind = "dark" if dark else "light"
    if not margins:
        return Finding("ground", True, f"{name} (L* {colour.lightness:.0f})", "", LIGHTNESS)
    weak = sorted((margin, ink) for ink, margin in margins.items() if margin < least)
    low = min(margins.values())
    what = f"on {name} ({kind}, L* {colour.lightness:.0f}) every ink stands off by {low:.0f} L* or more"
    if not weak:
        return Finding("ground", True, what, "", LIGHTNESS)
    told = ", ".join(f"{ink} by {margin:.0f}" for margin, ink in weak[:MOST_TOLD])
    what = f"on {name} ({kind}, L* {colour.lightness:.0f}) too little stands off in L*: {told}"
    wanted = f"{least:.0f} or more {'lighter ' if dark else ''}is wanted"
    advice = f"{wanted}: outline it, change it, or choose another ground"
    return Finding("ground", False, what, advice, LIGHTNESS)


def out_of_gamut(palette: Palette) -> list[Finding]:
    """Tell the inks that no screen of the usual kind can show, with what is lost."""
    return [
        Finding(
            "screen",
            False,
            f"{ink.name} is more vivid than sRGB; it is shown {ink.colour.loss:.0f} off (CIEDE2000)",
            "trust the swatch, not the screen",
            "IEC 61966-2-1",
        )
        for ink in palette.every
        if ink.colour.loss >= 1.0
    ]
