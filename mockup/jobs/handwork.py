"""A piece as what a hand has to do: every shape on the sheet that takes ink, and the order in which they are inked."""

from dataclasses import dataclass

import numpy as np

from mockup.colouring.order_of_work import Order, Work, order_of_work, patches_done
from mockup.colouring.plan import Key, Plan
from mockup.colouring.problem import Floats, Ints
from mockup.geometry import shapes
from mockup.jobs.looks import frame_of
from mockup.jobs.planned import Spreading
from mockup.pattern.field import CutNode, cut
from mockup.sheets.preview import window_of


@dataclass(frozen=True, eq=False, slots=True)
class Handwork:
    """A piece as it is inked on its sheet.

    Attributes
    ----------
    spreading : Spreading
        The piece with its plan.
    nodes : tuple of CutNode
        The nodes that take ink, each copy that the field shows by itself, true mm from the field's top left.
    work, order : Work, Order
        The same as numbers, and their order.
    held : int or None
        The ink that is held back to the end.
    """

    spreading: Spreading
    nodes: tuple[CutNode, ...]
    work: Work
    order: Order
    held: int | None = None

    @property
    def area(self) -> Floats:
        """Areas in the order in which they are inked, (n,) mm2."""
        return self.work.area[self.order.nodes]

    @property
    def but_held(self) -> int:
        """How many nodes are inked before the held ink."""
        held = -1 if self.held is None else self.held
        return int((self.work.ink != held).sum())

    @property
    def ground(self) -> bool:
        """Whether the ground takes ink."""
        position = self.spreading.piece.ground
        return position is not None and not self.spreading.piece.palette.inks[position].paper

    def patches_done(self, done: int) -> Ints:
        """Give the patches that are inked, but for a held ink, when ``done`` nodes are."""
        return np.flatnonzero(patches_done(self.order, done, self.work.ink, self.held))

    def plan_at(self, done: int, bare: int) -> Plan:
        """Give the plan of the sheet when ``done`` nodes are inked: all others take the ink numbered ``bare``."""
        piece, plan = self.spreading.piece, self.spreading.plan
        inked = {(n.node, n.i, n.j) for n in (self.nodes[k] for k in self.order.nodes[:done].tolist())}
        rows: dict[Key, int] = {}
        inks: list[int] = []
        for i, j in window_of(piece.tile, frame_of(piece), piece.layout.steps).copies(piece.tile):
            for node in range(len(piece.tile.nodes)):
                ink = plan.ink(node, i, j)
                if ink is not None:
                    rows[node, i, j] = len(inks)
                    inks.append(ink if (node, i, j) in inked else bare)
        return Plan(np.array(inks, dtype=np.int64), rows, plan.lattice, None)


def handwork(spreading: Spreading, held: int | None = None) -> Handwork:
    """Find what of a piece is inked in which order, from where its design says; shapes left bare are none of it.

    ``held`` is the number of an ink among ``Palette.every`` that comes last.
    """
    piece = spreading.piece
    every = piece.palette.every
    found: list[CutNode] = []
    inks: list[int] = []
    for node in cut(piece.tile, *piece.field_size, piece.layout.steps):
        ink = spreading.plan.ink(node.node, node.i, node.j)
        if ink is not None and not every[ink].paper:
            found.append(node)
            inks.append(ink)
    seen = [node.seen for node in found]
    own = np.array(inks, dtype=np.int64)
    work = Work(
        area=shapes.areas(seen),
        place=np.array([shapes.centroid(shape) for shape in seen]).reshape(-1, 2),
        ink=own,
        light=np.array([ink.colour.lightness for ink in every]),
        skin=own >= len(piece.palette.inks),
        size=piece.field_size,
    )
    return Handwork(
        spreading, tuple(found), work, order_of_work(work, piece.design.colouring.start, held), held
    )
