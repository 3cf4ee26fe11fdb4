"""The look of a piece: its inks as colours, coats, lines and border, and what sheets say of it."""

from dataclasses import replace
from typing import cast

from mockup.colour.ink import Ink
from mockup.colour.layering import Layer, darker_pen, next_darker, shading
from mockup.colour.palette import SidePalette
from mockup.design.records import Design
from mockup.geometry.shading import Shade, Style
from mockup.jobs.inks import colour_of
from mockup.jobs.piece import Piece
from mockup.jobs.planned import Spreading
from mockup.rendering.look import BorderLook, InkLook, Look
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
    wish = design.line.outline
    outline = not (dark_ground or piece.layout.lined) if wish is None else wish
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
        shade=_shade(design) if shaded else None,
        shade_parts=frozenset(design.shading.only),
        border=_border(piece, shaded),
    )


def _border(piece: Piece, shaded: bool) -> BorderLook | None:
    """Give the border, with the coats that shade its motifs; where only some parts are shaded it has none."""
    wanted = shaded and not piece.design.shading.only
    if piece.border is None or piece.border.ink is None or not (wanted and piece.border.motifs):
        return piece.border
    ink = piece.palette.inks[piece.border.ink]
    return replace(piece.border, coats=_ink_look(ink, piece, shaded).coats)


def _shade(design: Design) -> Shade:
    """Say how shapes are shaded."""
    wish = design.shading
    return Shade(cast(Style, wish.style), wish.width, wish.coats, wish.light)


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
    if _guessed(piece):
        notes.append("coats: a guess, test on paper")
    return [note for note in notes if note]


def _guessed(piece: Piece) -> bool:
    """Tell whether a coat that shades is shown in a colour that nobody measured."""
    if piece.design.shading.style == "none":
        return False
    shades = [_shades(ink, piece) for ink in piece.palette.inks]
    shades += [_skin_shades(ink, side, piece) for side in piece.palette.side for ink in side.inks]
    return any(layer.guessed for layers in shades for layer in layers)


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
    """Give an ink's colour and its coats' from the widest band inward."""
    layers = _shades(ink, piece) if shaded else []
    return InkLook(ink.name, piece.shown(ink).hex, tuple(layer.colour.hex for layer in layers))


def _shades(ink: Ink, piece: Piece) -> list[Layer]:
    """Give the coats that shade an ink; bare paper and the dark are not shaded."""
    if ink.paper or ink.name == piece.palette.darkest.name:
        return []
    pen = ink
    if piece.design.shading.pen == "darker":
        pen = darker_pen(ink, piece.palette, piece.paper)
    return _coats(ink, pen, piece)


def _skin_look(ink: Ink, side: SidePalette, piece: Piece, shaded: bool) -> InkLook:
    """Give a skin ink's colour and its coats'."""
    layers = _skin_shades(ink, side, piece) if shaded else []
    return InkLook(ink.name, piece.shown(ink).hex, tuple(layer.colour.hex for layer in layers))


def _skin_shades(ink: Ink, side: SidePalette, piece: Piece) -> list[Layer]:
    """Give the coats that shade a skin ink: the next darker value of its own set, else its own pen."""
    pen = next_darker(ink, side.inks, piece.paper)
    return [] if pen.paper else _coats(ink, pen, piece)


def _coats(ink: Ink, pen: Ink, piece: Piece) -> list[Layer]:
    """Give the coats of a pen over an ink, one after the other."""
    return [shading(ink, pen, number, piece.paper) for number in range(1, piece.design.shading.coats + 1)]
