"""Rosettes: flowers seen from the front, exactly alike in every sector.

A layer is a disc with lobes; the next lies on it, turned by half a step. Either the whole notch of a lower layer
shows, or none of it, so that no layer is ever seen as a sliver.
"""

import math
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from mockup.geometry.affine import Points
from mockup.geometry.curves import Curves, circle, joined, sampled
from mockup.geometry.narrow import fills, from_points
from mockup.geometry.shapes import Shape, difference, union
from mockup.pattern.chance import Chance
from mockup.pattern.grown_marks import LEAST, bead, flame, stitches, tongue, veins
from mockup.pattern.grown_petals import TIPS, Lobe, Tip, lobed, shallowest, turned_to
from mockup.pattern.sketch import AIR, PEN, SMALLEST, Piece, Sketch

_APART: Final = 2.2
"""Least distance from the tips of one layer to those of the next, mm."""

_SUNK: Final = 0.6
"""How far under the next layer a notch goes that is not to be seen, mm."""


@dataclass(frozen=True, eq=False, slots=True)
class _Layer:
    """A disc with lobes: how many, radii of notches and tips, where the first tip points (degrees)."""

    count: int
    notch: float
    reach: float
    phase: float
    lobe: Lobe

    @property
    def outline(self) -> Curves:
        """Its outline; a circle where it has no notches."""
        if not self.notch:
            return circle(0, 0, self.reach)
        return lobed(self.count, self.notch, self.reach, self.lobe, phase=self.phase)


def rosette(petals: int, layers: int, depth: float, size: float, seed: int) -> Sketch:
    """Grow a rosette of about ``size`` mm; plainer, or of fewer layers, where not all of it could be inked."""
    chance = Chance(seed, "rosette")
    radius = size / 2 - AIR
    for fewer in reversed(range(1, layers + 1)):
        tips = _radii(fewer, radius, chance)
        drawn = _layers(petals, tips, depth, chance)
        for marked in (True, False):
            sketch = _drawn(drawn, tips[-1], petals, chance, marked=marked)
            if sketch.sound() or (fewer == 1 and not marked):
                return sketch
    raise AssertionError("a flower has a layer")


def _drawn(drawn: list[_Layer], centre: float, petals: int, chance: Chance, *, marked: bool) -> Sketch:
    pieces: list[Piece] = []
    lines: list[Curves] = []
    outlines = [*(layer.outline for layer in drawn), circle(0, 0, centre)]
    for number, layer in enumerate(drawn):
        name = "petal" if number == 0 else f"petal-{number + 1}"
        pieces.append(Piece("petal", name, layer.outline))
        if marked:
            above = joined(*outlines[number + 1 :])
            marks, own = _marks(number, layer, above, chance, parted=number == 0 or len(drawn) <= 2)
            pieces += marks
            lines += own
    middle, own = _centre(centre, petals, chance)
    beads = _beads(drawn[0], joined(*outlines), chance) if marked and len(drawn) < 4 else []
    return Sketch((*pieces, *middle, *beads), (*lines, *own))


def _radii(layers: int, radius: float, chance: Chance) -> list[float]:
    """Radii of the tips of each layer from the outside in, and last of the centre, mm."""
    centre = max(1.2, radius * chance.between("centre", 0.17, 0.3))
    fitting = max(1, min(layers, int((radius - centre) / _APART)))
    spare = max(radius - centre - _APART * fitting, 0.0)
    step = chance.between("step", 0.5, 0.85)
    shares = [step**number for number in range(fitting)]
    least = min(_APART, (radius - centre) / fitting)
    widths = [least + spare * share / sum(shares) for share in shares]
    return [*(radius - sum(widths[:number]) for number in range(fitting)), centre]


def _layers(petals: int, tips: list[float], depth: float, chance: Chance) -> list[_Layer]:
    """Settle the layers, the innermost first: each as deep as asked, or less, so that all that shows can be inked."""
    layers: list[_Layer] = []
    over = from_points(sampled(circle(0, 0, tips[-1])))
    for number in reversed(range(len(tips) - 1)):
        reach, inner = tips[number], tips[number + 1]
        collar = 0 < number == len(tips) - 2 and 2 * math.pi * reach / petals > 4.2
        count = 2 * petals if collar and chance.share("collar") < 0.4 else petals
        lobe = Lobe(
            chance.pick(f"tip {number}", TIPS),
            chance.between(f"full {number}", 0.1, 0.9),
            chance.between(f"opening {number}", 30, 52) + (12 if number else 0),
        )
        phase = -90.0 + 180.0 / petals * (number % 2)
        layers.insert(0, _settled(_Layer(count, 0.0, reach, phase, lobe), inner, depth, over))
        over = union([over, from_points(sampled(layers[0].outline, max(8, round(reach / 2))))])
    return layers


def _settled(layer: _Layer, inner: float, depth: float, over: Shape) -> _Layer:
    """Cut a layer's notches as deep as asked, or the next less deep that leaves nothing narrow; else give it none."""
    plump = replace(layer.lobe, tip="round", full=0.9)
    steps = max(8, round(layer.reach / 2))
    for ease in (1.0, 0.85, 0.7, 0.5, 0.3, 0.0):
        notch = _notch(layer.count, layer.reach, inner, depth * ease)
        for lobe in (layer.lobe, plump):
            tried = replace(layer, notch=notch, lobe=lobe)
            if fills(difference(from_points(sampled(tried.outline, steps)), over), PEN, SMALLEST):
                return tried
    return replace(layer, notch=0.0)


def _notch(count: int, reach: float, inner: float, depth: float) -> float:
    """Radius of a layer's notches, mm: the deeper the nearer to the middle; plainly beside or under the next layer."""
    shallow = min(shallowest(count, reach), 0.9 * reach)
    neck = LEAST / 2 / math.sin(math.pi / count)
    deep = min(shallow, max(neck, inner * 0.75))
    notch = shallow + (deep - shallow) * depth
    under, beside = inner - _SUNK, inner + LEAST
    if under < notch < beside:
        hides = under >= neck and (notch - under < beside - notch or beside > shallow)
        notch = under if hides else beside
    return min(notch, shallow)


def _marks(
    number: int, layer: _Layer, above: Curves, chance: Chance, *, parted: bool
) -> tuple[list[Piece], list[Curves]]:
    """Set inner petals or veins into the lobes of a layer; ``above`` is what lies on its middle."""
    room = sampled(turned_to(layer.outline, -layer.phase))
    over = sampled(turned_to(above, -layer.phase))
    begin = float(over[abs(over[:, 1]) < 0.15 * over[:, 0]][:, 0].max())
    end = _reach(room)
    kind = chance.pick(f"mark {number}", ("flame", "tongue", "flame", "veins", "veins", "none"))
    turns = [layer.phase + 360.0 * one / layer.count for one in range(layer.count)]
    tip: Tip = chance.pick(f"flame tip {number}", TIPS)
    drawn = None
    if not parted:
        kind = "veins"
    if kind == "tongue" and np.ptp(np.hypot(over[:, 0], over[:, 1])) < 0.01:
        drawn = tongue(begin, end - LEAST - 0.1, tip, layer.count, room)
    elif kind in {"flame", "tongue"}:
        drawn = flame(begin + LEAST + 0.1, end - LEAST - 0.1, tip, layer.count, np.concatenate((room, over)))
    if drawn is not None:
        name = "petal-inner" if number == 0 else f"petal-inner-{number + 1}"
        return [Piece("petal", name, turned_to(drawn, turn)) for turn in turns], []
    if kind == "none":
        return [], []
    spread = 180.0 / layer.count * chance.between(f"spread {number}", 0.3, 0.45)
    lines = veins(begin + 0.9, end - 1.2, layer.count, spread, room)
    return [], [turned_to(line, turn) for turn in turns for line in lines]


def _reach(ring: Points) -> float:
    """Give where a closed outline crosses the x axis, on the right, first."""
    following = np.roll(ring, -1, axis=0)
    crossing = (ring[:, 1] <= 0) != (following[:, 1] <= 0)
    one, other = ring[crossing], following[crossing]
    x = one[:, 0] + (other - one)[:, 0] * one[:, 1] / (one - other)[:, 1]
    return float(x[x > 0].min())


def _beads(layer: _Layer, outlines: Curves, chance: Chance) -> list[Piece]:
    """Set beads between the tips of the outermost layer."""
    if chance.share("beads") > 0.35 or not layer.notch:
        return []
    angle = layer.phase + 180.0 / layer.count
    found = bead(angle, layer.notch, layer.reach, sampled(outlines))
    if found is None:
        return []
    return [Piece("seed", "bead", turned_to(found, 360.0 * one / layer.count)) for one in range(layer.count)]


def _centre(radius: float, petals: int, chance: Chance) -> tuple[list[Piece], list[Curves]]:
    """Draw the middle: a disc, with an eye in it or a ring of stitches where there is room."""
    pieces = [Piece("centre", "centre", circle(0, 0, radius))]
    kind = chance.pick("middle", ("eye", "eye", "stitches", "plain"))
    if kind == "eye" and radius >= 0.95 + LEAST:
        pieces.append(Piece("eye", "eye", circle(0, 0, max(0.95, min(radius - LEAST, radius * 0.45)))))
    if kind == "stitches":
        return pieces, stitches(radius, petals)
    return pieces, []
