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

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from mockup.colour.conversion import Colour, from_srgb, srgb_from_linear
from mockup.colour.difference import ciede2000_lab
from mockup.colour.naming import distinct_names
from mockup.colour.oklab import linear_from_oklab
from mockup.colour.oklch import lab_from_srgb
from mockup.drawing.register import Placement, Sheet, looked_up, placed, sheet
from mockup.errors import DrawingError
from mockup.geometry.rasters import Raster, raster
from mockup.geometry.shapes import Shape, areas, centroid

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Mask = NDArray[np.bool_]

LEAST: Final = 2.5
"""Pixels a mm that a picture must have (64 dpi): a region of 6 mm2 then has some 15 pixels to be read."""

_FINE: Final = 4.0  # pixels a mm that are worked on
_MOST: Final = 6e6  # pixels that are worked on
_ASPECT: Final = 0.03
_INSET: Final = 1.0  # mm from the outline, where the region bears it
_DEEP: Final = 2.0  # mm; deeper pixels weigh no more
_SAMPLE: Final = 500  # pixels of a region that are looked at
_TILE: Final = 6.0  # mm; pieces of the ground
_WIDTHS: Final = (0.3, 0.2, 0.14, 0.1, 0.1, 0.1)  # OKLab; of the kernel that finds what most of a region has
_LIKE: Final = 0.1  # OKLab
_SURE: Final = 0.6  # share of a region that is like its colour
_ONE: Final = 5.0  # CIEDE2000; nearer colours are one tint
_TWO: Final = 10.0  # CIEDE2000; farther ones are two
_PAPER: Final = (4.0, 7.0)  # CIEDE2000; nearer to the paper is untinted, farther tinted


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


class _Core(NamedTuple):
    """Pixels well inside regions and pieces of the ground.

    ``of`` (m,) which one (regions first), ``oklab`` (m, 3), ``weight`` (m,), ``place`` (m, 2): -1 to 1 over the page.
    """

    of: Ints
    oklab: Floats
    weight: Floats
    place: Floats
    count: int


class _Region(NamedTuple):
    """The colour of each region and piece of the ground: OKLab (k, 3), which share of it has it (k,)."""

    oklab: Floats
    share: Floats
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
    per_mm = _fineness(seen.shape, page)
    if not shapes:
        raise DrawingError("has no closed region", where="the drawing", remedy="close the lines round what is to be tinted")
    order = _order(shapes)
    plan = raster([shapes[number] for number in order], page, per_mm)
    picture = sheet(pixels, seen, page[0], per_mm)
    where = placed(picture, plan, page)
    core = _core(picture, plan, where, len(order))
    core, found = _evened(core)
    area = np.bincount(core.of, minlength=core.count) ...
