"""The guts of ``palette build``: whole palettes round one leading ink, from any colours or from her box."""

from dataclasses import dataclass
from pathlib import Path

from mockup.colour.building import offer as offered
from mockup.colour.conversion import Colour, read_colour
from mockup.colour.ink import Ink
from mockup.colour.naming import colour_name
from mockup.design.boxes import read_box
from mockup.errors import DesignError, UnknownNameError
from mockup.jobs.handing import Drawn
from mockup.jobs.inks import PAPER
from mockup.jobs.offers import Line, Offer, ink_lines
from mockup.jobs.palettematch import owned_inks
from mockup.jobs.palettepicture import offers_picture
from mockup.sheets.caption import letters


@dataclass(frozen=True, slots=True)
class Palettes:
    """Palettes built round an ink, why kinds were left out, and the paper they are for."""

    lead: Ink
    offers: tuple[Offer, ...]
    left_out: tuple[str, ...]
    paper: Colour


def build_palettes(
    lead: str,
    count: int = 5,
    *,
    box: Path | None = None,
    stock: str | None = None,
    name: str | None = None,
    bare: bool = False,
) -> Palettes:
    """Build several palettes.

    Parameters
    ----------
    lead : str
        A colour; or the name of an ink in the box.
    count : int
        How many inks each has.
    box : Path, optional
        Her ink box: then every ink is one of hers.
    stock : str, optional
        The paper, by its name in the box.
    name : str, optional
        What the leading ink is called.
    bare : bool
        Let bare paper be the light.

    Raises
    ------
    MockupError
        No colour or ink of that name, a box that cannot be read, or one with too few inks.
    """
    owned: tuple[Ink, ...] = ()
    paper = read_colour(PAPER)
    if box:
        own = owned_inks(box, stock)
        owned, paper = own.inks, read_box(box).paper(own.stock) or paper
    ink = _lead(lead, owned, box, name)
    found = offered(ink, count, owned, paper if bare else None)
    offers = tuple(Offer(one.palette, one.kind, one.reasons, box) for one in found.built)
    return Palettes(ink, offers, found.left_out, paper)


def _lead(text: str, owned: tuple[Ink, ...], box: Path | None, name: str | None) -> Ink:
    """Find the leading ink: one of hers by name, else a colour."""
    named = [ink for ink in owned if ink.name.casefold() == text.strip().casefold()]
    if named:
        return named[0]
    try:
        colour = read_colour(text)
    except ValueError as error:
        if box:
            raise UnknownNameError(
                f"{text!r} is neither an ink of {box.name} nor a colour",
                remedy='`mockup inks list` tells the inks; a colour is such as "#b5532a"',
            ) from None
        raise DesignError(str(error)) from None
    return Ink(name or colour_name(colour), colour)


def chosen(palettes: Palettes, letter: str | None) -> Offer:
    """Give the palette of a letter; the first for None.

    Raises
    ------
    UnknownNameError
        There is none of that letter.
    """
    known = letters(len(palettes.offers))
    if letter is None:
        return palettes.offers[0]
    if letter.upper() not in known:
        raise UnknownNameError(
            f"no palette has the letter {letter!r}", remedy=f"take one of {', '.join(known)}"
        )
    return palettes.offers[known.index(letter.upper())]


def in_lines(palettes: Palettes) -> list[Line]:
    """Tell each palette: its letter and kind, its inks, its reasons."""
    lines: list[Line] = []
    for letter, offer in zip(letters(len(palettes.offers)), palettes.offers, strict=True):
        lines += [Line("")] * bool(lines)
        lines.append(Line(f"palette {letter}: {offer.kind}"))
        lines += ink_lines(offer.palette.inks)
        lines += [Line(f"   {reason}") for reason in offer.reasons]
    return lines + [Line("")] * bool(palettes.left_out) + [Line(line) for line in palettes.left_out]


def picture(palettes: Palettes, target: Path, taken: Offer) -> Drawn:
    """Draw the palettes, or write the one that is taken by itself; raises as ``offers_picture`` does."""
    heading = f"Palettes round {palettes.lead.name}"
    return offers_picture(palettes.offers, palettes.paper, heading, target, taken)
