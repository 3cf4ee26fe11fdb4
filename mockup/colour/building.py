"""Palettes built round one lead colour: several kinds, each complete, each with its reasons.

The lead stays exactly as given. A palette has one dark, clearly darker than the rest even among pastels; one light or
neutral that sits with all; and accents that differ from the lead and each other, in lightness too, so that the grey
view still shows a structure (common practice, no source). With her own inks every ink is one of hers.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final, NamedTuple

import numpy as np

from mockup.colour.building_owned import flags, found, nearest_ink
from mockup.colour.building_reasons import choices, figures, misses_told, opening
from mockup.colour.building_schemes import DEEPEST, LIGHT, MARGIN, SCHEMES, Lead, Scheme, fits, hue_of, wishes
from mockup.colour.building_search import PALE_CHROMA, Rules, realised, room_for_light
from mockup.colour.conversion import Colour
from mockup.colour.difference import ciede2000
from mockup.colour.ink import Ink
from mockup.colour.matching import matched, misses
from mockup.colour.naming import colour_name, distinct_names
from mockup.colour.oklch import tone
from mockup.colour.palette import MOST_INKS, Palette
from mockup.errors import DesignError

FEWEST: Final = 3
"""A dominant, a dark and a light."""

WORST: Final = 15.0
"""Mean CIEDE2000 between wished and owned inks beyond which a kind is left out."""

_ALIKE: Final = 4.0  # CIEDE2000: kinds whose inks all differ by less are one
_FIRST: Final = ("monochrome", "pastel")  # kept whatever comes out like them, where colours are made
_PAPER: Final = "bare paper"


@dataclass(frozen=True)
class Built:
    """One palette: its inks in the order dominant, dark, light, accents; its kind; and why each ink is there."""

    palette: Palette
    kind: str
    reasons: tuple[str, ...]


class Offer(NamedTuple):
    """Palettes of several kinds, and a line for each kind that was left out."""

    built: tuple[Built, ...]
    left_out: tuple[str, ...]


class _Task(NamedTuple):
    """What every kind is built from; ``light`` is bare paper where that is the light."""

    ink: Ink
    lead: Lead
    size: int
    light: Colour | None
    box: tuple[Ink, ...]
    opening: tuple[str, ...]


class _Made(NamedTuple):
    """One kind's inks after the lead, and how far they are from what was wished (0 without a box)."""

    scheme: Scheme
    inks: tuple[Ink, ...]
    wished: tuple[Colour, ...]
    miss: float


def build(
    dominant: Ink | Colour, count: int = 5, owned: Sequence[Ink] = (), paper: Colour | None = None
) -> tuple[Built, ...]:
    """Build palettes of several kinds round a lead; raises as ``offer`` does, which also tells what was left out."""
    return offer(dominant, count, owned, paper).built


def offer(
    dominant: Ink | Colour, count: int = 5, owned: Sequence[Ink] = (), paper: Colour | None = None
) -> Offer:
    """Build palettes of several kinds round a lead, and tell which kinds were left out and why.

    Parameters
    ----------
    dominant : Ink or Colour
        The lead, kept as it is; a colour without a name gets a plain one. Where it is not among ``owned``, the
        nearest of these leads.
    count : int
        Inks of each palette, 3 to 12; the trade's 4 to 7 is advised.
    owned : sequence of Ink, optional
        Her inks: every ink is one of these, unchanged but for its role. Without them colours are made, inside sRGB.
    paper : Colour, optional
        Bare paper that is to be the light, and costs no ink; it is passed over where it is too dark or too near the
        lead.

    Raises
    ------
    DesignError
        There are too few or too many inks to build with.
    """
    task = _task(dominant, count, owned, paper)
    order = sorted(SCHEMES, key=lambda scheme: scheme.kind not in _FIRST)
    left = [
        f"{scheme.kind}: {task.ink.name!r} is too dark to stand out from a dark ground"
        for scheme in order
        if not fits(scheme, task.lead)
    ]
    made = sorted(
        (_made(scheme, task) for scheme in order if fits(scheme, task.lead)), key=lambda one: one.miss
    )
    least = made[0].miss
    kept: list[_Made] = []
    for one in made:
        if one.miss > max(WORST, least):
            left.append(
                f"{one.scheme.kind}: your inks are too far from it, CIEDE2000 {one.miss:.1f} in the mean"
            )
        elif twin := next((other for other in kept if _alike(one, other, task)), None):
            left.append(f"{one.scheme.kind}: comes out like {twin.scheme.kind}")
        else:
            kept.append(one)
    kept.sort(key=lambda one: SCHEMES.index(one.scheme))
    return Offer(tuple(_built(one, task) for one in kept), tuple(left))


def _task(dominant: Ink | Colour, count: int, owned: Sequence[Ink], paper: Colour | None) -> _Task:
    """Settle the lead, the light and the box."""
    if not FEWEST <= count <= MOST_INKS:
        raise DesignError(
            f"a palette of {count} inks cannot be built", remedy=f"ask for {FEWEST} to {MOST_INKS} inks"
        )
    ink = dominant if isinstance(dominant, Ink) else Ink(colour_name(dominant), dominant)
    lines = []
    if owned and ink not in owned:
        nearest = nearest_ink(ink.colour, owned)
        if (nearest.name, nearest.colour) != (ink.name, ink.colour):
            miss = ciede2000(ink.colour, nearest.colour)
            lines.append(
                f"lead: wished {ink.name!r}, the nearest of yours is {nearest.name!r}, CIEDE2000 {miss:.0f}"
            )
        ink = nearest
    given = not lines
    ink = replace(ink, role="dominant")
    box = tuple(one for one in owned if one.name != ink.name and not one.paper)
    lead = _lead(ink.colour, box) if owned else _lead(ink.colour, None)
    light = paper if paper is not None and not ink.paper and _serves(paper, ink.colour) else None
    if owned and len(box) < count - 1 - (light is not None):
        raise DesignError(
            f"the box holds {len(box) + 1} inks, the palette is to have {count}",
            remedy="ask for fewer inks, or add some to the box",
        )
    if paper is not None and light is None:
        lines.append("bare paper is too dark, or too near the lead, to be the light")
    return _Task(ink, lead, count, light, box, (*lines, *opening(ink, lead, given=given)))


def _lead(colour: Colour, box: Sequence[Ink] | None) -> Lead:
    """Say what schemes need to know of the lead; ``box`` are her other inks."""
    shade = tone(colour)
    darkest = colour.lightness < DEEPEST + MARGIN + 1.0
    lead = Lead(colour.lightness, shade, darkest, lightest=False)
    lead = lead._replace(lightest=not room_for_light(colour.lab, hue_of(lead), 10.0))
    return lead if box is None else flags(lead, colour, box)


def _serves(paper: Colour, lead: Colour) -> bool:
    """Whether bare paper can be the light beside a lead."""
    return (
        paper.lightness >= max(LIGHT, lead.lightness)
        and paper.chroma <= PALE_CHROMA
        and ciede2000(paper, lead) >= 10.0
    )


def _made(scheme: Scheme, task: _Task) -> _Made:
    """Find the inks of one kind."""
    width = scheme.span[1] - scheme.span[0]
    step = min(float(np.interp(task.size, (5, 7, 12), (9.0, 6.0, 2.0))), 0.9 * width / max(task.size - 3, 1))
    wished = realised(
        task.lead,
        task.ink.colour.lab,
        wishes(scheme, task.lead, task.size),
        Rules(scheme.nearest, step),
        task.light,
    )
    roles = ("dark", "light", *("accent",) * (task.size - 3))
    if task.box:
        chosen = found(task.ink, task.lead, wished, task.box, task.light, scheme.nearest)
        inks = [replace(ink, role=role) for ink, role in zip(chosen.inks, roles, strict=True)]
        return _Made(scheme, tuple(inks), wished, chosen.miss)
    names = list(distinct_names(wished, {task.ink.name: task.ink.colour, _PAPER: task.ink.colour}))
    if task.light is not None:
        names[1] = _PAPER
    inks = [
        Ink(name, colour, role=role, paper=colour is task.light)
        for name, colour, role in zip(names, wished, roles, strict=True)
    ]
    return _Made(scheme, tuple(inks), wished, 0.0)


def _alike(one: _Made, other: _Made, task: _Task) -> bool:
    """Whether two kinds come to the same: the same inks of hers, or made colours that hardly differ."""
    if {one.scheme.kind, other.scheme.kind} == set(_FIRST) and not task.box:
        return False
    if task.box:
        return {ink.name for ink in one.inks} == {ink.name for ink in other.inks}
    table = misses([ink.colour for ink in one.inks], [ink.colour for ink in other.inks])
    return bool(table[np.arange(len(table)), matched(table)].max() < _ALIKE)


def _built(made: _Made, task: _Task) -> Built:
    """Make the record, with its reasons."""
    palette = Palette((task.ink, *made.inks))
    reasons = (
        *task.opening,
        *choices(palette, task.lead, made.scheme),
        *(misses_told(made.wished, made.inks, made.miss) if task.box else ()),
        *figures(palette, made.scheme.nearest),
    )
    return Built(palette, made.scheme.kind, reasons)
