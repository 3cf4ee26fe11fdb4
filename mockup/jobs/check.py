"""The guts of ``check``: a plan's figures in plain words or as data."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from mockup.colour.difference import differences
from mockup.colouring.measure import Figures, Nodes, measure
from mockup.design.reading import read_design
from mockup.jobs.piece import Piece, read_piece
from mockup.jobs.progress import Tell, quiet
from mockup.jobs.reasons import in_words, reasons
from mockup.jobs.spreading import Spreading, spread_piece
from mockup.units import both_sides

SMALL_SAMPLE = 40
"""Below so many shapes chance itself reads above 1."""


@dataclass(frozen=True, eq=False, slots=True)
class Report:
    """A spread piece with its figures and the reasons for what contact it has."""

    spreading: Spreading
    figures: Figures
    reasons: tuple[str, ...]


def check_design(path: Path, tell: Tell = quiet) -> Report:
    """Spread the inks of a design file and measure the plan.

    Raises
    ------
    MockupError
        Whatever of the design cannot be followed.
    """
    tell("reading the design", 0.0)
    piece = read_piece(read_design(path))
    tell("spreading the inks", 0.2)
    spreading = spread_piece(piece)
    tell("measuring", 0.8)
    return report_on(spreading)


def report_on(spreading: Spreading) -> Report:
    """Measure a plan."""
    figures = figures_of(spreading)
    why = tuple(reasons(spreading)) if figures.conflicts else ()
    return Report(spreading, figures, why)


def figures_of(spreading: Spreading) -> Figures:
    """Measure the plan of a piece on its own cell."""
    problem = spreading.problem
    nodes = Nodes(problem.area, problem.place, spreading.cell, problem.cell is not None)
    apart = differences([_colour(spreading.piece, number) for number in range(problem.inks)])
    return measure(nodes, spreading.plan.inks, problem.target, spreading.facing, apart, spreading.wished)


def in_plain_words(report: Report) -> list[str]:
    """Write the report as lines for a reader."""
    spreading, figures = report.spreading, report.figures
    names = [ink.name for ink in spreading.piece.palette.inks]
    return [
        _heading(spreading),
        f"contact   {_contact(figures)}",
        *(f"          {line}" for line in report.reasons),
        f"shares    {_shares(figures, names)}",
        *(f"          {line}" for line in _missed(spreading, names)),
        f"evenness  {_evenness(spreading, figures)}",
        *(
            f"          {lump.excess:.0%} too much {names[lump.ink]} round {lump.x:.0f},{lump.y:.0f} mm"
            for lump in figures.worst
        ),
        f"contrast  {_contrast(figures)}",
    ]


def as_data(report: Report) -> dict[str, Any]:
    """Give the report as plain data for JSON."""
    spreading, figures = report.spreading, report.figures
    inks = spreading.piece.palette.inks
    return {
        "shapes": spreading.problem.count,
        "cell_mm": [round(side, 6) for side in spreading.cell],
        "colour_repeat": list(spreading.plan.tiles) if spreading.plan.tiles else "none",
        "reach_mm": round(spreading.facing.reach, 4),
        "conflicts": figures.conflicts,
        "own_copies": figures.own_copies,
        "wished": figures.wished,
        "contact": round(figures.contact, 6),
        "share_error": round(figures.share_error, 6),
        "inks": [
            {
                "name": ink.name,
                "role": ink.role,
                "share": round(float(share), 6),
                "target": round(float(target), 6),
                "wanted": round(float(wanted), 6),
            }
            for ink, share, target, wanted in zip(
                inks, figures.shares, figures.target, spreading.targets.wanted, strict=True
            )
        ],
        "lump_ratio": round(figures.lump_ratio, 4),
        "lump_max": round(figures.lump_max, 4),
        "worst": [
            {
                "ink": inks[lump.ink].name,
                "at_mm": [round(lump.x, 1), round(lump.y, 1)],
                "excess": round(lump.excess, 4),
            }
            for lump in figures.worst
        ],
        "contrast_low": _number(figures.contrast_low),
        "contrast_mean": _number(figures.contrast_mean),
        "reasons": list(report.reasons),
    }


def _number(value: float) -> float | None:
    return None if np.isnan(value) else round(value, 2)


def _colour(piece: Piece, number: int) -> Any:
    ink = piece.palette.inks[number]
    return piece.paper if ink.paper else ink.colour


def _heading(spreading: Spreading) -> str:
    piece, tiles = spreading.piece, spreading.plan.tiles
    inks = in_words(len(piece.palette.inks))
    if tiles is None:
        over = f"one sheet of {both_sides(*spreading.cell)}, every shape free"
    else:
        over = f"colours repeat every {tiles[0]} x {tiles[1]} tiles, {both_sides(*spreading.cell)}"
    return (
        f"{piece.name}: {inks} inks on {spreading.problem.count} shapes, ground {piece.ground_name}; {over}"
    )


def _contact(figures: Figures) -> str:
    wished = f" ({figures.wished} by your own wish)" if figures.wished else ""
    if not figures.conflicts:
        return f"none: no two facing shapes share an ink{wished}"
    pairs = (
        "1 facing pair shares an ink"
        if figures.conflicts == 1
        else f"{figures.conflicts} facing pairs share an ink"
    )
    return f"{pairs}, {figures.contact:.1%} of all borders{wished}"


def _shares(figures: Figures, names: list[str]) -> str:
    shares = ", ".join(f"{name} {share:.1%}" for name, share in zip(names, figures.shares, strict=True))
    return f"{shares}; at most {figures.share_error:.1%} off target"


def _missed(spreading: Spreading, names: list[str]) -> list[str]:
    wanted, reached = spreading.targets.wanted, spreading.targets.reachable
    return [
        f"{names[ink]}: {wanted[ink]:.1%} was wanted, {reached[ink]:.1%} is the most that can be reached"
        for ink in spreading.targets.missed
        if reached[ink] < wanted[ink]
    ]


def _evenness(spreading: Spreading, figures: Figures) -> str:
    small = (
        " (with so few shapes chance itself reads above 1)" if spreading.problem.count < SMALL_SAMPLE else ""
    )
    return f"{figures.lump_ratio:.2f} where 1 is chance and 0 is perfect{small}"


def _contrast(figures: Figures) -> str:
    if np.isnan(figures.contrast_low):
        return "no two shapes face each other"
    return f"weakest {figures.contrast_low:.0f}, mean {figures.contrast_mean:.0f} between facing inks (CIEDE2000)"
