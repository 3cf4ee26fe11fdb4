"""The inks of one piece, and the side palettes that stand apart from them."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Final

from mockup.colour.ink import Ink
from mockup.errors import DesignError, UnknownNameError

MOST_INKS: Final = 12


@dataclass(frozen=True)
class SidePalette:
    """Inks that stand apart: the parts of its name take them, and nothing else does.

    Attributes
    ----------
    name : str
        What parts belong to it: "skin".
    inks : tuple of Ink
        At least one, in her order.
    one : bool
        Whether one base ink serves the whole piece, not each figure its own.
    """

    name: str
    inks: tuple[Ink, ...]
    one: bool = False


@dataclass(frozen=True)
class Palette:
    """One to twelve inks in her order; an ink's position counts from 0.

    Side palettes hold further inks. In a plan they follow those of the palette, in order: ``every`` counts them all.

    Raises
    ------
    DesignError
        If there are too few or too many inks, two of one name (in any case), two dominant, dark
        or light ones, or bare paper twice.
    """

    inks: tuple[Ink, ...]
    side: tuple[SidePalette, ...] = ()

    def __post_init__(self) -> None:
        """Refuse what no palette can be."""
        if not 1 <= len(self.inks) <= MOST_INKS:
            raise DesignError(
                f"the palette has {len(self.inks)} inks", remedy=f"a palette holds 1 to {MOST_INKS} inks"
            )
        for name, count in Counter(ink.name.casefold() for ink in self.every).items():
            if count > 1:
                raise DesignError(
                    f"{count} inks are named {name!r}", remedy="give each ink a name of its own"
                )
        for role in ("dominant", "dark", "light"):
            names = [ink.name for ink in self.inks if ink.role == role]
            if len(names) > 1:
                raise DesignError(
                    f"{len(names)} inks have the role {role} ({', '.join(names)})",
                    remedy="keep it for one of them",
                )
        papers = [ink.name for ink in self.inks if ink.paper]
        if len(papers) > 1:
            raise DesignError(
                f"bare paper is given {len(papers)} times ({', '.join(papers)})", remedy="once is enough"
            )

    @property
    def every(self) -> tuple[Ink, ...]:
        """The inks, and after them those of the side palettes."""
        return (*self.inks, *(ink for side in self.side for ink in side.inks))

    @property
    def sides(self) -> tuple[str, ...]:
        """Name of the side palette that each of ``every`` belongs to; empty for the palette's own."""
        own = ("",) * len(self.inks)
        return own + tuple(side.name for side in self.side for _ in side.inks)

    def number(self, name: str) -> int:
        """Give the place of an ink among ``every`` by its name, in any case; raises as ``position`` does."""
        return _found(name, self.every)

    def position(self, name: str) -> int:
        """Give the position of an ink of the palette's own by its name, in any case.

        Raises
        ------
        UnknownNameError
            Names the nearest known ink, or all; or the side palette that the ink belongs to.
        """
        for ink, side in zip(self.every, self.sides, strict=True):
            if side and ink.name.casefold() == name.strip().casefold():
                raise UnknownNameError(
                    f"{ink.name!r} is an ink of the side palette {side!r}, which stands apart",
                    remedy=f"the inks are {', '.join(ink.name for ink in self.inks)}",
                )
        return _found(name, self.inks)

    def ink(self, name: str) -> Ink:
        """Give an ink by its name, in any case; raises as ``position`` does."""
        return self.inks[self.position(name)]

    @property
    def dominant(self) -> Ink | None:
        """The ink that leads, if one has that role."""
        return self._with_role("dominant")

    @property
    def dark(self) -> Ink | None:
        """The ink in the role of the dark, if there is one."""
        return self._with_role("dark")

    @property
    def light(self) -> Ink | None:
        """The ink in the role of the light or neutral, if there is one."""
        return self._with_role("light")

    @property
    def accents(self) -> tuple[Ink, ...]:
        """The accents, in her order."""
        return tuple(ink for ink in self.inks if ink.role == "accent")

    @property
    def lightest(self) -> Ink:
        """The ink of highest L*, whatever its role; the first of several."""
        return max(self.inks, key=lambda ink: ink.colour.lightness)

    @property
    def darkest(self) -> Ink:
        """The ink of lowest L*, whatever its role; the first of several."""
        return min(self.inks, key=lambda ink: ink.colour.lightness)

    def _with_role(self, role: str) -> Ink | None:
        return next((ink for ink in self.inks if ink.role == role), None)


def _found(name: str, inks: Sequence[Ink]) -> int:
    """Place of an ink among some by its name, in any case."""
    names = [ink.name.casefold() for ink in inks]
    wanted = name.strip().casefold()
    if wanted in names:
        return names.index(wanted)
    near = get_close_matches(wanted, names, n=1)
    remedy = f"the inks are {', '.join(ink.name for ink in inks)}"
    if near:
        remedy = f"did you mean {inks[names.index(near[0])].name!r}?"
    raise UnknownNameError(f"no ink is named {name!r}", remedy=remedy)
