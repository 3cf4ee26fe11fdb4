"""Chains of curves written as path data, with absolute commands and thousandths of a unit.

References
----------
SVG 2, section 9.3 (path data).
"""

from collections.abc import Sequence
from typing import Final

import numpy as np

from mockup.geometry.curves import Curves

PLACES: Final = 3


def path_data(chains: Sequence[Curves], *, closed: bool) -> str:
    """Write chains, curves whose handles lie on their chord as straight lines."""
    return "".join(_chain(curves, closed) for curves in chains)


def _chain(curves: Curves, closed: bool) -> str:
    points = (np.round(curves, PLACES) + 0.0).tolist()
    shown = [f"M{_pair(points[0][0])}"]
    for number, (one, straight) in enumerate(zip(points, _straight(curves), strict=True)):
        last = closed and number == len(points) - 1
        if straight:
            shown.append("" if last else f"L{_pair(one[3])}")
        else:
            (a, b), (c, d), (e, f) = one[1:]
            shown.append(f"C{a:.10g} {b:.10g} {c:.10g} {d:.10g} {e:.10g} {f:.10g}")
    return "".join(shown) + ("Z" if closed else "")


def _straight(curves: Curves) -> list[bool]:
    """Tell the curves whose handles lie on their chords."""
    way = curves[:, 1:] - curves[:, :1]
    chord = way[:, 2:]
    off = np.abs(chord[..., 0] * way[:, :2, 1] - chord[..., 1] * way[:, :2, 0])
    length = np.maximum(np.hypot(chord[..., 0], chord[..., 1]), 1e-12)
    return [bool(one) for one in (off / length).max(axis=1) < 1e-6]


def _pair(point: Sequence[float]) -> str:
    """Write a point that is rounded already: ten digits are more than are left, and none is written in vain."""
    return f"{point[0]:.10g} {point[1]:.10g}"


def decimal(value: float) -> str:
    """Write a number with at most three places, without a trailing point or a sign of nought."""
    return f"{round(value, PLACES) + 0.0:.10g}"
