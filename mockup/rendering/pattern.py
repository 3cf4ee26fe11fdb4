"""The draw list of a field of pattern: ground, shapes in stacking order with their shading, lines last.

A part is painted whole and the parts that lie on it are painted over it, so that no ground shows between two that
meet; a part that only touches another runs on a little beneath it.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from mockup.colouring.plan import Plan
from mockup.geometry import shapes
from mockup.geometry.affine import Affine, Points
from mockup.geometry.shading import bands, run_on
from mockup.geometry.shapes import Box, Shape
from mockup.pattern.field import copies_in
from mockup.pattern.regions import UNDERLAP, Region, Tile
from mockup.rendering.canvas import LONGEST_SIDE
from mockup.rendering.look import InkLook, Look
from mockup.rendering.scene import Clip, Cloth, Fill, Item, Stroke

GROUND_LAYER = "ground"
LINE_LAYER = "line"

DRIFT: Final = 0.08
"""How far pixels may lie off over a whole field that is laid side by side, mm on the sheet."""

_WORTH: Final = 0.7
"""Share of the field from which nothing is saved by painting a part of it once."""


@dataclass(frozen=True, eq=False, slots=True)
class Painted:
    """One region of the tile, ready to be moved: rings to fill, bands of shading, lines; mm on the sheet."""

    region: Region
    fill: tuple[Points, ...]
    bands: tuple[tuple[Points, ...], ...]
    outline: tuple[Points, ...]
    box: Box


@dataclass(frozen=True, eq=False, slots=True)
class Window:
    """Where pattern is drawn: ``field`` on the sheet (mm), ``start`` of the tile in the field (true mm), the scale."""

    field: Box
    start: tuple[float, float]
    scale: float = 1.0

    def move(self, tile: Tile, i: int, j: int) -> Points:
        """Where copy (i, j) of the tile lies on the sheet, (2,) mm."""
        x, y = tile.lattice.shift(i, j)
        return np.array(
            [
                self.field[0] + (self.start[0] + x) * self.scale,
                self.field[1] + (self.start[1] + y) * self.scale,
            ]
        )

    def copies(self, tile: Tile) -> list[tuple[int, int]]:
        """Copies of the tile that show."""
        width, height = self.field[2] - self.field[0], self.field[3] - self.field[1]
        return copies_in(tile, (0.0, 0.0, width / self.scale, height / self.scale), self.start)


def painted(tile: Tile, look: Look, scale: float = 1.0) -> tuple[Painted, ...]:
    """Work out what is painted for each region of a tile; to be used again for every look with the same shading."""
    known: dict[tuple[float, ...], tuple[Affine, tuple[Shape, ...]]] = {}
    return tuple(_painted(region, _bands(region, tile, look, known), scale) for region in tile.regions)


def _bands(
    region: Region, tile: Tile, look: Look, known: dict[tuple[float, ...], tuple[Affine, tuple[Shape, ...]]]
) -> tuple[Shape, ...]:
    """Give the bands of a region's shading; those of a form that came before are carried over from it."""
    if look.shade is None or (look.shade_parts and region.part not in look.shade_parts):
        return ()
    lies = tile.lies[region.place]
    x, y = lies.place.inverse.apply(np.array([shapes.centroid(region.seen)]))[0].tolist()
    size = shapes.area(region.seen), shapes.area(region.drawn)
    key = (region.form, *(round(side, 2) for side in size), round(x, 1), round(y, 1))
    if key in known:
        at, found = known[key]
        return tuple(shapes.moved(band, lies.place @ at.inverse) for band in found)
    found = bands(region.seen, look.shade, lies)
    if size[1] > size[0]:
        found = tuple(run_on(band, region.seen, region.drawn, UNDERLAP) for band in found)
    known[key] = lies.place, found
    return found


def _painted(region: Region, found: tuple[Shape, ...], scale: float) -> Painted:
    x0, y0, x1, y1 = shapes.box_of([region.drawn])
    fill = tuple(ring * scale for ring in shapes.rings(region.drawn))
    own = tuple(tuple(ring * scale for ring in shapes.rings(band)) for band in found)
    outline = tuple(line * scale for line in region.outline)
    return Painted(region, fill, own, outline, (x0 * scale, y0 * scale, x1 * scale, y1 * scale))


def field_items(
    tile: Tile,
    plan: Plan,
    look: Look,
    window: Window,
    forms: Sequence[Painted] | None = None,
    bleed: float = 0.0,
    unit: tuple[float, float] | None = None,
) -> tuple[Item, ...]:
    """Draw the pattern in a field, cut at its edge.

    Parameters
    ----------
    tile : Tile
        The visible regions of one tile.
    plan : Plan
        Which ink each node takes.
    look : Look
        Colours and widths.
    window : Window
        Where on the sheet.
    forms : sequence of Painted, optional
        From ``painted`` at the window's scale.
    bleed : float
        How far the field runs on beyond its edge, mm, under what is painted round it afterwards.
    unit : (float, float), optional
        From ``unit_of``: it is painted once and laid side by side, which is for pixels only.
    """
    forms = painted(tile, look, window.scale) if forms is None else forms
    x0, y0, x1, y1 = window.field
    edge = shapes.rings(shapes.rectangle(x0 - bleed, y0 - bleed, x1 + bleed, y1 + bleed))
    if unit:
        size = unit[0] * window.scale, unit[1] * window.scale
        own = Window((0.0, 0.0, *size), (0.0, 0.0), window.scale)
        start = x0 + window.start[0] * window.scale, y0 + window.start[1] * window.scale
        return (Cloth(edge, size, start, field_items(tile, plan, look, own, forms)),)
    copies = window.copies(tile)
    ground = Fill(edge, look.ground, GROUND_LAYER, "ground")
    inner = [
        *_fills(tile, plan, look, window, forms, copies),
        *_lines(tile, plan, look, window, forms, copies),
    ]
    return (ground, Clip(edge, tuple(inner)))


def unit_of(plan: Plan, window: Window, fine: tuple[float, float]) -> tuple[float, float] | None:
    """Find what of a field is enough to paint once, on pixels, and to lay side by side: its size in true mm.

    It is the plan's rectangle, or several, of which the sides are so nearly whole pixels that over the field rounding
    moves nothing by more than ``DRIFT``, and where it begins by half a pixel. ``fine`` is how many pixels a mm of the
    sheet has, across and down. None where nothing fits, or too little would be saved.
    """
    if plan.tiles is None:
        return None
    field = [(window.field[axis + 2] - window.field[axis]) / window.scale for axis in (0, 1)]
    found = []
    for far, size, pixels in zip(field, plan.lattice.size(*plan.tiles), fine, strict=True):
        own = pixels * window.scale
        sides = (size * times for times in range(1, math.ceil(far / size) + 2))
        drift = ((abs(round(side * own) / own / side - 1) * far * window.scale, side) for side in sides)
        found.append(next((s for off, s in drift if off <= DRIFT and s * own < LONGEST_SIDE), math.inf))
    return (found[0], found[1]) if found[0] * found[1] <= _WORTH * field[0] * field[1] else None


def _fills(
    tile: Tile,
    plan: Plan,
    look: Look,
    window: Window,
    forms: Sequence[Painted],
    copies: Sequence[tuple[int, int]],
) -> Iterator[Item]:
    """Fill the regions in stacking order.

    Place by place, within it tile by tile, within that part by part; a drawing part by part, within that tile by tile.
    """
    places: list[list[Painted]] = [[] for _ in tile.places]
    for form in forms:
        places[form.region.place].append(form)
    for own in [[form] for form in forms] if tile.drawn else places:
        for i, j in copies:
            move = window.move(tile, i, j)
            for form in own:
                shows = _shows(form.box, move, window.field)
                ink = plan.ink(form.region.node, i, j) if shows else None
                if ink is not None:
                    column, row = tile.tile_of(form.region.place, i, j)
                    label, of = tile.nodes[form.region.node].label, tile.places[form.region.place]
                    of = f"{of}@{column + 1},{row + 1}" if plan.tiles else of
                    yield from _region(form, move, look.inks[ink], label, of)


def _region(form: Painted, move: Points, ink: InkLook, label: str, of: str) -> Iterator[Item]:
    layer = f"ink {ink.name}"
    yield Fill(tuple(ring + move for ring in form.fill), ink.colour, layer, f"{label}: {ink.name}", of)
    for coat, band in zip(ink.coats, form.bands, strict=False):
        if band:
            yield Fill(tuple(ring + move for ring in band), coat, layer, of=of)


def _shows(box: Box, move: Points, field: Box, edge: float = 0.0) -> bool:
    """Tell whether a moved box, and so much round it, reaches into a field."""
    x, y = float(move[0]), float(move[1])
    across = box[0] + x < field[2] + edge and box[2] + x > field[0] - edge
    return across and box[1] + y < field[3] + edge and box[3] + y > field[1] - edge


def _lines(
    tile: Tile,
    plan: Plan,
    look: Look,
    window: Window,
    forms: Sequence[Painted],
    copies: Sequence[tuple[int, int]],
) -> Iterator[Item]:
    """Draw outlines and line work last, in one colour; where nothing of a placed motif is inked, none."""
    if look.line is None:
        return
    width, field = look.line_width * window.scale, window.field
    inner = [
        (drawn.place, own, shapes.box_of([shapes.strokes(own, (False,) * len(own))]))
        for drawn in tile.lines
        if (own := tuple(line * window.scale for line in drawn.lines))
    ]
    lines: list[Points] = []
    for i, j in copies:
        move = window.move(tile, i, j)
        inked = [form for form in forms if plan.ink(form.region.node, i, j) is not None]
        places = {form.region.place for form in inked}
        if look.outline:
            lines += [line + move for f in inked if _shows(f.box, move, field, width) for line in f.outline]
        lines += [
            line + move
            for place, own, box in inner
            if place in places and _shows(box, move, field, width)
            for line in own
        ]
    if lines:
        open_ = (False,) * len(lines)
        yield Stroke(tuple(lines), open_, width, look.line, LINE_LAYER, "line work")
