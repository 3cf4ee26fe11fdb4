"""The arrangement of lines in the plane: the closed areas between them, and which line bounds what."""

from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from mockup.geometry.affine import Points
from mockup.geometry.shapes import GRID, Shape

_NEAR: Final = 1.0
"""Distances to lines are told up to this, mm."""


class Arrangement(NamedTuple):
    """``areas``: what is closed in, the outside left out; ``sides`` (n, 2): the areas at both sides of each line.

    -1 stands for the outside. A line that is crossed is told by its longest straight piece.
    """

    areas: tuple[Shape, ...]
    sides: NDArray[np.int64]

    @property
    def divides(self) -> NDArray[np.bool_]:
        """Whether a line has different areas at its two sides, (n,)."""
        return np.asarray(self.sides[:, 0] != self.sides[:, 1])


def on_grid(points: Points) -> Points:
    """Round points to the grid of overlays."""
    return np.asarray(np.round(points / GRID) * GRID)


def arranged(lines: Sequence[Points]) -> Arrangement:
    """Find the areas that lines close in, cut where they cross.

    Parameters
    ----------
    lines : sequence of Points
        (n, 2) floats in mm each, two points and more; a closed one ends where it began. Ends that lie on another line
        within 1e-4 mm meet it.
    """
    drawn = [shapely.LineString(line) for line in lines]
    noded = shapely.union_all(
        np.array([one for one in drawn if one.length > 0], dtype=object), grid_size=GRID
    )
    found = shapely.get_parts(shapely.polygonize(shapely.get_parts(np.atleast_1d(noded))))
    found = found[shapely.area(found) > 10 * GRID]
    middle = [line.interpolate(_clear(line)) for line in drawn]
    return Arrangement(
        tuple(shapely.MultiPolygon([one]) for one in found),
        _sides(drawn, np.array(middle, dtype=object), found),
    )


def _clear(line: shapely.LineString) -> float:
    """Give where on a line its sides are looked at: in the middle of its longest straight piece."""
    points = shapely.get_coordinates(line)
    long = np.hypot(*np.diff(points, axis=0).T)
    at = int(np.argmax(long))
    return float(long[:at].sum() + long[at] / 2)


def _sides(
    drawn: Sequence[shapely.LineString], middle: NDArray[np.object_], areas: NDArray[np.object_]
) -> NDArray[np.int64]:
    """Tell the areas just beside the middle of each line, (n, 2), left and right of it."""
    spots = shapely.get_coordinates(middle)
    ways = np.array([_way(line) for line in drawn]).reshape(-1, 2)
    across = ways[:, ::-1] * (1.0, -1.0) * (20 * GRID)
    sides = np.full((len(spots), 2), -1, dtype=np.int64)
    tree = shapely.STRtree(areas)
    for column, sign in enumerate((1.0, -1.0)):
        at, area = tree.query(shapely.points(spots + sign * across), predicate="within")
        sides[at, column] = area
    return sides


def _way(line: shapely.LineString) -> tuple[float, float]:
    steps = np.diff(shapely.get_coordinates(line), axis=0)
    step = steps[int(np.argmax(np.hypot(*steps.T)))]
    x, y = step / max(np.hypot(*step), 1e-12)
    return float(x), float(y)


def distance_to_others(
    points: Points, own: NDArray[np.int64], lines: Sequence[Points]
) -> NDArray[np.float64]:
    """Give how far points (n, 2) are from the nearest line that is not their own, by its number (n,); mm."""
    drawn = np.array([shapely.LineString(line) for line in lines], dtype=object)
    spots = shapely.points(points)
    far = np.full(len(points), np.inf)
    at, line = shapely.STRtree(drawn).query(spots, predicate="dwithin", distance=_NEAR)
    other = line != own[at]
    np.minimum.at(far, at[other], shapely.distance(spots[at[other]], drawn[line[other]]))
    return far


def share_along(outlines: Sequence[Points], lines: Sequence[Points], near: float) -> float:
    """Give the share of closed outlines, by their length, that run along lines within ``near`` mm."""
    drawn = np.array([shapely.LineString(line) for line in lines if len(line) > 1], dtype=object)
    rims = [shapely.LinearRing(ring) for ring in outlines if len(ring) > 2]
    if not rims or not len(drawn):
        return 0.0
    steps = [np.arange(0.5, max(rim.length, 1.0)) for rim in rims]
    spots = np.concatenate(
        [shapely.line_interpolate_point(rim, at) for rim, at in zip(rims, steps, strict=True)]
    )
    hit, _ = shapely.STRtree(drawn).query(spots, predicate="dwithin", distance=near)
    return len(np.unique(hit)) / len(spots)
