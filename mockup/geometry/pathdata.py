"""Chains of curves written as path data, with absolute commands and thousandths of a unit.

References
----------
SVG 2, section 9.3 (path data).
"""

import math
from collections.abc import Sequence
from typing import Final

from mockup.geometry.affine import Points
from mockup.geometry.curves import Curves

PLACES: Final = 3


def path_data(chains: Sequence[Curves], *, closed: bool) -> str:
    """Write chains, curves whose handles lie on their chord as straight lines."""
    return "".join(_chain(curves, closed) for curves in chains)


def _chain(curves: Curves, closed: bool) -> str:
    shown = [f"M{_pair(curves[0, 0])}"]
    for number, one in enumerate(curves):
        last = closed and number == len(curves) - 1
        if _is_straight(one):
            shown.append("" if last else f"L{_pair(one[3])}")
        else:
            shown.append("C" + " ".join(_pair(point) for point in one[1:]))
    return "".join(shown) + ("Z" if closed else "")


def _is_straight(one: Points) -> bool:
    """Tell a curve whose handles lie on its chord."""
    chord = one[3] - one[0]
    length = max(math.hypot(*chord), 1e-12)
    off = [abs(chord[0] * (p - one[0])[1] - chord[1] * (p - one[0])[0]) / length for p in one[1:3]]
    return bool(max(off) < 1e-6)


def _pair(point: Points) -> str:
    return f"{decimal(point[0])} {decimal(point[1])}"


def decimal(value: float) -> str:
    """Write a number with at most three places, without a trailing point or a sign of nought."""
    text = f"{value:.{PLACES}f}".rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text
