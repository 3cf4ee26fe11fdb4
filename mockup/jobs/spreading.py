"""From a piece to its plan: who faces whom, what each node may take, the targets, the colour repeat, the inks."""

import math
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from mockup.colouring.facing import Facing, default_reach, doubted, facing, lifted
from mockup.colouring.pins import Rules, label_of
from mockup.colouring.plan import Plan, rectangle_rows
from mockup.colouring.problem import Ints, Mask, Problem
from mockup.colouring.spread import RUNS, spread
from mockup.colouring.targets import Targets
from mockup.errors import SpreadError
from mockup.geometry import shapes
from mockup.geometry.affine import translation
from mockup.geometry.ground import on_ground
from mockup.geometry.territories import FINENESS, LOOKS, Borders, territories
from mockup.jobs.cell import Asked, Row, ask, into
from mockup.jobs.piece import Piece, place
from mockup.jobs.rectangles import Rectangle, rectangles, wished
from mockup.pattern.field import cut

SHARE_SLACK: Final = 0.02

WORK: Final = 1500
"""Nodes that the search for the smallest colour repeat may ink to no avail before it takes what it has."""

SMALL: Final = 120
"""Up to so many nodes a rectangle is always tried thoroughly."""


@dataclass(frozen=True, eq=False, slots=True)
class Spreading:
    """A piece with its plan.

    Attributes
    ----------
    piece : Piece
        What was asked for.
    plan : Plan
        Which ink each row takes.
    rows : tuple of Row
        The rows of the plan.
    problem : Problem
        What the solver was given.
    facing : Facing
        Who faces whom on the plan's cell.
    rules : Rules
        What each row may take.
    targets : Targets
        Wanted and reachable shares.
    cell : (float, float)
        Size of the plan's cell, mm.
    energy : float
        What the solver lowered.
    """

    piece: Piece
    plan: Plan
    rows: tuple[Row, ...]
    problem: Problem
    facing: Facing
    rules: Rules
    targets: Targets
    cell: tuple[float, float]
    energy: float

    @property
    def wished(self) -> Mask:
        """Facing pairs that she gave one ink herself, (m,)."""
        return wished_pairs(self.facing, self.rules, self.plan.inks)


def spread_piece(piece: Piece) -> Spreading:
    """Spread the inks over a piece.

    Raises
    ------
    MockupError
        A wish that cannot be followed.
    """
    if piece.single:
        return _single(piece)
    tiled = _tiled(piece)
    wish = wished(piece)
    if wish:
        return _solved(_rectangle(tiled, *wish))
    return _smallest(tiled)


@dataclass(frozen=True, eq=False, slots=True)
class _Tiled:
    """A piece that repeats: the borders of one tile, on several grids, and which nodes touch the ground."""

    piece: Piece
    borders: tuple[Borders, ...]
    ground: Mask

    def graph(self, across: int, down: int) -> Facing:
        """Who faces whom on a rectangle of tiles."""
        lattice = self.piece.tile.lattice
        reach = self.piece.design.colouring.reach or default_reach(
            lattice.width * lattice.height, _spaced(self.piece)
        )
        first, *looks = (lifted(borders, lattice, across, down, reach) for borders in self.borders)
        return doubted(first, looks)


def _tiled(piece: Piece) -> _Tiled:
    seen, lattice = [node.seen for node in piece.tile.nodes], piece.tile.lattice
    window = (0.0, 0.0, lattice.width, lattice.height)
    borders = tuple(territories(seen, window, lattice, fineness) for fineness in (FINENESS, *LOOKS))
    return _Tiled(piece, borders, on_ground(seen, lattice))


def _smallest(tiled: _Tiled) -> Spreading:
    """Find the rectangle of fewest tiles without contact and with every share near its target.

    Where nodes face their own copies there is contact, whatever the inks; such rectangles are not tried unless
    there are no others. The rest get one run each, and more where that comes near; the search ends when what it may
    cost is spent. If no rectangle does, the one with least contact is taken, of these the one with least share error.
    """
    spent = 0
    best: tuple[tuple[float, float], Rectangle, Spreading] | None = None
    hopeless: list[tuple[float, Rectangle]] = []
    for group in rectangles(tiled.piece):
        done: list[Spreading] = []
        for rectangle in group:
            graph = tiled.graph(*rectangle)
            own = graph.length[graph.faces & (graph.a == graph.b)].sum() / math.prod(rectangle)
            if own > 0:
                hopeless.append((round(float(own), 6), rectangle))
                continue
            tried, cost = _tried(_rectangle(tiled, *rectangle, graph), best[2] if best else None)
            spent += cost
            figures = _faults(tried)
            if figures == (0.0, 0.0):
                done.append(tried)
            elif best is None or figures < best[0]:
                best = figures, rectangle, tried
        if done:
            return min(done, key=lambda spreading: spreading.energy / spreading.problem.count)
        if spent > WORK:
            break
    if best is None:
        return _solved(_rectangle(tiled, *min(hopeless)[1]))
    thorough = _solved(_rectangle(tiled, *best[1]), known=best[2])
    return min(best[2], thorough, key=_faults)


def _tried(asked: Asked, known: Spreading | None) -> tuple[Spreading, int]:
    """Spread the inks over a rectangle: once, and thoroughly if that is near; tell what it cost, in nodes."""
    count = asked.problem.count
    once = _solved(asked, 1, known)
    contact, off = _faults(once)
    if off > 2 * SHARE_SLACK or (count > SMALL and (contact > 0 or off > SHARE_SLACK)):
        return once, count
    return min(_solved(asked, RUNS, known), once, key=_faults), count * RUNS


def _faults(spreading: Spreading) -> tuple[float, float]:
    """Contact in mm a tile, and how much the share error exceeds the slack."""
    tiles = math.prod(spreading.plan.tiles or (1, 1))
    off = spreading.problem.share_error(spreading.plan.inks)
    return round(_contact(spreading) / tiles, 6), round(max(off - SHARE_SLACK, 0.0), 6)


def wished_pairs(graph: Facing, given: Rules, inks: Ints) -> Mask:
    """Pairs of one ink of which both nodes are pinned, (m,): contact that she wished."""
    alike = inks[graph.a] == inks[graph.b]
    return np.asarray(alike & given.pinned[graph.a] & given.pinned[graph.b] & (graph.a != graph.b))


def _rectangle(tiled: _Tiled, across: int, down: int, graph: Facing | None = None) -> Asked:
    """Ask for the inks of a rectangle of tiles."""
    piece = tiled.piece
    tile, lattice = piece.tile, piece.tile.lattice
    keys = rectangle_rows(len(tile.nodes), across, down)
    rows = []
    for node, i, j in keys:
        x, y = into(lattice.shift(i, j), lattice.size(across, down))
        first = tile.nodes[node]
        label = label_of(first.label, i, j)
        rows.append(Row(node, i, j, label, shapes.moved(first.seen, translation(x, y))))
    graph = graph or tiled.graph(across, down)
    ground = np.tile(tiled.ground, across * down)
    return ask(piece, tuple(rows), keys, graph, ground, lattice.size(across, down), (across, down))


def _single(piece: Piece) -> Spreading:
    """Spread the inks over one sheet, every region free."""
    width, height = piece.field_size
    repeats = piece.layout.repeat != "none"
    nodes = cut(piece.tile, width, height, repeats)
    least = (min(node.i for node in nodes), min(node.j for node in nodes)) if nodes else (0, 0)
    rows = tuple(
        Row(
            n.node, n.i, n.j, label_of(piece.tile.nodes[n.node].label, n.i - least[0], n.j - least[1]), n.seen
        )
        for n in nodes
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
    first, *looks = (
        facing(territories(seen, field, None, fineness), reach) for fineness in (FINENESS, *LOOKS)
    )
    keys = {(row.node, row.i, row.j): number for number, row in enumerate(rows)}
    ground = on_ground(seen, None, field)
    return _solved(ask(piece, rows, keys, doubted(first, looks), ground, (width, height), None))


def _solved(asked: Asked, runs: int = RUNS, known: Spreading | None = None) -> Spreading:
    """Spread the inks; a plan of a smaller rectangle is a start for one that it divides."""
    start = None
    if (
        known
        and known.plan.tiles
        and asked.tiles
        and not known.problem.contact(known.plan.inks)
        and not any(whole % part for whole, part in zip(asked.tiles, known.plan.tiles, strict=True))
    ):
        start = np.array([known.plan.ink(row.node, row.i, row.j) for row in asked.rows], dtype=np.int64)
    if start is not None and not asked.problem.allowed[np.arange(len(start)), start].all():
        start = None
    found = spread(asked.problem, asked.piece.design.colouring.variant, runs, start)
    plan = Plan(found.inks, asked.keys, asked.piece.tile.lattice, asked.tiles)
    return Spreading(
        asked.piece,
        plan,
        asked.rows,
        asked.problem,
        asked.facing,
        asked.rules,
        asked.targets,
        asked.cell,
        found.energy,
    )


def _contact(spreading: Spreading) -> float:
    """Length of facing borders of one ink that she did not wish, own copies included, mm."""
    graph, inks = spreading.facing, spreading.plan.inks
    alike = graph.faces & (inks[graph.a] == inks[graph.b]) & ~spreading.wished
    return float(graph.length[alike].sum())


def _spaced(piece: Piece) -> int:
    """How many things are spaced out in one tile: placed motifs, or the regions of a drawing."""
    if piece.design.drawing:
        return sum(len(shapes.pieces(node.seen)) for node in piece.tile.nodes)
    return len(piece.tile.places)


def replan(spreading: Spreading, piece: Piece) -> Spreading:
    """Take the same plan to a piece that differs in its inks only."""
    return replace(spreading, piece=piece)
