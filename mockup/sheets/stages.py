"""The sheet of stages: a piece as it grows under the hand, from the first quarter of its ink to the last."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from mockup.colouring.plan import Plan
from mockup.geometry import shapes
from mockup.geometry.affine import Points
from mockup.geometry.shapes import Box, Shape
from mockup.pattern.regions import Tile
from mockup.rendering.border import border_items, underlap
from mockup.rendering.look import Look
from mockup.rendering.pattern import LINE_LAYER, Painted, Window, field_items, painted
from mockup.rendering.scene import Clip, Fill, Item, Scene, Stroke, Text
from mockup.sheets.caption import GREY, INK, KeyEntry, caption, flowed, framed
from mockup.sheets.motifs import BACKDROP
from mockup.sheets.preview import Frame, window_of

WIDTH: Final = 297.0
"""Greatest width of the sheet, mm; it is as wide and as high as what it shows."""

PENCIL: Final = "#a3a5a8"
"""Grey of the outlines of what is not inked yet."""

_NARROWEST: Final = 180.0
_HIGHEST: Final = (210.0, 270.0)
"""Greatest height with one course and with two, mm."""

_MARGIN: Final = 14.0
_GAP: Final = 7.0
_TOP: Final = 30.0
_UNDER: Final = 13.0
_COURSE: Final = 9.0
_FOOT: Final = 21.0
_HEADING: Final = 5.0
_TYPE: Final = 2.9
_LEADING: Final = 4.4
_THIN: Final = 0.12
"""Least width of a pencil line on the sheet, mm."""

_PAPER: Final = 0.04
"""How much of the paper outside the border is shown at most, in widths of the piece."""


@dataclass(frozen=True, eq=False, slots=True)
class Stage:
    """The piece at one moment.

    Attributes
    ----------
    title, about : str
        What is said under it.
    plan : Plan
        Which ink each shape has.
    look : Look
        How it is drawn.
    ground : Shape or None
        What of the ground is inked, mm on the piece's sheet; None: all.
    bare : int or None
        The ink of the plan that stands for shapes without ink; None: there are none.
    """

    title: str
    about: str
    plan: Plan
    look: Look
    ground: Shape | None = None
    bare: int | None = None


@dataclass(frozen=True, eq=False, slots=True)
class Course:
    """Stages in a row under a title, which may be empty."""

    title: str
    stages: tuple[Stage, ...]


@dataclass(frozen=True, eq=False, slots=True)
class Shown:
    """What all stages share: the tile, the sizes of the piece's own sheet, whether it steps, its look when finished."""

    tile: Tile
    frame: Frame
    repeats: bool
    look: Look


def stages_sheet(
    shown: Shown,
    courses: Sequence[Course],
    heading: str,
    told: Sequence[str],
    key: Sequence[KeyEntry],
    notes: Sequence[str],
) -> Scene:
    """Compose the sheet.

    Parameters
    ----------
    shown : Shown
        What all stages share.
    courses : sequence of Course
        Rows of as many stages; a single one may stand in two rows.
    heading : str
        The title of the piece.
    told : sequence of str
        What is said under it.
    key, notes : sequences
        What the foot says.
    """
    crop = _crop(shown.frame)
    across, scale = _columns(crop, courses)
    rows = sum(-(-len(course.stages) // across) for course in courses)
    titled = _COURSE * any(course.title for course in courses)
    high = (crop[3] - crop[1]) * scale
    wide = (crop[2] - crop[0]) * scale
    width = max(2 * _MARGIN + across * (wide + _GAP) - _GAP, _NARROWEST)
    lines = flowed(told, width - 2 * _MARGIN, _TYPE)
    top = _TOP + (len(lines) - 1) * _LEADING
    height = top + rows * (high + _UNDER + titled) + _FOOT
    items: list[Item] = [
        Fill(shapes.rings(shapes.rectangle(0, 0, width, height)), BACKDROP, "backdrop"),
        Text(_MARGIN, _MARGIN + 4.5, heading, _HEADING, INK, "text", "bold"),
        *(
            Text(_MARGIN, _MARGIN + 9.8 + n * _LEADING, line, _TYPE, GREY, "text")
            for n, line in enumerate(lines)
        ),
    ]
    forms, y = painted(shown.tile, shown.look, shown.frame.scale), top
    for course in courses:
        items += _course(shown, course, forms, crop, y, across, scale, titled)
        y += -(-len(course.stages) // across) * (high + _UNDER + titled)
    room = (_MARGIN, height - _FOOT, width - _MARGIN, height - 8.0)
    items += caption(key, notes, room, _TYPE)
    return Scene(width, height, tuple(items), f"{heading}, stages")


def _course(
    shown: Shown,
    course: Course,
    forms: Sequence[Painted],
    crop: Box,
    top: float,
    across: int,
    scale: float,
    titled: float,
) -> list[Item]:
    """Set the stages of a course under its title, which takes ``titled`` mm."""
    wide, high = (crop[2] - crop[0]) * scale, (crop[3] - crop[1]) * scale
    items: list[Item] = []
    if course.title:
        items.append(Text(_MARGIN, top + titled - 3.4, course.title, _TYPE, INK, "text", "bold"))
    for number, stage in enumerate(course.stages):
        row, column = divmod(number, across)
        x, y = _MARGIN + column * (wide + _GAP), top + titled + row * (high + _UNDER + titled)
        items += placed(picture(shown, stage, forms, crop, _THIN / scale), scale, crop[:2], (x, y))
        items += _caption(stage, (x, y, x + wide, y + high))
    return items


def _crop(frame: Frame) -> Box:
    """What of the piece's sheet is shown: all that will be inked, with a little of the paper round it."""
    x0, y0, x1, y1 = frame.outer
    air = min(max(frame.margin, 0.0), _PAPER * max(x1 - x0, y1 - y0))
    return max(x0 - air, 0.0), max(y0 - air, 0.0), min(x1 + air, frame.width), min(y1 + air, frame.height)


def _columns(crop: Box, courses: Sequence[Course]) -> tuple[int, float]:
    """Set the stages in one row, or two where they are larger then: columns, and the scale of the pictures."""
    count = max(len(course.stages) for course in courses)
    titled = _COURSE * any(course.title for course in courses)

    def scale(across: int) -> float:
        rows = sum(-(-len(course.stages) // across) for course in courses)
        wide = (WIDTH - 2 * _MARGIN - (across - 1) * _GAP) / across
        high = (_HIGHEST[len(courses) > 1] - _TOP - _FOOT) / rows - _UNDER - titled
        return min(wide / (crop[2] - crop[0]), high / (crop[3] - crop[1]))

    ways = (count,) if len(courses) > 1 else (count, -(-count // 2))
    best = max(ways, key=scale)
    return best, scale(best)


def picture(
    shown: Shown, stage: Stage, forms: Sequence[Painted], crop: Box, thin: float = _THIN
) -> list[Item]:
    """Draw the piece at one stage, mm on its own sheet; ``thin`` is the least width of a pencil line."""
    frame, look = shown.frame, stage.look
    window = window_of(shown.tile, frame, shown.repeats)
    ground = look if stage.ground is None else replace(look, ground=look.paper)
    bleed = underlap(look.border) if look.border else 0.0
    under, field = field_items(shown.tile, stage.plan, ground, window, forms, bleed)
    items: list[Item] = [Fill(shapes.rings(shapes.rectangle(*crop)), look.paper, "paper"), under]
    assert isinstance(field, Clip)
    if stage.ground is not None and not stage.ground.is_empty:
        items.append(Clip(field.rings, (Fill(shapes.rings(stage.ground), look.ground, "ground"),)))
    if stage.bare is not None:
        own = [item for item in field.items if not isinstance(item, Stroke)]
        lines = [item for item in field.items if isinstance(item, Stroke)]
        width = max(thin * min(1.0, 2 * frame.scale), 0.5 * look.line_width * frame.scale)
        field = Clip(field.rings, (*own, *_pencil(shown, stage, window, forms, width), *lines))
        items += [field, *(framed(box, width, PENCIL) for box in {frame.field, frame.outer})]
    else:
        shade = replace(look.shade, width=look.shade.width * frame.scale) if look.shade else None
        items += [field, *border_items(frame.outer, look.border, look.paper, shade)]
    return items


def _pencil(shown: Shown, stage: Stage, window: Window, forms: Sequence[Painted], width: float) -> list[Item]:
    """Outline the shapes that are not inked yet."""
    lines: list[Points] = []
    for i, j in window.copies(shown.tile):
        move = window.move(shown.tile, i, j)
        for form in forms:
            if stage.plan.ink(form.region.node, i, j) == stage.bare:
                lines += [line + move for line in form.outline]
    if not lines:
        return []
    return [Stroke(tuple(lines), (False,) * len(lines), width, PENCIL, LINE_LAYER, "not inked yet")]


def placed(
    items: Sequence[Item], scale: float, corner: tuple[float, float], at: tuple[float, float]
) -> list[Item]:
    """Move what is drawn in mm of one sheet onto another: its ``corner`` comes to ``at``."""
    move = np.array(at) - scale * np.array(corner)

    def onto(lines: Sequence[Points]) -> tuple[Points, ...]:
        return tuple(line * scale + move for line in lines)

    found: list[Item] = []
    for item in items:
        match item:
            case Fill():
                found.append(replace(item, rings=onto(item.rings)))
            case Stroke():
                found.append(replace(item, lines=onto(item.lines), width=item.width * scale))
            case Clip():
                found.append(Clip(onto(item.rings), tuple(placed(item.items, scale, corner, at))))
            case _:
                raise TypeError(f"a {type(item).__name__} is not moved")
    return found


def _caption(stage: Stage, box: Box) -> list[Item]:
    """Set a hair of grey round a picture, and under it what it shows."""
    return [
        framed(box),
        Text(box[0], box[3] + 4.6, stage.title, _TYPE, INK, "text", "bold"),
        Text(box[0], box[3] + 4.6 + _LEADING, stage.about, _TYPE, GREY, "text"),
    ]
