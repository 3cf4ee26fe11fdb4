"""One ink: a name and a colour on the paper it was tried on."""

import math
from dataclasses import dataclass
from typing import Final

from mockup.colour.conversion import Colour
from mockup.errors import DesignError

ROLES: Final = ("dominant", "dark", "light", "accent")


@dataclass(frozen=True)
class Ink:
    """A pen, marker or pencil; or bare paper, which counts as a light and costs no ink.

    Attributes
    ----------
    name : str
    colour : Colour
        One coat on the paper; of bare paper, the paper's own colour.
    role : str
        One of ``ROLES``, or empty where she gave none.
    share : float or None
        Her target, a part of the coloured area, 0 to 1.
    coats : tuple of Colour
        Measured second, third ... coat.
    tip, bleed : float or None
        Width of the nib, and how far ink creeps beyond it, in mm.
    paper : bool
        Whether this is bare paper.
    shades : str
        Name of the ink of its side palette that it is there to shade; empty for an ink in its own right.
    uncertainty : float or None
        How far the measured colours, coats too, may be off: CIEDE2000, plus or minus; None where nobody measured.

    Raises
    ------
    DesignError
        If the name is empty, the role unknown, or a number out of its range.
    """

    name: str
    colour: Colour
    role: str = ""
    share: float | None = None
    coats: tuple[Colour, ...] = ()
    tip: float | None = None
    bleed: float | None = None
    paper: bool = False
    uncertainty: float | None = None
    shades: str = ""

    def __post_init__(self) -> None:
        """Refuse what no ink can be."""
        if not self.name.strip():
            raise DesignError("an ink has no name", remedy='give it one, such as name = "clay"')
        if self.role and self.role not in ROLES:
            raise DesignError(
                f"the ink {self.name!r} has the unknown role {self.role!r}",
                remedy=f"the roles are {', '.join(ROLES)}",
            )
        if self.share is not None and not 0.0 <= self.share <= 1.0:
            raise self._refusal("share", self.share, "a part of the whole, from 0 to 1")
        if self.tip is not None and not 0.0 < self.tip < math.inf:
            raise self._refusal("tip", self.tip, "a width in mm above 0")
        if self.bleed is not None and not 0.0 <= self.bleed < math.inf:
            raise self._refusal("bleed", self.bleed, "a width in mm, 0 or more")
        if self.uncertainty is not None and not 0.0 <= self.uncertainty <= 100.0:
            raise self._refusal("uncertainty", self.uncertainty, "a CIEDE2000 difference, from 0 to 100")
        if self.paper and self.coats:
            raise DesignError(
                f"the ink {self.name!r} is bare paper and has coats", remedy="leave its coats out"
            )

    def _refusal(self, key: str, value: float, due: str) -> DesignError:
        return DesignError(f"the ink {self.name!r} has {key} = {value:g}", remedy=f"{key} is {due}")
