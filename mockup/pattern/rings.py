"""Ring: one motif in the middle, the others round it ring by ring, as for a plate or a cushion.

A ring holds one motif, as often as it finds room at the same distance all round, every copy with its top outward. Rings
begin anew with the first motif after the last, until the round is full; a motif that does not fit is passed over. It
fills one sheet and does not step.
"""

import math
from collections.abc import Sequence
from typing import Final

import numpy as np

from mockup.errors import DesignError
from mockup.geometry.affine import Affine, rotation, translation
from mockup.geometry.lattice import Lattice
from mockup.geometry.shapes import annulus
from mockup.pattern.cells import alone
from mockup.pattern.motif import Motif
from mockup.pattern.repeat import Layout, Setting, centred, numbered, points_of

_BAND: Final = 2.5
"""Width of a drawn band between two rings, mm."""

_MOST: Final = 60
_FEWEST: Final = 3


def lay_rings(
    settings: Sequence[Setting],
    *,
    tile: tuple[float, float],
    gap: float = 1.5,
    drawn: str = "none",
) -> Layout:
    """Lay motifs out in rings.

    Parameters
    ----------
    settings : sequence of Setting
        The middle first, then ring by ring.
    tile : (float, float)
        Width and height of the sheet's field, mm; the round fills the shorter side.
    gap : float
        Kept clear between motifs and between rings, mm.
    drawn : str
        "band": a band between two rings; "field": a disc or ring behind each ring of motifs; "none": neither.

    Raises
    ------
    DesignError
        A sheet without room for the first motif.
    """
    middle, radius = (tile[0] / 2, tile[1] / 2), min(tile) / 2 - gap
    at_middle = translation(*middle)
    inside = _reach(settings[0])
    if inside > radius:
        raise DesignError(
            f"{settings[0].motif.name} needs a field of {2 * (inside + gap):.0f} mm, and there are {min(tile):.0f}",
            remedy="choose a larger sheet, or give the motif a smaller scale",
        )
    own: list[tuple[Motif, Affine]] = [(settings[0].motif, at_middle @ centred(settings[0], (0.0, 0.0)))]
    edges = [(0.0, inside + gap / 2)]
    start, following = 0.0, 1
    while len(edges) < _MOST:
        near = edges[-1][1] + (_BAND + gap if drawn == "band" else 0.0) + gap / 2
        ring = _next_ring(settings, following, near, radius, gap)
        if ring is None:
            break
        number, at, outer = ring
        setting, following = settings[number % len(settings)], number + 1
        width, low, _ = _sides(setting)
        count = max(_FEWEST, math.floor(2 * math.pi / _angle(width, at - low, gap) + 1e-9))
        for place in range(count):
            turn = rotation(360 * (place + start) / count)
            own.append((setting.motif, at_middle @ turn @ centred(setting, (0.0, -at))))
        start = 0.5 - start
        edges.append((edges[-1][1], outer + gap / 2))
    fields = _fields(edges, radius, gap, drawn)
    placed = numbered([*((one, at_middle) for one in fields), *own])
    return Layout("ring", Lattice(*tile), placed, (1, len(edges)))


def _next_ring(
    settings: Sequence[Setting], following: int, near: float, radius: float, gap: float
) -> tuple[int, float, float] | None:
    """Find the motif of the next ring, the first from ``following`` on that fits: number, distance, outer edge."""
    for number in range(following, following + len(settings)):
        width, low, high = _sides(settings[number % len(settings)])
        at = _distance(width, low, near, gap)
        outer = math.hypot(at + high, width / 2)
        if outer <= radius:
            return number, at, outer
    return None


def _reach(setting: Setting) -> float:
    """Farthest that a motif reaches from the middle of its box, mm."""
    return float(np.hypot(*points_of(setting).T).max()) * setting.factor


def _sides(setting: Setting) -> tuple[float, float, float]:
    """Width that a motif takes up about the middle of its box, and how far it reaches inward and outward, mm."""
    points = points_of(setting) * setting.factor
    return 2 * float(np.abs(points[:, 0]).max()), float(points[:, 1].max()), float(-points[:, 1].min())


def _distance(width: float, low: float, near: float, gap: float) -> float:
    """Distance of a ring from the middle: clear of what is inside, and with room for three copies at least."""
    least = (width + gap) / 2 / math.tan(math.pi / _FEWEST) + low
    return max(near + low, least)


def _angle(width: float, inner: float, gap: float) -> float:
    """Angle that one copy takes whose inner edge lies at a distance, radians."""
    return 2 * math.atan2((width + gap) / 2, max(inner, 1e-6))


def _fields(edges: Sequence[tuple[float, float]], radius: float, gap: float, drawn: str) -> list[Motif]:
    """Bands between the rings, or what lies behind each ring."""
    if drawn == "band":
        discs = [(edge[1] + gap / 2, edge[1] + gap / 2 + _BAND) for edge in edges[:-1]]
        return [alone("band", "band", annulus(*sides)) for sides in discs]
    if drawn == "field":
        last = len(edges) - 1
        sides = [
            (a + (gap / 2 if a else 0), radius if n == last else b - gap / 2)
            for n, (a, b) in enumerate(edges)
        ]
        return [alone("cloth", "field", annulus(*one)) for one in sides]
    return []
