"""A plan: which ink each node takes, over the rectangle of tiles or the single sheet on which it holds."""

from collections.abc import Mapping
from dataclasses import dataclass

from mockup.colouring.problem import Ints
from mockup.geometry.lattice import Lattice

Key = tuple[int, int, int]
"""Node of the tile and the index (i, j) of the tile's copy."""


@dataclass(frozen=True, eq=False, slots=True)
class Plan:
    """Inks by row, and which row a copy of a node of the tile has.

    Attributes
    ----------
    inks : (n,) ints
        Ink of each row.
    rows : mapping
        Row by (node, i, j).
    lattice : Lattice
        How the tile steps.
    tiles : (int, int) or None
        Tiles (across, down) after which the colours repeat; None on a single sheet, where only the copies in
        ``rows`` exist.
    """

    inks: Ints
    rows: Mapping[Key, int]
    lattice: Lattice
    tiles: tuple[int, int] | None

    def ink(self, node: int, i: int, j: int) -> int | None:
        """Ink of a copy of a node anywhere in the plane; None where a single sheet does not show it."""
        if self.tiles:
            i, j = self.lattice.within(i, j, *self.tiles)
        row = self.rows.get((node, i, j))
        return None if row is None else int(self.inks[row])


def rectangle_rows(count: int, across: int, down: int) -> dict[Key, int]:
    """Rows of a rectangle of tiles: tile by tile from the top left, the nodes of a tile in order."""
    return {
        (node, i, j): (j * across + i) * count + node
        for j in range(down)
        for i in range(across)
        for node in range(count)
    }
