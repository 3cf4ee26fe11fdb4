"""The draw list of a field of pattern: ground, shapes in stacking order with their shading, lines last.

A part is painted whole and the parts that lie on it are painted over it, so that no ground shows between two that
meet; a part that only touches another runs on a little beneath it.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from mockup.colouring.plan import Plan
from mockup.geometry import insets, shapes
from mockup.geometry.affine import Points
from mockup.geometry.shapes import Box
from mockup.pattern.field import copies_in
from mockup.pattern.regions import Region, Tile
from mockup.rendering.look import Look
from mockup.rendering.scene import Clip, Fill, Item, Stroke

GROUND_LAYER = "ground"
LINE_LAYER = "line"


@dataclass(frozen=True, eq=False, slots=True)
class Painted:
    """The rings of one region of the tile, ready to be moved: what is filled, and the bands of its shading."""

    region: Region
    fill: tuple[Points, ...]
    bands: tuple[tuple[Points, ...], ...]
    box: Box


def painted(tile: Tile, look: Look) -> tuple[Painted, ...]:
    """Work out what is painted for each region of a tile; done once for every look with the same shading."""
    most = max((len(ink.coats) for ink in look.inks), default=0)
    return tuple(_painted(region, look, most) for region in tile.regions)


def _painted(region: Region, look: Look, most: int) -> Painted:
    wanted = not look.shade_parts or region.part in look.shade_parts
    bands: tuple[tuple[Points, ...], ...] = ()
    if most and look.shade_width > 0 and wanted:
        bands = tuple(shapes.rings(band) for band in insets.rim(region.seen, look.shade_width, most))
    return Painted(region, shapes.rings(region.drawn), bands, shapes.box_of([region.drawn]))


def field_items(
    tile: Tile,
    plan: Plan,
    look: Look,
    field: Box,
    start: tuple[float, float],
    forms: Sequence[Painted] | None = None,
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
    field : Box
        What is drawn, mm on the sheet.
    start : (float, float)
        Where on the sheet the tile's top left lies.
    forms : sequence of Painted, optional
        From ``painted``, to be used again for many looks.
    """
    forms = painted(tile, look) if forms is None else forms
    edge = shapes.rings(shapes.rectangle(*field))
    copies = copies_in(tile, field, start)
    ground = Fill(edge, look.ground, GROUND_LAYER, "ground")
    inner = [*_fills(tile, plan, look, field, start, forms, copies), *_lines(tile, plan, look, start, copies)]
    return (ground, Clip(edge, tuple(inner)))


def _fills(
    tile: Tile,
    plan: Plan,
    look: Look,
    field: Box,
    start: tuple[float, float],
    forms: Sequence[Painted],
    copies: Sequence[tuple[int, int]],
) -> Iterator[Item]:
    """Fill the regions in stacking order: place by place, within it tile by tile, within that part by part."""
    places: list[list[Painted]] = [[] for _ in tile.places]
    for form in forms:
        places[form.region.place].append(form)
    for own in places:
        for i, j in copies:
            x, y = tile.lattice.shift(i, j)
            move = np.array([start[0] + x, start[1] + y])
            for form in own:
                ink = plan.ink(form.region.node, i, j)
                if ink is not None and _shows(form.box, move, field):
                    yield from _region(form, move, look, ink, tile.nodes[form.region.node].label)


def _region(form: Painted, move: Points, look: Look, ink: int, label: str) -> Iterator[Item]:
    own = look.inks[ink]
    layer = f"ink {own.name}"
    yield Fill(tuple(ring + move for ring in form.fill), own.colour, layer, f"{label}: {own.name}")
    for coat, band in zip(own.coats, form.bands, strict=False):
        if band:
            yield Fill(tuple(ring + move for ring in band), coat, layer)


def _shows(box: Box, move: Points, field: Box) -> bool:
    x, y = float(move[0]), float(move[1])
    return box[0] + x < field[2] and box[2] + x > field[0] and box[1] + y < field[3] and box[3] + y > field[1]


def _lines(
    tile: Tile, plan: Plan, look: Look, start: tuple[float, float], copies: Sequence[tuple[int, int]]
) -> Iterator[Item]:
    """Draw outlines and line work last, in one colour; those of a place of which nothing is inked are left out."""
    if look.line is None:
        return
    width, lines = look.line_width, []
    for i, j in copies:
        x, y = tile.lattice.shift(i, j)
        move = np.array([start[0] + x, start[1] + y])
        inked = {region.place for region in tile.regions if plan.ink(region.node, i, j) is not None}
        if look.outline:
            lines += [line + move for region in tile.regions if region.place in inked for line in region.outline]
        lines += [line + move for drawn in tile.lines if drawn.place in inked for line in drawn.lines]
    if lines:
        yield Stroke(tuple(lines), tuple(False for _ in lines), width, look.line, LINE_LAYER, "line work")
