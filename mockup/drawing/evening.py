"""Light that falls off over a picture, evened out: a smooth field in which regions of like hue come to like lightness.

It is believed only as far as brightness falls off within the regions, too: a large tinted area is no shadow.
"""

from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.cluster.hierarchy import fcluster, linkage

from mockup.drawing.cores import LIKE, SURE, Core, Regions, means, regions_in

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Mask = NDArray[np.bool_]

_ROUNDS: Final = 2  # of evening out the light
_EVERY: Final = 3  # pixel that is looked at for it
_FEW: Final = 5  # terms of the basis up to the second power


def evened(core: Core, area: Floats) -> tuple[Core, Regions]:
    """Even out light that falls off smoothly over the page, where like regions, and each by itself, agree on it."""
    thin = core._replace(
        **{name: getattr(core, name)[::_EVERY] for name in ("of", "soft", "sharp", "weight", "place")}
    )
    basis, dark = _basis(thin), np.log(np.maximum(thin.soft[:, :1], 0.02))
    found = regions_in(thin, area)
    inside = ((thin.soft - found.colour[thin.of]) ** 2).sum(axis=1) <= LIKE**2
    own = thin.weight * inside
    even = means(_centred(dark, thin.of, own) ** 2, thin.of, own, thin.many) + 1e-4
    weight = thin.weight / even[thin.of, 0]
    first = np.zeros(basis.shape[1])
    first[:_FEW] = _field(basis[inside, :_FEW], dark[inside], thin.of[inside], weight[inside])
    for start in (first, np.zeros_like(first)):
        light = start
        for _ in range(_ROUNDS):
            group = _alike(regions_in(_lit(thin, basis @ light), area))[thin.of]
            use = inside & (group >= 0)
            light = _field(basis[use], dark[use], group[use], weight[use])
        if 0.6 <= _within((basis @ light)[inside], dark[inside, 0], thin.of[inside], weight[inside]) <= 1.6:
            core = _lit(core, _basis(core) @ light)
            break
    return core, regions_in(core, area)


def _basis(core: Core) -> Floats:
    """Powers of the place over the page up to the third, (m, 9), the lower ones first."""
    x, y = core.place.T
    return np.column_stack([x**i * y ** (k - i) for k in range(1, 4) for i in range(k + 1)])


def _lit(core: Core, light: Floats) -> Core:
    factor = np.exp(np.percentile(light, 90) - light)[:, None]
    return core._replace(soft=core.soft * factor, sharp=core.sharp * factor)


def _within(light: Floats, dark: Floats, of: Ints, weight: Floats) -> float:
    one, other = _centred(light[:, None], of, weight)[:, 0], _centred(dark[:, None], of, weight)[:, 0]
    return float((weight * one * other).sum() / ((weight * one * one).sum() + 1e-12))


def _alike(found: Regions) -> Ints:
    """Group regions by hue and chroma, which light leaves as they are, and a little by lightness; -1 if unsure."""
    sure = np.flatnonzero(found.share >= SURE)
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
    found: Floats = np.zeros(basis.shape[1])
    own = weight
    for _ in range(4):
        b, y = _centred(basis, alike, own), _centred(dark, alike, own)[:, 0]
        square = (b * own[:, None]).T @ b
        square += (1e-6 * float(np.trace(square)) + 1e-9) * np.eye(len(square))
        found = np.asarray(np.linalg.solve(square, (b * own[:, None]).T @ y))
        off = np.abs(y - b @ found)
        own = weight / (1.0 + (off / (1.5 * np.median(off) + 1e-4)) ** 2)
    return found


def _centred(values: Floats, of: Ints, weight: Floats) -> Floats:
    return values - means(values, of, weight, int(of.max(initial=0)) + 1)[of]
