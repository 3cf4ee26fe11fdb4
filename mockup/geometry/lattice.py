"""How a pattern steps over the plane, and the rectangles of whole tiles that repeat with it.

What repeats by itself is a block of w x h mm, one tile or several (a tile and its mirror images). It steps by
u = (w, drop * h) and v = (step * w, h); one of ``drop`` and ``step`` is 0. Index (i, j) stands for the copy moved by
i u + j v. The rectangle from (0, 0) to (w, h) holds exactly one of each point's copies.
"""

import math
from dataclasses import dataclass
from fractions import Fraction

from mockup.geometry.shapes import Box


@dataclass(frozen=True, slots=True)
class Lattice:
    """Steps of a block: ``width`` and ``height`` in mm, ``drop`` down a column, ``step`` along a row, as shares.

    ``unit`` is how many tiles (across, down) a block holds.
    """

    width: float
    height: float
    drop: Fraction = Fraction(0)
    step: Fraction = Fraction(0)
    unit: tuple[int, int] = (1, 1)

    @property
    def tile(self) -> tuple[float, float]:
        """Width and height of one tile, mm."""
        return self.width / self.unit[0], self.height / self.unit[1]

    def shift(self, i: int, j: int) -> tuple[float, float]:
        """Vector (mm) by which copy (i, j) is moved."""
        return (
            self.width * float(i + j * self.step),
            self.height * float(j + i * self.drop),
        )

    def stacking(self, i: int, j: int) -> tuple[Fraction, Fraction]:
        """Key that orders the copies of one motif: the lower on top, of two as low the one further right."""
        return j + i * self.drop, i + j * self.step

    @property
    def multiples(self) -> tuple[int, int]:
        """Fewest blocks (across, down) in a rectangle that repeats by itself."""
        return self.drop.denominator, self.step.denominator

    def size(self, across: int, down: int) -> tuple[float, float]:
        """Size (mm) of a rectangle of whole blocks."""
        return self.width * across, self.height * down

    def in_tiles(self, blocks: tuple[int, int]) -> tuple[int, int]:
        """Count a rectangle of blocks in tiles."""
        return blocks[0] * self.unit[0], blocks[1] * self.unit[1]

    def within(self, i: int, j: int, across: int, down: int) -> tuple[int, int]:
        """Give the copy inside the rectangle of ``across`` x ``down`` blocks that (i, j) repeats.

        ``across`` and ``down`` must be multiples of ``multiples``.
        """
        if self.drop:
            turns, i = divmod(i, across)
            return i, (j + turns * across * self.drop.numerator // self.drop.denominator) % down
        turns, j = divmod(j, down)
        return (i + turns * down * self.step.numerator // self.step.denominator) % across, j

    def copies(self, own: Box, window: Box) -> list[tuple[int, int]]:
        """Indices (i, j) of the copies of the box ``own`` that reach into ``window``, row by row."""
        x0, y0, x1, y1 = window[0] - own[2], window[1] - own[3], window[2] - own[0], window[3] - own[1]
        found = []
        if self.drop:
            for i in range(math.floor(x0 / self.width), math.ceil(x1 / self.width) + 1):
                lift = float(i * self.drop)
                rows = range(math.floor(y0 / self.height - lift), math.ceil(y1 / self.height - lift) + 1)
                found += [(i, j) for j in rows]
        else:
            for j in range(math.floor(y0 / self.height), math.ceil(y1 / self.height) + 1):
                slide = float(j * self.step)
                columns = range(math.floor(x0 / self.width - slide), math.ceil(x1 / self.width - slide) + 1)
                found += [(i, j) for i in columns]
        inside = []
        for i, j in found:
            x, y = self.shift(i, j)
            if x0 < x < x1 and y0 < y < y1:
                inside.append((i, j))
        return sorted(inside, key=lambda index: self.stacking(*index))
