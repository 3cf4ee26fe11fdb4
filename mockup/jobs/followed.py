"""A plan that she chose: the ink that each row of the design has in it, or what changed since it was made."""

import difflib
from dataclasses import dataclass
from typing import Final, NoReturn, Protocol

import numpy as np

from mockup.colouring.pins import Rules
from mockup.colouring.problem import Ints, Problem
from mockup.errors import DesignError, UnknownNameError
from mockup.jobs.cell import Asked, Row
from mockup.jobs.copied import read_any_plan
from mockup.jobs.inks import place
from mockup.jobs.matching import Matching, listed, matched
from mockup.jobs.piece import Piece
from mockup.jobs.rectangles import Rectangle, wished
from mockup.sheets.planfile import FoundPlan
from mockup.units import plain

_SIZE: Final = 0.02
_TILES: Final = 576
_REMEDY: Final = "change it back, or take the plan out of the design"


@dataclass(frozen=True, eq=False, slots=True)
class Chosen:
    """A plan to be followed: as it was read, where messages say it is named, and whether her wishes bind it.

    Where they do not, the plan is only measured: it may differ from ``fixed``, ``only``, the ground and the colour
    repeat.
    """

    found: FoundPlan
    where: str
    bound: bool = True

    def refuse(self, what: str, remedy: str = _REMEDY) -> NoReturn:
        """Refuse the plan."""
        name = self.found.name
        told = f"{name}: {what}" if self.where else what
        raise DesignError(told, where=self.where or name, remedy=remedy)


def chosen_by(piece: Piece) -> tuple[Piece, Chosen | None]:
    """Read the plan that the design names, None where it names none; give the piece with what is said of it.

    Raises
    ------
    FileError
        It cannot be read.
    """
    design = piece.design
    if not design.colouring.plan:
        return piece, None
    piece, found = read_any_plan(piece, design.beside(design.colouring.plan), design.colouring.plan)
    return piece, Chosen(found, place(design, "[colouring] plan"))


def rectangle_of(piece: Piece, chosen: Chosen) -> Rectangle | None:
    """Tiles (across, down) over which the plan repeats, None for a single sheet; refuse what does not fit.

    Raises
    ------
    DesignError
        Repeat, tile, cell or colour repeat are others now.
    """
    head, lattice = chosen.found.head, piece.tile.lattice
    single = head.wraps is False or head.colour_repeat == (0, 0)
    if head.wraps is not None and single != piece.single:
        made, now = ("one sheet", "a repeat") if single else ("a repeat", "one sheet")
        chosen.refuse(f"was made for {made}, and the design is {now}")
    if head.repeat and head.repeat != piece.layout.repeat:
        chosen.refuse(f"the repeat was {head.repeat}, and is {piece.layout.repeat} now")
    size = lattice.tile
    if head.tile and not _same(head.tile, size):
        chosen.refuse(f"the tile was {_sides(head.tile)}, and is {_sides(size)} now")
    drop = str(lattice.drop or lattice.step)
    if head.drop and head.drop != drop:
        chosen.refuse(f"the drop was {head.drop}, and is {drop} now")
    if piece.single:
        if head.cell and not _same(head.cell, piece.field_size):
            chosen.refuse(f"the field was {_sides(head.cell)}, and is {_sides(piece.field_size)} now")
        return None
    return _tiles(piece, chosen)


def _tiles(piece: Piece, chosen: Chosen) -> Rectangle:
    """Tiles of the plan of a repeat: from its cell, else as it says, else as the design asks."""
    lattice, head, wish = piece.tile.lattice, chosen.found.head, wished(piece)
    if head.cell:
        across, down = (
            max(1, round(side / step)) for side, step in zip(head.cell, lattice.size(1, 1), strict=True)
        )
        if across * down > _TILES or not _same(head.cell, lattice.size(across, down)):
            chosen.refuse(
                f"its cell of {_sides(head.cell)} is no whole number of tiles of {_sides(lattice.size(1, 1))}"
            )
        found = across, down
    elif head.colour_repeat or wish:
        found = _blocks(head.colour_repeat, lattice.unit) or wish or (1, 1)
    else:
        chosen.refuse("does not say its cell", 'write "mockup": {"cell": [width, height]} (mm) into it')
    if any(count % unit for count, unit in zip(found, lattice.multiples, strict=True)):
        across, down = lattice.in_tiles(found)
        chosen.refuse(f"{across} x {down} tiles do not repeat in a {piece.layout.repeat} repeat")
    if chosen.bound and wish and wish != found:
        (across, down), asked = lattice.in_tiles(found), lattice.in_tiles(wish)
        chosen.refuse(
            f"repeats every {across} x {down} tiles, and colour_repeat asks for {asked[0]} x {asked[1]}",
            f"write colour_repeat = [{across}, {down}], or leave it out",
        )
    return found


def _blocks(tiles: Rectangle | None, unit: tuple[int, int]) -> Rectangle | None:
    """Count a rectangle of tiles in blocks; None for tiles that are no whole number of them."""
    if tiles is None or tiles[0] % unit[0] or tiles[1] % unit[1]:
        return None
    return tiles[0] // unit[0], tiles[1] // unit[1]


def _same(one: tuple[float, float], other: tuple[float, float]) -> bool:
    return all(abs(a - b) <= _SIZE for a, b in zip(one, other, strict=True))


def _sides(size: tuple[float, float]) -> str:
    return f"{plain(size[0], 2)} x {plain(size[1], 2)} mm"


def inks_of(asked: Asked, chosen: Chosen) -> Ints:
    """Ink of each row as the plan has it, (n,).

    Raises
    ------
    DesignError
        Inks are renamed, shapes are gone, new or changed; or the plan is against what the design asks.
    """
    numbers = _ink_numbers(asked.piece, chosen)
    found = matched(asked.rows, chosen.found.nodes, asked.cell if asked.tiles else None)
    if found.changed or found.new or found.gone:
        _refuse_changed(chosen, found)
    inks = np.array([numbers[chosen.found.nodes[own].ink] for own in found.node.tolist()], dtype=np.int64)
    _refuse_strange(asked, chosen, inks)
    if chosen.bound:
        _refuse_against(asked, chosen, inks)
    return inks


def _refuse_strange(asked: Asked, chosen: Chosen, inks: Ints) -> None:
    """Refuse an ink of a side palette on what does not belong to it, and the other way round."""
    palette, nodes = asked.piece.palette, asked.piece.tile.nodes
    for row, ink in zip(asked.rows, inks.tolist(), strict=True):
        side, own = palette.sides[ink], nodes[row.node].side
        if side != own:
            kind = f"an ink of the side palette {side!r}" if side else f"no ink of the side palette {own!r}"
            chosen.refuse(
                f"{row.label} takes {palette.every[ink].name!r}, {kind}", "give it another ink there"
            )


def _refuse_changed(chosen: Chosen, found: Matching) -> NoReturn:
    """Say which shapes are gone, new or changed."""
    said = [listed(found.changed, "; ")] if found.changed else []
    said += [f"it does not have {listed(found.new)}"] if found.new else []
    said += [f"the design does not have {listed(found.gone)}"] if found.gone else []
    lacking = found.new and not found.changed and not found.gone
    remedy = "give every shape an ink, or `mockup plan` the design anew" if lacking else _REMEDY
    chosen.refuse("; ".join(said), remedy)


def _ink_numbers(piece: Piece, chosen: Chosen) -> dict[str, int]:
    """Number of each ink that the plan names; every ink of the palette must be known to its head."""
    own = [ink.name for ink in piece.palette.inks]
    head = list(chosen.found.head.inks)
    numbers: dict[str, int] = {}
    for name in dict.fromkeys([*head, *(node.ink for node in chosen.found.nodes)]):
        try:
            numbers[name] = piece.palette.number(name)
        except UnknownNameError:
            near = difflib.get_close_matches(name, own, 1, 0.6)
            spare = near or [ink for ink in own if ink not in head]
            told = f"rename {spare[0]!r} back, " if head and spare else "name it in the palette, "
            chosen.refuse(
                f"its ink {name!r} is not in the palette", f"{told}or take the plan out of the design"
            )
    known = {numbers[name] for name in head}
    new = [ink for number, ink in enumerate(own) if head and number not in known]
    if new:
        chosen.refuse(f"does not know the ink {new[0]!r}, which is new in the palette")
    return numbers


def _refuse_against(asked: Asked, chosen: Chosen, inks: Ints) -> None:
    """Refuse a plan that is against the design's wishes."""
    told = against(asked, inks)
    if told:
        chosen.refuse(listed(told, "; "), "change the plan or the design, so that they agree")


class Ruled(Protocol):
    """A cell with what the design asks of it, before its inks are known or after."""

    @property
    def piece(self) -> Piece:
        """The piece."""

    @property
    def rows(self) -> tuple[Row, ...]:
        """Its rows."""

    @property
    def rules(self) -> Rules:
        """What each of all rows may take."""

    @property
    def problem(self) -> Problem:
        """What the solver is given."""


def against(asked: Ruled, inks: Ints) -> list[str]:
    """Say where inks, (n,), are against the ground, ``fixed`` and ``only``, and ties between shapes."""
    names, piece = [ink.name for ink in asked.piece.palette.every], asked.piece
    allowed, wishes = asked.rules.allowed, piece.design.colouring
    told = []
    for row in np.flatnonzero(~allowed[np.arange(len(inks)), inks]).tolist():
        label, ink = asked.rows[row].label, names[inks[row]]
        part = piece.tile.nodes[asked.rows[row].node].part
        listed = [piece.palette.number(name) for name in wishes.only.get(part, ())]
        may = np.flatnonzero(allowed[row]).tolist()
        if listed and inks[row] not in listed:
            told.append(f"{label} takes {ink!r}, which [colouring] only does not let a {part} take")
        elif asked.rules.pinned[row] and len(may) == 1:
            told.append(f"{label} takes {ink!r}, and the design fixes it to {names[may[0]]!r}")
        elif inks[row] == piece.ground:
            told.append(f"{label} lies on the ground and would take its ink {ink!r}")
        else:
            told.append(f"{label} takes {ink!r}, and may take {', '.join(names[other] for other in may)}")
    return told + _untied(asked, inks)


def _untied(asked: Ruled, inks: Ints) -> list[str]:
    """Say which shapes must take one ink and do not."""
    if asked.problem.tied is None:
        return []
    first: dict[int, int] = {}
    told = []
    for row, tie in enumerate(asked.problem.tied.tolist()):
        known = first.setdefault(tie, row)
        if inks[known] != inks[row]:
            told.append(
                f"{asked.rows[known].label} and {asked.rows[row].label} must take one ink, and do not"
            )
    return told
