"""The motif sheet: every motif at its natural size, named, by family; and each one small, middling and large."""

from collections.abc import Sequence
from dataclasses import dataclass

from mockup.geometry import shapes
from mockup.geometry.affine import Affine, scaling, translation
from mockup.pattern.motif import LineWork, Motif, Part
from mockup.rendering.canvas_text import text_width
from mockup.rendering.scene import Fill, Item, Scene, Stroke, Text
from mockup.sheets.caption import GREY, INK

BACKDROP = "#e9e9e7"
"""The one neutral light grey that pictures stand on."""

_TINTS = ("#f0e2c4", "#b5532a", "#d9a441", "#6f7f4f", "#8a9bb0", "#c98f7f", "#a8aa8c")
_LINE = "#24303f"
_MARGIN = 14.0
_GAP = 8.0


@dataclass(frozen=True, eq=False, slots=True)
class Shown:
    """A motif with what is written under it and the family under which it stands."""

    motif: Motif
    title: str
    size: str
    family: str


def motif_items(motif: Motif, transform: Affine, line: float = 0.4) -> list[Item]:
    """Draw a motif with a quiet tint for each group, outlined."""
    tint = {group: _TINTS[number % len(_TINTS)] for number, group in enumerate(motif.groups)}
    factor = transform.stretch
    items: list[Item] = []
    for element in motif.elements:
        if isinstance(element, Part):
            rings = shapes.rings(shapes.moved(element.shape, transform))
            items.append(Fill(rings, tint[element.group], motif.name, f"{motif.name}/{element.group}"))
            items.append(Stroke(rings, (True,) * len(rings), line * factor, _LINE, motif.name))
        elif isinstance(element, LineWork):
            lines = tuple(transform.apply(points) for points in element.lines)
            items.append(Stroke(lines, element.closed, line * factor, _LINE, motif.name))
    return items


def motif_sheet(shown: Sequence[Shown], width: float = 297.0, heading: str = "Motifs") -> Scene:
    """Set motifs in rows at natural size, by family, each with its name and size in mm."""
    items: list[Item] = [Text(_MARGIN, _MARGIN + 5.0, heading, 6.0, INK, "text", "bold")]
    y = _MARGIN + 12.0
    family = ""
    row: list[Shown] = []
    for one in [*shown, None]:
        full = one is None or one.family != family or _row_width([*row, one]) > width - 2 * _MARGIN
        if row and full:
            y = _set_row(row, y, items)
            row = []
        if one is None:
            break
        if one.family != family:
            family = one.family
            items.append(Text(_MARGIN, y + 3.0, family, 2.6, GREY, "text", "bold"))
            y += 6.0
        row.append(one)
    height = y + _MARGIN - _GAP
    ground = Fill(shapes.rings(shapes.rectangle(0, 0, width, height)), BACKDROP, "backdrop")
    return Scene(width, height, (ground, *items), heading)


def sizes_sheet(shown: Sequence[Shown], sizes: Sequence[float] = (12.0, 25.0, 60.0)) -> Scene:
    """Set every motif at several sizes (mm, the longer side) in a row of its own, to judge how it reads."""
    items: list[Item] = []
    wide = sum(sizes) + _GAP * (len(sizes) - 1)
    columns = 3
    cell = wide + 2 * _GAP
    step = max(sizes) + 12.0
    for number, one in enumerate(shown):
        x, y = _MARGIN + number % columns * cell, _MARGIN + number // columns * step
        items.append(Text(x, y + 3, one.motif.name, 3.0, INK, "text", "bold"))
        for size in sizes:
            motif = one.motif
            factor = size / max(motif.width, motif.height)
            at = translation(x, y + 6 + (max(sizes) - motif.height * factor)) @ scaling(factor)
            items += motif_items(motif, at, 0.4)
            x += size + _GAP
    width = 2 * _MARGIN + columns * cell - _GAP
    height = 2 * _MARGIN + -(-len(shown) // columns) * step
    ground = Fill(shapes.rings(shapes.rectangle(0, 0, width, height)), BACKDROP, "backdrop")
    return Scene(width, height, (ground, *items), "Motifs at several sizes")


def _label(one: Shown) -> tuple[str, str]:
    return one.motif.name, f"{one.size} {one.motif.width:.0f} x {one.motif.height:.0f}".strip()


def _cell(one: Shown) -> float:
    return max(one.motif.width, *(text_width(line, 2.3, "bold") for line in _label(one)))


def _row_width(row: Sequence[Shown | None]) -> float:
    return sum(_cell(one) + _GAP for one in row if one) - _GAP


def _set_row(row: Sequence[Shown], y: float, items: list[Item]) -> float:
    """Set one row, its motifs standing on one line; give where the next begins."""
    tall = max(one.motif.height for one in row)
    x = _MARGIN
    for one in row:
        items += motif_items(one.motif, translation(x, y + tall - one.motif.height))
        name, size = _label(one)
        items.append(Text(x, y + tall + 4.5, name, 2.3, INK, "text", "bold"))
        items.append(Text(x, y + tall + 7.6, size, 2.3, GREY, "text"))
        x += _cell(one) + _GAP
    return y + tall + 8.0 + _GAP
