"""What ``--names`` prints over a pattern: the placed motifs' names as in a plan, and a grid of its millimetres."""

import math

import numpy as np

from mockup.colouring.plan import Plan
from mockup.geometry import shapes
from mockup.geometry.shapes import Box
from mockup.pattern.regions import Tile
from mockup.rendering.canvas_text import text_width
from mockup.rendering.pattern import Window
from mockup.rendering.scene import Fill, Item, Stroke, Text
from mockup.sheets.caption import INK

_SIZE = 1.7
_LEAST_SIZE = 0.8
_STEPS = (10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0)
_CLOSEST = 5.0


def grid_step(scale: float) -> float:
    """Distance of the grid's lines in true mm: 10, or more where they would lie closer than 5 mm on the sheet."""
    return next((step for step in _STEPS if step * scale >= _CLOSEST), _STEPS[-1])


def overlay(tile: Tile, plan: Plan, window: Window) -> list[Item]:
    """Draw the grid, the names, and along two sides the figures of the grid, as far as the plan counts."""
    names = _names(tile, plan, window)
    size = _size(tile, names, window.scale)
    items = _grid(_zero(tile, plan, window), window)
    for box, name in names:
        width, height = box[2] - box[0], box[3] - box[1]
        if width > size and height > size:
            half = _half(name, size)
            x = min(max((box[0] + box[2]) / 2, window.field[0] + half), window.field[2] - half)
            items += _plate(x, (box[1] + box[3]) / 2, name, size)
    return [*items, *_figures(tile, plan, window)]


def _zero(tile: Tile, plan: Plan, window: Window) -> tuple[float, float]:
    """Where on the sheet the plan's mm begin: at the tile's corner, on a single sheet at the field's."""
    if plan.tiles is None:
        return window.field[0], window.field[1]
    x, y = window.move(tile, 0, 0).tolist()
    return x, y


def _lines(zero: float, low: float, high: float, step: float) -> list[tuple[int, float]]:
    """Numbers and places of the grid's lines between two edges."""
    first, last = math.ceil((low - zero) / step - 1e-9), math.floor((high - zero) / step + 1e-9)
    return [(number, zero + number * step) for number in range(first, last + 1)]


def _grid(zero: tuple[float, float], window: Window) -> list[Item]:
    x0, y0, x1, y1 = window.field
    step = grid_step(window.scale) * window.scale
    lines = [np.array([[at, y0], [at, y1]]) for _, at in _lines(zero[0], x0, x1, step)]
    lines += [np.array([[x0, at], [x1, at]]) for _, at in _lines(zero[1], y0, y1, step)]
    return [Stroke(tuple(lines), (False,) * len(lines), 0.08, "#8a8f96", "grid", "grid of mm")]


def _figures(tile: Tile, plan: Plan, window: Window) -> list[Item]:
    """Set the figure of every second line on a plate inside the field's edge."""
    x0, y0, x1, y1 = window.field
    true = grid_step(window.scale)
    zero = _zero(tile, plan, window)
    cell = tile.lattice.size(*plan.tiles) if plan.tiles else (math.inf, math.inf)
    items: list[Item] = []
    for axis, (low, high) in enumerate(((x0, x1), (y0, y1))):
        for number, at in _lines(zero[axis], low + 3, high - 3, true * window.scale):
            if number % 2 == 0 and 0 <= number * true <= cell[axis]:
                text = f"{number * true:.0f}"
                spot = (at, y0 + _SIZE) if axis == 0 else (x0 + _half(text, _SIZE), at)
                items += _plate(*spot, text, _SIZE)
    return items


def _names(tile: Tile, plan: Plan, window: Window) -> list[tuple[Box, str]]:
    """Give what the field shows of each placed motif's box, and its name as in the plan."""
    places: dict[int, list[shapes.Shape]] = {}
    for node in tile.nodes:
        places.setdefault(node.place, []).append(node.seen)
    boxes = {number: np.array(shapes.box_of(seen)) * window.scale for number, seen in places.items()}
    first = (min(i for _, i, _ in plan.rows), min(j for _, _, j in plan.rows))
    field = np.array(window.field)
    found = []
    for i, j in window.copies(tile):
        column, row = tile.lattice.within(i, j, *plan.tiles) if plan.tiles else (i - first[0], j - first[1])
        for number, box in boxes.items():
            across, down = tile.tile_of(number, column, row)
            suffix = "" if (across, down) == (0, 0) else f"@{across + 1},{down + 1}"
            a, b, c, d = (box + np.tile(window.move(tile, i, j), 2)).tolist()
            seen = (max(a, field[0]), max(b, field[1]), min(c, field[2]), min(d, field[3]))
            if seen[0] < seen[2] and seen[1] < seen[3]:
                found.append((seen, tile.places[number] + suffix))
    return found


def _size(tile: Tile, names: list[tuple[Box, str]], scale: float) -> float:
    """Height of the names' type, mm: smaller where plates of the usual size would lie over each other."""
    widest = max((2 * _half(name, _SIZE) for _, name in names), default=_SIZE)
    room = math.sqrt(tile.lattice.width * tile.lattice.height / len(tile.places)) * scale
    return max(_LEAST_SIZE, _SIZE * min(1.0, room / widest))


def _half(text: str, size: float) -> float:
    """Half the width of a plate, mm."""
    return text_width(text, size) / 2 + size * 0.3


def _plate(x: float, y: float, text: str, size: float) -> list[Item]:
    half, high = _half(text, size), size * 0.75
    edge = shapes.rings(shapes.rectangle(x - half, y - high, x + half, y + high))
    return [
        Fill(edge, "#ffffff", "names"),
        Text(x, y + size * 0.36, text, size, INK, "names", anchor="middle"),
    ]
