"""The visible regions of one tile, and the nodes that take one ink each.

Later placed motifs and later parts lie on top. Copies of one placed motif lie on each other row by row, the lower
row on top, so that the stacking is the same everywhere in the repeat. Everything here belongs to one tile; its copies
follow by the lattice.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from mockup.geometry import shapes
from mockup.geometry.affine import Points, translation
from mockup.geometry.lattice import Lattice
from mockup.geometry.shapes import Shape, Strokes
from mockup.pattern.motif import LineWork, Part
from mockup.pattern.repeat import Layout, Placed

SLIVER: Final = 0.05
"""Visible pieces of at most so many mm2 are no regions."""

UNDERLAP: Final = 0.6
"""How far (mm) a part runs on under a part that lies on it, so that no ground shows between the two."""


@dataclass(frozen=True, eq=False, slots=True)
class Region:
    """One part of one placed motif: ``seen`` is what later parts leave of it, ``drawn`` what is painted for it."""

    node: int
    part: str
    seen: Shape
    drawn: Shape
    outline: tuple[Points, ...]
    place: int


@dataclass(frozen=True, eq=False, slots=True)
class Node:
    """What takes one ink: ``label`` is MOTIF-N/GROUP; ``seen`` unites the visible regions.

    ``tile`` (column, row) is the tile of the block that it belongs to.
    """

    label: str
    motif: str
    part: str
    side: str
    seen: Shape
    place: int
    tile: tuple[int, int] = (0, 0)


@dataclass(frozen=True, eq=False, slots=True)
class Drawn:
    """Inner line work of one placed motif, as far as it is seen: lines in mm."""

    lines: tuple[Points, ...]
    width: float
    place: int


@dataclass(frozen=True, eq=False, slots=True)
class Tile:
    """One block: its lattice, the names of the placed motifs, the regions in stacking order, nodes and lines.

    ``tiles`` tells which tile of the block (column, row) each placed motif is in; empty where the block is one.
    """

    lattice: Lattice
    places: tuple[str, ...]
    regions: tuple[Region, ...]
    nodes: tuple[Node, ...]
    lines: tuple[Drawn, ...]
    tiles: tuple[tuple[int, int], ...] = ()

    def tile_of(self, place: int, i: int, j: int) -> tuple[int, int]:
        """Tile (column, row from 0) in which a placed motif of copy (i, j) of the block lies."""
        column, row = self.tiles[place] if self.tiles else (0, 0)
        return i * self.lattice.unit[0] + column, j * self.lattice.unit[1] + row


_Key = tuple[int, str]
"""Place and label: what goes together."""


@dataclass(frozen=True, eq=False, slots=True)
class _Item:
    """One part or one piece of line work as placed in the tile, before anything is cut away."""

    place: int
    rank: int
    label: str
    placed: Placed
    element: Part | LineWork
    form: Shape | Strokes


def visible(layout: Layout) -> Tile:
    """Compute the visible regions of a layout's tile.

    Parts of which nothing is seen fall away; a node of which no part is seen does too.
    """
    items = _items(layout)
    regions: list[tuple[_Key, Region]] = []
    members: dict[_Key, list[tuple[_Item, Shape]]] = defaultdict(list)
    lines = []
    for item, cover in _covered(items, layout.lattice):
        if isinstance(item.element, LineWork):
            left = shapes.lines_outside(item.form, cover)
            if left:
                lines.append(Drawn(left, item.element.width * item.placed.transform.stretch, item.place))
            continue
        seen = shapes.without_slivers(shapes.difference(item.form, cover), SLIVER)
        if not seen.is_empty:
            members[item.place, item.label].append((item, seen))
            outline = shapes.lines_outside(shapes.outline(item.form), cover)
            drawn = _under(item.form, cover)
            regions.append(
                ((item.place, item.label), Region(0, item.element.name, seen, drawn, outline, item.place))
            )
    number = {key: index for index, key in enumerate(members)}
    numbered = tuple(replace(region, node=number[key]) for key, region in regions)
    nodes = tuple(_node(label, own) for (_, label), own in members.items())
    names, tiles = tuple(p.name for p in layout.placed), tuple(p.tile for p in layout.placed)
    return Tile(layout.lattice, names, numbered, nodes, tuple(lines), tiles)


def _items(layout: Layout) -> list[_Item]:
    """List everything that is drawn in the tile, in stacking order."""
    items = []
    for place, placed in enumerate(layout.placed):
        for rank, element in enumerate(placed.motif.elements):
            form: Shape | Strokes
            if isinstance(element, Part):
                form = shapes.snapped(shapes.moved(element.shape, placed.transform))
                label = f"{placed.name}/{element.group}"
            else:
                form = shapes.moved(shapes.strokes(element.lines, element.closed), placed.transform)
                label = ""
            if not form.is_empty:
                items.append(_Item(place, rank, label, placed, element, form))
    return items


def _covered(items: Sequence[_Item], lattice: Lattice) -> list[tuple[_Item, Shape]]:
    """Give each item with the union of the parts that lie on it, copies from other tiles included."""
    if not items:
        return []
    parts = [item for item in items if isinstance(item.element, Part)]
    box = shapes.box_of(item.form for item in items)
    x0, y0, x1, y1 = box
    around = (x0 - UNDERLAP, y0 - UNDERLAP, x1 + UNDERLAP, y1 + UNDERLAP)
    copies = [(part, step) for step in lattice.copies(box, around) for part in parts]
    placed = [shapes.moved(part.form, translation(*lattice.shift(*step))) for part, step in copies]
    later: dict[int, list[Shape]] = defaultdict(list)
    for lower, upper in shapes.near_pairs([item.form for item in items], placed).tolist():
        part, step = copies[upper]
        item = items[lower]
        if (part.place, lattice.stacking(*step), part.rank) > (item.place, (0, 0), item.rank):
            later[lower].append(placed[upper])
    return [(item, shapes.union(later[index])) for index, item in enumerate(items)]


def _under(shape: Shape, cover: Shape) -> Shape:
    """Let a part run on a little under what lies on it."""
    if cover.is_empty:
        return shape
    return shapes.union([shape, shapes.intersection(shapes.grown(shape, UNDERLAP), cover)])


def _node(label: str, own: Sequence[tuple[_Item, Shape]]) -> Node:
    """Unite the visible regions of one group of one placed motif."""
    part = next(item.element for item, _ in own if isinstance(item.element, Part))
    first = own[0][0]
    seen = shapes.union(seen for _, seen in own)
    return Node(label, first.placed.motif.name, part.name, part.side, seen, first.place, first.placed.tile)
