"""Reading ``[palette]`` with its inks and side palettes, and ``[[colourway]]``."""

import string
from collections.abc import Sequence

from mockup.design import keys
from mockup.design.records import ColourwaySpec, InkSpec, PaletteSpec, SideSpec
from mockup.design.table import Written
from mockup.design.values import (
    Reader,
    WrongValueError,
    length,
    listing,
    mapping,
    quoted,
    said,
    share,
    text,
    word,
)

_MOST_INKS = 12
_MOST_ASIDE = 24
_NAME = text(60)
_COLOUR = text(100)


def palette(written: Written) -> PaletteSpec:
    """Read the palette.

    Raises
    ------
    DesignError
        No ink or more than twelve, an ink without name or colour, two of one name, shares that do not add up.
    """
    box = written.get("box", text(500), None)
    inks = _inks(written, keys.INK, box)
    apart = written.tables("side", keys.SIDE, 6)
    side = tuple(_side(one, box) for one in apart)
    _different([one.name for one in side], apart, "name")
    _apart(inks, side, apart)
    return PaletteSpec(inks, box, side)


def _inks(written: Written, known: keys.Table, box: str | None) -> tuple[InkSpec, ...]:
    """Read the inks of a palette or a side palette."""
    tables = written.tables("ink", known, _MOST_ASIDE if known is keys.SIDE_INK else _MOST_INKS)
    if not tables:
        raise written.wrong("there are no inks", f"write {known.heading} with name and colour for each")
    inks = tuple(_ink(one, box) for one in tables)
    _different([ink.name for ink in inks], tables, "name")
    return inks


def _ink(written: Written, box: str | None) -> InkSpec:
    usual = InkSpec("")
    name = written.need("name", _NAME)
    colour = written.get("colour", _COLOUR, None) if box else written.need("colour", _COLOUR)
    ink = InkSpec(
        name=name,
        colour=colour,
        role=written.get("role", word(keys.ROLES), usual.role),
        share=written.get("share", share(), usual.share),
        coats=written.get("coats", listing(_COLOUR, 8, "colours"), usual.coats),
        tip=written.get("tip", length(0.05, 30), usual.tip),
        bleed=written.get("bleed", length(0, 10), usual.bleed),
        shades=written.get("shades", _NAME, None) if written.known is keys.SIDE_INK else None,
    )
    _refuse_word(ink, written)
    return ink


def _refuse_word(ink: InkSpec, written: Written) -> None:
    """Refuse a name that would be taken for the word where ground or line say "dark", "paper" or "none"."""
    word_meant = {
        "none": False,
        "paper": (ink.colour or "paper").lower() == "paper",
        "light": ink.role in {None, "light"},
        "dark": ink.role in {None, "dark"},
    }
    if not word_meant.get(ink.name, True):
        raise written.wrong(
            f"{quoted(ink.name)} has a meaning of its own", "give the ink another name", "name"
        )


def _side(written: Written, box: str | None) -> SideSpec:
    usual = SideSpec(())
    inks = _inks(written, keys.SIDE_INK, box)
    bases = {ink.name.casefold() for ink in inks if not ink.shades}
    for ink in inks:
        if ink.shades and ink.shades.casefold() not in bases:
            remedy = "name one of this set that shades nothing itself"
            raise written.wrong(
                f"{quoted(ink.name)} shades {quoted(ink.shades)}, which is no base", remedy, "ink"
            )
    return SideSpec(
        inks=inks,
        name=written.get("name", _NAME, usual.name),
        per=written.get("per", word(("piece", "figure")), usual.per),
    )


def _apart(inks: Sequence[InkSpec], side: Sequence[SideSpec], tables: Sequence[Written]) -> None:
    """Refuse an ink of a side palette that has the name of another ink: a name must say which is meant."""
    owner = {ink.name.casefold(): "the palette" for ink in inks}
    for one, written in zip(side, tables, strict=True):
        for ink in one.inks:
            if ink.name.casefold() in owner:
                raise written.wrong(
                    f"{quoted(ink.name)} is an ink of {owner[ink.name.casefold()]} too",
                    "give one of the two another name",
                    "ink",
                )
        owner |= {ink.name.casefold(): f"the side palette {quoted(one.name)}" for ink in one.inks}


def check_shares(inks: Sequence[InkSpec], written: Written) -> None:
    """Refuse shares that cannot be targets; ``written`` is ``[colouring]``, where they are asked for.

    Raises
    ------
    DesignError
        No shares, or shares that leave nothing for the other inks, or do not add up to 1.
    """
    given = [ink.share for ink in inks if ink.share is not None]
    total = sum(given)
    if not given:
        raise written.wrong("own, but no ink has a share", "write share = 0.3 at an ink", "balance")
    if len(given) < len(inks) and total > 0.995:
        raise written.wrong(
            f"the shares come to {total:.3g} and leave nothing for the others", "make them smaller", "balance"
        )
    if len(given) == len(inks) and abs(total - 1) > 0.015:
        raise written.wrong(f"the shares come to {total:.3g}", "make them 1, or leave one out", "balance")


def colourways(tables: Sequence[Written]) -> tuple[ColourwaySpec, ...]:
    """Read the colourways; codes and names left out are given.

    Raises
    ------
    DesignError
        Two of one code or name.
    """
    given = [one.get("code", _code, None) for one in tables]
    taken = {code.upper() for code in given if code}
    free = (letter for letter in _letters() if letter not in taken)
    codes = [code or next(free) for code in given]
    ways = tuple(
        ColourwaySpec(
            name=one.get("name", _NAME, f"colourway {code}"),
            code=code,
            ground=one.get("ground", _NAME, None),
            inks=one.get("inks", mapping(_NAME, _COLOUR, "inks"), {}),
        )
        for one, code in zip(tables, codes, strict=True)
    )
    _different(codes, tables, "code")
    _different([way.name for way in ways], tables, "name")
    return ways


def _letters() -> list[str]:
    """Give codes in the order in which they are dealt out: B to Z, then B1, C1 ..."""
    letters = string.ascii_uppercase[1:]
    return [letter + tail for tail in ("", "1", "2", "3") for letter in letters]


def _code(value: object) -> str:
    """Read a short sign that may be part of a file's name."""
    read: Reader[str] = text(12)
    code = read(value)
    if not all(sign.isascii() and (sign.isalnum() or sign in "-_") for sign in code):
        raise WrongValueError(f"expected letters and figures, not {said(value)}", 'write {key} = "B"')
    return code


def _different(names: Sequence[str], tables: Sequence[Written], key: str) -> None:
    """Refuse two of one name, in any case of letters."""
    seen: dict[str, int] = {}
    for place, (name, written) in enumerate(zip(names, tables, strict=True), 1):
        first = seen.setdefault(name.casefold(), place)
        if first != place:
            raise written.wrong(f"{quoted(name)} is taken by number {first}", f"give it another {key}", key)
