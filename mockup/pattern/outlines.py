"""The basic shapes of SVG, written as path data.

References
----------
SVG 2, chapter 10: the equivalent path of each shape.
"""

import re
from collections.abc import Callable, Mapping
from typing import Final

from mockup.pattern.viewport import Frame, length

_POINTS: Final = re.compile(r"[\s0-9eE.,+-]*")

Attributes = Mapping[str, str]


def path_data(tag: str, attributes: Attributes, frame: Frame) -> str:
    """Write a shape as path data in its own user units.

    Parameters
    ----------
    tag : str
        One of ``SHAPES``.
    attributes : mapping of str to str
        The element's.
    frame : Frame
        What percentages are of.

    Raises
    ------
    ValueError
        Says which attribute cannot be drawn.
    """
    return SHAPES[tag](attributes, frame)


def _path(attributes: Attributes, _frame: Frame) -> str:
    return attributes.get("d", "")


def _rect(attributes: Attributes, frame: Frame) -> str:
    x, y = _at(attributes, "x", frame.width), _at(attributes, "y", frame.height)
    width, height = _size(attributes, "width", frame.width), _size(attributes, "height", frame.height)
    rx, ry = _pair(attributes, frame)
    rx, ry = min(rx, width / 2), min(ry, height / 2)
    if not (rx and ry):
        return f"M{x!r} {y!r}h{width!r}v{height!r}h{-width!r}z"
    left, right, top, bottom = x + rx, x + width - rx, y + ry, y + height - ry
    arc = f"A{rx!r} {ry!r} 0 0 1 "
    return (
        f"M{left!r} {y!r}H{right!r}{arc}{x + width!r} {top!r}V{bottom!r}{arc}{right!r} {y + height!r}"
        f"H{left!r}{arc}{x!r} {bottom!r}V{top!r}{arc}{left!r} {y!r}z"
    )


def _circle(attributes: Attributes, frame: Frame) -> str:
    radius = _size(attributes, "r", frame.diagonal)
    return _oval(attributes, frame, radius, radius)


def _ellipse(attributes: Attributes, frame: Frame) -> str:
    rx, ry = _pair(attributes, frame)
    if not (rx and ry):
        raise ValueError("ellipse has no size")
    return _oval(attributes, frame, rx, ry)


def _oval(attributes: Attributes, frame: Frame, rx: float, ry: float) -> str:
    x, y = _at(attributes, "cx", frame.width), _at(attributes, "cy", frame.height)
    arc = f"A{rx!r} {ry!r} 0 0 1 "
    right = f"{x + rx!r} {y!r}"
    return f"M{right}{arc}{x!r} {y + ry!r}{arc}{x - rx!r} {y!r}{arc}{x!r} {y - ry!r}{arc}{right}z"


def _line(attributes: Attributes, frame: Frame) -> str:
    x1, x2 = (_at(attributes, key, frame.width) for key in ("x1", "x2"))
    y1, y2 = (_at(attributes, key, frame.height) for key in ("y1", "y2"))
    return f"M{x1!r} {y1!r}L{x2!r} {y2!r}"


def _polyline(attributes: Attributes, _frame: Frame) -> str:
    points = attributes.get("points", "").strip()
    if not _POINTS.fullmatch(points):
        raise ValueError("points are not all numbers")
    return f"M{points}" if points else ""


def _polygon(attributes: Attributes, frame: Frame) -> str:
    data = _polyline(attributes, frame)
    return f"{data}z" if data else ""


def _at(attributes: Attributes, key: str, whole: float) -> float:
    return length(attributes[key], whole) if key in attributes else 0.0


def _size(attributes: Attributes, key: str, whole: float) -> float:
    """Read a size that must be above zero."""
    value = _at(attributes, key, whole)
    if value <= 0:
        raise ValueError(f"{key} is {'negative' if value < 0 else 'zero'}")
    return value


def _pair(attributes: Attributes, frame: Frame) -> tuple[float, float]:
    """Read rx and ry; one that is not given equals the other."""
    given = []
    for key, whole in (("rx", frame.width), ("ry", frame.height)):
        text = attributes.get(key, "auto").strip()
        value = None if text == "auto" else length(text, whole)
        if value is not None and value < 0:
            raise ValueError(f"{key} is negative")
        given.append(value)
    rx, ry = given
    return (ry or 0.0) if rx is None else rx, (rx or 0.0) if ry is None else ry


SHAPES: Final[dict[str, Callable[[Attributes, Frame], str]]] = {
    "path": _path,
    "rect": _rect,
    "circle": _circle,
    "ellipse": _ellipse,
    "line": _line,
    "polyline": _polyline,
    "polygon": _polygon,
}
