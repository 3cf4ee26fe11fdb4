"""The guts of ``palette match``: a whole palette in inks that she owns, no ink twice, the least sum of misses."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from mockup.colour.conversion import read_colour
from mockup.colour.ink import Ink
from mockup.colour.inkbox import InkBox
from mockup.colour.matching import matched, misses
from mockup.colour.naming import distinct_names
from mockup.colour.palette import Palette
from mockup.colour.roles import with_roles
from mockup.design.boxes import read_box
from mockup.design.palettefile import read_palette
from mockup.errors import DesignError, FileError
from mockup.jobs.handing import Drawn
from mockup.jobs.inks import PAPER, as_written, sheet_of
from mockup.jobs.offers import Line, Offer
from mockup.jobs.palettepicture import offers_picture

FAR = 5.0
"""A miss from which another eye sees another colour at once (CIEDE2000): our figure, common practice has 2 to 5."""


@dataclass(frozen=True, slots=True)
class Match:
    """What was wanted, which ink takes its place, the miss of each (CIEDE2000), and the offer to write."""

    wanted: tuple[Ink, ...]
    misses: tuple[float, ...]
    offer: Offer


@dataclass(frozen=True, slots=True)
class Owned:
    """The inks of one paper out of her box, the box's file, and the paper's name if it is told."""

    inks: tuple[Ink, ...]
    file: Path
    stock: str | None


def owned_inks(box: Path, stock: str | None = None) -> Owned:
    """Read the inks of a box that were tried on one paper.

    Parameters
    ----------
    box : Path
    stock : str, optional
        The paper by name; it may be left out where there is only one.

    Raises
    ------
    MockupError
        The box cannot be read, or holds inks on several papers and none is named.
    """
    own: InkBox = read_box(box)
    if stock is None and len(own.stocks) > 1:
        raise DesignError(
            f"its inks were tried on {len(own.stocks)} papers ({', '.join(own.stocks)})",
            where=box.name,
            remedy="say which: --paper and its name",
        )
    stock = stock or (own.stocks[0] if own.stocks else None)
    return Owned(own.inks(stock), box, stock)


def wanted_inks(wanted: Sequence[str]) -> tuple[Palette, Path | None, str | None]:
    """Read what is to be matched: the palette of a file, or colours.

    Returns
    -------
    Palette
        With roles.
    Path or None
        The box that a design names.
    str or None
        The paper that a design names, if it is one of that box.

    Raises
    ------
    MockupError
        A file that cannot be read, or a text that is no colour.
    """
    if len(wanted) == 1 and (Path(wanted[0]).suffix.lower() in {".toml", ".csv"} or Path(wanted[0]).exists()):
        design = read_palette(Path(wanted[0]))
        sheet = sheet_of(design)
        named = design.palette.box
        box = design.beside(named) if named else None
        return with_roles(as_written(design, sheet)), box, sheet.stock
    try:
        colours = [read_colour(text) for text in wanted]
    except ValueError as error:
        raise DesignError(str(error)) from None
    inks = tuple(Ink(name, colour) for name, colour in zip(distinct_names(colours), colours, strict=True))
    return with_roles(Palette(inks)), None, None


def match_palette(wanted: Sequence[str], box: Path | None, stock: str | None = None) -> Match:
    """Match a whole palette at once.

    Parameters
    ----------
    wanted : sequence of str
        A design or palette file, or colours.
    box : Path, optional
        Her ink box; left out where the design names one.
    stock : str, optional
        The paper of the piece, by its name in the box.

    Raises
    ------
    MockupError
        No box, a file that cannot be read, or fewer inks in it than are wanted.
    """
    palette, named, paper = wanted_inks(wanted)
    file = box or named
    if file is None:
        raise FileError(
            "there is no ink box", remedy='name one: --box inks.csv, or box = "inks.csv" in [palette]'
        )
    return match_inks(palette, file, stock or (paper if file == named else None))


def match_inks(palette: Palette, box: Path, stock: str | None = None) -> Match:
    """Match a palette whose inks have roles; raises as ``match_palette`` does."""
    own = owned_inks(box, stock)
    real = [ink for ink in palette.inks if not ink.paper]
    if len(real) > len(own.inks):
        raise DesignError(
            f"holds {len(own.inks)} inks, and {len(real)} are wanted",
            where=own.file.name,
            remedy="leave some out of the palette, or add inks to the box",
        )
    cost = misses([ink.colour for ink in real], [ink.colour for ink in own.inks])
    taken = matched(cost)
    found, missed = iter(taken.tolist()), []
    inks = []
    for place, ink in enumerate(palette.inks):
        if ink.paper:
            inks.append(ink)
            missed.append(0.0)
            continue
        number = next(found)
        inks.append(replace(own.inks[number], role=ink.role, share=ink.share))
        missed.append(float(cost[real.index(palette.inks[place]), number]))
    offer = Offer(Palette(tuple(inks)), "from the box", (), own.file)
    return Match(palette.inks, tuple(missed), offer)


def picture(match: Match, target: Path) -> Drawn:
    """Draw what was wanted and, below it, the inks that come nearest; raises as ``offers_picture`` does."""
    told = tuple(" ".join(line.text.split()) for line in in_lines(match)[1::2])
    offers = [Offer(Palette(match.wanted), "wanted"), replace(match.offer, reasons=told)]
    return offers_picture(offers, read_colour(PAPER), "The nearest inks you own", target, match.offer)


def in_lines(match: Match) -> list[Line]:
    """Tell each wanted colour and the ink that takes its place, with the miss."""
    wide = max(len(ink.name) for ink in match.wanted)
    lines = []
    for wish, ink, miss in zip(match.wanted, match.offer.palette.inks, match.misses, strict=True):
        lines.append(Line(f"{wish.name:<{wide}}  {wish.colour.hex}  wanted, {wish.role}", wish.colour.hex))
        if ink.paper:
            told = "stays bare paper"
        else:
            told = f"off by {miss:.1f} (CIEDE2000)" if miss >= 0.05 else "is that ink"
            told += ", clearly another colour" if miss >= FAR else ""
        lines.append(Line(f"{'':<{wide}}  {ink.colour.hex}  {ink.name}, {told}", ink.colour.hex))
    worst = max(match.misses)
    if worst >= FAR:
        number = match.misses.index(worst)
        lines.append(
            Line(
                f"a gap in the box: nothing near {match.wanted[number].name} {match.wanted[number].colour.hex}"
            )
        )
    return lines
