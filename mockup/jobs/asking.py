"""The cells whose inks are asked for: a rectangle of whole tiles, or one sheet with every region free."""

from dataclasses import dataclass

import numpy as np

from mockup.colouring.facing import Facing, default_reach, facing, lifted
from mockup.colouring.pins import label_of
from mockup.colouring.plan import rectangle_rows
from mockup.colouring.problem import Mask
from mockup.errors import SpreadError
from mockup.geometry import shapes
from mockup.geometry.affine import translation
from mockup.geometry.ground import on_ground
from mockup.geometry.territories import Borders, territories
from mockup.jobs.cell import Asked, Row, ask, into
from mockup.jobs.inks import place
from mockup.jobs.piece import Piece
from mockup.pattern.field import cut


@dataclass(frozen=True, eq=False, slots=True)
class Tiled:
    """A piece that repeats: the borders of one tile, and which nodes touch the ground."""

    piece: Piece
    borders: Borders
    ground: Mask

    def graph(self, across: int, down: int) -> Facing:
        """Who faces whom on a rectangle of tiles."""
        lattice = self.piece.tile.lattice
        reach = self.piece.design.colouring.reach or default_reach(
            lattice.width * lattice.height, _spaced(self.piece)
        )
        return lifted(self.borders, lattice, across, down, reach)


def tiled_of(piece: Piece) -> Tiled:
    """Find the borders of a piece's tile, and what touches the ground."""
    seen, lattice = [node.seen for node in piece.tile.nodes], piece.tile.lattice
    window = (0.0, 0.0, lattice.width, lattice.height)
    return Tiled(piece, territories(seen, window, lattice), on_ground(seen, lattice))


def rectangle_cell(tiled: Tiled, across: int, down: int, graph: Facing | None = None) -> Asked:
    """Ask for the inks of a rectangle of tiles."""
    piece = tiled.piece
    tile, lattice = piece.tile, piece.tile.lattice
    keys = rectangle_rows(len(tile.nodes), across, down)
    rows = []
    for node, i, j in keys:
        x, y = into(lattice.shift(i, j), lattice.size(across, down))
        seen = shapes.moved(tile.nodes[node].seen, translation(x, y))
        rows.append(Row(node, i, j, _label(piece, node, i, j), seen))
    graph = graph or tiled.graph(across, down)
    ground = np.tile(tiled.ground, across * down)
    return ask(piece, tuple(rows), keys, graph, ground, lattice.size(across, down), (across, down))


def sheet_cell(piece: Piece) -> Asked:
    """Ask for the inks of one sheet, every region free."""
    width, height = piece.field_size
    repeats = piece.layout.steps
    nodes = cut(piece.tile, width, height, repeats)
    least = (min(node.i for node in nodes), min(node.j for node in nodes)) if nodes else (0, 0)
    rows = tuple(
        Row(n.node, n.i, n.j, _label(piece, n.node, n.i - least[0], n.j - least[1]), n.seen) for n in nodes
    )
    if not rows:
        raise SpreadError(
            "nothing of the pattern shows in the field",
            where=place(piece.design, "[sheet]"),
            remedy="choose a larger sheet or a smaller tile",
        )
    seen = [row.seen for row in rows]
    field = (0.0, 0.0, width, height)
    copies = {(piece.tile.nodes[row.node].place, row.i, row.j) for row in rows}
    spaced = sum(len(shapes.pieces(shape)) for shape in seen) if piece.design.drawing else len(copies)
    reach = piece.design.colouring.reach or default_reach(width * height, spaced)
    graph = facing(territories(seen, field, None), reach)
    keys = {(row.node, row.i, row.j): number for number, row in enumerate(rows)}
    ground = on_ground(seen, None, field)
    return ask(piece, rows, keys, graph, ground, (width, height), None)


def _label(piece: Piece, node: int, i: int, j: int) -> str:
    first = piece.tile.nodes[node]
    return label_of(first.label, *piece.tile.tile_of(first.place, i, j))


def _spaced(piece: Piece) -> int:
    """How many things are spaced out in one tile: placed motifs, or the regions of a drawing."""
    if piece.design.drawing:
        return sum(len(shapes.pieces(node.seen)) for node in piece.tile.nodes)
    return len(piece.tile.places)
