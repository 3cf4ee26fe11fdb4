"""From wishes to her own inks: the nearest, chosen jointly, that keep the rules of the roles.

Every likely pair of a dark and a light is tried; the accents between them are an assignment problem. Where her box
cannot keep the rules in full they are loosened step by step, and the figures tell how far.
"""

from collections.abc import Sequence
from heapq import heappop, heappush
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from mockup.colour.building_schemes import LIGHT, MARGIN, Lead
from mockup.colour.building_search import PALE_CHROMA
from mockup.colour.conversion import Colour
from mockup.colour.difference import FloatArray, ciede2000, differences
from mockup.colour.ink import Ink
from mockup.colour.matching import matched, misses

#: L* that the dark keeps below all others, L* from which an ink may be the light: from strict to none.
_LEVELS: Final = ((MARGIN, LIGHT), (MARGIN, 75.0), (10.0, 75.0), (10.0, 60.0), (5.0, 50.0), (0.0, 0.0))
_TRIED: Final = 10  # darks, and lights, that are tried
_TWIN: Final = 200.0  # price of two inks too near to each other
_BRANCHES: Final = 40
_NEVER: Final = 1e4
_TOLD_APART: Final = 6.0  # CIEDE2000 from the lead at which a lighter ink can be the light


class Found(NamedTuple):
    """Her inks, unchanged, one for each wish, and the mean CIEDE2000 from what was wished."""

    inks: tuple[Ink, ...]
    miss: float


class _Choice(NamedTuple):
    """A dark, a light and accents by their places in the box, and what they cost together."""

    cost: float
    places: tuple[int, ...]


def nearest_ink(colour: Colour, owned: Sequence[Ink]) -> Ink:
    """Give the ink nearest to a colour, the first of several; bare paper is none."""
    return min((ink for ink in owned if not ink.paper), key=lambda ink: ciede2000(colour, ink.colour))


def flags(lead: Lead, colour: Colour, box: Sequence[Ink]) -> Lead:
    """Say whether the lead is itself the darkest or the lightest beside her other inks."""
    darkest = min((ink.colour.lightness for ink in box), default=100.0) > lead.lightness - MARGIN * 2 / 3
    lighter = any(
        ink.colour.lightness > lead.lightness
        and ink.colour.chroma <= PALE_CHROMA
        and ciede2000(colour, ink.colour) >= _TOLD_APART
        for ink in box
    )
    return lead._replace(darkest=darkest, lightest=not lighter and lead.lightness >= LIGHT)


def found(
    ink: Ink, lead: Lead, wished: Sequence[Colour], box: Sequence[Ink], light: Colour | None, nearest: float
) -> Found:
    """Choose an ink of the box for each wish.

    Parameters
    ----------
    ink : Ink
        The lead.
    lead : Lead
    wished : sequence of Colour
        The dark, the light, then the accents.
    box : sequence of Ink
        At least as many as are wished; the lead is not among them.
    light : Colour or None
        Bare paper, where that is the light.
    nearest : float
        CIEDE2000 by which inks had best differ.
    """
    inks = (*box, Ink("bare paper", light, paper=True)) if light is not None else tuple(box)
    best = _loosened(_Box.of(ink, inks, wished, nearest), lead, light is not None)
    own = [row for row in range(len(wished)) if light is None or row != 1]
    miss = misses(wished, [inks[place].colour for place in best])[own, own]
    return Found(tuple(inks[place] for place in best), float(miss.mean()))


class _Box(NamedTuple):
    """The box as arrays: misses (w, o); L* (o,); chroma (o,); who is too alike (1 + o, 1 + o), the lead first."""

    table: FloatArray
    level: FloatArray
    chroma: FloatArray
    close: NDArray[np.bool_]

    @classmethod
    def of(cls, ink: Ink, inks: Sequence[Ink], wished: Sequence[Colour], nearest: float) -> "_Box":
        """Measure a box against the wishes and the lead."""
        colours = [one.colour for one in inks]
        return cls(
            misses(wished, colours),
            np.array([colour.lightness for colour in colours]),
            np.array([colour.chroma for colour in colours]),
            differences([ink.colour, *colours]) < nearest,
        )


def _loosened(box: _Box, lead: Lead, paper: bool) -> tuple[int, ...]:
    """Choose with the strictest rules that leave a choice; ``paper``: the last of the box is bare paper, the light."""
    last = len(box.level) - 1
    for margin, floor in _LEVELS:
        darks = np.flatnonzero((box.level <= lead.lightness - margin) | lead.darkest | (floor == 0))
        pale = (box.chroma <= PALE_CHROMA) | (floor < LIGHT)
        above = (box.level > lead.lightness) | lead.lightest | (floor == 0)
        lights = np.flatnonzero((box.level >= floor) & pale & above)
        if paper:
            darks, lights = darks[darks != last], np.array([last])
        best = _best(box, darks, lights, margin, ordered=floor > 0)
        if best is not None:
            return best.places
    raise AssertionError("the last rules leave every choice")


def _best(
    box: _Box, darks: NDArray[np.int64], lights: NDArray[np.int64], margin: float, *, ordered: bool
) -> _Choice | None:
    """Give the cheapest choice, or none where no dark and light leave enough accents between them."""
    found: _Choice | None = None
    for dark in darks[np.argsort(box.table[0, darks], kind="stable")][:_TRIED]:
        for light in lights[np.argsort(box.table[1, lights], kind="stable")][:_TRIED]:
            if dark == light or (ordered and box.level[light] < box.level[dark] + margin):
                continue
            limit = found.cost if found else np.inf
            found = _with(box, (int(dark), int(light)), margin, limit, ordered=ordered) or found
    return found


def _with(box: _Box, ends: tuple[int, int], margin: float, limit: float, *, ordered: bool) -> _Choice | None:
    """Choose accents beside a dark and a light; None where too few lie between them, or none cost less than a limit."""
    dark, light = ends
    free = np.ones(len(box.level), dtype=np.bool_)
    free[[dark, light]] = False
    if ordered:
        free &= (box.level >= box.level[dark] + margin) & (box.level < box.level[light])
    twins = box.close[1:, [0, dark + 1, light + 1]].sum(axis=1)
    price = float(box.table[0, dark] + box.table[1, light] + _TWIN * (twins[dark] + twins[light] - 2))
    cost = np.where(free, box.table[2:] + _TWIN * twins, _NEVER)
    if free.sum() < len(cost):
        return None
    best = _untwinned(cost, box.close[1:, 1:], limit - price)
    return best and _Choice(best.cost + price, (dark, light, *best.places))


def _untwinned(cost: FloatArray, close: NDArray[np.bool_], limit: float) -> _Choice | None:
    """Assign columns to rows, no two of them close: the cheapest, by branches that each do without one of a pair.

    After ``_BRANCHES`` the cheapest seen is taken, pairs that are close and all; None where nothing is below the limit.
    """
    rows = np.arange(len(cost))
    best: _Choice | None = None
    waiting: list[tuple[float, tuple[int, ...]]] = [(0.0, ())]
    for _ in range(_BRANCHES):
        if not waiting or waiting[0][0] >= (best.cost if best else limit):
            break
        _, without = heappop(waiting)
        left = cost.copy()
        left[:, list(without)] = _NEVER
        places = matched(left)
        total = float(left[rows, places].sum())
        one, other = np.nonzero(np.triu(close[np.ix_(places, places)], 1))
        if total + _TWIN * len(one) < (best.cost if best else limit):
            best = _Choice(total + _TWIN * len(one), tuple(places.tolist()))
        if len(one) and total < _NEVER:
            for row in (one[0], other[0]):
                heappush(waiting, (total, tuple(sorted((*without, int(places[row]))))))
    return best
