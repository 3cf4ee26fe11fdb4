"""Where motifs sit in a plane group: the point whose images lie farthest apart, and the asymmetric unit round it.

The asymmetric unit of a point is everything that lies nearer to it than to any of its images (its Dirichlet domain): a
convex polygon, of which the images fill the plane without overlap. Where the group has mirrors, they are sides of it.
Several points share one unit: each has what lies nearest to it.

References
----------
International Tables for Crystallography, Volume A, section 1.5 (asymmetric units). That the Dirichlet domain of a point
in general position is one is a theorem of any textbook on discrete groups.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from mockup.geometry.affine import translation
from mockup.geometry.lattice import Lattice
from mockup.geometry.planegroups import Image, images, is_mirror
from mockup.geometry.shapes import Shape, centroid, polygon

Floats = NDArray[np.float64]
Side = tuple[Floats, float]
"""Outward unit normal, and distance from the site, mm."""

_GRID: Final = 48
_REFINED: Final = 20
_KEPT: Final = 40
_SETTLED: Final = 60
_STILL: Final = 1e-3
_SAME: Final = 1e-6
_NEAR: Final = (-2, -1, 0, 1, 2)
_WAYS: Final = np.array([(x, y) for x in (-1.0, 0.0, 1.0) for y in (-1.0, 0.0, 1.0) if x or y])


@dataclass(frozen=True, eq=False, slots=True)
class Domain:
    """Where one motif sits: its ``site`` (mm) and the unit round it.

    Attributes
    ----------
    site : (2,) floats
        The point.
    corners : (n, 2) floats
        Of the unit, mm about the site.
    normal : (m, 2) floats
        Outward unit normals of the unit's sides.
    away : (m,) floats
        Distance of each side from the site, mm.
    mirrors : sequence of (normal, distance)
        The group's mirrors round the site, like the sides; the unit may end before it comes to one.
    """

    site: Floats
    corners: Floats
    normal: Floats
    away: Floats
    mirrors: Sequence[Side]

    def room(self, points: Floats, gap: float) -> float:
        """Largest factor by which points, (n, 2) mm about the site, may grow and stay inside, half a gap off."""
        reach = (points @ self.normal.T).max(axis=0)
        wide = reach > 0
        return float(((self.away - gap / 2)[wide] / reach[wide]).min()) if wide.any() else np.inf

    def within_mirrors(self, far: float) -> Shape:
        """What of a square of ``far`` mm each way round the site lies inside the mirrors, mm about the site."""
        corners = np.array([(-far, -far), (far, -far), (far, far), (-far, far)])
        for normal, away in self.mirrors:
            corners = _before(corners, normal, away)
        return polygon(corners)


def domains(symbol: str, lattice: Lattice, count: int) -> tuple[Domain, ...]:
    """Find the sites of so many motifs in one asymmetric unit, row by row, and what each has for itself.

    Parameters
    ----------
    symbol : str
        The plane group.
    lattice : Lattice
        What is tiled, and how it steps.
    count : int
        Motifs that share the unit.
    """
    group = images(symbol, (lattice.width, lattice.height))
    sites = _sites(group, lattice, count)
    order = np.lexsort((np.round(sites[:, 0], 6), np.round(sites[:, 1], 6)))
    return tuple(_domain(sites[order], number, group, lattice) for number in range(count))


def _sites(group: tuple[Image, ...], lattice: Lattice, count: int) -> Floats:
    """Points whose images, all together, lie far apart, (count, 2) mm."""
    share = 2 if len(group) == 1 else 4
    middle = np.array([lattice.width / share, lattice.height / share])
    grid = np.arange(_GRID) / _GRID
    spots = np.stack(np.meshgrid(grid, grid, indexing="ij"), axis=-1).reshape(-1, 2)
    spots = spots * (lattice.width, lattice.height)
    own = _clear(spots, group, lattice)
    first = int(_best(spots, own, middle)[0])
    if count == 1:
        return _refined(spots[first], middle, group, lattice)[None, :]
    chosen, near = [first], np.minimum(own, _apart(spots, spots[first], group, lattice))
    while len(chosen) < count:
        chosen.append(int(np.argmax(np.round(near, 6))))
        near = np.minimum(near, _apart(spots, spots[chosen[-1]], group, lattice))
    sites = spots[chosen]
    for _ in range(_SETTLED):
        last, sites = sites, np.array([_middle(sites, number, group, lattice) for number in range(count)])
        if np.abs(sites - last).max() < _STILL:
            break
    return sites


def _best(spots: Floats, own: Floats, middle: Floats) -> NDArray[np.int64]:
    """Order of points by distance from their own images, largest first; of equal ones the nearer to a middle."""
    away = np.abs(spots - middle).sum(axis=1)
    return np.lexsort((np.round(away, 6), -np.round(own, 9)))


def _refined(spot: Floats, middle: Floats, group: tuple[Image, ...], lattice: Lattice) -> Floats:
    """Find the point of the unit round ``spot`` that is farthest from its images: the best of ever finer grids."""
    corners, sides = _sides(spot[None, :], 0, group, lattice)
    step = np.array([lattice.width, lattice.height]) / _GRID
    low = np.floor((spot + corners.min(axis=0)) / step)
    across, down = (np.ceil((spot + corners.max(axis=0)) / step) - low).astype(int) + 1
    index = np.stack(np.meshgrid(np.arange(across), np.arange(down)), axis=-1).reshape(-1, 2)
    spots = np.asarray((low + index) * step, dtype=float)
    spots = spots[np.all([(spots - spot) @ normal <= away + _SAME for normal, away in sides], axis=0)]
    for _ in range(_REFINED):
        kept = spots[_best(spots, _clear(spots, group, lattice), middle)[:_KEPT]]
        step = step / 2
        further = (kept[:, None, :] + _WAYS * step).reshape(-1, 2)
        spots = np.unique(np.round(np.concatenate((kept, further)), 9), axis=0)
    return np.asarray(spots[_best(spots, _clear(spots, group, lattice), middle)[0]])


def _clear(spots: Floats, group: tuple[Image, ...], lattice: Lattice) -> Floats:
    """Distance of points (n, 2) from the nearest of their own images, (n,) mm."""
    found = np.full(len(spots), float(np.linalg.norm(_steps(lattice), axis=1).min()))
    for image in group[1:]:
        found = np.minimum(found, _shortest(image.map.apply(spots) - spots, lattice))
    return found


def _apart(spots: Floats, site: Floats, group: tuple[Image, ...], lattice: Lattice) -> Floats:
    """Distance of points (n, 2) from the nearest image of a site, (n,) mm."""
    away = [_shortest(image.map.apply(site[None, :]) - spots, lattice) for image in group]
    return np.asarray(np.min(away, axis=0))


@lru_cache(maxsize=32)
def _steps(lattice: Lattice) -> Floats:
    """Two steps of the lattice that are as short as any (Lagrange's reduction), (2, 2) mm."""
    short, long = (np.array(lattice.shift(*index)) for index in ((1, 0), (0, 1)))
    while True:
        if short @ short > long @ long:
            short, long = long, short
        turns = round(float(short @ long / (short @ short)))
        if not turns:
            return np.array([short, long])
        long = long - turns * short


def _near(ways: Floats, steps: Floats) -> Floats:
    """Shorten vectors (n, 2) by whole steps, none longer than it must be by much."""
    return np.asarray(ways - np.round(ways @ np.linalg.inv(steps)) @ steps)


def _shortest(ways: Floats, lattice: Lattice) -> Floats:
    """Length of vectors (n, 2) after the steps that shorten them most, (n,) mm."""
    steps = _steps(lattice)
    ways = _near(ways, steps)
    every = [ways + (i, j) @ steps for i in (-1, 0, 1) for j in (-1, 0, 1)]
    return np.asarray(np.min([np.hypot(*way.T) for way in every], axis=0))


def _sides(
    sites: Floats, number: int, group: tuple[Image, ...], lattice: Lattice
) -> tuple[Floats, list[Side]]:
    """Cut what lies nearest to one of the sites out of the plane, the nearest image first: corners and sides."""
    spots = _others(sites, number, group, lattice)
    away = np.hypot(*spots.T) / 2
    far = 2 * max(lattice.width, lattice.height)
    corners = np.array([(-far, -far), (far, -far), (far, far), (-far, far)])
    sides: list[Side] = []
    for one in np.argsort(np.round(away, 9), kind="stable").tolist():
        if away[one] > np.linalg.norm(corners, axis=1).max():
            break
        normal = spots[one] / (2 * away[one])
        if (corners @ normal).max() > away[one] + _SAME:
            corners = _before(corners, normal, float(away[one]))
            sides.append((normal, float(away[one])))
    return corners, [side for side in sides if (corners @ side[0]).max() > side[1] - 1e-4]


def _others(sites: Floats, number: int, group: tuple[Image, ...], lattice: Lattice) -> Floats:
    """Ways from one of the sites to every image of every site that is near it, (n, 2) mm."""
    steps = _steps(lattice)
    held = np.concatenate([image.map.apply(sites) for image in group]) - sites[number]
    further = np.array([(i, j) for i in _NEAR for j in _NEAR]) @ steps
    ways = (_near(held, steps)[:, None, :] + further).reshape(-1, 2)
    return np.asarray(ways[np.hypot(*ways.T) > _SAME])


def _mirrors(site: Floats, group: tuple[Image, ...], lattice: Lattice) -> list[Side]:
    """Find the mirrors near a site, the nearest first."""
    steps = _steps(lattice)
    further = np.array([(i, j) for i in _NEAR for j in _NEAR]) @ steps
    found: list[Side] = []
    for flip in (image.map for image in group if image.map.determinant < 0):
        there = flip.apply(site[None, :]) - site
        for way in _near(there, steps) + further:
            x, y = way - there[0]
            far = float(np.hypot(*way))
            if far > _SAME and is_mirror(translation(float(x), float(y)) @ flip):
                found.append((way / far, far / 2))
    return sorted(found, key=lambda side: side[1])


def _before(corners: Floats, normal: Floats, away: float) -> Floats:
    """Keep of a convex polygon, (n, 2) corners, what lies before a line."""
    over = corners @ normal - away
    found = []
    for number, corner in enumerate(corners):
        last = number - 1
        if (over[number] > 0) != (over[last] > 0):
            share = over[last] / (over[last] - over[number])
            found.append(corners[last] + share * (corner - corners[last]))
        if over[number] <= 0:
            found.append(corner)
    return np.array(found)


def _middle(sites: Floats, number: int, group: tuple[Image, ...], lattice: Lattice) -> Floats:
    """Centre of area of what lies nearest to a site, mm."""
    corners, _ = _sides(sites, number, group, lattice)
    x, y = centroid(polygon(corners))
    return np.asarray(sites[number] + (x, y), dtype=float)


def _domain(sites: Floats, number: int, group: tuple[Image, ...], lattice: Lattice) -> Domain:
    corners, sides = _sides(sites, number, group, lattice)
    return Domain(
        sites[number],
        corners,
        np.array([normal for normal, _ in sides]),
        np.array([away for _, away in sides]),
        tuple(_mirrors(sites[number], group, lattice)),
    )
