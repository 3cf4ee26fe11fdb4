"""What lies on what, for many shapes at once: covers, what they leave to be seen, and what runs on beneath them.

All overlays of a sheet are done in a few calls that take every shape; each by itself would cost more in calling than
in geometry.
"""

from collections.abc import Sequence
from typing import Final, TypeAlias

import numpy as np
import shapely
import shapely.affinity
from numpy.typing import NDArray

from mockup.geometry.affine import Affine, Points
from mockup.geometry.shapes import EMPTY, GRID, Shape, Strokes, near_pairs

Forms: TypeAlias = NDArray[np.object_]
"""Shapes or line work, (n,)."""

Floats: TypeAlias = NDArray[np.float64]
Ints: TypeAlias = NDArray[np.int64]

_POLYGON: Final = 3
_LINE: Final = 1
"""Numbers of these kinds in the library."""


def many(forms: Sequence[Shape | Strokes]) -> Forms:
    """Put shapes or line work into an array, (n,)."""
    found = np.empty(len(forms), dtype=object)
    found[:] = forms
    return found


def as_shapes(geometries: Forms, smallest: float = 0.0) -> Forms:
    """Keep the polygons of any geometries, those of more than ``smallest`` mm2, (n,) shapes."""
    outer, of = shapely.get_parts(geometries, return_index=True)
    parts, within = shapely.get_parts(outer, return_index=True)
    kept = (shapely.get_type_id(parts) == _POLYGON) & (shapely.area(parts) > smallest)
    made = np.full(len(geometries), EMPTY, dtype=object)
    if kept.any():
        shapely.multipolygons(parts[kept], indices=of[within][kept], out=made)
    return made


def all_snapped(shapes: Sequence[Shape]) -> Forms:
    """Round shapes to the grid and make them valid, (n,); what is narrower than the grid goes."""
    found = many(shapes)
    broken = ~shapely.is_valid(found)
    found[broken] = shapely.make_valid(found[broken], method="structure", keep_collapsed=False)
    return as_shapes(shapely.set_precision(found, GRID))


def all_moved(forms: Sequence[Shape | Strokes], transforms: Sequence[Affine]) -> Forms:
    """Map each form by a transform of its own, (n,)."""
    own = many(forms)
    a, b, c, d, e, f = np.array([(t.a, t.b, t.c, t.d, t.e, t.f) for t in transforms]).reshape(-1, 6).T
    points, of = shapely.get_coordinates(own, return_index=True)
    x, y = points.T
    mapped = np.column_stack((a[of] * x + c[of] * y + e[of], b[of] * x + d[of] * y + f[of]))
    return np.asarray(shapely.set_coordinates(own, mapped), dtype=object)


def shifted(forms: Forms, step: Floats) -> Forms:
    """Move each form by a step of its own, (n, 2) mm."""
    points, of = shapely.get_coordinates(forms, return_index=True)
    return np.asarray(shapely.set_coordinates(forms.copy(), points + step[of]), dtype=object)


def meeting(forms: Forms, others: Forms) -> tuple[Ints, Ints]:
    """Index pairs (form, other) that touch or overlap, (n,) each, in rising order."""
    pairs = near_pairs(forms.tolist(), others.tolist())
    return pairs[:, 0], pairs[:, 1]


def unions(shapes: Forms, of: Ints, count: int) -> Forms:
    """Unite the shapes that carry one number, (count,) shapes.

    Parameters
    ----------
    shapes : (n,) shapes
        What is united, two and two.
    of : (n,) ints
        Their numbers below ``count``, rising.
    """
    while True:
        place = np.arange(len(of))
        first = np.concatenate((place[:1], np.flatnonzero(np.diff(of)) + 1))
        odd = (place - np.repeat(first, np.diff(np.append(first, len(of))))) % 2 == 1
        if not odd.any():
            break
        second = np.flatnonzero(odd)
        shapes = shapes.copy()
        shapes[second - 1] = shapely.union(shapes[second - 1], shapes[second])
        shapes, of = shapes[~odd], of[~odd]
    found = np.full(count, EMPTY, dtype=object)
    found[of] = as_shapes(shapes)
    return found


def left_over(shapes: Forms, covers: Forms) -> Forms:
    """What of each shape lies outside its cover, (n,)."""
    return as_shapes(shapely.difference(shapes, covers, grid_size=GRID))


def run_on(shapes: Forms, covers: Forms, by: float) -> Forms:
    """Let each shape run on by ``by`` mm under its cover, (n,)."""
    drawn = shapes.copy()
    hid = np.flatnonzero(~shapely.is_empty(covers))
    under = as_shapes(shapely.intersection(shapely.buffer(shapes[hid], by, quad_segs=6), covers[hid]))
    drawn[hid] = as_shapes(shapely.union(shapes[hid], under, grid_size=GRID))
    return drawn


def outlines(shapes: Forms) -> Forms:
    """Give the outlines and holes of each shape as line work, (n,)."""
    return np.asarray(shapely.boundary(shapes), dtype=object)


def lines_outside(lines: Forms, covers: Forms) -> list[tuple[Points, ...]]:
    """Give what of each line work lies outside its cover, joined where ends meet; closed lines end where they began."""
    left, of = shapely.get_parts(shapely.difference(lines, covers), return_index=True)
    kept = (shapely.get_type_id(left) == _LINE) & (shapely.length(left) > GRID)
    found: list[list[Points]] = [[] for _ in range(len(lines))]
    if kept.any():
        owners, number = np.unique(of[kept], return_inverse=True)
        together = shapely.line_merge(shapely.multilinestrings(left[kept], indices=number))
        joined, of = shapely.get_parts(together, return_index=True)
        points, line = shapely.get_coordinates(joined, return_index=True)
        cuts = np.searchsorted(line, np.arange(1, len(joined)))
        for owner, own in zip(owners[of].tolist(), np.split(points, cuts), strict=True):
            found[owner].append(own)
    return [tuple(own) for own in found]


def off_own_copies(lines: Strokes, form: Shape, moves: Sequence[tuple[float, float]]) -> Strokes:
    """Leave out what of the outline of a form lies on that of its copies: where it was cut, it runs on."""
    copies = [shapely.affinity.translate(shapely.boundary(form), x, y) for x, y in moves]
    return shapely.difference(lines, shapely.buffer(shapely.union_all(copies), 100 * GRID))
