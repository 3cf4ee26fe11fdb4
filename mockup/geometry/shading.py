"""Edge shading of a placed shape: bands in its motif's own frame, run on beneath what lies on the shape."""

from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

import shapely

from mockup.geometry.affine import Affine, scaling
from mockup.geometry.insets import Bands, lee, rim
from mockup.geometry.shapes import GRID, Shape, as_shape, moved
from mockup.geometry.tips import tips

Style: TypeAlias = Literal["ends", "one-end", "side", "rim"]

STYLES: Final[tuple[Style, ...]] = ("ends", "one-end", "side", "rim")


@dataclass(frozen=True, slots=True)
class Shade:
    """How shapes are shaded.

    Attributes
    ----------
    style : str
        One of ``STYLES``.
    width : float
        Of the widest band, mm.
    coats : int
        How many bands lie over each other.
    light : float
        Where the light comes from, degrees clockwise from the top of the motif as it is drawn.
    """

    style: Style
    width: float
    coats: int
    light: float = 315.0


@dataclass(frozen=True, slots=True)
class Upright:
    """How a motif lies: the map from upright at its true size to its place, and its middle when upright, mm."""

    place: Affine
    middle: tuple[float, float] | None = None


def upright(place: Affine, middle: tuple[float, float] | None = None) -> Upright:
    """Take the scale out of a placed motif's map; ``middle`` is in the motif's own units."""
    size = abs(place.determinant) ** 0.5
    bare = place @ scaling(1 / size)
    return Upright(bare, (middle[0] * size, middle[1] * size) if middle else None)


def bands(shape: Shape, shade: Shade, lies: Upright) -> Bands:
    """Give the bands of a shape, the widest first, one for each coat; empty where it stays plain.

    Parameters
    ----------
    shape : Shape
        What is to be seen, where it lies, mm.
    shade : Shade
        Style, width, coats.
    lies : Upright
        How its motif lies: ends and sides follow it.
    """
    if shade.style == "rim":
        return rim(shape, shade.width, shade.coats)
    own = moved(shape, lies.place.inverse)
    if shade.style == "side":
        found = lee(own, shade.width, shade.coats, shade.light)
    else:
        single = shade.style == "one-end"
        found = tips(own, shade.width, shade.coats, single=single, middle=lies.middle, light=shade.light)
    return tuple(moved(band, lies.place) for band in found)


def run_on(band: Shape, seen: Shape, drawn: Shape, by: float) -> Shape:
    """Let a band run on beneath what lies on the shape, so that the shape's own colour does not show between the two.

    Parameters
    ----------
    band, seen, drawn : Shape
        Part of what is seen; what is seen; what is painted, mm.
    by : float
        How far it may run on, mm.
    """
    if band.is_empty:
        return band
    try:
        beneath = shapely.difference(drawn, seen)
        if beneath.is_empty:
            return band
        more = shapely.intersection(beneath, shapely.buffer(band, by, quad_segs=2))
        return as_shape(shapely.union(band, more, grid_size=GRID))
    except shapely.errors.GEOSException:
        return band
