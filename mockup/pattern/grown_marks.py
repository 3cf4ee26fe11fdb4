"""What is set into the lobes of a layer where there is room: inner petals, beads between the tips, and veins.

All of it is drawn once, for the lobe along the x axis, and turned to every lobe. ``room`` is what a mark may not
come near: points of the outlines round it.
"""

import math
from typing import Final

import numpy as np

from mockup.geometry.affine import Points
from mockup.geometry.curves import Curves, circle, curve, sampled, straight
from mockup.pattern.grown_petals import Tip, petal, turned_to

LEAST: Final = 1.7
"""Least width of anything that takes ink, mm, with some to spare over the 1.5 mm of a common pen."""

CLEAR: Final = 0.8
"""Least ground between a part and another that it does not touch, mm."""


def distance(points: Points, others: Points) -> float:
    """Give the smallest distance between two sets of points, mm."""
    apart = points[:, np.newaxis, :] - others[np.newaxis, :, :]
    return float(np.sqrt((apart**2).sum(axis=2).min()))


def holds(ring: Points, points: Points) -> bool:
    """Tell whether a closed ring holds any of the points."""
    following = np.roll(ring, -1, axis=0)
    x, y = points[:, :1], points[:, 1:]
    spans = (ring[:, 1] > y) != (following[:, 1] > y)
    rise = np.where(spans, following[:, 1] - ring[:, 1], 1.0)
    cross = ring[:, 0] + (y - ring[:, 1]) / rise * (following[:, 0] - ring[:, 0])
    return bool((((spans & (cross > x)).sum(axis=1) % 2) == 1).any())


def flame(begin: float, end: float, tip: Tip, count: int, room: Points) -> Curves | None:
    """Draw the largest inner petal that leaves the outer one wide enough all round; None where it were a sliver.

    Parameters
    ----------
    begin, end : float
        Between which it lies on the axis, mm; in little room it is a round spot.
    tip : Tip
        Its end.
    count : int
        How many there will be all round.
    room : Points
        The outlines that it lies in, (n, 2) floats, mm.
    """
    least = 0.56 * LEAST
    for length in (end - begin, 0.8 * (end - begin)):
        for share in (0.34, 0.3, 0.26, 0.22, 0.19):
            half = length * share
            if half >= least:
                drawn = petal(end - length, end, half, tip)
                if _fits(drawn, count, room):
                    return drawn
    for radius in (1.5, 1.3, 1.1, least):
        drawn = circle(end - radius, 0.0, radius)
        if 2 * radius <= end - begin and _fits(drawn, count, room):
            return drawn
    return None


def tongue(begin: float, end: float, tip: Tip, count: int, room: Points) -> Curves | None:
    """Draw the largest inner petal that comes out from under the middle, of which the radius is ``begin``."""
    for length in (end - begin, 0.75 * (end - begin)):
        for share in (0.3, 0.26, 0.22, 0.19, 0.16):
            half = length * share
            if half >= 0.56 * LEAST and length >= 2 * LEAST:
                drawn = petal(begin - 1.0, begin + length, half, tip, stub=0.56 * LEAST)
                if _fits(drawn, count, room, begin):
                    return drawn
    return None


def _fits(drawn: Curves, count: int, room: Points, inside: float = 0.0) -> bool:
    """Tell whether what lies of a mark outside a radius keeps its distance from outlines and from the next mark."""
    points = sampled(drawn)
    seen = points[np.hypot(points[:, 0], points[:, 1]) > inside]
    return (
        distance(seen, room) >= LEAST
        and distance(seen, turned_to(seen[np.newaxis], 360.0 / count)[0]) >= LEAST
    )


def bead(angle: float, notch: float, reach: float, room: Points) -> Curves | None:
    """Draw the largest bead, 1.9 to 3.4 mm across, that finds room between the tips.

    Parameters
    ----------
    angle : float
        Where the notch lies, degrees.
    notch, reach : float
        How far the notches and the tips lie from the middle, mm.
    room : Points
        The outline, (n, 2) floats, mm.
    """
    across, down = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    for radius in (1.7, 1.5, 1.3, 1.1, 0.95):
        for inward in (0.0, 0.3, 0.6, 1.0):
            away = reach - radius - inward
            middle = np.array([(away * across, away * down)])
            if away - notch >= radius + CLEAR and distance(middle, room) >= radius + CLEAR:
                return circle(away * across, away * down, radius)
    return None


def dash(begin: float, end: float, slant: float) -> Curves:
    """Draw a vein on a ray at ``slant`` degrees, from ``begin`` to ``end`` mm out, bending a little."""
    angle = math.radians(slant)
    start = (begin * math.cos(angle), begin * math.sin(angle))
    stop = (end * math.cos(1.12 * angle), end * math.sin(1.12 * angle))
    run = (stop[0] - start[0], stop[1] - start[1])
    bow = math.copysign(0.06, slant) if slant else 0.0
    first = (start[0] + run[0] / 3 + bow * run[1], start[1] + run[1] / 3 - bow * run[0])
    second = (start[0] + run[0] * 2 / 3, start[1] + run[1] * 2 / 3)
    return curve(start, first, second, stop)


def veins(begin: float, end: float, count: int, spread: float, room: Points) -> list[Curves]:
    """Draw three veins, the middle one longest, as far as they keep clear of outlines; one, or none, in little room."""
    length = end - begin
    pitch = 2 * math.pi * begin / count
    drawn: list[Curves] = []
    for slant, share in ((0.0, 0.62), (spread, 0.4), (-spread, 0.4)):
        line = dash(begin + 0.05 * length, begin + share * length, slant)
        enough = pitch >= (4.2 if slant else 1.9) and (share - 0.05) * length >= 1.0
        if enough and distance(sampled(line), room) >= 1.0:
            drawn.append(line)
    return drawn if len(drawn) != 2 else drawn[:1]


def stitches(radius: float, count: int) -> list[Curves]:
    """Draw short strokes all round the inside of a disc; none where they would crowd."""
    begin = max(0.5 * radius, 1.3 * count / (2 * math.pi))
    if radius - 0.75 - begin < 0.8:
        return []
    stroke = straight((begin, 0.0), (radius - 0.75, 0.0))
    return [turned_to(stroke, -90.0 + 360.0 * one / count) for one in range(count)]
