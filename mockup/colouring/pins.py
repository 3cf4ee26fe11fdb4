"""Which inks each node may take: the ground's ink barred, and what she fixed.

A node on the ground never takes the ground's ink. ``only`` leaves a part the inks that are listed, ``fixed`` gives a
node one ink. Where such a wish leaves a single ink the node is pinned: contact between two pinned nodes is her wish.
Parts of a side palette take its inks only, and no others do.
"""

import difflib
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from mockup.colouring.problem import Mask
from mockup.errors import DesignError, UnknownNameError

_FURTHER: Final = re.compile(r"@\d+,\d+/")


@dataclass(frozen=True, eq=False, slots=True)
class Named:
    """What is known of the rows of a plan: full label ("pear-3@2,1/body"), label in the first tile, part name, side."""

    labels: Sequence[str]
    firsts: Sequence[str]
    parts: Sequence[str]
    sides: Sequence[str] = ()


@dataclass(frozen=True, eq=False, slots=True)
class Rules:
    """``allowed`` (n, k) bools, ``asked`` (n,) bools where a wish had a say, ``pinned`` where it left one ink."""

    allowed: Mask
    pinned: Mask
    asked: Mask


def label_of(first: str, i: int, j: int) -> str:
    """Name a node of a further tile: "pear-3/body" in the second column is "pear-3@2,1/body"."""
    if (i, j) == (0, 0):
        return first
    motif, _, group = first.rpartition("/")
    return f"{motif}@{i + 1},{j + 1}/{group}"


def rules(
    named: Named,
    inks: Sequence[str],
    on_ground: Mask,
    ground: int | None,
    only: Mapping[str, Sequence[int]],
    fixed: Mapping[int, int],
    apart: Sequence[str] = (),
) -> Rules:
    """Work out what each node may take.

    Parameters
    ----------
    named : Named
        The rows' labels and parts.
    inks : sequence of str
        Names of the inks, for messages.
    on_ground : (n,) bools
        Which nodes touch the ground.
    ground : int or None
        The ground's ink.
    only : mapping
        Part name to the positions of the inks it may take.
    fixed : mapping
        Row to ink.
    apart : sequence of str, optional
        Side palette that each ink belongs to, empty for the palette's own.

    Raises
    ------
    UnknownNameError
        ``only`` names a part that the pattern does not have.
    DesignError
        A node is left without any ink, or given one of another side.
    """
    sides, kinds = named.sides or [""] * len(named.labels), apart or [""] * len(inks)
    own_inks = _own_inks(sides, kinds)
    allowed = own_inks.copy()
    asked = np.zeros(len(named.labels), dtype=bool)
    for part, positions in only.items():
        own = _named_rows(part, named, sides)
        wished = np.isin(np.arange(len(inks)), list(positions))
        for ink in np.flatnonzero(wished & ~own_inks[own].any(axis=0)).tolist():
            raise _foreign(part, sides[int(np.flatnonzero(own)[0])], inks[ink], kinds[ink], "only")
        own &= (own_inks & wished).any(axis=1)
        asked |= own
        allowed[own] &= wished
    for row, ink in fixed.items():
        if not own_inks[row, ink]:
            raise _foreign(named.labels[row], sides[row], inks[ink], kinds[ink], "fixed")
        allowed[row] = np.arange(len(inks)) == ink
        asked[row] = True
    if ground is not None and list(kinds).count("") > 1:
        allowed[on_ground, ground] = False
    _refuse_empty(allowed, named.labels, sides, "" if ground is None else inks[ground])
    return Rules(allowed, asked & (allowed.sum(axis=1) == 1), asked)


def _named_rows(part: str, named: Named, sides: Sequence[str]) -> Mask:
    """Rows of a part or of a side palette, (n,)."""
    known = sorted({*named.parts, *sides} - {""})
    if part not in known:
        near = difflib.get_close_matches(part, known, 1, 0.5)
        remedy = f"did you mean {near[0]!r}?" if near else f"its parts are {', '.join(known)}"
        raise UnknownNameError(
            f"no part of the pattern is named {part!r}", where="[colouring] only", remedy=remedy
        )
    return np.asarray((np.array(named.parts) == part) | (np.array(sides) == part), dtype=bool)


def _refuse_empty(allowed: Mask, labels: Sequence[str], sides: Sequence[str], ground: str) -> None:
    """Refuse what leaves a row no ink."""
    empty = np.flatnonzero(~allowed.any(axis=1))
    if not len(empty):
        return
    label = labels[int(empty[0])]
    if sides[int(empty[0])]:
        raise DesignError(f"{label} is left no ink", where="[colouring] only", remedy="allow it one")
    raise DesignError(
        f"{label} lies on the ground and may take no ink but the ground's own, {ground!r}",
        where="[colouring]",
        remedy="give it another ink, or choose another ground",
    )


def _own_inks(sides: Sequence[str], kinds: Sequence[str]) -> Mask:
    """Which inks each row may take at all, (n, k): those of its own side."""
    return np.array([[side == kind for kind in kinds] for side in sides], dtype=bool).reshape(
        len(sides), len(kinds)
    )


def _foreign(what: str, side: str, ink: str, kind: str, key: str) -> DesignError:
    """Say that something was given an ink that stands apart from its own."""
    of = f"an ink of the side palette {kind!r}" if kind else "an ink of the palette"
    own = f"takes inks of the side palette {side!r} only" if side else "is no part of that"
    return DesignError(
        f"{what} may not take {ink!r}, {of}: it {own}",
        where=f"[colouring] {key}",
        remedy=f"name an ink of {'the side palette ' + repr(side) if side else 'the palette'}",
    )


def rows_named(place: str, named: Named) -> list[int]:
    """Rows that a name in ``fixed`` stands for; a name without @ stands for every copy, "@1,1" for the first tile.

    Raises
    ------
    UnknownNameError
        The layout has no such node.
    """
    known_by = named.labels if _FURTHER.search(place) else named.firsts
    wanted = place.replace("@1,1/", "/")
    rows = [row for row, known in enumerate(known_by) if known == wanted]
    if not rows:
        known = sorted({*named.firsts, *named.labels})
        near = difflib.get_close_matches(place, known, 1, 0.5)
        remedy = f"did you mean {near[0]!r}?" if near else "`mockup preview --names` shows the names"
        raise UnknownNameError(f"the layout has no {place!r}", where="[colouring] fixed", remedy=remedy)
    return rows
