"""Pages, view boxes and lengths: from what is written to user units and to mm.

References
----------
SVG 2, chapter 8 (8.2 viewports, 8.6 viewBox, 8.7 preserveAspectRatio, 8.9 units).
"""

import math
import re
from collections.abc import Mapping
from typing import Final, NamedTuple

from mockup.geometry.affine import Affine, translation
from mockup.pattern.transforms import bounded
from mockup.units import MM_PER_PIXEL, millimetres

_PERCENT: Final = re.compile(r"\s*([+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?)%\s*")
_PLAIN: Final = re.compile(r"[+-]?[0-9]{1,6}(?:\.[0-9]+)?")
_SEPARATOR: Final = re.compile(r"[\s,]+")
_SHARE: Final = {"Min": 0.0, "Mid": 0.5, "Max": 1.0}
_ASPECT: Final = re.compile(r"(?:defer\s+)?x(Min|Mid|Max)Y(Min|Mid|Max)(?:\s+(meet|slice))?")
_LARGEST: Final = 1e6
_LONGEST: Final = 64


class Frame(NamedTuple):
    """Size of the nearest viewport in user units: what percentages are of."""

    width: float
    height: float

    @property
    def diagonal(self) -> float:
        """What percentages of a radius are of."""
        return math.hypot(self.width, self.height) / math.sqrt(2)


class Page(NamedTuple):
    """The drawing's natural size in mm, the map from its user units to mm, and its frame."""

    width: float
    height: float
    transform: Affine
    frame: Frame


def length(text: str, whole: float) -> float:
    """Read a length in user units; percentages are of ``whole``.

    Raises
    ------
    ValueError
        Says what is wrong with the text.
    """
    if _PLAIN.fullmatch(text):
        return float(text)
    _refuse_long(text)
    percent = _PERCENT.fullmatch(text)
    value = (
        float(percent[1]) / 100 * whole if percent else millimetres(text, bare=MM_PER_PIXEL) / MM_PER_PIXEL
    )
    if not abs(value) < _LARGEST:
        raise ValueError(f"{text[:20]!r} is too large for a length")
    return value


def read_page(attributes: Mapping[str, str]) -> Page:
    """Work out the natural size of a drawing from the attributes of its outermost element.

    Raises
    ------
    ValueError
        Says what is wrong with the size.
    """
    view = view_box(attributes)
    width, height = (_side(attributes.get(key, "")) for key in ("width", "height"))
    if view:
        ratio = view[2] / view[3]
        if width is None:
            width = view[2] * MM_PER_PIXEL if height is None else height * ratio
        height = width / ratio if height is None else height
    if width is None or height is None:
        raise ValueError("the drawing has no size; give it width and height, or a viewBox")
    if not (0 < width < _LARGEST and 0 < height < _LARGEST):
        raise ValueError("the drawing has no size that can be drawn; width and height must be above 0")
    pixels = (0.0, 0.0, width / MM_PER_PIXEL, height / MM_PER_PIXEL)
    to_mm = Affine(a=MM_PER_PIXEL, d=MM_PER_PIXEL)
    if not view:
        return Page(width, height, to_mm, Frame(*pixels[2:]))
    fit = bounded(to_mm @ fitting(view, attributes.get("preserveAspectRatio", ""), pixels))
    return Page(width, height, fit, Frame(*view[2:]))


def _side(text: str) -> float | None:
    """Read the page's width or height in mm; None where it is not given or a percentage."""
    if not text.strip() or text.strip() == "auto" or _PERCENT.fullmatch(text):
        return None
    _refuse_long(text)
    return millimetres(text, bare=MM_PER_PIXEL)


def _refuse_long(text: str) -> None:
    if len(text) > _LONGEST:
        raise ValueError(f"{text[:20]!r}... is too long for a length")


def view_box(attributes: Mapping[str, str]) -> tuple[float, float, float, float] | None:
    """Read the viewBox: x, y, width, height; None where there is none.

    Raises
    ------
    ValueError
        It is no four numbers, or encloses nothing.
    """
    text = attributes.get("viewBox", "").strip()
    if not text or text == "none":
        return None
    words = [word for word in _SEPARATOR.split(text) if word]
    try:
        x, y, width, height = (length(word, 0.0) for word in words)
    except ValueError:
        raise ValueError(f"viewBox {text[:40]!r} is no four numbers") from None
    if not (width > 0 and height > 0):
        raise ValueError(f"viewBox {text[:40]!r} encloses nothing")
    return x, y, width, height


def inner_port(attributes: Mapping[str, str], outer: Frame) -> tuple[Affine, Frame]:
    """Work out the map and the frame of an inner svg or a symbol from its attributes.

    Raises
    ------
    ValueError
        Says what is wrong with its place or size.
    """
    x, y = across_down(attributes, outer, ("x", "y"))
    whole = {"width": "100%", "height": "100%"}
    width, height = across_down({**whole, **attributes}, outer, ("width", "height"))
    if not (width > 0 and height > 0):
        raise ValueError("it has no size")
    view = view_box(attributes)
    if not view:
        return translation(x, y), Frame(width, height)
    aspect = attributes.get("preserveAspectRatio", "")
    return bounded(fitting(view, aspect, (x, y, width, height))), Frame(*view[2:])


def across_down(attributes: Mapping[str, str], frame: Frame, keys: tuple[str, str]) -> tuple[float, float]:
    """Read a length across and one down, 0 where they are not given.

    Raises
    ------
    ValueError
        Says what is wrong with one of them.
    """
    across, down = (attributes.get(key, "0") for key in keys)
    return length(across, frame.width), length(down, frame.height)


def fitting(
    view: tuple[float, float, float, float], aspect: str, port: tuple[float, float, float, float]
) -> Affine:
    """Map a view box onto a viewport, both as x, y, width, height.

    Parameters
    ----------
    view, port : (float, float, float, float)
        The view box, and the viewport in the user units outside.
    aspect : str
        The preserveAspectRatio attribute; anything that is not understood means ``xMidYMid meet``.
    """
    across, down = port[2] / view[2], port[3] / view[3]
    share_x = share_y = 0.5
    if aspect.strip() != "none":
        found = _ASPECT.fullmatch(aspect.strip())
        slice_it = False
        if found:
            share_x, share_y, slice_it = _SHARE[found[1]], _SHARE[found[2]], found[3] == "slice"
        across = down = (max if slice_it else min)(across, down)
    return Affine(
        a=across,
        d=down,
        e=port[0] - view[0] * across + (port[2] - view[2] * across) * share_x,
        f=port[1] - view[1] * down + (port[3] - view[3] * down) * share_y,
    )
