"""The key of a palette and the small print of a sheet, set in the bottom margin."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from mockup.rendering.canvas_text import text_width
from mockup.rendering.scene import Fill, Item, Stroke, Text

LAYER = "caption"
SMALL = 1.9
"""Height of the small type, mm (5.4 pt)."""

GREY = "#5b5f66"
INK = "#24272c"


@dataclass(frozen=True, slots=True)
class KeyEntry:
    """One ink in the key: letter, name, role, share of the shapes (0 to 1), colour."""

    letter: str
    name: str
    role: str
    share: float
    colour: str

    @property
    def words(self) -> str:
        """Say it in one line."""
        return f"{self.name}, {self.role} {self.share:.0%}"


def letters(count: int) -> list[str]:
    """Letters of the inks in palette order."""
    return [chr(ord("A") + number) for number in range(count)]


def swatch(x: float, y: float, width: float, height: float, colour: str, layer: str = LAYER) -> list[Item]:
    """Draw a swatch with a hair of grey round it, so that a pale ink is seen on pale paper."""
    corners = np.array([[x, y], [x + width, y], [x + width, y + height], [x, y + height]])
    return [Fill((corners,), colour, layer), Stroke((corners,), (True,), 0.1, "#9a9ea3", layer)]


def caption(
    entries: Sequence[KeyEntry], notes: Sequence[str], left: float, right: float, top: float, size: float = SMALL
) -> list[Item]:
    """Set the key on one line and the notes on the next, between ``left`` and ``right``, from ``top`` down, mm.

    The type shrinks until both lines fit.
    """
    wide = sum(_entry_width(entry, size) for entry in entries)
    line = "   ".join(note for note in notes if note)
    most = max(wide, text_width(line, size), 1e-6)
    size = min(size, size * (right - left) / most)
    items: list[Item] = []
    x, base = left, top + size
    for entry in entries:
        items += swatch(x, base - size * 0.86, size * 1.5, size, entry.colour)
        items.append(Text(x + size * 2.0, base, entry.letter, size, INK, LAYER, "bold"))
        items.append(Text(x + size * 3.1, base, entry.words, size, GREY, LAYER))
        x += _entry_width(entry, size)
    items.append(Text(left, base + size * 1.7, line, size, GREY, LAYER))
    return items


def _entry_width(entry: KeyEntry, size: float) -> float:
    return size * 4.7 + text_width(entry.words, size)
