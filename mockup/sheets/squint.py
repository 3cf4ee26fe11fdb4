"""The squint sheet: the mock-up as it is and as from afar, and a map of each ink's local share."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mockup.colour.coding import linear_from_srgb
from mockup.colouring.plan import Plan
from mockup.geometry import shapes
from mockup.geometry.shapes import Box
from mockup.pattern.regions import Tile
from mockup.rendering.afar import resampled
from mockup.rendering.canvas_text import text_width
from mockup.rendering.look import Look
from mockup.rendering.mosaic import contours, mosaic
from mockup.rendering.pattern import Window, field_items
from mockup.rendering.scene import Clip, Fill, Item, Scene, Stroke, Text, channels
from mockup.sheets.caption import GREY, INK, framed, swatch
from mockup.sheets.motifs import BACKDROP
from mockup.sheets.squintlayout import HEIGHT, MARGIN, WIDTH, Places, places

Floats = NDArray[np.float64]

LINES = (0.05, 0.10)
"""Excess of an ink at which its map has a line."""

LEAST = 0.005
"""Excess that is worth telling: half a per cent."""

_TYPE = 2.3
_LEADING = 3.5
_GRAIN = 0.45
_FINE = 0.4
_HOLLOW = 4


@dataclass(frozen=True, eq=False, slots=True)
class InkMap:
    """One ink's map.

    ``excess`` (rows, columns) is how much more of the ink there is than its target share, at the corners of a grid
    over the cell; ``worst`` the worst place (x, y in mm, excess).
    """

    letter: str
    name: str
    role: str
    colour: str
    share: float
    target: float
    excess: Floats
    worst: tuple[float, float, float]


@dataclass(frozen=True, eq=False, slots=True)
class Squint:
    """What the sheet shows.

    ``cell`` (mm) is what is shown, twice where it repeats and there is room; ``start`` is where the tile lies in it;
    ``afar`` (rows, columns, 3) the cell as from afar, sRGB; ``blur`` of that view, mm.
    """

    tile: Tile
    plan: Plan
    look: Look
    cell: tuple[float, float]
    wraps: bool
    start: tuple[float, float]
    afar: Floats
    blur: float
    maps: tuple[InkMap, ...]


def squint_sheet(shown: Squint, heading: str, notes: Sequence[str]) -> Scene:
    """Compose the sheet: A4, lying."""
    laid = places(shown.cell, len(shown.maps), shown.wraps)
    paper = Fill(shapes.rings(shapes.rectangle(0, 0, WIDTH, HEIGHT)), BACKDROP, "backdrop")
    items: list[Item] = [paper, *_heading(heading, notes, laid)]
    items += _pictures(shown, laid)
    for one, box in zip(shown.maps, laid.maps, strict=True):
        items += _map(one, box, shown, laid.times)
    return Scene(WIDTH, HEIGHT, tuple(items), f"{heading}, squint view")


def _heading(heading: str, notes: Sequence[str], laid: Places) -> list[Item]:
    told = "   ".join((*notes, f"pictures {_scale(laid.scale)}", f"maps {_scale(laid.map_scale)}"))
    return [
        Text(MARGIN, MARGIN + 4.5, heading, 5.0, INK, "text", "bold"),
        Text(MARGIN, MARGIN + 9.6, told, _TYPE, GREY, "text"),
        Text(MARGIN, laid.foot, _legend(), _TYPE, GREY, "text"),
    ]


def _legend() -> str:
    low, high = (f"{100 * level:.0f}" for level in LINES)
    return (
        "From afar: inks and ground mixed in light. Maps: each ink's share round every point, from none (paper) to "
        f"twice its target (full ink); ring: its heaviest place; lines: {low} and {high} % over."
    )


def _scale(scale: float) -> str:
    return f"1:{1 / scale:.3g}" if scale <= 1 else f"{scale:.3g}:1"


def _pictures(shown: Squint, laid: Places) -> list[Item]:
    """Draw the mock-up sharp and as from afar."""
    sharp, soft = laid.pictures
    window = Window(sharp, shown.start, laid.scale)
    items: list[Item] = list(field_items(shown.tile, shown.plan, shown.look, window))
    x0, y0, x1, y1 = soft
    rows, columns = (max(2, round(side / _GRAIN)) for side in (y1 - y0, x1 - x0))
    across, down = laid.times
    whole = np.tile(shown.afar, (down, across, 1))
    fine = [resampled(whole[..., channel], (rows, columns), shown.wraps) for channel in range(3)]
    items.append(mosaic(np.stack(fine, axis=-1), soft, "squint"))
    items += [framed(box) for box in laid.pictures]
    told = ("as it is", f"from afar, blurred over {shown.blur:.0f} mm")
    items += [
        Text(box[0], box[3] + 4.6, text, _TYPE, GREY, "text")
        for box, text in zip(laid.pictures, told, strict=True)
    ]
    return items


def _map(one: InkMap, box: Box, shown: Squint, times: tuple[int, int]) -> list[Item]:
    """Draw one ink's map with its caption."""
    x0, y0, x1, y1 = box
    across, down = times
    shape = max(2, round((y1 - y0) / _FINE)), max(2, round((x1 - x0) / _FINE))
    excess = _closed(one.excess)
    excess = np.where(np.isnan(excess), -one.target, excess)
    fine = resampled(np.tile(excess, (down, across)) if shown.wraps else excess, shape, shown.wraps)
    tints = _tints(fine / (2 * max(one.target, 1e-9)) + 0.5, one.colour, shown.look.paper)
    edge, line = shapes.rings(shapes.rectangle(*box)), _line(one.colour)
    tinted = mosaic(tints, box, one.name)
    marks: list[Item] = []
    for level, width in zip(LINES, (0.18, 0.36), strict=True):
        lines = contours(fine, level, box)
        if lines:
            marks.append(Stroke(lines, (False,) * len(lines), width, line, "contours"))
    if one.worst[2] >= LEAST:
        marks.append(_ring(one, box, shown, (x1 - x0) / (shown.cell[0] * across), line))
    return [tinted, Clip(edge, tuple(marks)), framed(box), *_caption(one, box)]


def _closed(values: Floats) -> Floats:
    """Fill small hollows, as in the corners of a sheet, with what lies next to them."""
    for _ in range(_HOLLOW):
        wide = np.pad(values, 1, constant_values=np.nan)
        near = np.stack([wide[1:-1, :-2], wide[1:-1, 2:], wide[:-2, 1:-1], wide[2:, 1:-1]])
        known = ~np.isnan(near)
        mean = np.where(known, near, 0.0).sum(axis=0) / np.maximum(known.sum(axis=0), 1)
        values = np.where(np.isnan(values) & known.any(axis=0), mean, values)
    return values


def _tints(amount: Floats, colour: str, paper: str) -> Floats:
    """Mix an ink with paper, (rows, columns, 3) sRGB: 0 is paper, 1 full ink, in even steps."""
    share = np.clip(amount, 0, 1)[..., None]
    ends = np.array([channels(paper), channels(colour)])
    return np.asarray(ends[0] + share * (ends[1] - ends[0]))


def _line(colour: str) -> str:
    """Give a colour that is seen on every tint of an ink."""
    red, green, blue = linear_from_srgb(channels(colour))
    return INK if 0.2126 * red + 0.7152 * green + 0.0722 * blue > 0.08 else "#f4f3ef"


def _ring(one: InkMap, box: Box, shown: Squint, scale: float, line: str) -> Stroke:
    """Mark the worst place by a ring; where the cell repeats, what the edge cuts off comes in at the other side."""
    turn = np.linspace(0, 2 * math.pi, 48, endpoint=False)
    circle = 1.6 * np.column_stack((np.cos(turn), np.sin(turn)))
    spot = np.array([box[0] + one.worst[0] * scale, box[1] + one.worst[1] * scale])
    steps = (-1, 0, 1, 2) if shown.wraps else (0,)
    cell = np.array(shown.cell) * scale
    rings = tuple(circle + spot + cell * [i, j] for i in steps for j in steps)
    return Stroke(rings, (True,) * len(rings), 0.3, line, "worst place")


def _caption(one: InkMap, box: Box) -> list[Item]:
    x, y = box[0], box[3] + _LEADING + 0.6
    x_mm, y_mm, over = one.worst
    most = f"{100 * over:.0f} % over at {x_mm:.0f}, {y_mm:.0f} mm" if over >= LEAST else "nowhere over"
    share = f"{100 * one.share:.1f} %, target {100 * one.target:.1f} %"
    name = f"{one.letter}  {one.name}"
    return [
        *swatch(x, y - _TYPE * 0.86, _TYPE * 1.5, _TYPE, one.colour, "text"),
        Text(x + _TYPE * 2.1, y, name, _TYPE, INK, "text", "bold"),
        Text(x + _TYPE * 2.9 + text_width(name, _TYPE, "bold"), y, one.role, _TYPE, GREY, "text"),
        Text(x, y + _LEADING, share, _TYPE, GREY, "text"),
        Text(x, y + 2 * _LEADING, most, _TYPE, GREY, "text"),
    ]
