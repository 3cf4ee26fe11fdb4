"""What is seen well inside the regions of a drawing on a picture that was laid on it, and what most of each is."""

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from mockup.colour.coding import linear_from_srgb, srgb_from_linear
from mockup.colour.oklab import oklab_from_linear
from mockup.colour.oklch import lab_from_srgb
from mockup.drawing.register import Placement, Sheet, blurred, looked_up, middles
from mockup.geometry.rasters import Raster, inner, pieces_of

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Mask = NDArray[np.bool_]

TILE: Final = 6.0  # mm; squares of the ground
_INSET: Final = 1.0  # mm from the outline, where the region bears it
_DEEP: Final = 2.0  # mm; deeper pixels weigh no more
_SAMPLE: Final = 160  # pixels of a region that are looked at
_BLUR: Final = 0.35  # mm; takes the texture off
_LINED: Final = 0.1  # weight of what is seen across a line
_WIDTHS: Final = (
    np.inf,
    0.3,
    0.2,
    0.14,
    0.1,
    0.1,
    0.1,
)  # OKLab; of the kernel that finds what most of a region has
LIKE: Final = 0.12  # OKLab
SURE: Final = 0.55  # share of a region that is like its colour


class Core(NamedTuple):
    """Pixels well inside regions and squares of the ground, (m, ...).

    ``of`` says which, ``soft`` and ``sharp`` are OKLab, blurred so that texture goes, and less; deep ones have more
    ``weight``; ``place`` is -1 to 1 over the page. There are ``many`` regions and squares.
    """

    of: Ints
    soft: Floats
    sharp: Floats
    weight: Floats
    place: Floats
    deep: Floats
    many: int


class Regions(NamedTuple):
    """Regions and squares of the ground: mm2, the colour that most of each has (OKLab), the share that has it."""

    area: Floats
    colour: Floats
    share: Floats


def core_of(
    pixels: NDArray[np.uint8],
    seen: Mask,
    picture: Sheet,
    plan: Raster,
    where: Placement,
    page: tuple[float, float],
) -> Core:
    """Look at the picture well inside regions and squares of the ground, dark lines left out."""
    piece = pieces_of(plan, TILE)
    count = int(piece.max()) + 1
    at, deep = inner(plan, piece, _INSET, _SAMPLE)
    of = piece.ravel()[at]
    points = middles(at, piece.shape[1], plan.per_mm)
    there = looked_up(where.onto.apply(points), picture.per_mm, picture.line.shape)
    line = picture.line.ravel()[there]
    soft = blurred(picture, _BLUR).reshape(-1, 3)[there].astype(np.float64)
    full = looked_up(where.onto.apply(points), seen.shape[1] / page[0], seen.shape)
    level = np.where(seen.ravel()[full, None], pixels.reshape(-1, 3)[full], 255)
    sharp = np.where(line[:, None], soft, oklab_from_linear(linear_from_srgb(level / 255)))
    weight = np.minimum(plan.depth.ravel()[at], _DEEP).astype(np.float64) ** 2 * np.where(line, _LINED, 1.0)
    return Core(of, soft, sharp, weight, 2 * points / page - 1, deep, count)


def regions_in(core: Core, area: Floats) -> Regions:
    """Find the colour that most of each region has: a mode, from the mean on, under ever narrower kernels."""
    colour, off = np.zeros((core.many, 3)), np.zeros(len(core.of))
    for width in _WIDTHS:
        own = core.weight * np.exp(-off / (2 * width**2)) + 1e-12
        colour = means(core.soft, core.of, own, core.many)
        off = ((core.soft - colour[core.of]) ** 2).sum(axis=1)
    share = means((off <= LIKE**2)[:, None].astype(np.float64), core.of, core.weight, core.many)[:, 0]
    return Regions(area, colour, share)


def means(values: Floats, of: Ints, weight: Floats, count: int) -> Floats:
    """Average values, (m, d), by group, (count, d); 0 where there are none."""
    total = np.maximum(np.bincount(of, weights=weight, minlength=count), 1e-30)
    sums = [np.bincount(of, weights=weight * column, minlength=count) for column in values.T]
    return np.stack(sums, axis=-1) / total[:, None]


def cielab(linear: Floats) -> Floats:
    """Give CIELAB of linear light."""
    return lab_from_srgb(srgb_from_linear(linear.clip(0.0, 1.0)))
