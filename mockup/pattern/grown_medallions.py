"""Medallions: plates one on another, with a lobed edge and rings of ornaments, exactly alike in every sector.

Each ring lies on a plate and ends at the next plate, a circle; the plates take two inks in turn.
"""

import math
from dataclasses import dataclass, field
from typing import Final

import numpy as np

from mockup.geometry.affine import rotation, translation
from mockup.geometry.curves import Curves, circle, joined, moved, reversed_curves, sampled, straight
from mockup.geometry.narrow import fills, from_points
from mockup.geometry.shapes import difference
from mockup.pattern.chance import Chance
from mockup.pattern.grown_marks import LEAST, distance
from mockup.pattern.grown_petals import Lobe, Tip, lobed, petal, shallowest, turned_to
from mockup.pattern.sketch import AIR, PEN, SMALLEST, Piece, Sketch

_MARGIN: Final = 1.8
"""Plate that shows round whatever lies on it, mm."""

_BAND: Final = 1.9
"""Least width of a ring, mm."""

_SHAPES: Final = ("round", "pointed", "heart", "inward", "inward", "lozenge", "dot", "slanted", "slanted")


@dataclass(slots=True)
class _Growing:
    """What is drawn so far, from the outside in."""

    petals: int
    depth: float
    chance: Chance
    pieces: list[Piece] = field(default_factory=list)
    lines: list[Curves] = field(default_factory=list)

    @property
    def step(self) -> float:
        """Angle of a sector, degrees."""
        return 360.0 / self.petals

    def ring(self, part: str, group: str, outline: Curves, phase: float) -> None:
        """Add a part for every sector."""
        for number in range(self.petals):
            self.pieces.append(Piece(part, group, turned_to(outline, phase + number * self.step)))

    def disc(self, part: str, group: str, radius: float) -> None:
        """Add a circle."""
        self.pieces.append(Piece(part, group, circle(0, 0, radius)))


def medallion(petals: int, layers: int, depth: float, size: float, seed: int) -> Sketch:
    """Grow a medallion of about ``size`` mm; of fewer rings where not all of it could be inked."""
    for fewer in reversed(range(layers + 1)):
        growing = _Growing(petals, depth if fewer else 0.0, Chance(seed, "medallion"))
        _grow(growing, fewer, size / 2 - AIR)
        sketch = Sketch(tuple(growing.pieces), tuple(growing.lines))
        if fewer == 0 or sketch.sound():
            return sketch
    raise AssertionError("a medallion without rings is a plate")


def _grow(growing: _Growing, layers: int, radius: float) -> None:
    chance = growing.chance
    centre = max(1.3, radius * chance.between("centre", 0.13, 0.22))
    plate = _edge(growing, radius, centre + layers * _BAND, seeded=layers > 0)
    fitting = max(0, min(layers, int((plate - centre) / _BAND)))
    if plate - centre >= _MARGIN:
        growing.disc("body", "plate", plate)
    for number, width in enumerate(_widths(fitting, plate - centre, chance)):
        inner = plate - width
        _ring(growing, number, plate, inner)
        plate = inner
        if number < fitting - 1:
            growing.disc("body", ("plate", "plate-2")[(number + 1) % 2], plate)
    _middle(growing, plate if fitting else centre)


def _widths(count: int, room: float, chance: Chance) -> list[float]:
    """Share the room out among the rings, most of it to one, mm."""
    if not count:
        return []
    shares = [chance.between(f"width {number}", 0.3, 1.0) for number in range(count)]
    shares[int(chance.share("main") * count)] += 3.0
    spare = room - count * _BAND
    return [_BAND + spare * share / sum(shares) for share in shares]


def _edge(growing: _Growing, radius: float, kept: float, *, seeded: bool) -> float:
    """Draw the edge, with seeds in its lobes where there is room; give the radius of the plate on it, mm."""
    chance = growing.chance
    lobe = Lobe(
        chance.pick("edge", ("round", "round", "pointed", "heart", "notched")),
        chance.between("full", 0.2, 0.8),
        44.0,
    )
    shallow = min(shallowest(growing.petals, radius), 0.9 * radius)
    deepest = min(shallow, max(0.7 * radius, kept + _MARGIN))
    notch = shallow + (deepest - shallow) * growing.depth
    outline = lobed(growing.petals, notch, radius, lobe, phase=0.0)
    growing.pieces.append(Piece("band", "edge", turned_to(outline, -90.0)))
    notch = float(np.hypot(*sampled(outline).T).min())
    plate = notch - chance.between("rim", _MARGIN, max(_MARGIN, 0.12 * radius))
    room = sampled(joined(outline, circle(0, 0, plate)))
    for seed in (1.6, 1.4, 1.2, 1.0):
        places = np.linspace(plate + seed, radius - seed, 9)
        roomy = [x for x in places if distance(np.array([(x, 0.0)]), room) >= seed + LEAST]
        if seeded and roomy and chance.share("edge seeds") < 0.6:
            growing.ring("seed", "seed", circle(float(roomy[len(roomy) // 2]), 0, seed), -90.0)
            break
    return plate


def _ring(growing: _Growing, number: int, plate: float, inner: float) -> None:
    """Lay a ring between two radii: ornaments or petals where they fit, else stitches."""
    chance = growing.chance
    phase = -90.0 + growing.step / 2 * (number % 2)
    group = ("petal", "petal-2")[number % 2]
    ornament = _ornament(growing, chance.pick(f"shape {number}", _SHAPES), inner + _MARGIN, plate - _MARGIN)
    flower = _flower(growing, number, plate - _MARGIN, inner)
    if ornament is not None and (flower is None or chance.share(f"kind {number}") < 0.6):
        growing.ring("petal", group, ornament, phase)
        _between(growing, ornament, inner, plate, phase)
    elif flower is not None:
        growing.pieces.append(Piece("petal", group, turned_to(flower, phase)))
    else:
        _stitches(growing, plate, inner)


def _between(growing: _Growing, ornament: Curves, inner: float, plate: float, phase: float) -> None:
    """Set dots between the ornaments of a ring where there is room."""
    room = sampled(
        joined(ornament, turned_to(ornament, growing.step), circle(0, 0, inner), circle(0, 0, plate))
    )
    half = math.radians(growing.step / 2)
    for radius in (1.5, 1.25, 1.0):
        for away in np.linspace(plate - radius - LEAST, inner + radius + LEAST, 7):
            middle = np.array([(away * math.cos(half), away * math.sin(half))])
            if away > 0 and distance(middle, room) >= radius + LEAST:
                x, y = middle[0].tolist()
                growing.ring("seed", "seed", circle(x, y, radius), phase)
                return


def _flower(growing: _Growing, number: int, reach: float, inner: float) -> Curves | None:
    """Draw a disc with lobes, of which something shows outside ``inner``; None where that could not be inked."""
    if reach - inner < LEAST:
        return None
    chance = growing.chance
    tip: Tip = chance.pick(f"lobes {number}", ("round", "pointed", "heart", "notched"))
    lobe = Lobe(tip, chance.between(f"full {number}", 0.2, 0.9), chance.between(f"opening {number}", 40, 60))
    shallow = min(shallowest(growing.petals, reach), 0.9 * reach)
    deep = min(shallow, max(inner - 0.6, LEAST / 2 / math.sin(math.pi / growing.petals)))
    over = from_points(sampled(circle(0, 0, inner), 24))
    for ease in (1.0, 0.8, 0.6, 0.4, 0.2, 0.0):
        notch = shallow + (deep - shallow) * growing.depth * ease
        drawn = lobed(growing.petals, notch, reach, lobe)
        if fills(difference(from_points(sampled(drawn)), over), PEN, SMALLEST):
            return drawn
    return None


def _stitches(growing: _Growing, plate: float, inner: float) -> None:
    """Draw short strokes across the middle of a narrow ring, three to a sector, or two, or one."""
    if plate - inner < 2.3:
        return
    begin, end = inner + 0.75, plate - 0.75
    for count in (3, 2, 1):
        if 2 * math.pi * begin / (count * growing.petals) >= 2.0:
            for number in range(count * growing.petals):
                growing.lines.append(
                    turned_to(straight((begin, 0), (end, 0)), -90.0 + growing.step / count * number)
                )
            return


def _middle(growing: _Growing, radius: float) -> None:
    """Draw the middle: a disc, with a flower or an eye in it where there is room."""
    growing.disc("centre", "centre", radius)
    if radius < 0.95 + LEAST:
        return
    drawn = _flower(growing, 9, radius - _MARGIN, 0.0) if radius >= 3.6 else None
    if drawn is not None:
        growing.pieces.append(Piece("petal", "seed", turned_to(drawn, -90.0)))
    else:
        eye = max(0.95, min(radius - LEAST, radius * growing.chance.between("eye", 0.35, 0.55)))
        growing.disc("eye", "seed", eye)


def _ornament(growing: _Growing, shape: str, begin: float, end: float) -> Curves | None:
    """Draw the largest ornament of a shape that fits between two radii and beside its like; None for a sliver."""
    length, least = end - begin, 0.56 * LEAST
    inner, outer = circle(0, 0, begin - _MARGIN), circle(0, 0, end + _MARGIN)
    room = sampled(joined(inner, outer), 40)
    for half in (length * share for share in (0.5, 0.42, 0.36, 0.31, 0.27, 0.23, 0.2)):
        if half < least:
            return None
        drawn = _shaped(shape, begin, end, half)
        points = sampled(drawn)
        apart = distance(points, sampled(turned_to(drawn, growing.step)))
        if apart >= _MARGIN and distance(points, room) >= _MARGIN - 0.02:
            return drawn
    return None


def _shaped(shape: str, begin: float, end: float, half: float) -> Curves:
    middle, length = (begin + end) / 2, end - begin
    if shape == "dot" or length < 3.2:
        return circle(middle, 0.0, min(half, length / 2))
    if shape == "lozenge":
        broad = min(half, 0.42 * length)
        corners = [(begin, 0.0), (middle, -broad), (end, 0.0), (middle, broad)]
        return joined(*(straight(a, b) for a, b in zip(corners, corners[1:] + corners[:1], strict=True)))
    if shape == "slanted":
        leaf = petal(-0.55 * length, 0.55 * length, min(half, 0.3 * length), "pointed")
        return moved(leaf, translation(middle, 0.0) @ rotation(58.0))
    broad = min(half, 0.36 * length)
    if shape == "inward":
        return reversed_curves(petal(0.0, length, broad, "round") * (-1.0, 1.0) + np.array((end, 0.0)))
    tip: Tip = "heart" if shape == "heart" else "pointed" if shape == "pointed" else "round"
    return petal(begin, end, broad, tip)
