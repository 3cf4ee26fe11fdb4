"""The rows of a cell that belong to side palettes: put last, dealt their base inks, kept out of the spread."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TypeVar

import numpy as np

from mockup.colour.difference import differences
from mockup.colour.ink import Ink
from mockup.colour.palette import SidePalette
from mockup.colouring.facing import Facing
from mockup.colouring.leanings import likeness
from mockup.colouring.pins import Rules
from mockup.colouring.plan import Key
from mockup.colouring.problem import Floats, Ints, Mask
from mockup.colouring.sides import Figures, base_inks, leaning, renumbered
from mockup.errors import DesignError
from mockup.geometry import shapes
from mockup.geometry.shapes import Shape
from mockup.jobs.inks import place
from mockup.jobs.piece import Piece

_Row = TypeVar("_Row")


def sides_last(
    sides: Sequence[str], rows: Sequence[_Row], keys: Mapping[Key, int], graph: Facing, ground: Mask
) -> tuple[tuple[_Row, ...], dict[Key, int], Facing, Mask]:
    """Put the rows of side palettes after all others, each in their order.

    Parameters
    ----------
    sides : sequence of str
        Side of each row, empty for the palette's own.
    rows, keys, graph, ground
        Rows, their places by key, who faces whom, and who touches the ground.
    """
    if not any(sides):
        return tuple(rows), dict(keys), graph, ground
    order = np.argsort([bool(side) for side in sides], kind="stable")
    number = np.empty(len(order), dtype=np.int64)
    number[order] = np.arange(len(order))
    moved = {key: int(number[row]) for key, row in keys.items()}
    return tuple(rows[row] for row in order), moved, renumbered(graph, number), ground[order]


def bases(
    piece: Piece,
    sides: Sequence[str],
    seen: Sequence[Shape],
    allowed: Mask,
    graph: Facing,
    cell: tuple[float, float],
    tied: Ints | None = None,
) -> Ints:
    """Choose the base ink of each row of a side palette, (s,) numbers of ``Palette.every``.

    Parameters
    ----------
    piece : Piece
        What is inked.
    sides : sequence of str
        Side of each row, the rows of side palettes last.
    seen : sequence of Shape
        What is seen of each row.
    allowed : (n, inks) bools
        What each row may take.
    graph : Facing
        Who faces whom.
    cell : (float, float)
        Width and height, mm, of what the rows lie on.
    tied : (n,) ints, optional
        Rows of one number take one ink.

    Raises
    ------
    DesignError
        One ink is to serve the whole piece, and the wishes leave none.
    """
    count = sum(not side for side in sides)
    found = np.zeros(len(sides) - count, dtype=np.int64)
    kinds = np.array(piece.palette.sides)
    for side in piece.palette.side:
        own = np.flatnonzero(np.array(sides) == side.name)
        inks = np.flatnonzero(kinds == side.name)
        may = _bases_first(allowed[own][:, inks], [piece.palette.every[ink] for ink in inks])
        if not len(own):
            continue
        if side.one:
            found[own - count] = inks[_one(piece, side, may)]
            continue
        _, first, group = np.unique(
            own if tied is None else tied[own], return_index=True, return_inverse=True
        )
        places = np.array([shapes.centroid(seen[row]) for row in own[first].tolist()])
        figures = Figures(places, cell, not piece.single, may[first], _pairs(graph, own, group))
        found[own - count] = inks[base_inks(figures, piece.design.colouring.variant)[group]]
    return found


def _bases_first(may: Mask, inks: Sequence[Ink]) -> Mask:
    """Leave inks that are there to shade out, but where nothing else is allowed."""
    bases = may & np.array([not ink.shades for ink in inks])
    return np.asarray(np.where(bases.any(axis=1)[:, None], bases, may))


def _one(piece: Piece, side: SidePalette, may: Mask) -> int:
    """Give the first ink of a set that all of its parts may take."""
    common = np.flatnonzero(may.all(axis=0))
    if len(common):
        return int(common[0])
    raise DesignError(
        f'only and fixed leave no one ink for all of {side.name}, as per = "piece" asks',
        where=place(piece.design, "[colouring]"),
        remedy='write per = "figure", or name one ink for all',
    )


def decided(piece: Piece, sides: Sequence[str], given: Rules, inks: Ints) -> Rules:
    """Pin the rows of a set that serves the whole piece, or holds one ink: that skin is like skin is her wish there.

    Parameters
    ----------
    piece : Piece
        What is inked.
    sides : sequence of str
        Side of each row, the rows of side palettes last.
    given : Rules
        What each row may take.
    inks : (s,) ints
        Base inks of the last rows.
    """
    one = {side.name for side in piece.palette.side if side.one or len(side.inks) == 1}
    rows = np.flatnonzero([side in one for side in sides])
    if not len(rows):
        return given
    allowed, pinned = given.allowed.copy(), given.pinned.copy()
    pinned[rows] = True
    allowed[rows] = inks[rows - (len(sides) - len(inks))][:, None] == np.arange(allowed.shape[1])
    return replace(given, allowed=allowed, pinned=pinned)


def _pairs(graph: Facing, own: Ints, group: Ints) -> tuple[Ints, Ints]:
    """Pairs of groups of which some rows face each other; a group may be paired with itself."""
    meets = graph.faces & np.isin(graph.a, own) & np.isin(graph.b, own)
    return group[np.searchsorted(own, graph.a[meets])], group[np.searchsorted(own, graph.b[meets])]


def lean(piece: Piece, count: int, graph: Facing, inks: Ints) -> Floats | None:
    """Price of each ink of the palette on each row for looking like the skin beside it, (count, k); None: no skin."""
    if not len(inks):
        return None
    k = len(piece.palette.inks)
    every = [piece.shown(ink) for ink in piece.palette.every]
    return leaning(graph, count, inks - k, likeness(differences(every)[k:, :k]))
