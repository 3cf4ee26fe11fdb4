"""The visible regions of one tile, and the nodes that take one ink each.

Later placed motifs and later parts lie on top. Copies of one placed motif lie on each other row by row, the lower
row on top, so that the stacking is the same everywhere in the repeat. Everything here belongs to one tile; its copies
follow by the lattice.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from mockup.errors import DrawingError
from mockup.geometry import scanlines, shapes, stacking
from mockup.geometry.affine import Points
from mockup.geometry.lattice import Lattice
from mockup.geometry.shading import Upright, upright
from mockup.geometry.shapes import Box, Shape, Strokes
from mockup.geometry.stacking import Forms, Ints
from mockup.pattern.motif import Element, LineWork, Part
from mockup.pattern.repeat import Layout, Placed

SLIVER: Final = 0.05
"""Visible pieces of at most so many mm2 are no regions."""

UNDERLAP: Final = 0.6
"""How far (mm) a part runs on under a part that lies on it, so that no ground shows between the two."""

CONSERVED: Final = 0.001
"""What is seen may differ from what the shapes cover by this share of it."""


@dataclass(frozen=True, eq=False, slots=True)
class Region:
    """One part of one placed motif: ``seen`` is what later parts leave of it, ``drawn`` what is painted for it.

    Regions of one ``form`` are the same part of one motif at one size, whatever lies on them.
    """

    node: int
    part: str
    seen: Shape
    drawn: Shape
    outline: tuple[Points, ...]
    place: int
    form: int


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
    ``lies`` tells how each placed motif lies, ``drawn`` that it is one drawing: then parts come before copies in the
    stacking.
    """

    lattice: Lattice
    places: tuple[str, ...]
    regions: tuple[Region, ...]
    nodes: tuple[Node, ...]
    lines: tuple[Drawn, ...]
    tiles: tuple[tuple[int, int], ...] = ()
    lies: tuple[Upright, ...] = ()
    drawn: bool = False

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
    element: Element
    form: Shape | Strokes


def visible(layout: Layout) -> Tile:
    """Compute the visible regions of a layout's tile.

    Parts of which nothing is seen fall away; a node of which no part is seen does too.

    Raises
    ------
    DrawingError
        Shapes of which what is seen does not add up to what they cover.
    """
    items = _items(layout)
    parts = [number for number, item in enumerate(items) if isinstance(item.element, Part)]
    forms = stacking.many([item.form for item in items])
    covers = _covers(items, forms, np.array(parts, dtype=np.int64), layout)
    left = stacking.left_over(forms[parts], covers[parts])
    _account(forms[parts], left, layout.lattice)
    seen = stacking.as_shapes(left, SLIVER)
    shown = np.flatnonzero([not shape.is_empty for shape in seen.tolist()])
    number = np.array(parts, dtype=np.int64)[shown]
    own = [items[one] for one in number.tolist()]
    members: dict[_Key, list[tuple[_Item, Shape]]] = defaultdict(list)
    for item, shape in zip(own, seen[shown].tolist(), strict=True):
        members[item.place, item.label].append((item, shape))
    nodes = tuple(_node(label, group) for (_, label), group in members.items())
    lines = stacking.outlines(forms[number])
    runs = dict(layout.runs)
    for at, item in enumerate(own):
        if item.label in runs:
            lines[at] = stacking.off_own_copies(
                lines[at], item.form, _moves(layout.lattice, runs[item.label])
            )
    regions = _regions(own, seen[shown], forms[number], covers[number], lines, list(members))
    names, tiles = tuple(p.name for p in layout.placed), tuple(p.tile for p in layout.placed)
    lies = tuple(_lies(placed, layout.drawn) for placed in layout.placed)
    return Tile(
        layout.lattice, names, regions, nodes, tuple(_lines(items, forms, covers)), tiles, lies, layout.drawn
    )


def _moves(lattice: Lattice, steps: Sequence[tuple[int, int]]) -> list[tuple[float, float]]:
    """Ways to the copies so many steps on, and back, mm."""
    return [lattice.shift(sign * i, sign * j) for i, j in steps for sign in (1, -1)]


def _lies(placed: Placed, drawn: bool) -> Upright:
    """Tell how a motif lies; a whole drawing has no middle that its parts are about."""
    x0, y0, x1, y1 = placed.motif.box
    return upright(placed.transform, None if drawn else ((x0 + x1) / 2, (y0 + y1) / 2))


def _regions(
    items: Sequence[_Item], seen: Forms, forms: Forms, covers: Forms, lines: Forms, keys: Sequence[_Key]
) -> tuple[Region, ...]:
    """Make the regions of parts of which something is seen; ``keys`` are the nodes' in their order."""
    node = {key: number for number, key in enumerate(keys)}
    drawn = stacking.run_on(forms, covers, UNDERLAP)
    outlines = stacking.lines_outside(lines, covers)
    form: dict[tuple[int, float], int] = {}
    return tuple(
        Region(
            node[item.place, item.label],
            item.element.name,
            own,
            painted,
            outline,
            item.place,
            form.setdefault((id(item.element), round(abs(item.placed.transform.determinant), 9)), len(form)),
        )
        for item, own, painted, outline in zip(items, seen.tolist(), drawn.tolist(), outlines, strict=True)
        if isinstance(item.element, Part)
    )


def _items(layout: Layout) -> list[_Item]:
    """List everything that is drawn in the tile, in stacking order."""
    every = [
        (place, rank, placed, element)
        for place, placed in enumerate(layout.placed)
        for rank, element in enumerate(placed.motif.elements)
    ]
    plain = {id(element): _plain(element) for _, _, _, element in every}
    forms = stacking.all_moved(
        [plain[id(element)] for _, _, _, element in every], [placed.transform for _, _, placed, _ in every]
    )
    parts = [number for number, one in enumerate(every) if isinstance(one[3], Part)]
    forms[parts] = stacking.all_snapped(forms[parts].tolist())
    return [
        _Item(place, rank, _label(placed, element), placed, element, form)
        for (place, rank, placed, element), form in zip(every, forms.tolist(), strict=True)
        if not form.is_empty
    ]


def _plain(element: Element) -> Shape | Strokes:
    """What an element draws, before it is placed."""
    if isinstance(element, Part):
        return element.shape
    return shapes.strokes(element.lines, element.closed)


def _label(placed: Placed, element: Element) -> str:
    return f"{placed.name}/{element.group}" if isinstance(element, Part) else ""


def _covers(items: Sequence[_Item], forms: Forms, parts: Ints, layout: Layout) -> Forms:
    """Give each item the union of the parts that lie on it, copies from other tiles included."""
    if not len(parts):
        return stacking.unions(forms[:0], parts, len(items))
    box, lattice = shapes.box_of(forms), layout.lattice
    around = (box[0] - UNDERLAP, box[1] - UNDERLAP, box[2] + UNDERLAP, box[3] + UNDERLAP)
    of, steps, placed = _copies(forms[parts], lattice, around)
    level = {
        step: n for n, step in enumerate(sorted({(0, 0), *steps}, key=lambda step: lattice.stacking(*step)))
    }
    height = np.array([level[step] for step in steps]) - level[0, 0]
    lower, upper = stacking.meeting(forms, placed)
    place, rank = np.array([(item.place, item.rank) for item in items]).T
    part, ground = parts[of[upper]], np.zeros(len(upper), dtype=np.int64)
    one, other = (height[upper], rank[part]), (ground, rank[lower])
    if layout.drawn:  # in a drawing a part lies on another everywhere alike, also across the seam
        one, other = one[::-1], other[::-1]
    above = _later((place[part], *one), (place[lower], *other))
    return stacking.unions(placed[upper[above]], lower[above], len(items))


def _copies(forms: Forms, lattice: Lattice, window: Box) -> tuple[Ints, list[tuple[int, int]], Forms]:
    """Give the copies of forms that reach into a window: of which form, how many steps away, and where they lie."""
    if not len(forms):
        return np.zeros(0, dtype=np.int64), [], forms
    boxes = shapes.boxes(forms.tolist())
    of, steps, moves = [], [], []
    for step in lattice.copies(shapes.box_of(forms), window):
        x, y = lattice.shift(*step)
        x0, y0, x1, y1 = (boxes + np.array([x, y, x, y])).T
        near = np.flatnonzero((x1 >= window[0]) & (x0 <= window[2]) & (y1 >= window[1]) & (y0 <= window[3]))
        of.append(near)
        steps += [step] * len(near)
        moves.append(np.repeat([[x, y]], len(near), axis=0))
    number = np.concatenate(of)
    return number, steps, stacking.shifted(forms[number], np.concatenate(moves))


def _later(one: Sequence[Ints], other: Sequence[Ints]) -> NDArray[np.bool_]:
    """Tell which of the rows of columns come after the others', by the first column in which they differ."""
    after, alike = np.zeros(len(one[0]), dtype=bool), np.ones(len(one[0]), dtype=bool)
    for column, against in zip(one, other, strict=True):
        after |= alike & (column > against)
        alike &= column == against
    return after


def _account(own: Forms, left: Forms, lattice: Lattice) -> None:
    """Refuse a drawing of which what is seen is more or less than what its shapes cover."""
    window = scanlines.window(lattice)
    before = scanlines.covered(_copies(own, lattice, window)[2], lattice)
    kept = left[shapes.areas(left.tolist()) > 0]
    after = scanlines.covered(_copies(kept, lattice, window)[2], lattice)
    off = max(abs(after.once - before.once), abs(after.often - before.once))
    if off > CONSERVED * before.once + before.doubt + after.doubt:
        area = lattice.width * lattice.height
        raise DrawingError(
            f"the shapes cover {before.once * area:.4g} mm2 but what is seen of them adds up to "
            f"{after.often * area:.4g} mm2",
            remedy="simplify the outlines of shapes that lie on each other, or draw them a little apart",
        )


def _lines(items: Sequence[_Item], forms: Forms, covers: Forms) -> Iterator[Drawn]:
    """Give the line work as far as it is seen."""
    own = [number for number, item in enumerate(items) if isinstance(item.element, LineWork)]
    for number, left in zip(own, stacking.lines_outside(forms[own], covers[own]), strict=True):
        item = items[number]
        if left and isinstance(item.element, LineWork):
            yield Drawn(left, item.element.width * item.placed.transform.stretch, item.place)


def _node(label: str, own: Sequence[tuple[_Item, Shape]]) -> Node:
    """Unite the visible regions of one group of one placed motif."""
    part = next(item.element for item, _ in own if isinstance(item.element, Part))
    first = own[0][0]
    seen = own[0][1] if len(own) == 1 else shapes.union(seen for _, seen in own)
    return Node(label, first.placed.motif.name, part.name, part.side, seen, first.place, first.placed.tile)
