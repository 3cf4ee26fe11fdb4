"""Layouts by plane group: the motif drawn once in the asymmetric unit, and every image of it that the group makes.

A motif sits at the point whose images lie farthest apart. It is scaled down, never up, until it stays inside its part
of the unit, unless she gave it a scale; what then reaches over a mirror is cut there.
"""

import math
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Final

import numpy as np
from numpy.typing import NDArray

from mockup.errors import DesignError
from mockup.geometry.affine import Affine, translation
from mockup.geometry.domains import Domain, domains
from mockup.geometry.lattice import Lattice
from mockup.geometry.planegroups import HEXAGONAL, SQUARE, images
from mockup.geometry.shapes import (
    Shape,
    area,
    difference,
    intersection,
    lines_inside,
    lines_outside,
    moved,
    strokes,
)
from mockup.pattern.motif import Element, LineWork, Motif, Part
from mockup.pattern.repeat import Layout, Setting, centred, numbered, points_of

OBLIQUE: Final = ("p1", "p2")
"""Groups whose lattice may be slanted by a drop."""

_SHAPES: Final = (1.0, 4 / 3, 3 / 4, 3 / 2, 2 / 3, 2.0, 1 / 2)
_FAR: Final = 10.0
_SAME: Final = 1e-9
_LEAST: Final = 0.02
"""Smallest factor on a motif's natural size."""


def cell_of(symbol: str, tile: tuple[float, float], drop: Fraction | None = None) -> Lattice:
    """Give what is tiled and how it steps: the cell; of a hexagonal group the upright rectangle of two cells."""
    width, height = tile
    if symbol in HEXAGONAL:
        return Lattice(width, width * math.sqrt(3))
    return Lattice(width, height, step=drop or Fraction(0))


def lay_group(
    settings: Sequence[Setting],
    symbol: str,
    *,
    tile: tuple[float, float] | None = None,
    drop: Fraction | None = None,
    coverage: float = 0.55,
    gap: float = 1.5,
) -> Layout:
    """Lay motifs out by a plane group.

    Parameters
    ----------
    settings : sequence of Setting
        The motifs that share the asymmetric unit.
    symbol : str
        One of ``geometry.planegroups.POSITIONS``.
    tile : (float, float), optional
        The cell's sides, mm; left out: from the motifs' natural sizes.
    drop : Fraction, optional
        Slant of an oblique lattice: how far each row is moved.
    coverage, gap : float
        Share to cover at most where no tile is given, and mm to keep clear between images.

    Raises
    ------
    DesignError
        A tile without room for the motifs.
    """
    tile = tile or _natural(settings, symbol, drop, coverage, gap)
    lattice = cell_of(symbol, tile, drop)
    units = domains(symbol, lattice, len(settings))
    group = images(symbol, (lattice.width, lattice.height))
    dealt = _dealt(settings, units)
    own = [_set(setting, unit, gap) for setting, unit in dealt]
    drawn: list[tuple[int, Motif, Affine]] = []
    for number, (motif, at, site) in enumerate(own):
        for image in group if motif.elements else ():
            home = _home(image.map.apply(site[None, :])[0], lattice)
            drawn.append((number, motif, home @ image.map @ at))
    drawn.sort(key=lambda one: row_by_row(*one[1:]))
    named = zip(numbered([one[1:] for one in drawn]), drawn, strict=True)
    # the images of one motif lie above those of the one before everywhere, so that the group holds where they meet
    placed = sorted(named, key=lambda one: one[1][0])
    return Layout(symbol, lattice, tuple(one for one, _ in placed), (len(settings), 1))


def _home(spot: NDArray[np.float64], lattice: Lattice) -> Affine:
    """Steps that bring a spot (2,) into the rectangle at (0, 0)."""
    row = math.floor(spot[1] / lattice.height + _SAME)
    slid, _ = lattice.shift(0, -row)
    column = math.floor((spot[0] + slid) / lattice.width + _SAME)
    return translation(*lattice.shift(-column, -row))


def row_by_row(motif: Motif, at: Affine) -> tuple[float, float]:
    """Key that orders placed motifs by the middle of their boxes, row by row."""
    x0, y0, x1, y1 = motif.box
    x, y = at.apply(np.array([[(x0 + x1) / 2, (y0 + y1) / 2]]))[0]
    return round(float(y), 3), round(float(x), 3)


def _dealt(settings: Sequence[Setting], units: Sequence[Domain]) -> list[tuple[Setting, Domain]]:
    """Give the largest motif the roomiest part of the unit, and so on."""
    sizes = [sum(area(part.shape) for part in one.motif.parts) * one.factor**2 for one in settings]
    large = sorted(range(len(settings)), key=lambda number: -sizes[number])
    roomy = sorted(range(len(units)), key=lambda number: -round(float(units[number].away.min()), 6))
    pairs = sorted(zip(large, roomy, strict=True))
    return [(settings[motif], units[unit]) for motif, unit in pairs]


def _set(setting: Setting, unit: Domain, gap: float) -> tuple[Motif, Affine, NDArray[np.float64]]:
    """Set a motif at its site: scaled down until it fits, or, with a scale of hers, cut at the mirrors."""
    x, y = (float(side) for side in unit.site)
    if setting.scale is None:
        factor = min(1.0, unit.room(points_of(setting), gap))
        if factor < _LEAST:
            raise DesignError(
                f"the tile has no room for {setting.motif.name} and a gap of {gap:g} mm",
                remedy="make the tile larger or the gap smaller",
            )
        return setting.motif, centred(setting, (x, y), factor), unit.site
    at = centred(setting, (x, y))
    if unit.mirrors:
        far = (
            _FAR * float(unit.away.max()) + 2 * max(setting.motif.width, setting.motif.height) * setting.scale
        )
        room = moved(unit.within_mirrors(far), at.inverse @ translation(x, y))
        return _cut(setting.motif, room), at, unit.site
    return setting.motif, at, unit.site


def _cut(motif: Motif, room: Shape) -> Motif:
    """Keep of a motif what lies inside a shape in its own mm; what lies inside whole stays as it is."""
    elements: list[Element] = []
    for element in motif.elements:
        if isinstance(element, Part):
            if difference(element.shape, room).is_empty:
                elements.append(element)
            elif not (left := intersection(element.shape, room)).is_empty:
                elements.append(replace(element, shape=left))
        else:
            drawn = strokes(element.lines, element.closed)
            if not lines_outside(drawn, room):
                elements.append(element)
            elif lines := lines_inside(drawn, room):
                elements.append(LineWork(lines, (False,) * len(lines), element.width, element.stroke))
    return replace(motif, elements=tuple(elements))


def _natural(
    settings: Sequence[Setting], symbol: str, drop: Fraction | None, coverage: float, gap: float
) -> tuple[float, float]:
    """Smallest cell (whole mm) in which every motif stays inside the unit and no more than the coverage is covered."""
    covered = sum(area(part.shape) * one.factor**2 for one in settings for part in one.motif.parts)
    found = []
    for shape in (1.0,) if symbol in SQUARE | HEXAGONAL else _SHAPES:
        unit = cell_of(symbol, (100.0, 100.0 / shape), drop)
        most = 0.0
        for setting, domain in _dealt(settings, domains(symbol, unit, len(settings))):
            reach = (points_of(setting) * setting.factor @ domain.normal.T).max(axis=0)
            most = max(most, float(((np.maximum(reach, 0) + gap / 2) / domain.away).max()))
        held = len(images(symbol, (unit.width, unit.height))) * covered
        most = max(most, math.sqrt(held / coverage / (unit.width * unit.height)))
        found.append((math.ceil(100.0 * most), math.ceil(100.0 / shape * most)))
    width, height = min(found, key=lambda sides: sides[0] * sides[1])
    return float(width), float(height)
