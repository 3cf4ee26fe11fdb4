"""The order in which a piece is inked by hand, as numbers: patch by patch outward, light before dark in each.

Common practice, no source: inks are spread from the centre or a corner outward, all inks in each patch, a light ink
before a dark one that could bleed into it. Skin is inked where it lies, by its lightness like any other ink. One ink
may be held back until all others are in. Bare paper is never inked: leave such nodes out.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from mockup.colouring.patches import CENTRE, patches
from mockup.colouring.problem import Floats, Ints, Mask

STARTS: Final = (CENTRE, "top-left", "top-right", "bottom-left", "bottom-right")
"""Where inking may begin: the centre, or a corner."""

_STEP: Final = 1e-6


@dataclass(frozen=True, eq=False, slots=True)
class Work:
    """What is to be inked.

    Attributes
    ----------
    area : (n,) floats
        What of each node is seen, mm2.
    place : (n, 2) floats
        Centre of each node, mm from the top left of the sheet or cell.
    ink : (n,) ints
        Ink of each node.
    light : (k,) floats
        Lightness L* of each ink.
    skin : (n,) bools
        Nodes that take an ink of a side palette: not every patch can have one.
    size : (float, float)
        Width and height of the sheet or cell, mm.
    """

    area: Floats
    place: Floats
    ink: Ints
    light: Floats
    skin: Mask
    size: tuple[float, float]


@dataclass(frozen=True, eq=False, slots=True)
class Order:
    """An order of work.

    Attributes
    ----------
    nodes : (n,) ints
        Numbers of the nodes as they are inked, first to last.
    patch : (n,) ints
        Patch of each node, by its number; patches are counted from 0 as they are inked.
    """

    nodes: Ints
    patch: Ints

    @property
    def patches(self) -> int:
        """How many patches there are."""
        return int(self.patch.max(initial=-1)) + 1


def order_of_work(work: Work, start: str = CENTRE, held: int | None = None) -> Order:
    """Find the order in which nodes are inked; it does not depend on how they are numbered.

    Patch by patch; in a patch ink by ink, the lightest first; the shapes of one ink from the start outward.

    Parameters
    ----------
    work : Work
        The nodes.
    start : str
        One of ``STARTS``.
    held : int, optional
        This ink comes last, in all patches; the order of all else, and its own, stays.

    Raises
    ------
    ValueError
        Nobody starts there.
    """
    if start not in STARTS:
        raise ValueError(f"inking starts at one of {', '.join(STARTS)}, not at {start!r}")
    x, y = np.rint(work.place.T / _STEP)
    known = np.lexsort((work.area, work.ink, y, x))
    patch = np.zeros(len(known), dtype=np.int64)
    patch[known] = patches(work.place[known], work.ink[known], work.skin[known], work.size, start)
    far = np.rint(np.hypot(*(work.place - start_point(start, work.size)).T) / _STEP)
    light = -np.rint(work.light / _STEP)[work.ink]
    last = work.ink == (-1 if held is None else held)
    order = np.lexsort((work.area, x, y, far, work.ink, light, patch, last))
    return Order(np.asarray(order, dtype=np.int64), patch)


def start_point(start: str, size: tuple[float, float]) -> tuple[float, float]:
    """Give the point (mm) at which inking begins."""
    if start == CENTRE:
        return size[0] / 2, size[1] / 2
    return (size[0] if "right" in start else 0.0), (size[1] if "bottom" in start else 0.0)


def done_at(area: Floats, share: float) -> int:
    """How many nodes are inked when so much of the area is: what comes nearest to ``share`` (0 to 1).

    ``area`` (n,) is the area of the nodes in the order in which they are inked, mm2.
    """
    sums = np.concatenate(([0.0], np.cumsum(area)))
    return int(np.abs(sums - share * sums[-1]).argmin())


def patches_done(order: Order, done: int, ink: Ints, held: int | None = None) -> Mask:
    """Tell of which patches all nodes but those of a held ink are inked when the first ``done`` are, (p,)."""
    left = order.nodes[done:]
    left = left[ink[left] != (-1 if held is None else held)]
    return ~np.isin(np.arange(order.patches), order.patch[left])
