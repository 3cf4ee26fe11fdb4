"""Tints told apart: paper, and classes of like colour among the regions that surely have one."""

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from mockup.colour.difference import ciede2000_lab
from mockup.colour.oklab import linear_from_oklab
from mockup.drawing.cores import LIKE, SURE, Core, Regions, cielab, means

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Mask = NDArray[np.bool_]

_BINS: Final = 300  # colours that are joined
_ONE: Final = 5.0  # CIEDE2000; nearer colours are one tint
_TWO: Final = 10.0  # CIEDE2000; farther ones are two
_BEYOND: Final = 1.2  # part of the upper limit up to which a gap counts
_GIVE: Final = 0.6  # how much of its unevenness a tint may be laid on thicker or thinner
_PAPER: Final = (4.0, 7.0)  # CIEDE2000; nearer to the paper is untinted, farther tinted
_THIN: Final = 1.0  # mm; regions that are nowhere so far from their border bring in no tint
_LARGE: Final = 30.0  # mm2; a tint that a larger region has is none of mixed edges
_MIX: Final = 6.0  # CIEDE2000 from what can be mixed
_FLOOR: Final = 0.015  # OKLab; least spread of a tint
_FITS: Final = 16.0  # squared distance in spreads up to which a pixel is like a tint
_ENOUGH: Final = 12  # pixels that settle what a region has
_FAR: Final = 9.0  # how much a pixel can speak against a tint


class Classes(NamedTuple):
    """Paper (0) and tints: colours (OKLab), and which of them regions surely have, -1 else."""

    colour: Floats
    member: Ints


def paper_of(found: Regions) -> Floats:
    """Find the colour of the paper (OKLab): the lightest of what is pale; white where nothing is."""
    white = np.array([1.0, 0.0, 0.0])
    sure = np.flatnonzero(found.share >= SURE)
    if not len(sure):
        return white
    area, colour = found.area[sure], found.colour[sure]
    group = joined(colour, area, np.zeros(len(sure)), white, (_ONE, _ONE))
    total = np.bincount(group, weights=area)
    mean = means(colour, group, area, len(total))
    may = (
        (total >= 0.003 * found.area.sum()) & (mean[:, 0] >= 0.7) & (np.hypot(mean[:, 1], mean[:, 2]) <= 0.06)
    )
    if not may.any():
        return white
    light = np.where(may, mean[:, 0], 0.0)
    return np.asarray(mean[np.argmax(np.where(light >= light.max() - 0.02, total, 0.0))])


def classes_of(core: Core, found: Regions, paper: Floats, many: int) -> Classes:
    """Tell tints apart, by the regions that surely have one."""
    share = found.share[:many]
    off = ciede2000_lab(cielab(linear_from_oklab(found.colour[:many])), cielab(linear_from_oklab(paper)))
    limit = _gap(off[(share >= SURE) & (core.deep[:many] >= _THIN)], _PAPER)
    member = np.full(found.share.shape, -1)
    member[:many][(off <= limit) & (share >= SURE)] = 0
    tinted = (off > limit) & (share > 0)
    for sure in (tinted & (share >= SURE) & (core.deep[:many] >= _THIN), tinted):
        if sure.any():
            break
    else:
        return Classes(paper[None], member)
    pigment, uneven = _pigment(core, found, paper)
    at = np.flatnonzero(sure)
    group = joined(pigment[at], found.area[at], uneven[at], paper, (_ONE, _TWO))
    count = int(group.max()) + 1
    colour = linear_from_oklab(means(pigment[at], group, found.area[at], count))
    largest = np.zeros(count)
    np.maximum.at(largest, group, found.area[at])
    kept = ~_mixed(colour, largest >= min(_LARGE, largest.max()), linear_from_oklab(paper))
    number = np.where(kept, np.cumsum(kept), -1)
    member[at] = number[group]
    use = member[:many] > 0
    mean = means(found.colour[:many][use], member[:many][use], found.area[:many][use], int(kept.sum()) + 1)
    mean[0] = paper
    return Classes(mean, member)


def told(core: Core, classes: Classes, many: int) -> tuple[Ints, Floats]:
    """Give the class of each region, (n,), and which share of it speaks for each class, (n, k).

    Pixels that are like no class speak for none, and few pixels for less.
    """
    count = len(classes.colour)
    own = classes.member[core.of]
    use = core.of < many
    soft, of, weight = core.soft[use], core.of[use], core.weight[use]
    far, cost = np.empty((len(of), count)), np.empty((len(of), count))
    for k in range(count):
        mine = core.soft[own == k]
        mean, spread = classes.colour[k], np.eye(3) * _FLOOR**2
        if len(mine) > 3:
            mean, spread = mine.mean(axis=0), np.cov(mine.T) + spread
        off = soft - mean
        far[:, k] = ((off @ np.linalg.inv(spread)) * off).sum(axis=1)
        cost[:, k] = far[:, k] + np.linalg.slogdet(spread)[1]
    best = cost.min(axis=1, keepdims=True)
    fits = far[np.arange(len(far)), cost.argmin(axis=1)] <= _FITS
    cost = np.minimum(cost - best, _FAR)
    enough = np.minimum(np.bincount(of, minlength=many) / _ENOUGH, 1.0)
    votes = means((cost == 0) & fits[:, None], of, weight, many) * enough[:, None]
    nearest = means(cost, of, weight, many).argmin(axis=1)
    nearest[np.bincount(of, minlength=many) == 0] = 0
    return np.where(classes.member[:many] >= 0, classes.member[:many], nearest), votes


def joined(
    colour: Floats, weight: Floats, uneven: Floats, paper: Floats, limits: tuple[float, float]
) -> Ints:
    """Join like colours, the nearest first, until the widest gap between two limits (CIEDE2000)."""
    step, bins, of = 0.004, np.zeros((0, 3)), np.zeros(0, dtype=np.int64)
    while len(bins) == 0 or len(bins) > _BINS:
        step *= 1.5
        bins, of = np.unique(np.rint(colour / step), axis=0, return_inverse=True)
        of = of.ravel()
    heavy = np.bincount(of, weights=weight)
    mean = means(np.column_stack((colour, uneven)), of, weight, len(bins))
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
    """Give a limit between two limits, in the middle of the widest gap between values."""
    low, high = limits
    most = _BEYOND * high
    steps = np.array([0.0, *np.sort(values[values < most]), most])
    open_to = np.flatnonzero((steps[1:] > low) & (steps[:-1] < high))
    widest = open_to[np.argmax(steps[open_to + 1] - steps[open_to])]
    return float(max(steps[widest], low) + min(steps[widest + 1], high)) / 2


def _apart(linear: Floats, give: Floats, paper: Floats) -> Floats:
    """Give CIEDE2000 of all pairs, (k, k), each laid on thicker or thinner by at most ``give`` if that helps."""
    way = linear - paper
    least = np.minimum(give[:, None], give)
    ratio = np.clip(way @ way.T / np.maximum((way**2).sum(axis=1), 1e-6), 1 - least, 1 + least)
    apart = ciede2000_lab(cielab(linear)[:, None], cielab(paper + ratio[:, :, None] * way))
    return (apart + apart.T) / 2


def _pigment(core: Core, found: Regions, paper: Floats) -> tuple[Floats, Floats]:
    """Give the colour (OKLab) where each region is covered best, and how uneven it is covered, as a share."""
    bare = linear_from_oklab(paper)
    way = linear_from_oklab(found.colour) - bare
    cover = ((linear_from_oklab(core.sharp) - bare) * way[core.of]).sum(axis=1)
    cover /= np.maximum((way**2).sum(axis=1), 1e-4)[core.of]
    at = np.flatnonzero((cover > 0.3) & (((core.soft - found.colour[core.of]) ** 2).sum(axis=1) <= LIKE**2))
    at = at[np.lexsort((cover[at], core.of[at]))]
    of, cover, weight = core.of[at], cover[at, None], core.weight[at]
    many = np.bincount(of, minlength=core.many)
    rank = (np.arange(len(of)) - (np.cumsum(many) - many)[of] + 0.5) / many[of]
    best = (rank > 0.8) & (rank < 0.97)
    colour = means(core.sharp[at[best]], of[best], weight[best], core.many)
    mean = means(cover, of, weight, core.many)
    uneven = np.sqrt(means((cover - mean[of]) ** 2, of, weight, core.many)) / np.maximum(mean, 0.3)
    there = np.bincount(of[best], minlength=core.many) > 0
    return np.where(there[:, None], colour, found.colour), uneven[:, 0]


def _mixed(colour: Floats, large: Mask, paper: Floats) -> Mask:
    """Tell which colours (linear) are mixed of two large ones or paper, side by side or over each other."""
    own = np.vstack((paper, colour[large]))
    one, other = own[:, None], own[None]
    lab, mixed = cielab(colour), np.zeros(len(colour), dtype=bool)
    over = (
        ciede2000_lab(lab[:, None, None], cielab(one * other / np.maximum(paper, 0.01))).min(axis=(1, 2))
        <= _MIX
    )
    for k in np.flatnonzero(~large):
        way = other - one
        along = ((colour[k] - one) * way).sum(axis=2) / np.maximum((way**2).sum(axis=2), 1e-9)
        beside = ciede2000_lab(lab[k], cielab(one + along.clip(0.0, 1.0)[..., None] * way))
        mixed[k] = beside.min() <= _MIX or over[k]
    return mixed
