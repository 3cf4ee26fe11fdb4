"""What inks lean to: the lead ink to large shapes, the dark one to small; colours too alike away from each other.

All of it is weak: it decides between plans that are as even (common practice, no source).
"""

from collections.abc import Sequence
from typing import Final

import numpy as np

from mockup.colouring.problem import Floats

UNLIKE: Final = 25.0
"""CIEDE2000 from which two colours beside each other are not alike at all."""

_SIZE: Final = 0.06
"""What a shape of twice the mean size costs in an ink that does not suit it, in units of the energy."""

_SUITS: Final = {"dominant": -1.0, "dark": 1.0}


def likeness(differences: Floats) -> Floats:
    """How far colours look alike, 0 to 1: 1 where they are the same, falling evenly to 0 at ``UNLIKE``.

    Parameters
    ----------
    differences : (k, m) floats
        CIEDE2000 between the colours.
    """
    return np.asarray(np.clip(1.0 - differences / UNLIKE, 0.0, 1.0))


def by_size(area: Floats, roles: Sequence[str]) -> Floats:
    """What each ink costs on each node for its size, (n, k): the dominant is cheap on large nodes, the dark on small.

    Parameters
    ----------
    area : (n,) floats
        Area of each node.
    roles : sequence of str
        Role of each ink.
    """
    mean = float(area.mean()) if len(area) else 0.0
    larger = np.clip(area / mean - 1.0, -1.0, 2.0) if mean > 0 else np.zeros(len(area))
    return np.asarray(_SIZE * larger[:, None] * np.array([_SUITS.get(role, 0.0) for role in roles]))
