"""From wishes to colours that sRGB holds and that keep the rules together.

Each wish has a grid of some thousand 8-bit colours round it. Ink by ink the cheapest is taken, given the others; after
a few rounds nothing changes any more. Nothing is left to chance.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Final, NamedTuple

import numpy as np

from mockup.colour.building_schemes import LIGHT, MARGIN, Lead, Wish
from mockup.colour.conversion import Colour, from_srgb, read_colour
from mockup.colour.difference import FloatArray, ciede2000_lab
from mockup.colour.oklch import lab_from_srgb, oklch_from_srgb, srgb_from_oklch

WISHED: Final = 15.0
"""CIEDE2000 by which inks had best differ; how far they must is the scheme's."""

PALE_CHROMA: Final = 14.0
"""CIELAB chroma that a light has at most."""

_SLACK: Final = 0.3  # kept clear of every limit, for rounding
_ROUNDS: Final = 5
_HEAD: Final = 160  # colours of a grid that are looked at first
_FIXED: Final = 3.0  # how much more a rule beside the lead weighs
_BROKEN: Final = 1000.0  # price of a rule that is broken, beside which wishes weigh nothing


@dataclass(frozen=True, eq=False, slots=True)
class Grid:
    """Colours to choose from: sRGB (n, 3), CIELAB (n, 3), and how far each is from the wish, (n,)."""

    srgb: FloatArray
    lab: FloatArray
    cost: FloatArray


class Rules(NamedTuple):
    """What a palette must keep: CIEDE2000 that any two differ by, and L* that accents had best differ by."""

    nearest: float
    step: float


def realised(
    lead: Lead, lab: Sequence[float], wishes: Sequence[Wish], rules: Rules, light: Colour | None
) -> tuple[Colour, ...]:
    """Give a colour for each wish.

    Parameters
    ----------
    lead : Lead
    lab : 3 floats
        CIELAB of the lead.
    wishes : sequence of Wish
        The dark, the light, then the accents.
    rules : Rules
    light : Colour or None
        Bare paper, where that is the light.

    Returns
    -------
    tuple of Colour
        One each, inside sRGB; rules that cannot all be kept are broken as little as can be.
    """
    grids = [_grid(wish) for wish in wishes]
    if light is not None:
        at = np.array(light.srgb)[None, :]
        grids[1] = Grid(at, np.array(light.lab)[None, :], np.zeros(1))
    roles = [wish.role for wish in wishes]
    priced = [
        _sorted(
            grid, _price(grid.lab, role, "dominant", np.asarray(lab), lead, rules) + _fault(grid.lab, role)
        )
        for grid, role in zip(grids, roles, strict=True)
    ]
    chosen = _settled(lead, priced, roles, rules)
    made = [read_colour(_hex(grid.srgb[at])) for grid, at in zip(priced, chosen, strict=True)]
    return tuple(made if light is None else [made[0], light, *made[2:]])


def _sorted(grid: Grid, more: FloatArray) -> Grid:
    """Add to the costs of a grid, and put the cheapest first."""
    cost = grid.cost + more
    order = np.argsort(cost, kind="stable")
    return Grid(grid.srgb[order], grid.lab[order], cost[order])


def _settled(lead: Lead, grids: Sequence[Grid], roles: Sequence[str], rules: Rules) -> list[int]:
    """Choose a colour of each grid, the cheapest given the others, over and over until none changes.

    What an ink costs beside others is never less than alone, so that the tail of a grid is mostly not looked at.
    """

    @cache
    def price(i: int, size: int, j: int, at: int) -> FloatArray:
        return _price(grids[i].lab[:size], roles[i], roles[j], grids[j].lab[at], lead, rules)

    chosen = [0] * len(grids)
    for _ in range(_ROUNDS):
        before = list(chosen)
        for i, grid in enumerate(grids):
            for size in (_HEAD, len(grid.cost)):
                others = [price(i, size, j, chosen[j]) for j in range(len(grids)) if j != i]
                total = np.sum([grid.cost[:size], *others], axis=0)
                chosen[i] = int(total.argmin())
                if size >= len(grid.cost) or total[chosen[i]] <= grid.cost[size]:
                    break
        if chosen == before:
            break
    return chosen


def room_for_light(lab: Sequence[float], hue: float, nearest: float) -> bool:
    """Whether a lighter light, neutral or tinted with the lead's hue, differs from the lead by so much CIEDE2000."""
    grid = _grid(Wish("light", 97.0, 0.016, hue, 20.0))
    fit = (grid.lab[:, 0] > lab[0] + 1.0) & (grid.lab[:, 0] >= LIGHT)
    fit &= np.hypot(grid.lab[:, 1], grid.lab[:, 2]) <= 10.0
    return bool((ciede2000_lab(grid.lab[fit], lab) >= nearest + 2 * _SLACK).any())


def _hex(srgb: FloatArray) -> str:
    return from_srgb(srgb.tolist()).hex


def _grid(wish: Wish) -> Grid:
    """Lay out colours round a wish; those that sRGB does not hold are left out."""
    middle = (wish.lightness + 16.0) / 116.0
    light = np.clip(middle + np.linspace(-0.24, 0.24, 33), 0.0, 1.0)
    chroma = np.linspace(0.3 * wish.chroma, max(1.7 * wish.chroma, 0.028 * (wish.role == "light")), 8)
    hue = wish.hue + np.linspace(-wish.turn, wish.turn, 5)
    oklch = np.stack(np.meshgrid(light, chroma, hue, indexing="ij"), axis=-1).reshape(-1, 3)
    srgb, holds = srgb_from_oklch(oklch)
    srgb = np.round(srgb[holds] * 255) / 255
    lab = lab_from_srgb(srgb)
    made, turn = oklch_from_srgb(srgb), oklch[holds][:, 2] - wish.hue
    cost = ((lab[:, 0] - wish.lightness) / 7.0) ** 2
    cost += ((made[:, 1] - wish.chroma) / (0.25 * wish.chroma + 0.004)) ** 2
    cost += (turn / max(wish.turn, 1.0)) ** 2
    return Grid(srgb, lab, cost)


def _price(lab: FloatArray, role: str, other: str, at: FloatArray, lead: Lead, rules: Rules) -> FloatArray:
    """Price each colour of a grid for what it does to the rules beside one other ink, (n,).

    Rules beside the lead weigh more: it never gives way, while any other ink can.
    """
    apart = ciede2000_lab(lab, at)
    price = (np.maximum(WISHED - apart, 0.0) / 4.0) ** 2
    broken = _broken(rules.nearest + _SLACK - apart) + _order(lab[:, 0], role, other, float(at[0]), lead)
    price += broken * (_FIXED if other == "dominant" else 1.0)
    if role == "accent" and other in {"accent", "dominant"}:
        price += 1.5 * (np.maximum(rules.step - np.abs(lab[:, 0] - at[0]), 0.0) / 3.0) ** 2
    return price


def _fault(lab: FloatArray, role: str) -> FloatArray:
    """Price each colour of a grid for what it lacks for its role, (n,)."""
    if role != "light":
        return np.zeros(len(lab))
    return _broken(LIGHT + _SLACK - lab[:, 0]) + _broken(
        np.hypot(lab[:, 1], lab[:, 2]) + _SLACK - PALE_CHROMA
    )


def _order(light: FloatArray, role: str, other: str, at: float, lead: Lead) -> FloatArray:
    """Price lightnesses for the order of roles: the dark below all by a margin, the light above all."""
    none = np.zeros(len(light))
    if role == "dark" or other == "dark":
        if "dominant" in {role, other} and lead.darkest:
            return _broken(MARGIN + _SLACK - np.abs(light - at))
        below = at - light if role == "dark" else light - at
        return _broken(MARGIN + _SLACK - below)
    if role == "light":
        return none if other == "dominant" and lead.lightest else _broken(at + 1.0 - light)
    if other == "light":
        return _broken(light + 1.0 - at)
    return none


def _broken(by: FloatArray) -> FloatArray:
    """Price a rule broken by so much; nothing where it is kept."""
    return np.where(by > 0, _BROKEN + 100.0 * by, 0.0)
