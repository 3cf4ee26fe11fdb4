"""From a design to the piece it describes: palette with roles, layout, visible regions, the field on the sheet."""

from dataclasses import dataclass, replace

from mockup.colour.conversion import Colour
from mockup.colour.ink import Ink
from mockup.colour.palette import Palette
from mockup.design.records import Design, MotifSpec
from mockup.errors import DesignError, DrawingError, UnknownNameError
from mockup.geometry.shapes import Box
from mockup.jobs.drawn import layout_of_drawing
from mockup.jobs.idle import refuse_what_is_idle
from mockup.jobs.inks import palette_of, place, sheet_of
from mockup.jobs.sides import sided
from mockup.pattern.arranging import Wish, arrange
from mockup.pattern.frieze import frieze
from mockup.pattern.grown import grown_motif
from mockup.pattern.motif import Motif
from mockup.pattern.motif_library import drawing_file, library_motif
from mockup.pattern.regions import Tile, visible
from mockup.pattern.repeat import SINGLE, Layout, Setting
from mockup.rendering.border import inside
from mockup.rendering.look import BorderLook


@dataclass(frozen=True, eq=False, slots=True)
class Piece:
    """A design made concrete.

    Attributes
    ----------
    design : Design
        As it was read.
    palette : Palette
        Inks with their roles.
    paper : Colour
        The paper's colour.
    ground : int or None
        The ground's ink; None for bare paper that is no ink of the palette.
    layout : Layout
        Motifs of one tile.
    tile : Tile
        Their visible regions.
    single : bool
        One sheet inked by hand: every region free.
    outer, field : Box
        Outer edge of the border and field inside it, on the sheet, mm.
    border : BorderLook or None
        The border, its size in mm on the sheet.
    unsided : tuple of str
        Sides that parts name and the palette does not have: such parts take its inks like any others.
    """

    design: Design
    palette: Palette
    paper: Colour
    ground: int | None
    layout: Layout
    tile: Tile
    single: bool
    outer: Box
    field: Box
    border: BorderLook | None
    unsided: tuple[str, ...] = ()

    @property
    def field_size(self) -> tuple[float, float]:
        """Width and height of the field at true size, mm."""
        scale = self.design.sheet.scale
        return (self.field[2] - self.field[0]) / scale, (self.field[3] - self.field[1]) / scale

    def shown(self, ink: Ink) -> Colour:
        """Colour of an ink on the sheet; what is left bare shows the paper's."""
        return self.paper if ink.paper else ink.colour

    @property
    def colours(self) -> list[Colour]:
        """Colours of the palette's inks on the sheet."""
        return [self.shown(ink) for ink in self.palette.inks]

    @property
    def ground_colour(self) -> Colour:
        """Colour of the ground."""
        return self.paper if self.ground is None else self.palette.inks[self.ground].colour

    @property
    def ground_name(self) -> str:
        """The ground's ink by name, or "paper"."""
        return "paper" if self.ground is None else self.palette.inks[self.ground].name

    @property
    def name(self) -> str:
        """Name of the design: its file's stem, else its title."""
        return self.design.file.stem if self.design.file else self.design.title or "mockup"


def read_piece(design: Design) -> Piece:
    """Make a design concrete.

    Raises
    ------
    MockupError
        Whatever of it cannot be followed: unknown names, unreadable files, colours, a field that is too small.
    """
    refuse_what_is_idle(design)
    sheet = sheet_of(design)
    paper, palette = sheet.paper, palette_of(design, sheet)
    ground = ground_of(design.colouring.ground, palette, place(design, "[colouring] ground"))
    single = design.colouring.colour_repeat == "none" or _repeat(design) in SINGLE
    border = _border(design, palette, paper, ground, single)
    layout, unsided = sided(
        layout_of(design, _room(design, border)),
        palette,
        place(design, "[[palette.side]]"),
        design.drawing is not None,
    )
    outer, field = _frames(design, layout, border)
    tile = visible(layout)
    if not tile.nodes:
        raise DrawingError("nothing of the motifs is to be seen", where=place(design, "[pattern]"))
    border = _with_strip(design, border, outer)
    return Piece(design, palette, paper, ground, layout, tile, single, outer, field, border, unsided)


def ground_of(ground: str, palette: Palette, where: str = "") -> int | None:
    """Position of the ground's ink; None for bare paper that is no ink of the palette.

    Raises
    ------
    UnknownNameError
        No ink has that name; ``where`` is told with it.
    """
    if ground == "paper":
        papers = [position for position, ink in enumerate(palette.inks) if ink.paper]
        return papers[0] if papers else None
    if ground in {"light", "dark"}:
        ink = palette.lightest if ground == "light" else palette.darkest
        return palette.position(ink.name)
    return _position(ground, palette, where)


def _position(name: str, palette: Palette, where: str) -> int:
    """Position of an ink by name, telling where it is named if there is none."""
    try:
        return palette.position(name)
    except UnknownNameError as error:
        raise UnknownNameError(error.what, where=where, remedy=error.remedy) from None


def _repeat(design: Design) -> str:
    if design.drawing:
        return design.drawing.repeat
    return design.pattern.repeat if design.pattern else ""


def _room(design: Design, border: BorderLook | None) -> tuple[float, float]:
    """Width and height of the field inside the border at true size, mm."""
    sheet = design.sheet
    eaten = 2 * (sheet.margin + (border.depth if border else 0.0))
    return max(sheet.width - eaten, 1.0) / sheet.scale, max(sheet.height - eaten, 1.0) / sheet.scale


def layout_of(design: Design, room: tuple[float, float]) -> Layout:
    """Lay out the motifs or the drawing; ``room`` (mm) is the sheet's field."""
    if design.drawing:
        return layout_of_drawing(design)
    pattern = design.pattern
    assert pattern is not None
    settings = [Setting(_motif(spec, design), spec.scale, spec.turn, spec.often) for spec in pattern.motifs]
    wish = Wish(
        repeat=pattern.repeat,
        tile=pattern.tile,
        grid=pattern.grid,
        drop=pattern.drop,
        count=pattern.count,
        coverage=pattern.coverage,
        gap=pattern.gap,
        directions=pattern.directions,
        variant=pattern.variant,
        cells=pattern.cells,
        room=room,
    )
    try:
        return arrange(settings, wish)
    except DesignError as error:
        raise DesignError(error.what, where=place(design, "[pattern]"), remedy=error.remedy) from None


def _motif(spec: MotifSpec, design: Design) -> Motif:
    """Read a motif: one that grows, a file beside the design (named with an ending or a folder), or the library's."""
    parts = spec.strokes == "parts"
    if spec.grow:
        return grown_motif(spec.grow, spec.name, stroke_parts=parts)
    if spec.name.lower().endswith(".svg") or "/" in spec.name or "\\" in spec.name:
        return drawing_file(design.beside(spec.name), stroke_parts=parts)
    return library_motif(spec.name, stroke_parts=parts)


def _border(
    design: Design, palette: Palette, paper: Colour, ground: int | None, single: bool
) -> BorderLook | None:
    """Settle the border: darkest unless told otherwise; on a ground of its own ink the dominant, paper between."""
    style = design.border.style or ("plain" if single else "none")
    if style == "none" or design.border.width <= 0:
        return None
    ink = palette.darkest
    if design.border.ink != "dark":
        ink = palette.inks[_position(design.border.ink, palette, place(design, "[border] ink"))]
    gap = 0.0
    if ground is not None and palette.position(ink.name) == ground:
        others = [other for other in palette.inks if other.name != ink.name and not other.paper]
        ink = (
            palette.dominant
            if palette.dominant and palette.dominant.name != ink.name
            else (others or [ink])[0]
        )
        gap = round(min(2.0, design.border.width / 3), 2)
    colour = paper if ink.paper else ink.colour
    motifs, position = style == "motifs", palette.position(ink.name)
    return BorderLook(colour.hex, design.border.width, style == "double", gap, motifs, ink=position)


def _with_strip(design: Design, border: BorderLook | None, outer: Box) -> BorderLook | None:
    """Set a border's motifs along the inside of a box: its own, else the pattern's."""
    if border is None or not border.motifs:
        return border
    names = [MotifSpec(name) for name in design.border.motifs]
    specs = names or list(design.pattern.motifs if design.pattern else ())
    try:
        strip = frieze(
            [_motif(s, design) for s in specs], outer, border.width, design.border.frieze or "p1m1"
        )
    except DesignError as error:
        raise DesignError(error.what, where=place(design, "[border]"), remedy=error.remedy) from None
    return replace(border, strip=strip)


def _frames(design: Design, layout: Layout, border: BorderLook | None) -> tuple[Box, Box]:
    """Outer edge of the border and the field inside it, mm on the sheet; a drawing lies in the middle."""
    sheet = design.sheet
    outer = (sheet.margin, sheet.margin, sheet.width - sheet.margin, sheet.height - sheet.margin)
    field = inside(outer, border)
    if layout.repeat == "none":
        width, height = (side * sheet.scale for side in layout.lattice.size(1, 1))
        if width > field[2] - field[0] + 0.01 or height > field[3] - field[1] + 0.01:
            raise DesignError(
                f"the drawing of {width:.0f} x {height:.0f} mm does not fit into the sheet's field of "
                f"{max(field[2] - field[0], 0):.0f} x {max(field[3] - field[1], 0):.0f} mm",
                where=place(design, "[sheet]"),
                remedy="choose a larger size, a smaller scale or a smaller width of the drawing",
            )
        depth = border.depth if border else 0.0
        x, y = (sheet.width - width) / 2, (sheet.height - height) / 2
        field = (x, y, x + width, y + height)
        outer = (x - depth, y - depth, x + width + depth, y + height + depth)
    if field[2] - field[0] < 5 or field[3] - field[1] < 5:
        raise DesignError(
            "margin and border leave no room for the pattern",
            where=place(design, "[sheet]"),
            remedy="make the margin or the border narrower",
        )
    return outer, field


def recoloured(piece: Piece, palette: Palette, ground: int | None) -> Piece:
    """Give the same piece in other inks: positions stay, the border follows."""
    border = _border(piece.design, palette, piece.paper, ground, piece.single)
    kept = (border and piece.border and border.depth == piece.border.depth) or border is piece.border
    if kept:
        if border and piece.border:
            border = replace(border, strip=piece.border.strip)
        return replace(piece, palette=palette, ground=ground, border=border)
    outer, field = _frames(piece.design, piece.layout, border)
    border = _with_strip(piece.design, border, outer)
    return replace(piece, palette=palette, ground=ground, border=border, outer=outer, field=field)
