"""The guts of ``inks list``: what is in her box, which inks are near twins, and where it has gaps."""

from pathlib import Path
from typing import Final

import numpy as np

from mockup.colour.conversion import Colour, read_colour
from mockup.colour.ink import Ink
from mockup.colour.inkbox import InkBox, Swatch
from mockup.colour.layering import UNMEASURED
from mockup.colour.matching import TWINS, misses, near_twins
from mockup.colour.naming import colour_name
from mockup.design.boxes import box_bytes, read_box
from mockup.jobs.offers import Line
from mockup.sheets.files import mark, write

GAP: Final = 18.0
"""A usual ink that nothing in the box comes as near to as this (CIEDE2000) is a gap: our figure."""

MOST: Final = 12
"""So many twins and gaps are told of a paper."""

_LIGHTS: Final = ((0.90, 0.05), (0.75, 0.09), (0.58, 0.12), (0.40, 0.09))
"""Lightness and chroma in OKLCH of the pale, light, middle and deep inks of a full box, in every twelfth of hue."""

_GREYS: Final = (0.93, 0.72, 0.5, 0.25)


def list_inks(path: Path) -> list[Line]:
    """List a box: every ink with its colour, what is known of it, then twins, gaps and what a screen cannot show.

    Raises
    ------
    MockupError
        The box cannot be read.
    """
    box = read_box(path)
    lines = [Line(f"{path.name}: {_count(box)}")]
    for stock in box.stocks or ("",):
        if stock and all(
            one.ink.paper for one in box.swatches if one.stock.casefold() in {"", stock.casefold()}
        ):
            lines.append(Line(f"on {stock}: no inks yet"))
            continue
        own = box.on(stock) if stock else box
        swatches = sorted(own.swatches, key=lambda one: (not one.ink.paper, _wheel(one.ink.colour)))
        lines.append(Line(f"on {stock or 'a paper that is not told'}"))
        lines += _rows(swatches)
        inks = own.inks()
        lines += [*_twins(inks), *_gaps(inks), *_beyond(inks)]
    if any(ink.uncertainty is None for ink in box.inks()):
        lines.append(
            Line(
                f"sureness  where none is told, a colour may be {UNMEASURED:.0f} off (CIEDE2000, our figure, "
                "from memory)"
            )
        )
    return lines


def write_box(path: Path, target: Path, *, force: bool = False) -> Path:
    """Write a box in another form: CSV, TOML or CGATS.17 text, as the target's ending says.

    Raises
    ------
    MockupError
        The box cannot be read, or the target not be written.
    """
    return write(target, box_bytes(read_box(path), target), mark(path.stem), force=force)


def _count(box: InkBox) -> str:
    count, papers = len(box.inks()), len(box.stocks)
    on = f", on {papers} papers" if papers > 1 else ""
    return f"{count} ink{'s' * (count != 1)}{on}"


def _wheel(colour: Colour) -> tuple[bool, int, float]:
    """Put greys first, then hues, light before deep."""
    return colour.chroma >= 12, int(colour.hue // 30) if colour.chroma >= 12 else 0, -colour.lightness


def _rows(swatches: list[Swatch]) -> list[Line]:
    wide = max(len(one.ink.name) for one in swatches)
    return [
        Line(
            f"{one.ink.name:<{wide}}  {one.ink.colour.hex}  L* {one.ink.colour.lightness:3.0f}  {_facts(one)}".rstrip(),
            one.ink.colour.hex,
        )
        for one in swatches
    ]


def _facts(swatch: Swatch) -> str:
    ink = swatch.ink
    if ink.paper:
        return "bare paper"
    told = [f"{len(ink.coats) + 1} coats tried" if ink.coats else "one coat tried"]
    if ink.tip is not None:
        told.append(f"nib {ink.tip:g} mm")
    if ink.bleed is not None:
        told.append(f"bleed {ink.bleed:g} mm")
    if ink.uncertainty is not None:
        told.append(f"uncertain by {ink.uncertainty:.1f}")
    if swatch.day:
        told.append(swatch.day.isoformat())
    return ", ".join(told)


def _twins(inks: tuple[Ink, ...]) -> list[Line]:
    """Tell the pairs that do the same work."""
    found = near_twins([ink.colour for ink in inks])
    lines = [
        Line(f"twins     {inks[pair.one].name} and {inks[pair.other].name} differ by {pair.difference:.1f}")
        for pair in found[:MOST]
    ]
    if len(found) > MOST:
        lines.append(Line(f"twins     and {len(found) - MOST} pairs more under {TWINS:.0f}"))
    return lines or [Line(f"twins     none: no two differ by less than {TWINS:.0f} (CIEDE2000)")]


def usual_colours() -> list[Colour]:
    """Give the colours of a box that has everything: greys, and each hue pale, light, middle and deep."""
    hues = range(0, 360, 30)
    texts = [f"oklch({light} {chroma} {hue})" for light, chroma in _LIGHTS for hue in hues]
    return [read_colour(text) for text in (*(f"oklch({grey} 0 0)" for grey in _GREYS), *texts)]


def _gaps(inks: tuple[Ink, ...]) -> list[Line]:
    """Tell what a full box has and this one has nothing near to, the widest gap first, no two alike."""
    usual = usual_colours()
    nearest = misses(usual, [ink.colour for ink in inks]).min(axis=1)
    lines: list[Line] = []
    left = nearest.copy()
    while len(lines) < MOST and left.max() >= GAP:
        worst = int(left.argmax())
        lines.append(
            Line(
                f"gap       {colour_name(usual[worst])} {usual[worst].hex}: "
                f"the nearest ink is {nearest[worst]:.0f} away",
                usual[worst].hex,
            )
        )
        left[misses([usual[worst]], usual)[0] < GAP] = 0.0
    if not lines:
        return [
            Line(f"gaps      none: every usual colour is within {np.max(nearest):.0f} (CIEDE2000) of an ink")
        ]
    return lines


def _beyond(inks: tuple[Ink, ...]) -> list[Line]:
    return [
        Line(f"screen    {ink.name} is more vivid than sRGB, and shown {ink.colour.loss:.0f} off (CIEDE2000)")
        for ink in inks
        if ink.colour.loss >= 1
    ]
