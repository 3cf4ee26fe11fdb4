"""The stem of a spray: a line that bends and sways, drawn as a strip that is round at the tip."""

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from mockup.geometry.affine import Points, rotation, translation
from mockup.geometry.curves import (
    ROUND,
    Curves,
    Point,
    curve,
    eased,
    joined,
    moved,
    reversed_curves,
    smooth,
    straight,
    wheel,
)
from mockup.pattern.chance import Chance
from mockup.pattern.sketch import LINE

_WIDTHS: Final = (1.8, 3.0)
"""Least and greatest width of a stem, mm."""

_SMALL: Final = 9.0
"""Length, mm, below which a stem is a line."""

_STEPS: Final = 60


@dataclass(frozen=True, eq=False, slots=True)
class Stem:
    """The middle line of a stem: (n, 2) points in mm at even steps from base to tip, its directions, and its width."""

    points: Points
    headings: Points
    width: float

    def at(self, t: float) -> tuple[Point, float]:
        """Give the place at a share of the length, and the direction there, degrees."""
        number = min(max(t, 0.0), 1.0) * _STEPS
        low = min(int(number), _STEPS - 1)
        part = number - low
        x, y = (self.points[low] * (1 - part) + self.points[low + 1] * part).tolist()
        return (x, y), float(self.headings[low] * (1 - part) + self.headings[low + 1] * part)

    def off(self, points: Points) -> NDArray[np.float64]:
        """Give the distance of each point from the middle line, mm."""
        apart = points[:, np.newaxis, :] - self.points[np.newaxis, :, :]
        return np.asarray(np.sqrt((apart**2).sum(axis=2).min(axis=1)))

    def outline(self) -> Curves:
        """Draw the stem, a little broader at the foot, round at the tip."""
        edges = [
            smooth([self.beside(t, side) for t in (0.0, 0.25, 0.5, 0.75, 1.0)], closed=False)
            for side in (1, -1)
        ]
        tip, heading = self.at(1.0)
        half = self.width / 2
        cap = wheel(curve((1, 0), (1, ROUND), (ROUND, 1), (0, 1)), 4)[:2] * half
        cap = moved(cap, translation(*tip) @ rotation(heading - 90))
        foot = straight(self.beside(0.0, 1), self.beside(0.0, -1))
        return eased(joined(edges[1], cap, reversed_curves(edges[0]), foot))

    def beside(self, t: float, side: float) -> Point:
        """Give a place beside the middle line: ``side`` is 1 on the right edge, -1 on the left."""
        (x, y), heading = self.at(t)
        half = side * self.width / 2 * (1.12 - 0.12 * t)
        across = math.radians(heading + 90)
        return x + half * math.cos(across), y + half * math.sin(across)


def grown_stem(length: float, chance: Chance) -> Stem:
    """Grow a stem of so many mm, upward from the origin."""
    way = chance.pick("way", (-1, 1))
    bend, sway = chance.between("bend", 12, 55) * way, chance.between("sway", -14, 14)
    t = np.linspace(0, 1, _STEPS + 1)
    headings = -90 + chance.between("tilt", -8, 14) * way + bend * (t - 0.35) + sway * np.sin(2 * np.pi * t)
    steps = np.column_stack([np.cos(np.radians(headings)), np.sin(np.radians(headings))]) * length / _STEPS
    points = np.vstack([np.zeros((1, 2)), np.cumsum((steps[:-1] + steps[1:]) / 2, axis=0)])
    stalk = min(max(0.068 * length, _WIDTHS[0]), _WIDTHS[1])
    return Stem(points, headings, stalk if length >= _SMALL else LINE)
