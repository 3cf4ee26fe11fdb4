"""How a plan is to look: colours for ground, inks, coats, lines and border, all as "#rrggbb", sizes in mm."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class InkLook:
    """One ink as it is drawn: its name, its colour, and the colours of its shading coats (none: not shaded)."""

    name: str
    colour: str
    coats: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class BorderLook:
    """A band round the field.

    Attributes
    ----------
    colour : str
        Of the band and the line.
    width : float
        Of the band, mm.
    double : bool
        Whether a thin second line runs inside the band, with bare paper between.
    gap : float
        Bare paper between border and field, mm.
    """

    colour: str
    width: float
    double: bool = False
    gap: float = 0.0

    @property
    def line(self) -> float:
        """Width of the second line, mm."""
        return self.width * 0.25

    @property
    def depth(self) -> float:
        """What it takes off each side of the field, mm."""
        inner = self.width * 0.35 + self.line if self.double else 0.0
        return self.width + inner + self.gap


@dataclass(frozen=True, slots=True)
class Look:
    """Everything about a mock-up's look but the pattern itself.

    Attributes
    ----------
    paper : str
        Colour of the bare paper.
    ground : str
        Colour behind the shapes; the paper's own where it is left bare.
    inks : tuple of InkLook
        By position in the palette.
    line : str or None
        Colour of line work and outlines; None: no lines.
    line_width : float
        Width of outlines and line work, mm.
    outline : bool
        Whether every part is outlined.
    shade_width : float
        Width of the edge shading, mm; 0 for none.
    shade_parts : frozenset of str
        Part names that are shaded; empty for all.
    border : BorderLook or None
        The border round the field.
    """

    paper: str
    ground: str
    inks: tuple[InkLook, ...]
    line: str | None = None
    line_width: float = 0.4
    outline: bool = True
    shade_width: float = 0.0
    shade_parts: frozenset[str] = frozenset()
    border: BorderLook | None = None
