"""The key of a palette and the small print of a sheet, set in the bottom margin."""

import string
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate, groupby

import numpy as np

from mockup.geometry.shapes import Box, rectangle, rings
from mockup.rendering.canvas_text import text_width
from mockup.rendering.scene import Fill, Item, Stroke, Text

LAYER = "caption"
SMALL = 1.9
"""Height of the small type, mm (5.4 pt)."""

_LEAST = 0.5
"""Height below which the type does not shrink, mm."""

_LEADING = 1.65
_BETWEEN = "   "

GREY = "#5b5f66"
INK = "#24272c"
HAIR = "#9a9ea3"


@dataclass(frozen=True, slots=True)
class KeyEntry:
    """One ink in the key: letter, name, role, share of the shapes (0 to 1), colour.

    An ink of a side palette has its name as ``side``; it has no share and stands apart from the others.
    """

    letter: str
    name: str
    role: str
    share: float
    colour: str
    side: str = ""

    @property
    def words(self) -> str:
        """Say it in one line."""
        return self.name if self.side else f"{self.name}, {self.role} {self.share:.0%}"


def letters(count: int) -> list[str]:
    """Letters of the inks in palette order: A to Z, then AA, AB ..."""
    single = string.ascii_uppercase
    return [
        (single[number // 26 - 1] if number >= 26 else "") + single[number % 26] for number in range(count)
    ]


def framed(box: Box, width: float = 0.1, colour: str = HAIR) -> Stroke:
    """Draw a hair of grey round a picture, so that pale paper stands off from the backdrop."""
    return Stroke(rings(rectangle(*box)), (True,), width, colour, "frame")


def swatch(x: float, y: float, width: float, height: float, colour: str, layer: str = LAYER) -> list[Item]:
    """Draw a swatch with a hair of grey round it, so that a pale ink is seen on pale paper."""
    corners = np.array([[x, y], [x + width, y], [x + width, y + height], [x, y + height]])
    return [Fill((corners,), colour, layer), Stroke((corners,), (True,), 0.1, HAIR, layer)]


def caption(
    entries: Sequence[KeyEntry], notes: Sequence[str], room: Box, size: float = SMALL, spare: float = 0.0
) -> list[Item]:
    """Set the key and under it the notes into a box (mm on the sheet), ranged left, in the middle of its height.

    A key that needs several lines stands in columns. Side palettes follow, a line each that begins with their name.
    The type shrinks until all of it fits. At the right of the notes so many mm are left ``spare``.
    """
    palette = [entry for entry in entries if not entry.side]
    apart = [list(own) for side, own in groupby(entries, lambda entry: entry.side) if side]
    wide, high = room[2] - room[0], room[3] - room[1]
    while True:
        key = _columns(palette, wide, size)
        sides = [line for own in apart for line in _line(own, wide, size)]
        said = flowed(notes, wide - spare, size)
        lines = len(key) + len(sides) + len(said)
        if size <= _LEAST or (key and lines * _LEADING * size <= high):
            break
        size = round(size - 0.05, 2)
    base = room[1] + (high - lines * _LEADING * size) / 2 + size * 1.2
    items: list[Item] = []
    named = ""
    for number, row in enumerate(sides, len(key)):
        if row[0][1].side != named:
            named = row[0][1].side
            items.append(Text(room[0], base + number * _LEADING * size, named, size, GREY, LAYER))
    for number, row in enumerate([*key, *sides]):
        for x, entry in row:
            items += _entry(entry, room[0] + x, base + number * _LEADING * size, size)
    for number, line in enumerate(said, len(key) + len(sides)):
        items.append(Text(room[0], base + number * _LEADING * size, line, size, GREY, LAYER))
    return items


def _columns(entries: Sequence[KeyEntry], wide: float, size: float) -> list[list[tuple[float, KeyEntry]]]:
    """Deal the entries to lines, each with its distance from the left; none where one is too wide."""
    widths = [_entry_width(entry, size) for entry in entries]
    if sum(widths) <= wide:
        starts = [0.0, *accumulate(widths)]
        return [list(zip(starts, entries, strict=False))]
    fitting = int(wide // max(widths))
    if not fitting:
        return [[(0.0, entry)] for entry in entries] if size <= _LEAST else []
    across = -(-len(entries) // -(-len(entries) // fitting))
    column = max(widths)
    rows = [entries[start : start + across] for start in range(0, len(entries), across)]
    return [[(number * column, entry) for number, entry in enumerate(row)] for row in rows]


def _line(entries: Sequence[KeyEntry], wide: float, size: float) -> list[list[tuple[float, KeyEntry]]]:
    """Set the inks of a side palette after its name, each with its distance from the left; on more lines if need be."""
    start = text_width(entries[0].side, size) + size * 1.2
    lines: list[list[tuple[float, KeyEntry]]] = [[]]
    x = start
    for entry in entries:
        width = _entry_width(entry, size)
        if lines[-1] and x + width > wide:
            lines.append([])
            x = start
        lines[-1].append((x, entry))
        x += width
    return lines


def flowed(notes: Sequence[str], wide: float, size: float) -> list[str]:
    """Break the notes into lines: between two of them, or between words where one alone is too wide."""
    lines: list[str] = []
    for note in notes:
        whole = text_width(note, size) <= wide
        for number, piece in enumerate([note] if whole else note.split()):
            longer = f"{lines[-1]}{_BETWEEN if number == 0 else ' '}{piece}" if lines else piece
            if lines and text_width(longer, size) <= wide:
                lines[-1] = longer
            else:
                lines.append(piece)
    return lines


def _entry(entry: KeyEntry, x: float, base: float, size: float) -> list[Item]:
    return [
        *swatch(x, base - size * 0.86, size * 1.5, size, entry.colour),
        Text(x + size * 2.0, base, entry.letter, size, INK, LAYER, "bold"),
        Text(x + size * 3.1, base, entry.words, size, GREY, LAYER),
    ]


def _entry_width(entry: KeyEntry, size: float) -> float:
    return size * 4.7 + text_width(entry.words, size)
