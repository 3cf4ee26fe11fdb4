"""The tones of a picture: pixels in bins, bins in clusters, and of each cluster what is seen most.

Pixels are counted in bins of 8 levels a channel. Sums are whole numbers, so the order of the pixels is of
no account: a turned, mirrored or shuffled picture gives the very same tones. The bins are clustered in
OKLab by k-means, each weighing as the root of its pixels, else the many near-alike pixels of a sky would take
all the clusters. A cluster's tone is the mean of its **core**, the densest bins that hold half its
pixels: of a flat colour that is the colour itself, and a shaded thing is not greyed by its edges.

References
----------
S. P. Lloyd, "Least squares quantization in PCM", IEEE Transactions on Information Theory 28(2), 1982
(k-means). The starts take turns at the bin that is worst served, as k-means++ does by chance (Arthur
and Vassilvitskii, 2007), without chance.
"""

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from mockup.colour.coding import linear_from_srgb
from mockup.colour.difference import FloatArray
from mockup.colour.oklab import oklab_from_linear

IntArray = NDArray[np.int64]
ByteArray = NDArray[np.uint8]
BoolArray = NDArray[np.bool_]

_BITS: Final = 5  # a channel
_SIDE: Final = 1 << _BITS  # bins along a channel
_SHIFT: Final = 8 - _BITS
_CHUNK: Final = 1 << 18  # pixels counted at once: what the processor's cache holds
_CLUSTERS: Final = 64
_STEPS: Final = 30
_STRENGTHS: Final = (1.0, 0.5)  # how much the weight of a bin counts in the two starts
_CORE: Final = 0.5
_NEAR: Final = 0.06  # OKLab; about 6 to 8 CIEDE2000 between mid tones
_VALLEY: Final = 0.5  # of the less dense of two tones
_MUCH: Final = 4.0  # times as dense
_PLACES: Final = 25  # looked at between two tones


class Bins(NamedTuple):
    """The bins of a picture that hold pixels, in the order of red, green, blue.

    Attributes
    ----------
    cell : (n, 3) ints, 0 to 31
        Which bin.
    weight : (n,) ints
        How many pixels.
    levels : (n, 3) floats, 0 to 255
        Their mean sRGB levels.
    oklab : (n, 3) floats
        The same in OKLab.
    """

    cell: IntArray
    weight: IntArray
    levels: FloatArray
    oklab: FloatArray


class Tones(NamedTuple):
    """The tones of a picture, at most 64.

    Attributes
    ----------
    levels : (t, 3) ints, 0 to 255
        sRGB.
    weight : (t,) ints
        Pixels of the cluster.
    peak : (t,) floats
        Density at the tone: pixels a bin, smoothed.
    valley : (t, t) bools
        Whether the density falls to less than half of either on the straight way from tone to tone.
    near : (t,) ints
        Pixels of like colour, in this cluster or not; none of a much denser tone beyond a valley.
    """

    levels: IntArray
    weight: IntArray
    peak: FloatArray
    valley: BoolArray
    near: IntArray


def binned(pixels: ByteArray) -> Bins:
    """Count pixels, (n, 3) sRGB levels, in bins."""
    weight = np.zeros(_SIDE**3, dtype=np.int64)
    sums = np.zeros((_SIDE**3, 3))  # of whole numbers below 2**53: exact
    for start in range(0, len(pixels), _CHUNK):
        part = pixels[start : start + _CHUNK]
        code = np.zeros(len(part), dtype=np.intp)
        for channel in range(3):
            code = code << _BITS | part[:, channel] >> _SHIFT
        weight += np.bincount(code, minlength=_SIDE**3)
        for channel in range(3):
            sums[:, channel] += np.bincount(code, weights=part[:, channel], minlength=_SIDE**3)
    held = np.flatnonzero(weight)
    levels = sums[held] / weight[held, None]
    cell = np.stack(np.unravel_index(held, (_SIDE,) * 3), axis=1).astype(np.int64)
    return Bins(cell, weight[held], levels, _oklab(levels))


def tones(bins: Bins) -> Tones:
    """Cluster the bins, and find what is seen most in each cluster."""
    density = _density(bins)
    label = _clusters(bins)
    there = density[tuple(bins.cell.T)]
    groups = [np.flatnonzero(label == number) for number in range(int(label.max()) + 1)]
    groups = [group for group in groups if len(group)]
    levels = np.array([_core(bins, group[np.argsort(-there[group], kind="stable")]) for group in groups])
    weight = np.array([bins.weight[group].sum() for group in groups])
    peak = density[tuple((levels >> _SHIFT).T)]
    valley = _low(density, levels) < _VALLEY * np.minimum(peak[:, None], peak)
    return Tones(
        levels, weight, peak, valley, _near(bins, _oklab(levels), valley & (peak > _MUCH * peak[:, None]))
    )


def _near(bins: Bins, means: FloatArray, other: BoolArray) -> IntArray:
    """Count the pixels near each tone, and at most half-way to other tones, (t, t)."""
    halfway = np.where(other, _squares(means, means) / 4, np.inf).min(axis=1)
    return np.asarray(bins.weight @ (_squares(bins.oklab, means) <= np.minimum(_NEAR**2, halfway)))


def _oklab(levels: FloatArray | IntArray) -> FloatArray:
    return oklab_from_linear(linear_from_srgb(levels / 255))


def _density(bins: Bins) -> FloatArray:
    """Pixels a bin all over the cube, smoothed twice by 1/4, 1/2, 1/4 along each channel."""
    cube = np.zeros((_SIDE,) * 3)
    cube[tuple(bins.cell.T)] = bins.weight
    for axis in (0, 1, 2) * 2:
        cube = np.moveaxis(cube, axis, 0)
        padded = np.concatenate([cube[:1], cube, cube[-1:]])
        cube = np.moveaxis((padded[:-2] + 2 * padded[1:-1] + padded[2:]) / 4, 0, axis)
    return cube


def _core(bins: Bins, group: NDArray[np.intp]) -> IntArray:
    """Mean levels of the first bins of a group that hold half its pixels."""
    held = np.cumsum(bins.weight[group])
    core = group[: int(np.searchsorted(held, _CORE * held[-1])) + 1]
    weight = bins.weight[core]
    mean: FloatArray = weight @ bins.levels[core] / weight.sum()
    return np.rint(mean).astype(np.int64)


def _low(density: FloatArray, levels: IntArray) -> FloatArray:
    """Least density on the straight ways between tones."""
    low = np.full((len(levels),) * 2, np.inf)
    for part in np.linspace(0.0, 1.0, _PLACES):
        place = np.rint(levels[:, None] * (1 - part) + levels[None] * part).astype(np.int64) >> _SHIFT
        low = np.minimum(low, density[place[..., 0], place[..., 1], place[..., 2]])
    return np.asarray(np.minimum(low, low.T))


def _clusters(bins: Bins) -> NDArray[np.intp]:
    """Give each bin the number of its cluster: the best of two starts."""
    weight = np.sqrt(bins.weight)
    runs = [_lloyd(bins.oklab, weight, _start(bins.oklab, weight**strength)) for strength in _STRENGTHS]
    return min(runs, key=lambda run: run[1])[0]


def _start(points: FloatArray, weight: FloatArray) -> FloatArray:
    """Take the heaviest point, then again and again the one that is worst served: weight by squared distance."""
    chosen = [int(np.argmax(weight))]
    away = _squares(points, points[chosen])[:, 0]
    for _ in range(_CLUSTERS - 1):
        farthest = int(np.argmax(weight * away))
        if away[farthest] < 1e-12:
            break
        chosen.append(farthest)
        away = np.minimum(away, _squares(points, points[[farthest]])[:, 0])
    return points[chosen]


def _lloyd(points: FloatArray, weight: FloatArray, means: FloatArray) -> tuple[NDArray[np.intp], float]:
    """Move means to the middle of what is nearest to them until nothing changes; labels, and the error left."""
    label = np.full(len(points), -1)
    for _ in range(_STEPS):
        before, label = label, _squares(points, means).argmin(axis=1)
        if (before == label).all():
            break
        held = np.bincount(label, weights=weight, minlength=len(means))
        for axis in range(3):
            sums = np.bincount(label, weights=weight * points[:, axis], minlength=len(means))
            means[:, axis] = np.where(held > 0, sums / np.where(held > 0, held, 1.0), means[:, axis])
    return label, float((weight * ((points - means[label]) ** 2).sum(axis=1)).sum())


def _squares(points: FloatArray, means: FloatArray) -> FloatArray:
    """Squared distances, (points, means)."""
    total = np.zeros((len(points), len(means)))
    for axis in range(3):  # not by a matrix product: its threads wait for each other on a busy machine
        total += (points[:, axis, None] - means[:, axis]) ** 2
    return total
