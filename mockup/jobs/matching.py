"""Which shape of a design each shape of a plan is: by label where they look alike, else the nearest of like shape.

So a plan outlives the numbers of regions that have no name, and a shape that changed is told.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from mockup.colouring.problem import Floats, Ints, Mask
from mockup.geometry import shapes
from mockup.geometry.shapes import Shape
from mockup.jobs.cell import Row
from mockup.sheets.planfile import FoundNode
from mockup.units import plain

PLACE: Final = 0.3
"""How far apart (mm) the centres of what is one shape may lie, in the file and in the design."""

AREA: Final = 0.01
"""Share by which their areas may differ."""

OUTLINE: Final = 0.5
"""How far (mm) the sides of their boxes may differ, as seen from the centre."""

_HAIR: Final = 0.1
_TOLD: Final = 3


@dataclass(frozen=True, eq=False, slots=True)
class _Traits:
    """What shapes are told by: areas (n,), centres (n, 2), sides of their boxes seen from the centre (n, 4), mm."""

    area: Floats
    centre: Floats
    box: Floats

    def like(self, own: Ints, other: "_Traits", others: Ints) -> Mask:
        """Tell which of the pairs (own, others) are of like shape, wherever they lie."""
        wide = np.abs(self.area[own] - other.area[others]) <= AREA * self.area[own] + _HAIR
        return np.asarray(wide & (np.abs(self.box[own] - other.box[others]).max(axis=-1) <= OUTLINE))


@dataclass(frozen=True, eq=False, slots=True)
class Matching:
    """What became of each shape.

    ``node`` (n,) is the plan's node of each row, -1 where there is none. Where that is so for some row, or a node is
    nobody's: ``changed`` says which shapes differ and by how much, ``new`` and ``gone`` name the others.
    """

    node: Ints
    changed: tuple[str, ...]
    new: tuple[str, ...]
    gone: tuple[str, ...]


def matched(rows: Sequence[Row], nodes: Sequence[FoundNode], cell: tuple[float, float] | None) -> Matching:
    """Find the plan's node of each row.

    Parameters
    ----------
    rows : sequence of Row
        The shapes of the design.
    nodes : sequence of FoundNode
        The shapes of the plan.
    cell : (float, float), optional
        Width and height after which places repeat, mm.
    """
    own, other = _traits([row.seen for row in rows]), _traits([node.seen for node in nodes])
    by_label = {node.label: number for number, node in enumerate(nodes) if node.label}
    match = np.full(len(rows), -1, dtype=np.int64)
    named = np.array([by_label.get(row.label, -1) for row in rows], dtype=np.int64)
    at = np.flatnonzero(named >= 0)
    off = np.hypot(*_apart(own.centre[at], other.centre[named[at]], cell).T)
    good = at[(off <= PLACE) & own.like(at, other, named[at])]
    match[good] = named[good]
    _match_by_shape(match, own, other, cell)
    left = np.setdiff1d(np.arange(len(nodes)), match).tolist()
    free = {nodes[node].label: node for node in left if nodes[node].label}
    changed, new = [], []
    for row in np.flatnonzero(match < 0).tolist():
        label = rows[row].label
        node = free.pop(label, -1)
        if node < 0:
            new.append(label)
        else:
            off = np.hypot(*_apart(own.centre[row], other.centre[node], cell))
            changed.append(f"{label} {_difference(other.area[node], own.area[row], float(off))}")
    gone = [nodes[node].name for node in left if not nodes[node].label or nodes[node].label in free]
    return Matching(match, tuple(changed), tuple(new), tuple(gone))


def _traits(seen: Sequence[Shape]) -> _Traits:
    centre = np.array([shapes.centroid(shape) for shape in seen]).reshape(-1, 2)
    return _Traits(shapes.areas(seen), centre, shapes.boxes(seen) - np.tile(centre, 2))


def _apart(one: Floats, other: Floats, cell: tuple[float, float] | None) -> Floats:
    """Vectors from one point to another, (..., 2) mm, the shortest where the cell repeats."""
    way = other - one
    return way - np.round(way / cell) * cell if cell else way


def _match_by_shape(match: Ints, own: _Traits, other: _Traits, cell: tuple[float, float] | None) -> None:
    """Give rows that have no node yet the nearest free one of like shape."""
    rows, free = np.flatnonzero(match < 0), np.setdiff1d(np.arange(len(other.area)), match)
    if not len(rows) or not len(free):
        return
    far = np.hypot(*np.moveaxis(_apart(own.centre[rows][:, None], other.centre[free][None], cell), -1, 0))
    alike = own.like(rows[:, None], other, free[None]) & (far <= PLACE)
    one, two = np.nonzero(alike)
    taken: set[int] = set()
    for pair in np.argsort(far[one, two], kind="stable").tolist():
        row, node = int(rows[one[pair]]), int(free[two[pair]])
        if match[row] < 0 and node not in taken:
            match[row] = node
            taken.add(node)


def _difference(before: float, now: float, off: float) -> str:
    """Say how a shape differs from what the plan has."""
    if off > PLACE:
        return f"lies {plain(off, 2)} mm off its place"
    if abs(before - now) > AREA * now + _HAIR:
        return f"is {plain(now)} mm2 large, and was {plain(before)}"
    return "has another outline"


def listed(names: Iterable[str], between: str = ", ") -> str:
    """Name up to three, and count the rest."""
    every = list(names)
    more = f" and {len(every) - _TOLD} more" if len(every) > _TOLD else ""
    return between.join(every[:_TOLD]) + more
