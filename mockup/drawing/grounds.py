"""Which closed areas of a drawing are no shapes but the ground behind them.

What is very large and what lies outside the figures is left for the ground's colour (common practice, no source).
"""

from collections.abc import Sequence
from typing import Final, Literal

import numpy as np

from mockup.geometry.shapes import Shape, area, areas, box_of, closed_up, length_on_box, rings
from mockup.geometry.shapes import boxes as boxes_of

Ground = Literal["", "outside", "large"]

_LARGE: Final = 0.12
"""Share of the page from which an area is very large."""

_OUT: Final = 8.0
"""... if it is also so many times as large as nine of ten others."""

_ALONG: Final = 0.5
"""Share of the page's shorter side along which an area that lies at the page's edge is outside."""

_LOOSE: Final = 0.75
"""Share of its own hull that an area without anything in it fills, if it is a shape."""


def grounds(shapes: Sequence[Shape], page: tuple[float, float], *, unit: bool) -> list[Ground]:
    """Tell for each closed area of a drawing whether it is ground: what lies outside, or is very large.

    Parameters
    ----------
    shapes : sequence of Shape
        mm, the page's top left at 0, 0.
    page : (float, float)
        Width and height, mm.
    unit : bool
        A repeat unit: lying at the edge means nothing then.
    """
    size, least = areas(shapes), _LARGE * page[0] * page[1]
    boxes = boxes_of(shapes)
    at_edge = np.asarray((boxes[:, :2] <= 0).any(axis=1) | (boxes[:, 2:] >= page).any(axis=1))
    found: list[Ground] = [""] * len(shapes)
    for number in np.flatnonzero((size >= least) | (at_edge & (not unit))).tolist():
        others = np.delete(size, number)
        usual = float(np.percentile(others, 90)) if len(others) else 0.0
        if at_edge[number] and not unit and _outside(shapes[number], page, usual):
            found[number] = "outside"
        elif size[number] >= max(least, _OUT * usual) and _is_loose(shapes[number]):
            found[number] = "large"
    return found


def _outside(shape: Shape, page: tuple[float, float], usual: float) -> bool:
    width, height = page
    x0, y0, x1, y1 = box_of([shape])
    along = length_on_box(shape, (0.0, 0.0, width, height))
    if along > 0 and (x0 <= 0 or x1 >= width) and (y0 <= 0 or y1 >= height) and area(shape) > usual:
        return True
    return along > _ALONG * min(page)


def _is_loose(shape: Shape) -> bool:
    """Tell an area that holds others, or fills little of its hull."""
    holes = len(rings(shape)) > len(shape.geoms)
    return holes or area(shape) < _LOOSE * area(closed_up(shape, 0.0))
