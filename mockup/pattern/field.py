"""The pattern on one sheet: which copies of the tile show in the field, and what the field's edge leaves of them."""

from dataclasses import dataclass

from mockup.geometry import shapes
from mockup.geometry.affine import translation
from mockup.geometry.shapes import Box, Shape
from mockup.pattern.regions import SLIVER, Tile


@dataclass(frozen=True, eq=False, slots=True)
class CutNode:
    """A copy (i, j) of a node of the tile as the field shows it, in the field's own mm from its top left."""

    node: int
    i: int
    j: int
    seen: Shape


def origin(tile: Tile, width: float, height: float) -> tuple[float, float]:
    """Where in a field (mm) the tile's top left lies so that the pattern is cut alike at opposite sides."""
    across = max(1, round(width / tile.lattice.width))
    down = max(1, round(height / tile.lattice.height))
    return (width - across * tile.lattice.width) / 2, (height - down * tile.lattice.height) / 2


def reach_of(tile: Tile) -> Box:
    """Box around everything that the tile draws, its own frame, mm."""
    x0, y0, x1, y1 = 0.0, 0.0, tile.lattice.width, tile.lattice.height
    drawn = [region.drawn for region in tile.regions]
    lines = [shapes.strokes(one.lines, (False,) * len(one.lines)) for one in tile.lines if one.lines]
    if drawn or lines:
        a, b, c, d = shapes.box_of([*drawn, *lines])
        x0, y0, x1, y1 = min(x0, a), min(y0, b), max(x1, c), max(y1, d)
    return x0, y0, x1, y1


def copies_in(
    tile: Tile, field: Box, start: tuple[float, float], slack: float = 1.0
) -> list[tuple[int, int]]:
    """Indices of the tile's copies that reach into the field, row by row; ``start`` is where the tile lies."""
    window = (
        field[0] - start[0] - slack,
        field[1] - start[1] - slack,
        field[2] - start[0] + slack,
        field[3] - start[1] + slack,
    )
    return tile.lattice.copies(reach_of(tile), window)


def cut(tile: Tile, width: float, height: float, repeats: bool = True) -> tuple[CutNode, ...]:
    """Cut the pattern by a field of width x height mm; what is left of a node in slivers is no node."""
    field = (0.0, 0.0, width, height)
    start = origin(tile, width, height)
    frame = shapes.rectangle(*field)
    found = []
    for i, j in copies_in(tile, field, start) if repeats else [(0, 0)]:
        x, y = tile.lattice.shift(i, j)
        step = translation(start[0] + x, start[1] + y)
        for number, node in enumerate(tile.nodes):
            seen = shapes.moved(node.seen, step)
            x0, y0, x1, y1 = shapes.box_of([seen])
            if x1 <= 0 or y1 <= 0 or x0 >= width or y0 >= height:
                continue
            if x0 < 0 or y0 < 0 or x1 > width or y1 > height:
                seen = shapes.without_slivers(shapes.intersection(seen, frame), SLIVER)
            if not seen.is_empty:
                found.append(CutNode(number, i, j, seen))
    return tuple(found)
