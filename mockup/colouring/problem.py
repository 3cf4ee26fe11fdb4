"""What a solver is given: nodes with areas and places, pairs to keep apart, the inks each may take, the targets."""

from dataclasses import dataclass
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]


class Pairs(NamedTuple):
    """Pairs of nodes a < b (m,), with the length (mm) of their borders."""

    a: Ints
    b: Ints
    border: Floats


NO_PAIRS: Final = Pairs(np.zeros(0, dtype=np.int64), np.zeros(0, dtype=np.int64), np.zeros(0))


@dataclass(frozen=True, eq=False, slots=True)
class Problem:
    """One spread to be found.

    Attributes
    ----------
    area : (n,) floats
        What of each node is seen, mm2; 0 for a node that no share counts.
    place : (n, 2) floats
        Centre of each node, mm.
    cell : (float, float) or None
        Width and height after which places repeat, mm; None on a single sheet.
    a, b : (m,) ints
        Pairs of nodes to keep apart, a < b.
    border : (m,) floats
        Length of the border of each pair, mm.
    allowed : (n, k) bools
        Which inks a node may take; at least one a row.
    target : (k,) floats
        Share of the area that each ink should get; they add up to 1.
    doubtful : Pairs
        Further pairs, better kept apart too where that costs little.
    tied : (n,) ints or None
        Nodes that carry one number here take one ink; None where each node is free.
    alike : (k, k) floats or None
        How far two inks look alike, 0 to 1: what their facing costs, by length of border. The diagonal is not read.
    leaning : (n, k) floats or None
        What each ink costs on each node besides, in units of the energy; small: wishes of size and role.
    """

    area: Floats
    place: Floats
    cell: tuple[float, float] | None
    a: Ints
    b: Ints
    border: Floats
    allowed: Mask
    target: Floats
    doubtful: Pairs = NO_PAIRS
    tied: Ints | None = None
    alike: Floats | None = None
    leaning: Floats | None = None

    def __post_init__(self) -> None:
        """Check the shapes at the door."""
        n, k = self.allowed.shape
        if self.area.shape != (n,) or self.place.shape != (n, 2) or self.target.shape != (k,):
            raise ValueError(
                f"{n} nodes and {k} inks expected; came areas {self.area.shape}, "
                f"places {self.place.shape}, targets {self.target.shape}"
            )
        if not self.allowed.any(axis=1).all():
            raise ValueError("a node that may take no ink")
        if not (self.a < self.b).all():
            raise ValueError("a pair a < b expected")
        if self.tied is not None and self.tied.shape != (n,):
            raise ValueError(f"{n} ties expected; came {self.tied.shape}")
        if self.alike is not None and self.alike.shape != (k, k):
            raise ValueError(f"likeness of {k} x {k} inks expected; came {self.alike.shape}")
        if self.leaning is not None and self.leaning.shape != (n, k):
            raise ValueError(f"leaning of {n} nodes and {k} inks expected; came {self.leaning.shape}")

    @property
    def count(self) -> int:
        """Number of nodes."""
        return len(self.area)

    @property
    def inks(self) -> int:
        """Number of inks."""
        return len(self.target)

    def contact(self, inks: Ints) -> float:
        """Length of the borders between kept-apart nodes that carry one ink, mm."""
        return float(self.border[inks[self.a] == inks[self.b]].sum())

    def shares(self, inks: Ints) -> Floats:
        """Share of the area that each ink has, (k,)."""
        total = self.area.sum()
        return np.bincount(inks, self.area, self.inks) / (total if total > 0 else 1.0)

    def share_error(self, inks: Ints) -> float:
        """Largest gap between an ink's share and its target."""
        return float(np.abs(self.shares(inks) - self.target).max())

    def neighbours(self) -> list[Ints]:
        """Nodes that each node is kept apart from."""
        return _grouped(self.count, self.a, self.b, self.b, self.a)


def _grouped(count: int, a: Ints, b: Ints, of_a: Ints, of_b: Ints) -> list[Ints]:
    key, value = np.concatenate((a, b)), np.concatenate((of_a, of_b))
    order = np.lexsort((value, key))
    return np.split(value[order], np.searchsorted(key[order], np.arange(1, count)))
