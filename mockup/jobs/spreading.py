"""From a piece to its plan: who faces whom, what each node may take, the targets, the colour repeat, the inks."""

import math
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from mockup.colouring.facing import Facing, default_reach, facing, lifted
from mockup.colouring.pins import Rules, label_of
from mockup.colouring.plan import Plan, rectangle_rows
from mockup.colouring.problem import Ints, Mask, Problem
from mockup.colouring.spread import RUNS, spread
from mockup.colouring.targets import Targets
from mockup.colouring.tiedpins import as_first
from mockup.errors import SpreadError
from mockup.geometry import shapes
from mockup.geometry.affine import translation
from mockup.geometry.ground import on_ground
from mockup.geometry.territories import Borders, territories
from mockup.jobs.cell import Asked, Row, ask, into
from mockup.jobs.followed import Chosen, chosen_by, inks_of, rectangle_of
from mockup.jobs.piece import Piece, place
from mockup.jobs.rectangles import Rectangle, rectangles, wished
from mockup.jobs.ties import FREE, Ties
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
        The rows of the plan, those of side palettes last.
    problem : Problem
        What the solver was given: the rows that take the palette's inks.
    facing : Facing
        Who faces whom of these on the plan's cell.
    rules : Rules
        What each row may take.
    targets : Targets
        Wanted and reachable shares.
    cell : (float, float)
        Size of the plan's cell, mm.
    energy : float
        What the solver lowered; NaN where a plan was followed.
    whole : Facing
        Who faces whom of all rows.
    ties : Ties
        Which rows take one ink.
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
    whole: Facing
    ties: Ties = FREE

    @property
    def inks(self) -> Ints:
        """Ink of each row that takes the palette's inks, as the problem counts them."""
        return self.plan.inks[: self.problem.count]

    @property
    def skin(self) -> Ints:
        """Ink of each row of a side palette, (s,) numbers of ``Palette.every``."""
        return self.plan.inks[self.problem.count :]

    @property
    def wished(self) -> Mask:
        """Facing pairs that she gave one ink herself, (m,)."""
        return wished_pairs(self.facing, self.rules, self.plan.inks, self.ties)


def spread_piece(piece: Piece) -> Spreading:
    """Spread the inks over a piece.

    Raises
    ------
    MockupError
        A wish that cannot be followed.
    """
    chosen = chosen_by(piece)
    if chosen:
        return follow_plan(piece, chosen)
    if piece.single:
        return _solved(_sheet(piece))
    tiled = _tiled(piece)
    wish = wished(piece)
    if piece.design.colouring.copies == "alike":
        # every tile is inked alike, so that no larger rectangle can do better
        wish = wish or piece.tile.lattice.multiples
    if wish:
        return _solved(_rectangle(tiled, *wish))
    return _smallest(tiled)


def follow_plan(piece: Piece, chosen: Chosen) -> Spreading:
    """Give a piece the inks of a plan, as they are.

    Raises
    ------
    DesignError
        The plan does not fit the piece: what changed.
    """
    tiles = rectangle_of(piece, chosen)
    asked = _rectangle(_tiled(piece), *tiles) if tiles else _sheet(piece)
    return _planned(asked, inks_of(asked, chosen), math.nan)


@dataclass(frozen=True, eq=False, slots=True)
class _Tiled:
    """A piece that repeats: the borders of one tile, and which nodes touch the ground."""

    piece: Piece
    borders: Borders
    ground: Mask

    def graph(self, across: int, down: int) -> Facing:
        """Who faces whom on a rectangle of tiles."""
        lattice = self.piece.tile.lattice
        reach = self.piece.design.colouring.reach or default_reach(
            lattice.width * lattice.height, _spaced(self.piece)
        )
        return lifted(self.borders, lattice, across, down, reach)


def _tiled(piece: Piece) -> _Tiled:
    seen, lattice = [node.seen for node in piece.tile.nodes], piece.tile.lattice
    window = (0.0, 0.0, lattice.width, lattice.height)
    return _Tiled(piece, territories(seen, window, lattice), on_ground(seen, lattice))


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
            own = _own_copies(tiled, graph) / math.prod(rectangle)
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


def _own_copies(tiled: _Tiled, graph: Facing) -> float:
    """Length of the borders between nodes and their own copies, mm; skin may meet skin."""
    skin = np.array([bool(node.side) for node in tiled.piece.tile.nodes])
    alike = graph.faces & (graph.a == graph.b) & ~skin[graph.a % len(skin)]
    return float(graph.length[alike].sum())


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
    off = spreading.problem.share_error(spreading.inks)
    return round(_contact(spreading) / tiles, 6), round(max(off - SHARE_SLACK, 0.0), 6)


def wished_pairs(graph: Facing, given: Rules, inks: Ints, ties: Ties = FREE) -> Mask:
    """Pairs of one ink of which both nodes are pinned, or that she tied, (m,): contact that she wished."""
    same = inks[graph.a] == inks[graph.b]
    pinned = given.pinned[graph.a] & given.pinned[graph.b] & (graph.a != graph.b)
    return np.asarray(same & (pinned | ties.within(graph)))


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


def _sheet(piece: Piece) -> Asked:
    """Ask for the inks of one sheet, every region free."""
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
    graph = facing(territories(seen, field, None), reach)
    keys = {(row.node, row.i, row.j): number for number, row in enumerate(rows)}
    ground = on_ground(seen, None, field)
    return ask(piece, rows, keys, graph, ground, (width, height), None)


def _solved(asked: Asked, runs: int = RUNS, known: Spreading | None = None) -> Spreading:
    """Spread the inks; a plan of a smaller rectangle is a start for one that it divides."""
    start = None
    if (
        known
        and known.plan.tiles
        and asked.tiles
        and not known.problem.contact(known.inks)
        and not any(whole % part for whole, part in zip(asked.tiles, known.plan.tiles, strict=True))
    ):
        own = asked.rows[: asked.problem.count]
        start = np.array([known.plan.ink(row.node, row.i, row.j) for row in own], dtype=np.int64)
    if start is not None and not _may_begin(asked.problem, start):
        start = None
    found = spread(asked.problem, asked.piece.design.colouring.variant, runs, start)
    return _planned(asked, np.concatenate((found.inks, asked.skin)), found.energy)


def _may_begin(problem: Problem, start: Ints) -> bool:
    """Tell whether a plan keeps to what each node may take and to the ties."""
    kept = problem.tied is None or (start == as_first(start, problem.tied)).all()
    return bool(kept and problem.allowed[np.arange(len(start)), start].all())


def _planned(asked: Asked, inks: Ints, energy: float) -> Spreading:
    """Put the inks of a cell's rows to what was asked."""
    plan = Plan(inks, asked.keys, asked.piece.tile.lattice, asked.tiles)
    return Spreading(
        asked.piece,
        plan,
        asked.rows,
        asked.problem,
        asked.facing,
        asked.rules,
        asked.targets,
        asked.cell,
        energy,
        asked.whole,
        asked.ties,
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
