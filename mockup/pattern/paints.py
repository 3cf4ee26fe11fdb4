"""What a style says about paint: which fill, which stroke, and whether anything shows at all.

References
----------
SVG 2, chapter 13 (fill, stroke, paint servers); CSS Color Level 4 (transparent colours).
"""

import re
from collections.abc import Container
from typing import Final

from mockup.pattern.style import Style

_REFERENCE: Final = re.compile(r"url\(\s*+[\"']?([^\"')]*+)[\"']?\s*+\)(.*)", re.DOTALL)
_NOUGHT: Final = r"\s*(?:0+\.?0*|\.0+)%?\s*"
_CLEAR: Final = re.compile(
    r"transparent|#[0-9a-f]{3}0|#[0-9a-f]{6}00"
    rf"|[a-z]+\((?:[^(),/]*,){{3}}{_NOUGHT}\)|[a-z]+\([^(),/]*/{_NOUGHT}\)",
    re.IGNORECASE,
)
_SHARE: Final = re.compile(r"\s*([+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?)%?\s*")


def paint(style: Style, key: str, ids: Container[str]) -> str | None:
    """Give the paint of ``key`` ("fill" or "stroke") as written.

    Returns
    -------
    str or None
        The written paint; "" where none was written and the default holds (black to fill); None for no paint.
    """
    opacity = style.get(f"{key}-opacity", "")
    if key not in style or is_zero(opacity):
        return None if is_zero(opacity) or key == "stroke" else ""
    value = style[key]
    if value.lower() == "currentcolor":
        value = style.get("color", "black")
    reference = _REFERENCE.match(value)
    if reference and reference[1].startswith("#") and reference[1][1:] not in ids:
        value = reference[2].strip() or "none"
    return None if value.lower() == "none" or _CLEAR.fullmatch(value) else value


def missing(style: Style, key: str, ids: Container[str]) -> str:
    """Give the reference of a written paint that is not in the file, where no other is written behind it; else ""."""
    reference = _REFERENCE.match(style.get(key, ""))
    gone = reference and reference[1].startswith("#") and reference[1][1:] not in ids
    return reference[1] if reference and gone and not reference[2].strip() else ""


def is_zero(opacity: str) -> bool:
    """Tell an opacity of nought; what cannot be read is full."""
    found = _SHARE.fullmatch(opacity)
    return found is not None and float(found[1]) <= 0.0


def paint_key(value: str) -> str:
    """Give what two paints are compared by: case counts only in references."""
    return value if _REFERENCE.match(value) else "".join(value.split()).lower()


def hidden(style: Style) -> bool:
    """Tell whether an element and all in it is left out."""
    return style.get("display", "").lower() == "none" or is_zero(style.get("opacity", ""))


def unseen(style: Style) -> bool:
    """Tell whether the element itself is not shown, though what is in it may be."""
    return style.get("visibility", "").lower() in ("hidden", "collapse")


def is_outside(value: str) -> bool:
    """Tell a paint that refers to another file."""
    reference = _REFERENCE.match(value)
    return reference is not None and not reference[1].startswith("#")
