"""What she fixed holds for all that is tied: one of tied nodes fixed fixes them all, and all may take what each may."""

import itertools
from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np

from mockup.colouring.pins import Named, Rules
from mockup.colouring.problem import Ints, Mask
from mockup.colouring.ties import common, firsts_of, groups_of
from mockup.errors import DesignError

REASON: Final = "are tied and take one ink"


def spread_out(
    fixed: Mapping[int, int],
    tied: Ints,
    named: Named,
    inks: Sequence[str],
    on_ground: Mask,
    ground: int | None,
) -> dict[int, int]:
    """Fix every node that is tied to a fixed one.

    Parameters
    ----------
    fixed : mapping
        Row to ink.
    tied : (n,) ints
        Nodes of one number take one ink.
    named : Named
        The rows' labels.
    inks : sequence of str
        Names of the inks, for messages.
    on_ground : (n,) bools
        Which nodes touch the ground.
    ground : int or None
        The ground's ink.

    Raises
    ------
    DesignError
        Tied nodes are fixed to different inks, or one of them lies on the ground whose ink another is fixed to.
    """
    by_tie: dict[int, int] = {}
    for row in sorted(fixed):
        other = by_tie.setdefault(int(tied[row]), row)
        if fixed[other] != fixed[row]:
            raise DesignError(
                f"{named.labels[other]} is fixed to {inks[fixed[other]]!r} and {named.labels[row]} to "
                f"{inks[fixed[row]]!r}, but the two {REASON}",
                where="[colouring] fixed",
                remedy="fix both to one ink, or one of them only",
            )
    found = dict(fixed)
    for row, tie in enumerate(tied.tolist()):
        if tie not in by_tie:
            continue
        first = by_tie[tie]
        found[row] = fixed[first]
        if fixed[first] == ground and on_ground[row] and not on_ground[first]:
            raise DesignError(
                f"{named.labels[first]} is fixed to the ground's ink {inks[fixed[first]]!r}, and {named.labels[row]}, "
                f"which lies on the ground, may not take that, but the two {REASON}",
                where="[colouring] fixed",
                remedy="give it another ink, or choose another ground",
            )
    return found


def held_by_all(given: Rules, tied: Ints, named: Named) -> Rules:
    """Leave tied nodes the inks that each of them may take.

    Raises
    ------
    DesignError
        There are none.
    """
    group = groups_of(tied)
    allowed = common(group, given.allowed)
    empty = np.flatnonzero(~allowed.any(axis=1))
    if len(empty):
        *names, last = [
            named.labels[row] for row in _at_odds(given.allowed, np.flatnonzero(group == empty[0]))
        ]
        raise DesignError(
            f"{', '.join(names)} and {last} {REASON}, and no ink is left to {'both' if len(names) == 1 else 'all'}",
            where="[colouring] only",
            remedy="let them take one and the same ink",
        )
    asked = np.zeros(len(allowed), dtype=bool)
    np.logical_or.at(asked, group, given.asked)
    pinned = asked & (allowed.sum(axis=1) == 1)
    return Rules(allowed[group], pinned[group], asked[group])


def as_first(values: Ints, tied: Ints) -> Ints:
    """Give all tied nodes what the first of them has, (n,)."""
    group = groups_of(tied)
    return np.asarray(values[firsts_of(group)[group]], dtype=np.int64)


def _at_odds(allowed: Mask, own: Ints) -> list[int]:
    """Give the first two of the nodes that may take no ink in common, or else the first that leave none together."""
    rows: list[int] = own.tolist()
    for row, other in itertools.combinations(rows, 2):
        if not (allowed[row] & allowed[other]).any():
            return [row, other]
    left = np.logical_and.accumulate(allowed[own], axis=0).any(axis=1)
    return rows[: int(left.argmin()) + 1]
