"""Which rows of a plan are tied, so that they take one ink: copies of a motif, and what symmetry maps on each other."""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache, reduce
from typing import Final

import numpy as np

from mockup.colouring.facing import Facing
from mockup.colouring.plan import Key
from mockup.colouring.problem import Ints, Mask
from mockup.colouring.ties import groups_of, joined
from mockup.geometry.orbits import orbits
from mockup.geometry.shapes import Shape
from mockup.geometry.symmetry import Symmetries, symmetries
from mockup.jobs.piece import Piece
from mockup.jobs.rectangles import EVERY_TILE, Rectangle
from mockup.pattern.regions import Tile


@dataclass(frozen=True, eq=False, slots=True)
class Ties:
    """Rows that take one ink carry one number in ``tied`` (n,), None where every row is free.

    ``copies`` and ``symmetric`` (n,) are the same for each of the two wishes alone, None where she has it not;
    ``copied`` tells what is alike by the first: "copies", or "tiles". ``running`` (n,) ties what runs on into its own
    copies: it is one region.
    """

    tied: Ints | None = None
    copies: Ints | None = None
    symmetric: Ints | None = None
    copied: str = "copies"
    running: Ints | None = None

    def within(self, graph: Facing) -> Mask:
        """Tell which pairs of a facing graph are tied, (m,): contact that she asked for.

        With copies alike that holds for a shape and its own copy, too.
        """
        if self.tied is None:
            return np.zeros(len(graph.a), dtype=bool)
        within = self.tied[graph.a] == self.tied[graph.b]
        if self.copies is None:
            within &= graph.a != graph.b
        return np.asarray(within)

    def without_seams(self, graph: Facing) -> Facing:
        """Leave out the pairs of a facing graph that are one region running on: there is no border between them."""
        if self.running is None:
            return graph
        keep = (self.running[graph.a] != self.running[graph.b]) | (graph.a == graph.b)
        columns = ("a", "b", "length", "gap", "share", "faces", "perhaps", "avoided")
        return replace(graph, **{name: getattr(graph, name)[keep] for name in columns})


FREE: Final = Ties()
"""No row is tied to another."""


def ties_of(piece: Piece, rows: Sequence[Key], seen: Sequence[Shape], tiles: Rectangle | None) -> Ties:
    """Tie rows as ``copies`` and ``symmetry`` ask.

    Parameters
    ----------
    piece : Piece
        What is inked.
    rows : sequence of (int, int, int)
        Node of the tile and copy (i, j) of each row.
    seen : sequence of Shape
        What is seen of each row, mm.
    tiles : (int, int) or None
        Tiles over which the colours repeat; None on a single sheet.
    """
    wishes = piece.design.colouring
    copies, copied = None, "copies"
    if wishes.copies == "alike":
        copies = _copies(piece, rows)
    elif tiles and wishes.colour_repeat == EVERY_TILE and piece.tile.lattice.in_tiles(tiles) != EVERY_TILE:
        copies, copied = _tiles(piece, rows), "tiles"
    symmetric = _symmetric(piece, rows, seen, tiles) if wishes.symmetry else None
    running = _running(piece, rows, tiles) if piece.layout.runs else None
    given = [one for one in (copies, symmetric, running) if one is not None]
    return Ties(reduce(joined, given) if given else None, copies, symmetric, copied, running)


def _running(piece: Piece, rows: Sequence[Key], tiles: Rectangle | None) -> Ints:
    """Tie the copies of what runs on into them."""
    lattice, steps = piece.tile.lattice, dict(piece.layout.runs)
    number = {row: place for place, row in enumerate(rows)}
    group = np.arange(len(rows))
    for place, (node, i, j) in enumerate(rows):
        for x, y in steps.get(piece.tile.nodes[node].label, ()):
            copy = lattice.within(i + x, j + y, *tiles) if tiles else (i + x, j + y)
            if (node, *copy) in number:
                group[group == group[number[node, *copy]]] = group[place]
    return groups_of(group)


def _copies(piece: Piece, rows: Sequence[Key]) -> Ints:
    """Tie one group of one motif in all its places and tiles; drawings of one name count as one if they look it."""
    known: dict[Hashable, int] = {}
    found = []
    for number, _, _ in rows:
        node = piece.tile.nodes[number]
        motif = piece.layout.placed[node.place].motif
        look = motif.name, motif.groups, tuple(round(side, 3) for side in motif.box)
        found.append(known.setdefault((look, node.label.rpartition("/")[2]), len(known)))
    return np.array(found, dtype=np.int64)


def _tiles(piece: Piece, rows: Sequence[Key]) -> Ints:
    """Tie what has one name in all tiles."""
    known: dict[str, int] = {}
    labels = [piece.tile.nodes[number].label for number, _, _ in rows]
    return np.array([known.setdefault(label, len(known)) for label in labels], dtype=np.int64)


def _symmetric(piece: Piece, rows: Sequence[Key], seen: Sequence[Shape], tiles: Rectangle | None) -> Ints:
    """Tie what a symmetry of the repeat, or of the sheet as it shows, maps on each other."""
    if tiles is None:
        kinds = _kinds([piece.tile.nodes[number].side for number, _, _ in rows])
        return groups_of(orbits(symmetries(seen, None, kinds)))
    orbit, count = orbits(_of_tile(piece.tile), *tiles), len(piece.tile.nodes)
    return groups_of(orbit[[(j * tiles[0] + i) * count + number for number, i, j in rows]])


@lru_cache(maxsize=4)
def _of_tile(tile: Tile) -> Symmetries:
    """Find the symmetries of a tile, once for all colour repeats that are tried."""
    return symmetries([node.seen for node in tile.nodes], tile.lattice, _kinds([n.side for n in tile.nodes]))


def _kinds(sides: Sequence[str]) -> Ints:
    """Number the side palettes, so that skin falls on skin only."""
    return np.unique(np.array(sides), return_inverse=True)[1].reshape(-1).astype(np.int64)
