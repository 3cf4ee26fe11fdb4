"""The mock-up sheet: paper, border, pattern and, in the margin, the key."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from mockup.colouring.plan import Plan
from mockup.geometry import shapes
from mockup.geometry.shapes import Box
from mockup.pattern.field import origin
from mockup.pattern.regions import Tile
from mockup.rendering.border import border_items
from mockup.rendering.look import Look
from mockup.rendering.pattern import Painted, Window, field_items
from mockup.rendering.scene import Fill, Item, Scene, Stroke, Text
from mockup.sheets.caption import KeyEntry, caption

_LEAST_MARGIN = 6.0
_NAME_SIZE = 1.7


@dataclass(frozen=True, eq=False, slots=True)
class Frame:
    """Sizes of a sheet, mm: the paper, the border's outer edge, the field inside it, and the drawing's scale."""

    width: float
    height: float
    outer: Box
    field: Box
    scale: float = 1.0


def window_of(tile: Tile, frame: Frame, repeats: bool = True) -> Window:
    """Give the window in which the pattern of a sheet is drawn."""
    width, height = (frame.field[2] - frame.field[0]) / frame.scale, (frame.field[3] - frame.field[1]) / frame.scale
    return Window(frame.field, origin(tile, width, height) if repeats else (0.0, 0.0), frame.scale)


def preview(
    tile: Tile,
    plan: Plan,
    look: Look,
    frame: Frame,
    *,
    title: str = "",
    key: Sequence[KeyEntry] = (),
    notes: Sequence[str] = (),
    names: bool = False,
    repeats: bool = True,
    forms: Sequence[Painted] | None = None,
) -> Scene:
    """Compose the sheet.

    Parameters
    ----------
    tile, plan, look : Tile, Plan, Look
        The pattern, its inks, and how it is drawn.
    frame : Frame
        Sizes of the sheet.
    title : str
        Title of the file.
    key, notes : sequences
        What the bottom margin says; nothing is said where the margin is narrow.
    names : bool
        Print the placed motifs' names and a grid of mm.
    repeats : bool
        False for a single drawing, which does not step.
    forms : sequence of Painted, optional
        From ``painted``, to be used again.
    """
    window = window_of(tile, frame, repeats)
    items: list[Item] = [Fill(_edge((0.0, 0.0, frame.width, frame.height)), look.paper, "paper", "paper")]
    items += border_items(frame.outer, look.border)
    items += field_items(tile, plan, look, window, forms)
    if names:
        items += _grid(tile, frame, window)
        items += _names(tile, plan, frame, window)
    below = frame.height - frame.outer[3]
    if key and below >= _LEAST_MARGIN:
        items += caption(key, notes, frame.outer[0], frame.outer[2], frame.outer[3] + (below - 5.2) / 2)
    return Scene(frame.width, frame.height, tuple(items), title)


def picture(
    tile: Tile, plan: Plan, look: Look, width: float, height: float, scale: float = 1.0, title: str = ""
) -> Scene:
    """Compose a picture of the cloth alone, its middle in the middle of width x height mm."""
    frame = Frame(width, height, (0.0, 0.0, width, height), (0.0, 0.0, width, height), scale)
    return Scene(width, height, field_items(tile, plan, look, window_of(tile, frame)), title)


def _edge(box: Box) -> tuple["np.ndarray[tuple[int, int], np.dtype[np.float64]]", ...]:
    return shapes.rings(shapes.rectangle(*box))


def _grid(tile: Tile, frame: Frame, window: Window) -> list[Item]:
    """Draw a grid of 10 mm counted from the plan's own corner, with figures along two sides."""
    x0, y0, x1, y1 = frame.field
    left, top = window.move(tile, 0, 0).tolist()
    items: list[Item] = []
    lines = []
    for axis, (zero, low, high) in enumerate(((left, x0, x1), (top, y0, y1))):
        step = 10 * frame.scale
        first = int(np.ceil((low - zero) / step))
        for number in range(first, int(np.floor((high - zero) / step)) + 1):
            at = zero + number * step
            ends = [[at, y0], [at, y1]] if axis == 0 else [[x0, at], [x1, at]]
            lines.append(np.array(ends, dtype=float))
            if number % 2 == 0 and low + 2 < at < high - 2:
                spot = (at, y0 - 0.6) if axis == 0 else (x0 - 0.6, at + 0.6)
                anchor = "middle" if axis == 0 else "end"
                items.append(Text(*spot, str(number * 10), _NAME_SIZE, "#5b5f66", "grid", anchor=anchor))
    return [Stroke(tuple(lines), (False,) * len(lines), 0.08, "#8a8f96", "grid", "grid of 10 mm"), *items]


def _names(tile: Tile, plan: Plan, frame: Frame, window: Window) -> list[Item]:
    """Print the name of each placed motif of the first tiles on a small plate at its middle."""
    places: dict[int, list[shapes.Shape]] = {}
    for node in tile.nodes:
        places.setdefault(node.place, []).append(node.seen)
    items: list[Item] = []
    for i, j in window.copies(tile):
        column, row = tile.lattice.within(i, j, *plan.tiles) if plan.tiles else (i, j)
        suffix = "" if (column, row) == (0, 0) else f"@{column + 1},{row + 1}"
        for place, seen in places.items():
            a, b, c, d = shapes.box_of(seen)
            x, y = (window.move(tile, i, j) + np.array([a + c, b + d]) / 2 * frame.scale).tolist()
            x0, y0, x1, y1 = frame.field
            if x0 < x < x1 and y0 < y < y1:
                items += _plate(x, y, tile.places[place] + suffix)
    return items


def _plate(x: float, y: float, text: str) -> list[Item]:
    half, high = 0.31 * _NAME_SIZE * len(text) + 0.5, _NAME_SIZE * 0.75
    return [
        Fill(_edge((x - half, y - high, x + half, y + high)), "#ffffff", "names"),
        Text(x, y + _NAME_SIZE * 0.36, text, _NAME_SIZE, "#24272c", "names", anchor="middle"),
    ]
