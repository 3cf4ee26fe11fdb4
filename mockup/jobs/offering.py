"""The colourways that are offered for a piece whose inks are spread: found, chosen, named, and checked."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

import numpy as np

from mockup.colour.difference import differences
from mockup.colour.ink import Ink
from mockup.colour.judging import Drawing, judged
from mockup.colour.palette import Palette
from mockup.colour.roles import with_roles
from mockup.design.palettefile import read_palette
from mockup.errors import DesignError
from mockup.jobs.candidates import (
    OWN,
    Candidate,
    exchanges,
    fits,
    hue_turns,
    listed,
    on_paper,
    owned_pen,
)
from mockup.jobs.choosing import Field, choose, field_of, kind_of, reason_of
from mockup.jobs.colourway import FIRST, LONGEST, Colourway, inked
from mockup.jobs.inks import as_written, place, sheet_of
from mockup.jobs.palettecheck import drawing_of
from mockup.jobs.palettematch import owned_inks
from mockup.jobs.planned import Spreading
from mockup.jobs.slots import Pen, Slots, bare, slots_of

MOST: Final = 26
"""Colourways that have a letter each."""


@dataclass(frozen=True, slots=True)
class Wish:
    """What she wishes of the colourways.

    Attributes
    ----------
    count : int
        How many, hers among them.
    palettes : tuple of Path
        Palettes of which one colourway each is wanted.
    box : Path or None
        Her ink box; left out, that of the design.
    stock : str or None
        The paper on which the box's inks were tried.
    """

    count: int = 4
    palettes: tuple[Path, ...] = ()
    box: Path | None = None
    stock: str | None = None


@dataclass(frozen=True, eq=False, slots=True)
class Kept:
    """A colourway of an earlier run: its letter (empty where it has none), its pens, its name, and its design."""

    code: str
    pens: tuple[Pen, ...]
    name: str
    file: Path


def offered(
    spreading: Spreading, text: str, wish: Wish, like: Sequence[Kept] = (), unlike: Sequence[Kept] = ()
) -> list[Colourway]:
    """Find colourways of the same plan, hers first.

    Parameters
    ----------
    spreading : Spreading
        The piece.
    text : str
        Its design file.
    wish : Wish
        How many, and where inks may come from. A palette with more or fewer inks than positions is a respread, which
        is made elsewhere; room is left for it.
    like, unlike : sequences of Kept
        What she kept stays, with its letter; what she dropped, and what is as good as it, does not come again.

    Raises
    ------
    MockupError
        A palette or the box cannot be read, or the design is written in a way that cannot be changed.
    """
    slots = slots_of(spreading)
    refuse_bound(spreading, slots)
    told = [Candidate(one.pens, "kept", OWN) for one in (*like, *unlike)]
    found = list(_candidates(spreading, slots, wish))
    field = field_of(slots, [*told, *found])
    flaws = _flaws(slots, drawing_of(spreading.piece))
    liked, dropped = ([_number(field, one.pens) for one in some] for some in (like, unlike))
    own = [*dict.fromkeys(one.source for one in found if one.source not in {OWN, "turned", "box"})]
    count = wish.count - sum(not fits(slots, len(palette_pens(palette))) for palette in wish.palettes)
    rest = max(count - 1 - len(like) - len(own), 0)
    first = [*((source, 1) for source in own), (OWN, -(-rest // 2))]
    chosen = choose(field, slots, max(count, 1), flaws, liked, dropped, first)
    return _made(spreading, text, slots, field, chosen, flaws, dict(zip(liked, like, strict=True)))


def _candidates(spreading: Spreading, slots: Slots, wish: Wish) -> Iterator[Candidate]:
    """List whatever may be offered; of a box that lacks her inks only what is in it."""
    piece = spreading.piece
    sheet = sheet_of(piece.design)
    named = sheet.box.inks(sheet.stock) if sheet.box is not None else ()
    owned = owned_inks(wish.box, wish.stock).inks if wish.box else named
    names = {ink.name.casefold() for ink in owned}
    if not wish.box or all(pen.ink.paper or pen.name.casefold() in names for pen in slots.pens):
        yield from exchanges(slots)
        yield from on_paper(slots, bare(piece))
    for palette in wish.palettes:
        pens = palette_pens(palette)
        if fits(slots, len(pens)):
            yield from listed(slots, pens, palette.name)
    yield from hue_turns(slots, owned, by_name=not wish.box)


def palette_pens(path: Path) -> tuple[Pen, ...]:
    """Read the inks of a palette that she lists.

    Raises
    ------
    MockupError
        It cannot be read.
    """
    given = read_palette(path)
    inks = as_written(given, sheet_of(given)).inks
    return tuple(
        owned_pen(ink, False) if spec.colour is None else Pen(replace(spec, share=None), ink)
        for spec, ink in zip(given.palette.inks, inks, strict=True)
    )


def _flaws(slots: Slots, drawing: Drawing) -> Callable[[Candidate], Sequence[str]]:
    """Give what tells the flaws of a candidate; one set of inks on one ground is judged once."""
    known: dict[tuple[frozenset[str], str, str], tuple[str, ...]] = {}

    def flaws(candidate: Candidate) -> Sequence[str]:
        ground, lead = candidate.pens[slots.ground], candidate.pens[slots.lead]
        key = frozenset(f"{pen.name} {pen.colour.hex}" for pen in candidate.pens), ground.name, lead.name
        if key not in known:
            found = judged(palette_of_pens(slots, candidate.pens), drawing, ground.ink)
            known[key] = tuple(finding.line for finding in found if not finding.good)
        return known[key]

    return flaws


def palette_of_pens(slots: Slots, pens: Sequence[Pen]) -> Palette:
    """Give pens as a palette with roles, bare paper left out where only the ground shows it."""
    inks: list[Ink] = []
    for number, pen in enumerate(pens):
        if not (slots.apart and number == slots.ground and pen.ink.paper):
            inks.append(replace(pen.ink, role="dominant" if number == slots.lead else "", share=None))
    return with_roles(Palette(tuple(inks)))


def _number(field: Field, pens: Sequence[Pen]) -> int:
    """Find pens among the candidates."""
    wanted = [(pen.name.casefold(), pen.colour.hex) for pen in pens]
    for number, one in enumerate(field.candidates):
        if [(pen.name.casefold(), pen.colour.hex) for pen in one.pens] == wanted:
            return number
    raise DesignError(
        "leads with bare paper, or names an ink twice", remedy="give each position an ink of its own"
    )


def _made(
    spreading: Spreading,
    text: str,
    slots: Slots,
    field: Field,
    chosen: Sequence[int],
    flaws: Callable[[Candidate], Sequence[str]],
    liked: dict[int, Kept],
) -> list[Colourway]:
    """Make colourways of what was chosen: letters dealt, names told apart."""
    contrast = field.contrast(slots.meets)
    letters = _letters(chosen, liked)
    kept = [liked[number].name if number in liked else "" for number in chosen]
    names = _names(slots, [field.candidates[number] for number in chosen], kept)
    made = []
    for number, code, name in sorted(
        zip(chosen, letters, names, strict=True), key=lambda one: (one[1] != FIRST, one[1])
    ):
        candidate = field.candidates[number]
        own, design = (spreading, text) if not number else inked(spreading, slots, candidate.pens, text)
        known = {0: "as you designed it"} | dict.fromkeys(liked, "kept")
        reason = known.get(number) or reason_of(slots, candidate)
        kind = kind_of(field, number) if number else "yours"
        made.append(
            Colourway(
                code,
                name,
                candidate.pens,
                reason,
                kind,
                tuple(flaws(candidate)),
                float(contrast[number]),
                own,
                design,
            )
        )
    return made


def _letters(chosen: Sequence[int], liked: dict[int, Kept]) -> list[str]:
    """Give each its letter: hers is the first, what she kept has its own, if any, the others take what is free."""
    taken = {one.code for one in liked.values()}
    free = (code for code in map(chr, range(ord("B"), ord("Z") + 1)) if code not in taken)
    own = {0: FIRST} | {number: one.code for number, one in liked.items()}
    return [own.get(number) or next(free) for number in chosen]


def _names(slots: Slots, candidates: Sequence[Candidate], kept: Sequence[str]) -> list[str]:
    """Name each by its leading ink and its ground, as it is named already; those of like name by a further ink, too."""
    order = np.argsort(-slots.share, kind="stable").tolist()
    others = [place for place in order if place not in {slots.ground, slots.lead}]
    found: list[str] = []
    for one, own in zip(candidates, kept, strict=True):
        ground = one.pens[slots.ground]
        on = "paper" if ground.ink.paper else ground.name
        lead = one.pens[slots.lead].name
        first = lead if slots.lead != slots.ground or not others else one.pens[others[0]].name
        tries = [own] * bool(own) + [f"{first} on {on}"]
        tries += [f"{lead} and {one.pens[place].name} on {on}" for place in others]
        tries += [f"{lead[:20]} on {on[:20]}, {number}" for number in range(2, MOST + 2)]
        used = {name.casefold() for name in (*found, *kept)} - {own.casefold()}
        found.append(next(name for name in tries if name.casefold() not in used and len(name) <= LONGEST))
    return found


def refuse_bound(spreading: Spreading, slots: Slots) -> None:
    """Refuse to look for colourways where every ink is bound.

    Raises
    ------
    DesignError
        Every ink stands in ``fixed`` or ``only`` by itself.
    """
    own = slots.kin[: slots.count - slots.apart]
    if own.all() and len(np.unique(own)) == len(own):
        raise DesignError(
            "fixed or only bind every ink, and a colourway would change them",
            where=place(spreading.piece.design, "[colouring]"),
            remedy="leave some inks free",
        )


def checked(spreading: Spreading) -> tuple[tuple[str, ...], float]:
    """Judge a piece's palette; give what it does not pass, and the smallest difference of inks that meet."""
    piece, slots = spreading.piece, slots_of(spreading)
    findings = judged(piece.palette, drawing_of(piece), slots.pens[slots.ground].ink)
    apart = differences([pen.colour for pen in slots.pens])
    least = min((float(apart[a, b]) for a, b in slots.meets.tolist()), default=float("inf"))
    return tuple(finding.line for finding in findings if not finding.good), least
