"""Bands across the ends of a shape, along an axis of its own.

An end is cut off by a parabola that runs further in along the outline than in the middle, as a pen that is drawn
from the edge inward leaves it. A long piece has the axis of its own mass; another lies in line with the middle of its
motif, as petals do, or upright where that is its middle too.

References
----------
Area, centroid and second moments of a polygon: C. Steger, *On the calculation of arbitrary moments of polygons*
(1996), equations 24 to 34 (from memory; the tests compare them with closed forms).
"""

import math
from typing import Final, NamedTuple

import numpy as np
import shapely

from mockup.geometry.affine import Points, bearing
from mockup.geometry.insets import SLIVER, Bands, or_plain
from mockup.geometry.shapes import Shape, as_shape

LONG: Final = 1.7
LONG_IN_THE_MIDDLE: Final = 1.2
"""Longer than wide by this factor (of the mass about its middle), a piece has an axis of its own: one that stands off
its motif's middle, as a petal does, sooner lies in line with it."""

_STRAIGHT: Final = 1.5
"""Longer than wide by this factor, a crescent has two ends, though its middle lies outside it."""

_ROOM: Final = 4.0
"""Length of a piece, over the width of its bands, below which it stays plain."""

_FURTHER: Final = 2.0
"""How much further in a single end is shaded than each of two."""

_BOW: Final = 0.45
"""How much further in a band runs along the outline than in the middle, as a share of its width."""

_FLANK: Final = 1.8
"""How far in along the axis the outline of a blunt end is followed, in widths of the band."""

_MOST: Final = 0.4
"""How far at the most, as a share of the piece's length."""

_HALF: Final = 0.48
"""How far in the edges of a band may run, as a share of the piece's length."""

_THIN: Final = 0.2
"""How wide a band along the outline still is where that runs along the axis, as a share of its width."""

_ROUND: Final = 0.4
"""Radius to which the inner edge of a band is rounded, in widths of the band."""

_CURVE: Final = np.linspace(-1.15, 1.15, 15)
"""Where the parabola has its points, in half breadths off the middle; beyond it the cut runs straight."""

_NEARER: Final = 0.1
"""By this share of its length one end must be nearer to the motif's middle to be the inner one."""

_OFF: Final = 0.25
"""By this share of its size a piece must lie off the motif's middle to be in line with it."""

_NIL: Final = 1e-12


class Axis(NamedTuple):
    """Middle of a piece, unit direction of its length (both (2,) mm), its extent along it before and behind.

    ``longer`` tells by what factor its mass reaches further along its own length than across.
    """

    middle: Points
    way: Points
    low: float
    high: float
    longer: float


@or_plain
def tips(
    shape: Shape,
    width: float,
    coats: int,
    *,
    single: bool = False,
    middle: tuple[float, float] | None = None,
    light: float = 315.0,
) -> Bands:
    """Give the bands across the ends of a shape's pieces.

    Each further band reaches less far in, all by the same step. Bands are nested and lie inside the shape. A piece
    that is shorter than four times the width stays plain; so does one that is so hollow or bent that its middle lies
    outside it and it has no two ends.

    Parameters
    ----------
    shape : Shape
        mm; valid; its motif upright.
    width : float
        Of the widest band in the middle of an end, mm.
    coats : int
        How many bands.
    single : bool
        Only the inner end, twice as far in: the one nearer to ``middle``, else the one away from the light.
    middle : (float, float), optional
        Middle of the motif, mm; None where the shape stands for itself.
    light : float
        Where the light comes from, degrees clockwise from the top.
    """
    reach = width * (_FURTHER if single else 1.0)
    found: list[list[shapely.Geometry]] = [[] for _ in range(coats)]
    for piece in shape.geoms:
        axis = axis_of(piece, middle)
        bent = axis.longer < _STRAIGHT and not shapely.intersects_xy(piece, *axis.middle)
        if axis.high - axis.low < _ROOM * width or bent:
            continue
        ends = (_inner_end(axis, middle, light),) if single else (1, -1)
        room: shapely.Geometry = piece
        for coat, into in enumerate(found):
            deep = reach * (coats - coat) / coats
            room = shapely.intersection(
                room, shapely.union_all([_end(piece, axis, end, deep) for end in ends])
            )
            into.append(room)
    return tuple(as_shape(shapely.GeometryCollection(own), SLIVER) for own in found)


def axis_of(piece: shapely.Polygon, middle: tuple[float, float] | None = None) -> Axis:
    """Give the axis of a piece: its own where it is long, else in line with ``middle``, else upright."""
    area, centre, spread = _moments(piece)
    values, ways = np.linalg.eigh(spread)
    off = centre - np.asarray(centre if middle is None else middle)
    far = float(np.hypot(*off))
    outside = far > _OFF * math.sqrt(area)
    way = ways[:, 1]
    longer = math.sqrt(values[1] / max(values[0], _NIL))
    if longer < (LONG if outside else LONG_IN_THE_MIDDLE):
        way = off / far if outside else np.array([0.0, 1.0])
    along = (shapely.get_coordinates(piece.exterior) - centre) @ way
    return Axis(centre, way, float(along.min()), float(along.max()), longer)


def _moments(piece: shapely.Polygon) -> tuple[float, Points, Points]:
    """Area, centroid (2,), and second central moments over the area (2, 2) of a piece with holes."""
    origin = shapely.get_coordinates(piece.exterior)[0]
    area, first, second = 0.0, np.zeros(2), np.zeros((2, 2))
    for number, ring in enumerate((piece.exterior, *piece.interiors)):
        own = shapely.get_coordinates(ring) - origin
        start, end = own[:-1], own[1:]
        cross = start[:, 0] * end[:, 1] - end[:, 0] * start[:, 1]
        sign = math.copysign(1.0, float(cross.sum())) * (-1.0 if number else 1.0)
        both = start + end
        area += sign * float(cross.sum()) / 2
        first += sign * (cross[:, None] * both).sum(axis=0) / 6
        products = both[:, :, None] * both[:, None, :] + start[:, :, None] * start[:, None, :]
        products += end[:, :, None] * end[:, None, :]
        second += sign * (cross[:, None, None] * products).sum(axis=0) / 24
    centre = first / area
    return area, centre + origin, second / area - np.outer(centre, centre)


def _inner_end(axis: Axis, middle: tuple[float, float] | None, light: float) -> int:
    """Tell which end is shaded alone: 1 the high one, -1 the low one."""
    ends = [axis.middle + axis.way * axis.high, axis.middle + axis.way * axis.low]
    if middle is not None:
        far = [float(np.hypot(*(end - middle))) for end in ends]
        if abs(far[0] - far[1]) > _NEARER * (axis.high - axis.low):
            return 1 if far[0] < far[1] else -1
    lit = [end @ bearing(light) for end in ends]
    return 1 if lit[0] < lit[1] else -1


def _end(piece: shapely.Polygon, axis: Axis, end: int, deep: float) -> shapely.Geometry:
    """Give the band at one end: what a pen fills of a tip, and where the end is blunt, a band along its outline."""
    filled = _cap(piece, axis, end, deep)
    beyond = _cap(piece, axis, end, min(_FLANK * deep, _MOST * (axis.high - axis.low)))
    way = -axis.way * end * (1 - _THIN) * deep
    inner = shapely.transform(shapely.buffer(piece, -_THIN * deep, quad_segs=8), way.__add__)
    x0, y0, x1, y1 = piece.bounds
    far = 2 * deep
    around = shapely.box(x0 - far, y0 - far, x1 + far, y1 + far)
    plain = shapely.difference(shapely.union(inner, shapely.difference(around, beyond)), filled)
    for by in (-_ROUND, 2 * _ROUND, -_ROUND):
        plain = shapely.buffer(plain, by * deep, quad_segs=8)
    return shapely.difference(piece, plain)


def _cap(piece: shapely.Polygon, axis: Axis, end: int, deep: float) -> shapely.Polygon:
    """Give what is cut off at one end, ``deep`` mm in at its middle, as an area that reaches beyond the piece."""
    along, across = axis.way * end, np.array([-axis.way[1], axis.way[0]])
    tip = axis.high if end > 0 else -axis.low
    x0, y0, x1, y1 = piece.bounds
    far = math.hypot(x1 - x0, y1 - y0) + deep
    level = axis.middle + along * (tip - deep)
    crossed = shapely.intersection(
        piece, shapely.LineString([level - across * 2 * far, level + across * 2 * far])
    )
    beside = (shapely.get_coordinates(crossed) - axis.middle) @ across
    low, high = (float(beside.min()), float(beside.max())) if len(beside) else (0.0, 0.0)
    side, half = (high + low) / 2, max((high - low) / 2, deep / 2)
    depth = np.minimum(deep * (1 + _BOW * _CURVE**2), max(deep, _HALF * (axis.high - axis.low)))
    spots = np.column_stack((tip - depth, side + half * _CURVE))
    wide = 2 * far + half
    edge = [(spots[0, 0], side - wide), *spots.tolist(), (spots[-1, 0], side + wide)]
    outline = np.array([*edge, (tip + deep, side + wide), (tip + deep, side - wide)])
    return shapely.Polygon(axis.middle + outline[:, :1] * along + outline[:, 1:] * across)
