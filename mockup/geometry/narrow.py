"""Where a pen does not get in: places that are narrower than it, necks, and gaps between shapes.

What a round pen of width w can fill of a shape is its opening by a disc of that width. What the opening leaves
is a narrow place where there is more of it than at a blunt corner. Where the erosion falls apart, the pen is
taken off at a neck.

References
----------
Erosion and opening by a disc: J. Serra, *Image Analysis and Mathematical Morphology* (1982), chapter II.
"""

import math
from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple

import numpy as np
import shapely

from mockup.geometry.affine import Points
from mockup.geometry.shapes import GRID, Shape, difference, near_pairs, union

_EASE: Final = 0.987
"""Share of the pen's width that counts as the whole, so that curves in straight pieces do not tell."""

_REGROWN: Final = 1.08
"""Radius of the disc that grows the erosion again, over the one that shrank it."""

_CORNER: Final = 0.5
"""Area that a corner may leave to the pen, over the square of its width: tips of 34 degrees and more."""

_STRICT: Final = 0.8

_CRUMB: Final = 0.01
"""Part of an erosion, mm2, that is nothing."""

_QUARTER: Final = 6


class Spot(NamedTuple):
    """A place that is wrong: where (mm), and how many mm across (or mm2, as the caller says)."""

    x: float
    y: float
    across: float


def narrow_spots(shape: Shape, width: float) -> list[Spot]:
    """Find where a shape is narrower than ``width`` mm; ``across`` is the width there.

    Tips of 34 degrees and more are no narrow places.
    """
    found = (spot for piece in shape.geoms for spot in _of_piece(piece, width))
    return [spot for spot in found if spot.across < width * _EASE]


def fills(shape: Shape, width: float, smallest: float) -> bool:
    """Tell whether every piece of a shape holds ``smallest`` mm2 or more and nothing narrower than ``width`` mm.

    It is a little stricter with tips than `narrow_spots`.
    """
    pieces = np.array(shape.geoms, dtype=object)
    if (shapely.area(pieces) < smallest).any():
        return False
    eroded = shapely.buffer(pieces, -width / 2 * _EASE, quad_segs=_QUARTER)
    parts, owners = shapely.get_parts(eroded, return_index=True)
    cores = np.bincount(owners[shapely.area(parts) > _CRUMB], minlength=len(pieces))
    if (cores != 1).any():
        return False
    opened = shapely.buffer(eroded, width / 2 * _EASE * _REGROWN, quad_segs=_QUARTER)
    lost = shapely.get_parts(shapely.difference(pieces, opened))
    return not (shapely.area(lost) > _STRICT * _CORNER * width**2).any()


def _of_piece(piece: shapely.Polygon, width: float) -> Iterator[Spot]:
    radius = width / 2 * _EASE
    eroded = shapely.buffer(piece, -radius, quad_segs=_QUARTER)
    cores = [core for core in shapely.get_parts(eroded) if core.area > _CRUMB]
    if not cores:
        yield widest(piece)
        return
    opened = shapely.buffer(eroded, radius * _REGROWN, quad_segs=_QUARTER)
    lost = shapely.get_parts(shapely.difference(piece, opened))
    thin = [widest(one) for one in lost if one.area > _CORNER * width**2]
    yield from thin
    for neck in _necks(piece, cores):
        if all(math.dist(neck[:2], spot[:2]) > width for spot in thin):
            yield neck


def _necks(piece: shapely.Polygon, cores: Sequence[shapely.Polygon]) -> Iterator[Spot]:
    """Give the necks between the cores of a piece, from the largest core outward."""
    cores = sorted(cores, key=lambda core: (-core.area, core.bounds))
    edge = shapely.boundary(piece)
    for number, core in enumerate(cores[1:], 1):
        line = shapely.shortest_line(core, shapely.MultiPolygon(cores[:number]))
        middle = shapely.line_interpolate_point(line, 0.5, normalized=True)
        yield Spot(float(middle.x), float(middle.y), 2 * float(shapely.distance(middle, edge)))


def widest(piece: shapely.Polygon) -> Spot:
    """Give the middle of the largest circle in a piece, and how wide that is."""
    line = shapely.maximum_inscribed_circle(piece, 0.02)
    x, y = shapely.get_coordinates(line)[0]
    return Spot(float(x), float(y), 2 * float(line.length))


def gap_spots(shapes: Sequence[Shape], least: float, touching: float = 0.02) -> list[tuple[int, int, Spot]]:
    """Find pairs of shapes that come nearer than ``least`` mm but do not touch: their numbers, where, how near."""
    found = []
    for one, other in _near(shapes, least):
        line = shapely.shortest_line(shapes[one], shapes[other])
        if touching < line.length < least:
            middle = shapely.line_interpolate_point(line, 0.5, normalized=True)
            found.append((one, other, Spot(float(middle.x), float(middle.y), float(line.length))))
    return found


def contact_spots(shapes: Sequence[Shape], touching: float = 0.02) -> list[tuple[int, int, Spot]]:
    """Find pairs of shapes that touch: their numbers, the middle of the contact, and how long it is, mm."""
    found = []
    for one, other in _near(shapes, touching):
        edge = shapely.intersection(
            shapely.boundary(shapes[one]), shapely.buffer(shapes[other], 2 * touching, quad_segs=2)
        )
        if edge.length > 0:
            middle = shapely.line_interpolate_point(_longest(edge), 0.5, normalized=True)
            found.append((one, other, Spot(float(middle.x), float(middle.y), float(edge.length))))
    return found


def uncovered(shapes: Sequence[Shape]) -> list[Shape]:
    """Give what is seen of each shape, where later ones lie on top."""
    above: dict[int, list[Shape]] = {}
    for one, other in _near(shapes, 0.0):
        above.setdefault(one, []).append(shapes[other])
    return [
        difference(shape, union(above[number])) if number in above else shape
        for number, shape in enumerate(shapes)
    ]


def _near(shapes: Sequence[Shape], reach: float) -> Iterator[tuple[int, int]]:
    """Give the pairs, the lower number first, that come as near as ``reach`` mm."""
    kept = [number for number, shape in enumerate(shapes) if not shape.is_empty]
    if kept:
        those = [shapes[number] for number in kept]
        for one, other in near_pairs(those, those, reach).tolist():
            if one < other:
                yield kept[one], kept[other]


def _longest(lines: shapely.Geometry) -> shapely.LineString:
    parts = [one for one in shapely.get_parts(shapely.line_merge(lines)) if one.length > 0]
    return max(parts, key=lambda line: (line.length, line.bounds))


def hole_spots(shape: Shape, largest: float) -> list[Spot]:
    """Find the holes in a shape of at most ``largest`` mm2; ``across`` is their area."""
    found = []
    for piece in shape.geoms:
        for ring in piece.interiors:
            hole = shapely.Polygon(ring)
            if hole.area <= largest:
                inside = shapely.point_on_surface(hole)
                found.append(Spot(float(inside.x), float(inside.y), float(hole.area)))
    return found


def from_points(points: Points) -> Shape:
    """Make a shape of one closed outline, (n, 2) floats in mm, on the grid, whatever it does to itself."""
    made = shapely.Polygon(np.round(np.asarray(points) / GRID) * GRID)
    if made.is_valid:
        return shapely.MultiPolygon([made])
    parts = shapely.get_parts(shapely.make_valid(made))
    return shapely.MultiPolygon([part for part in parts if part.geom_type == "Polygon"])
