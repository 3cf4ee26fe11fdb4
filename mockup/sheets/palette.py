"""The picture of palettes: each ink on the ground with name, role and figures; in grey, to dichromats, and layered."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from mockup.geometry import shapes
from mockup.rendering.canvas_text import text_width
from mockup.rendering.scene import Fill, Item, Scene, Text
from mockup.sheets.caption import GREY, INK, flowed, swatch
from mockup.sheets.motifs import BACKDROP

WIDTH = 182.0
_NARROW = 142.0
"""Widths of a palette where it stands alone, and where two stand side by side, mm."""

_MARGIN = 14.0
_GUTTER = 24.0
_PANEL = 30.0
_INSET = 4.0
_ROW, _STEP, _APART = 5.2, 6.4, 2.2
_TYPE = 2.4
_LEADING = 1.45
_BETWEEN = 13.0
_SWATCH = "swatch"
_TEXT = "text"


@dataclass(frozen=True, slots=True)
class Column:
    """One ink: letter, name, role, colour ("#rrggbb") and a line or two of figures."""

    letter: str
    name: str
    role: str
    colour: str
    figures: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Row:
    """The same inks in another view: what it is called, a colour for each, and whether it begins a group."""

    label: str
    colours: tuple[str, ...]
    first: bool = False


@dataclass(frozen=True, slots=True)
class Block:
    """One palette: heading, its ground and what that is, its inks, other views, and lines of prose."""

    heading: str
    ground: str
    on: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...] = ()
    lines: tuple[str, ...] = ()


def palette_sheet(blocks: Sequence[Block], heading: str, notes: Sequence[str] = ()) -> Scene:
    """Set palettes one under another.

    Parameters
    ----------
    blocks : sequence of Block
    heading : str
        Title of the sheet.
    notes : sequence of str
        Small print at the foot.
    """
    items: list[Item] = [Text(_MARGIN, _MARGIN + 4.5, heading, 5.0, INK, _TEXT)]
    across = 1 if len(blocks) < 3 else 2
    wide = WIDTH if across == 1 else _NARROW
    y = _MARGIN + 14.0
    for start in range(0, len(blocks), across):
        row = blocks[start : start + across]
        ends = [
            _set_block(block, _MARGIN + number * (wide + _BETWEEN), y, wide, items)
            for number, block in enumerate(row)
        ]
        y = max(ends) + _BETWEEN
    full = across * wide + (across - 1) * _BETWEEN
    y += _set_lines(notes, _MARGIN, y - 4.0, full, items)
    height = y + _MARGIN - 8.0
    width = full + 2 * _MARGIN
    ground = Fill(shapes.rings(shapes.rectangle(0, 0, width, height)), BACKDROP, "backdrop")
    return Scene(width, height, (ground, *items), heading)


def _set_block(block: Block, x: float, y: float, width: float, items: list[Item]) -> float:
    """Set one palette below y, as wide as told; give where it ends."""
    items.append(Text(x, y, block.heading, 3.4, INK, _TEXT, "bold"))
    left, right, top = x + _GUTTER, x + width, y + 3.0
    wide = (right - left) / len(block.columns)
    items += swatch(left, top, right - left, _PANEL, block.ground, _SWATCH)
    items.append(Text(x, top + _PANEL / 2 + 0.9, block.on, _TYPE, GREY, _TEXT))
    inset = min(_INSET, wide / 6)
    for number, column in enumerate(block.columns):
        box = left + number * wide + inset, top + inset, wide - 2 * inset, _PANEL - 2 * inset
        same = column.colour == block.ground
        items += swatch(*box, column.colour, _SWATCH) if same else [_plain(*box, column.colour)]
    y = top + _PANEL + 4.2
    ends = [
        _set_column(column, left + number * wide, y, wide, items)
        for number, column in enumerate(block.columns)
    ]
    y = _set_rows(block.rows, x, max(ends) + 0.6, right, items)
    if block.lines:
        y += 4.4
        for line in block.lines:
            y += _set_lines([line], left, y, right - left, items) + 0.7
    return y


def _set_rows(rows: Sequence[Row], x: float, y: float, right: float, items: list[Item]) -> float:
    """Set the other views, a strip each; give where they end."""
    for row in rows:
        y += _APART if row.first else 0.0
        items.append(Text(x, y + _ROW * 0.68, row.label, _TYPE, GREY, _TEXT))
        wide = (right - x - _GUTTER) / len(row.colours)
        for number, colour in enumerate(row.colours):
            items.append(_plain(x + _GUTTER + number * wide, y, wide, _ROW, colour))
        y += _STEP
    return y


def _set_column(column: Column, x: float, y: float, wide: float, items: list[Item]) -> float:
    """Set what is said of an ink, as wide as its column; give where the next may begin."""
    room = wide - 2.0
    items.append(Text(x, y, column.letter, _TYPE, INK, _TEXT, "bold"))
    start = _TYPE * 1.3
    for line in flowed([column.name], 0.9 * (room - start), _TYPE):
        items.append(Text(x + start, y, line, _TYPE, INK, _TEXT, "bold"))
        y += _LEADING * _TYPE
    for line in filter(None, (column.role, *column.figures)):
        size = _TYPE * min(1.0, room / max(text_width(line, _TYPE), 0.1))
        items.append(Text(x, y, line, size, GREY, _TEXT))
        y += _LEADING * _TYPE
    return y


def _set_lines(lines: Sequence[str], x: float, y: float, wide: float, items: list[Item]) -> float:
    """Set prose, each line broken where it is too wide; give how high it is."""
    told = [piece for line in lines for piece in flowed([line], wide, _TYPE)]
    for number, line in enumerate(told):
        items.append(Text(x, y + number * _LEADING * _TYPE, line, _TYPE, GREY, _TEXT))
    return len(told) * _LEADING * _TYPE


def _plain(x: float, y: float, width: float, height: float, colour: str) -> Fill:
    """Fill a rectangle, without an edge."""
    corners = np.array([[x, y], [x + width, y], [x + width, y + height], [x, y + height]])
    return Fill((corners,), colour, _SWATCH)
