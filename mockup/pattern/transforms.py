"""The transform attribute: a list of functions into one affine map.

References
----------
SVG 1.1, section 7.6; CSS Transforms Level 1, sections 8 (the attribute) and 12 (plane functions).
"""

import math
import re
from collections.abc import Callable
from typing import Final

from mockup.geometry.affine import IDENTITY, Affine, about, rotation, scaling, translation
from mockup.units import MM_PER_PIXEL, millimetres

_FUNCTION: Final = re.compile(r"[\s,]*([A-Za-z]+)\s*\(([^()]*)\)[\s,]*")
_NUMBER: Final = re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")
_WORD: Final = re.compile(rf"\s*+,?\s*+({_NUMBER.pattern})([A-Za-z]*)")
_DEGREES: Final = {"": 1.0, "deg": 1.0, "grad": 0.9, "rad": math.degrees(1.0), "turn": 360.0}
_LARGEST: Final = 1e6
_MOST: Final = 1_000


def read_transform(text: str) -> Affine:
    """Read a transform list, in user units.

    Raises
    ------
    ValueError
        Says what is wrong with the text.
    """
    result = IDENTITY
    at = 0
    for _ in range(_MOST):
        if at == len(text) or text.strip() in ("", "none"):
            return result
        found = _FUNCTION.match(text, at)
        if not found:
            break
        result = bounded(result @ _function(found[1], found[2]))
        at = found.end()
    raise ValueError(f"transform {text[at : at + 30]!r} cannot be read")


def bounded(transform: Affine) -> Affine:
    """Give the map back unless it leads out of all bounds.

    Raises
    ------
    ValueError
        A number of it is not finite or not below a million.
    """
    numbers = (transform.a, transform.b, transform.c, transform.d, transform.e, transform.f)
    if not all(abs(number) < _LARGEST for number in numbers):
        raise ValueError("transform leads out of all bounds")
    return transform


def _function(name: str, text: str) -> Affine:
    """Read one function with its arguments."""
    words = []
    at = 0
    while found := _WORD.match(text, at):
        words.append((found[1], found[2]))
        at = found.end()
    makers = _FUNCTIONS.get(name.lower())
    if makers is None or text[at:].strip():
        raise ValueError(f"transform function {name[:20]!r} cannot be read")
    fewest, most, kinds, make = makers
    if not fewest <= len(words) <= most or (name.lower() == "rotate" and len(words) == 2):
        raise ValueError(f"transform function {name!r} has {len(words)} arguments")
    return make(*(_value(*word, kind) for word, kind in zip(words, kinds, strict=False)))


def _value(number: str, unit: str, kind: str) -> float:
    """Turn an argument into a number ("n"), user units ("l") or degrees ("a")."""
    if kind == "l" and unit:
        return millimetres(f"{float(number)!r}{unit}") / MM_PER_PIXEL
    if kind == "a" and unit.lower() in _DEGREES:
        return float(number) * _DEGREES[unit.lower()]
    if unit:
        raise ValueError(f"transform argument {(number + unit)[:20]!r} has an unknown unit")
    return float(number)


def _turned(angle: float, x: float = 0.0, y: float = 0.0) -> Affine:
    return about(x, y, rotation(math.remainder(angle, 360.0)) if math.isfinite(angle) else Affine(a=angle))


def _slanted(across: float, down: float = 0.0) -> Affine:
    return Affine(b=_slope(down), c=_slope(across))


def _slope(angle: float) -> float:
    return math.tan(math.radians(angle)) if math.isfinite(angle) else angle


_FUNCTIONS: Final[dict[str, tuple[int, int, str, Callable[..., Affine]]]] = {
    "matrix": (6, 6, "nnnnnn", Affine),
    "translate": (1, 2, "ll", lambda x, y=0.0: translation(x, y)),
    "translatex": (1, 1, "l", lambda x: translation(x, 0.0)),
    "translatey": (1, 1, "l", lambda y: translation(0.0, y)),
    "scale": (1, 2, "nn", scaling),
    "scalex": (1, 1, "n", lambda x: scaling(x, 1.0)),
    "scaley": (1, 1, "n", lambda y: scaling(1.0, y)),
    "rotate": (1, 3, "all", _turned),
    "skew": (1, 2, "aa", _slanted),
    "skewx": (1, 1, "a", _slanted),
    "skewy": (1, 1, "a", lambda down: _slanted(0.0, down)),
}
