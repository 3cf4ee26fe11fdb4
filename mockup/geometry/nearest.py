"""What of a field lies nearest to which shapes: the ground round them, parted in the middle between two.

References
----------
Okabe, Boots, Sugihara, Chiu, Spatial Tessellations, 2nd edition 2000, section 3.5: area Voronoi diagrams from those of
points on the outlines (from memory).
"""

from collections.abc import Sequence
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy import spatial

from mockup.geometry.shapes import (
    Box,
    Shape,
    as_shape,
    box_of,
    grown,
    intersection,
    outline_points,
    union,
)

STEP: Final = 3.0
"""How far points on the outlines are apart, mm; nearer on small shapes."""

_FAR: Final = 10.0
"""How far off the points that close the outermost cells lie, in sizes of the field."""


def nearest(
    shapes: Sequence[Shape], group: NDArray[np.int64], groups: int, field: Box, step: float = STEP
) -> tuple[Shape, ...]:
    """Part a field between groups of shapes.

    Parameters
    ----------
    shapes : sequence of Shape
        At least one, mm.
    group : (n,) ints
        Group of each shape, from 0.
    groups : int
        How many there are.
    field : (float, float, float, float)
        Box that is parted, mm.
    step : float
        How far points on the outlines are apart, mm.

    Returns
    -------
    tuple of Shape
        What of the field is nearest to each group, as well as points on the outlines can tell.
    """
    points = [outline_points(shape, step) for shape in shapes]
    owner = np.repeat(group, [len(own) for own in points])
    sites, first = np.unique(np.round(np.concatenate(points), 3), axis=0, return_index=True)
    owner = owner[first]
    x0, y0, x1, y1 = _joined(field, box_of(shapes))
    middle, far = np.array([x0 + x1, y0 + y1]) / 2, _FAR * max(x1 - x0, y1 - y0)
    round_ = middle + far * np.array([[1, 0], [0, 1], [-1, 0], [0, -1]])
    cells = spatial.Voronoi(np.concatenate((sites, round_)))
    frame = as_shape(shapely.box(*field))
    found = []
    for number in range(groups):
        own = [cells.regions[cells.point_region[site]] for site in np.flatnonzero(owner == number)]
        polygons = [shapely.Polygon(cells.vertices[cell]) for cell in own if len(cell) > 2 and -1 not in cell]
        found.append(intersection(as_shape(shapely.coverage_union_all(polygons)), frame))
    return tuple(found)


def rounded(shapes: Sequence[Shape], radius: float) -> Shape:
    """Unite shapes and round their corners, inner and outer ones, by a radius (mm)."""
    return grown(grown(grown(union(shapes), radius), -2 * radius), radius)


def _joined(one: Box, other: Box) -> Box:
    return min(one[0], other[0]), min(one[1], other[1]), max(one[2], other[2]), max(one[3], other[3])
