"""A cell whose inks are found or given: the record that everything after it reads, and how the inks are found."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from mockup.colouring.facing import Facing
from mockup.colouring.pins import Rules
from mockup.colouring.plan import Plan
from mockup.colouring.problem import Ints, Mask, Problem
from mockup.colouring.spread import PATIENCE, spread
from mockup.colouring.targets import Targets
from mockup.colouring.tiedpins import as_first
from mockup.jobs.cell import Asked, Row
from mockup.jobs.piece import Piece
from mockup.jobs.ties import FREE, Ties

THOROUGH: Final = ((120, 10), (400, 5))
"""Up to so many nodes so many starts are carried to the end: a second well spent on what she will ink by hand."""


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
    def tiles(self) -> tuple[int, int] | None:
        """Tiles (across, down) after which the colours repeat; None on a single sheet."""
        return self.plan.lattice.in_tiles(self.plan.tiles) if self.plan.tiles else None

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


def wished_pairs(graph: Facing, given: Rules, inks: Ints, ties: Ties = FREE) -> Mask:
    """Pairs of one ink of which both nodes are pinned, or that she tied, (m,): contact that she wished."""
    same = inks[graph.a] == inks[graph.b]
    pinned = given.pinned[graph.a] & given.pinned[graph.b] & (graph.a != graph.b)
    return np.asarray(same & (pinned | ties.within(graph)))


def solved(
    asked: Asked, runs: int | None = None, known: Spreading | None = None, patience: int = PATIENCE
) -> Spreading:
    """Spread the inks, thoroughly where no number of runs is given.

    A plan of a smaller rectangle is a start for one that it divides.
    """
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
    count = asked.problem.count
    thorough = next((runs for most, runs in THOROUGH if count <= most), None)
    found = spread(asked.problem, asked.piece.design.colouring.variant, runs or thorough, start, patience)
    return planned(asked, np.concatenate((found.inks, asked.skin)), found.energy)


def _may_begin(problem: Problem, start: Ints) -> bool:
    """Tell whether a plan keeps to what each node may take and to the ties."""
    kept = problem.tied is None or (start == as_first(start, problem.tied)).all()
    return bool(kept and problem.allowed[np.arange(len(start)), start].all())


def planned(asked: Asked, inks: Ints, energy: float) -> Spreading:
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


def unwished(spreading: Spreading) -> float:
    """Length of facing borders of one ink that she did not wish, own copies included, mm."""
    graph, inks = spreading.facing, spreading.plan.inks
    alike = graph.faces & (inks[graph.a] == inks[graph.b]) & ~spreading.wished
    return float(graph.length[alike].sum())
