"""How evenly a layout leaves its space, read off a grid: nothing is shared with what lays it out.

coverage: share of the tile that bodies cover. void: diameter of the largest empty circle over the mean spacing, the root
of the tile's area over the number of bodies. variation: of the gap between facing bodies along their common border (its
coefficient). alley: worst deviation of the coverage along soft lines (a bell of a quarter spacing) from its mean, as a
share of it, over the directions up to (3, 3) in which a repeat shows stripes. overlap: what two bodies paint over what
is painted.
"""

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy import ndimage

from mockup.geometry.affine import translation
from mockup.geometry.shapes import Shape, moved, union
from mockup.pattern.repeat import Layout

Floats = NDArray[np.float64]


class Figures(NamedTuple):
    """What is measured, see above; ``mean`` is the mean gap, mm."""

    coverage: float
    void: float
    variation: float
    alley: float
    overlap: float
    mean: float


def bodies_of(layout: Layout) -> list[Shape]:
    """Each placed motif as one shape, without its line work."""
    return [union(moved(part.shape, one.transform) for part in one.motif.parts) for one in layout.placed]


def measured(bodies: Sequence[Shape], size: tuple[float, float], pixels: int = 700) -> Figures:
    """Measure bodies on a tile that wraps; the longer side has so many pixels."""
    grain = max(size) / pixels
    columns, rows = (round(side / grain) for side in size)
    step = np.array([size[0] / columns, size[1] / rows])
    spacing = math.sqrt(size[0] * size[1] / len(bodies))
    edge = min(round(1.6 * spacing / grain), columns, rows)
    label, twice = _painted(bodies, size, step, (columns, rows, edge))
    home = np.s_[edge : edge + rows, edge : edge + columns]
    far, near = ndimage.distance_transform_edt(label == 0, sampling=step[::-1], return_indices=True)
    owner = label[near[0], near[1]]
    gap, weight = [], []
    for down, right in ((0, 1), (1, 0), (1, 1), (1, -1)):
        there = np.s_[edge + down : edge + rows + down, edge + right : edge + columns + right]
        differ = owner[home] != owner[there]
        gap.append((far[home] + far[there])[differ])
        weight.append(np.full(int(differ.sum()), 1 / math.hypot(down, right)))
    gaps, weights = np.concatenate(gap), np.concatenate(weight)
    mean = float(np.average(gaps, weights=weights))
    spread = math.sqrt(float(np.average((gaps - mean) ** 2, weights=weights)))
    covered = label[home] > 0
    void = max(0.0, 2 * float(far[home].max()) - float(step.mean())) / spacing
    alley = worst_stripe(covered, size, spacing)
    return Figures(
        float(covered.mean()), void, spread / mean, alley, twice / max(1, int(covered.sum())), mean
    )


def _painted(
    bodies: Sequence[Shape], size: tuple[float, float], step: Floats, grid: tuple[int, int, int]
) -> tuple[NDArray[np.int64], int]:
    """Which copy of which body lies on each pixel (from 1), and how many pixels of the tile are painted twice."""
    columns, rows, edge = grid
    x = (np.arange(-edge, columns + edge) + 0.5) * step[0]
    y = (np.arange(-edge, rows + edge) + 0.5) * step[1]
    label, count = np.zeros((len(y), len(x)), dtype=np.int64), 0
    often = np.zeros(label.shape, dtype=np.int64)
    for body in bodies:
        x0, y0, x1, y1 = shapely.bounds(body)
        for i in range(math.floor((x[0] - x1) / size[0]), math.ceil((x[-1] - x0) / size[0]) + 1):
            for j in range(math.floor((y[0] - y1) / size[1]), math.ceil((y[-1] - y0) / size[1]) + 1):
                across = slice(*np.searchsorted(x, (x0 + i * size[0], x1 + i * size[0])))
                down = slice(*np.searchsorted(y, (y0 + j * size[1], y1 + j * size[1])))
                if across.stop > across.start and down.stop > down.start:
                    count += 1
                    own = moved(body, translation(i * size[0], j * size[1]))
                    inside = shapely.contains_xy(own, *np.meshgrid(x[across], y[down]))
                    label[down, across][inside] = count
                    often[down, across] += inside
    home = np.s_[edge : edge + rows, edge : edge + columns]
    return label, int((often[home] - 1).clip(0).sum())


def worst_stripe(covered: NDArray[np.bool_], size: tuple[float, float], spacing: float) -> float:
    """Worst stripe of one tile: pixels are counted by the line they lie on, and the counts are made soft."""
    rows, columns = covered.shape
    x, y = np.meshgrid((np.arange(columns) + 0.5) / columns, (np.arange(rows) + 0.5) / rows)
    x, y, worst, many = x[covered], y[covered], 0.0, 720
    for p, q in ((p, q) for p in range(4) for q in range(-3, 4)):
        if math.gcd(p, q) != 1 or (p == 0 and q < 0):
            continue
        count = np.bincount(((x * p + y * q) % 1.0 * many).astype(int) % many, minlength=many) / len(x) * many
        wide = spacing / 4 * math.hypot(p / size[0], q / size[1]) * many
        soft = ndimage.gaussian_filter1d(count, wide, mode="wrap", truncate=6.0)
        worst = max(worst, float(np.abs(soft - 1).max()))
    return worst


def strewn(bodies: Sequence[Shape], size: tuple[float, float], rng: np.random.Generator) -> list[Shape]:
    """Throw the same bodies anywhere, whatever lies there."""
    found = []
    for body in bodies:
        x, y = shapely.get_coordinates(shapely.centroid(body))[0]
        to = rng.random(2) * np.array(size)
        found.append(moved(body, translation(to[0] - x, to[1] - y)))
    return found


def dropped(
    bodies: Sequence[Shape], size: tuple[float, float], rng: np.random.Generator
) -> list[Shape] | None:
    """Throw the same bodies, the largest first, each where it meets no other; None where one finds no room."""
    laid: list[Shape] = []
    found = dict.fromkeys(range(len(bodies)), bodies[0])
    for number in sorted(found, key=lambda n: -float(shapely.area(bodies[n]))):
        for _ in range(2000):
            (own,) = strewn([bodies[number]], size, rng)
            if not laid or not shapely.intersects(own, np.array(laid, dtype=object)).any():
                break
        else:
            return None
        found[number] = own
        laid += [moved(own, translation(i * size[0], j * size[1])) for i in (-1, 0, 1) for j in (-1, 0, 1)]
    return list(found.values())
