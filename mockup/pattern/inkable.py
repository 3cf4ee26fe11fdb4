"""What of a motif a pen cannot ink well: narrow places, specks, gaps, slivers, and parts that nobody sees.

The least sizes are common practice of inking by hand with felt tips; no source.
"""

import itertools
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from mockup.geometry.narrow import (
    Spot,
    contact_spots,
    gap_spots,
    hole_spots,
    narrow_spots,
    uncovered,
    widest,
)
from mockup.geometry.shapes import Shape, area, box_of, pieces, union
from mockup.pattern.motif import Motif, Part

PEN: Final = 1.5
"""Width of a common felt tip, mm."""

SMALLEST: Final = 2.0
"""Area that such a tip fills without a blot, mm2."""

APART: Final = 0.5
"""Parts that do not touch keep at least so far apart, mm."""

MOST: Final = 12
"""Most findings of one kind that are told one by one."""

_UNSEEN: Final = 0.01
_SLIM: Final = 0.3
_CONTACT: Final = 1.0


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that cannot be inked well: its kind, a plain line about it, and where it is (mm on the page)."""

    kind: str
    text: str
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class SeenGroup:
    """What is seen of one group.

    ``names`` are its parts' names and how many bear each, ``area`` is in mm2, ``spot`` the middle of the largest
    circle in it (mm on the page) and that circle's width.
    """

    label: str
    names: tuple[tuple[str, int], ...]
    side: str
    area: float
    spot: Spot


def inspect(motif: Motif, pen: float = PEN) -> tuple[tuple[SeenGroup, ...], tuple[Finding, ...]]:
    """Look a motif through.

    Parameters
    ----------
    motif : Motif
        As it was read.
    pen : float
        Width of the pen that is to ink it, mm.

    Returns
    -------
    groups : tuple of SeenGroup
        In the order in which they are first drawn.
    findings : tuple of Finding
        What such a pen cannot ink well: by kind, each from the top down; of a kind at most ``MOST``, the last of which
        says how many more there are.
    """
    parts = motif.parts
    seen = uncovered([part.shape for part in parts])
    kinds = (
        _narrow(parts, seen, pen),
        _small(parts, seen),
        _gaps(parts, seen),
        _touching(parts, seen),
        _specks(seen),
        _hidden(parts, seen),
    )
    found = tuple(itertools.chain.from_iterable(_shortened(list(kind)) for kind in kinds))
    return _groups(parts, seen), found


def _groups(parts: Sequence[Part], seen: Sequence[Shape]) -> tuple[SeenGroup, ...]:
    held: dict[str, list[tuple[Part, Shape]]] = {}
    for part, shape in zip(parts, seen, strict=True):
        held.setdefault(part.group, []).append((part, shape))
    return tuple(
        SeenGroup(
            label,
            tuple(Counter(part.name for part, _ in own).items()),
            own[0][0].side,
            sum(area(shape) for _, shape in own),
            max((_middle(shape) for _, shape in own), key=lambda spot: spot.across),
        )
        for label, own in held.items()
    )


def _shortened(found: list[Finding]) -> list[Finding]:
    found.sort(key=lambda one: (round(one.y, 1), one.x))
    more = len(found) - MOST
    if more <= 0:
        return found
    last = found[MOST - 1]
    return [
        *found[: MOST - 1],
        Finding(last.kind, f"{last.text}; and {more} more of this kind", last.x, last.y),
    ]


def _narrow(parts: Sequence[Part], seen: Sequence[Shape], pen: float) -> Iterator[Finding]:
    for part, shape in zip(parts, seen, strict=True):
        for piece in pieces(shape):
            if area(piece) >= SMALLEST:
                for spot in narrow_spots(piece, pen):
                    told = f"{part.group} is {spot.across:.2f} mm wide, too narrow for a pen of {pen:g} mm"
                    yield Finding("narrow", told, spot.x, spot.y)


def _small(parts: Sequence[Part], seen: Sequence[Shape]) -> Iterator[Finding]:
    for part, shape in zip(parts, seen, strict=True):
        for piece in pieces(shape):
            if _UNSEEN < area(piece) < SMALLEST:
                spot = _middle(piece)
                what = "a sliver" if spot.across < _SLIM else "a speck"
                told = f"{part.group} shows {what} of {area(piece):.2f} mm2, less than {SMALLEST:g} mm2"
                yield Finding("small", told, spot.x, spot.y)


def _gaps(parts: Sequence[Part], seen: Sequence[Shape]) -> Iterator[Finding]:
    for one, other, spot in gap_spots(seen, APART):
        names = _both(parts[one], parts[other])
        told = (
            f"{names} are {spot.across:.2f} mm apart: let them share an edge, or leave {APART:g} mm and more"
        )
        yield Finding("gap", told, spot.x, spot.y)


def _touching(parts: Sequence[Part], seen: Sequence[Shape]) -> Iterator[Finding]:
    """Find parts of one group along an edge of which one ink would meet itself; those of a side are meant to."""
    for one, other, spot in contact_spots(seen):
        alike = parts[one].group == parts[other].group and not parts[one].side
        if alike and spot.across >= _CONTACT:
            told = f"two parts of {parts[one].group} touch for {spot.across:.1f} mm: unite them, or part them"
            yield Finding("touching", told, spot.x, spot.y)


def _specks(seen: Sequence[Shape]) -> Iterator[Finding]:
    for spot in hole_spots(union(seen), SMALLEST):
        if spot.across > _UNSEEN:
            told = f"{spot.across:.2f} mm2 of ground are shut in, less than {SMALLEST:g} mm2"
            yield Finding("ground", told, spot.x, spot.y)


def _hidden(parts: Sequence[Part], seen: Sequence[Shape]) -> Iterator[Finding]:
    for part, shape in zip(parts, seen, strict=True):
        if area(shape) <= _UNSEEN:
            spot = _middle(part.shape)
            yield Finding("hidden", f"a part of {part.group} lies wholly under others", spot.x, spot.y)


def _both(one: Part, other: Part) -> str:
    return f"two parts of {one.group}" if one.group == other.group else f"{one.group} and {other.group}"


def _middle(shape: Shape) -> Spot:
    """Give the middle of the largest circle in a shape of any size."""
    if shape.is_empty:
        return Spot(0.0, 0.0, 0.0)
    largest = max(pieces(shape), key=area)
    x0, y0, x1, y1 = box_of([largest])
    if area(largest) <= _UNSEEN:
        return Spot((x0 + x1) / 2, (y0 + y1) / 2, 0.0)
    return widest(largest.geoms[0])
