"""The comparison sheet: one field inked in several ways, side by side, sharp and as from afar, with their figures."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from mockup.colouring.plan import Plan
from mockup.geometry import shapes
from mockup.geometry.shapes import Box
from mockup.pattern.regions import Tile
from mockup.rendering.afar import resampled
from mockup.rendering.canvas_text import text_width
from mockup.rendering.look import Look
from mockup.rendering.mosaic import mosaic
from mockup.rendering.pattern import Window, field_items
from mockup.rendering.scene import Fill, Item, Scene, Stroke, Text
from mockup.sheets.caption import GREY, INK, framed
from mockup.sheets.motifs import BACKDROP

Floats = NDArray[np.float64]

WIDTH: Final = 315.0
"""Width of the sheet, mm; at 900 pixels the smallest type is 12 pixels high."""

_MARGIN: Final = 13.0
_GAP: Final = 10.0
_HEADING: Final = 7.4
_TITLE: Final = 5.8
_TYPE: Final = 4.3
_LEADING: Final = 5.9
_NUMBER: Final = 6.8
_WORDS: Final = 29.5
"""Where the words beside a number begin, mm from the column's left."""

_BAR: Final = 5.0
_GRAIN: Final = 1.0


@dataclass(frozen=True, eq=False, slots=True)
class Way:
    """One way to ink the field.

    Attributes
    ----------
    title, about : str
        Its name, and what it does in a few words.
    plan : Plan
        Which ink each shape takes.
    afar : (rows, columns, 3) floats
        The cell as from afar, sRGB.
    shares : (k,) floats
        Share of the coloured area that each ink has.
    figures : sequence of (str, sequence of str)
        Numbers, and what they say in short lines.
    """

    title: str
    about: str
    plan: Plan
    afar: Floats
    shares: Floats
    figures: Sequence[tuple[str, Sequence[str]]]


@dataclass(frozen=True, eq=False, slots=True)
class Compared:
    """What all ways share: the tile, the look, the cell (mm) over which all of it repeats, the target shares."""

    tile: Tile
    look: Look
    cell: tuple[float, float]
    target: Floats


def compare_sheet(
    compared: Compared, ways: Sequence[Way], heading: str, notes: Sequence[str], foot: Sequence[str]
) -> Scene:
    """Compose the sheet.

    Parameters
    ----------
    compared : Compared
        What all ways share.
    ways : sequence of Way
        One a column, all with as many figures.
    heading : str
        The largest line.
    notes, foot : sequences of str
        What is said under the heading and at the foot, a paragraph each.
    """
    wide = (WIDTH - 2 * _MARGIN - _GAP * (len(ways) - 1)) / len(ways)
    high = wide * compared.cell[1] / compared.cell[0]
    items: list[Item] = [Text(_MARGIN, _MARGIN + _HEADING * 0.8, heading, _HEADING, INK, "text", "bold")]
    top = _paragraphs(notes, _MARGIN + _HEADING * 0.8 + 8.0, items) + 6.5
    bottom = top
    for number, way in enumerate(ways):
        left = _MARGIN + number * (wide + _GAP)
        bottom = max(bottom, _column(compared, way, (left, top, left + wide, top + high), items))
    bottom = _paragraphs(foot, bottom + 5.5, items)
    height = bottom - _LEADING + _MARGIN
    paper = Fill(shapes.rings(shapes.rectangle(0, 0, WIDTH, height)), BACKDROP, "backdrop")
    return Scene(WIDTH, height, (paper, *items), heading)


def _paragraphs(told: Sequence[str], base: float, items: list[Item]) -> float:
    """Set paragraphs over the whole width; give the base of the line after them."""
    for paragraph in told:
        for line in _broken(paragraph, WIDTH - 2 * _MARGIN):
            items.append(Text(_MARGIN, base, line, _TYPE, GREY, "text"))
            base += _LEADING
    return base


def _column(compared: Compared, way: Way, room: Box, items: list[Item]) -> float:
    """Set one way under its title; ``room`` is as wide as the column and as high as a picture. Give its foot, mm."""
    left, top, right, _ = room
    high = room[3] - top
    items.append(Text(left, top, way.title, _TITLE, INK, "text", "bold"))
    items.append(Text(left, top + _LEADING + 0.6, way.about, _TYPE, GREY, "text"))
    y = top + _LEADING + 4.6
    sharp, soft = (left, y, right, y + high), (left, y + high + 3.0, right, y + 2 * high + 3.0)
    scale = (right - left) / compared.cell[0]
    items += field_items(compared.tile, way.plan, compared.look, Window(sharp, (0.0, 0.0), scale))
    shape = max(2, round(high / _GRAIN)), max(2, round((right - left) / _GRAIN))
    fine = [resampled(way.afar[..., channel], shape, True) for channel in range(3)]
    items.append(mosaic(np.stack(fine, axis=-1), soft, "from afar"))
    items += [framed(sharp, 0.15), framed(soft, 0.15)]
    y = _bar(compared, way, (left, soft[3] + 7.5, right, soft[3] + 7.5 + _BAR), items)
    for number, words in way.figures:
        y = _figure(number, words, left, y, items)
    return y


def _bar(compared: Compared, way: Way, box: Box, items: list[Item]) -> float:
    """Draw the inks' shares as a bar, with ticks above where they would change if all had their targets."""
    left, top, right, bottom = box
    ends = [0.0, *accumulate(way.shares.tolist())]
    for ink, (start, end) in zip(compared.look.inks, pairwise(ends), strict=False):
        x0, x1 = (left + (right - left) * share / ends[-1] for share in (start, end))
        if x1 > x0:
            items.append(Fill(shapes.rings(shapes.rectangle(x0, top, x1, bottom)), ink.colour, ink.name))
    ticks = [left + (right - left) * share for share in accumulate([0.0, *compared.target.tolist()])]
    lines = tuple(np.array([[x, top - 3.0], [x, top - 1.0]]) for x in ticks)
    items.append(Stroke(lines, (False,) * len(lines), 0.35, GREY, "targets"))
    return bottom + 10.5


def _figure(number: str, words: Sequence[str], left: float, base: float, items: list[Item]) -> float:
    """Set a number and beside it what it says; give the base of the next one."""
    items.append(Text(left, base, number, _NUMBER, INK, "figures", "bold"))
    for row, line in enumerate(words):
        items.append(Text(left + _WORDS, base + row * _LEADING, line, _TYPE, GREY, "figures"))
    return base + (len(words) + 0.6) * _LEADING


def _broken(text: str, wide: float) -> list[str]:
    """Break a paragraph into lines of at most ``wide`` mm."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer, _TYPE) <= wide:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines
