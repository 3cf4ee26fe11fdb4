"""Sprays: leaves along a bending stem, in turn or in pairs, with berries between them and a flower at the tip."""

import itertools
import math
from dataclasses import dataclass, field
from functools import partial
from typing import Final, NamedTuple

import numpy as np

from mockup.geometry.affine import Affine, Points, rotation, translation
from mockup.geometry.curves import (
    Curves,
    circle,
    moved,
    sampled,
    smooth,
    straight,
)
from mockup.pattern.chance import Chance
from mockup.pattern.grown_blades import Blade
from mockup.pattern.grown_marks import CLEAR, LEAST, distance, holds
from mockup.pattern.grown_petals import TIPS, Lobe, Tip, lobed, turned_to
from mockup.pattern.grown_stems import Stem, grown_stem
from mockup.pattern.sketch import AIR, LINE, Piece, Sketch, fitted

_SLIMMEST: Final = 2.0
"""Least width of a leaf, mm."""

_LARGE: Final = 48.0
"""Size, mm, from which on the leaves of a spray have lobes."""

_MOST: Final = 8
"""Most berries and flowers of a spray."""


@dataclass(slots=True)
class _Spray:
    """What is drawn so far."""

    stem: Stem
    chance: Chance
    depth: float
    size: float
    pieces: list[Piece] = field(default_factory=list)
    top: list[Piece] = field(default_factory=list)
    lines: list[Curves] = field(default_factory=list)
    taken: list[tuple[Points, Points, Points]] = field(default_factory=list)

    def take(self, points: Points) -> None:
        """Remember what a part takes up."""
        self.taken.append((points, points.min(axis=0), points.max(axis=0)))

    def roomy(self, points: Points, apart: float = CLEAR) -> bool:
        """Tell whether points keep clear of all leaves, berries and flowers so far."""
        low, high = points.min(axis=0) - apart, points.max(axis=0) + apart
        near = [ring for ring, least, most in self.taken if (least < high).all() and (most > low).all()]
        return not any(distance(points, ring) < apart or holds(ring, points[:1]) for ring in near)

    def set_leaf(self, group: str, outline: Curves, seen: Points, blade: Blade, placed: Affine) -> None:
        """Add a leaf, with a midrib where it is long enough."""
        self.pieces.append(Piece("leaf", group, outline))
        self.take(seen)
        if blade.length > 6:
            rib = smooth([blade.at(t, 0.0) for t in (0.35, 0.57, 0.8)], closed=False)
            self.lines.append(moved(rib, placed))

    def finished(self) -> Sketch:
        """Give all of it: leaves, the stem over their ends, what hangs on it on top; a thin stem is line work."""
        if self.stem.width > LINE:
            stem = Piece("stem", "stem", self.stem.outline())
            return Sketch((*self.pieces, stem, *self.top), tuple(self.lines))
        line = smooth([self.stem.at(t)[0] for t in (0.0, 0.3, 0.65, 1.0)], closed=False)
        return Sketch((*self.pieces, *self.top), (line, *self.lines))


def spray(petals: int, layers: int, depth: float, size: float, seed: int) -> Sketch:
    """Grow a spray of about ``size`` mm; of fewer leaves, or plainer, where not all of it could be inked."""
    chance = Chance(seed, "spray")
    for fewer in reversed(range(1, layers + 1)):
        for share, ease in itertools.product((1.0, 0.85, 0.7, 0.55, 0.4, 0.25), (1.0, 0.4)):
            count = max(3, round(petals * share))
            sketch = fitted(partial(_drawn, count, fewer, depth * ease, chance), size - 2 * AIR)
            if sketch.sound():
                return sketch
    return sketch


def _drawn(count: int, layers: int, depth: float, chance: Chance, size: float) -> Sketch:
    rows = math.ceil((count - 1) / 2)
    length = size * (0.6 if rows < 2 else 0.68 if rows < 4 else 0.76)
    spray_ = _Spray(grown_stem(length, chance), chance, depth, size)
    headed = _head(spray_, layers)
    if not headed:
        _end_leaf(spray_)
    places = _places(count - 1, chance.share("paired") < 0.4, 0.82 if headed else 0.76)
    pitch = length * 0.68 / max(rows, 1)
    lean = chance.between("lean", 40, 58) + (12 if count > 12 else 0)
    for number, (t, side) in enumerate(places):
        group = "leaf" if layers == 1 or side < 0 else "leaf-2"
        _leaf(spray_, _Leaf(number, t, side, lean, pitch, rows, group))
    if layers > 2:
        _berries(spray_, size)
    return spray_.finished()


def _places(count: int, paired: bool, high: float) -> list[tuple[float, int]]:
    """Give where leaves sit along the stem, and on which side, from the foot up."""
    low = 0.16 if count > 4 else 0.26
    if paired:
        step = (high - low) / max(math.ceil(count / 2) - 1, 1)
        return [(low + (number // 2) * step, (-1, 1)[number % 2]) for number in range(count)]
    step = (high - low) / max(count - 1, 1)
    return [(low + number * step, (-1, 1)[number % 2]) for number in range(count)]


def _blade(spray_: _Spray, length: float, half: float, bend: float) -> Blade:
    chance, depth = spray_.chance, spray_.depth
    lobes = min(int(length / 4), 4) if depth > 0.2 and spray_.size > _LARGE and half > 2.8 else 0
    return Blade(
        length=length,
        broad=(half, half),
        belly=chance.between("belly", 0.36, 0.6),
        full=0.7 if half < 1.4 else chance.between("full", 0.75, 1.0),
        bend=bend,
        lobes=(lobes, lobes),
        cut=0.8 * depth,
        margin="scalloped",
        lean=0.7,
        spread=0.0,
        tip=0.55,
    )


def _slim(spray_: _Spray, *, roomy: bool) -> float:
    """Give how broad leaves are wished, over their length: lances, ovals or round ones; slimmer the deeper the cut."""
    forms = ((0.36, 0.46), (0.46, 0.6), (0.46, 0.6), (0.72, 0.88) if roomy else (0.5, 0.66))
    low, high = spray_.chance.pick("form", forms)
    return spray_.chance.between("slim", low, high) * (1 - 0.35 * spray_.depth)


class _Leaf(NamedTuple):
    """Where a leaf is to sit: number, share of the stem, side, lean (degrees), room (mm), rows, and its group."""

    number: int
    t: float
    side: int
    lean: float
    pitch: float
    rows: int
    group: str


def _leaf(spray_: _Spray, leaf: _Leaf) -> None:
    """Set the largest leaf that finds room at a place; none where it were a sliver."""
    chance, size = spray_.chance, spray_.size
    stem = spray_.stem
    _, heading = stem.at(leaf.t)
    x, y = stem.beside(leaf.t, 0.5 * leaf.side)
    turn = heading + leaf.side * (leaf.lean + chance.between(f"lean {leaf.number}", -4, 4))
    widest = min(leaf.pitch * math.sin(math.radians(leaf.lean)) - CLEAR, 0.24 * size)
    slim = _slim(spray_, roomy=leaf.rows < 4)
    long = min(max(1.15 / (leaf.rows + 1), 0.27), 0.44) * chance.between("long", 0.9, 1.1)
    wish = size * long * (1 - 0.4 * abs(2 * leaf.t - 0.6))
    broad = max(min(widest, slim * wish), _SLIMMEST)
    longest = min(wish, broad / (0.6 * slim))
    for scale in (1.0, 0.92, 0.84, 0.76, 0.68, 0.6, 0.52):
        length = longest * scale
        half = max(min(broad, slim * length), _SLIMMEST) / 2
        if length < 1.5 * half + stem.width:
            return
        blade = _blade(spray_, length, half, leaf.side * chance.between("curl", 10, 30))
        placed = translation(x, y) @ rotation(turn + 90)
        outline = moved(blade.outline(), placed)
        points = sampled(outline, _fine(length))
        off = stem.off(points)
        seen = points[off > stem.width / 2]
        outer = off[np.hypot(points[:, 0] - x, points[:, 1] - y) > 0.8 * length]
        if spray_.roomy(seen) and outer.min() >= stem.width / 2 + CLEAR:
            spray_.set_leaf(leaf.group, outline, seen, blade, placed)
            return


def _fine(length: float) -> int:
    """Give how many points a curve of a leaf takes so that none is far from the next."""
    return max(6, round(length / 2))


def _end_leaf(spray_: _Spray) -> None:
    """Set a leaf on the tip of the stem."""
    (x, y), heading = spray_.stem.at(1.0)
    slim = min(_slim(spray_, roomy=True), 0.7)
    length = max(spray_.size * 0.27, 4.0)
    half = max(length * slim, _SLIMMEST) / 2
    blade = _blade(spray_, length, half, spray_.chance.between("end", 4, 18))
    placed = translation(x, y) @ rotation(heading + 90)
    outline = moved(blade.outline(), placed)
    spray_.set_leaf("leaf", outline, sampled(outline, _fine(length)), blade, placed)


def _head(spray_: _Spray, layers: int) -> bool:
    """Set a berry or a flower on the tip of the stem; tell whether one is there."""
    if layers < 3:
        return False
    (x, y), heading = spray_.stem.at(1.0)
    chance, size = spray_.chance, spray_.size
    if layers == 3:
        outline = circle(x, y, max(1.6, 0.062 * size))
        spray_.top.append(Piece("seed", "berry", outline))
    else:
        radius = max(4.0, 0.17 * size)
        centre = 0.33 * radius
        tip: Tip = chance.pick("flower tip", TIPS) if radius >= 5 else "round"
        lobe = Lobe(tip, chance.between("flower full", 0.3, 0.9), 44.0)
        notch = max(radius * (0.84 - 0.3 * spray_.depth), centre + LEAST + 0.1)
        drawn = lobed(chance.pick("flower", (5, 6, 8)), notch, radius, lobe)
        outline = turned_to(drawn, heading) + np.array((x, y))
        spray_.top.append(Piece("petal", "petal", outline))
        spray_.top.append(Piece("centre", "centre", circle(x, y, centre)))
    spray_.take(sampled(outline, 12))
    return True


def _berries(spray_: _Spray, size: float) -> None:
    """Hang berries on short stalks where there is room beside the stem, a few at most."""
    radius = max(1.15, 0.042 * size)
    for number, t in enumerate(np.linspace(0.9, 0.12, 27).tolist()):
        for side in (-1, 1):
            if len(spray_.top) < _MOST and _berry(spray_, t, side, radius * (1 + 0.12 * (number % 2))):
                break


def _berry(spray_: _Spray, t: float, side: int, radius: float) -> bool:
    """Hang one berry, if it finds room."""
    (x, y), heading = spray_.stem.at(t)
    half = spray_.stem.width / 2
    for lean, away in ((58, 2.4), (46, 2.9), (74, 2.2), (58, 3.5)):
        angle = math.radians(heading + side * lean)
        reach = away * radius + half
        start, end = (
            (x + far * math.cos(angle), y + far * math.sin(angle)) for far in (half, reach - radius)
        )
        middle = (x + reach * math.cos(angle), y + reach * math.sin(angle))
        points = sampled(circle(*middle, radius), _fine(4 * radius))
        stalk = straight(start, end)
        clear = spray_.stem.off(points).min() >= half + CLEAR
        if clear and spray_.roomy(points) and spray_.roomy(sampled(stalk), 0.5):
            spray_.top.append(Piece("seed", "berry", circle(*middle, radius)))
            spray_.take(points)
            spray_.take(sampled(stalk))
            spray_.lines.append(stalk)
            return True
    return False
