"""One pattern inked by chance, by a graph library and by mockup: plans, figures, and the sheet that shows them."""

import math
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

import numpy as np

from mockup.colouring.measure import Figures, lump_ratio
from mockup.colouring.problem import Ints
from mockup.colouring.rivals import LibraryPlan, by_chance, by_graph_library
from mockup.design.reading import parse_design
from mockup.jobs.check import figures_of
from mockup.jobs.exchanging import nodes_of
from mockup.jobs.looks import look_of
from mockup.jobs.piece import read_piece
from mockup.jobs.planned import Spreading
from mockup.jobs.reasons import in_words
from mockup.jobs.spreading import spread_piece
from mockup.jobs.squint import from_afar
from mockup.rendering.scene import Scene
from mockup.resources import data
from mockup.sheets.compare import Compared, Way, compare_sheet
from mockup.sheets.formats import as_file
from mockup.units import MM_PER_INCH

DESIGN: Final = "orchard"
"""The design of the demo that is compared."""

HEADING: Final = "One pattern, one palette, three ways to spread the inks"
DRAWS: Final = 51
"""So many draws by lot, of which the most ordinary one is shown."""

AFAR: Final = 1.1
"""Blur of the view from afar, in mean spacings of the shapes: motifs run into each other, and only lumps are left."""

COLUMNS: Final = 1200
"""Pixels across the picture."""


@dataclass(frozen=True, eq=False, slots=True)
class Comparison:
    """Three plans of one piece with their figures: by chance, by a graph library, by mockup."""

    chance: Spreading
    graph: Spreading
    ours: Spreading
    told: LibraryPlan

    @property
    def figures(self) -> tuple[Figures, Figures, Figures]:
        """Figures of the three, in that order."""
        return figures_of(self.chance), figures_of(self.graph), figures_of(self.ours)


def demo_text() -> str:
    """Give the compared design as it is written."""
    return (data("gallery") / "demo" / f"{DESIGN}.toml").read_text(encoding="utf-8")


def compare_demo() -> Comparison:
    """Ink the demo's pattern in the three ways."""
    file = f"{DESIGN}.toml"
    return compare(spread_piece(read_piece(parse_design(demo_text(), where=file, file=Path(file)))))


def compare(ours: Spreading) -> Comparison:
    """Put two other plans beside that of a piece."""
    told = by_graph_library(ours.problem)
    return Comparison(_inked(ours, ordinary_draw(ours)), _inked(ours, told.inks), ours, told)


def ordinary_draw(spreading: Spreading) -> Ints:
    """Of ``DRAWS`` plans drawn by lot, take the one that is nearest to the medians of contact, shares and lumps."""
    problem, nodes = spreading.problem, nodes_of(spreading)
    draws = [by_chance(problem, seed) for seed in range(1, DRAWS + 1)]
    figures = np.array(
        [
            (problem.contact(own), problem.share_error(own), lump_ratio(nodes, own, problem.target))
            for own in draws
        ]
    )
    middle, varies = np.median(figures, axis=0), np.maximum(figures.std(axis=0), 1e-12)
    off = (np.abs(figures - middle) / varies).max(axis=1)
    return draws[int(off.argmin())]


def _inked(spreading: Spreading, inks: Ints) -> Spreading:
    plan = replace(spreading.plan, inks=np.concatenate((inks, spreading.skin)))
    return replace(spreading, plan=plan, energy=np.nan)


def compare_scene(found: Comparison) -> Scene:
    """Compose the sheet of a comparison of a piece that repeats."""
    ours = found.ours
    piece, blur = ours.piece, AFAR * math.sqrt(ours.cell[0] * ours.cell[1] / ours.problem.count)
    named = (
        ("By chance", "every shape draws its ink by lot", found.chance),
        ("By a graph library", _library(found.told, ours.problem.inks), found.graph),
        ("By mockup", "neighbours, shares and lumps at once", found.ours),
    )
    ways = [
        Way(
            title,
            about,
            own.plan,
            from_afar(own, blur),
            ours.problem.shares(own.inks),
            figures_in_words(figures),
        )
        for (title, about, own), figures in zip(named, found.figures, strict=True)
    ]
    return compare_sheet(
        Compared(piece.tile, look_of(piece), ours.cell, ours.problem.target),
        ways,
        HEADING,
        [_what(ours)],
        _small_print(found.told, blur),
    )


def compare_file(found: Comparison, made_for: str) -> bytes:
    """Write the sheet as a PNG of ``COLUMNS`` pixels across, with a mark."""
    scene = compare_scene(found)
    return as_file(scene, ".png", made_for, COLUMNS / scene.width * MM_PER_INCH)


def figures_in_words(figures: Figures) -> list[tuple[str, tuple[str, str]]]:
    """Say four figures of a plan so that nobody needs to know the measures: a number and two short lines each."""
    return [
        (str(figures.conflicts), ("neighbouring pairs", "share an ink")),
        (_percent(figures.share_error), ("is the most that an ink", "is off its share")),
        (f"{figures.lump_ratio:.2f}", ("lumps: 1 is chance,", "0 is perfect")),
        (_percent(figures.lump_max), ("too much of one ink", "at the heaviest place")),
    ]


def _percent(part: float) -> str:
    """Write a share; small ones with as many places as they need."""
    whole = 100 * part
    return f"{whole:.0f} %" if whole >= 1.95 else f"{whole:.1f} %" if whole >= 0.095 else f"{whole:.2f} %"


def _library(told: LibraryPlan, inks: int) -> str:
    if told.lacking:
        return f"needs {in_words(told.colours)} inks; here are {in_words(inks)}"
    return "neighbours differ, nothing else counts"


def _what(ours: Spreading) -> str:
    piece, inks = ours.piece, in_words(len(ours.piece.palette.inks))
    title, repeat = piece.design.title or piece.name, piece.layout.repeat
    return (
        f"{title}, a {repeat} in {inks} inks on {piece.ground_name}: {ours.problem.count} shapes in one repeat of the "
        "colours. Below each, the same from afar."
    )


def _small_print(told: LibraryPlan, blur: float) -> list[str]:
    strategy = told.strategy.replace("_", " ")
    barred = f" {told.barred} shapes took an ink that they may not." if told.barred else ""
    return [
        "Bars: the share of each ink; the ticks mark what was asked. "
        f"From afar: blurred over {blur:.0f} mm. Chance: the most ordinary of {DRAWS} draws. "
        f"Graph library: networkx, greedy colouring, the kindest of its strategies ({strategy}).{barred}"
    ]
