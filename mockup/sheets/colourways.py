"""The colourway sheet: all colourways of a piece side by side at one scale, each with its key, on one page."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple

from mockup.colouring.plan import Plan
from mockup.geometry import shapes
from mockup.geometry.shapes import Box
from mockup.pattern.field import origin
from mockup.pattern.regions import Tile
from mockup.rendering.canvas_text import text_width
from mockup.rendering.look import Look
from mockup.rendering.pattern import Window, field_items, painted
from mockup.rendering.scene import Fill, Item, Scene, Text
from mockup.sheets.caption import GREY, INK, KeyEntry, flowed, framed, swatch
from mockup.sheets.motifs import BACKDROP

MARGIN: Final = 12.0
PAGES: Final = {"A4": (297.0, 210.0), "A3": (420.0, 297.0)}
"""Sizes of the page, lying, mm."""

_HEAD: Final = 19.0
_FOOT: Final = 8.0
_GAP: Final = 8.0
_LEADING: Final = 1.52
_SIZES: Final = (2.7, 2.5, 2.3, 2.1, 1.9, 1.7, 1.5)
_PICTURE: Final = 0.52
"""Share of a place that the picture has, before the type shrinks."""

_SLIMMEST: Final = 0.62


@dataclass(frozen=True, eq=False, slots=True)
class Variant:
    """One colourway on the sheet: its letter, name, what is told of it line by line, its plan, look and key."""

    code: str
    name: str
    told: tuple[str, ...]
    plan: Plan
    look: Look
    key: tuple[KeyEntry, ...]


@dataclass(frozen=True, eq=False, slots=True)
class Shown:
    """What all colourways share: the tile, the cell or field that is shown (mm), and whether it steps."""

    tile: Tile
    cell: tuple[float, float]
    steps: bool
    wraps: bool


class _Laid(NamedTuple):
    """How the page is filled: columns, rows, type, the place of one and its picture, and where its words begin."""

    across: int
    down: int
    size: float
    place: tuple[float, float]
    picture: tuple[float, float]
    words: tuple[float, float]


def colourway_sheet(
    shown: Shown, variants: Sequence[Variant], heading: str, facts: Sequence[str], foot: str, page: str = "A4"
) -> Scene:
    """Compose the sheet.

    Parameters
    ----------
    shown : Shown
        What is common to all.
    variants : sequence of Variant
        One place each, row by row.
    heading : str
        The largest line.
    facts : sequence of str
        What stands under it; the scale is added.
    foot : str
        The last line.
    page : str
        One of ``PAGES``.
    """
    width, height = PAGES[page]
    laid = _laid(shown, variants, width, height)
    scale = _round(min(laid.picture[0] / shown.cell[0], laid.picture[1] / shown.cell[1], 1.0), shown.wraps)
    laid = _tight(shown, laid, scale)
    told = "   ".join((*facts, f"pictures {_scale(scale)}"))
    items: list[Item] = [
        Fill(shapes.rings(shapes.rectangle(0, 0, width, height)), BACKDROP, "backdrop"),
        Text(MARGIN, MARGIN + 4.5, heading, 5.2, INK, "text", "bold"),
        Text(MARGIN, MARGIN + 10.0, told, 2.3, GREY, "text"),
        Text(MARGIN, height - MARGIN + 3.0, foot, 2.1, GREY, "text"),
    ]
    forms = painted(shown.tile, variants[0].look, scale)
    for number, one in enumerate(variants):
        row, column = divmod(number, laid.across)
        x = MARGIN + column * (laid.place[0] + _GAP)
        y = MARGIN + _HEAD + row * (laid.place[1] + _GAP)
        box = _box(shown, x, y, laid.picture, scale)
        size = (box[2] - box[0]) / scale, (box[3] - box[1]) / scale
        start = origin(shown.tile, *size) if shown.steps else (0.0, 0.0)
        items += field_items(shown.tile, one.plan, one.look, Window(box, start, scale), forms)
        items.append(framed(box))
        items += _words(one, x + laid.words[0], y + laid.words[1], laid)
    return Scene(width, height, tuple(items), heading)


def _round(scale: float, wraps: bool) -> float:
    """Give a scale of round numbers that is no larger: of cloth by halves, of a sheet by tenths, from 1:10 by ones."""
    step = 1.0 if scale < 0.1 else 0.5 if wraps else 0.1
    return 1.0 if scale >= 1.0 else 1 / (math.ceil(1 / scale / step - 1e-9) * step)


def _tight(shown: Shown, laid: _Laid, scale: float) -> _Laid:
    """Let the words stand close to a picture that does not fill its room."""
    if shown.wraps:
        return laid
    wide, high = (side * scale for side in shown.cell)
    beside = laid.words[0] > 0
    return laid._replace(picture=(wide, high), words=(wide + 3.0, 0.0) if beside else (0.0, high + 2.0))


def _scale(scale: float) -> str:
    return "1:1" if scale >= 0.999 else f"1:{1 / scale:.3g}"


def _box(shown: Shown, x: float, y: float, room: tuple[float, float], scale: float) -> Box:
    """Give the box of a picture: cloth that repeats fills its room, one sheet is as large as it is."""
    if shown.wraps:
        return x, y, x + room[0], y + room[1]
    return x, y, x + shown.cell[0] * scale, y + shown.cell[1] * scale


def _laid(shown: Shown, variants: Sequence[Variant], width: float, height: float) -> _Laid:
    """Find the places in which the pictures are largest, with type that is as large as it may be."""
    best: tuple[float, _Laid] | None = None
    for size in _SIZES:
        for across in range(1, len(variants) + 1):
            for laid in _ways(variants, across, size, width, height):
                worth = _worth(shown, laid.picture)
                if best is None or worth > best[0]:
                    best = worth, laid
        if best and best[0] >= _PICTURE * best[1].place[0] * best[1].place[1]:
            break
    assert best is not None
    return best[1]


def _ways(variants: Sequence[Variant], across: int, size: float, width: float, height: float) -> list[_Laid]:
    """Give the words below the picture, and beside it."""
    down = -(-len(variants) // across)
    place = (
        (width - 2 * MARGIN - (across - 1) * _GAP) / across,
        (height - 2 * MARGIN - _HEAD - _FOOT + 4.0 - (down - 1) * _GAP) / down,
    )
    wide = max(_width(one, size) for one in variants)
    lines = max(len(_lines(one, place[0], size)) + len(one.key) for one in variants)
    below = place[0], place[1] - (lines + 0.6) * _LEADING * size - 2.0
    found = []
    if below[1] > 8 and wide <= place[0]:
        found.append(_Laid(across, down, size, place, below, (0.0, below[1] + 2.0)))
    room = max(wide, 16 * size)
    beside = place[0] - room - 3.0, place[1]
    fitting = (
        max(len(_lines(one, room, size)) + len(one.key) for one in variants) * _LEADING * size <= place[1]
    )
    if beside[0] > 8 and fitting:
        found.append(_Laid(across, down, size, place, beside, (beside[0] + 3.0, 0.0)))
    if not found and size == _SIZES[-1]:
        found.append(
            _Laid(across, down, size, place, (place[0], max(below[1], 6.0)), (0.0, max(below[1], 6.0) + 2.0))
        )
    return found


def _worth(shown: Shown, picture: tuple[float, float]) -> float:
    """Area of the picture as far as it serves: that of the sheet in it, or not slimmer than is good."""
    wide, high = picture
    if not shown.wraps:
        scale = min(wide / shown.cell[0], high / shown.cell[1], 1.0)
        return shown.cell[0] * shown.cell[1] * scale * scale
    return min(wide, high / _SLIMMEST) * min(high, wide / _SLIMMEST)


def _width(one: Variant, size: float) -> float:
    """Width of the widest line of a key, mm."""
    return max(size * 4.2 + text_width(_key(entry), size) for entry in one.key)


def _lines(one: Variant, wide: float, size: float) -> list[str]:
    """Break the lines above the key."""
    return [
        "",
        *(line for text in (one.name, *one.told) for line in flowed([text], max(wide, 10.0), size)),
    ]


def _key(entry: KeyEntry) -> str:
    return entry.words if entry.share > 0 or entry.side else f"{entry.name}, {entry.role}"


def _words(one: Variant, x: float, y: float, laid: _Laid) -> list[Item]:
    """Set the letter and name, what is told, and the key."""
    size = laid.size
    beside = laid.words[0] > 0
    wide = laid.place[0] - laid.words[0] if beside else laid.place[0]
    base = y + size * 1.1
    items: list[Item] = [Text(x, base, one.code, size * 1.5, INK, "text", "bold")]
    indent = text_width(one.code, size * 1.5, "bold") + size * 0.9
    for number, line in enumerate(flowed([one.name], wide - indent, size)):
        items.append(Text(x + indent, base, line, size, INK, "text", "bold"))
        base += size * _LEADING if number < 3 else 0.0
    for text in one.told:
        for line in flowed([text], wide, size):
            items.append(Text(x, base, line, size, GREY, "text"))
            base += size * _LEADING
    base += size * 0.4
    for entry in one.key:
        items += swatch(x, base - size * 0.86, size * 1.6, size, entry.colour, "text")
        items.append(Text(x + size * 2.1, base, entry.letter, size, INK, "text", "bold"))
        items.append(Text(x + size * 3.4, base, _key(entry), size, GREY, "text"))
        base += size * _LEADING
    return items
