"""The guts of ``preview --tile``: one seamless unit of a repeat, for production."""

from dataclasses import dataclass
from pathlib import Path
from typing import Final

from mockup.errors import DesignError
from mockup.geometry.planegroups import HEXAGONAL, SQUARE
from mockup.jobs.inks import place
from mockup.jobs.looks import look_of
from mockup.jobs.piece import Piece
from mockup.jobs.planned import Spreading
from mockup.jobs.preview import draw_design
from mockup.jobs.progress import Say, Tell, quiet, silent
from mockup.jobs.targets import beside, suffix
from mockup.rendering.canvas import picture_size
from mockup.rendering.scene import Scene
from mockup.sheets.files import mark
from mockup.sheets.formats import as_file
from mockup.sheets.preview import unit
from mockup.units import MM_PER_INCH, both_sides, plain

_NEAR: Final = 12
"""How many pixels more or fewer a drawing may be wide to be called near."""

_WHOLE: Final = 0.01
"""Pixels by which a side may miss a whole number and still count as one."""


@dataclass(frozen=True, slots=True)
class Fit:
    """A unit on pixels: its size in mm, columns and rows, and the pixels an inch that this gives each way."""

    size: tuple[float, float]
    pixels: tuple[int, int]

    @property
    def dpi(self) -> tuple[float, float]:
        """Pixels an inch, across and down."""
        across, down = (
            count * MM_PER_INCH / side for count, side in zip(self.pixels, self.size, strict=True)
        )
        return across, down

    def words(self) -> str:
        """Say it in one line."""
        across, down = (plain(dpi, 2) for dpi in self.dpi)
        dpi = across if across == down else f"{across} x {down}"
        return f"tile of {both_sides(*self.size)}, {self.pixels[0]} x {self.pixels[1]} pixels, {dpi} dpi"


def tile_design(
    path: Path,
    target: Path | None = None,
    *,
    dpi: float = 300.0,
    exact: bool = False,
    way: str | None = None,
    force: bool = False,
    tell: Tell = quiet,
    say: Say = silent,
) -> Path:
    """Draw one unit of a design's repeat, colours included, and write it.

    Left out, the target is a PNG beside the design, named after it and "-tile". Where a side is no whole number of
    pixels at so many ``dpi``, it is rounded, and so is the dpi; ``exact`` refuses to. ``say`` hears what the tile came
    out as. All else is as for `draw_design`.

    Raises
    ------
    MockupError
        As there; a design that does not repeat; a unit that is no whole number of pixels where that is asked for.
    """
    told: list[str] = []

    def composed(spreading: Spreading, ending: str) -> bytes:
        piece, scene = spreading.piece, tile_scene(spreading)
        fit = Fit((scene.width, scene.height), picture_size(scene, dpi)) if ending == ".png" else None
        if fit and exact:
            _refuse_rounding(fit, dpi, spreading)
        told.append(fit.words() if fit else f"tile of {both_sides(scene.width, scene.height)}")
        if piece.design.sheet.grain:
            told.append("the grain of the paper is left out of a tile")
        return as_file(scene, ending, mark(piece.name), dpi, written=fit.dpi if fit else None)

    target = target or beside(path, f"{suffix(way)}-tile.png")
    done = draw_design(path, target, composed, _refuse_single, way=way, force=force, tell=tell)
    for line in told:
        say(line)
    return done


def tile_scene(spreading: Spreading) -> Scene:
    """Compose one unit of a piece whose inks are spread, at true size."""
    piece = spreading.piece
    return unit(piece.tile, spreading.plan, look_of(piece), piece.design.title or piece.name)


def _refuse_single(piece: Piece) -> None:
    if not piece.layout.steps:
        raise DesignError(
            "is one sheet that does not repeat, and so has no tile",
            where=_name(piece),
            remedy="draw it without --tile, or choose another repeat",
        )
    if piece.single:
        raise DesignError(
            'colour_repeat = "none" inks every region of the sheet by itself, and so there is no tile',
            where=_name(piece),
            remedy='leave it out, or write "smallest"',
        )


def _refuse_rounding(fit: Fit, dpi: float, spreading: Spreading) -> None:
    wanted = [side * dpi / MM_PER_INCH for side in fit.size]
    if all(abs(side - whole) <= _WHOLE for side, whole in zip(wanted, fit.pixels, strict=True)):
        return
    across, down = (plain(side, 2) for side in wanted)
    raise DesignError(
        f"the unit of {plain(fit.size[0], 4)} x {plain(fit.size[1], 4)} mm is {across} x {down} pixels at "
        f"{plain(dpi, 2)} dpi, no whole number",
        where=_name(spreading.piece),
        remedy=f"{_sizes(fit, dpi, spreading)}, or leave --exact out",
    )


def _sizes(fit: Fit, dpi: float, spreading: Spreading) -> str:
    """Name the nearest sizes of a tile of which the unit is a whole number of pixels."""
    repeat = spreading.piece.layout.repeat
    if repeat in HEXAGONAL:
        return "hardly any cell of 60 degrees is a whole number of pixels both ways: choose an SVG or a PDF"
    if spreading.piece.design.drawing:
        return _widths(fit, dpi, (spreading.tiles or (1, 1))[0])
    tiles = spreading.tiles or (1, 1)
    told = []
    for side, pixels, count in zip(fit.size, fit.pixels, tiles, strict=True):
        other = pixels + (1 if side * dpi / MM_PER_INCH > pixels else -1)
        near = sorted((pixels, max(other, 1)), key=lambda whole: abs(whole * MM_PER_INCH / dpi - side))
        told.append([plain(whole * MM_PER_INCH / dpi / count, 6) for whole in near])
    if repeat in SQUARE or told[0] == told[1]:
        return f"make the tile {told[0][0]} or {told[0][1]} mm"
    return f"make the tile {told[0][0]} or {told[0][1]} mm wide and {told[1][0]} or {told[1][1]} mm high"


def _widths(fit: Fit, dpi: float, tiles: int) -> str:
    """Name the nearest widths of a drawing at which its unit's height is a whole number of pixels, too."""
    fine, ratio = dpi / MM_PER_INCH, fit.size[1] / fit.size[0]
    wanted, middle = fit.size[0] * fine, fit.pixels[0]
    pixels = sorted(range(max(1, middle - _NEAR), middle + _NEAR), key=lambda count: abs(count - wanted))
    fitting = [count for count in pixels if abs(count * ratio - round(count * ratio)) <= _WHOLE]
    if not fitting:
        return "no width near it fits both ways: choose an SVG or a PDF"
    return f"write width = {' or '.join(plain(count / fine / tiles, 6) for count in fitting[:2])}"


def _name(piece: Piece) -> str:
    return place(piece.design, "[drawing]" if piece.design.drawing else "[pattern]")
