"""The picture of what was found in a scan: regions tinted, ground hatched, closings and suspected leaks marked."""

from collections.abc import Sequence
from typing import Final

import numpy as np

from mockup.drawing.tracing import Traced
from mockup.drawing.written import fill_of
from mockup.geometry.affine import Points, translation
from mockup.geometry.curves import circle, sampled
from mockup.geometry.shapes import Shape, box_of, moved, rectangle, rings
from mockup.rendering.scene import Clip, Fill, Item, Scene, Stroke, Text
from mockup.sheets.caption import GREY, INK, flowed, swatch
from mockup.sheets.motifs import BACKDROP

_MARGIN: Final = 10.0
_TYPE: Final = 2.6
_LEADING: Final = 4.4
_NARROWEST: Final = 120.0
_PAPER: Final = "#fdfcf8"
_CLOSED: Final = "#c8501e"
_LEAK: Final = "#8a1f6a"
_HATCH: Final = "#b9c3cc"
_STEP: Final = 3.0
_RING: Final = 1.8


def scan_sheet(found: Traced, name: str, lines: Sequence[str]) -> Scene:
    """Compose the picture, at true size.

    Parameters
    ----------
    found : Traced
        What was found.
    name : str
        The scan's, for the heading.
    lines : sequence of str
        What is said beneath.
    """
    wide = max(found.width, _NARROWEST)
    left, top = _MARGIN + (wide - found.width) / 2, _MARGIN + 9.0
    y = top + found.height + 7.0
    said = [one for line in lines for one in flowed([line], wide, _TYPE)]
    height = y + _LEADING * (len(said) + 2) + _MARGIN
    items: list[Item] = [
        Fill(rings(rectangle(0, 0, wide + 2 * _MARGIN, height)), BACKDROP, "backdrop"),
        Text(_MARGIN, _MARGIN + 4.0, name, 4.2, INK, "text", "bold"),
        Fill(rings(rectangle(left, top, left + found.width, top + found.height)), _PAPER, "paper"),
        *_areas(found, left, top),
        *_marks(found, left, top),
        *_key(y),
    ]
    items += [
        Text(_MARGIN, y + _LEADING * (number + 1.6), line, _TYPE, GREY, "text")
        for number, line in enumerate(said)
    ]
    return Scene(wide + 2 * _MARGIN, height, tuple(items), name)


def _areas(found: Traced, left: float, top: float) -> list[Item]:
    """Set regions, hatched ground and lines."""
    place = translation(left, top)
    items: list[Item] = []
    for shape in found.grounds:
        hatch = tuple(place.apply(line) for line in _hatching(shape))
        drawn = Stroke(hatch, (False,) * len(hatch), 0.18, _HATCH, "ground")
        items.append(Clip(rings(moved(shape, place)), (drawn,)))
    for number, shape in enumerate(found.regions):
        items.append(Fill(rings(moved(shape, place)), fill_of(number), "regions"))
    items += [Fill(rings(moved(one.shape, place)), GREY, "solids") for one in found.solid]
    for line in found.lines:
        points = place.apply(line.points)
        items.append(Stroke((points,), (line.closed,), max(line.width, 0.1), INK, "lines"))
    return items


def _hatching(shape: Shape) -> list[Points]:
    x0, y0, x1, y1 = box_of([shape])
    high = y1 - y0
    starts = np.arange(x0 - high, x1, _STEP)
    return [np.array([(x, y1), (x + high, y0)]) for x in starts]


def _marks(found: Traced, left: float, top: float) -> list[Item]:
    """Mark what was closed, and what may leak."""
    items: list[Item] = []
    place = translation(left, top)
    for span in map(place.apply, found.closings):
        middle = span.mean(axis=0)
        items += _ring(middle, _CLOSED, max(_RING * 0.7, float(np.hypot(*(span[1] - span[0]))) * 0.8))
        items.append(Stroke((span,), (False,), 0.3, _CLOSED, "marks"))
    for spot in place.apply(found.leaks):
        items += _ring(spot, _LEAK, _RING * 1.3)
        items.append(Text(float(spot[0]), float(spot[1]) + 1.0, "?", 2.8, _LEAK, "marks", "bold", "middle"))
    return items


def _ring(at: Points, colour: str, radius: float) -> list[Item]:
    ring = (sampled(circle(float(at[0]), float(at[1]), radius), 10),)
    return [Stroke(ring, (True,), 0.9, _PAPER, "marks"), Stroke(ring, (True,), 0.35, colour, "marks")]


def _key(y: float) -> list[Item]:
    """Set the key of the signs."""
    x, items = _MARGIN, list[Item]()
    items += [
        *swatch(x, y - 2.1, 4.0, 2.6, fill_of(0), "text"),
        Text(x + 5.5, y, "region", _TYPE, INK, "text"),
    ]
    x += 22.0
    hatch = tuple(np.array([(x + s, y + 0.5), (x + s + 2.6, y - 2.1)]) for s in (0.0, 1.2, 2.4))
    items += [Stroke(hatch, (False,) * 3, 0.18, GREY, "text"), Text(x + 6.5, y, "ground", _TYPE, INK, "text")]
    x += 24.0
    items += [
        *_ring(np.array((x + 1.2, y - 0.9)), _CLOSED, 1.2),
        Text(x + 4, y, "gap closed", _TYPE, INK, "text"),
    ]
    x += 28.0
    items += [
        *_ring(np.array((x + 1.4, y - 0.9)), _LEAK, 1.5),
        Text(x + 1.4, y, "?", 2.4, _LEAK, "text", "bold", "middle"),
        Text(x + 4.4, y, "wider gap, left open", _TYPE, INK, "text"),
    ]
    return items
