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
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage
from scipy.cluster.hierarchy import fcluster, linkage

from mockup.colour.conversion import Colour, from_srgb, linear_from_srgb, srgb_from_linear
from mockup.colour.difference import ciede2000_lab
from mockup.colour.naming import distinct_names
from mockup.colour.oklab import linear_from_oklab, oklab_from_linear
from mockup.colour.oklch import lab_from_srgb
from mockup.drawing.register import Placement, Sheet, blurred, looked_up, middles, placed, sheet
from mockup.errors import DrawingError
from mockup.geometry.rasters import Raster, inner, pieces_of, raster
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
_TILE: Final = 6.0  # mm; squares of the ground
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
_LIKE: Final = 0.12  # OKLab
_SURE: Final = 0.55  # share of a region that is like its colour
_ROUNDS: Final = 2  # of evening out the light
_BINS: Final = 300  # colours that are joined
_ONE: Final = 5.0  # CIEDE2000; nearer colours are one tint
_TWO: Final = 10.0  # CIEDE2000; farther ones are two
_NONE: Final = 0.5  # CIEDE2000; what cannot be told apart
_ALL: Final = 40.0  # CIEDE2000; what nobody takes for one
_GIVE: Final = 0.6  # how much of its unevenness a tint may be laid on thicker or thinner
_PAPER: Final = (4.0, 7.0)  # CIEDE2000; nearer to the paper is untinted, farther tinted
_THIN: Final = 1.0  # mm; regions that are nowhere so far from their border bring in no tint
_LARGE: Final = 30.0  # mm2; a tint that a larger region has is none of mixed edges
_MIX: Final = 6.0  # CIEDE2000 from what can be mixed
_FLOOR: Final = 0.015  # OKLab; least spread of a tint
_FAR: Final = 9.0  # how much a pixel can speak against a tint


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
    """Pixels well inside regions and squares of the ground, (m, ...).

    ``of`` says which, ``soft`` and ``sharp`` are OKLab, blurred so that texture goes, and less; deep ones have more
    ``weight``; ``place`` is -1 to 1 over the page. There are ``count`` regions and squares.
    """

    of: Ints
    soft: Floats
    sharp: Floats
    weight: Floats
    place: Floats
    deep: Floats
    count: int


class _Regions(NamedTuple):
    """Regions and squares of the ground: mm2, the colour that most of each has (OKLab), the share that has it."""

    area: Floats
    colour: Floats
    share: Floats


class _Classes(NamedTuple):
    """Paper (0) and tints: colours (OKLab), and which of them regions surely have, -1 else."""

    colour: Floats
    member: Ints


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
    core = _core(pixels, seen, picture, plan, where, page)
    area = np.concatenate((areas(shapes)[order], np.full(core.count - many, _TILE**2)))
    core, regions = _evened(core, area)
    paper = _paper(regions)
    classes = _classes(core, regions, paper, many)
    if len(classes.colour) == 1:
        raise DrawingError("nothing in it is tinted", where="the picture", remedy="give the tinted copy")
    tint, votes = _told(core, classes, many)
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


def _means(values: Floats, of: Ints, weight: Floats, count: int) -> Floats:
    """Average values, (m, d), by group, (count, d); 0 where there are none."""
    total = np.maximum(np.bincount(of, weights=weight, minlength=count), 1e-30)
    sums = [np.bincount(of, weights=weight * column, minlength=count) for column in values.T]
    return np.stack(sums, axis=-1) / total[:, None]


def _cielab(linear: Floats) -> Floats:
    return lab_from_srgb(srgb_from_linear(linear.clip(0.0, 1.0)))


def _core(pixels, seen, picture: Sheet, plan: Raster, where: Placement, page: tuple[float, float]) -> _Core:
    """Look at the picture well inside regions and squares of the ground, dark lines left out."""
    piece = pieces_of(plan, _TILE)
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
    return _Core(of, soft, sharp, weight, 2 * points / page - 1, deep, count)


def _regions(core: _Core, area: Floats) -> _Regions:
    """Find the colour that most of each region has: a mode, from the mean on, under ever narrower kernels."""
    colour, off = np.zeros((core.count, 3)), np.zeros(len(core.of))
    for width in _WIDTHS:
        own = core.weight * np.exp(-off / (2 * width**2)) + 1e-12
        colour = _means(core.soft, core.of, own, core.count)
        off = ((core.soft - colour[core.of]) ** 2).sum(axis=1)
    share = _means((off <= _LIKE**2)[:, None], core.of, core.weight, core.count)[:, 0]
    return _Regions(area, colour, share)


def _evened(core: _Core, area: Floats) -> tuple[_Core, _Regions]:
    """Even out light that falls off smoothly over the page, where regions of like hue and each by itself agree on it."""
    x, y = core.place.T
    basis = np.column_stack([x**i * y ** (k - i) for k in range(1, 4) for i in range(k + 1)])
    dark = np.log(np.maximum(core.soft[:, :1], 0.02))
    bare = _regions(core, area)
    inside = ((core.soft - bare.colour[core.of]) ** 2).sum(axis=1) <= _LIKE**2
    even = _means(_centred(dark, core.of, core.weight * inside) ** 2, core.of, core.weight * inside, core.count) + 1e-4
    weight = core.weight / even[core.of, 0]
    for start in (basis[:, :5] @ _field(basis[inside, :5], dark[inside], core.of[inside], weight[inside]), 0.0 * x):
        light = start
        for _ in range(_ROUNDS):
            group = _alike(_regions(_lit(core, light), area))[core.of]
            use = inside & (group >= 0)
            light = basis @ _field(basis[use], dark[use], group[use], weight[use])
        if 0.6 <= _within(light[inside], dark[inside, 0], core.of[inside], weight[inside]) <= 1.6:
            now = _lit(core, light)
            return now, _regions(now, area)
    return core, bare


def _lit(core: _Core, light: Floats) -> _Core:
    factor = np.exp(np.percentile(light, 90) - light)[:, None]
    return core._replace(soft=core.soft * factor, sharp=core.sharp * factor)


def _within(light: Floats, dark: Floats, of: Ints, weight: Floats) -> float:
    one, other = _centred(light[:, None], of, weight)[:, 0], _centred(dark[:, None], of, weight)[:, 0]
    return float((weight * one * other).sum() / ((weight * one * one).sum() + 1e-12))


def _alike(found: _Regions) -> Ints:
    """Group regions by hue and chroma, which light leaves as they are, and a little by lightness; -1 if unsure."""
    sure = np.flatnonzero(found.share >= _SURE)
    group = np.full(len(found.share), -1)
    light = np.maximum(found.colour[sure, :1], 0.05)
    mark = np.rint(np.hstack((found.colour[sure, 1:] / light, np.log(light) / 2)) / 0.01)
    bins, of = np.unique(mark, axis=0, return_inverse=True)
    if len(bins) > 1:
        group[sure] = fcluster(linkage(bins, "average"), 5.0, "distance")[of.ravel()]
    elif len(bins):
        group[sure] = 0
    return group


def _field(basis: Floats, dark: Floats, alike: Ints, weight: Floats) -> Floats:
    """Fit a smooth field to the logarithms of lightness, a level for each group of like regions left free."""
    found, own = np.zeros(basis.shape[1]), weight
    for _ in range(4):
        b, y = _centred(basis, alike, own), _centred(dark, alike, own)[:, 0]
        square = (b * own[:, None]).T @ b
        square += (1e-6 * float(np.trace(square)) + 1e-9) * np.eye(len(square))
        found = np.linalg.solve(square, (b * own[:, None]).T @ y)
        off = np.abs(y - b @ found)
        own = weight / (1 + (off / (1.5 * np.median(off) + 1e-4)) ** 2)
    return found


def _centred(values: Floats, of: Ints, weight: Floats) -> Floats:
    return values - _means(values, of, weight, int(of.max(initial=0)) + 1)[of]


def _joined(
    colour: Floats, weight: Floats, uneven: Floats, paper: Floats, limits: tuple[float, float]
) -> Ints:
    """Join like colours, the nearest first, until the widest gap between two limits (CIEDE2000)."""
    step, bins, of = 0.004, np.zeros((0, 3)), np.zeros(0, dtype=np.int64)
    while len(bins) == 0 or len(bins) > _BINS:
        step *= 1.5
        bins, of = np.unique(np.rint(colour / step), axis=0, return_inverse=True)
        of = of.ravel()
    heavy = np.bincount(of, weights=weight)
    mean = _means(np.column_stack((colour, uneven)), of, weight, len(bins))
    apart = _apart(
        linear_from_oklab(mean[:, :3]), _GIVE * np.maximum(mean[:, 3] - 0.08, 0.0), linear_from_oklab(paper)
    )
    np.fill_diagonal(apart, np.inf)
    merges = []
    for _ in range(len(bins) - 1):
        one, other = divmod(int(apart.argmin()), len(bins))
        merges.append((float(apart[one, other]), one, other, min(heavy[one], heavy[other])))
        mixed = (heavy[one] * apart[one] + heavy[other] * apart[other]) / (heavy[one] + heavy[other])
        apart[one], apart[:, one] = mixed, mixed
        apart[other], apart[:, other], apart[one, one] = np.inf, np.inf, np.inf
        heavy[one] += heavy[other]
    limit = _gap(np.array([height for height, _, _, less in merges if less >= _LARGE]), limits)
    root = np.arange(len(bins))
    for height, one, other, _ in merges:
        if height <= limit:
            root[root == other] = one
    return np.unique(root, return_inverse=True)[1][of]


def _gap(values: Floats, limits: tuple[float, float]) -> float:
    """Give a limit between the two limits, in the gap between values that is widest as a ratio."""
    low, high = limits
    steps = np.array([_NONE, *np.sort(values[(values > _NONE) & (values < _ALL)]), _ALL])
    open_to = np.flatnonzero((steps[1:] > low) & (steps[:-1] < high))
    widest = open_to[np.argmax(steps[open_to + 1] / steps[open_to])]
    return float(max(steps[widest], low) + min(steps[widest + 1], high)) / 2


def _apart(linear: Floats, give: Floats, paper: Floats) -> Floats:
    """Give CIEDE2000 of all pairs, (k, k), each laid on thicker or thinner by a share of at most ``give`` if that helps."""
    way = linear - paper
    least = np.minimum(give[:, None], give)
    ratio = np.clip(way @ way.T / np.maximum((way**2).sum(axis=1), 1e-6), 1 - least, 1 + least)
    apart = ciede2000_lab(_cielab(linear)[:, None], _cielab(paper + ratio[:, :, None] * way))
    return (apart + apart.T) / 2


def _paper(found: _Regions) -> Floats:
    """Find the colour of the paper (OKLab): the lightest of what is pale; white where nothing is."""
    white = np.array([1.0, 0.0, 0.0])
    sure = np.flatnonzero(found.share >= _SURE)
    if not len(sure):
        return white
    area, colour = found.area[sure], found.colour[sure]
    group = _joined(colour, area, np.zeros(len(sure)), white, (_ONE, _ONE))
    total = np.bincount(group, weights=area)
    mean = _means(colour, group, area, len(total))
    may = (
        (total >= 0.003 * found.area.sum()) & (mean[:, 0] >= 0.7) & (np.hypot(mean[:, 1], mean[:, 2]) <= 0.06)
    )
    if not may.any():
        return white
    light = np.where(may, mean[:, 0], 0.0)
    return mean[np.argmax(np.where(light >= light.max() - 0.02, total, 0.0))]


def _pigment(core: _Core, found: _Regions, paper: Floats) -> tuple[Floats, Floats]:
    """Give the colour (OKLab) where each region is covered best, and how uneven it is covered, as a share."""
    bare = linear_from_oklab(paper)
    way = linear_from_oklab(found.colour) - bare
    cover = ((linear_from_oklab(core.sharp) - bare) * way[core.of]).sum(axis=1)
    cover /= np.maximum((way**2).sum(axis=1), 1e-4)[core.of]
    at = np.flatnonzero((cover > 0.3) & (((core.soft - found.colour[core.of]) ** 2).sum(axis=1) <= _LIKE**2))
    at = at[np.lexsort((cover[at], core.of[at]))]
    of, cover, weight = core.of[at], cover[at, None], core.weight[at]
    many = np.bincount(of, minlength=core.count)
    rank = (np.arange(len(of)) - (np.cumsum(many) - many)[of] + 0.5) / many[of]
    best = (rank > 0.8) & (rank < 0.97)
    colour = _means(core.sharp[at[best]], of[best], weight[best], core.count)
    mean = _means(cover, of, weight, core.count)
    uneven = np.sqrt(_means((cover - mean[of]) ** 2, of, weight, core.count)) / np.maximum(mean, 0.3)
    there = np.bincount(of[best], minlength=core.count) > 0
    return np.where(there[:, None], colour, found.colour), uneven[:, 0]


def _classes(core: _Core, found: _Regions, paper: Floats, many: int) -> _Classes:
    """Tell tints apart, by the regions that surely have one."""
    share = found.share[:many]
    off = ciede2000_lab(_cielab(linear_from_oklab(found.colour[:many])), _cielab(linear_from_oklab(paper)))
    limit = _gap(off[(share >= _SURE) & (core.deep[:many] >= _THIN)], _PAPER)
    member = np.full(found.share.shape, -1)
    member[:many][(off <= limit) & (share >= _SURE)] = 0
    tinted = (off > limit) & (share > 0)
    for sure in (tinted & (share >= _SURE) & (core.deep[:many] >= _THIN), tinted):
        if sure.any():
            break
    else:
        return _Classes(paper[None], member)
    pigment, uneven = _pigment(core, found, paper)
    at = np.flatnonzero(sure)
    group = _joined(pigment[at], found.area[at], uneven[at], paper, (_ONE, _TWO))
    count = int(group.max()) + 1
    colour = linear_from_oklab(_means(pigment[at], group, found.area[at], count))
    largest = np.zeros(count)
    np.maximum.at(largest, group, found.area[at])
    kept = ~_mixed(colour, largest >= min(_LARGE, largest.max()), linear_from_oklab(paper))
    number = np.where(kept, np.cumsum(kept), -1)
    member[at] = number[group]
    use = member[:many] > 0
    mean = _means(found.colour[:many][use], member[:many][use], found.area[:many][use], int(kept.sum()) + 1)
    mean[0] = paper
    return _Classes(mean, member)


def _mixed(colour: Floats, large: Mask, paper: Floats) -> Mask:
    """Tell which colours (linear) are mixed of two large ones or paper, side by side or over each other."""
    own = np.vstack((paper, colour[large]))
    one, other = own[:, None], own[None]
    lab, mixed = _cielab(colour), np.zeros(len(colour), dtype=bool)
    over = (
        ciede2000_lab(lab[:, None, None], _cielab(one * other / np.maximum(paper, 0.01))).min(axis=(1, 2))
        <= _MIX
    )
    for k in np.flatnonzero(~large):
        way = other - one
        along = ((colour[k] - one) * way).sum(axis=2) / np.maximum((way**2).sum(axis=2), 1e-9)
        beside = ciede2000_lab(lab[k], _cielab(one + along.clip(0.0, 1.0)[..., None] * way))
        mixed[k] = beside.min() <= _MIX or over[k]
    return mixed


def _told(core: _Core, classes: _Classes, many: int) -> tuple[Ints, Floats]:
    """Give the class of each region, (n,), and which share of it speaks for each class, (n, k)."""
    count = len(classes.colour)
    own = classes.member[core.of]
    cost = np.empty((int((core.of < many).sum()), count))
    soft, of, weight = (values[core.of < many] for values in (core.soft, core.of, core.weight))
    for k in range(count):
        mine = core.soft[own == k]
        mean, spread = classes.colour[k], np.eye(3) * _FLOOR**2
        if len(mine) > 3:
            mean, spread = mine.mean(axis=0), np.cov(mine.T) + spread
        off = soft - mean
        cost[:, k] = ((off @ np.linalg.inv(spread)) * off).sum(axis=1) + np.linalg.slogdet(spread)[1]
    cost = np.minimum(cost - cost.min(axis=1, keepdims=True), _FAR)
    votes = _means((cost == 0).astype(np.float64), of, weight, many)
    told = _means(cost, of, weight, many).argmin(axis=1)
    told[np.bincount(of, minlength=many) == 0] = 0
    return np.where(classes.member[:many] >= 0, classes.member[:many], told), votes


def _answer(
    tint: Ints, votes: Floats, classes: _Classes, found: _Regions, order: Ints, where: Placement
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
        likely = [int(c) for c in np.argsort(-votes[k], kind="stable") if votes[k, c] >= 0.2]
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
