"""The mock-up sheet: paper, border, pattern and, in the margin, the key."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from mockup.colouring.plan import Plan
from mockup.geometry import shapes
from mockup.geometry.shapes import Box
from mockup.pattern.field import origin
from mockup.pattern.regions import Tile
from mockup.rendering.border import UNDERLAP, border_items, underlap
from mockup.rendering.border import frame as surround
from mockup.rendering.canvas import picture_size
from mockup.rendering.look import Look
from mockup.rendering.pattern import Painted, Window, field_items, unit_of
from mockup.rendering.scene import Fill, Item, Scene, Text
from mockup.sheets.caption import KeyEntry, caption
from mockup.sheets.overlay import grid_step, overlay
from mockup.sheets.scalebar import bar_lengths, bar_room, scale_bar

_LEAST_MARGIN = 5.0
"""Bottom margin (mm) from which the key is set."""

_HIGHEST = 12.0
"""How far up from the sheet's foot the key may reach, mm."""

_AIR = 0.8
"""Kept clear above and below the key, mm."""


_HARDLY = 0.9
"""Share of its size that the type keeps at least where a scale bar stands beside it."""

_BESIDE = 4.0
"""Kept clear between the key and the scale bar, mm."""


@dataclass(frozen=True, eq=False, slots=True)
class Frame:
    """Sizes of a sheet, mm: the paper, the border's outer edge, the field inside it, the scale, the margin."""

    width: float
    height: float
    outer: Box
    field: Box
    scale: float = 1.0
    margin: float = 0.0


def window_of(tile: Tile, frame: Frame, repeats: bool = True) -> Window:
    """Give the window in which the pattern of a sheet is drawn."""
    width, height = (
        (frame.field[2] - frame.field[0]) / frame.scale,
        (frame.field[3] - frame.field[1]) / frame.scale,
    )
    return Window(frame.field, origin(tile, width, height) if repeats else (0.0, 0.0), frame.scale)


def preview(
    tile: Tile,
    plan: Plan,
    look: Look,
    frame: Frame,
    *,
    title: str = "",
    key: Sequence[KeyEntry] = (),
    notes: Sequence[str] = (),
    names: bool = False,
    repeats: bool = True,
    forms: Sequence[Painted] | None = None,
    dpi: float | None = None,
) -> Scene:
    """Compose the sheet.

    Parameters
    ----------
    tile, plan, look : Tile, Plan, Look
        The pattern, its inks, and how it is drawn.
    frame : Frame
        Sizes of the sheet.
    title : str
        Title of the file.
    key, notes : sequences
        What the bottom margin says; nothing is said where the margin is narrow.
    names : bool
        Print the placed motifs' names and a grid of mm.
    repeats : bool
        False for a single drawing, which does not step.
    forms : sequence of Painted, optional
        From ``painted``, to be used again.
    dpi : float, optional
        Pixels an inch of a picture: what repeats is then painted once where that shows the same. None for vectors.
    """
    window = window_of(tile, frame, repeats)
    unit = unit_of(plan, window, _fineness(frame, dpi)) if dpi else None
    sheet = (0.0, 0.0, frame.width, frame.height)
    items: list[Item] = [Fill(shapes.rings(shapes.rectangle(*sheet)), look.paper, "paper", "paper")]
    margin = min(frame.outer[0], frame.outer[1])
    bleed = underlap(look.border) if look.border else min(UNDERLAP, margin)
    items += field_items(tile, plan, look, window, forms, bleed, unit)
    shade = replace(look.shade, width=look.shade.width * frame.scale) if look.shade else None
    items += border_items(frame.outer, look.border, look.paper, shade)
    if not look.border and margin > 0:
        items.append(surround(sheet, frame.outer, look.paper, "margin"))
    if names:
        items += overlay(tile, plan, window)
        notes = [*notes, f"grid of {grid_step(frame.scale):.0f} mm"]
    if key and frame.height - frame.outer[3] >= _LEAST_MARGIN:
        items += _small_print(key, notes, frame)
    return Scene(frame.width, frame.height, tuple(items), title)


def _small_print(key: Sequence[KeyEntry], notes: Sequence[str], frame: Frame) -> list[Item]:
    """Set the key, the notes and, beside their last line, the longest scale bar for which the type hardly shrinks."""
    foot = _foot(frame)
    said = caption(key, notes, foot)
    size, _ = _last_line(said)
    for length in bar_lengths(frame.width, frame.scale):
        spare = bar_room(length, frame.scale, size) + _BESIDE
        beside = caption(key, notes, foot, spare=spare)
        kept, base = _last_line(beside)
        if kept >= _HARDLY * size:
            return [*beside, *scale_bar(foot[2], base, length, frame.scale, kept)]
    return said


def _last_line(items: Sequence[Item]) -> tuple[float, float]:
    """Size of the type, and where its last line stands, mm."""
    texts = [item for item in items if isinstance(item, Text)]
    return min(text.size_mm for text in texts), max(text.y for text in texts)


def _fineness(frame: Frame, dpi: float) -> tuple[float, float]:
    """Pixels a mm of a picture of the sheet, across and down: its sides are whole pixels."""
    columns, rows = picture_size(Scene(frame.width, frame.height, ()), dpi)
    return columns / frame.width, rows / frame.height


def unit(tile: Tile, plan: Plan, look: Look, title: str = "") -> Scene:
    """Compose the rectangle after which a plan repeats, at true size, cut where the next one begins.

    Raises
    ------
    ValueError
        The plan is of a single sheet.
    """
    if plan.tiles is None:
        raise ValueError("a single sheet has no unit that repeats")
    width, height = plan.lattice.size(*plan.tiles)
    window = Window((0.0, 0.0, width, height), (0.0, 0.0))
    return Scene(width, height, field_items(tile, plan, look, window), title)


def _foot(frame: Frame) -> Box:
    """Give the box of the key: what is free below, as wide as the margins leave, however small a drawing."""
    left = min(frame.outer[0], max(frame.margin, _LEAST_MARGIN))
    top = max(frame.outer[3] + _AIR, frame.height - _HIGHEST)
    return left, top, frame.width - left, frame.height - _AIR


def picture(
    tile: Tile, plan: Plan, look: Look, width: float, height: float, scale: float = 1.0, title: str = ""
) -> Scene:
    """Compose a picture of the cloth alone, its middle in the middle of width x height mm."""
    frame = Frame(width, height, (0.0, 0.0, width, height), (0.0, 0.0, width, height), scale)
    return Scene(width, height, field_items(tile, plan, look, window_of(tile, frame)), title)
