"""How a plan is to look: colours for ground, inks, coats, lines and border, all as "#rrggbb", sizes in mm."""

from dataclasses import dataclass

from mockup.geometry.shading import Shade
from mockup.pattern.frieze import Strip


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
    motifs : bool
        Whether motifs run along the sides in place of a band, with a thin line inside.
    strip : Strip or None
        Those motifs, mm on the sheet.
    ink : int or None
        Position of its ink in the palette.
    coats : tuple of str
        Colours of the coats that shade those motifs, the widest band first; none: not shaded.
    """

    colour: str
    width: float
    double: bool = False
    gap: float = 0.0
    motifs: bool = False
    strip: Strip | None = None
    ink: int | None = None
    coats: tuple[str, ...] = ()

    @property
    def line(self) -> float:
        """Width of the second line, mm."""
        return self.width * 0.25

    @property
    def edge(self) -> float:
        """Width of the line between a strip of motifs and the field, mm."""
        return max(0.4, self.width * 0.05) if self.motifs else 0.0

    @property
    def depth(self) -> float:
        """What it takes off each side of the field, mm."""
        if self.motifs:
            return self.width + self.edge + self.gap
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
    shade : Shade or None
        How shapes are shaded; None: not at all.
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
    shade: Shade | None = None
    shade_parts: frozenset[str] = frozenset()
    border: BorderLook | None = None
