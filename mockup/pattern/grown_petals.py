"""Petals and lobes by rule: round, pointed, notched or heart-shaped, alike on both sides of their axis.

The axis is the x axis, the flower's middle the origin, the tip on the right.
"""

import math
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

import numpy as np

from mockup.geometry.curves import (
    ROUND,
    Curves,
    Point,
    curve,
    joined,
    mirrored,
    reversed_curves,
    sampled,
    wheel,
)

Tip: TypeAlias = Literal["round", "pointed", "notched", "heart"]
TIPS: Final[tuple[Tip, ...]] = ("round", "pointed", "notched", "heart")

_SHOULDER: Final = 1.75
"""Least half width, mm, of a petal of which the tip is notched: each shoulder must take a pen of 1.5 mm."""

_SHARPEST: Final = 24.0
"""Half the angle of the sharpest tip, degrees."""


@dataclass(frozen=True, slots=True)
class Lobe:
    """What a lobe looks like: its tip, how full it is (0 slim to 1 full), and the notch between two, degrees."""

    tip: Tip
    full: float
    opening: float


def lobed(count: int, notch: float, reach: float, lobe: Lobe, *, phase: float = 0.0) -> Curves:
    """Draw a disc with lobes all round.

    Parameters
    ----------
    count : int
        How many lobes, 3 or more.
    notch, reach : float
        How far the notches and the tips lie from the middle, mm.
    lobe : Lobe
        What each looks like.
    phase : float
        Where the first tip points, degrees from the x axis; a half step is ``180 / count``.
    """
    half = _half(math.pi / count, notch, reach, lobe)
    half = half * (reach / max(reach, float(np.hypot(*sampled(half, 24).T).max())))
    sector = joined(half * (1.0, -1.0), reversed_curves(half))
    return turned_to(wheel(sector, count), phase)


def turned_to(curves: Curves, degrees: float) -> Curves:
    """Turn a chain about the origin, clockwise as seen."""
    sine, cosine = math.sin(math.radians(degrees)), math.cos(math.radians(degrees))
    x, y = curves[..., 0], curves[..., 1]
    turned = curves.copy()
    turned[..., 0], turned[..., 1] = cosine * x - sine * y, sine * x + cosine * y
    return turned


def shallowest(count: int, reach: float, sagitta: float = 0.24) -> float:
    """Give the radius of the notches of lobes so flat that their rise is ``sagitta`` of their width."""
    half = math.pi / count
    return reach / (math.cos(half) + 2 * sagitta * math.sin(half))


def _half(half_angle: float, notch: float, reach: float, lobe: Lobe) -> Curves:
    """Draw half a lobe, from the notch on the side of positive y to the tip."""
    x, y = notch * math.cos(half_angle), notch * math.sin(half_angle)
    length = reach - x
    swelling = 3.3 * math.atan2(length, y) - math.pi / 2
    leaving = min(half_angle - math.radians(lobe.opening / 2), swelling)
    leaving = max(leaving, -math.atan2(0.6 * y, length))
    along = (math.cos(leaving), math.sin(leaving))
    broad = y + length * along[1] / along[0]
    if lobe.tip == "pointed":
        return _pointed((x, y), along, reach, 0.5 + 0.2 * lobe.full)
    shoulders = min(y + 0.4 * (broad - y), 0.85 * reach * math.tan(half_angle))
    if lobe.tip != "round" and shoulders >= _SHOULDER and length > 0.9 * y:
        return _dented((x, y), along, reach, shoulders, heart=lobe.tip == "heart")
    return _bend((x, y), (reach, broad), (reach, 0.0), 0.5 + 0.16 * lobe.full)


def _bend(start: Point, corner: Point, end: Point, share: float) -> Curves:
    """Draw a curve that touches two lines where it begins and ends; ``corner`` is where these meet."""
    first = (start[0] + share * (corner[0] - start[0]), start[1] + share * (corner[1] - start[1]))
    second = (end[0] + share * (corner[0] - end[0]), end[1] + share * (corner[1] - end[1]))
    return curve(start, first, second, end)


def _pointed(start: Point, along: Point, reach: float, share: float) -> Curves:
    """Draw the side up to a tip that is no sharper than a pen can follow."""
    x, y = start
    chord = math.atan2(y, reach - x)
    steep = min(max(math.radians(_SHARPEST), 1.25 * chord + 0.12), math.radians(76))
    cross = along[0] * math.sin(steep) + along[1] * math.cos(steep)
    reached = ((reach - x) * math.sin(steep) - y * math.cos(steep)) / max(cross, 1e-9)
    corner = (x + reached * along[0], y + reached * along[1])
    return _bend(start, corner, (reach, 0.0), share)


def _dented(start: Point, along: Point, reach: float, shoulder: float, *, heart: bool) -> Curves:
    """Draw the side up to a shoulder and on into the dent at the tip: a soft one, or the sharp one of a heart."""
    length = reach - start[0]
    top = shoulder * (0.55 if heart else 0.6)
    corner = (reach, max(start[1] + length * along[1] / along[0], top + 0.2 * shoulder))
    dent = min((0.3 if heart else 0.2) * length, (0.62 if heart else 0.42) * shoulder)
    side = _bend(start, corner, (reach, top), 0.6)
    bottom = (reach - dent, 0.0)
    if heart:
        return joined(
            side, curve((reach, top), (reach, 0.5 * top), (reach - 0.65 * dent, 0.42 * top), bottom)
        )
    return joined(side, curve((reach, top), (reach, 0.45 * top), (reach - dent, 0.5 * top), bottom))


def petal(base: float, reach: float, broad: float, tip: Tip, *, stub: float = 0.0) -> Curves:
    """Draw one petal by itself.

    Parameters
    ----------
    base, reach : float
        Where it begins and ends on the axis, mm.
    broad : float
        Half its greatest width, mm.
    tip : Tip
        Its end.
    stub : float
        Half its width at the base, mm; with 0 it begins in a point.
    """
    widest = base + (0.55 if tip != "pointed" else 0.45) * (reach - base)
    rise = widest - base
    swell = stub + (0.6 if stub <= 0 else 0.45) * (broad - stub)
    lower = curve((base, stub), (base + 0.3 * rise, swell), (widest - 0.45 * rise, broad), (widest, broad))
    return mirrored(joined(lower, _upper(widest, reach, broad, tip)))


def _upper(widest: float, reach: float, broad: float, tip: Tip) -> Curves:
    """Draw the side of a petal from where it is widest to its tip."""
    side, rest = (widest, broad), reach - widest
    if tip == "pointed":
        steep = max(math.radians(_SHARPEST), 1.15 * math.atan2(broad, rest))
        back = 0.45 * math.hypot(rest, broad)
        second = (reach - back * math.cos(steep), back * math.sin(steep))
        return curve(side, (widest + 0.5 * rest, broad), second, (reach, 0.0))
    if tip == "round" or broad < _SHOULDER:
        return curve(side, (widest + ROUND * rest, broad), (reach, ROUND * broad), (reach, 0.0))
    top, dent = 0.55 * broad, min(0.65 * rest, 0.6 * broad)
    return joined(
        curve(side, (widest + ROUND * rest, broad), (reach, top + 0.3 * broad), (reach, top)),
        curve((reach, top), (reach, 0.5 * top), (reach - 0.65 * dent, 0.42 * top), (reach - dent, 0.0)),
    )
