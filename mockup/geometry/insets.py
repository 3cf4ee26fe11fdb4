"""Bands along the inside of an outline, for shading all round.

A band is what an inset leaves of a shape. Insets are erosions with round joins, made for all parts of a
shape in one call. Without holes the band needs no overlay: the inset's outlines are its holes.

References
----------
Erosion by a disc: J. Serra, *Image Analysis and Mathematical Morphology* (1982), chapter II; the radius of
the largest disc in a part is the distance at which its erosion becomes empty.
"""

from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray

from mockup.geometry.shapes import EMPTY, Shape, as_shape

_QUARTER: Final = 6
"""Segments that a quarter of a round join is made of."""

_ROOM: Final = 2.0
"""Radius of the largest disc in a part, over the width of its band, below which it stays plain."""


def rim(shape: Shape, width: float, coats: int) -> tuple[Shape, ...]:
    """Give the bands of an all-round shading, to be painted one over the other.

    The first lies between the outline and its inset by ``width``; each further one is narrower by
    ``width / coats``, so that the outline takes most. Bands are nested and lie inside the shape. A part in
    which no disc of twice the width as its radius finds room stays plain, and so does the whole shape where
    the geometry library fails on it.

    Parameters
    ----------
    shape : Shape
        mm; valid.
    width : float
        Of the widest band, mm; with 0 or less there is no band.
    coats : int
        How many bands.

    Returns
    -------
    tuple of Shape
        One for each coat, the widest first; empty where there is no room.
    """
    if width <= 0.0 or shape.is_empty:
        return (EMPTY,) * max(coats, 0)
    try:
        parts = np.array(shape.geoms, dtype=object)
        roomy = parts[~shapely.is_empty(_inset(parts, _ROOM * width))]
        return tuple(_band(roomy, width * coat / coats) for coat in range(coats, 0, -1))
    except shapely.errors.GEOSException:
        return (EMPTY,) * coats


def _inset(parts: NDArray[np.object_], by: float) -> NDArray[np.object_]:
    """What is left of each part at ``by`` mm and more from its outline."""
    return np.asarray(shapely.buffer(parts, -by, quad_segs=_QUARTER, join_style="round"), dtype=object)


def _band(parts: NDArray[np.object_], by: float) -> Shape:
    """What lies nearer than ``by`` mm to the outlines of the parts."""
    bands = []
    for part, inner in zip(parts, _inset(parts, by), strict=True):
        band = _cut_out(part, inner)
        bands.append(band if band.is_valid else as_shape(shapely.difference(part, inner)))
    return as_shape(np.array([piece for band in bands for piece in band.geoms], dtype=object))


def _cut_out(part: shapely.Polygon, inner: shapely.Polygon | shapely.MultiPolygon) -> Shape:
    """Give the part without its inset."""
    if len(part.interiors):
        return as_shape(shapely.difference(part, inner))
    return as_shape(shapely.Polygon(part.exterior, [piece.exterior for piece in shapely.get_parts(inner)]))
