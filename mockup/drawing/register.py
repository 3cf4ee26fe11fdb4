"""Where a tinted picture lies on the drawing that it shows: shift, turn and scale.

The picture is looked at small. A placement is good where every region has one colour: the squares that are left within
the regions, and within pieces of the ground, tell. Drawn lines, where there are any, are left out of that and count by
themselves: they are to lie on the outlines. A grid of placements is tried on a blurred picture, then the best few are
improved (Nelder and Mead). The picture stays as it lies where that gains nothing to speak of.

Tints may be off while the lines are not, as where a print is tinted, so the lines are then looked for by themselves.

References
----------
J. A. Nelder and R. Mead, "A simplex method for function minimization", The Computer Journal 7(4), 1965 (scipy's).
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import product
from typing import Any, Final, NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage, sparse
from scipy.optimize import minimize

from mockup.colour.coding import linear_from_srgb
from mockup.colour.oklab import oklab_from_linear
from mockup.geometry.affine import Affine
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
_DRAWN: Final = 0.25  # more dark thin places on the outlines than elsewhere where lines are drawn, as a share
_WIDEST: Final = 1.2  # mm from the middle of a line to its edge
_NEAR: Final = 4.0  # mm; deeper in a region there is nothing to be learnt
_TILE: Final = 8.0  # mm; pieces of the ground
_LINES: Final = 0.1  # weight of lines to that of tints
_GAIN: Final = 0.01  # share that a placement must save
_STEP: Final = 1.6  # mm between turns and scales that are tried, far out
_KEPT: Final = 4  # placements of the grid that are improved
_BLURS: Final = (0.6, 0.2)  # mm, at first and at last
_POINTS: Final = (2500, 10000)
_STRETCHED: Final = 0.004  # share from which a picture's height may have been cut, not stretched


class Sheet(NamedTuple):
    """A picture, small: OKLab (rows, columns, 3), the dark lines in it (rows, columns), pixels a mm."""

    oklab: Singles
    line: Mask
    per_mm: float


@dataclass(frozen=True, slots=True)
class Placement:
    """How a picture lies: ``onto`` maps page to picture, both in mm.

    ``shift`` is that of the middle, mm, ``turn`` in degrees clockwise.
    """

    shift: tuple[float, float]
    turn: float
    onto: Affine


class _Frame(NamedTuple):
    """How far out turns and scales are measured (mm), so that they count as shifts do; what the picture's height is."""

    middle: tuple[float, float]
    reach: float
    tall: float
    lift: float

    def onto(self, trial: Floats) -> Affine:
        """Map page to picture: shifts, turn and scale, all four in mm."""
        x, y, turn, scale = trial.tolist()
        grown = 1 + scale / self.reach
        sine, cosine = grown * math.sin(turn / self.reach), grown * math.cos(turn / self.reach)
        mx, my = self.middle
        across, down = mx + x - cosine * mx + sine * my, my + y - sine * mx - cosine * my
        tall = self.tall
        return Affine(cosine, tall * sine, -sine, tall * cosine, across, tall * down + self.lift)

    def over(self, trial: Floats) -> float:
        """Tell how far a trial is out of bounds, mm."""
        most = (SHIFT, SHIFT, math.radians(TURN) * self.reach, SCALE * self.reach)
        return float(np.maximum(np.abs(trial) - most, 0.0).sum())


class _View(NamedTuple):
    """What placements are judged by: a blurred picture, points of the page, group by group, points on the outlines.

    ``colour`` is (pixels, 3), ``drawn`` (rows, columns) the lines; ``whole`` the squares there are.
    """

    colour: Floats
    drawn: Singles
    per_mm: float
    points: Floats
    first: Ints
    many: Ints
    rim: Floats
    whole: float

    def left(self, onto: Affine) -> float:
        """Give the squares that are left within groups, as a share."""
        values = self.colour[looked_up(onto.apply(self.points), self.per_mm, self.drawn.shape)]
        total = np.add.reduceat(values, self.first, axis=0)
        return float(np.vdot(values, values) - (total**2 / self.many[:, None]).sum()) / self.whole

    def bare(self, onto: Affine) -> float:
        """Give the share of the outlines without a line."""
        if not len(self.rim):
            return 1.0
        return 1.0 - float(
            self.drawn.ravel()[looked_up(onto.apply(self.rim), self.per_mm, self.drawn.shape)].mean()
        )

    def cost(self, onto: Affine) -> float:
        """Judge a placement of tints: the less the better."""
        return self.left(onto) + _LINES * self.bare(onto)


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
    thin = bright < _DARK * ndimage.grey_closing(bright, (size, size))
    crowd = ndimage.uniform_filter(thin.astype(np.float32), 2 * size)
    line = ndimage.binary_dilation(thin & (crowd < _CROWDED))
    return Sheet(oklab_from_linear(small).astype(np.float32), line, many / width)


def _reduced(pixels: NDArray[np.uint8], seen: Mask, size: tuple[int, int]) -> Singles:
    """Average linear light over even pieces, (rows, columns, 3)."""
    light = linear_from_srgb(np.arange(256) / 255).astype(np.float32)
    rows, columns = seen.shape
    down, across = _shares(rows, size[0]), _shares(columns, size[1])
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


def _shares(many: int, few: int) -> sparse.csr_array:
    """Give what averages ``many`` samples to ``few``, (few, many)."""
    ends = np.union1d(
        np.arange(many + 1) * few, np.arange(few + 1) * many
    )  # in parts of a sample: whole numbers
    middle = (ends[:-1] + ends[1:]) / 2
    weight = (np.diff(ends) / many).astype(np.float32)
    where = (middle // many).astype(np.int64), (middle // few).astype(np.int64)
    return sparse.csr_array((weight, where), shape=(few, many))


def placed(seen: Sheet, plan: Raster, page: tuple[float, float]) -> tuple[Placement, Sheet]:
    """Find how the tints of a picture lie on the drawing, and where its lines are.

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
    Sheet
        The same picture, its lines as the drawing has them, or none where it shows none.
    """
    coarse, fine = (_view(seen, plan, blur, most) for blur, most in zip(_BLURS, _POINTS, strict=True))
    still, found = np.zeros(4), []
    for frame in _frames(seen, page):
        trials = _trials(frame)
        ontos = [frame.onto(trial) for trial in trials]
        left, bare = (np.array([judge(onto) for onto in ontos]) for judge in (coarse.left, coarse.bare))
        good = np.argsort(left + _LINES * bare, kind="stable")[:_KEPT]
        starts = [_improved(trial, coarse.cost, frame, 0.6, 60) for trial in (still, *trials[good])]
        costs = [fine.cost(frame.onto(start)) for start in starts]
        found.append((min(costs), frame, starts[int(np.argmin(costs))], trials[int(np.argmin(bare))]))
    _, frame, start, lined = min(found, key=lambda one: one[0])
    best = _improved(start, fine.cost, frame, 0.3, 120)
    if fine.cost(frame.onto(best)) > (1 - _GAIN) * fine.cost(found[0][1].onto(still)):
        frame, best = found[0][1], still
    tries = [_improved(start, coarse.bare, frame, 0.4, 60) for start in (best, still, lined)]
    line = min(
        (_improved(start, fine.bare, frame, 0.2, 60) for start in tries),
        key=lambda own: fine.bare(frame.onto(own)),
    )
    x, y, turn, _ = best.tolist()
    where = Placement((x, y), math.degrees(turn / frame.reach), frame.onto(best))
    return where, seen._replace(line=_lines(seen, plan, frame.onto(line)))


def _frames(seen: Sheet, page: tuple[float, float]) -> list[_Frame]:
    """Give how the picture's height may have come about: stretched, or else cut at the foot, at the head or at both."""
    middle, reach = (page[0] / 2, page[1] / 2), 0.35 * math.hypot(*page)
    height = seen.oklab.shape[0] / seen.per_mm
    frames = [_Frame(middle, reach, height / page[1], 0.0)]
    if abs(height / page[1] - 1) > _STRETCHED:
        frames += [_Frame(middle, reach, 1.0, share * (height - page[1])) for share in (0.0, 0.5, 1.0)]
    return frames


def _trials(frame: _Frame) -> Floats:
    """Give the placements that are tried, (m, 4) mm."""
    far = [math.radians(TURN) * frame.reach, SCALE * frame.reach]
    steps = [np.linspace(-most, most, 2 * math.ceil(most / _STEP) + 1) for most in far]
    shifts = np.linspace(-SHIFT, SHIFT, 5)
    return np.array(list(product(shifts, shifts, *steps)))


def _view(seen: Sheet, plan: Raster, blur: float, most: int) -> _View:
    """Blur the picture by ``blur`` mm, lines left out, and choose at most ``most`` points."""
    every = max(1, int(blur * seen.per_mm / 1.2))
    colour = blurred(seen, blur)[::every, ::every].astype(np.float64)
    drawn = ndimage.gaussian_filter(seen.line.astype(np.float32), blur * seen.per_mm)[::every, ::every]
    points, at = _points((plan.depth >= min(blur, 0.3)) & (plan.depth <= _NEAR), most, plan.per_mm)
    rim, _ = _points(plan.depth < 1.0 / plan.per_mm, most // 4, plan.per_mm)
    piece = pieces_of(plan, _TILE).ravel()[at]
    order = np.argsort(piece, kind="stable")
    _, first, many = np.unique(piece[order], return_index=True, return_counts=True)
    flat = np.ascontiguousarray(colour).reshape(-1, 3)
    whole = float(flat.var(axis=0).sum()) * len(points) + 1e-9
    return _View(
        flat, np.ascontiguousarray(drawn), seen.per_mm / every, points[order], first, many, rim, whole
    )


def blurred(seen: Sheet, blur: float) -> Singles:
    """Blur a picture by ``blur`` mm, (rows, columns, 3) OKLab; dark lines take the colour of what is beside them."""
    sigma = blur * seen.per_mm
    bare = np.where(seen.line, np.float32(1e-3), np.float32(1.0))
    weight = ndimage.gaussian_filter(bare, sigma)
    channels = [ndimage.gaussian_filter(bare * seen.oklab[..., k], sigma) / weight for k in range(3)]
    return np.stack(channels, axis=-1)


def _points(where: Mask, most: int, per_mm: float) -> tuple[Floats, Ints]:
    """Choose points among pixels, always the same: (n, 2) mm, and (n,) places in the grid."""
    at = np.flatnonzero(where)
    if len(at) > most:
        at = np.sort(np.random.default_rng(0).choice(at, most, replace=False))
    return middles(at, where.shape[1], per_mm), at


def middles(at: Ints, columns: int, per_mm: float) -> Floats:
    """Give the middles of pixels, (n, 2) mm, by their places in a flat grid."""
    row, column = np.divmod(at, columns)
    return (np.column_stack((column, row)) + 0.5) / per_mm


def looked_up(points: Floats, per_mm: float, size: tuple[int, ...]) -> Ints:
    """Give the places in a flat grid, (n,), of the pixels nearest to points, (n, 2) mm."""
    column = (points[:, 0] * per_mm).astype(np.int64).clip(0, size[1] - 1)
    row = (points[:, 1] * per_mm).astype(np.int64).clip(0, size[0] - 1)
    return np.asarray(row * size[1] + column)


def _improved(
    start: Floats, judge: Callable[[Affine], float], frame: _Frame, step: float, most: int
) -> Floats:
    """Look for a better placement near one."""

    def cost(trial: Floats) -> float:
        return judge(frame.onto(trial)) + frame.over(trial)

    corners = np.vstack((start, start + step * np.eye(4)))
    options: Any = {"initial_simplex": corners, "maxfev": most, "xatol": 0.02, "fatol": 1e-5}
    done = minimize(cost, start, method="Nelder-Mead", options=options)
    return np.asarray(done.x if done.fun < cost(start) else start)


def _lines(seen: Sheet, plan: Raster, onto: Affine) -> Mask:
    """Give where the drawing's lines are in a picture, (rows, columns), as wide as they are dark, if at all."""
    size = seen.line.shape
    there = middles(np.arange(seen.line.size), size[1], seen.per_mm)
    depth = plan.depth.ravel()[looked_up(onto.inverse.apply(there), plan.per_mm, plan.depth.shape)].reshape(
        size
    )
    ring = np.minimum((depth * plan.per_mm).astype(np.int64), math.ceil(_WIDEST * plan.per_mm)).ravel()
    dark = np.bincount(ring, weights=seen.line.ravel()) / np.maximum(np.bincount(ring), 1)
    beside = dark[-1]
    if dark[0] < beside + _DRAWN:
        return np.zeros(size, dtype=bool)
    wide = int(np.argmax(np.append(dark[:-1], beside) <= (dark[0] + beside) / 2))
    return np.asarray(depth < (wide + 1) / plan.per_mm)
