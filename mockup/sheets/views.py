"""The sheet of views: one cloth side by side in all the ways in which a piece is judged, and the key of its inks."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import product
from typing import Final

import numpy as np
from numpy.typing import NDArray

from mockup.geometry import shapes
from mockup.geometry.affine import Affine, Points, translation
from mockup.rendering.canvas_text import text_width
from mockup.rendering.mosaic import contours, mosaic
from mockup.rendering.scene import Clip, Cloth, Fill, Item, Scene, Stroke, Text
from mockup.sheets.caption import GREY, HAIR, INK, KeyEntry, flowed, swatch
from mockup.sheets.motifs import BACKDROP
from mockup.sheets.squint import LINES

Floats = NDArray[np.float64]

WIDTH: Final = 420.0
HEIGHT: Final = 297.0
MARGIN: Final = 14.0
_ACROSS: Final = 5
_GAP: Final = 6.0
_NARROW: Final = 60.0
_TOP: Final = 37.0
_FOOT: Final = 284.0

ROOM: Final = ((WIDTH - 2 * MARGIN - _GAP * (_ACROSS - 1)) / _ACROSS, 92.0)
"""Width and height that a picture of what repeats has, mm."""

_TITLE: Final = 8.0
_NAME: Final = 4.2
_TYPE: Final = 3.2
_LEADING: Final = 4.5
_DOWN: Final = 116.0
_RING: Final = 3.4
_LEVELS: Final = 64
_RUN: Final = 8


@dataclass(frozen=True, eq=False, slots=True)
class Spot:
    """A place to be ringed: where in its picture (mm), the sign that names it, and what is said of it."""

    x: float
    y: float
    sign: str
    words: str


@dataclass(frozen=True, eq=False, slots=True)
class View:
    """One picture: what it is called, what to look for in it, and what is to be ringed."""

    name: str
    question: str
    picture: Scene
    spots: tuple[Spot, ...] = ()


def views_sheet(
    views: Sequence[View], key: Sequence[KeyEntry], heading: str, notes: Sequence[str], foot: str
) -> Scene:
    """Compose the sheet: A3, lying.

    Parameters
    ----------
    views : sequence of View
        Nine; the third is turned, and all have room (``has_room``).
    key : sequence of KeyEntry
        The inks; they stand in the last place.
    heading : str
        The largest line.
    notes : sequence of str
        What is said under it, in one line if it fits.
    foot : str
        The last line.
    """
    highs = [max((view.picture.height for view in views[a : a + _ACROSS]), default=0.0) for a in (0, _ACROSS)]
    items: list[Item] = [
        Fill(_rings(0, 0, WIDTH, HEIGHT), BACKDROP, "backdrop"),
        Text(MARGIN, MARGIN + _TITLE * 0.75, heading, _TITLE, INK, "text", "bold"),
        *_lines(flowed(notes, WIDTH - 2 * MARGIN, _TYPE), MARGIN, MARGIN + _TITLE + 5.0),
        *_lines(flowed([foot], WIDTH - 2 * MARGIN, _TYPE), MARGIN, _FOOT),
    ]
    columns = _columns(views)
    for number, view in enumerate(views):
        x, wide = columns[number % _ACROSS]
        row = number // _ACROSS
        items += _view(view, number + 1, (x, _TOP + row * _DOWN), wide, highs[row])
    items += _key(key, columns[-1][0], _TOP + _DOWN)
    return Scene(WIDTH, HEIGHT, tuple(items), f"{heading}, views")


def has_room(wide: float, high: float, repeats: bool) -> bool:
    """Tell whether pictures of so many mm have room side by side: one turned, the others upright.

    Of what repeats it is enough that there is room for one upright: more or less of it is shown as there is room.
    """
    if repeats:
        return wide <= ROOM[0] and high <= ROOM[1]
    whole = (_ACROSS - 1) * max(wide, _NARROW) + max(high, _NARROW) + (_ACROSS - 1) * _GAP
    return whole <= WIDTH - 2 * MARGIN and max(wide, high) <= ROOM[1]


def _columns(views: Sequence[View]) -> list[tuple[float, float]]:
    """Left and width of each column, mm; what is left over goes between them."""
    own = [max(_NARROW, *(view.picture.width for view in views[at::_ACROSS])) for at in range(_ACROSS)]
    gap = (WIDTH - 2 * MARGIN - sum(own)) / (_ACROSS - 1)
    return [(MARGIN + sum(own[:at]) + at * gap, own[at]) for at in range(_ACROSS)]


def _view(view: View, number: int, corner: tuple[float, float], wide: float, high: float) -> list[Item]:
    """Set a picture with its rings, its name under it and what to look for."""
    (x, y), picture = corner, view.picture
    edge = _rings(x, y, x + picture.width, y + picture.height)
    name, base = f"{number}  {view.name}", y + high + 6.2
    said = flowed([view.question], wide + 2.0, _TYPE)
    for spot in view.spots:
        said += flowed([f"{spot.sign}  {spot.words}"], wide + 2.0, _TYPE)
    return [
        *carried(picture.items, translation(x, y)),
        Stroke(edge, (True,), 0.15, HAIR, "frame"),
        *(item for spot in view.spots for item in _ring(spot, x, y)),
        Text(x, base, name, _NAME, INK, "text", "bold"),
        *_lines(said, x, base + _LEADING + 0.7),
    ]


def _lines(said: Sequence[str], x: float, base: float) -> list[Item]:
    return [Text(x, base + row * _LEADING, line, _TYPE, GREY, "text") for row, line in enumerate(said)]


def _ring(spot: Spot, x: float, y: float) -> list[Item]:
    """Ring a place in dark on pale, so that it is seen on every tint, with its sign inside."""
    turn = np.linspace(0, 2 * math.pi, 60, endpoint=False)
    circle = (_RING * np.column_stack((np.cos(turn), np.sin(turn))) + [x + spot.x, y + spot.y],)
    return [
        Stroke(circle, (True,), 1.3, BACKDROP, "rings"),
        Stroke(circle, (True,), 0.5, INK, "rings"),
        Text(x + spot.x, y + spot.y + _TYPE * 0.36, spot.sign, _TYPE, INK, "rings", "bold", "middle"),
    ]


def _key(key: Sequence[KeyEntry], x: float, y: float) -> list[Item]:
    """Set the key, an ink a line: swatch, letter, name, role, share; the type shrinks until all fits."""
    step = min(9.5, (_DOWN - 8.0) / (len(key) + 1))
    size = min(_NAME - 0.4, step * 0.6)
    size *= min(1.0, (WIDTH - MARGIN - x - 12.0) / max(_wide(entry, size) for entry in key))
    right = WIDTH - MARGIN
    items: list[Item] = [
        Text(x, y + _NAME * 0.75, "Inks", _NAME, INK, "key", "bold"),
        Text(right, y + _NAME * 0.75, "share of what is inked", _TYPE, GREY, "key", anchor="end"),
    ]
    for row, entry in enumerate(key, 1):
        top = y + row * step - step * 0.15
        base = top + step * 0.39 + size * 0.36
        after = x + 20.0 + text_width(f"{entry.name}  ", size)
        items += swatch(x, top, 12.0, step * 0.78, entry.colour, "key")
        items += [
            Text(x + 14.0, base, entry.letter, size, INK, "key", "bold"),
            Text(x + 20.0, base, entry.name, size, INK, "key"),
            Text(after, base, entry.role, size, GREY, "key"),
        ]
        if not entry.side:
            items.append(Text(right, base, f"{100 * entry.share:.1f} %", size, INK, "key", anchor="end"))
    return items


def _wide(entry: KeyEntry, size: float) -> float:
    """Width that an ink's line takes beside its swatch, mm."""
    return 8.0 + text_width(f"{entry.name}  {entry.role}  100.0 %", size)


def turned(picture: Scene, quarters: int) -> Scene:
    """Turn a picture clockwise by so many quarters of a turn; its sides change places by an odd number."""
    for _ in range(quarters % 4):
        quarter = Affine(0.0, 1.0, -1.0, 0.0, picture.height, 0.0)
        picture = Scene(picture.height, picture.width, carried(picture.items, quarter), picture.title)
    return picture


def laid(
    tints: Floats,
    cell: tuple[float, float],
    size: tuple[float, float],
    layer: str,
    heights: Floats | None = None,
) -> Scene:
    """Show a cell as squares of colour, laid side by side over a picture.

    Parameters
    ----------
    tints : (rows, columns, 3) floats
        sRGB of the cell's squares, 0 to 1.
    cell, size : (float, float)
        Of the cell and of the picture on the sheet, mm.
    layer : str
        Name of what it belongs to.
    heights : (rows, columns) floats, optional
        Lines are drawn where these are ``squint.LINES``.
    """
    rows, columns = tints.shape[:2]
    wide, high = cell[0] / columns, cell[1] / rows
    even, known = np.rint(tints * _LEVELS) / _LEVELS, dict[tuple[int, int], Clip]()
    across, down = (math.ceil(side / own - 1e-6) for side, own in zip(size, cell, strict=True))
    items: list[Item] = []
    for j, i in product(range(down), range(across)):
        part = (
            min(rows, math.ceil(size[1] / high) - j * rows),
            min(columns, math.ceil(size[0] / wide) - i * columns),
        )
        if part not in known:
            x, y = part[1] * wide, part[0] * high
            squares = mosaic(even[: part[0], : part[1]], (0.0, 0.0, x, y), layer)
            known[part] = Clip(_rings(0.0, 0.0, x + wide, y + high), squares.items)
        items += carried((known[part],), translation(i * cell[0], j * cell[1]))
    if heights is not None:
        box = 0.0, 0.0, across * cell[0], down * cell[1]
        lines = [contours(np.tile(heights, (down, across)), level, box) for level in LINES]
        items += [Stroke(found, (False,) * len(found), 0.18, GREY, layer) for found in lines if found]
    return Scene(*size, (Clip(_rings(0.0, 0.0, *size), tuple(items)),), layer)


def run_on(field: Floats) -> Floats:
    """Let values, (k, rows, columns), run on for some squares into what is not known (NaN), and fade out.

    Square by square it is the mean of those beside it.
    """
    known = ~np.isnan(field[0])
    values, weight = np.nan_to_num(field), known.astype(np.float64)
    for step in range(1, _RUN + 1):
        count, near = _beside(known[None].astype(np.float64))[0], _beside(values)
        new = ~known & (count > 0)
        values[:, new] = near[:, new] / count[new]
        known, weight = known | new, np.where(new, 1.0 - step / _RUN, weight)
    return np.asarray(values * weight)


def _beside(values: Floats) -> Floats:
    """Add up the four values beside each."""
    wide = np.pad(values, ((0, 0), (1, 1), (1, 1)))
    return np.asarray(wide[:, 1:-1, :-2] + wide[:, 1:-1, 2:] + wide[:, :-2, 1:-1] + wide[:, 2:, 1:-1])


def carried(items: Sequence[Item], at: Affine) -> tuple[Item, ...]:
    """Move and turn items; lengths stay.

    Raises
    ------
    ValueError
        One of them is cloth, which lies along whole pixels.
    """
    turn, step = np.array([[at.a, at.b], [at.c, at.d]]), np.array([at.e, at.f])
    return tuple(_carried(item, turn, step) for item in items)


def _carried(item: Item, turn: Floats, step: Floats) -> Item:
    match item:
        case Fill():
            rings = tuple([ring @ turn + step for ring in item.rings])
            return Fill(rings, item.colour, item.layer, item.title, item.of)
        case Stroke():
            return replace(item, lines=tuple([line @ turn + step for line in item.lines]))
        case Text():
            x, y = (np.array([item.x, item.y]) @ turn + step).tolist()
            return replace(item, x=x, y=y, turn=item.turn + math.degrees(math.atan2(turn[0, 1], turn[0, 0])))
        case Clip():
            inner = tuple(_carried(one, turn, step) for one in item.items)
            return Clip(tuple([ring @ turn + step for ring in item.rings]), inner)
        case Cloth():
            raise ValueError("cloth lies along whole pixels and cannot be moved")


def _rings(x0: float, y0: float, x1: float, y1: float) -> tuple[Points, ...]:
    return shapes.rings(shapes.rectangle(x0, y0, x1, y1))
