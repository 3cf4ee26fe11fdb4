"""The share of the area that each ink should get.

even
    the ground's ink gets min(1/k, E), with E the area share of the nodes that touch no ground, every other ink an equal
    part of the rest; on bare paper 1/k each
led
    the dominant 1.7 times its even share or the most that can be reached, the dark half of that, each accent 0.8 of
    the one before, the ground's ink as in even, the others scaled so that all add up to 1
own
    the shares that she gave; the others share the rest
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from mockup.colouring.ceiling import ceiling, nearest
from mockup.colouring.problem import Floats, Ints, Mask, Pairs
from mockup.colouring.ties import added, common, groups_of, merged

LEAD: Final = 1.7
FALL: Final = 0.8

LIKELY: Final = 0.26
"""Up to this share an ink that is barred nowhere finds room in any pattern that has been seen."""

SURE: Final = 1e-6
BALANCES: Final = ("even", "led", "own")


@dataclass(frozen=True, eq=False, slots=True)
class Targets:
    """``wanted`` (k,) as the balance asks, ``reachable`` (k,) the nearest that barred inks allow; both add up to 1."""

    wanted: Floats
    reachable: Floats

    @property
    def missed(self) -> list[int]:
        """Inks of which the wanted share cannot be reached."""
        return np.flatnonzero(np.abs(self.wanted - self.reachable) > 5e-4).tolist()


def targets(
    balance: str,
    roles: Sequence[str],
    given: Sequence[float | None],
    ground: int | None,
    area: Floats,
    allowed: Mask,
    on_ground: Mask,
    pairs: tuple[Ints, Ints],
    tied: Ints | None = None,
) -> Targets:
    """Work out the targets.

    Parameters
    ----------
    balance : str
        One of ``BALANCES``.
    roles : sequence of str
        Role of each ink.
    given : sequence of float or None
        Her own shares, for ``own``.
    ground : int or None
        The ground's ink; None where the ground is bare paper that is no ink of the palette.
    area : (n,) floats
        Area of each node.
    allowed : (n, k) bools
        Which inks a node may take.
    on_ground : (n,) bools
        Which nodes touch the ground.
    pairs : ((m,) ints, (m,) ints)
        Nodes to keep apart.
    tied : (n,) ints, optional
        Nodes of one number take one ink: what is wanted stays as it is, what can be reached may be less.
    """
    total = max(float(area.sum()), 1e-12)
    enclosed = float(area[~on_ground].sum()) / total
    if tied is not None:
        area, allowed, pairs = _together(area, allowed, pairs, tied)
    even = _even(len(roles), ground, enclosed)
    if balance == "led":
        lead = next((ink for ink, role in enumerate(roles) if role == "dominant" and ink != ground), 0)
        most = _most(LEAD * even[lead], area, allowed[:, lead], pairs)
        wanted = _led(roles, even, ground, min(LEAD * even[lead], most))
    elif balance == "own":
        wanted = _own(given)
    else:
        wanted = even
    return Targets(wanted, reachable(wanted, area, allowed, pairs))


def _together(
    area: Floats, allowed: Mask, pairs: tuple[Ints, Ints], tied: Ints
) -> tuple[Floats, Mask, tuple[Ints, Ints]]:
    """Draw tied nodes together."""
    group = groups_of(tied)
    apart = merged(group, Pairs(*pairs, np.zeros(len(pairs[0]))))
    return added(group, area), common(group, allowed), (apart.a, apart.b)


_HALVINGS: Final = 100
"""Steps in which a factor is found."""


def reachable(wanted: Floats, area: Floats, allowed: Mask, pairs: tuple[Ints, Ints]) -> Floats:
    """Move the targets as little as is forced: no ink above its ceiling, nor below what is tied to it.

    What one ink cannot hold, the others share; what all together cannot hold is moved once more.
    """
    total = max(float(area.sum()), 1e-12)
    known: dict[bytes, float] = {}
    for share, may in sorted(zip(wanted.tolist(), allowed.T, strict=True), key=lambda pair: -pair[0]):
        known.setdefault(may.tobytes(), _most(share, area, may, pairs))
    most = np.array([known[may.tobytes()] for may in allowed.T])
    tied = allowed.sum(axis=1) == 1
    least = np.array([float(area[tied & may].sum()) / total for may in allowed.T])
    most = np.maximum(most, least)
    alone = _clipped(wanted, least, most)
    joint = nearest(wanted, (least, most), area, allowed, *pairs, alone)
    return alone if joint is None else joint


def _most(share: float, area: Floats, may: Mask, pairs: tuple[Ints, Ints]) -> float:
    """Ceiling of an ink where it can matter: where it is wanted for a large share of what it may take."""
    matters = share > max(LIKELY * float(area[may].sum() / max(area.sum(), 1e-12)), SURE)
    return ceiling(area, may, *pairs) if matters else 1.0


def _clipped(wanted: Floats, least: Floats, most: Floats) -> Floats:
    """Keep each share within its bounds; what that takes or gives, the others share in proportion.

    All wanted shares grow or shrink by one factor, each as far as its bounds let it.
    """
    share = np.clip(wanted, least, most)
    if abs(float(share.sum()) - 1.0) < 1e-12:
        return np.asarray(share / share.sum())
    part = np.maximum(wanted, 1e-6)
    low, high = 0.0, 1.0 / float(part.min())
    for _ in range(_HALVINGS):
        factor = (low + high) / 2
        share = np.clip(part * factor, least, most)
        low, high = (factor, high) if share.sum() < 1.0 else (low, factor)
    return np.asarray(share / share.sum())


def _even(k: int, ground: int | None, enclosed: float) -> Floats:
    share = np.full(k, 1.0 / k)
    if ground is not None and k > 1:
        share[ground] = min(1.0 / k, enclosed)
        share[np.arange(k) != ground] = (1.0 - share[ground]) / (k - 1)
    return share


def _led(roles: Sequence[str], even: Floats, ground: int | None, lead: float) -> Floats:
    """Shares where the dominant leads with the share ``lead``."""
    share = even.copy()
    fall = 1.0
    for ink, role in enumerate(roles):
        if ink == ground:
            continue
        if role == "dominant":
            share[ink] = lead
        elif role == "dark":
            share[ink] = lead / 2
        elif role == "accent":
            share[ink] = even[ink] * fall
            fall *= FALL
    free = np.arange(len(share)) != (-1 if ground is None else ground)
    kept = 0.0 if ground is None else float(share[ground])
    if free.any() and share[free].sum() > 0:
        share[free] *= (1.0 - kept) / share[free].sum()
    return share


def _own(given: Sequence[float | None]) -> Floats:
    known = sum(share for share in given if share is not None)
    left = [share is None for share in given]
    rest = max(0.0, 1.0 - known) / max(sum(left), 1)
    share = np.array([rest if value is None else value for value in given], dtype=float)
    return share / share.sum() if share.sum() > 0 else np.full(len(share), 1 / len(share))
