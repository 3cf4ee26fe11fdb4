"""Lines of type on a sheet: two sizes and one weight more, cut or broken to the width there is.

References
----------
R. Bringhurst, *The Elements of Typographic Style*, sections 2.2 (line height) and 8.2 (a single family).
"""

from dataclasses import dataclass
from typing import Final

from mockup.rendering.canvas_text import text_width
from mockup.rendering.scene import Anchor, Text, Weight

_ELLIPSIS: Final = "…"
_LINE_HEIGHT: Final = 1.4


@dataclass(frozen=True, slots=True)
class Style:
    """A size of type, mm, and its weight."""

    size_mm: float
    weight: Weight = "regular"

    @property
    def line(self) -> float:
        """From one baseline to the next, mm."""
        return self.size_mm * _LINE_HEIGHT


SMALL: Final = Style(2.5)
"""Captions, keys and notes (7 pt)."""

SMALL_BOLD: Final = Style(2.5, "bold")
"""What a caption names: letters of a key, headings of a column."""

LARGE: Final = Style(4.25, "bold")
"""The title of a sheet (12 pt)."""


def width_of(text: str, style: Style) -> float:
    """Width of a line in a style, mm."""
    return text_width(text, style.size_mm, style.weight)


def fitted(text: str, width: float, style: Style = SMALL) -> str:
    """Give the text, cut with an ellipsis to ``width`` mm; nothing where not even that fits."""
    if width_of(text, style) <= width:
        return text
    fits, too_long = 0, len(text)
    while too_long - fits > 1:
        middle = (fits + too_long) // 2
        if width_of(text[:middle].rstrip() + _ELLIPSIS, style) <= width:
            fits = middle
        else:
            too_long = middle
    cut = text[:fits].rstrip() + _ELLIPSIS
    return cut if width_of(cut, style) <= width else ""


def broken(text: str, width: float, style: Style = SMALL) -> tuple[str, ...]:
    """Break a text between words into lines of at most ``width`` mm; a word too long for a line is cut."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and width_of(longer, style) <= width:
            lines[-1] = longer
        else:
            lines.append(fitted(word, width, style))
    return tuple(lines)


def caption(
    x: float,
    y: float,
    text: str,
    colour: str,
    layer: str,
    *,
    style: Style = SMALL,
    anchor: Anchor = "start",
    width: float | None = None,
) -> Text:
    """Set one line with its baseline at ``y`` mm, cut to ``width`` mm where that is given."""
    said = text if width is None else fitted(text, width, style)
    return Text(x, y, said, style.size_mm, colour, layer, style.weight, anchor)


def paragraph(
    x: float, y: float, text: str, colour: str, layer: str, *, width: float, style: Style = SMALL
) -> tuple[Text, ...]:
    """Set a text ranged left in lines of at most ``width`` mm, the first baseline at ``y`` mm."""
    return tuple(
        caption(x, y + n * style.line, line, colour, layer, style=style)
        for n, line in enumerate(broken(text, width, style))
    )
