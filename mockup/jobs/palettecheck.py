"""The guts of ``palette check``: roles worked out, and what of a palette should be looked at before it is used."""

import math
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from mockup.colour.apart import Finding
from mockup.colour.conversion import Colour
from mockup.colour.ink import Ink
from mockup.colour.judging import Drawing, advised, judged
from mockup.colour.layering import UNMEASURED
from mockup.colour.palette import Palette
from mockup.colour.roles import GIVEN, account, with_roles
from mockup.design.palettefile import read_palette
from mockup.design.records import Design
from mockup.geometry.shapes import area
from mockup.jobs.inks import ALIKE, Sheet, as_written, sheet_of
from mockup.jobs.offers import Line, ink_lines
from mockup.jobs.piece import Piece, ground_of, read_piece
from mockup.jobs.progress import Tell, quiet

SMALLER = 0.25
"""Part of the shapes that count as the smaller ones."""


@dataclass(frozen=True, eq=False, slots=True)
class PaletteReport:
    """A palette with its roles, why it has them, what it is for, and what was found.

    ``ground`` is None for a palette by itself.
    """

    name: str
    palette: Palette
    paper: Colour
    account: tuple[str, ...]
    drawing: Drawing | None
    ground: Ink | None
    findings: tuple[Finding, ...]


def check_palette(path: Path, tell: Tell = quiet) -> PaletteReport:
    """Judge the palette of a design file, or a palette by itself.

    Parameters
    ----------
    path : Path
        A design file, or TOML or CSV with a palette alone: then nothing is said of number and ground.
    tell : callable
        Hears how far the job is.

    Raises
    ------
    MockupError
        Whatever of the file cannot be followed.
    """
    tell("reading the palette", 0.0)
    design = read_palette(path)
    sheet = sheet_of(design)
    given = as_written(design, sheet)
    palette = with_roles(given)
    drawing = ground = None
    if design.pattern or design.drawing:
        tell("measuring the shapes", 0.3)
        piece = read_piece(design)
        drawing, ground = drawing_of(piece), _ground(design, palette, sheet)
    findings = (*judged(palette, drawing, ground), *_paper(sheet), *_unmeasured(palette))
    return PaletteReport(path.name, palette, sheet.paper, account(given), drawing, ground, findings)


def drawing_of(piece: Piece) -> Drawing:
    """Measure what a palette is for: one repeat, or what of it lies on the sheet where every shape is free."""
    lattice = piece.tile.lattice
    own = [not node.side or node.side in piece.unsided for node in piece.tile.nodes]
    sizes = np.array([area(region.seen) for region in piece.tile.regions if own[region.node]])
    width, height = lattice.width, lattice.height
    times = 1.0
    if piece.single:
        times = max(1.0, math.prod(piece.field_size) / (width * height))
    count = max(1, round(sum(own) * times))
    smaller = float(np.sqrt(np.quantile(sizes, SMALLER)))
    return Drawing(count, width * height * times / 100, smaller)


def _ground(design: Design, palette: Palette, sheet: Sheet) -> Ink:
    position = ground_of(design.colouring.ground, palette, "")
    if position is None:
        return Ink("bare paper", sheet.paper, paper=True)
    return palette.inks[position]


def _paper(sheet: Sheet) -> list[Finding]:
    """Tell where the inks were tried on a paper of slightly another colour."""
    if sheet.strange <= ALIKE:
        return []
    return [
        Finding(
            "paper",
            False,
            f"the inks of the box were tried on another paper (CIEDE2000 {sheet.strange:.0f} from this one)",
            "try them on this paper; their colours hold for the paper they are on",
            "ISO 17972-4: ink data hold for one ink on one paper",
        )
    ]


def _unmeasured(palette: Palette) -> list[Finding]:
    """Tell how sure the colours are where her box says so."""
    told = [ink for ink in palette.every if ink.uncertainty is not None and ink.uncertainty >= UNMEASURED]
    if not told:
        return []
    names = ", ".join(f"{ink.name} (by {ink.uncertainty:.0f})" for ink in told)
    advice = "read a swatch card, or measure them, before you rely on small differences"
    return [Finding("sureness", False, f"uncertain colours: {names}", advice, "CIEDE2000 as the box has it")]


def in_lines(report: PaletteReport) -> list[Line]:
    """Tell the report line by line."""
    palette = report.palette
    lines = [Line(_heading(report)), *ink_lines(palette.inks)]
    for side in palette.side:
        lines += [Line(f"{side.name} stands apart"), *ink_lines([replace(ink, role="") for ink in side.inks])]
    whys = report.account
    if all(why.endswith(GIVEN) for why in whys):
        whys = (f"all {GIVEN}",)
    lines += [Line(f"{'' if number else 'roles':<9} {why}") for number, why in enumerate(whys)]
    before = ""
    for finding in report.findings:
        topic = finding.topic if finding.topic != before else ""
        lines.append(Line(f"{topic:<9} {'good' if finding.good else 'look':<5}{finding.line}"))
        before = finding.topic
    return lines


def _heading(report: PaletteReport) -> str:
    count = len(report.palette.inks)
    told = [f"{report.name}: {count} ink{'s' * (count != 1)}"]
    if report.ground:
        told.append(f"ground {report.ground.name}")
    if report.drawing:
        told.append(
            f"for {report.drawing.shapes} shapes, the smaller ones {report.drawing.width:.0f} mm wide"
        )
    return ", ".join(told)


def as_data(report: PaletteReport) -> dict[str, Any]:
    """Give the report as plain data for JSON."""
    return {
        "inks": [
            {
                "name": ink.name,
                "role": ink.role,
                "colour": ink.colour.hex,
                "lab_d65": [round(value, 3) for value in ink.colour.lab],
                "screen_loss": round(ink.colour.loss, 2),
            }
            for ink in report.palette.inks
        ],
        "roles": list(report.account),
        "ground": report.ground.name if report.ground else None,
        "drawing": {
            "shapes": report.drawing.shapes,
            "area_cm2": round(report.drawing.area, 1),
            "smaller_mm": round(report.drawing.width, 2),
            "inks_advised": advised(report.drawing),
        }
        if report.drawing
        else None,
        "findings": [
            {
                "topic": finding.topic,
                "good": finding.good,
                "seen": finding.seen,
                "advice": finding.advice,
                "source": finding.source,
            }
            for finding in report.findings
        ],
    }
