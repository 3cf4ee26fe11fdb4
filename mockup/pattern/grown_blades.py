"""Blades of leaves by rule: lobes along a midrib or like the fingers of a hand, on a midrib that bends a little.

A place on a blade is told by its share ``t`` of the way along the midrib, from the base to the tip, and by how far
``u`` (mm) it lies off it; ``side`` is -1 on the left and 1 on the right as seen from the base.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

from mockup.geometry.curves import Curves, Point, eased, joined, reversed_curves, smooth

Margin: TypeAlias = Literal["wavy", "scalloped", "toothed"]
MARGINS: Final[tuple[Margin, ...]] = ("wavy", "scalloped", "toothed")

_SHALLOW: Final = 0.09
_DEEPEST: Final[dict[Margin, tuple[float, float]]] = {
    "wavy": (0.62, 1.5),
    "scalloped": (0.6, 1.5),
    "toothed": (0.5, 0.62),
}
"""For each margin the deepest cut as a share of the half width, and as a share of the distance of lobes."""

_CLOSE: Final = 2.5
_PLUMP: Final = 4.0
"""Distance of lobes, mm, from which on they can be higher than broad."""

_SPAN: Final = (0.05, 0.9)
"""Between which shares of the midrib lobes lie."""

_NEAR: Final = 0.01
"""Step, as a share of the midrib, over which the slope of a margin is taken."""

_CLEAR: Final = 3.2
"""How far, mm, lobes keep from the tip."""

_ROUNDED: Final = 0.4
"""Half the breadth, mm, from which on the tip of a lobe is drawn broad."""

_ROOT: Final = 0.16
"""Share of the midrib at which fingers begin."""

_PLAIN: Final = (0.22, 0.5, 0.78)
"""Where the margin of a plain blade is set."""

_RIB: Final = (0.0, 0.3, 0.62, 1.0)


@dataclass(frozen=True, slots=True)
class Blade:
    """How a blade is made.

    Attributes
    ----------
    length : float
        From base to tip along the midrib, mm.
    broad : tuple of float
        Greatest half width on the left and on the right, mm.
    belly : float
        Share of the way to the tip at which it is broadest.
    full : float
        Below 1 the outline is fuller, above 1 leaner.
    bend : float
        Degrees by which the midrib turns from base to tip.
    lobes : tuple of int
        Lobes on the left and on the right, beside the one at the tip.
    cut : float
        0 to 1: how deeply they are cut.
    margin : Margin
        Round lobes and notches, round lobes only, or round notches only.
    lean : float
        How far a vein goes forward on its way to a lobe, over how far it goes out.
    spread : float
        Degrees from the tip to the last finger; 0 for lobes along the midrib.
    tip : float
        Tangent of half the angle of the tip, at least.
    """

    length: float
    broad: tuple[float, float]
    belly: float
    full: float
    bend: float
    lobes: tuple[int, int]
    cut: float
    margin: Margin
    lean: float
    spread: float
    tip: float

    def at(self, t: float, u: float) -> Point:
        """Give the place on the plane, mm: the base in the origin, the tip upward."""
        turn = math.radians(self.bend)
        radius = self.length / turn
        x, y = radius * (1 - math.cos(turn * t)), -radius * math.sin(turn * t)
        return x + u * math.cos(turn * t), y + u * math.sin(turn * t)

    @property
    def rib(self) -> Curves:
        """The midrib from base to tip."""
        return smooth([self.at(t, 0.0) for t in _RIB], closed=False)

    def side(self, side: int) -> Curves:
        """Give the margin on one side, from base to tip."""
        places, corners = self._margin(side)
        return smooth(places, closed=False, corners=corners, bow=self._bow)

    def outline(self) -> Curves:
        """Give the whole outline."""
        right, sharp = self._margin(1)
        left, blunt = self._margin(-1)
        last = len(right) + len(left) - 2
        corners = [*sharp, *(last - number for number in blunt if number)]
        return smooth([*right, *left[-2:0:-1]], closed=True, corners=corners, bow=self._bow)

    def _margin(self, side: int) -> tuple[list[Point], list[int]]:
        """Give the points of the margin on one side, from base to tip, and the numbers of its corners."""
        places: list[Point] = [(0.0, 0.0)]
        corners = [0]
        count = self.lobes[side > 0]
        if not count:
            places += [(t, self.half(t, side)) for t in _PLAIN]
        for tip, notch in self.tips(side):
            if self.margin == "toothed":
                corners.append(len(places))
            places += self._round(tip, count) if self.margin == "wavy" else [tip]
            if self.margin == "scalloped":
                corners.append(len(places))
            places.append(notch)
        if count:
            places.append(self._shoulder(places[-1]))
        corners.append(len(places))
        places.append((1.0, 0.0))
        return [self.at(t, side * u) for t, u in places], corners

    @property
    def _bow(self) -> float:
        return 0.3 if self.margin == "toothed" else 1.0

    def halves(self) -> tuple[Curves, Curves]:
        """Give the left and the right half, which share the midrib."""
        back = reversed_curves(self.rib)
        return eased(joined(self.side(-1), back)), eased(joined(self.side(1), back))

    def tips(self, side: int) -> Iterator[tuple[Point, Point]]:
        """Give the tip of each lobe on a side, from the base up, and the notch above it, as (t, u)."""
        count = self.lobes[side > 0]
        for number in range(count):
            yield self._finger(number, count, side) if self.spread else self._lobe(number, count, side)

    def veins(self, side: int) -> Iterator[Curves]:
        """Give the vein of each lobe on a side, from near the midrib to near its tip."""
        for (t, u), _ in self.tips(side):
            base = _ROOT * 0.6 if self.spread else max(t - self.lean * u / self.length, 0.05)
            bow = 0.0 if self.spread else 0.09
            places = [(0.16, 0.16), (0.42, 0.42 + bow), (0.68, 0.68 + 0.8 * bow)]
            yield smooth(
                [self.at(base + (t - base) * along, side * u * out) for along, out in places], closed=False
            )

    def half(self, t: float, side: int) -> float:
        """Give the half width of the uncut blade, mm."""
        if not 0 < t < 1:
            return 0.0
        power = math.log(0.5) / math.log(self.belly)
        return self.broad[side > 0] * float(math.sin(math.pi * t**power) ** self.full)

    def inner(self, start: float, end: float, share: float) -> Curves:
        """Draw a plain blade round the midrib from ``start`` to ``end``, ``share`` times as broad."""
        span = end - start
        right, left = (
            [self.at(start + span * t, side * share * self.half(t, side)) for t in _PLAIN] for side in (1, -1)
        )
        ring = [self.at(start, 0.0), *right, self.at(end, 0.0), *left[::-1]]
        return smooth(ring, closed=True, corners=(0, 4))

    def _round(self, tip: Point, count: int) -> list[Point]:
        """Give two points that make a round lobe of a tip."""
        t, u = tip
        if not self.spread:
            half = 0.17 * self._step(count)
            if half * self.length < _ROUNDED:
                return [tip]
            return [(t - half, 0.96 * u), (t + half, 0.96 * u)]
        x, y = (t - _ROOT) * self.length, u
        half = math.radians(0.2 * self.spread) / count
        return [
            (
                _ROOT + 0.97 * (x * math.cos(turn) - y * math.sin(turn)) / self.length,
                0.97 * (x * math.sin(turn) + y * math.cos(turn)),
            )
            for turn in (half, -half)
        ]

    def _shoulder(self, notch: Point) -> Point:
        """Give the point that makes an arch of the tip: wide enough for a pen in either half."""
        t = notch[0] + 0.45 * (1 - notch[0])
        return t, max(self.tip * (1 - t) * self.length, 0.74 * notch[1])

    def _share(self, number: int, count: int, pitch: float, out: float) -> float:
        """Give how deeply a notch is cut, as a share of ``out``; ``pitch`` is the distance of lobes, both in mm.

        Lobes stay plump: teeth about as broad as high, others as their distance allows a pen. Beside the tip the
        cut is less deep.
        """
        deepest, slim = _DEEPEST[self.margin]
        cut = self.cut * (0.7 if number == count - 1 else 1.0)
        plump = slim if pitch >= _PLUMP else min(slim, 0.75 if pitch >= _CLOSE else 0.5)
        shallow = min(_SHALLOW, 0.5 * pitch / out)
        return min(shallow + (deepest - shallow) * cut, max(plump * pitch / out, shallow))

    def _step(self, count: int) -> float:
        """Give the distance of lobes along the midrib, as a share of it; the tip keeps clear of them."""
        return (min(_SPAN[1], 1 - _CLEAR / self.length) - _SPAN[0]) / count

    def _lobe(self, number: int, count: int, side: int) -> tuple[Point, Point]:
        step = self._step(count)
        above = _SPAN[0] + (number + 1) * step
        tip = above - (0.5 - 0.12 * min(self.lean, 1.0)) * step
        out = self.half(above, side)
        rise = (self.half(above + _NEAR, side) - self.half(above - _NEAR, side)) / (2 * _NEAR * self.length)
        slant = math.hypot(1.0, rise)
        cut = out * self._share(number, count, step * self.length * slant, out)
        along = cut * rise - 0.15 * step * self.length
        notch = above + along / slant / self.length, out - (cut + 0.15 * step * self.length * rise) / slant
        return (tip, self.half(tip, side)), notch

    def _finger(self, number: int, count: int, side: int) -> tuple[Point, Point]:
        angle = math.radians(self.spread) * (count - number) / count
        between = math.radians(self.spread) * (count - number - 0.5) / count
        widen = self.broad[side > 0] / (0.34 * self.length)
        short = 0.3 if count == 1 else 0.46
        reach, above = (
            (1 - _ROOT) * self.length * (1 - short * (one / math.radians(self.spread)) ** 1.2)
            for one in (angle, between)
        )
        pitch = math.radians(self.spread) / count * above
        dent = above * (1 - self._share(number, count, pitch, above))
        return (
            (_ROOT + reach * math.cos(angle) / self.length, widen * reach * math.sin(angle)),
            (_ROOT + dent * math.cos(between) / self.length, widen * dent * math.sin(between)),
        )
