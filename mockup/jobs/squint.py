"""The guts of ``check --squint``: where each ink lies, and the piece as from afar, on one sheet."""

import math
from pathlib import Path
from typing import Final

import numpy as np

from mockup.colouring.measure import MAX_BLUR, lump_field
from mockup.colouring.problem import Floats
from mockup.geometry.grains import covered
from mockup.jobs.check import Report
from mockup.jobs.exchanging import nodes_of
from mockup.jobs.looks import look_of
from mockup.jobs.planned import Spreading
from mockup.pattern.field import origin
from mockup.rendering.afar import mixed
from mockup.rendering.scene import Scene
from mockup.sheets.caption import letters
from mockup.sheets.files import check_targets, mark, write
from mockup.sheets.formats import as_file, check_ending
from mockup.sheets.squint import InkMap, Squint, squint_sheet

AFAR: Final = 0.6
"""Blur of the view from afar, in mean spacings of the shapes: they run into each other, lumps do not."""

_GRAINS: Final = 4.0


def check_target(design: Path, target: Path, *, force: bool = False) -> None:
    """Find out whether the sheet may be written, before anything is worked out.

    Raises
    ------
    FileError
        It may not, or its name has another ending than .png, .svg or .pdf.
    """
    check_ending(target)
    check_targets({target: None}, mark(design.stem), force=force)


def write_squint(report: Report, target: Path, *, dpi: float = 300.0, force: bool = False) -> Path:
    """Draw the sheet of a measured plan and write it.

    Raises
    ------
    FileError
        The target cannot be written.
    """
    made_for = mark(report.spreading.piece.name)
    content = as_file(squint_scene(report), check_ending(target), made_for, dpi)
    return write(target, content, made_for, force=force)


def squint_scene(report: Report) -> Scene:
    """Compose the sheet of a measured plan."""
    spreading = report.spreading
    piece, wraps = spreading.piece, spreading.plan.tiles is not None
    single = not wraps and piece.layout.steps
    spacing = _spacing(spreading)
    shown = Squint(
        tile=piece.tile,
        plan=spreading.plan,
        look=look_of(piece),
        cell=spreading.cell,
        wraps=wraps,
        start=origin(piece.tile, *spreading.cell) if single else (0.0, 0.0),
        afar=from_afar(spreading, AFAR * spacing),
        blur=AFAR * spacing,
        maps=_maps(report),
    )
    return squint_sheet(shown, piece.design.title or piece.name, _notes(report))


def from_afar(spreading: Spreading, blur: float) -> Floats:
    """Give a plan's cell as it looks from afar, (rows, columns, 3) sRGB; ``blur`` in mm."""
    piece, grain, wraps = spreading.piece, blur / _GRAINS, spreading.plan.tiles is not None
    shares = []
    for ink in range(len(piece.palette.every)):
        own = [
            row.seen for row, taken in zip(spreading.rows, spreading.plan.inks, strict=True) if taken == ink
        ]
        shares.append(covered(own, spreading.cell, grain, wraps))
    colours = [piece.shown(ink).hex for ink in piece.palette.every]
    return mixed(np.array(shares), colours, piece.ground_colour.hex, spreading.cell, blur=blur, wraps=wraps)


def _spacing(spreading: Spreading) -> float:
    """Mean spacing of the shapes, mm, as the measures count it."""
    return math.sqrt(spreading.cell[0] * spreading.cell[1] / spreading.problem.count)


def _maps(report: Report) -> tuple[InkMap, ...]:
    """Work out each ink's map from the lump field."""
    spreading, figures = report.spreading, report.figures
    inks = spreading.piece.palette.inks
    field, step = excess_in(spreading, figures.target)
    maps = []
    for number, (letter, ink) in enumerate(zip(letters(len(inks)), inks, strict=True)):
        own = np.nan_to_num(field[number], nan=-np.inf)
        row, column = np.unravel_index(int(own.argmax()), own.shape)
        colour = spreading.piece.shown(ink).hex
        worst = float(column * step[0]), float(row * step[1]), float(own[row, column])
        share, target = float(figures.shares[number]), float(figures.target[number])
        maps.append(InkMap(letter, ink.name, ink.role, colour, share, target, field[number], worst))
    return tuple(maps)


def excess_in(spreading: Spreading, target: Floats) -> tuple[Floats, tuple[float, float]]:
    """Give each ink's excess over its target at the corners of a grid on the cell, and the grid's steps in mm.

    It is ``measure.lump_field``, but of a sheet only what lies on it; NaN where next to nothing is inked.
    """
    nodes = nodes_of(spreading)
    field, step = lump_field(nodes, spreading.inks, target, MAX_BLUR)
    if not nodes.wraps:
        rows, columns = (
            round(side / grain) for side, grain in zip(nodes.cell[::-1], step[::-1], strict=True)
        )
        rim = (field.shape[1] - rows) // 2
        field = field[:, rim : rim + rows + 1, rim : rim + columns + 1]
    return field, step


def _notes(report: Report) -> list[str]:
    """What the small print says."""
    design, piece = report.spreading.piece.design, report.spreading.piece
    notes = ["squint view", design.designer, design.date.isoformat() if design.date else ""]
    notes += [f"ground {piece.ground_name}", f"inked as in {report.plan}" if report.plan else ""]
    notes.append(f"evenness {report.figures.lump_ratio:.2f} (1 is chance, 0 perfect)")
    return [note for note in notes if note]
