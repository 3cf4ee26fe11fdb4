"""The draw list laid out as cairo keeps its paths, so that no point costs a Python call.

Every outline becomes one run of ``cairo_path_data_t``, a union of 16 bytes: a header (two ints: what it is
and how many units it takes, itself included) or a point (two doubles). The runs of a whole scene lie in one
array; steps name the runs that they fill or stroke.

References
----------
cairo 1.16 manual, "Paths": ``cairo_path_data_t``, ``cairo_path_data_type_t``.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final, NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

from mockup.geometry.affine import Points
from mockup.rendering.canvas_boxes import Box, around, boxes_of, upright
from mockup.rendering.canvas_strips import strips, walks
from mockup.rendering.canvas_text import text_rings
from mockup.rendering.scene import Clip, Cloth, Fill, Item, Stroke, Text, channels

Colour: TypeAlias = tuple[float, float, float]

_MOVE_TO: Final = 0
_LINE_TO: Final = 1
_CLOSE_PATH: Final = 3


class Paint(NamedTuple):
    """Runs ``first`` to ``last`` (left out) filled, or stroked where ``width`` is above 0."""

    first: int
    last: int
    box: Box
    colour: Colour
    width: float = 0.0
    winding: bool = False


class Type(NamedTuple):
    """A line of type that the output sets by itself."""

    text: Text


class Window(NamedTuple):
    """Steps of which only what lies inside runs ``first`` to ``last`` is seen."""

    first: int
    last: int
    box: Box
    upright: bool
    steps: "tuple[Step, ...]"


class Laid(NamedTuple):
    """A picture laid side by side over runs ``first`` to ``last``."""

    first: int
    last: int
    box: Box
    cloth: Cloth


Step: TypeAlias = Paint | Type | Window | Laid


@dataclass(frozen=True, slots=True)
class Layout:
    """A scene as cairo reads it.

    Parameters
    ----------
    units : (m, 2) floats
        The runs, one after the other; 16 bytes a unit.
    starts : tuple of int
        Where each run begins, and where the last ends.
    boxes : tuple of (x0, y0, x1, y1)
        Around each run, mm.
    steps : tuple of Step
        What is done with them, in painter's order.
    """

    units: NDArray[np.float64]
    starts: tuple[int, ...]
    boxes: tuple[Box, ...]
    steps: tuple[Step, ...]


class _Span(NamedTuple):
    """Lines ``first`` to ``last`` (left out) of a collector, or its walks where ``pen``."""

    first: int
    last: int
    pen: bool


_NOTHING: Final = _Span(0, 0, False)


def _joined(lines: Sequence[Points]) -> tuple[Points, NDArray[np.int64]]:
    """Put lines one after the other; give all points and how many each line has."""
    points = np.concatenate((*lines, np.zeros((0, 2))), dtype=np.float64)
    if not np.isfinite(points).all():
        raise ValueError("a scene holds a coordinate that is not a finite number")
    return points, np.array([len(line) for line in lines], dtype=np.int64)


def _units(
    points: NDArray[np.float64], counts: NDArray[np.int64], closed: NDArray[np.bool_]
) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """Lay out runs of points as cairo path data; give it and where each run begins."""
    starts = np.concatenate(([0], np.cumsum(2 * counts + closed)))
    units = np.zeros((int(starts[-1]), 2))
    heads = units.view(np.int32).reshape(-1, 4)
    owner = np.repeat(np.arange(len(counts)), counts)
    at = 2 * np.arange(len(points)) + (np.cumsum(closed) - closed)[owner]
    heads[at, 0], heads[at, 1] = _LINE_TO, 2
    heads[starts[:-1], 0] = _MOVE_TO
    units[at + 1] = points
    ends = starts[1:][closed] - 1
    heads[ends, 0], heads[ends, 1] = _CLOSE_PATH, 1
    return units, starts


@dataclass(slots=True)
class _Collector:
    """Lines met on the way through a scene: those that are kept as they are, and the walks of a pen."""

    detail: float
    lines: list[Points] = field(default_factory=list)
    closed: list[bool] = field(default_factory=list)
    walks: list[Points] = field(default_factory=list)
    halves: list[float] = field(default_factory=list)

    def rings(self, rings: Sequence[Points]) -> _Span:
        """Keep what has an area."""
        areas = [ring for ring in rings if len(ring) > 2]
        return self._keep(areas, [True] * len(areas))

    def stroke(self, stroke: Stroke) -> _Span:
        """Keep lines that are stroked; a line of one point becomes one of no length."""
        if stroke.width <= 0.0:
            return _NOTHING
        lines = [
            (line, joined) for line, joined in zip(stroke.lines, stroke.closed, strict=True) if len(line)
        ]
        if self.detail <= 0.0:
            dotted = [line if len(line) > 1 else np.repeat(line, 2, axis=0) for line, _ in lines]
            return self._keep(dotted, [joined for _, joined in lines])
        first = len(self.walks)
        self.walks += [walk for line, joined in lines for walk in walks(line, joined)]
        self.halves += [stroke.width / 2] * (len(self.walks) - first)
        return _Span(first, len(self.walks), True)

    def _keep(self, lines: Sequence[Points], closed: Sequence[bool]) -> _Span:
        first = len(self.lines)
        self.lines += lines
        self.closed += closed
        return _Span(first, len(self.lines), False)


_Draft: TypeAlias = tuple[Item, _Span, "list[_Draft]"]


def _draft(items: tuple[Item, ...], into: _Collector) -> "list[_Draft]":
    """First pass: collect the lines of every item."""
    drafts: list[_Draft] = []
    for item in items:
        children: list[_Draft] = []
        match item:
            case Fill():
                span = into.rings(item.rings)
            case Stroke():
                span = into.stroke(item)
            case Text():
                span = into.rings(text_rings(item)) if into.detail > 0.0 else _NOTHING
            case Clip():
                span = into.rings(item.rings)
                children = _draft(item.items, into)
            case Cloth():
                span = into.rings(item.rings)
        if span.last > span.first or (isinstance(item, Text) and into.detail <= 0.0):
            drafts.append((item, span, children))
    return drafts


def _steps(drafts: "list[_Draft]", boxes: Sequence[Box], walked: int) -> tuple[Step, ...]:
    """Second pass: say what is done with the lines; the walks' runs begin at ``walked``."""
    steps: list[Step] = []
    for item, span, children in drafts:
        first, last = (n + walked if span.pen else n for n in (span.first, span.last))
        match item:
            case Text() if first == last:
                steps.append(Type(item))
            case Clip():
                inner = _steps(children, boxes, walked)
                steps.append(Window(first, last, around(boxes[first:last]), upright(item.rings), inner))
            case Cloth():
                steps.append(Laid(first, last, around(boxes[first:last]), item))
            case Stroke() if not span.pen:
                box = around(boxes[first:last], item.width / 2)
                steps.append(Paint(first, last, box, channels(item.colour), item.width))
            case _:
                box, winding = around(boxes[first:last]), not isinstance(item, Fill)
                steps.append(Paint(first, last, box, channels(item.colour), winding=winding))
    return tuple(steps)


def layout(items: tuple[Item, ...], detail: float = 0.0) -> Layout:
    """Lay out the items of a scene.

    Parameters
    ----------
    items : tuple of Item
        In painter's order.
    detail : float
        Above 0, strokes and texts become areas within so many mm, which is soonest filled on pixels;
        otherwise strokes stay strokes, and texts stay `Type`.

    Raises
    ------
    ValueError
        Where a coordinate is not a finite number, or a colour is none.
    """
    found = _Collector(detail)
    drafts = _draft(items, found)
    points, counts = _joined(found.lines)
    closed = np.array(found.closed, dtype=bool)
    if found.walks:
        edges, many = strips(*_joined(found.walks), found.halves, detail)
        points, counts = np.concatenate((points, edges)), np.concatenate((counts, many))
        closed = np.concatenate((closed, np.ones(len(many), dtype=bool)))
    if not len(counts):
        return Layout(np.zeros((0, 2)), (0,), (), _steps(drafts, (), 0))
    boxes = boxes_of(points, counts)
    units, starts = _units(points, counts, closed)
    return Layout(units, tuple(starts.tolist()), boxes, _steps(drafts, boxes, len(found.lines)))
