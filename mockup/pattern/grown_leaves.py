"""Single leaves: a blade with lobes on a stalk, in one ink or in halves, with an inner blade and seeds."""

import math
from typing import Final

import numpy as np

from mockup.geometry.affine import rotation
from mockup.geometry.curves import Curves, Point, circle, joined, sampled, smooth
from mockup.pattern.chance import Chance
from mockup.pattern.grown_blades import MARGINS, Blade
from mockup.pattern.grown_marks import LEAST, distance, holds
from mockup.pattern.sketch import AIR, Piece, Sketch, fitted

_SMALL: Final = 10.0
"""Length of a blade, mm, below which its stalk is a line."""

_INSIDE: Final = ("leaf-inner", "stem", "seed")

_STALK: Final = (1.8, 3.0)
"""Least and greatest width of a stalk, mm."""


def leaf(petals: int, layers: int, depth: float, size: float, seed: int) -> Sketch:
    """Grow a leaf of about ``size`` mm; less cut, or plainer, where not all of it could be inked."""
    chance = Chance(seed, "leaf")

    def grown(lobes: int, cut: float, fewer: int) -> Sketch:
        return fitted(
            lambda room: _drawn(_blade(lobes, cut, room, chance, halved=fewer > 1), fewer, chance),
            size - 2 * AIR,
        )

    for fewer in reversed(range(1, layers + 1)):
        for ease in (1.0, 0.8, 0.6, 0.4, 0.2, 0.0):
            sketch = grown(petals, depth * ease, fewer)
            if sketch.sound():
                return sketch
    return grown(1, 0.0, 1)


def _blade(petals: int, cut: float, size: float, chance: Chance, *, halved: bool) -> Blade:
    left = (petals - 1) // 2
    fingers = petals < 7 or (petals < 12 and chance.share("fingers") < 0.4)
    length = size * chance.between("length", 0.76, 0.84)
    slim, plump = (0.3, 0.4) if fingers else (0.27 if halved else 0.22, 0.4)
    broad = length * chance.between("broad", slim, plump)
    uneven = chance.between("uneven", -0.07, 0.07)
    return Blade(
        length=length,
        broad=(broad * (1 + uneven), broad * (1 - uneven)),
        belly=chance.between("belly", 0.34, 0.52),
        full=chance.between("fullness", 0.8, 1.0),
        bend=chance.between("bend", 8.0, 28.0) * chance.pick("way", (-1, 1)),
        lobes=(left, petals - 1 - left),
        cut=cut,
        margin=chance.pick("margin", MARGINS if petals > 4 else MARGINS[:2]),
        lean=chance.between("lean", 0.5, 1.0),
        spread=min(128.0, 46.0 * left + chance.between("spread", 12, 34)) if fingers else 0.0,
        tip=0.85 if halved else 0.55,
    )


def _drawn(blade: Blade, layers: int, chance: Chance) -> Sketch:
    thin = blade.length < _SMALL
    pieces: list[Piece] = []
    if layers == 1:
        pieces.append(Piece("leaf", "leaf", blade.outline()))
    else:
        left, right = blade.halves()
        pieces += [Piece("leaf", "leaf", left), Piece("leaf", "leaf-shade", right)]
    inner = _inner(blade) if layers > 2 else None
    if inner is not None:
        pieces.append(Piece("leaf", "leaf-inner", inner))
    if not thin:
        pieces.append(Piece("stem", "stem", _stalk(blade, chance)))
    if layers > 3:
        pieces += _seeds(blade, inner)
    lines = _veins(blade, layers == 1, [piece.outline for piece in pieces if piece.group in _INSIDE])
    if thin:
        sway = blade.length * chance.between("sway", -0.08, 0.08)
        lines.append(
            smooth([(0.0, 0.0), (0.3 * sway, 0.13 * blade.length), (sway, 0.25 * blade.length)], closed=False)
        )
    tilt = rotation(-blade.bend / 2 + chance.between("tilt", -12, 12))
    return Sketch(tuple(pieces), tuple(lines)).moved(tilt)


def _inner(blade: Blade) -> Curves | None:
    """Draw the broadest blade inside that leaves enough of the halves beside it; None where it were a sliver."""
    room = sampled(joined(blade.side(-1), blade.side(1)))
    for share in (0.55, 0.49, 0.43, 0.38, 0.33, 0.28, 0.24, 0.2):
        drawn = blade.inner(max(0.14, 0.05 + 2.7 / blade.length), 0.42 + 0.7 * share, share)
        if distance(sampled(drawn), room) >= LEAST + 0.1:
            return drawn
    return None


def _seeds(blade: Blade, inner: Curves | None) -> list[Piece]:
    """Set seeds along the midrib in the inner blade; in too little room, a berry where the stalk begins."""
    room = sampled(inner if inner is not None else blade.outline())
    seeds: list[Point] = []
    for radius in (1.5, 1.25, 1.0):
        for t in np.linspace(0.16, 0.8, 60):
            here = blade.at(float(t), 0.0)
            apart = all(math.dist(here, seed) >= 2 * radius + LEAST for seed in seeds)
            if apart and holds(room, np.array([here])) and distance(np.array([here]), room) >= radius + LEAST:
                seeds.append(here)
        if len(seeds) > 1:
            return [Piece("seed", "seed", circle(x, y, radius)) for x, y in seeds[:5]]
        seeds = []
    radius = max(1.8, 0.08 * blade.length)
    return [Piece("seed", "seed", circle(*blade.at(0.02, 0.0), radius))]


def _stalk(blade: Blade, chance: Chance) -> Curves:
    """Draw the stalk: it goes on from the midrib and sways to one side."""
    length = blade.length * 0.24
    sway = chance.between("sway", -0.3, 0.3) * length
    half = min(max(0.062 * blade.length, _STALK[0]), _STALK[1]) / 2
    x, y = blade.at(0.05, 0.0)
    ring = [
        (x + half, y),
        (half + 0.3 * sway, 0.5 * length),
        (sway + half * 1.15, length),
        (sway - half * 1.15, length),
        (-half + 0.3 * sway, 0.5 * length),
        (x - half, y),
        (x, y - half),
    ]
    return smooth(ring, closed=True, corners=(2, 3))


def _veins(blade: Blade, ribbed: bool, over: list[Curves]) -> list[Curves]:
    """Draw the midrib where no edge runs along it, and a vein to every lobe that has room for one."""
    lines = []
    if ribbed:
        lines.append(smooth([blade.at(t, 0.0) for t in (0.12, 0.36, 0.62, 0.84)], closed=False))
    covers = [sampled(one, 6) for one in over]
    room = np.vstack([*(sampled(blade.side(side), 6) for side in (-1, 1)), *covers])
    for side in (-1, 1):
        for line in blade.veins(side):
            points = sampled(line, 6)
            roomy = distance(points, room) >= 0.9 and not any(holds(one, points) for one in covers)
            if roomy and math.dist(line[0, 0], line[-1, 3]) >= 1.2:
                lines.append(line)
                room = np.vstack([room, points])
    return lines
