"""Lengths and paper sizes: everything inside is in millimetres.

References
----------
CSS Values and Units Level 4, section 6.2 (absolute lengths); ISO 216 (A and B sizes), ISO 269 (C),
ANSI/ASME Y14.1 (letter, legal, tabloid).
"""

import math
import re
from typing import Final

MM_PER_INCH: Final = 25.4
MM_PER_PIXEL: Final = MM_PER_INCH / 96
MM_PER_POINT: Final = MM_PER_INCH / 72
_MM: Final = {
    "mm": 1.0,
    "cm": 10.0,
    "in": MM_PER_INCH,
    "q": 0.25,
    "pt": MM_PER_POINT,
    "pc": MM_PER_INCH / 6,
    "px": MM_PER_PIXEL,
}
_LENGTH: Final = re.compile(r"\s*([+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?)\s*([A-Za-z]*)\s*")
_LARGEST: Final = 1e6


def millimetres(text: str, *, bare: float = 1.0) -> float:
    """Read a length such as ``"6cm"`` or ``"2.5in"`` and give it in mm.

    Parameters
    ----------
    text : str
        A number and one of mm, cm, in, Q, pt, pc, px.
    bare : float
        What one unit of a number without a unit is worth, in mm.

    Raises
    ------
    ValueError
        Says what is wrong with the text.
    """
    found = _LENGTH.fullmatch(text)
    if not found:
        if re.fullmatch(r"\s*[+-]?\d+,\d+\s*[A-Za-z]*\s*", text):
            pointed = text.strip().replace(",", ".")
            raise ValueError(f"{text!r} has a decimal comma; write a point ({pointed!r})")
        raise ValueError(f'{text!r} is not a length; write a number of mm, or such as "6cm" or "2.5in"')
    number, unit = float(found[1]), found[2].lower()
    if unit and unit not in _MM:
        raise ValueError(f"{text!r} has an unknown unit; the units are mm, cm, in, Q, pt, pc, px")
    length = number * (_MM[unit] if unit else bare)
    if not math.isfinite(length) or abs(length) > _LARGEST:
        raise ValueError(f"{text!r} is too large for a length")
    return length


def _iso(series: str) -> dict[str, tuple[float, float]]:
    """Sizes 0 to 10 of an ISO series by its formula, cut to whole mm (ISO 216, 4; ISO 269, 3)."""
    start = {"A": 0.25, "B": 0.5, "C": 0.375}[series]
    sizes = {}
    for n in range(11):
        long, short = (math.floor(1000 * 2 ** (start - n / 2 - turn) + 0.2) for turn in (0.0, 0.5))
        sizes[f"{series}{n}"] = (float(short), float(long))
    return sizes


_PAPER: Final = {
    **_iso("A"),
    **_iso("B"),
    **_iso("C"),
    "letter": (215.9, 279.4),
    "legal": (215.9, 355.6),
    "tabloid": (279.4, 431.8),
}


def paper_names() -> tuple[str, ...]:
    """Names of the paper sizes, as they are written in a design file."""
    return tuple(_PAPER)


def paper_size(name: str) -> tuple[float, float] | None:
    """Width and height (mm) of an upright sheet by its name in any case; None for an unknown name."""
    for known, size in _PAPER.items():
        if known.lower() == name.strip().lower():
            return size
    return None


def plain(number: float, digits: int = 1) -> str:
    """Write a number without needless zeros."""
    text = f"{number:z.{digits}f}"  # z: never "-0"
    return text.rstrip("0").rstrip(".") if "." in text else text


def both(length: float) -> str:
    """Write a length (mm) in cm and in inches, as sheets carry it."""
    return f"{plain(length / 10, 2)} cm ({plain(length / MM_PER_INCH, 2)} in)"


def both_sides(width: float, height: float) -> str:
    """Write a size (mm) in cm and in inches, as sheets carry it."""
    cm = f"{plain(width / 10, 2)} x {plain(height / 10, 2)} cm"
    inch = f"{plain(width / MM_PER_INCH, 2)} x {plain(height / MM_PER_INCH, 2)} in"
    return f"{cm} ({inch})"
