"""A roughly tinted copy of a drawing, read: which tint each region has.

The picture is laid on the drawing (``register``). Well inside every region the colour that most of it has is found,
dark lines left out. Light that falls off is evened out by a smooth field of brightness, fitted so that
regions of like hue come to like lightness, and believed only as far as brightness falls off within the regions,
too: so a large tinted area is not taken for shadow. What is near the lightest pale colour is paper; the rest is
told apart into tints by joining like colours, the nearest first, each weighing as its area.

References
----------
CIEDE2000 as in ``mockup.colour.difference``. OKLab is homogeneous in the light (its cube root): less light makes
lightness and both opponents smaller by one factor, whatever the colour.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from mockup.colour.coding import srgb_from_linear
from mockup.colour.conversion import from_srgb
from mockup.colour.naming import distinct_names
from mockup.colour.oklab import linear_from_oklab
from mockup.drawing.classes import Classes, classes_of, paper_of, told
from mockup.drawing.cores import TILE, Regions, core_of
from mockup.drawing.evening import evened
from mockup.drawing.register import Placement, placed, sheet
from mockup.errors import DrawingError
from mockup.geometry.rasters import raster
from mockup.geometry.shapes import Shape, areas, centroid
from mockup.units import plain

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Mask = NDArray[np.bool_]

LEAST: Final = 2.5
"""Pixels a mm that a picture must have (64 dpi): a region of 6 mm2 then has some 15 pixels to be read."""
_FINE: Final = 4.0  # pixels a mm that are worked on
_MOST: Final = 6e6  # pixels that are worked on
_ASPECT: Final = 0.03  # by which picture and page may differ in shape


@dataclass(frozen=True, slots=True)
class Doubt:
    """A shape whose tint is unsure, by its number, and the tints it could have, the likeliest first (-1: none)."""

    shape: int
    could: tuple[int, ...]


@dataclass(frozen=True, eq=False, slots=True)
class Tints:
    """What a tinted copy says.

    Attributes
    ----------
    tint : (n,) ints
        Number of the tint of each shape, -1 where it is untinted or cannot be told.
    colours, names : tuples of str
        "#rrggbb" and a short plain name of each tint, the one of the largest area first.
    paper : str
        "#rrggbb" of what is untinted.
    shift : (dx, dy)
        How far the picture's middle lies from the drawing's, mm.
    turn : float
        How far the picture is turned against the drawing, degrees clockwise.
    doubtful : tuple of Doubt
        Shapes without a clear majority.
    """

    tint: Ints
    colours: tuple[str, ...]
    names: tuple[str, ...]
    paper: str
    shift: tuple[float, float]
    turn: float
    doubtful: tuple[Doubt, ...]


def read_tints(
    pixels: NDArray[np.uint8], seen: Mask, shapes: Sequence[Shape], page: tuple[float, float]
) -> Tints:
    """Read the tint of every region off a roughly tinted picture of a drawing.

    Parameters
    ----------
    pixels : (rows, columns, 3) uint8
        sRGB; the picture is as wide as the page.
    seen : (rows, columns) bools
        What is not seen is taken for white.
    shapes : sequence of Shape
        The closed regions of the drawing, mm.
    page : (width, height)
        mm.

    Raises
    ------
    DrawingError
        There are no regions; the picture is of another shape than the page, or too small; nothing is tinted.
    """
    if not shapes:
        raise DrawingError("has no closed region", where="the drawing", remedy="close the lines round them")
    per_mm = _fineness(seen.shape, page)
    order = _order(shapes)
    plan = raster([shapes[number] for number in order], page, per_mm)
    picture = sheet(pixels, seen, page[0], per_mm)
    where, picture = placed(picture, plan, page)
    many = len(order)
    core = core_of(pixels, seen, picture, plan, where, page)
    area = np.concatenate((areas(shapes)[order], np.full(core.many - many, TILE**2)))
    core, regions = evened(core, area)
    paper = paper_of(regions)
    classes = classes_of(core, regions, paper, many)
    if len(classes.colour) == 1:
        raise DrawingError("nothing in it is tinted", where="the picture", remedy="give the tinted copy")
    tint, votes = told(core, classes, many)
    return _answer(tint, votes, classes, regions, order, where)


def _fineness(size: tuple[int, ...], page: tuple[float, float]) -> float:
    """Choose pixels a mm to work on, or refuse the picture."""
    rows, columns = size
    there = columns / page[0]
    if abs(rows / columns * page[0] / page[1] - 1) > _ASPECT:
        raise DrawingError(
            f"is {columns} by {rows} pixels, another shape than the page's {plain(page[0])} by {plain(page[1])} mm",
            where="the picture",
            remedy="cut it to the page",
        )
    if there < LEAST:
        raise DrawingError(
            f"has only {plain(there)} pixels a mm",
            where="the picture",
            remedy=f"give one of {math.ceil(LEAST * page[0])} pixels across and more",
        )
    return float(min(there, _FINE, math.sqrt(_MOST / (page[0] * page[1]))))


def _order(shapes: Sequence[Shape]) -> Ints:
    """Order shapes by what they are, so that the answer does not hang on how they are numbered."""
    middle = np.array([centroid(shape) for shape in shapes])
    return np.lexsort((middle[:, 1], middle[:, 0], -areas(shapes)))


def _answer(
    tint: Ints, votes: Floats, classes: Classes, found: Regions, order: Ints, where: Placement
) -> Tints:
    """Number tints by their area, and shapes as they were given."""
    count = len(classes.colour)
    total = np.bincount(tint, weights=found.area[: len(tint)], minlength=count)[1:]
    rank = np.argsort(-total, kind="stable") + 1
    rank = rank[total[rank - 1] > 0]
    number = np.full(count, -1)
    number[rank] = np.arange(len(rank))
    given = np.empty(len(order), dtype=np.int64)
    given[order] = number[tint]
    levels = np.rint(255 * srgb_from_linear(linear_from_oklab(classes.colour).clip(0.0, 1.0)))
    colours = [from_srgb(own / 255) for own in levels]
    tints = [colours[k] for k in rank]
    doubts = []
    for k in np.flatnonzero(votes[np.arange(len(tint)), tint] < 0.6):
        likely = [int(c) for c in np.argsort(-votes[k], kind="stable") if votes[k, c] > 0.2 * votes[k].sum()]
        doubts.append(Doubt(int(order[k]), tuple(int(number[c]) for c in likely)))
    doubts.sort(key=lambda doubt: doubt.shape)
    return Tints(
        given,
        tuple(c.hex for c in tints),
        distinct_names(tints),
        colours[0].hex,
        where.shift,
        where.turn,
        tuple(doubts),
    )
