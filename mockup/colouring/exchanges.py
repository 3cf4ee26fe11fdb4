"""The fewest exchanges of ink that lighten the heaviest places of a plan.

The lump field is linear in the areas: each node adds one blurred bump to its ink. So an exchange of two nodes moves
the difference of their bumps from one ink's field to the other's, and all pairs near a place are tried at once.
Nodes that are tied take part together.
"""

from typing import Final, NamedTuple

import numpy as np

from mockup.colouring.measure import MAX_BLUR, Nodes, lump_field
from mockup.colouring.problem import Ints, Problem
from mockup.colouring.trying import Bumps, Pairs, Place, score_of, scored

QUIET: Final = 0.05
"""Places that hold less than this too much of an ink are good enough."""

CLEAR: Final = 0.2
"""Share of the excess that must go before an exchange is worth telling."""

SHARE_SLACK: Final = 0.02
MOST: Final = 3
_NEAR: Final = 24
_PARTNERS: Final = (60, 300)
_CELLS: Final = 2_000_000
_HOT: Final = 96
_LIKELY: Final = 300
_SURE: Final = 32


class Exchange(NamedTuple):
    """``first`` takes the ink ``gets`` for ``gives``; ``second`` the other way round, or nobody does.

    Each is the nodes that take one ink together.
    """

    first: tuple[int, ...]
    second: tuple[int, ...]
    gives: int
    gets: int


class Step(NamedTuple):
    """Exchanges that only together help clearly: ``lump_max`` before and after them."""

    exchanges: tuple[Exchange, ...]
    before: float
    after: float


def exchanged(inks: Ints, exchanges: tuple[Exchange, ...]) -> Ints:
    """Ink of each node after exchanges, (n,)."""
    found = inks.copy()
    for one in exchanges:
        found[list(one.first)] = one.gets
        found[list(one.second)] = one.gives
    return found


def exchanges(nodes: Nodes, problem: Problem, inks: Ints, most: int = MOST) -> tuple[Step, ...]:
    """Find exchanges that help, greedily.

    No exchange touches a node that may take one ink only, gives an ink that is barred, or makes contact that was not
    there; none brings the share error above 0.02 or above what it is.

    Parameters
    ----------
    nodes : Nodes
        Areas and places, as for the measures.
    problem : Problem
        What each node may take, and which pairs are kept apart.
    inks : (n,) ints
        The plan.
    most : int
        Exchanges at most.

    Returns
    -------
    tuple of Step
        Empty where nothing helps clearly, or the heaviest place holds less than 0.05 too much.
    """
    slack = max(SHARE_SLACK, problem.share_error(inks))
    steps: list[Step] = []
    waiting: list[Exchange] = []
    known = Bumps(nodes)
    kept = level = _level(nodes, problem, inks)
    for _ in range(most):
        if level < QUIET:
            break
        found = _best(Place(nodes, problem, inks, slack), known)
        if found is None:
            break
        inks, waiting = exchanged(inks, (found,)), [*waiting, found]
        level = _level(nodes, problem, inks)
        if level <= (1 - CLEAR) * kept:
            steps.append(Step(tuple(waiting), kept, level))
            kept, waiting = level, []
    return tuple(steps)


def _level(nodes: Nodes, problem: Problem, inks: Ints) -> float:
    """Largest excess anywhere."""
    return float(np.nanmax(lump_field(nodes, inks, problem.target, MAX_BLUR)[0]))


def _best(place: Place, known: Bumps) -> Exchange | None:
    """Find the exchange that lightens the two heaviest places most; None where none does."""
    heavy = [ink for ink in np.argsort(-place.peaks)[:2].tolist() if place.peaks[ink] > 0]
    firsts, partners = _candidates(place, heavy)
    if not len(firsts):
        return None
    units = np.union1d(firsts, partners)
    bumps = known.of(units, place.unit)
    row = np.full(len(place.area) + 1, len(units))  # the last for nobody, who adds nothing
    row[units] = np.arange(len(units))
    pairs = _allowed(place, firsts, partners)
    for cells, keep in ((_hot(place), _LIKELY), (_sparse(place), _SURE)):
        score = scored(place, bumps, row, cells, pairs)
        pairs = pairs.at(np.argsort(score, kind="stable")[:keep])
    if not len(pairs.first):
        return None
    score = scored(place, bumps, row, np.flatnonzero(~place.hollow), pairs)
    at = int(score.argmin())
    if score[at] >= score_of(place.peaks):
        return None
    return _exchange(place, int(pairs.first[at]), int(pairs.second[at]), int(pairs.gets[at]))


def _hot(place: Place) -> Ints:
    """Cells that are heavy of some ink: what they would hold is the least that a heaviest place holds."""
    cells = _sparse(place)
    most = place.field[:, cells].max(axis=0)
    return cells[np.argsort(-most, kind="stable")[:_HOT]]


def _sparse(place: Place) -> Ints:
    """Every other cell both ways: the field is so smooth that little is missed."""
    some = np.zeros(place.shape, dtype=bool)
    some[::2, ::2] = True
    return np.flatnonzero(some.ravel() & ~place.hollow)


def _exchange(place: Place, first: int, second: int, gets: int) -> Exchange:
    def members(unit: int) -> tuple[int, ...]:
        return tuple(np.flatnonzero(place.unit == unit).tolist())

    return Exchange(members(first), members(second) if second >= 0 else (), int(place.ink[first]), gets)


def _candidates(place: Place, heavy: list[int]) -> tuple[Ints, Ints]:
    """Give the units of the heavy inks that weigh most at their heaviest places, and the units near those places."""
    firsts: list[Ints] = []
    partners: list[Ints] = []
    fewest, most = _PARTNERS
    count = min(max(fewest, _CELLS // place.field.shape[1]), most)
    for ink in heavy:
        weight, far = place.nearness(place.spot(ink))
        own = np.flatnonzero(place.free & (place.ink == ink))
        firsts.append(own[np.argsort(-weight[own], kind="stable")[:_NEAR]])
        every = np.flatnonzero(place.free)
        partners.append(every[np.argsort(far[every], kind="stable")[:count]])
    none = np.zeros(0, dtype=np.int64)
    return np.unique(np.concatenate((*firsts, none))), np.unique(np.concatenate((*partners, none)))


def _allowed(place: Place, firsts: Ints, partners: Ints) -> Pairs:
    """Give the exchanges of the units of the heavy inks that the rules allow."""
    total = max(float(place.area.sum()), 1e-12)
    target, k = place.problem.target, place.problem.inks
    other = np.concatenate((partners, np.full(k, -1, dtype=np.int64)))
    first, second = np.repeat(firsts, len(other)), np.tile(other, len(firsts))
    gets = np.tile(np.concatenate((place.ink[partners], np.arange(k))), len(firsts))
    gives, both = place.ink[first], second >= 0
    touching = both & place.apart[first, second]
    good = place.may[first, gets] & (gets != gives) & (place.meets[first, gets] == touching)
    good &= ~both | (place.may[second, gives] & (place.meets[second, gives] == touching))
    moved = (place.area[first] - np.where(both, place.area[second], 0.0)) / total
    off = np.maximum(
        np.abs(place.shares[gives] - moved - target[gives]),
        np.abs(place.shares[gets] + moved - target[gets]),
    )
    good &= off <= place.slack + 1e-12
    return Pairs(first, second, gets).at(np.flatnonzero(good))
