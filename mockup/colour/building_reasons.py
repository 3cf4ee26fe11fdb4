"""Why each ink of a built palette is there, in plain lines with figures."""

from collections.abc import Sequence
from itertools import pairwise
from typing import Final

import numpy as np

from mockup.colour.building_schemes import Lead, Scheme, hue_of, is_grey
from mockup.colour.conversion import Colour
from mockup.colour.difference import ciede2000, differences
from mockup.colour.ink import Ink
from mockup.colour.naming import colour_name
from mockup.colour.oklch import tone
from mockup.colour.palette import Palette

_QUIET: Final = 0.02  # OKLCH chroma below which an accent's hue is not worth an angle


def opening(ink: Ink, lead: Lead, *, given: bool) -> tuple[str, ...]:
    """Say what leads, and whether it is the colour that was given."""
    leads = "leads, as given" if given else "leads"
    lines = [f"{ink.name!r} {leads}: L* {ink.colour.lightness:.0f}, chroma {ink.colour.chroma:.0f}"]
    if is_grey(lead):
        lines.append("a grey has no hue of its own: the other hues are counted from a warm one")
    return tuple(lines)


def choices(palette: Palette, lead: Lead, scheme: Scheme) -> tuple[str, ...]:
    """Say why this dark, this light and these accents."""
    lines = [_dark(palette, lead), _light(palette, lead)]
    if palette.accents:
        angles = ", ".join(_angle(ink, lead, scheme) for ink in palette.accents)
        lines.append(f"accents, {scheme.story}: {angles}")
    if scheme.kind == "pastel" and (lead.shade.chroma > 0.1 or lead.lightness < 60.0):
        lines.append("the lead is stronger than a pastel; what lies beside it is kept pale and soft")
    return tuple(lines)


def misses_told(wished: Sequence[Colour], inks: Sequence[Ink], mean: float) -> tuple[str, ...]:
    """Say of each of her inks what was wished in its place, and how far it is from that."""
    lines = [
        f"{ink.role}: wished {colour_name(colour)}, the nearest of yours that fits is {ink.name!r}, "
        f"CIEDE2000 {ciede2000(colour, ink.colour):.0f}"
        for colour, ink in zip(wished, inks, strict=True)
        if not ink.paper
    ]
    return (*lines, f"in the mean your inks miss what was wished by CIEDE2000 {mean:.1f}")


def figures(palette: Palette, nearest: float) -> tuple[str, str]:
    """Say how far apart the inks are, in colour and in grey."""
    inks = palette.inks
    table = differences([ink.colour for ink in inks]) + np.diag(np.full(len(inks), np.inf))
    one, other = sorted(divmod(int(table.argmin()), len(inks)))
    least = float(table[one, other])
    apart = f"the two most alike are {inks[one].name!r} and {inks[other].name!r}, CIEDE2000 {least:.0f}"
    if least < nearest:
        apart += f"; {nearest:.0f} was wished"
    order = sorted(inks, key=lambda ink: ink.colour.lightness)
    below, above = min(pairwise(order), key=lambda pair: pair[1].colour.lightness - pair[0].colour.lightness)
    step = above.colour.lightness - below.colour.lightness
    levels = ", ".join(f"{ink.colour.lightness:.0f}" for ink in order)
    return apart, f"in grey: L* {levels}; nearest are {below.name!r} and {above.name!r}, {step:.0f} apart"


def _dark(palette: Palette, lead: Lead) -> str:
    """Why this dark: how much darker than the next."""
    dark, dominant = palette.dark, palette.dominant
    assert dark is not None
    assert dominant is not None
    rest = [ink for ink in palette.inks if ink is not dark and not (lead.darkest and ink is dominant)]
    following = min(rest, key=lambda ink: ink.colour.lightness)
    margin = following.colour.lightness - dark.colour.lightness
    if lead.darkest:
        start = f"{dominant.name!r} is itself too dark for a clearly darker ink; the dark beside it is"
    else:
        start = "the dark is"
    said = f"{start} {dark.name!r}: L* {dark.colour.lightness:.0f}, {margin:.0f} below the next, {following.name!r}"
    return said if margin >= 15.0 else said + "; 15 are wished"


def _light(palette: Palette, lead: Lead) -> str:
    """Why this light: how pale, how near to neutral, and how clear of the others."""
    light, dominant = palette.light, palette.dominant
    assert light is not None
    assert dominant is not None
    pale = f"L* {light.colour.lightness:.0f}, chroma {light.colour.chroma:.0f}"
    if light.paper:
        return f"bare paper is the light: {pale}; it costs no ink"
    if lead.lightest:
        start = f"{dominant.name!r} is itself too light for a clearly lighter ink; the light beside it is"
    else:
        start = "the light is"
    apart = min(ciede2000(light.colour, ink.colour) for ink in palette.inks if ink is not light)
    return f"{start} {light.name!r}: {pale}; it differs from every other ink by CIEDE2000 {apart:.0f} or more"


def _angle(ink: Ink, lead: Lead, scheme: Scheme) -> str:
    """Name an accent, with how far round the circle of hues it lies from the lead."""
    shade = tone(ink.colour)
    if is_grey(lead) or shade.chroma < _QUIET or scheme.kind == "monochrome":
        return repr(ink.name)
    return f"{ink.name!r} ({abs((shade.hue - hue_of(lead) + 180.0) % 360.0 - 180.0):.0f} degrees away)"
