"""Side palettes, skin above all: the base ink of each figure, and what the shapes beside it lean away from.

Parts of a side face others and lie between them, but count for no share, no target, no lump and no conflict. In a plan
the rows that take the palette's inks stand first and those of the sides after them, so that a spread is about the
first ``count`` rows.
"""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from mockup.colouring.facing import Facing
from mockup.colouring.problem import Floats, Ints, Mask, Problem
from mockup.colouring.spread import spread

PRICE: Final = 0.5
"""What it costs to lie beside a skin of one's own colour along a border of mean length, in units of the energy."""

_NEAR: Final = 1.3
"""Figures at most so many mean spacings apart are neighbours: the four of a square grid, the six of a half-drop."""

_RUNS: Final = 2


@dataclass(frozen=True, eq=False, slots=True)
class Figures:
    """Figures that take one base ink each: ``place`` (f, 2) mm, ``size`` of what they lie on (mm), ``wraps``.

    ``allowed`` (f, s) bools are the inks of the set that each may take, ``pairs`` ((m,) ints, (m,) ints) those whose
    skin meets.
    """

    place: Floats
    size: tuple[float, float]
    wraps: bool
    allowed: Mask
    pairs: tuple[Ints, Ints]


def renumbered(graph: Facing, number: Ints) -> Facing:
    """Give each row ``r`` of a graph the number ``number[r]``."""
    a, b = number[graph.a], number[graph.b]
    return replace(graph, a=np.minimum(a, b), b=np.maximum(a, b))


def among(graph: Facing, count: int) -> Facing:
    """Keep the pairs of the first ``count`` rows."""
    keep = graph.b < count
    return replace(
        graph,
        count=count,
        a=graph.a[keep],
        b=graph.b[keep],
        length=graph.length[keep],
        gap=graph.gap[keep],
        share=graph.share[keep],
        faces=graph.faces[keep],
        perhaps=graph.perhaps[keep],
        avoided=graph.avoided[keep],
    )


def beside(graph: Facing, count: int) -> tuple[Ints, Ints, Floats]:
    """Rows that face a row of a side: (row, row of the side counted from 0, length of their border in mm)."""
    keep = graph.faces & (graph.a < count) & (graph.b >= count)
    return graph.a[keep], graph.b[keep] - count, graph.length[keep]


def leaning(graph: Facing, count: int, bases: Ints, likeness: Floats) -> Floats:
    """Price of each ink on each of the first rows, (count, k), for looking like the skin beside it.

    Parameters
    ----------
    graph : Facing
        All rows, those of the sides last.
    count : int
        How many rows take the palette's inks.
    bases : (s,) ints
        Base ink of each row of a side.
    likeness : (inks, k) floats
        How far the inks of the sides look like the palette's, 0 to 1.
    """
    price = np.zeros((count, likeness.shape[1]))
    row, side, length = beside(graph, count)
    meets = graph.faces & (graph.a != graph.b)
    if len(row):
        weight = PRICE * length / float(graph.length[meets].mean())
        np.add.at(price, row, weight[:, None] * likeness[bases[side]])
    return price


def base_inks(figures: Figures, seed: int) -> Ints:
    """Deal base inks to figures: as equally often as can be, neighbours different where they can be, (f,) ints.

    Another seed shuffles the inks before they are dealt.
    """
    count, inks = figures.allowed.shape
    if inks == 1 or not count:
        return np.zeros(count, dtype=np.int64)
    order = np.random.Generator(np.random.PCG64([seed, inks])).permutation(inks)
    a, b, border = _neighbours(figures)
    problem = Problem(
        np.ones(count),
        figures.place,
        figures.size if figures.wraps else None,
        a,
        b,
        border,
        figures.allowed[:, order],
        np.full(inks, 1.0 / inks),
    )
    return np.asarray(order[_levelled(spread(problem, seed, _RUNS).inks, problem)])


def _neighbours(figures: Figures) -> tuple[Ints, Ints, Floats]:
    """Pairs of figures to be kept different, with a weight: those whose skin meets weigh double."""
    step = figures.place[:, None, :] - figures.place[None, :, :]
    if figures.wraps:
        step -= np.round(step / figures.size) * figures.size
    spacing = np.sqrt(figures.size[0] * figures.size[1] / len(figures.place))
    weight = np.where(np.hypot(*np.moveaxis(step, -1, 0)) <= _NEAR * spacing, 1.0, 0.0)
    weight[figures.pairs] = 2.0
    a, b = np.nonzero(np.triu(np.maximum(weight, weight.T), 1))
    return a, b, np.maximum(weight, weight.T)[a, b]


def _levelled(inks: Ints, problem: Problem) -> Ints:
    """Move figures from inks that come too often to such as come too seldom, where fewest neighbours become alike."""
    inks, near = inks.copy(), problem.neighbours()
    rows = np.arange(problem.count)
    while True:
        often = np.bincount(inks, minlength=problem.inks)
        better = problem.allowed & (often[inks][:, None] - often[None, :] >= 2)
        if not better.any():
            return inks
        clash = np.array([np.bincount(inks[own], minlength=problem.inks) for own in near]).astype(float)
        cost = np.where(better, clash - clash[rows, inks][:, None], np.inf)
        figure, ink = np.unravel_index(int(cost.argmin()), cost.shape)
        inks[figure] = ink
