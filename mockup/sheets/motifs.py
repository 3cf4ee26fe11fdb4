"""The motif sheet: every motif at its natural size, named, by family; and each one small, middling and large."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from mockup.geometry import shapes
from mockup.geometry.affine import Affine, scaling, translation
from mockup.pattern.motif import LineWork, Motif, Part
from mockup.rendering.canvas_text import text_width
from mockup.rendering.scene import Fill, Item, Scene, Stroke, Text
from mockup.sheets.caption import GREY, INK

BACKDROP = "#e9e9e7"
"""The one neutral light grey that pictures stand on."""

_TINTS = ("#f0e2c4", "#b5532a", "#d9a441", "#6f7f4f", "#8a9bb0", "#c98f7f", "#a8aa8c")
"""One quiet tint a group, over again where there are more."""

_SKIN = "#d9ab86"
_LINE = "#24303f"
_LINE_WIDTH = 0.4
_MARGIN = 14.0
_GAP = 8.0
_BETWEEN = 16.0
_TYPE = 2.3


@dataclass(frozen=True, eq=False, slots=True)
class Shown:
    """A motif, its size class, and the family under which it stands."""

    motif: Motif
    size: str
    family: str


def tints(motif: Motif) -> dict[str, str]:
    """Give each group of a motif a quiet tint; what belongs to a side palette has one of its own."""
    aside = {part.group for part in motif.parts if part.side}
    plain = [group for group in motif.groups if group not in aside]
    return dict.fromkeys(aside, _SKIN) | {
        group: _TINTS[number % len(_TINTS)] for number, group in enumerate(plain)
    }


def motif_items(motif: Motif, transform: Affine) -> list[Item]:
    """Draw a motif with a quiet tint for each group, outlined in a line that is as wide at any size."""
    tint = tints(motif)
    items: list[Item] = []
    for element in motif.elements:
        if isinstance(element, Part):
            rings = shapes.rings(shapes.moved(element.shape, transform))
            items.append(Fill(rings, tint[element.group], motif.name, f"{motif.name}/{element.group}"))
            items.append(Stroke(rings, (True,) * len(rings), _LINE_WIDTH, _LINE, motif.name))
        elif isinstance(element, LineWork):
            lines = tuple(transform.apply(points) for points in element.lines)
            items.append(Stroke(lines, element.closed, _LINE_WIDTH, _LINE, motif.name))
    return items


def motif_sheet(shown: Sequence[Shown], width: float = 297.0, heading: str = "Motifs") -> Scene:
    """Set motifs at natural size, family beside family, on a sheet of at most ``width`` mm."""
    items: list[Item] = []
    y = _MARGIN + 16.0
    lines = _lines(shown, width - 2 * _MARGIN)
    for line in lines:
        y = _set_line(line, y, items)
    width = 2 * _MARGIN + max(map(_line_width, lines), default=0.0)
    return _on_backdrop(width, y + _MARGIN - _BETWEEN, heading, items)


def sizes_sheet(
    shown: Sequence[Shown], sizes: Sequence[float] = (12.0, 25.0, 60.0), heading: str = "Motifs"
) -> Scene:
    """Set every motif at several sizes (mm, the longer side) in a row of its own, to judge how it reads."""
    items: list[Item] = []
    columns, large = 3, max(sizes)
    cell = sum(sizes) + _GAP * (len(sizes) - 1) + 2 * _BETWEEN
    step = large + 7.5 + _BETWEEN
    for number, one in enumerate(shown):
        x, y = _MARGIN + number % columns * cell, _MARGIN + 16.0 + number // columns * step
        for size in sizes:
            factor = size / max(one.motif.width, one.motif.height)
            items += motif_items(
                one.motif, translation(x, y + large - one.motif.height * factor) @ scaling(factor)
            )
            items.append(Text(x, y + large + 7.6, f"{size:.0f}", _TYPE, GREY, "text"))
            x += size + _GAP
        x = _MARGIN + number % columns * cell
        items.append(Text(x, y + large + 4.5, one.motif.name, _TYPE, INK, "text", "bold"))
    height = _MARGIN + 16.0 + -(-len(shown) // columns) * step - _BETWEEN + _MARGIN
    return _on_backdrop(2 * _MARGIN + columns * cell - 2 * _BETWEEN, height, heading, items)


def _on_backdrop(width: float, height: float, heading: str, items: Sequence[Item]) -> Scene:
    ground = Fill(shapes.rings(shapes.rectangle(0, 0, width, height)), BACKDROP, "backdrop")
    return Scene(
        width, height, (ground, Text(_MARGIN, _MARGIN + 4.5, heading, 5.0, INK, "text"), *items), heading
    )


def _lines(shown: Sequence[Shown], room: float) -> list[list[list[Shown]]]:
    """Break the motifs into lines of families; a family is broken only where it is wider than a line."""
    lines: list[list[list[Shown]]] = []
    for _, group in groupby(shown, lambda one: one.family):
        for block in _blocks(list(group), room):
            if lines and _line_width([*lines[-1], block]) <= room:
                lines[-1].append(block)
            else:
                lines.append([block])
    return lines


def _blocks(family: Sequence[Shown], room: float) -> list[list[Shown]]:
    blocks: list[list[Shown]] = [[]]
    for one in family:
        if blocks[-1] and _width([*blocks[-1], one]) > room:
            blocks.append([])
        blocks[-1].append(one)
    return blocks


def _line_width(line: Sequence[Sequence[Shown]]) -> float:
    return sum(map(_width, line)) + _BETWEEN * (len(line) - 1)


def _width(block: Sequence[Shown]) -> float:
    return sum(map(_cell, block)) + _GAP * (len(block) - 1)


def _cell(one: Shown) -> float:
    return max(one.motif.width, *(text_width(line, _TYPE, "bold") for line in _label(one)))


def _label(one: Shown) -> tuple[str, str]:
    return one.motif.name, f"{one.size} {one.motif.width:.0f} x {one.motif.height:.0f} mm".strip()


def _set_line(line: Sequence[Sequence[Shown]], y: float, items: list[Item]) -> float:
    """Set one line of families, all motifs standing on one base; give where the next begins."""
    tall = max(one.motif.height for block in line for one in block)
    x = _MARGIN
    for block in line:
        items.append(Text(x, y, block[0].family, _TYPE, GREY, "text"))
        for one in block:
            items += motif_items(one.motif, translation(x, y + 5 + tall - one.motif.height))
            name, size = _label(one)
            items.append(Text(x, y + tall + 9.5, name, _TYPE, INK, "text", "bold"))
            items.append(Text(x, y + tall + 12.6, size, _TYPE, GREY, "text"))
            x += _cell(one) + _GAP
        x += _BETWEEN - _GAP
    return y + tall + 13.0 + _BETWEEN
