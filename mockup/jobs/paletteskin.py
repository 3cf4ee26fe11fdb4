"""The guts of ``palette skin``: sets of skin values from very light to very dark, as a side palette."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from mockup.colour.conversion import Colour, read_colour
from mockup.colour.ink import Ink
from mockup.colour.palette import Palette
from mockup.colour.skin import BANDS, SkinSet, ita, side_inks, skin_sets, unfilled
from mockup.design.reading import parse_design
from mockup.design.sidewriting import with_side
from mockup.errors import DesignError, UnknownNameError
from mockup.jobs.handing import Changed, Drawn, source
from mockup.jobs.inks import PAPER
from mockup.jobs.offers import Line, Offer, named_beside, spec_of
from mockup.jobs.palettematch import owned_inks
from mockup.jobs.palettepicture import offers_picture
from mockup.jobs.piece import read_piece

SIDE = "skin"


@dataclass(frozen=True, slots=True)
class Skins:
    """Sets of skin values, what of the range a box lacks, and the box."""

    sets: tuple[SkinSet, ...]
    lacking: tuple[str, ...]
    box: Path | None


def find_skins(
    bands: Sequence[str] = (),
    *,
    undertone: str = "neutral",
    box: Path | None = None,
    stock: str | None = None,
) -> Skins:
    """Find sets of skin values.

    Parameters
    ----------
    bands : sequence of str
        Which of ``BANDS``; all of them where none is named.
    undertone : str
        "cool", "neutral" or "warm".
    box : Path, optional
        Her ink box: then only inks in it.
    stock : str, optional
        The paper, by its name in the box.

    Raises
    ------
    MockupError
        An unknown band, a box that cannot be read, or one without any skin tone.
    """
    known = [name for name, _ in BANDS]
    for name in bands:
        if name not in known:
            raise UnknownNameError(f"no band is called {name!r}", remedy=f"the bands are {', '.join(known)}")
    owned: Sequence[Ink] = owned_inks(box, stock).inks if box else ()
    sets = skin_sets(owned, undertone)
    lacking = unfilled(sets, owned) if box else ()
    if bands:
        sets = tuple(one for one in sets if one.band in bands)
        lacking = tuple(line for line in lacking if line.partition(":")[0] in bands)
    if not sets:
        raise DesignError(
            f"holds no skin with its shading: {lacking[0] if lacking else ''}".rstrip(": "),
            where=box.name if box else "",
            remedy="add a base and two deeper inks of like hue, or leave --box out",
        )
    return Skins(sets, lacking, box)


def in_lines(skins: Skins) -> list[Line]:
    """Tell each set: its band, its base with the typology angle, its shading."""
    lines: list[Line] = []
    for one in skins.sets:
        lines.append(Line(one.band))
        for ink, word in zip((one.base, *one.shading), ("base", "shade", "deep"), strict=True):
            angle = f"  typology angle {ita(ink.colour):.0f}" if word == "base" else ""
            told = f"{ink.colour.hex}  {word:<5}  L* {ink.colour.lightness:3.0f}  {ink.name}{angle}"
            lines.append(Line(told, ink.colour.hex))
    return lines + [Line(f"lacking   {line}") for line in skins.lacking]


def changed_design(target: Path, skins: Skins, per: str) -> Changed:
    """Put the sets into a design as its side palette for skin, in place of one that is there; nothing is written yet.

    Raises
    ------
    MockupError
        The file cannot be read or written, or no part of its motifs is skin.
    """
    before = source(target)
    design = parse_design(before, where=target.name, file=target)
    named = named_beside(skins.box, target) if skins.box else None
    by_name = named is not None and design.palette.box == named
    specs = [spec_of(ink, owned=by_name) for ink in side_inks(skins.sets, per)]
    after = with_side(before, SIDE, per, specs, where=target.name)
    read_piece(parse_design(after, where=target.name, file=target))
    return Changed(target, before, after)


def picture(skins: Skins, target: Path) -> Drawn:
    """Draw the sets; raises as ``offers_picture`` does."""
    paper: Colour = read_colour(PAPER)
    offers = [Offer(Palette((one.base, *one.shading)), one.band) for one in skins.sets]
    return offers_picture(offers, paper, "Skin, from very light to very dark", target)
