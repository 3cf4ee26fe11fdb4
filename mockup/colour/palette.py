"""The inks of one piece."""

from collections import Counter
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Final

from mockup.colour.ink import Ink
from mockup.errors import DesignError, UnknownNameError

MOST_INKS: Final = 12


@dataclass(frozen=True)
class Palette:
    """One to twelve inks in her order; an ink's position counts from 0.

    Raises
    ------
    DesignError
        If there are too few or too many inks, two of one name (in any case), two dominant, dark
        or light ones, or bare paper twice.
    """

    inks: tuple[Ink, ...]

    def __post_init__(self) -> None:
        """Refuse what no palette can be."""
        if not 1 <= len(self.inks) <= MOST_INKS:
            raise DesignError(
                f"the palette has {len(self.inks)} inks", remedy=f"a palette holds 1 to {MOST_INKS} inks"
            )
        for name, count in Counter(ink.name.casefold() for ink in self.inks).items():
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

    def position(self, name: str) -> int:
        """Give the position of an ink by its name, in any case.

        Raises
        ------
        UnknownNameError
            Names the nearest known ink, or all.
        """
        names = [ink.name.casefold() for ink in self.inks]
        wanted = name.strip().casefold()
        if wanted in names:
            return names.index(wanted)
        near = get_close_matches(wanted, names, n=1)
        remedy = f"the inks are {', '.join(ink.name for ink in self.inks)}"
        if near:
            remedy = f"did you mean {self.inks[names.index(near[0])].name!r}?"
        raise UnknownNameError(f"no ink is named {name!r}", remedy=remedy)

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
