"""One colourway: the plan of a piece in other inks, as it is drawn, written and read."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

import numpy as np

from mockup.colour.conversion import read_colour
from mockup.colour.ink import Ink
from mockup.colour.inkbox import BARE
from mockup.colour.naming import distinct_names
from mockup.colouring.pins import Rules
from mockup.colouring.targets import Targets
from mockup.design.colourwaying import in_other_inks
from mockup.design.mistakes import read_text
from mockup.design.reading import parse_design
from mockup.design.records import ColourwaySpec, Design, InkSpec
from mockup.errors import DesignError, MockupError, UnknownNameError
from mockup.jobs.candidates import owned_pen, without_role
from mockup.jobs.inks import palette_of, place, sheet_of
from mockup.jobs.piece import Piece, ground_of, read_piece, recoloured
from mockup.jobs.planned import Spreading
from mockup.jobs.progress import Tell, quiet
from mockup.jobs.slots import Pen, Slots, bare, slots_of
from mockup.jobs.spreading import replan, spread_piece

FIRST: Final = "A"
"""Code of the design as she wrote it."""

LONGEST: Final = 60
"""Signs that a colourway's name may have."""

_TITLE: Final = 200

_NAMED: Final = re.compile(r"(?P<name>.*\S)\s+(?P<colour>#[0-9a-fA-F]{6})")


@dataclass(frozen=True, eq=False, slots=True)
class Colourway:
    """A colourway.

    Attributes
    ----------
    code, name : str
        Its letter, and a short name from its inks.
    pens : tuple of Pen
        For each position.
    reason : str
        What was done, in one line.
    kind : str
        "yours", "balanced", "unbalanced" or "respread".
    flaws : tuple of str
        What of the palette checks it does not pass, a line each.
    contrast : float
        The smallest CIEDE2000 difference between two positions that meet.
    spreading : Spreading
        The piece in its inks.
    text : str
        Its design, as a file beside hers would have it.
    """

    code: str
    name: str
    pens: tuple[Pen, ...]
    reason: str
    kind: str
    flaws: tuple[str, ...]
    contrast: float
    spreading: Spreading
    text: str


def inked(spreading: Spreading, slots: Slots, pens: Sequence[Pen], text: str) -> tuple[Spreading, str]:
    """Give a piece the same plan in other pens; and its design as text, to lie beside hers.

    Raises
    ------
    MockupError
        The design is written in a way that cannot be changed.
    """
    first = spreading.piece.design
    where = first.file.name if first.file else ""
    positions = len(first.palette.inks)
    own = [without_role(pen, "dominant" if number == slots.lead else None) for number, pen in enumerate(pens)]
    more = slots.apart and not own[-1].ink.paper
    if more:
        shares = [round(float(share), 4) or 0.001 for share in spreading.targets.reachable]
        given = [*shares, 0.001]
        own = [
            replace(pen, spec=replace(pen.spec, share=share)) for pen, share in zip(own, given, strict=True)
        ]
    taken = own if more or not slots.apart else own[:-1]
    ground = own[slots.ground]
    after = in_other_inks(
        text,
        [pen.spec for pen in taken],
        positions,
        BARE if ground.ink.paper else ground.name,
        own=more,
        where=where,
    )
    design = parse_design(after, where=where, file=first.file)
    palette = palette_of(design, sheet_of(design))
    piece = recoloured(
        replace(spreading.piece, design=design),
        palette,
        ground_of(design.colouring.ground, palette, place(design, "[colouring] ground")),
    )
    return (_with_more(spreading, piece) if more else replan(spreading, piece)), after


def _with_more(spreading: Spreading, piece: Piece) -> Spreading:
    """Take a plan to a piece that has one ink more, which no shape takes."""
    count = len(spreading.piece.palette.inks)
    old, problem = spreading.targets, spreading.problem
    inks = np.where(spreading.plan.inks >= count, spreading.plan.inks + 1, spreading.plan.inks)
    none = np.zeros((len(spreading.rules.allowed), 1), dtype=bool)
    allowed = np.hstack((spreading.rules.allowed[:, :count], none, spreading.rules.allowed[:, count:]))
    return replace(
        spreading,
        piece=piece,
        plan=replace(spreading.plan, inks=inks),
        targets=Targets(np.append(old.wanted, 0.0), np.append(old.reachable, 0.0)),
        problem=replace(
            problem,
            allowed=np.hstack((problem.allowed, none[: problem.count])),
            target=np.append(problem.target, 0.0),
            alike=None,
            leaning=None,
        ),
        rules=Rules(allowed, spreading.rules.pinned, spreading.rules.asked),
    )


def sold(spreading: Spreading, code: str, text: str) -> tuple[Spreading, str]:
    """Give a piece in the inks of one of its ``[[colourway]]``; hers for ``A`` where none has that code.

    Raises
    ------
    MockupError
        No colourway has that code, or what it says does not fit.
    """
    design = spreading.piece.design
    ways = {way.code.casefold(): way for way in design.colourways}
    if code.casefold() not in ways:
        if code.casefold() == FIRST.casefold():
            return spreading, text
        there = ", ".join([FIRST, *(way.code for way in design.colourways)])
        told = (
            f"there are {there}" if ways else "`mockup colourways` finds some, and --keep writes them into it"
        )
        raise UnknownNameError(f"no colourway {code!r}", where=place(design, "[[colourway]]"), remedy=told)
    way = ways[code.casefold()]
    slots = slots_of(spreading)
    found, text = inked(spreading, slots, pens_of(way, spreading, slots), text)
    named = replace(found.piece.design, title=titled(design, way.code, way.name))
    return replace(found, piece=replace(found.piece, design=named)), text


def spread_file(
    path: Path,
    way: str | None = None,
    refuse: Callable[[Piece], None] | None = None,
    tell: Tell = quiet,
) -> Spreading:
    """Read a design file and spread its inks.

    Parameters
    ----------
    path : Path
    way : str, optional
        Code of one of its colourways.
    refuse : callable, optional
        Raises where the piece does not serve.
    tell : callable
        Hears how far the job is.

    Raises
    ------
    MockupError
        Whatever of the design cannot be followed.
    """
    tell("reading the design", 0.0)
    text = read_text(path)
    piece = read_piece(parse_design(text, where=path.name, file=path))
    if refuse:
        refuse(piece)
    tell("spreading the inks", 0.15)
    spreading = spread_piece(piece)
    return spreading if way is None else sold(spreading, way, text)[0]


def titled(design: Design, code: str, name: str) -> str:
    """Give a colourway's title."""
    title = design.title or (design.file.stem if design.file else "mockup")
    tail = f", colourway {code}: {name}"
    return title[: _TITLE - len(tail)] + tail


def pens_of(way: ColourwaySpec, spreading: Spreading, slots: Slots) -> tuple[Pen, ...]:
    """Find the pens of a colourway that the design names.

    Raises
    ------
    MockupError
        A position or an ink that is none, an ink twice, or a ground that shapes of its ink would lie on.
    """
    piece = spreading.piece
    where = place(piece.design, f"[[colourway]] {way.code}")
    pens = list(slots.pens)
    for name, text in way.inks.items():
        try:
            position = piece.palette.position(name)
        except UnknownNameError as error:
            raise UnknownNameError(error.what, where=where, remedy=error.remedy) from None
        pens[position] = _pen(text, piece, slots, where)
    if way.ground is not None:
        _put_ground(way.ground, pens, piece, slots, where)
    names = [pen.name.casefold() for pen in pens]
    for pen in pens:
        if names.count(pen.name.casefold()) > 1:
            raise DesignError(
                f"two positions take {pen.name!r}", where=where, remedy="give one of them another ink"
            )
    _refuse_moved(slots, pens, where)
    return tuple(pens)


def _put_ground(ground: str, pens: list[Pen], piece: Piece, slots: Slots, where: str) -> None:
    """Put the ground's pen to its position; a ground that another position has is refused."""
    others = [pen for number, pen in enumerate(pens) if number != slots.ground]
    if ground in {"light", "dark"}:
        pick = max if ground == "light" else min
        pen = pick(pens, key=lambda one: one.colour.lightness)
    else:
        pen = _pen(ground, piece, slots, where)
    if any(other.name.casefold() == pen.name.casefold() for other in others):
        raise DesignError(
            f"shapes of {pen.name!r} would lie on a ground of the same ink",
            where=where,
            remedy=f"let another ink take the position of {pen.name}, in inks = {{ ... }}",
        )
    pens[slots.ground] = pen


def _refuse_moved(slots: Slots, pens: Sequence[Pen], where: str) -> None:
    """Refuse other inks where ``fixed`` or ``only`` say which there are."""
    for number, pen in enumerate(pens):
        kin = [
            own.name.casefold()
            for own, sign in zip(slots.pens, slots.kin, strict=True)
            if sign == slots.kin[number]
        ]
        if slots.kin[number] and pen.name.casefold() not in kin:
            raise DesignError(
                f"[colouring] fixed or only binds shapes to {slots.pens[number].name!r}, and it would become "
                f"{pen.name!r}",
                where=where,
                remedy="leave that ink as it is, or take the wish out of [colouring]",
            )


def _pen(text: str, piece: Piece, slots: Slots, where: str) -> Pen:
    """Find an ink by its name in the palette or the box; else it is a colour, perhaps with a name before it."""
    wanted = text.strip()
    for pen in slots.pens:
        if pen.name.casefold() == wanted.casefold():
            return pen
    if wanted.casefold() == BARE:
        return bare(piece)
    sheet = sheet_of(piece.design)
    if sheet.box is not None:
        try:
            return owned_pen(sheet.box.swatch(wanted, sheet.stock).ink, True)
        except MockupError:
            pass
    named = _NAMED.fullmatch(wanted)
    try:
        colour = read_colour(named["colour"] if named else wanted)
    except ValueError:
        known = ", ".join(pen.name for pen in slots.pens)
        remedy = f'the inks are {known}; another is written "plum #5b2a48", or by its name in the box'
        raise UnknownNameError(f"no ink is named {text!r}", where=where, remedy=remedy) from None
    name = named["name"] if named else distinct_names([colour], [pen.name for pen in slots.pens])[0]
    return Pen(InkSpec(name, colour.hex), Ink(name, colour), wished=True)


def spec_of(way_pens: Sequence[Pen], slots: Slots, code: str, name: str, boxed: bool) -> ColourwaySpec:
    """Write pens as a colourway of the design; ``boxed`` pens are named as the box has them."""
    inks = {}
    for number, (pen, own) in enumerate(zip(way_pens, slots.pens, strict=True)):
        if pen.name != own.name and not (slots.apart and number == slots.ground):
            inks[own.name] = _written(pen, slots, boxed)
    ground = way_pens[slots.ground]
    changed = ground.name != slots.pens[slots.ground].name
    return ColourwaySpec(
        name, code, _written(ground, slots, boxed) if changed and slots.apart else None, inks
    )


def _written(pen: Pen, slots: Slots, boxed: bool) -> str:
    """Write a pen so that it is found again."""
    if pen.ink.paper:
        return BARE
    known = any(
        (pen.name.casefold(), pen.colour.hex) == (own.name.casefold(), own.colour.hex) for own in slots.pens
    )
    if known or (boxed and pen.spec.colour is None):
        return pen.name
    return f"{pen.name} {pen.colour.hex}"
