"""What rings enclose: fill rules turned into shapes.

The rings are cut at every crossing and the linework is polygonized; of the faces those are kept whose winding
number the fill rule asks for. The winding number of a face is counted at one point inside it, along a ray.

References
----------
SVG 2, section 13.4.2 (fill-rule). K. Hormann and A. Agathos, "The point in polygon problem for arbitrary
polygons", Computational Geometry 20, 2001 (from memory).
"""

from collections.abc import Sequence
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray

from mockup.errors import DrawingError
from mockup.geometry.affine import Points
from mockup.geometry.shapes import EMPTY, GRID, Shape

SLIVER: Final = 1e-3
"""Pieces and holes of at most so many mm2 are dropped."""

MOST_CROSSINGS: Final = 30_000
_SAMPLE: Final = 64
_AT_ONCE: Final = 2_000

_FEW: Final = 5_000

Edges = NDArray[np.float64]
Polygons = NDArray[np.object_]


def filled(rings: Sequence[Points], rule: str) -> Shape:
    """Give the area that rings enclose by a fill rule.

    Parameters
    ----------
    rings : sequence of Points
        Outlines, (n, 2) floats in mm, each closed by itself; they may cross themselves and each other.
    rule : str
        ``"nonzero"`` or ``"evenodd"``.

    Returns
    -------
    Shape
        On the grid of ``GRID``, valid; empty where nothing is enclosed.

    Raises
    ------
    DrawingError
        The lines cross more than about ``MOST_CROSSINGS`` times.
    """
    closed = [ring for ring in map(_on_grid, rings) if len(ring) > 3]
    if not closed:
        return EMPTY
    if len(closed) == 1:
        polygon = shapely.Polygon(closed[0])
        if polygon.is_valid:
            return shapely.MultiPolygon([polygon]) if polygon.area > SLIVER else EMPTY
    edges = np.concatenate([np.stack((ring[:-1], ring[1:]), axis=1) for ring in closed])
    _refuse_tangle(edges)
    lines = shapely.MultiLineString(closed)
    if not lines.is_simple:
        lines = shapely.union_all(lines, grid_size=GRID)
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(lines)))
    if not len(faces):
        return EMPTY
    turns = _winding(shapely.get_coordinates(shapely.point_on_surface(faces)), edges)
    inside = faces[turns != 0 if rule == "nonzero" else turns % 2 == 1]
    return _without_slivers(shapely.get_parts(shapely.coverage_union_all(inside)))


def _on_grid(ring: Points) -> Points:
    """Snap a ring to the grid and close it, without repeated points."""
    snapped = np.round(np.vstack((ring, ring[:1])) / GRID)
    keep = np.ones(len(snapped), dtype=bool)
    keep[1:] = (snapped[1:] != snapped[:-1]).any(axis=1)
    return np.asarray(snapped[keep] * GRID)


def _refuse_tangle(edges: Edges) -> None:
    """Refuse linework, (n, 2, 2), of which a sample of edges meets too many others."""
    if len(edges) < _SAMPLE * 4:
        return
    lines = shapely.linestrings(edges)
    sample = lines[:: len(edges) // _SAMPLE]
    met = shapely.STRtree(lines).query(sample, predicate="intersects").shape[1]
    beyond_neighbours = met / len(sample) - 3
    if beyond_neighbours * len(edges) / 2 > MOST_CROSSINGS:
        raise DrawingError("the outline of a shape crosses itself too many times to be filled")


def _winding(points: Points, edges: Edges) -> NDArray[np.int64]:
    """Count how often rings, given as edges (m, 2, 2), turn about each point (n, 2); none lies on an edge."""
    (x0, y0), (x1, y1) = edges[:, 0].T, edges[:, 1].T
    few = len(points) * len(edges) <= _FEW
    tree = None if few else shapely.STRtree(shapely.linestrings(edges))
    right = edges[..., 0].max() + 1.0
    turns = np.zeros(len(points), dtype=np.int64)
    for first in range(0, len(points), _AT_ONCE):
        x, y = points[first : first + _AT_ONCE].T
        if tree is None:
            point, edge = np.divmod(np.arange(len(x) * len(edges)), len(edges))
        else:
            point, edge = tree.query(shapely.box(x, y, right, y))
        px, py = x[point], y[point]
        up = (y0[edge] <= py) & (py < y1[edge])
        down = (y1[edge] <= py) & (py < y0[edge])
        side = (x1 - x0)[edge] * (py - y0[edge]) - (px - x0[edge]) * (y1 - y0)[edge]
        step = (up & (side > 0)).astype(np.int64) - (down & (side < 0))
        turns[first : first + _AT_ONCE] = np.bincount(point, step, len(x)).astype(np.int64)
    return turns


def _without_slivers(pieces: Polygons) -> Shape:
    """Drop the pieces and close the holes that are slivers."""
    kept = []
    for piece in pieces[shapely.area(pieces) > SLIVER]:
        holes = [hole for hole in piece.interiors if shapely.Polygon(hole).area > SLIVER]
        whole = len(holes) == len(piece.interiors)
        kept.append(piece if whole else shapely.Polygon(piece.exterior, holes))
    return shapely.MultiPolygon(kept)
