"""Her ink box: every ink she owns, as it came out on a paper."""

import datetime
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Final

from mockup.colour.conversion import Colour
from mockup.colour.ink import Ink
from mockup.errors import DesignError, UnknownNameError

BARE: Final = "paper"
"""The name under which bare paper stands in a box."""

MOST: Final = 5000
"""Inks that a box may hold."""


@dataclass(frozen=True)
class Swatch:
    """One ink as it was tried.

    Attributes
    ----------
    ink : Ink
        Name, colour, coats, tip and bleed, without role or share. Bare paper is an ink named ``BARE``.
    stock : str
        Name of the paper it was tried on; empty where it is not told.
    day : date or None
        When.
    note : str
        Her remark.
    more : tuple of (str, str)
        Columns of her own with what stands in them.
    """

    ink: Ink
    stock: str = ""
    day: datetime.date | None = None
    note: str = ""
    more: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True)
class InkBox:
    """Swatches in her order; an ink may have one on each of several papers.

    Raises
    ------
    DesignError
        There are none or too many, or two of one name on one paper.
    """

    swatches: tuple[Swatch, ...]

    def __post_init__(self) -> None:
        """Refuse what no box can be."""
        if not any(not one.ink.paper for one in self.swatches):
            raise DesignError("there are no inks in it", remedy="write one a line, with name and colour")
        if len(self.swatches) > MOST:
            raise DesignError(f"it holds {len(self.swatches)} inks", remedy=f"leave it at {MOST}")
        counts = Counter((plain(one.ink.name), plain(one.stock)) for one in self.swatches)
        for one in self.swatches:
            count = counts[plain(one.ink.name), plain(one.stock)]
            if count > 1:
                on = f" on {one.stock}" if one.stock else ""
                raise DesignError(
                    f"{count} swatches are named {one.ink.name!r}{on}",
                    remedy="keep the newest, or name the other paper",
                )

    @property
    def stocks(self) -> tuple[str, ...]:
        """The papers it was tried on, in her order; without that of swatches whose paper is not told."""
        told: dict[str, str] = {}
        for one in self.swatches:
            told.setdefault(plain(one.stock), one.stock)
        return tuple(stock for stock in told.values() if stock)

    def inks(self, stock: str | None = None) -> tuple[Ink, ...]:
        """Give the inks on one paper, or every swatch's; bare paper is left out."""
        return tuple(one.ink for one in self.on(stock).swatches if not one.ink.paper)

    def on(self, stock: str | None) -> "InkBox":
        """Give the swatches that hold for one paper; all of them for None.

        They are those on that paper, and those whose paper is not told where the ink has none on it.

        Raises
        ------
        UnknownNameError
            No swatch was tried on that paper.
        DesignError
            Nothing but the bare paper is told of it.
        """
        if stock is None:
            return self
        own = self._holding(stock)
        if all(one.ink.paper for one in own):
            raise DesignError(f"no ink was tried on {stock}", remedy="try some on it and add the swatches")
        return InkBox(own)

    def _holding(self, stock: str) -> tuple[Swatch, ...]:
        """Give the swatches that hold for one paper, in order; raises where nothing was tried on it."""
        if plain(stock) not in {plain(one) for one in self.stocks}:
            raise _unknown("paper", stock, self.stocks)
        told = {plain(one.ink.name) for one in self.swatches if plain(one.stock) == plain(stock)}
        return tuple(
            one
            for one in self.swatches
            if plain(one.stock) == plain(stock) or not (one.stock or plain(one.ink.name) in told)
        )

    def paper(self, stock: str | None = None) -> Colour | None:
        """Give the colour of bare paper, if a swatch tells it."""
        own = self.swatches if stock is None else self._holding(stock)
        return next((one.ink.colour for one in own if one.ink.paper), None)

    def papers(self, name: str) -> tuple[str, ...]:
        """Give the papers that an ink was tried on, as ``stocks`` has them; empty for one that is not told."""
        known = {plain(stock): stock for stock in self.stocks} | {"": ""}
        return tuple(known[plain(one.stock)] for one in self.swatches if plain(one.ink.name) == plain(name))

    def swatch(self, name: str, stock: str | None = None) -> Swatch:
        """Find an ink by its name, in any case.

        Parameters
        ----------
        name : str
        stock : str, optional
            The paper of the piece.

        Raises
        ------
        UnknownNameError
            No ink has that name: the nearest names.
        DesignError
            It was tried on another paper only, or on several and none is told.
        """
        wanted = plain(name)
        own = [one for one in self.swatches if plain(one.ink.name) == wanted]
        if not own:
            raise _unknown("ink", name, [one.ink.name for one in self.swatches])
        if stock is None:
            if len(own) > 1:
                papers = [one.stock or "an unnamed paper" for one in own]
                named = next(one.stock for one in own if one.stock)
                raise DesignError(
                    f"{own[0].ink.name!r} was tried on {_listed(papers)}",
                    remedy=f'name the paper of the piece: paper = "{named}" in [sheet]',
                )
            return own[0]
        fitting = [one for one in own if plain(one.stock) == plain(stock)]
        fitting += [one for one in own if not one.stock]
        if not fitting:
            raise DesignError(
                f"{own[0].ink.name!r} was tried on {_listed([one.stock for one in own])}, not on {stock}",
                remedy="try it on this paper and add the swatch, or name the paper it was tried on in [sheet]",
            )
        return fitting[0]


def plain(name: str) -> str:
    """Give a name as it is compared: in small letters, with single blanks."""
    return " ".join(name.split()).casefold()


def _unknown(what: str, name: str, known: Sequence[str]) -> UnknownNameError:
    """Say that nothing has a name, and what is near."""
    places = {plain(one): one for one in reversed(known)}
    near = get_close_matches(plain(name), places, n=3, cutoff=0.5)
    remedy = f"did you mean {_listed([repr(places[one]) for one in near], 'or')}?" if near else ""
    if not near:
        some = list(dict.fromkeys(places[plain(one)] for one in known))[:8]
        remedy = (
            f"there are {', '.join(some)} and others" if len(places) > 8 else f"there are {_listed(some)}"
        )
    return UnknownNameError(
        f"no {what} of the box is named {name!r}", remedy=remedy if known else "none is told"
    )


def _listed(names: Sequence[str], link: str = "and") -> str:
    return f"{', '.join(names[:-1])} {link} {names[-1]}" if len(names) > 1 else "".join(names)
