"""The design file as records: one dataclass a table, with the defaults that the trade would choose.

Lengths are mm, angles degrees, shares of 1. Colours, names and paths are plain text here; what they stand for
is found out by those who know inks, motifs and files.
"""

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path
from typing import Literal

from mockup.pattern.grown import Growth


@dataclass(frozen=True, slots=True)
class Sheet:
    """The paper: ``[sheet]``."""

    width: float = 210.0
    """Width, mm."""
    height: float = 297.0
    """Height, mm."""
    size_name: str | None = "A4"
    """Name of the paper; None where she gave width and height."""
    scale: float = 1.0
    """Drawn length over true length: 1:4 is 0.25."""
    scale_text: str = "1:1"
    """The scale as sheets print it."""
    margin: float = 8.0
    """Bare paper outside the border, mm."""
    paper: str | None = None
    """Colour of the paper, or its name in the box; None: the box's, else a warm white."""
    grain: bool = False
    """Whether the paper's grain shows."""


@dataclass(frozen=True, slots=True)
class InkSpec:
    """One ink: ``[[palette.ink]]``, or an ``ink`` of a side palette."""

    name: str
    """Her name for it; no other ink beside it has it."""
    colour: str | None = None
    """Colour on her paper, or "paper" (bare paper); None: looked up in the box by name."""
    role: str | None = None
    """dominant, dark, light or accent; None: worked out from the colours."""
    share: float | None = None
    """Target share of the coloured area, for ``balance = "own"``; None: a part of what is left."""
    coats: tuple[str, ...] = ()
    """Measured colours of the second coat, the third and so on."""
    tip: float | None = None
    """Width of the nib, mm; None: the box's, else unknown."""
    bleed: float | None = None
    """How far the ink creeps, mm; None: the box's, else unknown."""
    shades: str | None = None
    """Of a side palette: the ink that it shades; None: an ink in its own right."""


@dataclass(frozen=True, slots=True)
class SideSpec:
    """A palette that stands apart: ``[[palette.side]]``."""

    inks: tuple[InkSpec, ...]
    """Its inks, without role or share."""
    name: str = "skin"
    """What parts name in ``data-side``."""
    per: str = "figure"
    """piece or figure: what takes one base ink."""


@dataclass(frozen=True, slots=True)
class PaletteSpec:
    """The inks of the piece, in her order: ``[palette]``."""

    inks: tuple[InkSpec, ...]
    """One to twelve inks."""
    box: str | None = None
    """File of all her inks, where names alone are looked up."""
    side: tuple[SideSpec, ...] = ()
    """Side palettes."""


@dataclass(frozen=True, slots=True)
class MotifSpec:
    """One motif of the pattern."""

    name: str
    """Library name, or an SVG file beside the design file; of one that grows what it is called."""
    scale: float | None = None
    """Factor on its natural size; None: 1, or what fits."""
    turn: float = 0.0
    """Turn, degrees clockwise as seen."""
    often: float | None = None
    """Tossed: how often it comes, by number, beside the others; None: by its size."""
    strokes: str = "lines"
    """lines, or parts: what strokes without fill become."""
    grow: Growth | None = None
    """What it grows from; None: it is drawn."""


@dataclass(frozen=True, slots=True)
class Pattern:
    """Motifs tiled into a repeat: ``[pattern]``."""

    motifs: tuple[MotifSpec, ...]
    """At least one."""
    repeat: str = "half-drop"
    """One of ``keys.REPEATS`` or ``keys.PLANE_GROUPS``."""
    tile: tuple[float, float] | None = None
    """Width of one column and full height, mm; None: from the motifs' natural sizes."""
    grid: tuple[int, int] | None = None
    """Places across and down in one tile; None: the fewest that hold all."""
    drop: Fraction | None = None
    """How far a column or row is moved, in lowest terms; None: a half (p1, p2: no move)."""
    count: int | None = None
    """Tossed: placed motifs in one tile; None: from tile and coverage."""
    coverage: float = 0.55
    """Tossed: share of the tile that shapes cover."""
    directions: str = "tossed"
    """Tossed: one-way, two-way, four-way or tossed (any)."""
    gap: float = 1.5
    """Kept clear between motifs, mm."""
    cells: str | None = None
    """field, band or none: what is drawn of each place of ogee, diamond, scallop, stripe and ring; None: by repeat."""
    variant: int = 1
    """Another whole number: another arrangement."""


@dataclass(frozen=True, slots=True)
class Drawing:
    """A drawing of her own: ``[drawing]``."""

    file: str
    """SVG file."""
    width: float | None = None
    """Its true width, mm; None: as the file says."""
    repeat: str = "none"
    """none, straight, half-drop or brick: how the drawing steps as a unit."""
    drop: Fraction | None = None
    """Half-drop and brick: how far each column or row is moved, as a share of the drawing; None: a half."""
    strokes: str | None = None
    """regions (what lines close in), lines or parts (what strokes without fill are); None: by the drawing."""
    gap: float | None = None
    """Widest gap in a line that is closed where strokes make regions, mm; None: the usual."""
    ground: str | tuple[str, ...] = "auto"
    """What is left for the ground: auto, none (but the outside), or names and points of just that."""
    side: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """Side palette to the parts, groups, tints or points that belong to it."""
    groups: str | None = None
    """A roughly tinted copy (picture file): regions of one tint take one ink together."""


@dataclass(frozen=True, slots=True)
class Colouring:
    """How the inks are spread: ``[colouring]``."""

    ground: str = "paper"
    """light, dark, paper (bare), or an ink's name."""
    balance: str = "even"
    """even, led (the dominant leads) or own (from the inks' shares)."""
    colour_repeat: Literal["smallest", "none"] | tuple[int, int] = "smallest"
    """The smallest that works, none (one sheet, every region free), or tiles across and down."""
    copies: str = "free"
    """free, or alike: every copy of a motif inked alike."""
    symmetry: bool = False
    """Whether symmetric copies take the same ink."""
    only: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """Part name to the inks it may take."""
    fixed: Mapping[str, str] = field(default_factory=dict)
    """Place ("pear-3/body", "pear-3@2,1/body", "at 32,41" in mm; ``forms.read_place``) to ink."""
    start: str = "centre"
    """Where inking begins: centre, top-left, top-right, bottom-left or bottom-right."""
    plan: str | None = None
    """File of a plan that is followed exactly."""
    variant: int = 1
    """Another whole number: another spread."""
    reach: float | None = None
    """How far apart nodes may be and still face each other, mm; None: from the pattern."""


@dataclass(frozen=True, slots=True)
class Line:
    """Outlines and inner line work: ``[line]``."""

    ink: str = "dark"
    """dark, none, an ink's name, or a liner's colour."""
    outline: bool | None = None
    """Whether every part is outlined; None: unless the ground is dark, or a drawing's own lines run along its parts."""
    width: float = 0.4
    """Width of the line, mm."""


@dataclass(frozen=True, slots=True)
class Shading:
    """Coats along the edges of shapes: ``[shading]``."""

    style: str = "none"
    """none, ends, one-end, side or rim."""
    width: float = 2.0
    """Width of the band, mm."""
    coats: int = 1
    """Extra coats."""
    pen: str = "same"
    """same, or darker: the next darker ink of like hue."""
    light: float = 315.0
    """Where light comes from, degrees from 0 to under 360."""
    when: str = "last"
    """last or as-you-go: where the guide puts the coats."""
    only: tuple[str, ...] = ()
    """Part names that are shaded; empty: all."""


@dataclass(frozen=True, slots=True)
class Border:
    """What frames the field: ``[border]``."""

    style: str | None = None
    """none, plain, double or motifs; None: plain on one sheet, none on cloth."""
    width: float = 6.0
    """Width, mm."""
    motifs: tuple[str, ...] = ()
    """Motifs of ``style = "motifs"``; empty: the pattern's."""
    frieze: str | None = None
    """Motifs: one of ``keys.FRIEZES``; None: p1m1, alike at both ends."""
    ink: str = "dark"
    """dark, or an ink's name."""


@dataclass(frozen=True, slots=True)
class ColourwaySpec:
    """The same plan in other inks: ``[[colourway]]``."""

    name: str
    """What it is sold as; left out: "colourway" and its code."""
    code: str
    """Short sign; left out: the next free letter from B."""
    ground: str | None = None
    """Its ground; None: the same position as before."""
    inks: Mapping[str, str] = field(default_factory=dict)
    """Ink of the palette to the ink that takes its position."""


@dataclass(frozen=True, slots=True)
class Design:
    """A whole design file; exactly one of ``pattern`` and ``drawing`` is there."""

    palette: PaletteSpec
    """Her inks."""
    pattern: Pattern | None = None
    """Motifs in a repeat."""
    drawing: Drawing | None = None
    """Or her own drawing."""
    title: str = ""
    """Printed on sheets."""
    designer: str = ""
    """Printed on sheets."""
    client: str = ""
    """Printed on sheets."""
    date: datetime.date | None = None
    """Printed on sheets."""
    sheet: Sheet = field(default_factory=Sheet)
    """The paper."""
    colouring: Colouring = field(default_factory=Colouring)
    """How the inks are spread."""
    line: Line = field(default_factory=Line)
    """Line work."""
    shading: Shading = field(default_factory=Shading)
    """Edge shading."""
    border: Border = field(default_factory=Border)
    """The border."""
    colourways: tuple[ColourwaySpec, ...] = ()
    """The ones she sells."""
    file: Path | None = None
    """Where it was read from."""

    def beside(self, path: str) -> Path:
        """Give a file named in the design: relative paths hold from the design file's folder."""
        return self.file.parent / path if self.file else Path(path)
