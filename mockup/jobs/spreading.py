"""From a piece to its plan: who faces whom, what each node may take, the targets, the colour repeat, the inks."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from mockup.colouring.facing import Facing, default_reach, facing, lifted
from mockup.colouring.pins import Named, Rules, label_of, rows_named, rules
from mockup.colouring.plan import Key, Plan, rectangle_rows
from mockup.colouring.problem import Ints, Mask, Problem
from mockup.colouring.spread import Spread, spread
from mockup.colouring.targets import Targets, targets
from mockup.design.forms import PointedPlace, read_place
from mockup.errors import DesignError, SpreadError, UnknownNameError
from mockup.geometry import shapes
from mockup.geometry.affine import translation
from mockup.geometry.ground import on_ground
from mockup.geometry.shapes import Shape
from mockup.geometry.territories import Borders, territories
from mockup.jobs.piece import Piece, place
from mockup.pattern.field import cut

MOST_TILES = 16
MOST_NODES = 2000
SHARE_SLACK = 0.02


@dataclass(frozen=True, eq=False, slots=True)
class Row:
    """One row of a plan: node of the tile, copy (i, j), and what is seen of it, mm from the cell's top left."""

    node: int
    i: int
    j: int
    label: str
    seen: Shape


@dataclass(frozen=True, eq=False, slots=True)
class Spreading:
    """A piece with its plan.

    Attributes
    ----------
    piece : Piece
        What was asked for.
    plan : Plan
        Which ink each row takes.
    rows : tuple of Row
        The rows of the plan.
    problem : Problem
        What the solver was given.
    facing : Facing
        Who faces whom on the plan's cell.
    rules : Rules
        What each row may take.
    targets : Targets
        Wanted and reachable shares.
    cell : (float, float)
        Size of the plan's cell, mm.
    """

    piece: Piece
    plan: Plan
    rows: tuple[Row, ...]
    problem: Problem
    facing: Facing
    rules: Rules
    targets: Targets
    cell: tuple[float, float]

    @property
    def wished(self) -> Mask:
        """Facing pairs that she gave one ink herself, (m,)."""
        return wished_pairs(self.facing, self.rules, self.plan.inks)


def spread_piece(piece: Piece) -> Spreading:
    """Spread the inks over a piece.

    Raises
    ------
    MockupError
        A wish that cannot be followed.
    """
    if piece.single:
        return _single(piece)
    ground = on_ground([node.seen for node in piece.tile.nodes], piece.tile.lattice)
    window = (0.0, 0.0, piece.tile.lattice.width, piece.tile.lattice.height)
    borders = territories([node.seen for node in piece.tile.nodes], window, piece.tile.lattice)
    best: tuple[tuple[float, float, float], Spreading] | None = None
    for candidates in _rectangles(piece):
        for across, down in candidates:
            spreading, found = _rectangle(piece, borders, ground, across, down)
            off = spreading.problem.share_error(spreading.plan.inks)
            # nodes that face their own copy weigh on a rectangle like any other contact, a tile's worth
            contact = _contact(spreading) / (across * down)
            key = (round(contact, 6), round(max(off - SHARE_SLACK, 0.0), 6), found.energy / spreading.problem.count)
            if best is None or key < best[0]:
                best = (key, spreading)
        if best and best[0][:2] == (0.0, 0.0):
            break
    assert best is not None
    return best[1]


def wished_pairs(graph: Facing, given: Rules, inks: Ints) -> Mask:
    """Pairs of one ink of which both nodes are pinned, (m,): contact that she wished."""
    alike = inks[graph.a] == inks[graph.b]
    return np.asarray(alike & given.pinned[graph.a] & given.pinned[graph.b] & (graph.a != graph.b))


def _rectangles(piece: Piece) -> list[list[tuple[int, int]]]:
    """Colour repeats to try, as groups of as many tiles; she may have set one."""
    wish = piece.design.colouring.colour_repeat
    multiple = piece.tile.lattice.multiples
    if isinstance(wish, tuple):
        if any(count % unit for count, unit in zip(wish, multiple, strict=True)):
            near = [max(unit, round(count / unit) * unit) for count, unit in zip(wish, multiple, strict=True)]
            raise DesignError(
                f"a colour repeat of {wish[0]} x {wish[1]} tiles does not fit the {piece.layout.repeat} repeat, "
                f"which needs multiples of {multiple[0]} x {multiple[1]}",
                where=place(piece.design, "[colouring] colour_repeat"),
                remedy=f"write [{near[0]}, {near[1]}]",
            )
        return [[wish]]
    nodes = len(piece.tile.nodes)
    most = max(multiple[0] * multiple[1], min(MOST_TILES, MOST_NODES // nodes))
    groups: dict[int, list[tuple[int, int]]] = {}
    for across in range(multiple[0], most + 1, multiple[0]):
        for down in range(multiple[1], most // across + 1, multiple[1]):
            groups.setdefault(across * down, []).append((across, down))
    return [groups[tiles] for tiles in sorted(groups)]


def _rectangle(
    piece: Piece, borders: Borders, ground: Mask, across: int, down: int
) -> tuple[Spreading, Spread]:
    """Spread the inks over a rectangle of tiles."""
    tile, lattice = piece.tile, piece.tile.lattice
    tiles = across * down
    reach = piece.design.colouring.reach or default_reach(lattice.width * lattice.height, _spaced(piece))
    graph = lifted(borders, lattice, across, down, reach)
    keys = rectangle_rows(len(tile.nodes), across, down)
    rows = []
    for node, i, j in keys:
        x, y = _into(lattice.shift(i, j), lattice.size(across, down))
        first = tile.nodes[node]
        label = label_of(first.label, i, j)
        rows.append(Row(node, i, j, label, shapes.moved(first.seen, translation(x, y))))
    return _solve(piece, tuple(rows), keys, graph, np.tile(ground, tiles), lattice.size(across, down), (across, down))


def _single(piece: Piece) -> Spreading:
    """Spread the inks over one sheet, every region free."""
    width, height = piece.field_size
    repeats = piece.layout.repeat != "none"
    nodes = cut(piece.tile, width, height, repeats)
    first = (min(node.i for node in nodes), min(node.j for node in nodes)) if nodes else (0, 0)
    rows = tuple(
        Row(n.node, n.i, n.j, label_of(piece.tile.nodes[n.node].label, n.i - first[0], n.j - first[1]), n.seen)
        for n in nodes
    )
    if not rows:
        raise SpreadError(
            "nothing of the pattern shows in the field",
            where=place(piece.design, "[sheet]"),
            remedy="choose a larger sheet or a smaller tile",
        )
    seen = [row.seen for row in rows]
    field = (0.0, 0.0, width, height)
    motifs = len({(piece.tile.nodes[row.node].place, row.i, row.j) for row in rows}) if repeats else len(rows)
    reach = piece.design.colouring.reach or default_reach(width * height, motifs)
    graph = facing(territories(seen, field, None), reach)
    keys = {(row.node, row.i, row.j): number for number, row in enumerate(rows)}
    return _solve(piece, rows, keys, graph, on_ground(seen, None, field), (width, height), None)[0]


def _solve(
    piece: Piece,
    rows: Sequence[Row],
    keys: dict[Key, int],
    graph: Facing,
    ground: Mask,
    cell: tuple[float, float],
    tiles: tuple[int, int] | None,
) -> tuple[Spreading, Spread]:
    """Set up the problem of a cell and solve it."""
    given = _rules(piece, rows, ground, cell, tiles is not None)
    area = shapes.areas([row.seen for row in rows])
    inks = piece.palette.inks
    a, b, length = graph.edges()
    apart = ~(given.pinned[a] & given.pinned[b])
    a, b, length = a[apart], b[apart], length[apart]
    wanted = targets(
        piece.design.colouring.balance,
        [ink.role for ink in inks],
        [ink.share for ink in inks],
        piece.ground,
        area,
        given.allowed,
        ground,
        (a, b),
    )
    centres = np.array([shapes.centroid(row.seen) for row in rows])
    problem = Problem(
        area,
        centres,
        cell if tiles else None,
        a,
        b,
        length,
        given.allowed,
        wanted.reachable,
    )
    found = spread(problem, piece.design.colouring.variant)
    plan = Plan(found.inks, keys, piece.tile.lattice, tiles)
    return Spreading(piece, plan, tuple(rows), problem, graph, given, wanted, cell), found


def _rules(piece: Piece, rows: Sequence[Row], ground: Mask, cell: tuple[float, float], wraps: bool) -> Rules:
    """Read what she fixed, for these rows."""
    tile, wishes, palette = piece.tile, piece.design.colouring, piece.palette
    named = Named(
        [row.label for row in rows],
        [tile.nodes[row.node].label for row in rows],
        [tile.nodes[row.node].part for row in rows],
    )
    try:
        only = {part: [palette.position(ink) for ink in inks] for part, inks in wishes.only.items()}
        fixed: dict[int, int] = {}
        for text, ink in wishes.fixed.items():
            spot = read_place(text)
            if isinstance(spot, PointedPlace):
                found = [_under(spot, rows, cell, wraps)]
            else:
                found = rows_named(text, named)
            fixed |= dict.fromkeys(found, palette.position(ink))
        return rules(named, [ink.name for ink in palette.inks], ground, piece.ground, only, fixed)
    except (DesignError, UnknownNameError) as error:
        where = place(piece.design, error.where or "[colouring]")
        raise type(error)(error.what, where=where, remedy=error.remedy) from None


def _under(spot: PointedPlace, rows: Sequence[Row], cell: tuple[float, float], wraps: bool) -> int:
    """Row that lies at a point of the plan."""
    steps = [(i, j) for i in (-1, 0, 1) for j in (-1, 0, 1)] if wraps else [(0, 0)]
    for number, row in enumerate(rows):
        for i, j in steps:
            if shapes.covers_point(row.seen, spot.x + i * cell[0], spot.y + j * cell[1]):
                return number
    raise UnknownNameError(
        f"no shape lies at {spot.x:g},{spot.y:g} mm",
        where="[colouring] fixed",
        remedy="`mockup preview --names` shows a grid of mm",
    )


def _contact(spreading: Spreading) -> float:
    """Length of facing borders of one ink that she did not wish, own copies included, mm."""
    graph, inks = spreading.facing, spreading.plan.inks
    alike = graph.faces & (inks[graph.a] == inks[graph.b]) & ~spreading.wished
    return float(graph.length[alike].sum())


def _spaced(piece: Piece) -> int:
    """How many things are spaced out in one tile: placed motifs, or the regions of a drawing."""
    return len(piece.tile.nodes) if piece.design.drawing else len(piece.tile.places)


def _into(point: tuple[float, float], cell: tuple[float, float]) -> tuple[float, float]:
    return point[0] % cell[0], point[1] % cell[1]


def replan(spreading: Spreading, piece: Piece) -> Spreading:
    """Take the same plan to a piece that differs in its inks only."""
    return replace(spreading, piece=piece)
