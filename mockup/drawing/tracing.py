"""A scanned line drawing into regions: ink is thinned to lines, gaps are closed, what lies between is a region.

Regions meet along the middle of the drawn lines, so colours meet beneath the ink.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from mockup.drawing.bridging import bare_in, bridged, lines_of, run_off
from mockup.drawing.chains import Chain, Mask, chains_of
from mockup.drawing.gaps import Closing, gaps
from mockup.drawing.grounds import grounds
from mockup.drawing.lineart import SMALLEST, TOUCH, leaking
from mockup.drawing.marks import marks
from mockup.drawing.paper import Picture, darkness
from mockup.drawing.solids import is_solid, rims, solids, without
from mockup.drawing.strokes import smoothed
from mockup.errors import DrawingError
from mockup.geometry.affine import Points
from mockup.geometry.arrangement import arranged
from mockup.geometry.curves import Curves
from mockup.geometry.pathdata import PLACES
from mockup.geometry.shapes import Shape, area, in_reading_order
from mockup.geometry.tracks import Flat, Tracks, flattened, straights

GAP: Final = 0.6
"""Gaps of up to so many mm are closed, unless told otherwise."""


_BEYOND: Final = 0.3


@dataclass(frozen=True, eq=False, slots=True)
class Drawn:
    """A drawn line: its curves (n, 4, 2), the same in straight pieces (n, 2), its width, mm; whether it is closed."""

    curves: Curves
    points: Points
    width: float
    closed: bool


@dataclass(frozen=True, eq=False, slots=True)
class Area:
    """A closed area: its shape, mm, and its outlines and holes as closed chains of curves."""

    shape: Shape
    outlines: tuple[Curves, ...]


@dataclass(frozen=True, eq=False, slots=True)
class Traced:
    """What was found in a scan.

    Attributes
    ----------
    width, height : float
        Of the page, mm.
    inked, left, solid : tuple of Area
        Closed areas that take ink, those that are left for the ground, and places that are inked solid in the drawing.
    lines : tuple of Drawn
        Line work.
    closings : (n, 2, 2) floats
        Gaps that were closed and keep regions apart, from and to, mm.
    leaks : (m, 2) floats
        Middles of wider gaps that may have been meant as closed.
    specks : int
        Marks that were left out.
    """

    width: float
    height: float
    inked: tuple[Area, ...]
    left: tuple[Area, ...]
    solid: tuple[Area, ...]
    lines: tuple[Drawn, ...]
    closings: NDArray[np.float64]
    leaks: NDArray[np.float64]
    specks: int

    @property
    def regions(self) -> tuple[Shape, ...]:
        """Shapes that take ink, mm."""
        return tuple(one.shape for one in self.inked)

    @property
    def grounds(self) -> tuple[Shape, ...]:
        """Shapes that are left for the ground, mm."""
        return tuple(one.shape for one in self.left)


def trace(
    pixels: Picture, dpi: float, gap: float = GAP, *, unit: bool = False, large: bool = False
) -> Traced:
    """Find the regions and lines of a scanned drawing.

    Parameters
    ----------
    pixels : (rows, columns, 3) uint8
        sRGB.
    dpi : float
        Pixels an inch.
    gap : float
        Widest gap in a line that is closed, mm.
    unit : bool
        The picture is a repeat unit: what its edge cuts goes on at the other side.
    large : bool
        Very large areas take ink, too; else they are left for the ground, like what lies outside.

    Raises
    ------
    DrawingError
        No line drawing can be read from it: says why, and what scan would do.
    """
    picture = darkness(pixels, dpi)
    found = marks(picture)
    scale, shape = picture.scale, found.ink.shape
    chains, body = _chains(found.ink, scale)
    closings, suspects = gaps(lines_of(chains, found.ink, scale), gap, bare_in(found.ink, scale))
    drawn, joins = bridged(chains, closings)
    curves = [_in_mm(one, scale) for one in smoothed([*drawn, *joins])]
    size = round(shape[1] / scale, PLACES), round(shape[0] / scale, PLACES)
    page = np.array([(0, 0), (size[0], 0), size, (0, size[1]), (0, 0)], dtype=float)
    curves.append(straights(page))
    flat = flattened(curves)
    areas, divides = _areas(curves, flat)
    solid = is_solid([one.shape for one in areas], body, scale)
    kinds = grounds([one.shape for one in areas], size, unit=unit)
    left = [kind == "outside" or (kind == "large" and not large) for kind in kinds]
    sorts = ["solid" if black else "left" if out else "inked" for black, out in zip(solid, left, strict=True)]
    if "inked" not in sorts:
        raise DrawingError(
            "no closed region is found in it",
            remedy="close the outlines, or let wider gaps be closed with --gap",
        )
    closed = curves[len(drawn) : -1]
    told = [one.gap > TOUCH and own for one, own in zip(closings, divides[len(drawn) : -1], strict=True)]
    return Traced(
        *size,
        _of(areas, sorts, "inked"),
        _of(areas, sorts, "left"),
        _of(areas, sorts, "solid"),
        _lines(curves, flat, drawn, scale),
        np.array([one[[0, -1], [0, 3]] for one, shown in zip(closed, told, strict=True) if shown]).reshape(
            -1, 2, 2
        ),
        _leaks(chains, suspects, flat, scale),
        found.specks,
    )


def _of(areas: Sequence[Area], sorts: Sequence[str], sort: str) -> tuple[Area, ...]:
    return tuple(one for one, own in zip(areas, sorts, strict=True) if own == sort)


def _chains(ink: Mask, scale: float) -> tuple[list[Chain], Mask | None]:
    """Thin ink to chains; solid places are told apart, and their outlines are chains of no width."""
    chains = chains_of(ink)
    if not chains:
        return [], None
    body = solids(ink, chains, scale)
    if body is None:
        return run_off(chains, ink.shape, scale), None
    thin = run_off(chains_of(without(ink, body, scale)), ink.shape, scale)
    return [*thin, *rims(body)], body


def _in_mm(curves: Curves, scale: float) -> Curves:
    """Give curves in pixels in mm, rounded as they are written."""
    return np.asarray(np.round((curves + 0.5) / scale, PLACES))


def _areas(curves: Sequence[Curves], flat: Sequence[Flat]) -> tuple[list[Area], NDArray[np.bool_]]:
    """Find the closed areas, and which lines keep two apart."""
    plan = arranged([one.points for one in flat])
    tracks = Tracks(curves, flat)
    found = in_reading_order([one for one in plan.areas if area(one) > SMALLEST])
    return [Area(one, tracks.outlines(one)) for one in found], plan.divides


def _lines(
    curves: Sequence[Curves], flat: Sequence[Flat], drawn: Sequence[Chain], scale: float
) -> tuple[Drawn, ...]:
    """Give the lines as they are drawn; the outlines of solid places are none."""
    return tuple(
        Drawn(
            one,
            line.points,
            round(2 * own.usual / scale, 2),
            bool((one[0, 0] == one[-1, 3]).all()),
        )
        for one, line, own in zip(curves, flat, drawn, strict=False)
        if own.half.any()
    )


def _leaks(
    chains: Sequence[Chain], suspects: Sequence[Closing], flat: Sequence[Flat], scale: float
) -> NDArray[np.float64]:
    """Give the middles of the wider gaps that, were they closed, would part regions."""
    return leaking([one.points for one in flat], [_bridge(chains, one, scale) for one in suspects])


def _bridge(chains: Sequence[Chain], one: Closing, scale: float) -> NDArray[np.float64]:
    """Give the straight way over a gap; to the side of a line a little beyond it, since lines are smoothed."""
    target = chains[one.to]
    span = np.array([chains[one.line].points[-one.end], target.points[one.vertex]])
    if 0 < one.vertex < len(target.points) - 1:
        way = span[1] - span[0]
        span[1] += way / max(float(np.hypot(*way)), 1e-9) * _BEYOND * scale
    return np.asarray(np.round((span + 0.5) / scale, PLACES))
