"""Patches of a drawing that is inked by hand: compact, of like size, all inks in each, outward from a start.

The drawing is cut into rows of patches, and each row into patches, where as many nodes lie before a cut as after it in
the same parts. Where a patch would lack an ink, that ink has a cut of its own a little to either side of the common
one. Then the patches are walked, the nearest to the start first.
"""

import math
from itertools import product
from typing import Final

import numpy as np

from mockup.colouring.problem import Floats, Ints, Mask

CENTRE: Final = "centre"

SHAPES: Final = 2.5
"""Shapes of each ink in a patch, about: between two and three (common practice, no source)."""

SLACK: Final = 0.5
"""How far an ink's own cut may lie from the common one, in sides of a patch."""

_LONG: Final = 0.5
"""How much a patch twice as long as wide weighs beside one that holds twice or half as many shapes."""

_STEP: Final = 1e-6
"""Places that differ by less are the same, mm."""


def patches(
    place: Floats, ink: Ints, aside: Mask, size: tuple[float, float], start: str, shapes: float = SHAPES
) -> Ints:
    """Deal nodes to patches.

    Parameters
    ----------
    place : (n, 2) floats
        Centre of each node, mm.
    ink : (n,) ints
        Ink of each node.
    aside : (n,) bools
        Nodes that belong to the patch in which they lie and do not count when nodes are dealt out, as skin.
    size : (float, float)
        Width and height of the sheet or cell, mm.
    start : str
        Where inking begins: centre, top-left, top-right, bottom-left or bottom-right.
    shapes : float
        Shapes of each ink that a patch holds, about.

    Returns
    -------
    (n,) ints
        Patch of each node, counted from 0 in the order in which they are inked. An ink with as many nodes as there are
        patches, and spread as evenly as they, is in every one.
    """
    if not len(place):
        return np.zeros(0, dtype=np.int64)
    aside = aside & ~aside.all()
    count = len(place) - int(aside.sum())
    wanted = count / (shapes * len(np.unique(ink[~aside])))
    rows, columns = grid(wanted, size, odd=start == CENTRE)
    slack = SLACK * math.sqrt(size[0] * size[1] / (rows * columns))
    row = cut(place[:, ::-1], ink, aside, rows, slack, columns)
    column = np.zeros_like(row)
    for own in (np.flatnonzero(row == number) for number in range(rows)):
        column[own] = cut(place[own], ink[own], aside[own], columns, slack)
    turn = np.zeros((rows, columns), dtype=np.int64)
    for number, at in enumerate(walk(rows, columns, start, size)):
        turn[at] = number
    _, patch = np.unique(turn[row, column], return_inverse=True)
    return np.asarray(patch.reshape(-1), dtype=np.int64)


def grid(wanted: float, size: tuple[float, float], *, odd: bool = False) -> tuple[int, int]:
    """Find rows and columns that make about so many patches, as square as can be.

    ``odd`` asks for an odd number of both, so that one patch lies in the middle.
    """
    wanted, step = max(wanted, 1.0), 2 if odd else 1

    def near(number: float) -> range:
        first = max(1, math.floor(number) - 2)
        return range(first + (odd and first % 2 == 0), math.ceil(number) + 4, step)

    def off(way: tuple[int, int]) -> tuple[float, int, int]:
        rows, columns = way
        long = math.log2((size[0] / columns) / (size[1] / rows))
        return round(abs(math.log2(rows * columns / wanted)) + _LONG * abs(long), 9), rows, columns

    tall = math.sqrt(wanted * size[1] / size[0])
    ways = set(product(near(tall), near(wanted / tall)))
    ways |= {(1, columns) for columns in near(wanted)} | {(rows, 1) for rows in near(wanted)}
    return min(ways, key=off)


def cut(place: Floats, ink: Ints, aside: Mask, parts: int, slack: float, least: int = 1) -> Ints:
    """Cut nodes into parts along the first of their coordinates; give the part of each, (n,).

    As many nodes lie in each part. Of each ink at least so many do, if there are enough, and if for that none has to
    lie further than ``slack`` (mm) beyond the common cut. Nodes in one place are cut in the order of their numbers.
    """
    part = np.zeros(len(place), dtype=np.int64)
    along, across = np.rint(place / _STEP).T
    order = np.lexsort((across, along))
    order = order[~aside[order]]
    if not len(order):
        return part
    before = np.rint(len(order) * np.arange(1, parts) / parts).astype(np.int64)
    sorted_ = place[order, 0]
    lines = (sorted_[np.maximum(before - 1, 0)] + sorted_[np.minimum(before, len(order) - 1)]) / 2
    part[aside] = np.searchsorted(lines, place[aside, 0])
    for own in np.unique(ink[order]):
        ranks = np.flatnonzero(ink[order] == own)
        ends = _ends(sorted_[ranks], np.searchsorted(ranks, before), lines, slack, least)
        part[order[ranks]] = np.searchsorted(ends, np.arange(len(ranks)), side="right")
    return part


def _ends(along: Floats, common: Ints, lines: Floats, slack: float, least: int) -> Ints:
    """How many nodes of one ink lie before each cut: as the common cuts have it, but ``least`` in each part."""
    count, parts = len(along), len(lines) + 1
    least = min(least, count // parts)
    low, high = np.searchsorted(along, lines - slack), np.searchsorted(along, lines + slack, side="right")
    ends, last = np.zeros(parts - 1, dtype=np.int64), 0
    for number, own in enumerate(common.tolist()):
        wish = min(max(own, last + least), count - least * (parts - 1 - number))
        last = max(last, min(max(wish, int(low[number])), int(high[number])))
        ends[number] = last
    return ends


def walk(rows: int, columns: int, start: str, size: tuple[float, float]) -> list[tuple[int, int]]:
    """Give the patches of a grid (row, column) as they are inked: outward by the distance of their middles, mm.

    Of those as far away one comes after the other clockwise, from a corner as seen from there.
    """
    high, wide = size[1] / rows, size[0] / columns
    home = (rows - 1) / 2, (columns - 1) / 2
    if start != CENTRE:
        home = (rows - 1.0 if "bottom" in start else 0.0), (columns - 1.0 if "right" in start else 0.0)

    def outward(at: tuple[int, int]) -> tuple[float, float]:
        down, right = (at[0] - home[0]) * high, (at[1] - home[1]) * wide
        return round(math.hypot(down, right), 6), round(math.atan2(right, -down) % (2 * math.pi), 9)

    return sorted(product(range(rows), range(columns)), key=outward)
