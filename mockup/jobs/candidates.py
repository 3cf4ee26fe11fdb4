"""Other inks for the positions of a plan: her own exchanged, hues turned, palettes that she lists, her ink box."""

import itertools
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import Final, NamedTuple

import numpy as np

from mockup.colour.ink import Ink
from mockup.colour.matching import matched, misses
from mockup.colour.naming import distinct_names
from mockup.colour.oklch import tone
from mockup.colour.turning import GREY, turned
from mockup.design.records import InkSpec
from mockup.jobs.slots import Pen, Slots

TURNS: Final = tuple(range(30, 360, 15))
"""Degrees by which hues are turned."""

OWN: Final = "own"

_MOST: Final = 720
"""Exchanges that are looked at; of more, these are drawn by lot, always the same."""

_SEED: Final = 20_261


class Candidate(NamedTuple):
    """Pens for all positions, and what was done in a few words; nothing where that is told by who changed places.

    ``source`` says where the pens come from: "own", "turned", "box", or the name of a palette.
    """

    pens: tuple[Pen, ...]
    way: str = ""
    source: str = OWN


def exchanges(slots: Slots) -> Iterator[Candidate]:
    """Let her inks change places; kin only among themselves."""
    own = slots.pens
    groups = [np.flatnonzero(slots.kin == kin).tolist() for kin in np.unique(slots.kin)]
    many = np.prod([float(np.prod(np.arange(1, len(group) + 1))) for group in groups])
    if many <= _MOST:
        orders: Iterable[tuple[tuple[int, ...], ...]] = itertools.product(
            *(itertools.permutations(group) for group in groups)
        )
    else:
        chance = np.random.default_rng(_SEED)
        drawn = [
            tuple(tuple(chance.permutation(group).tolist()) for group in groups) for _ in range(_MOST // 2)
        ]
        orders = itertools.chain(_swaps(groups), drawn)
    for order in orders:
        taken = list(own)
        for group, heirs in zip(groups, order, strict=True):
            for place, heir in zip(group, heirs, strict=True):
                taken[place] = own[heir]
        yield Candidate(tuple(taken))


def _swaps(groups: Sequence[Sequence[int]]) -> Iterator[tuple[tuple[int, ...], ...]]:
    """Give the exchanges of two."""
    plain = tuple(tuple(group) for group in groups)
    for number, group in enumerate(groups):
        for a, b in itertools.combinations(range(len(group)), 2):
            heirs = list(group)
            heirs[a], heirs[b] = heirs[b], heirs[a]
            yield (*plain[:number], tuple(heirs), *plain[number + 1 :])


def with_ground(slots: Slots, pens: tuple[Pen, ...], way: str, source: str) -> Iterator[Candidate]:
    """Give pens as they are, and with each other free ink on the ground, which takes the ground's place."""
    yield Candidate(pens, way, source)
    for place in _free(slots):
        if place != slots.ground and not slots.kin[slots.ground]:
            taken = list(pens)
            taken[place], taken[slots.ground] = taken[slots.ground], taken[place]
            yield Candidate(tuple(taken), way, source)


def on_paper(slots: Slots, paper: Pen) -> Iterator[Candidate]:
    """Let the ground be bare paper, and one of the other inks go with it or stay."""
    if slots.kin[slots.ground] or any(pen.ink.paper for pen in slots.pens):
        return
    pens = tuple(paper if place == slots.ground else pen for place, pen in enumerate(slots.pens))
    free = [place for place in _free(slots) if place != slots.ground]
    for heirs in itertools.islice(itertools.permutations(free), _MOST // 6):
        taken = list(pens)
        for place, heir in zip(free, heirs, strict=True):
            taken[place] = pens[heir]
        yield Candidate(tuple(taken))


def hue_turns(slots: Slots, owned: Sequence[Ink] = (), by_name: bool = True) -> Iterator[Candidate]:
    """Turn the hues of all free inks, or of all but the darkest and the lightest.

    Without ``owned`` inks the colours are wished and no pen is known; else the nearest owned pens take their places,
    no pen twice. ``by_name`` says that the design knows the box, so that a pen's name is enough.
    """
    free = [place for place in _free(slots) if not slots.pens[place].ink.paper]
    light = sorted(free, key=lambda place: slots.pens[place].colour.lightness)
    for some, told in ((free, "hues"), (light[1:-1], "hues but of dark and light")):
        moving = [place for place in some if tone(slots.pens[place].colour).chroma > GREY]
        if len(moving) < 2:
            continue
        for degrees in (0, *TURNS) if owned else TURNS:
            pens = _turned(slots, moving, degrees) if not owned else None
            pens = pens or _nearest(slots, free, moving, degrees, owned, by_name)
            if pens:
                way, source = _way(told, degrees, bool(owned)), "box" if owned else "turned"
                yield from with_ground(slots, pens, way, source)


def _way(told: str, degrees: int, owned: bool) -> str:
    """Say how hues were turned."""
    short = min(degrees, 360 - degrees)
    way = f"{told} turned {'back ' if degrees > 180 else ''}by {short} degrees"
    return f"your pens nearest to {way if degrees else 'those inks'}" if owned else way


def _turned(slots: Slots, moving: Sequence[int], degrees: int) -> tuple[Pen, ...]:
    """Wish the inks of some positions with their hue turned."""
    colours = [turned(slots.pens[place].colour, degrees) for place in moving]
    names = distinct_names(colours, [pen.name for pen in slots.pens])
    pens = list(slots.pens)
    for place, name, colour in zip(moving, names, colours, strict=True):
        pens[place] = Pen(InkSpec(name, colour.hex), Ink(name, colour), wished=True)
    return tuple(pens)


def _nearest(
    slots: Slots,
    free: Sequence[int],
    moving: Sequence[int],
    degrees: int,
    owned: Sequence[Ink],
    by_name: bool,
) -> tuple[Pen, ...] | None:
    """Take the owned pens that come nearest to the turned colours, none that stays elsewhere; None if too few."""
    kept = {pen.name.casefold() for place, pen in enumerate(slots.pens) if place not in free}
    box = [ink for ink in owned if ink.name.casefold() not in kept]
    if len(box) < len(free):
        return None
    wanted = [
        turned(slots.pens[place].colour, degrees) if place in moving else slots.pens[place].colour
        for place in free
    ]
    cost = misses(wanted, [ink.colour for ink in box])
    pens = list(slots.pens)
    for row, (place, number) in enumerate(zip(free, matched(cost).tolist(), strict=True)):
        pens[place] = owned_pen(box[number], by_name, float(cost[row, number]))
    return tuple(pens)


def owned_pen(ink: Ink, by_name: bool, miss: float = 0.0) -> Pen:
    """Give an ink of her box as a pen; where the design knows the box, its name is enough."""
    spec = InkSpec(ink.name)
    if not by_name:
        coats = tuple(coat.written.strip() for coat in ink.coats)
        spec = InkSpec(ink.name, ink.colour.written.strip(), coats=coats, tip=ink.tip, bleed=ink.bleed)
    return Pen(spec, ink, miss)


def fits(slots: Slots, count: int) -> bool:
    """Tell whether a palette of so many inks has one for each free position, bare paper as the ground left out."""
    free = len(_free(slots))
    return count == free or (slots.apart and count == free - 1)


def listed(slots: Slots, pens: Sequence[Pen], source: str) -> Iterator[Candidate]:
    """Put the inks of a palette to the positions by their lightness, then with each other one on the ground.

    It has as many inks as there are free positions, or one fewer where the ground is bare paper and stays.
    """
    free, told = _free(slots), f"the palette {source}"
    if slots.apart and len(pens) == len(free) - 1:
        free = free[:-1]
    ranked = sorted(free, key=lambda place: slots.pens[place].colour.lightness)
    taken = list(slots.pens)
    for place, pen in zip(ranked, sorted(pens, key=lambda pen: pen.colour.lightness), strict=True):
        taken[place] = pen
    yield from with_ground(slots, tuple(taken), told, source)
    for a, b in itertools.combinations(free, 2):
        other = list(taken)
        other[a], other[b] = other[b], other[a]
        yield from with_ground(slots, tuple(other), told, source)


def sound(candidate: Candidate) -> bool:
    """Tell whether no name stands twice, and bare paper once at most."""
    names = [pen.name.casefold() for pen in candidate.pens]
    return len(set(names)) == len(names) and sum(pen.ink.paper for pen in candidate.pens) <= 1


def without_role(pen: Pen, role: str | None) -> Pen:
    """Give a pen with another role, or with none."""
    return replace(pen, spec=replace(pen.spec, role=role, share=None))


def _free(slots: Slots) -> list[int]:
    return [int(place) for place in np.flatnonzero(slots.kin == 0)]
