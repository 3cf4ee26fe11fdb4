"""The sheet of one motif: its groups by letters, what a pen cannot ink well marked on it, and how it reads small."""

import math
import string
from collections.abc import Iterable, Mapping, Sequence
from typing import Final

import numpy as np

from mockup.geometry.affine import Affine, scaling, translation
from mockup.geometry.curves import circle, sampled
from mockup.geometry.shapes import rectangle, rings
from mockup.pattern.inkable import Finding, SeenGroup
from mockup.pattern.motif import Motif
from mockup.rendering.canvas_text import text_width
from mockup.rendering.scene import Fill, Item, Scene, Stroke, Text, Weight
from mockup.sheets.caption import GREY, INK, letters, swatch
from mockup.sheets.motifs import BACKDROP, motif_items, tints

WIDTH: Final = 210.0
_MARGIN: Final = 14.0
_ROOM: Final = (112.0, 118.0)
_TOP: Final = 34.0
_KEY: Final = (96.0, 140.0)
_SMALL_SIZES: Final = (25.0, 12.0)
_LARGE: Final = 50.0
_TYPE: Final = 2.3
_LEADING: Final = 4.2
_PAPER: Final = "#fdfcf8"
_DISC: Final = 1.5
_RING: Final = 1.5
_AROUND: Final = tuple(math.radians(turn) for turn in (-45, 45, -135, 135, 0, 180, -90, 90))
_MOST_KEYS: Final = 24
_LAYER: Final = "signs"


def check_sheet(
    motif: Motif, groups: Sequence[SeenGroup], found: Sequence[Finding], notes: Sequence[str], pen: float
) -> Scene:
    """Compose the sheet.

    Parameters
    ----------
    motif : Motif
        As it was read.
    groups : sequence of SeenGroup
        In the motif's order.
    found : sequence of Finding
        What cannot be inked well.
    notes : sequence of str
        What is said in small under the heading: its size and parts.
    pen : float
        Width of the pen, mm.
    """
    factor = _factor(motif)
    place = translation(_MARGIN + 6, _TOP) @ scaling(factor)
    items: list[Item] = [*motif_items(motif, place)]
    items += _signs(groups, found, place, factor, motif)
    items += _key(groups, tints(motif), max(_KEY[0], min(_KEY[1], _MARGIN + 24 + motif.width * factor)))
    foot = _TOP + motif.height * factor + 6.0
    items.append(Text(_MARGIN + 6, foot, _told(factor), _TYPE, GREY, "text"))
    y = max(foot, _TOP + _LEADING * 1.3 * min(len(groups), _MOST_KEYS + 1)) + 12.0
    y = _sizes(motif, factor, y, items)
    y = _lines(f"Not well inked by a pen of {pen:g} mm", lettered(found), y, items)
    if motif.left_out:
        y = _lines("Left out", [("", line) for line in motif.left_out], y + 3.0, items)
    ground = Fill(rings(rectangle(0, 0, WIDTH, y + _MARGIN - 4)), BACKDROP, "backdrop")
    heading = Text(_MARGIN, _MARGIN + 4.5, motif.name, 5.0, INK, "text")
    said = [
        Text(_MARGIN, _MARGIN + 10.0 + number * 3.6, line, _TYPE, GREY, "text")
        for number, line in enumerate(notes)
    ]
    return Scene(WIDTH, y + _MARGIN - 4, (ground, heading, *said, *items), motif.name)


def named(group: SeenGroup) -> str:
    """Say which parts a group holds: "5 petal, leaf"."""
    return ", ".join(f"{count} {name}" if count > 1 else name for name, count in group.names)


def square_mm(area: float) -> str:
    """Write an area, finer where it is small."""
    return f"{area:.0f} mm2" if area >= 10 else f"{area:.1f} mm2"


def _factor(motif: Motif) -> float:
    """Give how many times natural size the figure is drawn: a whole number, or one over a whole number."""
    fits = min((_ROOM[0] - 12) / motif.width, _ROOM[1] / motif.height)
    if fits < 1:
        return 1 / math.ceil(1 / fits - 1e-9)
    return 1.0 if max(motif.width, motif.height) >= _LARGE else float(min(int(fits), 6))


def _told(factor: float) -> str:
    if factor == 1:
        return "natural size"
    if factor == 2:
        return "twice natural size"
    return f"{factor:g} times natural size" if factor > 1 else f"1:{1 / factor:.0f} of natural size"


def _disc(x: float, y: float, radius: float, colour: str) -> Fill:
    return Fill((sampled(circle(x, y, radius), 8),), colour, _LAYER)


def _sign(x: float, y: float, sign: str, weight: Weight) -> list[Item]:
    """Set a sign in a small disc of paper."""
    ring = sampled(circle(x, y, _DISC), 8)
    size = 2.1 if len(sign) == 1 else 1.6
    return [
        _disc(x, y, _DISC, _PAPER),
        Stroke((ring,), (True,), 0.15, GREY, _LAYER),
        Text(x, y + 0.36 * size, sign, size, INK, _LAYER, weight, "middle"),
    ]


def _signs(
    groups: Sequence[SeenGroup], found: Sequence[Finding], place: Affine, factor: float, motif: Motif
) -> list[Item]:
    """Set the groups' capitals and the findings' small letters."""
    items: list[Item] = []
    marked = [tuple(place.apply(np.array([(one.x, one.y)]))[0].tolist()) for one in found]
    taken: list[tuple[float, float]] = []
    aside: list[tuple[float, float, str]] = []
    for row, letter in zip(groups[:_MOST_KEYS], letters(len(groups)), strict=False):
        x, y = place.apply(np.array([row.spot[:2]]))[0].tolist()
        if row.spot.across * factor >= 3 * _DISC and all(math.dist((x, y), spot) > 3 for spot in marked):
            items += _sign(x, y, letter, "bold")
            taken.append((x, y))
        else:
            aside.append((x, y, letter))
    items += _aside(aside, place, motif, taken)
    for (x, y), (sign, _) in zip(marked, lettered(found), strict=True):
        ring = (sampled(circle(x, y, _RING), 8),)
        items += [
            Stroke(ring, (True,), 1.0, _PAPER, _LAYER),
            Stroke(ring, (True,), 0.35, INK, _LAYER),
        ]
        spots = [(x + 3.3 * math.cos(turn), y + 3.3 * math.sin(turn)) for turn in _AROUND]
        others = [*taken, *(spot for spot in marked if spot != (x, y))]
        best = max(spots, key=lambda spot: min(4.0, *(math.dist(spot, other) for other in others), 4.0))
        taken.append(best)
        items += _sign(*best, sign, "regular")
    return items


def _aside(
    signs: Iterable[tuple[float, float, str]], place: Affine, motif: Motif, taken: list[tuple[float, float]]
) -> list[Item]:
    """Set the signs of small parts beside the figure, each with a line to its part."""
    items: list[Item] = []
    (left, _), (right, _) = place.apply(np.array([(0.0, 0.0), (motif.width, 0.0)])).tolist()
    lowest = {left: -math.inf, right: -math.inf}
    for x, y, sign in sorted(signs, key=lambda one: one[1]):
        edge = left if x - left <= right - x else right
        at = max(y, lowest[edge] + 2.3 * _DISC)
        lowest[edge] = at
        beside = edge + (-4.0 if edge == left else 4.0)
        line = (np.array([(beside, at), (x, y)]),)
        items += [
            Stroke(line, (False,), 0.5, _PAPER, _LAYER),
            Stroke(line, (False,), 0.2, INK, _LAYER),
            _disc(x, y, 0.4, INK),
            *_sign(beside, at, sign, "bold"),
        ]
        taken.append((beside, at))
    return items


def _key(groups: Sequence[SeenGroup], tint: Mapping[str, str], x: float) -> list[Item]:
    """Set the key of the groups from ``x`` mm on: letter, tint, label, parts and area."""
    items: list[Item] = []
    room = 56.0
    for number, (row, letter) in enumerate(zip(groups, letters(len(groups)), strict=True)):
        y = _TOP + 2.0 + number * _LEADING * 1.3
        if number == _MOST_KEYS:
            items.append(Text(x, y, f"and {len(groups) - number} more groups", _TYPE, GREY, "text"))
            break
        figure = square_mm(row.area)
        label = f"{row.label}, side {row.side}" if row.side else row.label
        label = _cut(label, 0.5 * room, "bold")
        start = x + 9.5 + text_width(label, _TYPE, "bold") + 1.6
        free = x + room - text_width(figure, _TYPE) - 2 - start
        items += [
            Text(x, y, letter, _TYPE, INK, "text", "bold"),
            *swatch(x + 4.2, y - 2.0, 3.6, 2.3, tint[row.label], "text"),
            Text(x + 9.5, y, label, _TYPE, INK, "text", "bold"),
            Text(start, y, _cut(named(row), free), _TYPE, GREY, "text"),
            Text(x + room, y, figure, _TYPE, GREY, "text", "regular", "end"),
        ]
    return items


def _cut(text: str, room: float, weight: Weight = "regular") -> str:
    """Shorten a text that is wider than its room, mm."""
    if text_width(text, _TYPE, weight) <= room:
        return text
    while text and text_width(f"{text}...", _TYPE, weight) > room:
        text = text[:-1]
    return f"{text}..." if text else ""


def _sizes(motif: Motif, factor: float, y: float, items: list[Item]) -> float:
    """Set the motif at natural size, where that is not shown above, and small; give where the next block begins."""
    longer = max(motif.width, motif.height)
    natural = factor > 1
    sizes = [(longer, f"natural size, {longer:.0f} mm")] if natural else []
    sizes += [(size, f"{size:.0f} mm") for size in _SMALL_SIZES]
    tall = max(motif.height * size / longer for size, _ in sizes)
    x = _MARGIN + 6
    for size, told in sizes:
        small = size / longer
        items += motif_items(motif, translation(x, y + tall - motif.height * small) @ scaling(small))
        items.append(Text(x, y + tall + 4.5, told, _TYPE, GREY, "text"))
        x += max(motif.width * small, text_width(told, _TYPE)) + 10.0
    return y + tall + 15.0


def lettered(found: Sequence[Finding]) -> list[tuple[str, str]]:
    """Give every finding a small letter: a to z, then aa, ab ..., and its text."""
    small = string.ascii_lowercase
    signs = (
        (small[number // 26 - 1] if number >= 26 else "") + small[number % 26] for number in range(len(found))
    )
    return [(sign, finding.text) for sign, finding in zip(signs, found, strict=True)]


def _lines(heading: str, lines: Sequence[tuple[str, str]], y: float, items: list[Item]) -> float:
    """Set a heading and lines under it, each behind its sign; give where the next block begins."""
    items.append(Text(_MARGIN, y, heading, _TYPE, INK, "text", "bold"))
    shown = lines or [("", "nothing")]
    for number, (sign, text) in enumerate(shown, 1):
        base = y + number * _LEADING
        if sign:
            items.append(Text(_MARGIN, base, sign, _TYPE, INK, "text", "bold"))
        items.append(Text(_MARGIN + 6, base, _cut(text, WIDTH - 2 * _MARGIN - 6), _TYPE, GREY, "text"))
    return y + (len(shown) + 1.2) * _LEADING
