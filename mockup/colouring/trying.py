"""Trying exchanges of ink: what the lump field of a plan becomes, for thousands of them at once."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from mockup.colouring.measure import MAX_BLUR, Nodes, lump_field
from mockup.colouring.problem import Floats, Ints, Mask, Problem

_AT_ONCE: Final = 1_000_000
_POWER: Final = 8


@dataclass(frozen=True, eq=False, slots=True)
class Pairs:
    """Exchanges to be tried: units ``first``, ``second`` (-1: nobody), and the ink that the first gets, (m,) each."""

    first: Ints
    second: Ints
    gets: Ints

    def at(self, rows: Ints) -> "Pairs":
        """Give some of them."""
        return Pairs(self.first[rows], self.second[rows], self.gets[rows])


class Place:
    """A plan with its lump field, and the units that may take part: nodes, or nodes that are tied.

    Attributes
    ----------
    unit : (n,) ints
        Unit of each node.
    ink : (u,) ints
        Ink of each unit; -1 where its nodes have several.
    may : (u, k) bools
        What each unit may take.
    meets : (u, k) ints
        How many units of each ink each unit is kept apart from.
    apart : (u, u) bools
        Which units are kept apart.
    field : (k, cells) floats
        The lump field, cells of nothing at minus infinity.
    peaks : (k,) floats
        Its largest value for each ink.
    """

    def __init__(self, nodes: Nodes, problem: Problem, inks: Ints, slack: float) -> None:
        self.nodes, self.problem, self.inks, self.slack = nodes, problem, inks, slack
        tied = np.arange(problem.count) if problem.tied is None else problem.tied
        first, self.unit = np.unique(tied, return_index=True, return_inverse=True)[1:]
        self.unit = self.unit.reshape(-1)
        count, k = len(first), problem.inks
        self.may: Mask = np.ones((count, problem.allowed.shape[1]), dtype=bool)
        np.logical_and.at(self.may, self.unit, problem.allowed)
        self.may = self.may[:, :k]
        self.ink: Ints = inks[first].astype(np.int64)
        mixed = self.unit[inks != self.ink[self.unit]]
        self.ink[mixed] = -1
        self.ink[self.ink >= k] = -1
        self.free: Mask = (self.may.sum(axis=1) > 1) & (self.ink >= 0)
        self.area: Floats = np.asarray(np.bincount(self.unit, nodes.area, count), dtype=np.float64)
        self.apart, self.meets = self._contacts(count, k)
        field, self.grain = lump_field(nodes, inks, problem.target, MAX_BLUR)
        self.shape = field.shape[1:]
        self.hollow = np.isnan(field[0]).ravel()
        self.field: Floats = np.where(self.hollow, -np.inf, field.reshape(len(field), -1))
        self.peaks: Floats = self.field.max(axis=1)
        self.shares: Floats = problem.shares(inks)

    def _contacts(self, count: int, k: int) -> tuple[Mask, Ints]:
        a = self.unit[np.concatenate((self.problem.a, self.problem.doubtful.a))]
        b = self.unit[np.concatenate((self.problem.b, self.problem.doubtful.b))]
        apart = np.zeros((count, count), dtype=bool)
        apart[a, b] = apart[b, a] = True
        np.fill_diagonal(apart, False)
        coloured = np.zeros((count, k), dtype=np.int64)
        known = self.ink >= 0
        coloured[known, self.ink[known]] = 1
        return apart, apart.astype(np.int64) @ coloured

    def spot(self, ink: int) -> Floats:
        """Heaviest place of an ink, (2,) mm."""
        row, column = divmod(int(self.field[ink].argmax()), self.shape[1])
        spare = (np.array(self.shape) * self.grain[::-1] - self.nodes.cell[::-1]) / 2
        return np.array([column * self.grain[0] - spare[1], row * self.grain[1] - spare[0]])

    def nearness(self, spot: Floats) -> tuple[Floats, Floats]:
        """How much of each unit lies round a spot, under about the blur; and how far its nearest node is, (u,) each."""
        cell = np.array(self.nodes.cell)
        way = self.nodes.place - spot
        if self.nodes.wraps:
            way = way - np.round(way / cell) * cell
        far = np.hypot(*way.T)
        spacing = float(np.sqrt(cell.prod() / self.problem.count))
        soft = self.nodes.area * np.exp(-((far / (MAX_BLUR * spacing)) ** 2) / 2)
        nearest = np.full(len(self.area), np.inf)
        np.minimum.at(nearest, self.unit, far)
        return np.asarray(np.bincount(self.unit, soft, len(self.area)), dtype=np.float64), nearest


class Bumps:
    """What each unit adds to the field of its ink; worked out once for each that is asked for."""

    def __init__(self, nodes: Nodes) -> None:
        self.nodes = nodes
        self.row: dict[int, int] = {}
        self.known: list[NDArray[np.float32]] = []

    def of(self, units: Ints, unit: Ints) -> NDArray[np.float32]:
        """Bumps of some units, and a row of nothing, (m + 1, cells); ``unit`` is the unit of each node."""
        new = np.array([one for one in units.tolist() if one not in self.row], dtype=np.int64)
        if len(new):
            rank = np.full(int(unit.max()) + 1, len(new))
            rank[new] = np.arange(len(new))
            found, _ = lump_field(self.nodes, rank[unit], np.zeros(len(new) + 1), MAX_BLUR)
            found = np.nan_to_num(found.reshape(len(new) + 1, -1), nan=0.0).astype(np.float32)
            for one, bump in zip(new.tolist(), found, strict=False):
                self.row[one] = len(self.known)
                self.known.append(bump)
        own = [self.known[self.row[one]] for one in units.tolist()]
        return np.array([*own, np.zeros_like(self.known[0])])


def scored(place: Place, bumps: NDArray[np.float32], row: Ints, cells: Ints, pairs: Pairs) -> Floats:
    """Tell how heavy the places would be after each exchange, (m,), as far as some cells show it."""
    field, own = place.field[:, cells].astype(np.float32), bumps[:, cells]
    scores = np.zeros(len(pairs.first))
    step = max(1, _AT_ONCE // max(len(cells), 1))
    for start in range(0, len(scores), step):
        some = pairs.at(np.arange(start, min(start + step, len(scores))))
        gives, at = place.ink[some.first], np.arange(len(some.first))
        moved = own[row[some.first]] - own[row[some.second]]
        peaks = np.tile(place.peaks, (len(at), 1))
        peaks[at, gives] = (field[gives] - moved).max(axis=1)
        peaks[at, some.gets] = (field[some.gets] + moved).max(axis=1)
        scores[start : start + step] = score_of(peaks)
    return scores


def score_of(peaks: Floats) -> Floats:
    """Weigh the heaviest place of each ink, the heaviest of all most, (...)."""
    return np.asarray((np.clip(peaks, 0, None) ** _POWER).sum(axis=-1) ** (1 / _POWER))
