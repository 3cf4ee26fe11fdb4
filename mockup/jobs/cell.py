"""One cell whose colours are wanted: its rows, who faces whom on it, what each row may take, the target shares."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from mockup.colour.difference import differences
from mockup.colouring.facing import Facing
from mockup.colouring.leanings import by_size, likeness
from mockup.colouring.pins import Named, Rules, rows_named, rules
from mockup.colouring.plan import Key
from mockup.colouring.problem import Floats, Ints, Mask, Pairs, Problem
from mockup.colouring.sides import among
from mockup.colouring.targets import Targets, targets
from mockup.colouring.tiedpins import held_by_all, spread_out
from mockup.design.forms import PointedPlace, read_place
from mockup.errors import DesignError, SpreadError, UnknownNameError
from mockup.geometry import shapes
from mockup.geometry.shapes import Shape
from mockup.jobs.inks import place
from mockup.jobs.piece import Piece
from mockup.jobs.rectangles import Rectangle
from mockup.jobs.skin import bases, decided, lean, sides_last
from mockup.jobs.ties import Ties, ties_of


@dataclass(frozen=True, eq=False, slots=True)
class Row:
    """One row of a plan: node of the tile, copy (i, j), and what is seen of it, mm from the cell's top left."""

    node: int
    i: int
    j: int
    label: str
    seen: Shape


@dataclass(frozen=True, eq=False, slots=True)
class Asked:
    """A cell of which the inks are wanted.

    Rows that belong to side palettes stand last. ``facing``, ``targets`` and ``problem`` know the rows before them,
    ``whole`` is who faces whom of all rows, ``rules`` what each of all may take, ``skin`` the base inks of the last,
    ``ties`` which of all take one ink.
    """

    piece: Piece
    rows: tuple[Row, ...]
    keys: dict[Key, int]
    tiles: Rectangle | None
    cell: tuple[float, float]
    facing: Facing
    rules: Rules
    targets: Targets
    problem: Problem
    whole: Facing
    skin: Ints
    ties: Ties


def ask(
    piece: Piece,
    rows: tuple[Row, ...],
    keys: dict[Key, int],
    graph: Facing,
    ground: Mask,
    cell: tuple[float, float],
    tiles: Rectangle | None,
) -> Asked:
    """Set up the problem of a cell."""
    sides = [piece.tile.nodes[row.node].side for row in rows]
    rows, keys, whole, ground = sides_last(sides, rows, keys, graph, ground)
    sides, count = sorted(sides, key=bool), sides.count("")
    if not count:
        raise SpreadError(
            "nothing shows that takes the palette's inks",
            where=place(piece.design, "[sheet]"),
            remedy="choose a larger sheet",
        )
    ties = ties_of(piece, [(row.node, row.i, row.j) for row in rows], [row.seen for row in rows], tiles)
    whole = ties.without_seams(whole)
    given = _rules(piece, rows, ground, cell, tiles is not None, ties)
    skin = bases(piece, sides, [row.seen for row in rows], given.allowed, whole, cell, ties.tied)
    given = decided(piece, sides, given, skin)
    graph, price = among(whole, count), lean(piece, count, whole, skin)
    wanted, problem = _asked(
        piece, rows[:count], graph, given, ground[:count], ties, cell if tiles else None, price
    )
    return Asked(piece, rows, keys, tiles, cell, graph, given, wanted, problem, whole, skin, ties)


def _asked(
    piece: Piece,
    rows: Sequence[Row],
    graph: Facing,
    given: Rules,
    ground: Mask,
    ties: Ties,
    cell: tuple[float, float] | None,
    price: Floats | None,
) -> tuple[Targets, Problem]:
    """Work out the targets and the problem of the rows that take the palette's inks, the first of all."""
    count, roles = len(rows), [ink.role for ink in piece.palette.inks]
    area = shapes.areas([row.seen for row in rows])
    may = given.allowed[:count, : len(roles)]
    tied = None if ties.tied is None else ties.tied[:count]
    faces, firm, doubtful = _apart(graph, given, ties)
    shares = [ink.share for ink in piece.palette.inks]
    balance = piece.design.colouring.balance
    wanted = targets(
        balance, roles, shares, piece.ground, area, may, ground, (graph.a[faces], graph.b[faces]), tied
    )
    problem = Problem(
        area,
        np.array([shapes.centroid(row.seen) for row in rows]),
        cell,
        *_pairs(graph, firm),
        may,
        wanted.reachable,
        _pairs(graph, doubtful),
        tied=tied,
        alike=likeness(differences(piece.colours)),
        leaning=by_size(area, roles) + (0.0 if price is None else price),
    )
    return wanted, problem


def _apart(graph: Facing, given: Rules, ties: Ties) -> tuple[Mask, Mask, Mask]:
    """Pairs that face, that are to be kept apart, and that are better kept apart; what she fixed or tied left out."""
    apart = (graph.a != graph.b) & ~(given.pinned[graph.a] & given.pinned[graph.b]) & ~ties.within(graph)
    faces = graph.faces & apart
    firm = faces | (graph.perhaps & apart)
    return faces, firm, graph.avoided & ~firm & apart


def _pairs(graph: Facing, keep: Mask) -> Pairs:
    return Pairs(graph.a[keep], graph.b[keep], graph.length[keep])


def _rules(
    piece: Piece, rows: Sequence[Row], ground: Mask, cell: tuple[float, float], wraps: bool, ties: Ties
) -> Rules:
    """Read what she fixed, for these rows."""
    tile, wishes, palette = piece.tile, piece.design.colouring, piece.palette
    named = Named(
        [row.label for row in rows],
        [tile.nodes[row.node].label for row in rows],
        [tile.nodes[row.node].part for row in rows],
        [tile.nodes[row.node].side for row in rows],
    )
    try:
        only = {part: [palette.number(ink) for ink in inks] for part, inks in wishes.only.items()}
        dealt: list[tuple[list[int], int]] = []
        for text, ink in wishes.fixed.items():
            spot = read_place(text)
            found = (
                [_under(spot, rows, cell, wraps)]
                if isinstance(spot, PointedPlace)
                else rows_named(text, named)
            )
            dealt.append((found, palette.number(ink)))
        # the narrower wish counts: one tile before every copy
        dealt.sort(key=lambda wish: -len(wish[0]))
        fixed = {row: ink for found, ink in dealt for row in found}
        names = [ink.name for ink in palette.every]
        if ties.tied is None:
            return rules(named, names, ground, piece.ground, only, fixed, palette.sides)
        fixed = spread_out(fixed, ties.tied, named, names, ground, piece.ground)
        given = rules(named, names, ground, piece.ground, only, fixed, palette.sides)
        return held_by_all(given, ties.tied, named)
    except (DesignError, UnknownNameError) as error:
        where = place(piece.design, error.where or "[colouring]")
        raise type(error)(error.what, where=where, remedy=error.remedy) from None


def _under(spot: PointedPlace, rows: Sequence[Row], cell: tuple[float, float], wraps: bool) -> int:
    """Row that lies at a point of the plan."""
    steps = [(i, j) for i in (-1, 0, 1) for j in (-1, 0, 1)] if wraps else [(0, 0)]
    x, y = into((spot.x, spot.y), cell) if wraps else (spot.x, spot.y)
    for number, row in enumerate(rows):
        for i, j in steps:
            if shapes.covers_point(row.seen, x + i * cell[0], y + j * cell[1]):
                return number
    raise UnknownNameError(
        f"no shape lies at {spot.x:g},{spot.y:g} mm",
        where="[colouring] fixed",
        remedy="`mockup preview --names` shows a grid of mm",
    )


def into(point: tuple[float, float], cell: tuple[float, float]) -> tuple[float, float]:
    """Move a point (mm) by whole cells into the cell that begins at (0, 0)."""
    return point[0] % cell[0], point[1] % cell[1]
