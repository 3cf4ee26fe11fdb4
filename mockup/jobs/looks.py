"""The look of a piece: its inks as colours, coats, lines and border, and what sheets say of it."""

from mockup.colour.ink import Ink
from mockup.colour.layering import coat_colour, darker_pen, next_darker
from mockup.colour.palette import SidePalette
from mockup.jobs.inks import colour_of
from mockup.jobs.piece import Piece
from mockup.jobs.planned import Spreading
from mockup.rendering.look import InkLook, Look
from mockup.sheets.caption import KeyEntry, letters
from mockup.sheets.preview import Frame
from mockup.units import both_sides


def look_of(piece: Piece) -> Look:
    """Settle every colour and width of a piece."""
    design = piece.design
    shaded = design.shading.style != "none" and design.shading.width > 0
    line = _line_colour(piece)
    dark_ground = (
        piece.ground is not None and piece.palette.inks[piece.ground].name == piece.palette.darkest.name
    )
    outline = design.line.outline if design.line.outline is not None else not dark_ground
    return Look(
        paper=piece.paper.hex,
        ground=piece.ground_colour.hex,
        inks=(
            *(_ink_look(ink, piece, shaded) for ink in piece.palette.inks),
            *(_skin_look(ink, side, piece, shaded) for side in piece.palette.side for ink in side.inks),
        ),
        line=line,
        line_width=design.line.width,
        outline=outline,
        shade_width=design.shading.width if shaded else 0.0,
        shade_parts=frozenset(design.shading.only),
        border=piece.border,
    )


def frame_of(piece: Piece) -> Frame:
    """Sizes of the piece's sheet."""
    sheet = piece.design.sheet
    return Frame(sheet.width, sheet.height, piece.outer, piece.field, sheet.scale, sheet.margin)


def key_of(spreading: Spreading) -> list[KeyEntry]:
    """Key of the inks with their share of the shapes; after them those of the side palettes, which have none."""
    piece = spreading.piece
    inks, sides = piece.palette.every, piece.palette.sides
    shares = [*spreading.problem.shares(spreading.inks).tolist(), *[0.0] * len(inks)]
    return [
        KeyEntry(sign, ink.name, ink.role or side, share, piece.shown(ink).hex, side)
        for sign, ink, share, side in zip(letters(len(inks)), inks, shares, sides, strict=False)
    ]


def notes_of(piece: Piece) -> list[str]:
    """What the small print of a sheet says: title, who, when, ground, repeat, scale."""
    design = piece.design
    lattice = piece.tile.lattice
    notes = [design.title or piece.name, design.designer, f"for {design.client}" if design.client else ""]
    notes.append(design.date.isoformat() if design.date else "")
    notes.append(f"ground {piece.ground_name}")
    if not piece.layout.steps:
        kind = "" if piece.layout.repeat == "none" else f"{piece.layout.repeat} "
        notes.append(f"{kind}{both_sides(lattice.width, lattice.height)}")
    else:
        notes.append(f"{piece.layout.repeat} repeat {both_sides(lattice.width, lattice.height)}")
    notes.append(f"scale {design.sheet.scale_text}")
    return [note for note in notes if note]


def _line_colour(piece: Piece) -> str | None:
    wish = piece.design.line.ink
    if wish == "none" or piece.design.line.width <= 0:
        return None
    if wish == "dark":
        return piece.palette.darkest.colour.hex
    for ink in piece.palette.every:
        if wish.casefold() == ink.name.casefold():
            return ink.colour.hex
    return colour_of(wish, piece.design, "[line] ink").hex


def _ink_look(ink: Ink, piece: Piece, shaded: bool) -> InkLook:
    """Give an ink's colour and its coats' from the widest band inward; bare paper and the dark are not shaded."""
    colour = piece.shown(ink)
    if not shaded or ink.paper or ink.name == piece.palette.darkest.name:
        return InkLook(ink.name, colour.hex)
    coats = range(2, piece.design.shading.coats + 2)
    if piece.design.shading.pen == "darker":
        pen = darker_pen(ink, piece.palette, piece.paper)
        if pen.name != ink.name:
            return InkLook(
                ink.name, colour.hex, tuple(coat_colour(pen, coat - 1, piece.paper).hex for coat in coats)
            )
    return InkLook(ink.name, colour.hex, tuple(coat_colour(ink, coat, piece.paper).hex for coat in coats))


def _skin_look(ink: Ink, side: SidePalette, piece: Piece, shaded: bool) -> InkLook:
    """Give a skin ink's colour and its coats': the next darker value of its own set shades it, else its own pen."""
    colour = piece.shown(ink)
    pen = next_darker(ink, side.inks, piece.paper)
    if not shaded or pen.paper:
        return InkLook(ink.name, colour.hex)
    first = 2 if pen is ink else 1
    coats = range(first, piece.design.shading.coats + first)
    return InkLook(ink.name, colour.hex, tuple(coat_colour(pen, coat, piece.paper).hex for coat in coats))
