"""The guts of ``palette from-photo``: the colours of a photograph as a palette, in any inks or in hers."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from mockup.colour.conversion import read_colour
from mockup.colour.ink import Ink
from mockup.colour.leading import Leading, leading_colours
from mockup.colour.naming import distinct_names
from mockup.colour.palette import Palette
from mockup.colour.photo import read_photo
from mockup.colour.roles import account, with_roles
from mockup.jobs.handing import Drawn
from mockup.jobs.inks import PAPER
from mockup.jobs.offers import Line, Offer, in_order, ink_lines
from mockup.jobs.palettematch import match_inks
from mockup.jobs.palettepicture import offers_picture
from mockup.jobs.progress import Tell, quiet

_WEAK = 10.0
"""Chroma that is added to that of every colour, so that greys of a wide area may lead too: our figure."""


@dataclass(frozen=True, slots=True)
class Found:
    """What a photograph gave: its colours with their shares, why inks have their roles, and the palette."""

    photo: Path
    leading: tuple[Leading, ...]
    notes: tuple[str, ...]
    offer: Offer


def palette_of_photo(
    photo: Path,
    count: int = 5,
    *,
    box: Path | None = None,
    stock: str | None = None,
    tell: Tell = quiet,
) -> Found:
    """Find a palette in a photograph.

    Parameters
    ----------
    photo : Path
        JPEG or PNG.
    count : int
        So many inks at most; fewer where the picture has no more colours.
    box : Path, optional
        Her ink box: then the nearest inks in it, no ink twice.
    stock : str, optional
        The paper, by its name in the box.
    tell : callable
        Hears how far the job is.

    Raises
    ------
    MockupError
        A picture or a box that cannot be read.
    """
    tell("reading the picture", 0.0)
    picture = read_photo(photo)
    tell("finding its colours", 0.4)
    leading = leading_colours(picture.colours, count)
    colours = [read_colour(one.colour.hex) for one in leading]
    inks = tuple(Ink(name, colour) for name, colour in zip(distinct_names(colours), colours, strict=True))
    full, told = _with_roles(inks, [one.share for one in leading])
    whys = [*picture.notes, *told]
    offer = Offer(full, photo.name, tuple(whys))
    if box:
        tell("matching the box", 0.9)
        match = match_inks(full, box, stock)
        whys += [
            f"{wish.name} {wish.colour.hex}: {ink.name} is {miss:.1f} off (CIEDE2000)"
            for wish, ink, miss in zip(match.wanted, match.offer.palette.inks, match.misses, strict=True)
        ]
        offer = Offer(match.offer.palette, photo.name, tuple(whys), box)
    return Found(photo, tuple(leading), tuple(whys), offer)


def _with_roles(inks: Sequence[Ink], shares: Sequence[float]) -> tuple[Palette, list[str]]:
    """Give the inks roles, and say why: as their colours ask, but what has most area and strength leads."""
    plain = Palette(tuple(inks))
    free = [place for place, ink in enumerate(with_roles(plain).inks) if ink.role not in {"dark", "light"}]
    lead = max(free, key=lambda place: shares[place] * (_WEAK + inks[place].colour.chroma), default=None)
    given = Palette(tuple(replace(ink, role="dominant" * (place == lead)) for place, ink in enumerate(inks)))
    whys = [
        f"{ink.name}: dominant, by area and strength" if place == lead else why
        for place, (ink, why) in enumerate(zip(inks, account(given), strict=True))
    ]
    told = [f"{why}; {share:.0%} of the picture" for why, share in zip(whys, shares, strict=True)]
    return in_order(with_roles(given)), told


def in_lines(found: Found) -> list[Line]:
    """Tell the palette, one ink a line."""
    return ink_lines(found.offer.palette.inks)


def remarks(found: Found) -> list[str]:
    """Say why each ink has its role, and how near hers come."""
    return list(found.notes)


def picture(found: Found, target: Path) -> Drawn:
    """Draw the palette; raises as ``offers_picture`` does."""
    heading = f"Palette from {found.photo.name}"
    return offers_picture([found.offer], read_colour(PAPER), heading, target, found.offer)
