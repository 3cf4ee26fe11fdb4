"""One shape of a drawing, placed and painted: a part in the making, or line work."""

import math
from collections.abc import Container
from dataclasses import dataclass
from typing import Final

import numpy as np

from mockup.errors import DrawingError
from mockup.geometry.affine import Affine, Points
from mockup.geometry.fill import filled
from mockup.geometry.flatten import flatten
from mockup.geometry.path import Path, read_path
from mockup.geometry.shapes import EMPTY
from mockup.geometry.strokes import Pen, stroked
from mockup.pattern.motif import LineWork
from mockup.pattern.naming import Draft
from mockup.pattern.notes import Notes
from mockup.pattern.outlines import path_data
from mockup.pattern.paints import is_outside, missing, paint
from mockup.pattern.style import Style
from mockup.pattern.viewport import Frame, length
from mockup.pattern.xmltree import Node

MOST_SHAPES: Final = 20_000
MOST_POINTS: Final = 3_000_000
_LARGEST: Final = 1e6
_STEEPEST: Final = 100.0
_DOT: Final = np.array([[-5e-4, 0.0], [5e-4, 0.0]])


@dataclass(frozen=True, eq=False, slots=True)
class Place:
    """Where and how an element is drawn: its map to mm, its style, what percentages are of, its names.

    ``inside`` are the groups and uses round it, outermost first: a number of its own each, and its id.
    """

    transform: Affine
    style: Style
    frame: Frame
    part: str = ""
    group: str = ""
    side: str = ""
    inside: tuple[tuple[int, str], ...] = ()


class Inker:
    """Draws the shapes of one drawing, within bounds."""

    def __init__(
        self, ids: Container[str], notes: Notes, tolerance: float, *, stroke_parts: bool = False
    ) -> None:
        """Begin; with ``stroke_parts`` strokes without fill become parts, else line work."""
        self._stroke_parts = stroke_parts
        self._ids = ids
        self._notes = notes
        self._tolerance = tolerance
        self._shapes = 0
        self._points = 0
        self._paths: dict[tuple[int, Frame], Path] = {}

    def ink(self, node: Node, place: Place) -> Draft | LineWork | None:
        """Draw a shape; None, with a note where that is no wish of the drawing's, where nothing comes of it.

        Raises
        ------
        DrawingError
            The shape goes out of all bounds.
        """
        fill, stroke = (paint(place.style, key, self._ids) for key in ("fill", "stroke"))
        for key in ("fill", "stroke"):
            if gone := missing(place.style, key, self._ids):
                self._notes.add(f"the paint {gone[:40]!r} is not there", node.line)
        if fill is None and stroke is None:
            return None
        path = self._path(node, place.frame)
        if path is None:
            return None
        self._shapes += 1
        if self._shapes > MOST_SHAPES:
            raise DrawingError(f"the drawing has more than {MOST_SHAPES} shapes")
        outlines = [self._bounded(flatten(sub, place.transform, self._tolerance)) for sub in path.subpaths]
        shape = EMPTY
        if fill is not None and node.tag != "line":
            rule = "evenodd" if place.style.get("fill-rule", "").lower() == "evenodd" else "nonzero"
            shape = filled(outlines, rule)
        if fill is not None and not shape.is_empty:
            self._tell_outside(fill, node)
            named = node.attributes.get("id", "")
            return Draft(shape, fill, place.side, place.part, place.group, named, place.inside)
        if stroke is not None:
            return self._lines(node, place, path, outlines, stroke)
        self._notes.add(f"{node.tag} draws nothing", node.line)
        return None

    def _path(self, node: Node, frame: Frame) -> Path | None:
        """Read a shape's outline, once for all its uses."""
        key = (id(node), frame)
        if key not in self._paths:
            try:
                path = read_path(path_data(node.tag, node.attributes, frame))
            except ValueError as error:
                self._notes.add(f"{node.tag} is left out: {error}", node.line)
                return None
            if path.fault:
                self._notes.add(f"{path.fault}; the rest is left out", node.line, kind="fault in path data")
            self._paths[key] = path
        return self._paths[key]

    def _bounded(self, points: Points) -> Points:
        self._points += len(points)
        if self._points > MOST_POINTS:
            raise DrawingError(f"the drawing would take more than {MOST_POINTS} points")
        if not np.abs(points).max() < _LARGEST:
            raise DrawingError("a shape leads out of all bounds")
        return points

    def _lines(
        self, node: Node, place: Place, path: Path, outlines: list[Points], stroke: str
    ) -> Draft | LineWork | None:
        """Make line work, or a part, of the outlines; a point drawn with a cap is a dot."""
        try:
            pen = _pen(place)
        except ValueError as error:
            self._notes.add(f"{node.tag} is left out: {error}", node.line)
            return None
        lines, closed = [], []
        for line, subpath in zip(outlines, path.subpaths, strict=True):
            dot = (
                len(line) == 1 and pen.cap in ("round", "square") and bool(subpath.segments or subpath.closed)
            )
            if dot or len(line) > 1:
                lines.append(line + _DOT if dot else line)
                closed.append(subpath.closed and not dot)
        if not lines or pen.width <= 0:
            self._notes.add(f"{node.tag} draws nothing", node.line)
            return None
        if place.style.get("stroke-dasharray", "none").lower() != "none":
            self._notes.add("dashes are drawn as whole lines", node.line)
        self._tell_outside(stroke, node)
        if not self._stroke_parts:
            return LineWork(tuple(lines), tuple(closed), pen.width, stroke)
        shape = stroked(lines, closed, pen, self._tolerance)
        if shape.is_empty:
            self._notes.add(f"{node.tag} draws nothing", node.line)
            return None
        named = node.attributes.get("id", "")
        return Draft(shape, stroke, place.side, place.part, place.group, named, place.inside, stroke=True)

    def _tell_outside(self, value: str, node: Node) -> None:
        if is_outside(value):
            self._notes.add("a paint from another file is not fetched", node.line)


def _pen(place: Place) -> Pen:
    """Read how a stroke is drawn; its width in mm.

    Raises
    ------
    ValueError
        Says what is wrong with the width.
    """
    style = place.style
    width = length(style.get("stroke-width", "1"), place.frame.diagonal)
    try:
        limit = float(style.get("stroke-miterlimit", "4"))
    except ValueError:
        limit = 4.0
    return Pen(
        width * math.sqrt(abs(place.transform.determinant)),
        style.get("stroke-linecap", "butt").lower(),
        style.get("stroke-linejoin", "miter").lower(),
        limit if 1.0 <= limit <= _STEEPEST else 4.0,
    )
