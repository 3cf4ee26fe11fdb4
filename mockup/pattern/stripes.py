"""Stripe: columns of motifs, each column one motif over and over, and between the columns a chain of bars, or panels.

The columns are as wide as their motifs ask; down a column the motifs stand equally far apart, a whole number of them in
a tile. Every other column begins half a step lower, so that no rows form across the stripes.
"""

import math
from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from mockup.errors import DesignError
from mockup.geometry.affine import Affine, translation
from mockup.geometry.lattice import Lattice
from mockup.geometry.shapes import Shape, area, grown, rectangle
from mockup.pattern.cells import alone
from mockup.pattern.motif import Motif
from mockup.pattern.planegroups import row_by_row
from mockup.pattern.repeat import Layout, Setting, centred, numbered, points_of

_BAR: Final = 3.0
"""Width of a bar between columns, mm, at natural size."""

_LEAST: Final = 0.02
_SAME: Final = 1e-9
_TALLEST: Final = 3
"""A tile that follows from the motifs holds so many of the tallest one."""


def lay_stripes(
    settings: Sequence[Setting],
    *,
    tile: tuple[float, float] | None = None,
    gap: float = 1.5,
    coverage: float = 0.55,
    drawn: str = "band",
) -> Layout:
    """Lay motifs out in columns.

    Parameters
    ----------
    settings : sequence of Setting
        Motifs; each has its column, from the left.
    tile : (float, float), optional
        Width and height of a tile, mm; left out: from the motifs' natural sizes.
    gap : float
        Kept clear between motifs and bars, mm.
    coverage : float
        Only for a tile that follows from the motifs: the share of their columns that they may cover.
    drawn : str
        "band": bars between the columns; "field": a panel behind each motif; "none": neither.

    Raises
    ------
    DesignError
        A tile without room for the motifs.
    """
    bars = _BAR + 2 * gap if drawn == "band" else gap
    sizes = np.array([_size(one) for one in settings]) + (2 * gap if drawn == "field" else 0.0)
    tile = tile or _natural(settings, sizes, bars, gap, coverage)
    wide = float(sizes[:, 0].sum() + bars * len(settings))
    fits = min(1.0, tile[0] / wide, (tile[1] - gap) / float(sizes[:, 1].max()))
    factor = 1.0 if any(one.scale is not None for one in settings) else fits
    if factor < _LEAST:
        raise DesignError(
            f"a tile of {tile[0]:g} x {tile[1]:g} mm has no room for {len(settings)} columns of motifs",
            remedy="make the tile larger or name fewer motifs",
        )
    slack = (tile[0] - wide * factor) / len(settings)
    behind: list[tuple[Motif, Affine]] = []
    own: list[tuple[Motif, Affine]] = []
    left = 0.0
    for number, setting in enumerate(settings):
        across = sizes[number, 0] * factor + slack
        count = max(1, math.floor(tile[1] / (sizes[number, 1] * factor + gap) + _SAME))
        step = tile[1] / count
        spots = [
            (left + across / 2, (place + 0.5 * (1 + number % 2)) * step % tile[1]) for place in range(count)
        ]
        own += [(setting.motif, centred(setting, spot, setting.factor * factor)) for spot in spots]
        if drawn == "field":
            panel = _panel(across, step - gap, gap)
            behind += [(panel, translation(*spot)) for spot in spots]
        if drawn == "band":
            behind += _bars(left + across + (gap + _BAR / 2) * factor, _BAR * factor, count, tile[1], gap)
        left += across + bars * factor
    ordered = [sorted(some, key=lambda one: row_by_row(*one)) for some in (behind, own)]
    return Layout("stripe", Lattice(*tile), numbered(ordered[0] + ordered[1]), (len(settings), 1))


def _natural(
    settings: Sequence[Setting], sizes: NDArray[np.float64], bars: float, gap: float, coverage: float
) -> tuple[float, float]:
    """Tile (whole mm) that holds the columns at their sizes, and a few of the tallest motif down."""
    covered = np.array([sum(area(p.shape) for p in one.motif.parts) * one.factor**2 for one in settings])
    pitch = np.maximum(sizes[:, 1] + gap, covered / coverage / (sizes[:, 0] + bars))
    wide = float(sizes[:, 0].sum() + bars * len(settings))
    return float(math.ceil(wide)), float(math.ceil(_TALLEST * pitch.max()))


def _size(setting: Setting) -> tuple[float, float]:
    """Width and height that a motif takes up about the middle of its box, mm; lines may reach beyond the box."""
    points = points_of(setting) * setting.factor
    width, height = 2 * np.abs(points).max(axis=0)
    return float(width), float(height)


def _panel(width: float, height: float, gap: float) -> Motif:
    """A panel with rounded corners about the origin."""
    return alone("cloth", "field", _rounded(width, height, min(gap, width / 4, height / 4)))


def _bars(x: float, width: float, count: int, tall: float, gap: float) -> list[tuple[Motif, Affine]]:
    """A chain of bars down a tile, with rounded ends."""
    step = tall / count
    bar = alone("band", "band", _rounded(width, max(step - gap, width), width / 2 * 0.98))
    return [(bar, translation(x, (number + 0.5) * step)) for number in range(count)]


def _rounded(width: float, height: float, radius: float) -> Shape:
    """A rectangle about the origin with rounded corners."""
    x, y = width / 2 - radius, height / 2 - radius
    return grown(rectangle(-x, -y, x, y), radius)
