"""The demo's sheet of shadings: one plan in the four styles."""

from dataclasses import replace
from pathlib import Path
from typing import Final

from mockup.design.reading import parse_design
from mockup.geometry.shading import STYLES
from mockup.jobs.looks import look_of
from mockup.jobs.piece import read_piece
from mockup.jobs.spreading import spread_piece
from mockup.rendering.scene import Scene
from mockup.resources import data
from mockup.sheets.formats import as_file
from mockup.sheets.shadings import Shaded, shadings_sheet

DESIGN: Final = "posy"
_FIELD: Final = (108.0, 70.0)
_DPI: Final = 150.0
_MEANING: Final = {
    "ends": "both ends of each shape, along its own length",
    "one-end": "the inner end, twice as far in",
    "side": "the side away from the light, which turns with the motif",
    "rim": "all round",
}


def posy_text() -> str:
    """Give the design that the sheet is drawn from."""
    return (data("gallery") / "demo" / f"{DESIGN}.toml").read_text(encoding="utf-8")


def shadings_scene() -> Scene:
    """Compose the sheet."""
    file = f"{DESIGN}.toml"
    found = spread_piece(read_piece(parse_design(posy_text(), where=file, file=Path(file))))
    look = look_of(found.piece)
    assert look.shade is not None
    styles = [
        Shaded(style, _MEANING[style], replace(look, shade=replace(look.shade, style=style)))
        for style in STYLES
    ]
    wish = found.piece.design.shading
    heading = f"Edge shading: {wish.width:g} mm, {wish.coats} coats of the same pen"
    return shadings_sheet(found.piece.tile, found.plan, styles, _FIELD, heading)


def shadings_file(made_for: str) -> bytes:
    """Write the sheet as a PNG with a mark."""
    return as_file(shadings_scene(), ".png", made_for, _DPI)
