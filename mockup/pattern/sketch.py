"""A motif while it grows: outlines and lines in mm, and how they are written as an SVG file of the library's form."""

from collections.abc import Callable
from dataclasses import dataclass
from itertools import groupby
from typing import Final
from xml.sax.saxutils import escape

import numpy as np

from mockup.geometry.affine import Affine, scaling
from mockup.geometry.curves import Curves, extent, moved, sampled
from mockup.geometry.narrow import fills, from_points, gap_spots, hole_spots
from mockup.geometry.pathdata import decimal, path_data
from mockup.geometry.shapes import EMPTY, Box, Shape, difference, union

AIR: Final = 0.3
"""Bare page round the drawing, mm."""

LINE: Final = 0.5
"""Width of the line work, mm."""

PEN: Final = 1.6
"""Width of the pen that must get everywhere, mm: one of 1.5 mm, with a little to spare."""

SMALLEST: Final = 2.2
"""Least area of a piece that is seen, mm2: 2 mm2, with a little to spare."""

_APART: Final = 0.62
_STEPS: Final = 14
_FILLS: Final = ("#c8b8a2", "#94a08c", "#b5917c", "#7f8993", "#b9a06f", "#a78f96", "#8f9f9a")
_PEN: Final = (
    f'fill="none" stroke="#333" stroke-width="{LINE:g}" stroke-linecap="round" stroke-linejoin="round"'
)


@dataclass(frozen=True, eq=False, slots=True)
class Piece:
    """One part: its name from the one list, its group, its closed outline; what comes later lies on top."""

    part: str
    group: str
    outline: Curves


@dataclass(frozen=True, eq=False, slots=True)
class Sketch:
    """Parts, and open lines that are drawn over them."""

    pieces: tuple[Piece, ...]
    lines: tuple[Curves, ...] = ()

    @property
    def box(self) -> Box:
        """Smallest upright box round everything, the width of the lines included, mm."""
        x0, y0, x1, y1 = extent(np.concatenate([piece.outline for piece in self.pieces]))
        if not self.lines:
            return x0, y0, x1, y1
        half = LINE / 2
        x2, y2, x3, y3 = extent(np.concatenate(self.lines))
        return min(x0, x2 - half), min(y0, y2 - half), max(x1, x3 + half), max(y1, y3 + half)

    @property
    def longer(self) -> float:
        """Longer side of its box, mm."""
        x0, y0, x1, y1 = self.box
        return max(x1 - x0, y1 - y0)

    @property
    def seen(self) -> list[tuple[str, Shape]]:
        """What is seen of each run of parts of one group, with the group's name, the topmost first."""
        found = []
        above = EMPTY
        for group, run in groupby(reversed(self.pieces), lambda piece: piece.group):
            shapes = [from_points(sampled(piece.outline, _STEPS)) for piece in run]
            whole = shapes[0] if len(shapes) == 1 else union(shapes)
            found.append((group, difference(whole, above)))
            above = whole if above.is_empty else union([above, whole])
        return found

    def sound(self, pen: float = PEN, smallest: float = SMALLEST) -> bool:
        """Tell whether all that is seen can be inked.

        Every piece holds ``smallest`` mm2 and nothing narrower than ``pen`` mm; parts touch or keep apart; no
        speck of ground is shut in.
        """
        seen = [shape for _, shape in self.seen]
        if any(shape.is_empty or not fills(shape, pen, smallest) for shape in seen):
            return False
        return not (hole_spots(union(seen), smallest) or gap_spots(seen, _APART))

    def moved(self, transform: Affine) -> "Sketch":
        """Map it; the lines keep their width."""
        pieces = tuple(Piece(one.part, one.group, moved(one.outline, transform)) for one in self.pieces)
        return Sketch(pieces, tuple(moved(line, transform) for line in self.lines))


def fitted(grow: Callable[[float], Sketch], room: float) -> Sketch:
    """Grow a sketch no larger than ``room`` mm.

    What grows larger is grown anew, not shrunk, so that nothing gets thin.
    """
    size = room
    sketch = grow(size)
    for _ in range(2):
        if sketch.longer > room:
            size *= room / sketch.longer
            sketch = grow(size)
    return sketch.moved(scaling(min(room / sketch.longer, 1.0)))


def on_page(sketch: Sketch, size: float) -> Sketch:
    """Scale a sketch until the longer side of its page is ``size`` mm, and put it into the page's corner."""
    for _ in range(3):  # the width of lines at the edge does not scale: a few rounds settle it
        sketch = sketch.moved(scaling((size - 2 * AIR) / sketch.longer))
    x0, y0, _, _ = sketch.box
    return sketch.moved(Affine(e=AIR - x0, f=AIR - y0))


def written(sketch: Sketch, size: float, title: str) -> str:
    """Write a sketch as SVG text, the longer side of its page ``size`` mm."""
    settled = on_page(sketch, size)
    x0, y0, x1, y1 = settled.box
    width, height = (size if side == max(x1 - x0, y1 - y0) else side + 2 * AIR for side in (x1 - x0, y1 - y0))
    w, h = decimal(width), decimal(height)
    groups = list(dict.fromkeys(piece.group for piece in settled.pieces))
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{w}mm" height="{h}mm" viewBox="0 0 {w} {h}">',
        f"  <title>{escape(title)}</title>",
    ]
    for piece in settled.pieces:
        fill = _FILLS[groups.index(piece.group) % len(_FILLS)]
        names = f'data-part="{piece.part}" data-group="{piece.group}" fill="{fill}"'
        lines.append(f'  <path {names} d="{path_data([piece.outline], closed=True)}"/>')
    if settled.lines:
        lines.append(f'  <path d="{path_data(settled.lines, closed=False)}" {_PEN}/>')
    return "\n".join([*lines, "</svg>", ""])
