"""The inks of a design: their colours as it gives them, or out of her box; the paper they are tried on."""

from dataclasses import dataclass
from typing import Final

from mockup.colour.boxtable import placed
from mockup.colour.conversion import Colour, read_colour
from mockup.colour.difference import ciede2000
from mockup.colour.ink import Ink
from mockup.colour.inkbox import BARE, InkBox
from mockup.colour.palette import Palette, SidePalette
from mockup.colour.roles import with_roles
from mockup.design.boxes import read_box
from mockup.design.records import Design, InkSpec, PaletteSpec
from mockup.errors import DesignError, MockupError

PAPER: Final = "#fdfcf8"
"""Colour of the paper where neither the design nor the box tells it."""

ALIKE: Final = 3.0
STRANGE: Final = 6.0
"""CIEDE2000 up to which papers pass for one, and from which inks on one tell nothing of the other: our figures."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """What the inks lie on: the paper's colour, its name in the box, and the box.

    ``strange`` is the CIEDE2000 difference of the paper to that of the box, where both are told.
    """

    paper: Colour
    stock: str | None = None
    box: InkBox | None = None
    strange: float = 0.0


def place(design: Design, table: str) -> str:
    """Say where in the design something stands."""
    return f"{design.file.name}, {table}" if design.file else table


def colour_of(text: str, design: Design, table: str) -> Colour:
    """Read a colour, telling where it stands if it is none."""
    try:
        return read_colour(text)
    except ValueError as error:
        raise DesignError(str(error), where=place(design, table)) from None


def sheet_of(design: Design) -> Sheet:
    """Settle the paper, and read the box.

    Raises
    ------
    MockupError
        The box cannot be read, the paper is none, the inks of the box were tried on a paper of another colour, or
        those that are only named were not tried on one paper.
    """
    text = design.sheet.paper
    if not design.palette.box:
        return Sheet(colour_of(text or PAPER, design, "[sheet] paper"))
    box = read_box(design.beside(design.palette.box))
    names = {stock.casefold(): stock for stock in box.stocks}
    if text is not None and text.casefold() in names:
        stock = names[text.casefold()]
        return Sheet(box.paper(stock) or read_colour(PAPER), stock, box)
    only = _stock(design, box)
    bare = box.paper(only) if only or not box.stocks else None
    if text is None:
        return Sheet(bare or read_colour(PAPER), only, box)
    paper = _paper(text, design, box)
    strange = ciede2000(paper, bare) if bare else 0.0
    if bare and strange > STRANGE:
        raise DesignError(
            f"the inks of {design.palette.box} were tried on {only or 'a paper'} of {bare.hex}, and this paper is "
            f"{paper.hex} (CIEDE2000 {strange:.0f} apart)",
            where=place(design, "[sheet] paper"),
            remedy="leave paper out to take that of the box, or try the inks on this one",
        )
    return Sheet(paper, only, box, strange)


def _stock(design: Design, box: InkBox) -> str | None:
    """Give the one paper on which all inks were tried that the design only names; None where it is not told.

    Raises
    ------
    DesignError
        No paper has them all.
    """
    if len(box.stocks) < 2:
        return box.stocks[0] if box.stocks else None
    every = [*design.palette.inks, *(ink for side in design.palette.side for ink in side.inks)]
    named = [ink.name for ink in every if ink.colour is None and ink.name.casefold() != BARE]
    tried = {name: papers for name in named if (papers := box.papers(name)) and "" not in papers}
    fitting = [stock for stock in box.stocks if all(stock in papers for papers in tried.values())]
    if not fitting:
        told = ", ".join(f"{name} on {' and '.join(papers)}" for name, papers in tried.items())
        raise DesignError(
            f"the inks were not tried on one paper: {told}",
            where=place(design, "[palette]"),
            remedy="try them on one paper and add the swatches, or write their colours",
        )
    return fitting[0] if tried and len(fitting) == 1 else None


def _paper(text: str, design: Design, box: InkBox) -> Colour:
    """Read the colour of the paper, which may be meant as a name in the box."""
    try:
        return read_colour(text)
    except ValueError as error:
        known = ", ".join(box.stocks) or "none"
        raise DesignError(
            f"{text!r} is neither a paper of the box ({known}) nor a colour",
            where=place(design, "[sheet] paper"),
            remedy=str(error).rpartition("; ")[2],
        ) from None


def palette_of(design: Design, sheet: Sheet) -> Palette:
    """Read the palette and its side palettes, and give every ink of its own a role."""
    return with_roles(as_written(design, sheet))


def as_written(design: Design, sheet: Sheet) -> Palette:
    """Read the palette and its side palettes, roles as she gave them.

    Raises
    ------
    MockupError
        A colour that is none, or an ink that the box does not have on this paper.
    """
    spec: PaletteSpec = design.palette
    inks = tuple(_ink(one, design, sheet) for one in spec.inks)
    sides = tuple(
        SidePalette(side.name, tuple(_ink(one, design, sheet) for one in side.inks), side.per == "piece")
        for side in spec.side
    )
    return Palette(inks, sides)


def _ink(spec: InkSpec, design: Design, sheet: Sheet) -> Ink:
    """Make one ink; whatever the design does not say of it, the box does."""
    table = f"ink {spec.name!r}"
    bare = (spec.colour or spec.name).strip().casefold() == BARE
    own = None if bare else _owned(spec, design, sheet, table)
    tip, bleed = (own.tip, own.bleed) if own else (None, None)
    coats = _coats(spec, design, table)
    if own and spec.colour is None:
        colour, coats = own.colour, coats or own.coats
    else:
        colour = sheet.paper if bare else colour_of(spec.colour or "", design, table)
    with placed(place(design, table)):
        return Ink(
            spec.name,
            colour,
            spec.role or "",
            spec.share,
            coats,
            tip if spec.tip is None else spec.tip,
            bleed if spec.bleed is None else spec.bleed,
            bare,
            own.uncertainty if own and spec.colour is None else None,
            spec.shades or "",
        )


def _owned(spec: InkSpec, design: Design, sheet: Sheet, table: str) -> Ink | None:
    """Look an ink up in the box by its name; None where the design gives its colour and the box has none such."""
    if sheet.box is None and spec.colour is None:
        raise DesignError(
            "no colour is given",
            where=place(design, table),
            remedy='write colour = "#b5532a" or such, or box = "inks.csv" in [palette] with an ink of that name in it',
        )
    try:
        return sheet.box.swatch(spec.name, sheet.stock).ink if sheet.box else None
    except MockupError as error:
        if spec.colour is not None:
            return None
        raise type(error)(error.what, where=place(design, table), remedy=error.remedy) from None


def _coats(spec: InkSpec, design: Design, table: str) -> tuple[Colour, ...]:
    return tuple(colour_of(text, design, f"{table}, coats") for text in spec.coats)
