"""Plane shapes: the one type of area used everywhere, and what is done with it.

A ``Shape`` is a shapely ``MultiPolygon`` in mm, y down. Other rooms hold it without knowing what it is and
call the functions here. Overlays are snapped to a grid of 1e-4 mm, so that shapes which meet really meet.
"""

from collections.abc import Iterable, Sequence
from typing import Final, TypeAlias, TypeVar, cast

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from mockup.geometry.affine import Affine, Points

Shape: TypeAlias = shapely.MultiPolygon
Strokes: TypeAlias = shapely.MultiLineString
Form = TypeVar("Form", shapely.MultiPolygon, shapely.MultiLineString)
Box: TypeAlias = tuple[float, float, float, float]

GRID: Final = 1e-4
"""Grid on which overlays are snapped, mm."""

EMPTY: Final = shapely.MultiPolygon()


def as_shape(geometry: BaseGeometry, smallest: float = 0.0) -> Shape:
    """Keep the polygons of any geometry, those of more than ``smallest`` mm2; lines and points fall away."""
    if isinstance(geometry, shapely.MultiPolygon) and smallest <= 0.0:
        return geometry
    pieces = shapely.get_parts(shapely.get_parts(np.atleast_1d(np.asarray(geometry, dtype=object))))
    wanted = [p for p in pieces if isinstance(p, shapely.Polygon) and not p.is_empty and p.area > smallest]
    return shapely.MultiPolygon(wanted)


def polygon(points: Points, holes: Sequence[Points] = ()) -> Shape:
    """Make a shape from one outline, (n, 2) floats in mm, and the holes in it."""
    return shapely.MultiPolygon([shapely.Polygon(points, holes)])


def rectangle(x0: float, y0: float, x1: float, y1: float) -> Shape:
    """Make a rectangle with its sides along the axes."""
    return shapely.MultiPolygon([shapely.box(x0, y0, x1, y1)])


def annulus(inner: float, outer: float, corners: int = 240) -> Shape:
    """Make a ring about the origin between two radii, mm; a disc where ``inner`` is 0."""
    turn = np.linspace(0, 2 * np.pi, corners, endpoint=False)
    rim = np.column_stack((np.cos(turn), np.sin(turn)))
    return polygon(rim * outer, [rim * inner] if inner > 0 else [])


def area(shape: Shape) -> float:
    """Area in mm2."""
    return float(shapely.area(shape))


def areas(shapes: Sequence[Shape]) -> NDArray[np.float64]:
    """Areas of many shapes, (n,) floats in mm2."""
    return np.asarray(shapely.area(np.array(shapes, dtype=object)), dtype=float)


def centroid(shape: Shape) -> tuple[float, float]:
    """Centre of area in mm."""
    point = shapely.centroid(shape)
    return float(point.x), float(point.y)


def box_of(shapes: Iterable[Shape | Strokes]) -> Box:
    """Smallest upright box (x0, y0, x1, y1) around all the shapes, mm."""
    x0, y0, x1, y1 = shapely.total_bounds(np.array(list(shapes), dtype=object))
    return float(x0), float(y0), float(x1), float(y1)


def boxes(shapes: Sequence[Shape]) -> NDArray[np.float64]:
    """Boxes of many shapes, (n, 4) floats: x0, y0, x1, y1."""
    return np.asarray(shapely.bounds(np.array(shapes, dtype=object)), dtype=float).reshape(-1, 4)


def rings(shape: Shape) -> tuple[Points, ...]:
    """Give every outline and hole as (n, 2) points, the closing point left out; fill them even-odd."""
    return tuple(
        np.asarray(shapely.get_coordinates(ring), dtype=float)[:-1]
        for piece in shape.geoms
        for ring in (piece.exterior, *piece.interiors)
    )


def pieces(shape: Shape) -> tuple[Shape, ...]:
    """Give each connected piece as a shape of its own."""
    return tuple(shapely.MultiPolygon([piece]) for piece in shape.geoms)


def moved(form: Form, transform: Affine) -> Form:
    """Map a shape or line work."""
    return cast(Form, shapely.transform(form, transform.apply))


def snapped(shape: Shape) -> Shape:
    """Round to the grid and make valid; what is narrower than the grid goes."""
    return as_shape(
        shapely.set_precision(shapely.make_valid(shape, method="structure", keep_collapsed=False), GRID)
    )


def union(shapes: Iterable[Shape]) -> Shape:
    """Everything that any of the shapes covers."""
    return as_shape(shapely.union_all(np.array(list(shapes), dtype=object), grid_size=GRID))


def difference(shape: Shape, other: Shape) -> Shape:
    """What of ``shape`` lies outside ``other``."""
    return as_shape(shapely.difference(shape, other, grid_size=GRID))


def intersection(shape: Shape, other: Shape) -> Shape:
    """What lies in both."""
    return as_shape(shapely.intersection(shape, other, grid_size=GRID))


def grown(shape: Shape, by: float) -> Shape:
    """Grow a shape by ``by`` mm all round (shrink it where negative), with round corners."""
    return as_shape(shapely.buffer(shape, by, quad_segs=6))


def without_slivers(shape: Shape, smallest: float) -> Shape:
    """Drop the connected pieces of at most ``smallest`` mm2."""
    return as_shape(shape, smallest)


def near_pairs(
    shapes: Sequence[Shape | Strokes], others: Sequence[Shape], reach: float = 0.0
) -> NDArray[np.int64]:
    """Index pairs (shape, other), (n, 2), of which the distance is at most ``reach`` mm, in rising order."""
    tree = shapely.STRtree(np.array(others, dtype=object))
    left = np.array(shapes, dtype=object)
    if reach > 0.0:
        found = tree.query(left, predicate="dwithin", distance=reach)
    else:
        found = tree.query(left, predicate="intersects")
    pairs = np.asarray(found, dtype=np.int64).T
    return pairs[np.lexsort((pairs[:, 1], pairs[:, 0]))]


def covers_point(shape: Shape, x: float, y: float) -> bool:
    """Tell whether the point (mm) lies in the shape or on its outline."""
    return bool(shapely.intersects_xy(shape, x, y))


def covers_points(shape: Shape, points: Points) -> NDArray[np.bool_]:
    """Tell which points, (n, 2) mm, lie in the shape or on its outline, (n,)."""
    return np.asarray(shapely.intersects_xy(shape, points[:, 0], points[:, 1]))


def roomiest(shape: Shape) -> tuple[float, float]:
    """Middle (mm) of the largest circle that fits into a shape, within 0.02 mm."""
    x, y = shapely.get_coordinates(shapely.maximum_inscribed_circle(shape, 0.02))[0]
    return float(x), float(y)


def outline_outside(shape: Shape, other: Shape, field: Shape | None = None) -> float:
    """Length of the shape's outline that does not lie in ``other``, mm; only what lies in ``field``, if given."""
    lines = shapely.boundary(shape)
    if field is not None:
        lines = shapely.intersection(lines, field)
    return float(shapely.length(shapely.difference(lines, other)))


def in_reading_order(shapes: Sequence[Shape]) -> list[Shape]:
    """Sort shapes row by row from the top left, rows a twelfth of all of them high."""
    if not shapes:
        return []
    _, y0, _, y1 = box_of(shapes)
    row = max((y1 - y0) / 12, GRID)
    middles = [centroid(shape) for shape in shapes]
    order = sorted(range(len(shapes)), key=lambda n: (int((middles[n][1] - y0) / row), middles[n]))
    return [shapes[number] for number in order]


def hull_points(points: Points) -> Points:
    """Give the corners of the convex hull of points, (n, 2)."""
    return np.asarray(shapely.get_coordinates(shapely.convex_hull(shapely.multipoints(points))), dtype=float)


def length_on_box(shape: Shape, box: Box) -> float:
    """Length of a shape's outline that lies on the sides of a box, mm."""
    sides = shapely.boundary(shapely.buffer(shapely.boundary(shapely.box(*box)), GRID, cap_style="square"))
    zone = shapely.Polygon(sides.geoms[0], [sides.geoms[1].coords])
    return float(shapely.length(shapely.intersection(shapely.boundary(shape), zone)))


def strokes(lines: Sequence[Points], closed: Sequence[bool]) -> Strokes:
    """Make line work of lines, (n, 2) floats in mm; a closed one ends where it began."""
    ended = [np.vstack((line, line[:1])) if shut else line for line, shut in zip(lines, closed, strict=True)]
    return shapely.MultiLineString([line for line in ended if len(line) > 1])


def outline(shape: Shape) -> Strokes:
    """Give the outlines and holes of a shape as line work."""
    drawn = rings(shape)
    return strokes(drawn, [True] * len(drawn))


def lines_outside(lines: Shape | Strokes, other: Shape) -> tuple[Points, ...]:
    """Give what of the line work lies outside ``other``, joined where ends meet; closed lines end where they began."""
    return _lines(shapely.difference(lines, other))


def lines_inside(lines: Shape | Strokes, other: Shape) -> tuple[Points, ...]:
    """Give what of the line work lies in ``other``, joined where ends meet."""
    return _lines(shapely.intersection(lines, other))


def _lines(geometry: BaseGeometry) -> tuple[Points, ...]:
    found = [
        line
        for line in shapely.get_parts(shapely.get_parts(np.atleast_1d(np.asarray(geometry, dtype=object))))
        if line.geom_type == "LineString" and line.length > GRID
    ]
    joined = shapely.get_parts(shapely.line_merge(shapely.MultiLineString(found)))
    return tuple(np.asarray(shapely.get_coordinates(line), dtype=float) for line in joined)


def closed_up(shape: Shape, by: float) -> Shape:
    """Fill holes, and notches narrower than twice ``by`` mm."""
    shut = shapely.buffer(shapely.buffer(shape, by, quad_segs=3), -by, quad_segs=3)
    return as_shape(shapely.union_all([shapely.Polygon(piece.exterior) for piece in as_shape(shut).geoms]))


def outline_points(shape: Shape, step: float) -> Points:
    """Give points along the outlines of a shape but for holes, (n, 2) mm: even, at most ``step`` mm apart."""
    found = []
    for piece in shape.geoms:
        rim = piece.exterior
        many = max(6, int(np.ceil(rim.length / step)))
        spots = shapely.line_interpolate_point(rim, np.arange(many) / many * rim.length)
        found.append(shapely.get_coordinates(spots))
    return np.asarray(np.concatenate(found), dtype=float)


def corner_points(
    shape: Shape, step: float, off: float, counts: Sequence[int]
) -> tuple[Points, NDArray[np.int64]]:
    """Give points along the outlines of a shape that keep its corners, and which point follows each; no holes.

    Parameters
    ----------
    shape : Shape
        The shape.
    step : float
        How far apart the points are, about, mm.
    off : float
        How far the lines between them stray from the outlines, mm; more where ``counts`` does not allow so many.
    counts : sequence of int
        How many points there may be, rising.

    Returns
    -------
    ((n, 2) floats, (n,) ints)
        Points in mm, one outline after the other, and the number of the next point on the same outline.
    """
    rims = [piece.exterior for piece in shape.geoms]
    corners = [shapely.get_coordinates(shapely.simplify(rim, off))[:-1] for rim in rims]
    while sum(map(len, corners)) > counts[-1]:
        off *= 1.4
        corners = [shapely.get_coordinates(shapely.simplify(rim, off))[:-1] for rim in rims]
    first, many = np.vstack(corners), [len(own) for own in corners]
    start = np.repeat(np.cumsum([0, *many[:-1]]), many)
    number = np.arange(len(first))
    after = start + (number - start + 1) % np.repeat(many, many)
    long = np.hypot(*(first[after] - first).T)
    wanted = max(len(first), int(np.ceil(long.sum() / step)))
    count = next((own for own in counts if own >= wanted), counts[-1])
    parts = np.ones(len(first), dtype=np.int64)
    for _ in range(count - len(first)):
        parts[np.argmax(long / parts)] += 1
    share = np.concatenate([np.arange(own) / own for own in parts.tolist()])
    of = np.repeat(number, parts)
    points = first[of] + (first[after] - first)[of] * share[:, None]
    begins = np.cumsum(parts) - parts
    last = np.append(of[1:] != of[:-1], True)
    return points, np.where(last, begins[after[of]], np.arange(count) + 1)


def filling_points(shape: Shape, step: float) -> Points:
    """Give points on a grid of ``step`` mm over a shape, (n, 2) mm; its centre if it is too thin for any."""
    x0, y0, x1, y1 = shapely.bounds(shape)
    x, y = np.meshgrid(np.arange(x0 + step / 2, x1, step), np.arange(y0 + step / 2, y1, step))
    points = np.column_stack((x.ravel(), y.ravel()))
    inside = points[covers_points(shape, points)] if len(points) else points
    return inside if len(inside) else np.array([centroid(shape)])


def drawn_lines(lines: Sequence[Points], closed: Sequence[bool], width: float) -> Shape:
    """Give what a pen of a width (mm) covers along lines, with round ends."""
    return as_shape(shapely.buffer(strokes(lines, closed), width / 2, quad_segs=4))
