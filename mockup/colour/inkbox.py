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
        twice = Counter((one.ink.name.casefold(), one.stock.casefold()) for one in self.swatches)
        for (name, stock), count in twice.items():
            if count > 1:
                on = f" on {stock}" if stock else ""
                raise DesignError(
                    f"{count} swatches are named {name!r}{on}",
                    remedy="keep the newest, or name the other paper",
                )

    @property
    def stocks(self) -> tuple[str, ...]:
        """The papers it was tried on, in her order; without that of swatches whose paper is not told."""
        return tuple(dict.fromkeys(one.stock for one in self.swatches if one.stock))

    def inks(self, stock: str | None = None) -> tuple[Ink, ...]:
        """Give the inks on one paper, or every swatch's; bare paper is left out."""
        return tuple(one.ink for one in self.on(stock).swatches if not one.ink.paper)

    def on(self, stock: str | None) -> "InkBox":
        """Give the swatches on one paper, and those whose paper is not told; all of them for None.

        Raises
        ------
        UnknownNameError
            No swatch was tried on that paper.
        """
        if stock is None:
            return self
        if stock.casefold() not in {one.casefold() for one in self.stocks}:
            raise _unknown("paper", stock, self.stocks)
        return InkBox(tuple(one for one in self.swatches if one.stock.casefold() in {"", stock.casefold()}))

    def paper(self, stock: str | None = None) -> Colour | None:
        """Give the colour of bare paper, if a swatch tells it."""
        return next((one.ink.colour for one in self.on(stock).swatches if one.ink.paper), None)

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
        wanted = name.strip().casefold()
        own = [one for one in self.swatches if one.ink.name.casefold() == wanted]
        if not own:
            raise _unknown("ink", name, list(dict.fromkeys(one.ink.name for one in self.swatches)))
        if stock is None:
            if len(own) > 1:
                papers = [one.stock or "an unnamed paper" for one in own]
                named = next(one.stock for one in own if one.stock)
                raise DesignError(
                    f"{own[0].ink.name!r} was tried on {_listed(papers)}",
                    remedy=f'name the paper of the piece: paper = "{named}" in [sheet]',
                )
            return own[0]
        fitting = [one for one in own if one.stock.casefold() == stock.casefold()]
        fitting += [one for one in own if not one.stock]
        if not fitting:
            raise DesignError(
                f"{own[0].ink.name!r} was tried on {_listed([one.stock for one in own])}, not on {stock}",
                remedy="try it on this paper and add the swatch, or name the paper it was tried on in [sheet]",
            )
        return fitting[0]


def _unknown(what: str, name: str, known: Sequence[str]) -> UnknownNameError:
    """Say that nothing has a name, and what is near."""
    places = {one.casefold(): one for one in known}
    near = get_close_matches(name.strip().casefold(), places, n=3, cutoff=0.5)
    remedy = f"did you mean {_listed([repr(places[one]) for one in near], 'or')}?" if near else ""
    if not near:
        remedy = f"there are {_listed(list(known[:8]))}" + (" and others" if len(known) > 8 else "")
    return UnknownNameError(
        f"no {what} of the box is named {name!r}", remedy=remedy if known else "none is told"
    )


def _listed(names: Sequence[str], link: str = "and") -> str:
    return f"{', '.join(names[:-1])} {link} {names[-1]}" if len(names) > 1 else "".join(names)
