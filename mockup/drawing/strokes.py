"""Chains of pixels smoothed to curves: straight on through junctions, as the pen went, corners kept.

References
----------
Smoothing splines: P. Dierckx, "Curve and Surface Fitting with Splines", 1993, as in scipy.interpolate.splprep. A
piece of a cubic spline that is h long has its handles at h/3 of the slopes at its two ends (Hermite's form).
"""

import warnings
from collections.abc import Collection, Sequence
from itertools import pairwise
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray
from scipy import interpolate

from mockup.drawing.chains import Chain, degrees, turned
from mockup.geometry.affine import Points
from mockup.geometry.curves import Curves

Floats = NDArray[np.float64]

STRAY: Final = 0.45
"""How far (root mean square, pixels) a smooth line may be from its pixels: they lie on a grid, the pen did not."""

_ON: Final = 40.0
"""Degrees by which a line may turn at a junction and still be one stroke."""

_CORNER: Final = 50.0
"""Degrees by which a line turns at a corner, over the window."""

_WINDOW: Final = 6
"""Pixels on each side over which a turn is measured."""

_FIXED: Final = 30.0
_SHY: Final = 0.25


def smoothed(chains: Sequence[Chain]) -> list[Curves]:
    """Give each chain as cubic curves in pixels, (n, 4, 2); chains that end in one node meet there exactly."""
    made: list[Curves | None] = [None] * len(chains)
    node: dict[int, Points] = {}
    forks = {name for name, many in degrees([one for one in chains if one.half.any()]).items() if many > 2}
    for path in sorted(_paths(chains), key=lambda path: -sum(chains[n].length for n, _ in path)):
        own = [turned(chains[number]) if back else chains[number] for number, back in path]
        for (number, back), curves in zip(path, _stroke(own, node, forks), strict=True):
            made[number] = curves[::-1, ::-1] if back else curves
    return [one for one in made if one is not None]


def _paths(chains: Sequence[Chain]) -> list[list[tuple[int, bool]]]:
    """Give strokes: runs of chains that go straight on through their nodes, each with whether it runs backwards."""
    follows = _partners(chains)
    used: set[int] = set()
    found = []
    starts = [(n, e) for n in range(len(chains)) for e in (0, 1) if (n, e) not in follows]
    for number, end in [*starts, *((n, 0) for n in range(len(chains)))]:
        path = []
        at: tuple[int, int] | None = (number, end)
        while at and at[0] not in used:
            used.add(at[0])
            path.append((at[0], at[1] == 1))
            at = follows.get((at[0], 1 - at[1]))
        if path:
            found.append(path)
    return found


def _partners(chains: Sequence[Chain]) -> dict[tuple[int, int], tuple[int, int]]:
    """Pair the ends (chain, 0 or 1) that go straight on into each other at a node, the straightest first."""
    at: dict[int, list[tuple[int, int]]] = {}
    for number, chain in enumerate(chains):
        for end, node in enumerate(chain.ends):
            if node >= 0:
                at.setdefault(node, []).append((number, end))
    found = {}
    for own in at.values():
        ways = [_leaving(chains[number], end) for number, end in own]
        turns = sorted(
            (float(ways[i] @ ways[j]), i, j)
            for i in range(len(own))
            for j in range(i)
            if own[i][0] != own[j][0]
        )
        for cosine, i, j in turns:
            if cosine < -np.cos(np.radians(_ON)) and own[i] not in found and own[j] not in found:
                found[own[i]], found[own[j]] = own[j], own[i]
    return found


def _leaving(chain: Chain, end: int) -> Floats:
    """Give the direction in which a chain leaves its end, beyond what the junction bends of it."""
    points, half = (chain.points, chain.half[0]) if end == 0 else (chain.points[::-1], chain.half[-1])
    near = min(len(points) - 2, max(0, round(half)))
    far = min(len(points) - 1, near + max(4, round(3 * half)))
    way = points[far] - points[near]
    return np.asarray(way / max(np.hypot(*way), 1e-9))


def _stroke(own: Sequence[Chain], node: dict[int, Points], forks: Collection[int]) -> list[Curves]:
    """Fit one stroke; where it ends in a node or passes one that has its place already, it is held to it."""
    points = np.vstack([own[0].points, *(chain.points[1:] for chain in own[1:])])
    breaks = np.cumsum([0, *(len(chain.points) - 1 for chain in own)])
    names = [own[0].ends[0], *(chain.ends[1] for chain in own)]
    closed = names[0] == names[-1] and (len(own) > 1 or names[0] < 0)
    weight = np.ones(len(points))
    for at, name in zip(breaks.tolist(), names, strict=True):
        reach = round(float(own[0].half.max())) + 1 if name in forks else 0
        weight[max(at - reach, 0) : at + reach + 1] = np.minimum(
            weight[max(at - reach, 0) : at + reach + 1], _SHY
        )
        if name in node:
            points[at], weight[at] = node[name], _FIXED
    corners = sorted(
        {*_corners(points, closed), *((0, len(points) - 1) if not closed or names[0] in node else ())}
    )
    curves, starts = _fitted(points, weight, corners, breaks, closed)
    cuts = np.searchsorted(starts, breaks[1:-1] - 1e-6)
    pieces = [np.array(one) for one in np.split(curves, cuts)]
    if closed:
        pieces[-1][-1, 3] = pieces[0][0, 0]
    for number, name in enumerate(names):
        if name >= 0:
            before, after = (
                pieces[number - 1] if number else None,
                pieces[number] if number < len(own) else None,
            )
            spot = node.setdefault(name, (before[-1, 3] if before is not None else after[0, 0]).copy())  # type: ignore[index]
            _held(before, after, spot)
    return pieces


def _held(before: Curves | None, after: Curves | None, spot: Points) -> None:
    """Move where two curves meet to a spot, their handles with it."""
    if before is not None:
        before[-1, 2:] += spot - before[-1, 3]
    if after is not None:
        after[0, :2] += spot - after[0, 0]


def _corners(points: Points, closed: bool) -> list[int]:
    """Find points at which a line turns sharply."""
    count = len(points)
    if count < 2 * _WINDOW + 1:
        return []
    if closed:
        ring = points[:-1]
        back, on = ring - np.roll(ring, _WINDOW, axis=0), np.roll(ring, -_WINDOW, axis=0) - ring
        first = 0
    else:
        back = points[_WINDOW:-_WINDOW] - points[: -2 * _WINDOW]
        on = points[2 * _WINDOW :] - points[_WINDOW:-_WINDOW]
        first = _WINDOW
    cross = back[:, 0] * on[:, 1] - back[:, 1] * on[:, 0]
    turn = np.degrees(np.abs(np.arctan2(cross, (back * on).sum(axis=1))))
    found: list[int] = []
    for at in np.argsort(-turn).tolist():
        if turn[at] < _CORNER:
            break
        if all(
            min(abs(at - other), len(turn) - abs(at - other) if closed else count) > _WINDOW
            for other in found
        ):
            found.append(at)
    return [at + first for at in found]


def _fitted(
    points: Points, weight: Floats, corners: Sequence[int], breaks: NDArray[np.int64], closed: bool
) -> tuple[Curves, Floats]:
    """Fit curves between corners; give them and the number of the point at which each begins."""
    if closed and not corners:
        return _spline(points, weight, 0, breaks, periodic=True)
    if closed and corners[0] != 0:
        turn = corners[0]
        ring = np.vstack((points[turn:-1], points[: turn + 1]))
        spun = np.append(weight[turn:-1], weight[: turn + 1])
        count = len(points) - 1
        moved = np.unique([*((breaks - turn) % count), 0, count])
        curves, starts = _between(ring, spun, [*(c - turn for c in corners), count], moved)
        begin = int(np.searchsorted(starts, count - turn - 1e-6))
        return np.roll(curves, -begin, axis=0), np.roll((starts + turn) % count, -begin)
    last = len(points) - 1
    return _between(points, weight, [*corners, *(() if corners[-1] == last else (last,))], breaks)


def _between(
    points: Points, weight: Floats, corners: Sequence[int], breaks: NDArray[np.int64]
) -> tuple[Curves, Floats]:
    found = [
        _spline(points[a : b + 1], weight[a : b + 1], a, breaks, periodic=False) for a, b in pairwise(corners)
    ]
    return np.concatenate([curves for curves, _ in found]), np.concatenate([starts for _, starts in found])


def _spline(
    points: Points, weight: Floats, first: int, breaks: NDArray[np.int64], *, periodic: bool
) -> tuple[Curves, Floats]:
    """Fit one smooth line, broken at ``breaks``; straight where there are too few points."""
    inner = np.array(
        [at - first for at in breaks.tolist() if 0 < at - first < len(points) - 1], dtype=np.int64
    )
    if len(points) < 5:
        at = np.unique([0, *inner, len(points) - 1])
        return np.linspace(points[at[:-1]], points[at[1:]], 4, axis=1), first + at[:-1].astype(float)
    along = np.append(0.0, np.cumsum(np.hypot(*np.diff(points, axis=0).T)))
    own = weight.copy()
    if not periodic:
        own[[0, -1]] = _FIXED
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", RuntimeWarning)
        fitted: Any = interpolate.splprep(
            list(points.T),
            w=own,
            u=along,
            s=STRAY**2 * float((own**2).clip(max=1).sum()),
            per=periodic,
            quiet=1,
        )
    spline: Any = fitted[0]
    for at in along[inner].tolist():
        spline = interpolate.insert(at, spline, m=1, per=periodic)
    curves, at = _cubics(spline)
    inside = (at >= along[0] - 1e-9) & (at < along[-1] - 1e-9)
    curves = curves[inside]
    if not periodic:
        curves[0, 0], curves[-1, 3] = points[0], points[-1]
    return curves, first + np.interp(at[inside], along, np.arange(len(along)))


def _cubics(spline: Any) -> tuple[Curves, Floats]:
    """Give the pieces of a plane spline as cubic curves, and the parameter at which each begins."""
    knots = np.unique(spline[0])
    begins = knots[:-1][np.diff(knots) > 1e-9]
    at = np.append(begins, knots[-1])
    place, slope = (np.stack(interpolate.splev(at, spline, der=order), axis=-1) for order in (0, 1))
    third = np.diff(at)[:, np.newaxis] / 3
    first, last = place[:-1], place[1:]
    curves = np.stack([first, first + slope[:-1] * third, last - slope[1:] * third, last], axis=1)
    return curves, begins
