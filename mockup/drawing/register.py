"""Where a tinted picture lies on the drawing that it shows: shift, turn and scale.

The picture is looked at small. A placement is good where every region has one colour: the least squares that are
left within the regions, and within pieces of the ground, tell. Drawn lines, where there are any, are left out of that,
and count by themselves: they are to lie on the outlines. A grid of placements is tried on a blurred picture, then the
best few are improved (Nelder and Mead). The picture stays as it lies where that gains nothing to speak of.

References
----------
J. A. Nelder and R. Mead, "A simplex method for function minimization", The Computer Journal 7(4), 1965 (scipy's).
"""

import math
from dataclasses import dataclass
from itertools import product
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage, sparse
from scipy.optimize import minimize

from mockup.colour.conversion import linear_from_srgb
from mockup.colour.oklab import oklab_from_linear
from mockup.geometry.rasters import Raster, pieces_of

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Ints = NDArray[np.int64]
Mask = NDArray[np.bool_]

SHIFT: Final = 2.5
"""How far a picture may be off, mm."""

TURN: Final = 2.0
"""How far it may be turned, degrees."""

SCALE: Final = 0.02
"""How much larger or smaller it may be, as a share."""

_STRIP: Final = 1 << 22  # samples of the picture that are averaged at once
_THIN: Final = 1.3  # mm; what is dark and narrower is a line
_DARK: Final = 0.5  # of the light round about, in the brightest channel
_CROWDED: Final = 0.4  # share of dark thin places from which they are texture
_NEAR: Final = 4.0  # mm; deeper in a region there is nothing to be learnt
_TILE: Final = 8.0  # mm; pieces of the ground
_LINES: Final = 0.1  # weight of lines to that of tints
_GAIN: Final = 0.01  # share of the squares left that a placement must save
_KEPT: Final = 4  # placements of the grid that are improved


class Sheet(NamedTuple):
    """A picture, small: OKLab (rows, columns, 3), the dark lines in it (rows, columns), pixels a mm."""

    oklab: Singles
    line: Mask
    per_mm: float


@dataclass(frozen=True, slots=True)
class Placement:
    """How page becomes picture, both in mm: about the page's middle, turned, scaled, then shifted.

    ``turn`` is in degrees, clockwise; ``tall`` what the picture's height is to the page's, ``middle`` the page's middle.
    """

    shift: tuple[float, float]
    turn: float
    scale: float
    tall: float
    middle: tuple[float, float]

    def carried(self, points: Floats) -> Floats:
        """Give where points of the page, (n, 2) mm, lie in the picture, (n, 2) mm."""
        return _carried(
            points - np.array(self.middle),
            self.shift,
            math.radians(self.turn),
            self.scale,
            self.tall,
            self.middle,
        )


def sheet(pixels: NDArray[np.uint8], seen: Mask, width: float, per_mm: float) -> Sheet:
    """Look at a picture with fewer pixels.

    Parameters
    ----------
    pixels : (rows, columns, 3) uint8
        sRGB.
    seen : (rows, columns) bools
        What is not seen is taken for white.
    width : float
        Of the picture, mm.
    per_mm : float
        Pixels a mm that are wanted, at most those there are.
    """
    rows, columns = seen.shape
    many = max(1, round(width * per_mm))
    small = _reduced(pixels, seen, (max(1, round(rows * many / columns)), many))
    bright = small.max(axis=2)
    size = 2 * round(_THIN * per_mm / 2) + 1
    around = ndimage.grey_closing(bright, size)
    thin = bright < _DARK * around
    crowd = ndimage.uniform_filter(thin.astype(np.float32), 2 * size)
    line = ndimage.binary_dilation(thin & (crowd < _CROWDED))
    return Sheet(oklab_from_linear(small).astype(np.float32), line, many / width)


def _reduced(pixels: NDArray[np.uint8], seen: Mask, size: tuple[int, int]) -> Singles:
    """Average linear light over even pieces, (rows, columns, 3)."""
    light = linear_from_srgb(np.arange(256) / 255).astype(np.float32)
    rows, columns = seen.shape
    down, across = _pieces(rows, size[0]), _pieces(columns, size[1])
    small = np.empty((*size, 3), dtype=np.float32)
    step = max(1, _STRIP // (3 * columns * max(1, rows // size[0])))
    for start in range(0, size[0], step):
        part = down[start : start + step]
        first, end = int(part.indices.min()), int(part.indices.max()) + 1
        levels = np.where(seen[first:end, :, None], pixels[first:end], np.uint8(255))
        mean = (part[:, first:end] @ light[levels].reshape(end - first, -1)).reshape(-1, columns, 3)
        turned = np.ascontiguousarray(mean.transpose(1, 0, 2)).reshape(columns, -1)
        small[start : start + step] = (across @ turned).reshape(size[1], -1, 3).transpose(1, 0, 2)
    return small


def _pieces(many: int, few: int) -> sparse.csr_array:
    """Give what averages ``many`` samples to ``few``, (few, many)."""
    ends = np.union1d(
        np.arange(many + 1) * few, np.arange(few + 1) * many
    )  # in parts of a sample: whole numbers
    middle = (ends[:-1] + ends[1:]) / 2
    weight = np.diff(ends) / many
    where = (middle // many).astype(np.int64), (middle // few).astype(np.int64)
    return sparse.csr_array((weight.astype(np.float32), where), shape=(few, many))


class _View(NamedTuple):
    """What placements are judged by at one fineness: picture, points of the page, and how they are grouped."""

    colour: Floats
    drawn: Singles
    per_mm: float
    points: Floats
    group: Ints
    many: Ints
    rim: Floats
    least: float


def placed(seen: Sheet, plan: Raster, page: tuple[float, float]) -> Placement:
    """Find how a picture lies on the drawing.

    Parameters
    ----------
    seen : Sheet
        The picture.
    plan : Raster
        The regions.
    page : (width, height)
        mm.

    Returns
    -------
    Placement
        Unshifted, unturned and of true scale where another is no better.
    """
    middle = (page[0] / 2, page[1] / 2)
    reach = 0.35 * math.hypot(*page)  # mm from the middle: a turn there counts as a shift
    tall = seen.oklab.shape[0] / seen.per_mm / page[1]
    still = np.zeros(4)
    group = pieces_of(plan, _TILE)
    coarse = _view(seen, plan, group, 0.6, 2500, middle)
    steps = (
        *(np.arange(-2, 3) * (SHIFT / 2),) * 2,
        _steps(math.radians(TURN) * reach),
        _steps(SCALE * reach),
    )
    trials = np.array(list(product(*steps)))
    found = [_cost(trial, coarse, reach, tall, middle) for trial in trials]
    best = trials[np.argsort(found, kind="stable")[:_KEPT]]
    starts = [_improved(start, coarse, reach, tall, middle, 0.6, 60) for start in (still, *best)]
    fine = _view(seen, plan, group, 0.2, 10000, middle)
    order = sorted((_cost(start, fine, reach, tall, middle), *start.tolist()) for start in starts)
    last = _improved(np.array(order[0][1:]), fine, reach, tall, middle, 0.3, 120)
    kept = last
    if _cost(last, fine, reach, tall, middle) > (1 - _GAIN) * _cost(still, fine, reach, tall, middle):
        kept = still
    x, y, turn, scale = kept.tolist()
    return Placement((x, y), math.degrees(turn / reach), 1 + scale / reach, tall, middle)


def _steps(most: float) -> Floats:
    """Give places from -most to most, mm, about 1.6 apart."""
    many = math.ceil(most / 1.6)
    return np.arange(-many, many + 1) * (most / many)


def _view(
    seen: Sheet, plan: Raster, group: Ints, blur: float, most: int, middle: tuple[float, float]
) -> _View:
    """Blur the picture by ``blur`` mm, lines left out, and choose at most ``most`` points."""
    colour = blurred(seen, blur)
    drawn = ndimage.gaussian_filter(seen.line.astype(np.float32), blur * seen.per_mm)
    inner = (plan.depth >= min(blur, 0.3)) & (plan.depth <= _NEAR)
    points, at = _points(inner, most, plan.per_mm, middle)
    rim, _ = _points(plan.depth < 1.0 / plan.per_mm, most // 4, plan.per_mm, middle)
    _, number = np.unique(group.ravel()[at], return_inverse=True)
    flat = colour.reshape(-1, 3).astype(np.float64)
    least = float(flat.var(axis=0).sum()) * len(points) + 1e-9
    return _View(flat, drawn, seen.per_mm, points, number, np.bincount(number), rim, least)


def blurred(seen: Sheet, blur: float) -> Singles:
    """Blur a picture by ``blur`` mm, (rows, columns, 3) OKLab; dark lines take the colour of what is beside them."""
    sigma = blur * seen.per_mm
    bare = np.where(seen.line, np.float32(1e-3), np.float32(1.0))
    weight = ndimage.gaussian_filter(bare, sigma)
    channels = [ndimage.gaussian_filter(bare * seen.oklab[..., k], sigma) / weight for k in range(3)]
    return np.stack(channels, axis=-1)


def _points(where: Mask, most: int, per_mm: float, middle: tuple[float, float]) -> tuple[Floats, Ints]:
    """Choose points among pixels, always the same: (n, 2) mm from the page's middle, (n,) places in the grid."""
    at = np.flatnonzero(where)
    if len(at) > most:
        at = np.sort(np.random.default_rng(0).choice(at, most, replace=False))
    row, column = np.divmod(at, where.shape[1])
    return (np.column_stack((column, row)) + 0.5) / per_mm - np.array(middle), at


def _carried(
    points: Floats,
    shift: tuple[float, float],
    turn: float,
    scale: float,
    tall: float,
    middle: tuple[float, float],
) -> Floats:
    sine, cosine = scale * math.sin(turn), scale * math.cos(turn)
    x = cosine * points[:, 0] - sine * points[:, 1] + (middle[0] + shift[0])
    y = sine * points[:, 0] + cosine * points[:, 1] + (middle[1] + shift[1])
    return np.column_stack((x, tall * y))


def looked_up(points: Floats, per_mm: float, size: tuple[int, ...]) -> Ints:
    """Give the places in a grid, (n,), of the pixels nearest to points of a picture, (n, 2) mm."""
    column = (points[:, 0] * per_mm).astype(np.int64).clip(0, size[1] - 1)
    row = (points[:, 1] * per_mm).astype(np.int64).clip(0, size[0] - 1)
    return np.asarray(row * size[1] + column)


def _cost(trial: Floats, view: _View, reach: float, tall: float, middle: tuple[float, float]) -> float:
    """Give the squares left within regions as a share, less what lines lie on the outlines."""
    x, y, turn, scale = trial.tolist()
    size = view.drawn.shape
    how = (x, y), turn / reach, 1 + scale / reach, tall, middle
    at = looked_up(_carried(view.points, *how), view.per_mm, size)
    values = view.colour[at]
    left = float(np.vdot(values, values))
    for channel in values.T:
        total = np.bincount(view.group, weights=channel, minlength=len(view.many))
        left -= float((total**2 / view.many).sum())
    lines = (
        view.drawn.ravel()[looked_up(_carried(view.rim, *how), view.per_mm, size)].mean()
        if len(view.rim)
        else 0
    )
    over = np.maximum(np.abs(trial) - (SHIFT, SHIFT, math.radians(TURN) * reach, SCALE * reach), 0).sum()
    return left / view.least + _LINES * (1 - float(lines)) + float(over)


def _improved(
    start: Floats, view: _View, reach: float, tall: float, middle: tuple[float, float], step: float, most: int
) -> Floats:
    """Look for a better placement near one."""
    corners = np.vstack((start, start + step * np.eye(4)))
    options = {"initial_simplex": corners, "maxfev": most, "xatol": 0.02, "fatol": 1e-5}
    done = minimize(_cost, start, (view, reach, tall, middle), method="Nelder-Mead", options=options)
    return np.asarray(done.x if done.fun < _cost(start, view, reach, tall, middle) else start)
