"""The sheet of repeats: how each way of laying motifs out looks, named and explained in a line."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from mockup.colouring.plan import Plan, rectangle_rows
from mockup.geometry import shapes
from mockup.geometry.affine import translation
from mockup.geometry.shapes import Box
from mockup.pattern.frieze import Strip
from mockup.pattern.regions import Tile
from mockup.pattern.repeat import Layout
from mockup.rendering.look import InkLook, Look
from mockup.rendering.pattern import Window, field_items
from mockup.rendering.scene import Fill, Item, Scene, Stroke, Text
from mockup.sheets.caption import GREY, INK
from mockup.sheets.motifs import BACKDROP

_GROUND = "#f4ead6"
_FIELD = "#dfe0d0"
_INKS = ("#b5532a", "#d9a441", "#6f7f4f", "#24303f", "#8a9bb0", "#c98f7f", "#f9f4e8")
_LINE = "#24303f"
_MARGIN = 14.0
_SIDE = 60.0
_GAP = 8.0
_BELOW = 15.0
_HEAD = 16.0
_ACROSS = 5
_TYPE = 2.4
_STRIP = 12.0


@dataclass(frozen=True, eq=False, slots=True)
class Example:
    """One repeat: its name, a line about it, its layout, what is seen of one block, and the scale it is shown at."""

    name: str
    meaning: str
    layout: Layout
    tile: Tile
    scale: float


@dataclass(frozen=True, eq=False, slots=True)
class Running:
    """One frieze group: its name, a line about it, and a strip of it that begins at (0, 0), mm."""

    name: str
    meaning: str
    strip: Strip


def repeats_sheet(examples: Sequence[Example], friezes: Sequence[Running], heading: str = "Repeats") -> Scene:
    """Set the examples in rows, and the frieze groups below them."""
    width = 2 * _MARGIN + _ACROSS * _SIDE + (_ACROSS - 1) * _GAP
    items: list[Item] = []
    top = _MARGIN + _HEAD
    for number, example in enumerate(examples):
        row, column = divmod(number, _ACROSS)
        x, y = _MARGIN + column * (_SIDE + _GAP), top + row * (_SIDE + _BELOW)
        items += _example(example, (x, y, x + _SIDE, y + _SIDE))
        items += _label(x, y + _SIDE, example.name, example.meaning)
    top += -(-len(examples) // _ACROSS) * (_SIDE + _BELOW)
    half = (width - 2 * _MARGIN - _GAP) / 2
    for number, running in enumerate(friezes):
        row, column = divmod(number, 2)
        x, y = _MARGIN + column * (half + _GAP), top + row * (_STRIP + _BELOW)
        items += _running(running, x, y)
        items += _label(x, y + _STRIP, running.name, running.meaning)
    top += -(-len(friezes) // 2) * (_STRIP + _BELOW)
    ground = Fill(shapes.rings(shapes.rectangle(0, 0, width, top)), BACKDROP, "backdrop")
    title = Text(_MARGIN, _MARGIN + 4.5, heading, 5.0, INK, "text")
    return Scene(width, top, (ground, title, *items), heading)


def _label(x: float, y: float, name: str, meaning: str) -> list[Item]:
    return [
        Text(x, y + 4.6, name, _TYPE, INK, "text", "bold"),
        Text(x, y + 8.2, meaning, _TYPE, GREY, "text"),
    ]


def _example(example: Example, field: Box) -> tuple[Item, ...]:
    """Draw a layout in its own tints: the first group of a motif in the first ink, and so on."""
    tile, layout = example.tile, example.layout
    rank = [_rank(layout, node.place, node.label) for node in tile.nodes]
    lattice = tile.lattice
    plan = Plan(np.array(rank, dtype=np.int64), rectangle_rows(len(rank), 1, 1), lattice, (1, 1))
    inks = tuple(InkLook(str(number), colour) for number, colour in enumerate((*_INKS, _FIELD)))
    look = Look(paper=_GROUND, ground=_GROUND, inks=inks, line=_LINE, line_width=0.6)
    room = [(field[2] - field[0]) / example.scale, (field[3] - field[1]) / example.scale]
    start = (
        ((room[0] - lattice.width) / 2, (room[1] - lattice.height) / 2) if not layout.steps else (0.0, 0.0)
    )
    if not layout.steps:
        plan = Plan(plan.inks, plan.rows, lattice, None)
    return field_items(tile, plan, look, Window(field, start, example.scale))


def _rank(layout: Layout, place: int, label: str) -> int:
    """Tint of a node: drawn cells are pale, other nodes follow their motif's groups."""
    motif, group = layout.placed[place].motif, label.rpartition("/")[2]
    if motif.parts[0].name in {"cloth", "band"} and len(motif.parts) == 1:
        return len(_INKS)
    return motif.groups.index(group) % len(_INKS)


def _running(running: Running, x: float, y: float) -> list[Item]:
    move = translation(x, y)
    fills: list[Item] = [
        Fill(shapes.rings(shapes.moved(own, move)), _LINE, "frieze", running.name)
        for own in running.strip.fills
    ]
    lines = tuple(move.apply(line) for line in running.strip.lines)
    bare: list[Item] = [Stroke(lines, (False,) * len(lines), 0.3, BACKDROP, "frieze")] if lines else []
    return [*fills, *bare]
