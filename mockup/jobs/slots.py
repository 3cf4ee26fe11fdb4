"""What a colourway gives inks to: the positions of a plan, and the ground; who of them may change, and who meet."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from mockup.colour.conversion import Colour
from mockup.colour.ink import Ink
from mockup.colouring.problem import Floats, Ints
from mockup.design.records import InkSpec
from mockup.geometry.shapes import areas
from mockup.jobs.piece import Piece
from mockup.jobs.planned import Spreading

PAPER: Final = "paper"

_SAME: Final = 1.0
"""L* by which two positions must differ for their order to count."""


@dataclass(frozen=True, eq=False, slots=True)
class Pen:
    """An ink as it may be put to a position: as a design file writes it, and as it is.

    ``miss`` is how far (CIEDE2000) an owned pen is from the colour that was wished; ``wished`` says that no pen of
    this colour is known.
    """

    spec: InkSpec
    ink: Ink
    miss: float = 0.0
    wished: bool = False

    @property
    def colour(self) -> Colour:
        """Its colour on the paper."""
        return self.ink.colour

    @property
    def name(self) -> str:
        """Its name."""
        return self.ink.name

    @property
    def told(self) -> str:
        """What is to be said of it: how far it misses, or that no pen is known."""
        return "no pen" if self.wished else f"miss {self.miss:.0f}" if self.miss >= 0.5 else ""


@dataclass(frozen=True, eq=False, slots=True)
class Slots:
    """The positions of a plan that take inks.

    Attributes
    ----------
    pens : tuple of Pen
        Hers: the palette's in order, and bare paper after them where that is the ground and no ink of the palette.
    share : (s,) floats
        What each covers of all that is seen, ground included; skins are left out.
    ground : int
        The position of the ground.
    apart : bool
        Whether the ground is none of the palette's positions, but one of its own, the last.
    kin : (s,) ints
        0 where any ink may come; positions of one other number may only exchange theirs.
    meets : (m, 2) ints
        Positions that face each other, or lie on the ground.
    lead : int
        The position that leads.
    """

    pens: tuple[Pen, ...]
    share: Floats
    ground: int
    apart: bool
    kin: Ints
    meets: Ints
    lead: int

    @property
    def count(self) -> int:
        """How many there are."""
        return len(self.pens)


def slots_of(spreading: Spreading) -> Slots:
    """Find the positions of a piece whose inks are spread."""
    piece = spreading.piece
    inks = piece.palette.inks
    pens = [Pen(spec, ink) for spec, ink in zip(piece.design.palette.inks, inks, strict=True)]
    apart = piece.ground is None
    ground = len(inks) if piece.ground is None else piece.ground
    if apart:
        pens.append(bare(piece))
    whole = spreading.cell[0] * spreading.cell[1]
    seen = areas([row.seen for row in spreading.rows])
    count = spreading.problem.count
    share = np.bincount(spreading.inks, seen[:count], len(pens)) / whole
    share[ground] += max(1.0 - float(seen.sum()) / whole, 0.0)
    lead = next((place for place, ink in enumerate(inks) if ink.role == "dominant"), int(share.argmax()))
    return Slots(tuple(pens), share, ground, apart, _kin(piece, len(pens)), _meets(spreading, ground), lead)


def bare(piece: Piece) -> Pen:
    """Give bare paper as an ink."""
    return Pen(InkSpec(PAPER, PAPER), Ink(PAPER, piece.paper, paper=True))


def _kin(piece: Piece, count: int) -> Ints:
    """Tell which positions may change: what is ``fixed`` stays, what is listed in ``only`` is exchanged within it."""
    colouring, names = piece.design.colouring, [ink.name.casefold() for ink in piece.palette.inks]
    signs: list[set[str]] = [set() for _ in range(count)]
    for ink in colouring.fixed.values():
        if ink.casefold() in names:
            signs[names.index(ink.casefold())].add(f"fixed {ink.casefold()}")
    for part, inks in colouring.only.items():
        for ink in inks:
            if ink.casefold() in names:
                signs[names.index(ink.casefold())].add(f"only {part}")
    kinds = {frozenset[str](): 0}
    return np.array([kinds.setdefault(frozenset(own), len(kinds)) for own in signs])


def _meets(spreading: Spreading, ground: int) -> Ints:
    """List the positions that face each other, and those that lie on the ground, each pair once."""
    graph, inks = spreading.facing, spreading.plan.inks
    pairs = np.column_stack((inks[graph.a], inks[graph.b]))[graph.faces]
    used = np.unique(spreading.inks)
    pairs = np.vstack((pairs, np.column_stack((used, np.full(len(used), ground)))))
    pairs = np.sort(pairs[pairs[:, 0] != pairs[:, 1]], axis=1)
    return np.unique(pairs, axis=0).reshape(-1, 2)


def keeps_order(before: Floats, after: Floats) -> bool:
    """Tell whether no two positions change sides in lightness, L* (s,) each, but for those that hardly differ."""
    was = before[:, np.newaxis] - before
    now = after[:, np.newaxis] - after
    return bool((now[was > _SAME] > 0).all())
