"""Stripes in a layout that repeats: how much is covered along the lines of each direction that a repeat shows.

A repeat shows stripes along its lattice directions only, since along any other line every place of the tile is passed.
For each of them the coverage of soft lines is a short Fourier series, to which each body adds its share; so both the
worst deviation from the mean and the way in which a body has to be moved to lower it are sums over few waves.
"""

import math
from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_FARTHEST: Final = 3
"""Lattice directions are looked at up to so many steps each way."""

_SOFT: Final = 0.25
"""Standard deviation of a line, in mean spacings."""

_FAINT: Final = 0.02
_LINES: Final = 96
_POWER: Final = 6
"""The worst line counts by this power, so that the force acts on the few that stand out."""


class Alleys:
    """The waves of a tile, and what each body adds to them.

    Parameters
    ----------
    clouds : sequence of (m, 2) floats
        Points spread evenly over each body, about its own origin, mm.
    areas : (n,) floats
        Area of each body, mm2.
    size : (float, float)
        Width and height of the tile, mm.
    """

    def __init__(self, clouds: Sequence[Floats], areas: Floats, size: tuple[float, float]) -> None:
        many = np.array([len(cloud) for cloud in clouds])
        self._points, self._body = np.concatenate(clouds), np.repeat(np.arange(len(clouds)), many)
        self._starts, self._many = np.concatenate(([0], np.cumsum(many)[:-1])), many
        self._areas = areas / areas.sum()
        self._waves, self._ways = _waves(size, math.sqrt(size[0] * size[1] / len(clouds)))
        self._form = np.ones((len(clouds), len(self._waves)), dtype=complex)

    def turned(self, turn: Floats) -> None:
        """Take the bodies' turns, (n,) radians, into account from now on."""
        cosine, sine = np.cos(turn)[self._body], np.sin(turn)[self._body]
        x = cosine * self._points[:, 0] - sine * self._points[:, 1]
        y = sine * self._points[:, 0] + cosine * self._points[:, 1]
        for first, last, _ in self._ways:
            wave = np.exp(-1j * (x * self._waves[first, 0] + y * self._waves[first, 1]))
            order = np.ones_like(wave)
            for place in range(first, last):
                order = order * wave  # the next order of the same direction
                self._form[:, place] = np.add.reduceat(order, self._starts) / self._many

    def force(self, spot: Floats) -> tuple[Floats, float]:
        """Way in which each body is to be moved, (n, 2), the longest of length 1; and the worst line's deviation.

        The deviation is a share of the mean coverage.
        """
        phase = spot[:, :1] * self._waves[:, 0] + spot[:, 1:] * self._waves[:, 1]
        own = np.exp(-1j * phase) * self._form * self._areas[:, None] * self._waves[:, 2]
        every = own.sum(axis=0)
        way, worst = np.zeros_like(spot), 0.0
        for first, last, lines in self._ways:
            off = 2 * np.real(every[first:last] @ lines)
            worst = max(worst, float(np.abs(off).max()))
            pull = lines @ (np.sign(off) * np.abs(off) ** (_POWER - 1)) / _LINES
            slope = 2 * np.real(-1j * own[:, first:last] * pull)
            way -= slope @ self._waves[first:last, :2]
        longest = float(np.hypot(way[:, 0], way[:, 1]).max())
        return way / max(longest, 1e-300), worst


def _waves(
    size: tuple[float, float], spacing: float
) -> tuple[Floats, list[tuple[int, int, NDArray[np.complex128]]]]:
    """Wave vectors and their weights, (w, 3); for each direction its first and last wave, and its lines (w, l)."""
    waves: list[tuple[float, float, float]] = []
    ways = []
    place = np.arange(_LINES) / _LINES
    for p in range(_FARTHEST + 1):
        for q in range(-_FARTHEST, _FARTHEST + 1):
            if math.gcd(p, q) != 1 or (p == 0 and q < 0):
                continue
            step = math.hypot(p / size[0], q / size[1]) * spacing * _SOFT
            top = math.floor(math.sqrt(-math.log(_FAINT) / 2) / (math.pi * step))
            orders = np.arange(1, top + 1)
            if len(orders):
                ways.append((len(waves), len(waves) + top, np.exp(2j * math.pi * np.outer(orders, place))))
            for k in orders.tolist():
                weight = math.exp(-2 * (math.pi * k * step) ** 2)
                waves.append((2 * math.pi * k * p / size[0], 2 * math.pi * k * q / size[1], weight))
    return np.array(waves).reshape(-1, 3), ways
