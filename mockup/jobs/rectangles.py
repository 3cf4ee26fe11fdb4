"""The colour repeats to try: rectangles of whole tiles over which the colours may repeat, fewest tiles first."""

from typing import Final

from mockup.design.forms import NamedPlace, read_place
from mockup.errors import DesignError
from mockup.jobs.inks import place
from mockup.jobs.piece import Piece

MOST_TILES: Final = 16
MOST_NODES: Final = 2000

EVERY_TILE: Final = (1, 1)
"""The wish that every tile be inked alike, however the tiles step."""

Rectangle = tuple[int, int]
"""Blocks across and down: what the lattice steps by, mostly one tile."""


def wished(piece: Piece) -> Rectangle | None:
    """Give the colour repeat that she set; None where the smallest that works is to be found.

    Raises
    ------
    DesignError
        It does not fit the repeat.
    """
    wish, lattice = piece.design.colouring.colour_repeat, piece.tile.lattice
    if not isinstance(wish, tuple):
        return None
    if wish == EVERY_TILE:
        return lattice.multiples
    multiple = lattice.in_tiles(lattice.multiples)
    if any(count % unit for count, unit in zip(wish, multiple, strict=True)):
        near = [max(unit, round(count / unit) * unit) for count, unit in zip(wish, multiple, strict=True)]
        raise DesignError(
            f"a colour repeat of {wish[0]} x {wish[1]} tiles does not fit the {piece.layout.repeat} repeat, "
            f"which needs multiples of {multiple[0]} x {multiple[1]}",
            where=place(piece.design, "[colouring] colour_repeat"),
            remedy=f"write [{near[0]}, {near[1]}]",
        )
    return wish[0] // lattice.unit[0], wish[1] // lattice.unit[1]


def rectangles(piece: Piece) -> list[list[Rectangle]]:
    """Give the rectangles of at most 16 tiles and 2 000 nodes, in groups of as many tiles, nearest to square first.

    Those that do not have the tiles that ``fixed`` names are left out, unless none has.
    """
    lattice = piece.tile.lattice
    across_by, down_by = lattice.multiples
    tiles = MOST_TILES // (lattice.unit[0] * lattice.unit[1])
    most = max(across_by * down_by, min(tiles, MOST_NODES // len(piece.tile.nodes)))
    groups: dict[int, list[Rectangle]] = {}
    for across in range(across_by, most + 1, across_by):
        for down in range(down_by, most // across + 1, down_by):
            groups.setdefault(across * down, []).append((across, down))

    def oblong(rectangle: Rectangle) -> tuple[float, Rectangle]:
        width, height = lattice.size(*rectangle)
        return round(max(width / height, height / width), 9), rectangle

    every = [sorted(groups[tiles], key=oblong) for tiles in sorted(groups)]
    least = _named(piece)
    large = [[own for own in group if own[0] >= least[0] and own[1] >= least[1]] for group in every]
    return [group for group in large if group] or every


def _named(piece: Piece) -> Rectangle:
    """Farthest column and row of the blocks whose tiles ``fixed`` names, from 1."""
    places = [read_place(text) for text in piece.design.colouring.fixed]
    tiles = [place.tile for place in places if isinstance(place, NamedPlace) and place.tile]
    wide, high = piece.tile.lattice.unit
    return (
        max((-(-across // wide) for across, _ in tiles), default=1),
        max((-(-down // high) for _, down in tiles), default=1),
    )
