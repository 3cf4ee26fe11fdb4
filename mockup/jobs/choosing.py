"""Which of many possible colourways are offered: sound ones, as unlike each other as can be."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from mockup.colour.difference import ciede2000_lab
from mockup.colour.judging import CLEARLY, DARK_GROUND, ON_DARK, ON_LIGHT
from mockup.colouring.choosing import farthest
from mockup.colouring.problem import Floats, Ints, Mask
from mockup.jobs.candidates import Candidate, sound
from mockup.jobs.slots import Slots, keeps_order

LEAST: Final = 8.0
"""No two colourways are nearer: CIEDE2000, weighted by area. Our figure."""

FACING: Final = 10.0
"""CIEDE2000 that inks which meet should differ by; less only where hers do."""

_LOOKED_AT: Final = 90
"""So many are judged as palettes: of all, those that lie farthest from each other."""


@dataclass(frozen=True, eq=False, slots=True)
class Field:
    """Candidates in numbers: ``pens`` (n, s) by number, the table of their differences, and their CIELAB."""

    candidates: tuple[Candidate, ...]
    pens: Ints
    apart: Floats
    lab: Floats
    share: Floats

    def distances(self, one: Ints, other: Ints) -> Floats:
        """Give the differences of some candidates from others, (a, b), weighted by area."""
        found = np.zeros((len(one), len(other)))
        for place, share in enumerate(self.share.tolist()):
            found += share * self.apart[np.ix_(self.pens[one, place], self.pens[other, place])]
        return found

    def lightness(self) -> Floats:
        """L* of the pens at each position, (n, s)."""
        return np.asarray(self.lab[self.pens, 0])

    def contrast(self, meets: Ints) -> Floats:
        """Smallest difference between positions that meet, (n,)."""
        pairs = self.apart[self.pens[:, meets[:, 0]], self.pens[:, meets[:, 1]]]
        return np.asarray(pairs.min(axis=1, initial=np.inf))


def field_of(slots: Slots, candidates: Iterable[Candidate]) -> Field:
    """Put candidates in numbers; hers is the first, what cannot be written and what comes twice is left out."""
    numbers: dict[tuple[str, str], int] = {}
    labs: list[tuple[float, float, float]] = []
    rows: dict[tuple[int, ...], Candidate] = {}
    for candidate in (Candidate(slots.pens), *candidates):
        if not sound(candidate) or (rows and candidate.pens[slots.lead].ink.paper):
            continue
        row = []
        for pen in candidate.pens:
            key = pen.name.casefold(), pen.colour.hex
            if key not in numbers:
                numbers[key] = len(numbers)
                labs.append(pen.colour.lab)
            row.append(numbers[key])
        rows.setdefault(tuple(row), candidate)
    lab = np.array(labs)
    return Field(
        tuple(rows.values()), np.array(list(rows)), ciede2000_lab(lab[:, None], lab[None]), lab, slots.share
    )


def grounded(field: Field, slots: Slots) -> Mask:
    """Tell which candidates have the lightest ink, the darkest or bare paper for ground, (n,); all if hers has not.

    Common practice, no source.
    """
    light = field.lightness()
    ground, rest = light[:, slots.ground], np.delete(light, slots.ground, axis=1)
    paper = np.array([one.pens[slots.ground].ink.paper for one in field.candidates])
    if not rest.shape[1]:
        return np.ones(len(light), dtype=bool)
    ends = paper | (ground <= rest.min(axis=1)) | (ground >= rest.max(axis=1))
    return np.asarray(ends | ~ends[0])


def steady(field: Field, slots: Slots) -> Mask:
    """Tell which candidates have a clear dark, stand off their ground and part where they meet, (n,).

    What hers lacks the others may lack as far.
    """
    light = field.lightness()
    if light.shape[1] < 2:
        return np.ones(len(light), dtype=bool)
    ground, rest = light[:, slots.ground], np.delete(light, slots.ground, axis=1)
    dark = ground < DARK_GROUND
    margin = np.where(dark, (rest - ground[:, None]).min(axis=1), np.abs(rest - ground[:, None]).min(axis=1))
    ranked = np.sort(light, axis=1)
    clear, contrast = ranked[:, 1] - ranked[:, 0], field.contrast(slots.meets)
    return np.asarray(
        (margin >= np.minimum(np.where(dark, ON_DARK, ON_LIGHT), margin[0]))
        & (clear >= min(CLEARLY, float(clear[0])))
        & (contrast >= min(FACING, float(contrast[0])))
    )


def steered(field: Field, may: Mask, like: Sequence[int], unlike: Sequence[int], count: int) -> Mask:
    """Leave out what is as good as one that she dropped; of the rest keep the half that is more like what she kept."""
    places = np.arange(len(field.candidates))
    if not like and not unlike:
        return may
    toward = field.distances(places, np.array(like)).min(axis=1) if like else np.zeros(len(places))
    away = np.full(len(places), np.inf)
    if unlike:
        away = field.distances(places, np.array(unlike)).min(axis=1)
    may = may & (away >= LEAST)
    wish = toward - np.where(np.isfinite(away), away, 0.0)
    left = np.flatnonzero(may)
    kept = left[np.argsort(wish[left], kind="stable")][: max(len(left) // 2, 6 * count)]
    found = np.zeros(len(places), dtype=bool)
    found[kept] = True
    return found


def choose(
    field: Field,
    slots: Slots,
    count: int,
    flaws: Callable[[Candidate], Sequence[str]],
    like: Sequence[int] = (),
    unlike: Sequence[int] = (),
    first: Sequence[tuple[str, int]] = (),
) -> list[int]:
    """Choose colourways, hers first and those she likes next; by number in the field.

    Parameters
    ----------
    field : Field
    slots : Slots
    count : int
        How many, hers and those she likes among them; fewer where no more are far enough apart.
    flaws : callable
        What of the palette checks a candidate does not pass.
    like, unlike : sequences of int
        Candidates that she kept and dropped, by number.
    first : sequence of (str, int)
        Sources that come first, and how many are taken of each where there are such.
    """
    chosen = list(dict.fromkeys([0, *like]))
    sources = np.array([one.source for one in field.candidates])
    for source, many in (*first, ("", count)):
        wanted = min(len(chosen) + many, count)
        own = np.ones(len(sources), dtype=bool) if not source else sources == source
        chosen = _more(field, slots, chosen, wanted, own, flaws, like, unlike)
    return chosen


def _more(
    field: Field,
    slots: Slots,
    chosen: list[int],
    count: int,
    own: Mask,
    flaws: Callable[[Candidate], Sequence[str]],
    like: Sequence[int],
    unlike: Sequence[int],
) -> list[int]:
    """Choose more of some candidates: sound ones first, then with a flaw more than hers, then what there is."""
    left = own & grounded(field, slots)
    left[[*chosen, *unlike]] = False
    usual = len(flaws(field.candidates[0]))
    found = chosen
    for may in (left & steady(field, slots), left):
        pool = _pool(field, steered(field, may, like, unlike, count), chosen)
        told = {one: len(flaws(field.candidates[one])) for one in pool}
        for more in range(3):
            some = [*chosen, *(one for one in pool if told[one] <= usual + more)]
            found = _best(field, some, len(chosen), count)
            if len(found) == count:
                return found
    return found


def _pool(field: Field, may: Mask, fixed: Sequence[int]) -> list[int]:
    """Take those that lie farthest from each other and from what is settled, up to the number that is looked at."""
    left = np.flatnonzero(may)
    near = field.distances(left, np.array(fixed)).min(axis=1)
    found: list[int] = []
    while len(found) < _LOOKED_AT and len(left) and near.max() >= LEAST / 2:
        best = int(near.argmax())
        found.append(int(left[best]))
        near = np.minimum(near, field.distances(left, left[[best]])[:, 0])
    return found


def _best(field: Field, own: Sequence[int], first: int, count: int) -> list[int]:
    places = np.array(own)
    return [int(places[one]) for one in farthest(field.distances(places, places), range(first), count, LEAST)]


def kind_of(field: Field, number: int) -> str:
    """Say what kind of colourway a candidate is."""
    light = field.lightness()
    return "balanced" if keeps_order(light[0], light[number]) else "unbalanced"


def reason_of(slots: Slots, candidate: Candidate) -> str:
    """Say in one line what was done."""
    hers, own = slots.pens, candidate.pens
    told = [candidate.way] if candidate.way else []
    ground, lead = own[slots.ground], own[slots.lead]
    if ground.name != hers[slots.ground].name and (not candidate.way or ground.ink.paper):
        told.append(f"ground {'bare paper' if ground.ink.paper else ground.name}")
    elif candidate.way and _swapped(slots, candidate):
        told.append(f"{ground.name} on the ground")
    if lead.name != hers[slots.lead].name and not candidate.way:
        told.append(f"{lead.name} leads")
    if not told:
        moved = [pen.name for pen, old in zip(own, hers, strict=True) if pen.name != old.name]
        told.append(f"{' and '.join([', '.join(moved[:-1]), moved[-1]])} changed places")
    return ", ".join(told)


def _swapped(slots: Slots, candidate: Candidate) -> bool:
    """Tell whether the ground went from the dark end to the light, or the other way round."""
    was, now = slots.pens[slots.ground].colour.lightness, candidate.pens[slots.ground].colour.lightness
    return (was < DARK_GROUND) != (now < DARK_GROUND)
