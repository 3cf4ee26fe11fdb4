"""The smallest colour repeat on which the palette can be spread without contact and near every target."""

import math
from typing import Final

import numpy as np

from mockup.colouring.facing import Facing
from mockup.jobs.asking import Tiled, rectangle_cell
from mockup.jobs.cell import Asked
from mockup.jobs.planned import Spreading, solved, unwished
from mockup.jobs.rectangles import Rectangle, rectangles

SHARE_SLACK: Final = 0.02
"""Share error that is let pass."""

WORK: Final = 6000
"""Nodes that the search for the smallest colour repeat may ink to no avail before it takes what it has."""

SMALL: Final = 400
"""Above so many nodes contact at the first try is taken to be there for good."""

AGAIN: Final = 3
HASTE: Final = 4
"""Starts, and patience with contact, that a rectangle gets where the first start did not do."""


def smallest(tiled: Tiled) -> Spreading:
    """Find the rectangle of fewest tiles without contact and with every share near its target.

    Where nodes face their own copies there is contact, whatever the inks; such rectangles are not tried unless
    there are no others. The rest get one run each, and more where that comes near; the search ends when what it may
    cost is spent. If no rectangle does, the one with least contact is taken, of these the one with least share error.
    """
    spent = 0
    best: tuple[tuple[float, float], Rectangle, Spreading] | None = None
    hopeless: list[tuple[float, Rectangle]] = []
    for group in rectangles(tiled.piece):
        done: list[tuple[float, Rectangle]] = []
        for rectangle in group:
            graph = tiled.graph(*rectangle)
            own = _own_copies(tiled, graph) / math.prod(rectangle)
            if own > 0:
                hopeless.append((round(float(own), 6), rectangle))
                continue
            tried, cost = _tried(rectangle_cell(tiled, *rectangle, graph), best[2] if best else None)
            spent += cost
            figures = _faults(tried)
            if figures == (0.0, 0.0):
                done.append((tried.energy / tried.problem.count, rectangle))
            if best is None or figures < best[0]:
                best = figures, rectangle, tried
        if done:
            return _thorough(tiled, min(done)[1], best[2] if best else None)
        if spent > WORK:
            break
    if best is None:
        return solved(rectangle_cell(tiled, *min(hopeless)[1]))
    return _thorough(tiled, best[1], best[2])


def _thorough(tiled: Tiled, rectangle: Rectangle, known: Spreading | None) -> Spreading:
    """Spread the inks over the rectangle that was found once more, thoroughly."""
    found = solved(rectangle_cell(tiled, *rectangle), known=known)
    if known is None or known.plan.tiles != rectangle:
        return found
    return min(known, found, key=lambda plan: (_faults(plan), plan.energy))


def _own_copies(tiled: Tiled, graph: Facing) -> float:
    """Length of the borders between nodes and their own copies, mm; skin may meet skin."""
    skin = np.array([bool(node.side) for node in tiled.piece.tile.nodes])
    alike = graph.faces & (graph.a == graph.b) & ~skin[graph.a % len(skin)]
    return float(graph.length[alike].sum())


def _tried(asked: Asked, known: Spreading | None) -> tuple[Spreading, int]:
    """Spread the inks over a rectangle: once, and thoroughly if that is near; tell what it cost, in nodes."""
    count = asked.problem.count
    once = solved(asked, 1, known, 0)
    contact, off = _faults(once)
    if (contact, off) == (0.0, 0.0) or off > 2 * SHARE_SLACK or (count > SMALL and contact > 0):
        return once, count
    return min(solved(asked, AGAIN, known, HASTE), once, key=_faults), count * AGAIN


def _faults(spreading: Spreading) -> tuple[float, float]:
    """Contact in mm a tile, and how much the share error exceeds the slack."""
    tiles = math.prod(spreading.plan.tiles or (1, 1))
    off = spreading.problem.share_error(spreading.inks)
    return round(unwished(spreading) / tiles, 6), round(max(off - SHARE_SLACK, 0.0), 6)
