"""The sheet of shadings: one plan in each style of edge shading, named and explained in a line."""

from collections.abc import Sequence
from dataclasses import dataclass

from mockup.colouring.plan import Plan
from mockup.geometry import shapes
from mockup.pattern.regions import Tile
from mockup.rendering.look import Look
from mockup.rendering.pattern import Window, field_items
from mockup.rendering.scene import Fill, Item, Scene, Text
from mockup.sheets.caption import GREY, INK
from mockup.sheets.motifs import BACKDROP

_MARGIN = 10.0
_GAP = 8.0
_BELOW = 13.0
_HEAD = 13.0
_ACROSS = 2
_TYPE = 2.6
_TITLE = 4.6


@dataclass(frozen=True, eq=False, slots=True)
class Shaded:
    """One style: its name, a line about it, and the look in it."""

    name: str
    meaning: str
    look: Look


def shadings_sheet(
    tile: Tile, plan: Plan, styles: Sequence[Shaded], field: tuple[float, float], heading: str
) -> Scene:
    """Set one picture a style, two in a row, each a piece of the pattern of ``field`` mm at true size."""
    width = 2 * _MARGIN + _ACROSS * field[0] + (_ACROSS - 1) * _GAP
    items: list[Item] = []
    for number, style in enumerate(styles):
        row, column = divmod(number, _ACROSS)
        x = _MARGIN + column * (field[0] + _GAP)
        y = _MARGIN + _HEAD + row * (field[1] + _BELOW)
        box = (x, y, x + field[0], y + field[1])
        items += field_items(tile, plan, style.look, Window(box, (0.0, 0.0)))
        items.append(Text(x, box[3] + 4.9, style.name, _TYPE, INK, "text", "bold"))
        items.append(Text(x, box[3] + 8.7, style.meaning, _TYPE, GREY, "text"))
    height = _MARGIN + _HEAD + -(-len(styles) // _ACROSS) * (field[1] + _BELOW)
    ground = Fill(shapes.rings(shapes.rectangle(0, 0, width, height)), BACKDROP, "backdrop")
    title = Text(_MARGIN, _MARGIN + 4.5, heading, _TITLE, INK, "text")
    return Scene(width, height, (ground, title, *items), heading)
