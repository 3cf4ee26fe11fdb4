"""Bands along the inside of an outline, for shading all round or along the side away from the light.

A band is what an inset leaves of a shape. Insets are erosions with round joins, made for all parts of a
shape in one call. Without holes the band needs no overlay: the inset's outlines are its holes. For one side the
inset is a small one that is moved towards the light, so that the band thins out where the outline turns into it.

References
----------
Erosion by a disc: J. Serra, *Image Analysis and Mathematical Morphology* (1982), chapter II; the radius of
the largest disc in a part is the distance at which its erosion becomes empty.
"""

from collections.abc import Callable
from functools import wraps
from typing import Concatenate, Final, ParamSpec, TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray

from mockup.geometry.affine import bearing
from mockup.geometry.shapes import EMPTY, Shape, as_shape

_QUARTER: Final = 6
"""Segments that a quarter of a round join is made of."""

_THIN: Final = 0.2
"""How wide a band of one side still is where the outline runs along the light, as a share of its width."""

_ROOM: Final = 2.0
"""Radius of the largest disc in a part, over the width of its band, below which it stays plain."""

SLIVER: Final = 0.02
"""Pieces of a band of at most so many mm2 are left out."""


Bands: TypeAlias = tuple[Shape, ...]
"""One for each coat, the widest first, to be painted one over the other; empty where there is no room."""

_More = ParamSpec("_More")


def or_plain(
    make: Callable[Concatenate[Shape, float, int, _More], Bands],
) -> Callable[Concatenate[Shape, float, int, _More], Bands]:
    """Let a shape stay plain where there is no width, nothing to shade, or the geometry library fails on it."""

    @wraps(make)
    def made(shape: Shape, width: float, coats: int, /, *args: _More.args, **kwargs: _More.kwargs) -> Bands:
        try:
            if width > 0.0 and not shape.is_empty:
                return make(shape, width, coats, *args, **kwargs)
        except shapely.errors.GEOSException:
            pass
        return (EMPTY,) * max(coats, 0)

    return made


@or_plain
def rim(shape: Shape, width: float, coats: int) -> Bands:
    """Give the bands of an all-round shading.

    The first lies between the outline and its inset by ``width`` (mm); each further one is narrower by
    ``width / coats``, so that the outline takes most. Bands are nested and lie inside the shape (mm, valid). A part in
    which no disc of twice the width as its radius finds room stays plain.
    """
    depths = [_ROOM * width, *(width * coat / coats for coat in range(coats, 0, -1))]
    left = _insets(shape, depths)
    roomy = [n for n, deepest in enumerate(left[0]) if not deepest.is_empty]
    return tuple(_band([(shape.geoms[n], row[n]) for n in roomy]) for row in left[1:])


@or_plain
def lee(shape: Shape, width: float, coats: int, light: float) -> Bands:
    """Give the bands of a shading along the side away from the light.

    As for `rim`: as wide where the outline faces away from the light, thinner towards the flanks, none on the lit side.
    ``light`` is where the light comes from, degrees clockwise from the top.
    """
    way = bearing(light)
    widths = [width * coat / coats for coat in range(coats, 0, -1)]
    left = _insets(shape, [_ROOM * width, *(_THIN * own for own in widths)])
    roomy = [n for n, deepest in enumerate(left[0]) if not deepest.is_empty]
    parts = np.array([shape.geoms[n] for n in roomy], dtype=object)
    found: list[Shape] = []
    for own, row in zip(widths, left[1:], strict=True):
        lit = shapely.transform(row[roomy], (way * (1 - _THIN) * own).__add__)
        parts = shapely.difference(parts, lit)
        found.append(as_shape(shapely.GeometryCollection(parts.tolist()), SLIVER))
    return tuple(found)


def _insets(shape: Shape, depths: list[float]) -> NDArray[np.object_]:
    """Give (depths, parts) geometries: what of each part lies at least so far from its outline, mm."""
    parts = np.array(shape.geoms, dtype=object)
    inward = -np.array(depths)[:, np.newaxis]
    return np.asarray(shapely.buffer(parts, inward, quad_segs=_QUARTER, join_style="round"), dtype=object)


def _band(parts: list[tuple[shapely.Polygon, Shape | shapely.Polygon]]) -> Shape:
    """Give what each part has more than its inset."""
    pieces: list[shapely.Polygon] = []
    for part, inner in parts:
        inners = inner.geoms if isinstance(inner, shapely.MultiPolygon) else (inner,)
        band = shapely.Polygon(part.exterior, [piece.exterior for piece in inners if not piece.is_empty])
        if len(part.interiors) or not band.is_valid:
            pieces += as_shape(shapely.difference(part, inner)).geoms
        else:
            pieces.append(band)
    return shapely.MultiPolygon(pieces)
