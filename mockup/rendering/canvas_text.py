"""How wide a line of type is, which of its signs the typeface lacks, and its outlines.

Widths come from the typeface at its own design size, without hinting, so they are the same in every output.
"""

from functools import lru_cache
from itertools import accumulate, pairwise
from typing import Any, Final

import numpy as np

from mockup.geometry.affine import IDENTITY, Points, rotation, scaling, translation
from mockup.rendering.canvas_cairo import FAMILY, cairocffi
from mockup.rendering.scene import Text, Weight, plain_text

_EM: Final = 1000.0
"""Size at which type is measured: large, so that cairo's rounding to 1/256 does not matter."""

_TOLERANCE: Final = 0.5
"""Largest distance of a flattened outline from its curve, in thousandths of the em."""

_INSTEAD: Final = "?"
"""What stands for a sign that the typeface lacks."""

_SHARE_BEFORE: Final = {"start": 0.0, "middle": 0.5, "end": 1.0}


def set_type(context: Any, weight: Weight) -> None:
    """Choose the typeface in a cairo context, without hinting."""
    bold = cairocffi.FONT_WEIGHT_BOLD if weight == "bold" else cairocffi.FONT_WEIGHT_NORMAL
    context.select_font_face(FAMILY, cairocffi.FONT_SLANT_NORMAL, bold)
    options = cairocffi.FontOptions()
    options.set_hint_style(cairocffi.HINT_STYLE_NONE)
    options.set_hint_metrics(cairocffi.HINT_METRICS_OFF)
    context.set_font_options(options)


def _measuring(weight: Weight) -> Any:
    """Make a context of which one unit is a thousandth of the em."""
    context = cairocffi.Context(cairocffi.ImageSurface(cairocffi.FORMAT_A8, 1, 1))
    set_type(context, weight)
    context.set_font_size(_EM)
    context.set_tolerance(_TOLERANCE)
    return context


@lru_cache(maxsize=4096)
def _advance(text: str, weight: Weight) -> float:
    return float(_measuring(weight).text_extents(text)[4]) / _EM


def text_width(text: str, size_mm: float, weight: Weight = "regular") -> float:
    """Width of a line of type in mm, from its start to where the next sign would stand.

    Parameters
    ----------
    text : str
        One line; what cannot be printed counts as spaces.
    size_mm : float
        Height of the type (its em), mm.
    weight : {"regular", "bold"}
        How heavy it is.
    """
    return _advance(drawable(text, weight), weight) * size_mm


@lru_cache(maxsize=4096)
def drawable(text: str, weight: Weight = "regular") -> str:
    """Give the text as the typeface can set it: what it lacks, and what cannot be printed, is replaced."""
    lacking = missing_glyphs(text, weight)
    return "".join(_INSTEAD if sign in lacking else sign for sign in plain_text(text))


def missing_glyphs(text: str, weight: Weight = "regular") -> str:
    """Give the signs of the text that the typeface lacks, each once, in the order of the text."""
    signs = "".join(dict.fromkeys(plain_text(text)))
    font = _measuring(weight).get_scaled_font()
    return "".join(
        sign
        for sign in signs
        if any(glyph[0] == 0 for glyph in font.text_to_glyphs(0, 0, sign, with_clusters=False))
    )


@lru_cache(maxsize=4096)
def _glyph(sign: str, weight: Weight) -> tuple[Points, tuple[int, ...]]:
    """Contours of one sign, 1 mm high, starting at (0, 0): all their points, and where each contour ends."""
    context = _measuring(weight)
    context.text_path(sign)
    contours: list[list[tuple[float, ...]]] = []
    for kind, point in context.copy_path_flat():
        if kind == cairocffi.PATH_MOVE_TO:
            contours.append([])
        if kind != cairocffi.PATH_CLOSE_PATH:
            contours[-1].append(point)
    areas = [contour for contour in contours if len(contour) > 2]
    points = [point for contour in areas for point in contour]
    return np.array(points).reshape(-1, 2) / _EM, tuple(accumulate(map(len, areas)))


def text_start(item: Text) -> float:
    """How far before (x, y) the text begins, in mm along its baseline."""
    return -_SHARE_BEFORE[item.anchor] * text_width(item.text, item.size_mm, item.weight)


def text_rings(item: Text) -> tuple[Points, ...]:
    """Give the outlines of a text where it stands on the sheet, (n, 2) floats in mm; fill them non-zero.

    They are flattened within 0.0005 of the size of the type.
    """
    turn = rotation(item.turn) if item.turn else IDENTITY
    place = translation(item.x, item.y) @ turn @ translation(text_start(item), 0.0) @ scaling(item.size_mm)
    pieces: list[Points] = []
    ends: list[int] = []
    before, so_far = 0.0, 0
    for sign in drawable(item.text, item.weight):
        points, stops = _glyph(sign, item.weight)
        if stops:
            pieces.append(points + np.array((before, 0.0)))
            ends += [so_far + stop for stop in stops]
            so_far += len(points)
        before += _advance(sign, item.weight)
    if not pieces:
        return ()
    placed = place.apply(np.concatenate(pieces))
    return tuple(placed[start:end] for start, end in pairwise((0, *ends)))
