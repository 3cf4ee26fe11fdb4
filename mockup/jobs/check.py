"""The guts of ``check``: a plan's figures in plain words or as data."""

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from mockup.colour.difference import differences
from mockup.colouring.exchanges import Step
from mockup.colouring.measure import Figures, measure
from mockup.design.reading import read_design
from mockup.jobs.copied import read_any_plan
from mockup.jobs.exchanging import nodes_of, step_as_data, step_in_words, steps_of
from mockup.jobs.followed import Chosen, against
from mockup.jobs.piece import read_piece
from mockup.jobs.planned import Spreading
from mockup.jobs.progress import Tell, quiet
from mockup.jobs.reasons import in_words, reasons
from mockup.jobs.sidecheck import side_data, side_lines
from mockup.jobs.spreading import follow_plan, spread_piece
from mockup.jobs.tiedcheck import tie_data, tie_lines
from mockup.units import both_sides

SMALL_SAMPLE = 40
"""Below so many shapes chance itself reads above 1."""


MOST_TOLD = 5
"""So many shapes are named that a plan inks against the design's wishes."""


@dataclass(frozen=True, eq=False, slots=True)
class Report:
    """A spread piece with its figures.

    ``reasons`` say why it has contact, ``steps`` which exchanges would lighten its heaviest places. Where a plan from
    elsewhere was measured, ``plan`` is its file and ``against`` where it is against the design's wishes.
    """

    spreading: Spreading
    figures: Figures
    reasons: tuple[str, ...]
    steps: tuple[Step, ...] = ()
    plan: str = ""
    against: tuple[str, ...] = ()


def check_design(path: Path, plan: Path | None = None, tell: Tell = quiet) -> Report:
    """Spread the inks of a design file and measure the plan.

    Parameters
    ----------
    path : Path
        The design file.
    plan : Path, optional
        A plan file, or of a drawing a coloured copy, to be measured in place of the design's own plan.
    tell : callable
        Hears how far the job is.

    Raises
    ------
    MockupError
        Whatever of the design cannot be followed, or a plan that does not fit it.
    """
    tell("reading the design", 0.0)
    piece = read_piece(read_design(path))
    tell("spreading the inks", 0.2)
    if plan is None:
        spreading = spread_piece(piece)
        tell("measuring", 0.8)
        return report_on(spreading)
    piece, found = read_any_plan(piece, plan, str(plan))
    spreading = follow_plan(piece, Chosen(found, "", bound=False))
    tell("measuring", 0.8)
    report = report_on(spreading)
    return replace(report, plan=plan.name, against=tuple(against(spreading, spreading.plan.inks)))


def report_on(spreading: Spreading) -> Report:
    """Measure a plan."""
    figures = figures_of(spreading)
    why = tuple(reasons(spreading)) if figures.conflicts else ()
    return Report(spreading, figures, why, steps_of(spreading))


def figures_of(spreading: Spreading) -> Figures:
    """Measure the plan of a piece on its own cell."""
    problem = spreading.problem
    apart = differences(spreading.piece.colours)
    return measure(
        nodes_of(spreading), spreading.inks, problem.target, spreading.facing, apart, spreading.wished
    )


def in_plain_words(report: Report) -> list[str]:
    """Write the report as lines for a reader."""
    spreading, figures = report.spreading, report.figures
    names = [ink.name for ink in spreading.piece.palette.inks]
    return [
        _heading(spreading, report.plan),
        *(
            f"{'' if number else 'layout':<9} {line}"
            for number, line in enumerate(spreading.piece.layout.notes)
        ),
        *_against(report),
        f"contact   {_contact(figures)}",
        *(f"          {line}" for line in report.reasons),
        f"shares    {_shares(figures, names)}",
        *(f"          {line}" for line in _missed(spreading, names)),
        f"evenness  {_evenness(spreading, figures)}",
        *(
            f"          {lump.excess:.0%} too much {names[lump.ink]} round {lump.x:.0f},{lump.y:.0f} mm"
            for lump in figures.worst
        ),
        *(f"          {step_in_words(spreading, step)}" for step in report.steps),
        f"contrast  {_contrast(figures)}",
        *side_lines(spreading),
        *tie_lines(spreading),
    ]


def _against(report: Report) -> list[str]:
    """Say where a plan from elsewhere is against the design's wishes, as far as that can be read."""
    told = list(report.against[:MOST_TOLD])
    if len(report.against) > MOST_TOLD:
        told.append(f"and {len(report.against) - MOST_TOLD} more")
    return [f"{'' if number else 'wishes':<9} {line}" for number, line in enumerate(told)]


def as_data(report: Report) -> dict[str, Any]:
    """Give the report as plain data for JSON."""
    spreading, figures = report.spreading, report.figures
    return {
        "shapes": spreading.problem.count,
        "cell_mm": [round(side, 6) for side in spreading.cell],
        "colour_repeat": list(spreading.tiles) if spreading.tiles else "none",
        "reach_mm": round(spreading.facing.reach, 4),
        "conflicts": figures.conflicts,
        "own_copies": figures.own_copies,
        "wished": figures.wished,
        "contact": round(figures.contact, 6),
        "share_error": round(figures.share_error, 6),
        "inks": _inks_as_data(report),
        "lump_ratio": round(figures.lump_ratio, 4),
        "lump_max": round(figures.lump_max, 4),
        "worst": _worst_as_data(report),
        "contrast_low": _number(figures.contrast_low),
        "contrast_mean": _number(figures.contrast_mean),
        "side": side_data(spreading),
        "ties": tie_data(spreading),
        "reasons": list(report.reasons),
        "exchanges": [step_as_data(spreading, step) for step in report.steps],
        "against": list(report.against),
        "layout": list(spreading.piece.layout.notes),
    }


def _inks_as_data(report: Report) -> list[dict[str, Any]]:
    spreading, figures = report.spreading, report.figures
    inks, wanted = spreading.piece.palette.inks, spreading.targets.wanted
    return [
        {
            "name": ink.name,
            "role": ink.role,
            "share": round(float(share), 6),
            "target": round(float(target), 6),
            "wanted": round(float(wish), 6),
        }
        for ink, share, target, wish in zip(inks, figures.shares, figures.target, wanted, strict=True)
    ]


def _worst_as_data(report: Report) -> list[dict[str, Any]]:
    inks = report.spreading.piece.palette.inks
    return [
        {
            "ink": inks[lump.ink].name,
            "at_mm": [round(lump.x, 1), round(lump.y, 1)],
            "excess": round(lump.excess, 4),
        }
        for lump in report.figures.worst
    ]


def _number(value: float) -> float | None:
    return None if np.isnan(value) else round(value, 2)


def _heading(spreading: Spreading, plan: str = "") -> str:
    piece, tiles = spreading.piece, spreading.tiles
    inks = in_words(len(piece.palette.inks))
    if tiles is None:
        over = f"one sheet of {both_sides(*spreading.cell)}, every shape free"
    else:
        over = f"colours repeat every {tiles[0]} x {tiles[1]} tiles, {both_sides(*spreading.cell)}"
    name = f"{piece.name}, inked as in {plan}" if plan else piece.name
    return f"{name}: {inks} inks on {spreading.problem.count} shapes, ground {piece.ground_name}; {over}"


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
