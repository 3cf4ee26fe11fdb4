"""What the design file says to no effect: a key that the chosen repeat or border has no use for is refused by name.

She would look for its effect in vain, or take the picture for what she wrote.
"""

from collections.abc import Iterator
from typing import Final

from mockup.design.records import Border, Design, Drawing, Pattern, Shading
from mockup.errors import DesignError
from mockup.pattern.cells import CELLED
from mockup.pattern.planegroups import OBLIQUE
from mockup.pattern.repeat import DROPPING, SET_REPEATS

_USERS: Final = {
    "grid": SET_REPEATS,
    "drop": DROPPING + OBLIQUE,
    "cells": (*CELLED, "stripe", "ring"),
}
"""Keys of a pattern and the repeats that use them."""


def refuse_what_is_idle(design: Design) -> None:
    """Refuse the first key that changes nothing.

    Raises
    ------
    DesignError
        Names the key, what has no use for it, and what to write instead.
    """
    told = [*(_of_pattern(design.pattern) if design.pattern else ()), *_of_border(design.border)]
    told += [*_of_shading(design.shading), *(_of_drawing(design.drawing) if design.drawing else ())]
    for key, owner, remedy in told:
        name = f"{design.file.name}, {key}" if design.file else key
        raise DesignError(f"{owner} has no use for it", where=name, remedy=remedy)


def _of_pattern(pattern: Pattern) -> Iterator[tuple[str, str, str]]:
    usual, repeat = Pattern(()), pattern.repeat
    owner = f'repeat = "{repeat}"'
    if repeat != "tossed":
        yield from _of_set(pattern, usual, owner)
    for key, users in _USERS.items():
        if getattr(pattern, key) != getattr(usual, key) and repeat not in users:
            yield f"[pattern] {key}", owner, f"leave it out, or choose {', '.join(users)}"
    if repeat == "ring" and pattern.tile:
        yield "[pattern] tile", owner, "leave it out; a ring fills the sheet"
    if repeat == "ring" and pattern.coverage != usual.coverage:
        yield "[pattern] coverage", owner, "leave it out, and give motifs a scale"
    if pattern.tile and repeat != "tossed":
        for key in ("gap", "coverage") if repeat in SET_REPEATS else ("coverage",):
            if getattr(pattern, key) != getattr(usual, key):
                yield f"[pattern] {key}", "a pattern with a tile of your own", "leave one of the two out"


def _of_set(pattern: Pattern, usual: Pattern, owner: str) -> Iterator[tuple[str, str, str]]:
    """Keys that only tossed layouts use."""
    toss = 'leave it out, or write repeat = "tossed"'
    if pattern.count is not None:
        yield "[pattern] count", owner, toss
    if pattern.directions != usual.directions:
        yield "[pattern] directions", owner, f"{toss}; any motif may have a turn"
    if pattern.variant != usual.variant:
        yield "[pattern] variant", owner, "leave it out; [colouring] variant spreads the inks anew"
    if any(motif.often is not None for motif in pattern.motifs):
        yield "[pattern] often", owner, "leave it out, and name the motif more than once"


def _of_drawing(drawing: Drawing) -> Iterator[tuple[str, str, str]]:
    if drawing.drop is not None and drawing.repeat not in DROPPING:
        yield (
            "[drawing] drop",
            f'repeat = "{drawing.repeat}"',
            f"leave it out, or choose {' or '.join(DROPPING)}",
        )
    if drawing.gap is not None and drawing.strokes in {"lines", "parts"}:
        yield "[drawing] gap", f'strokes = "{drawing.strokes}"', 'leave it out, or write strokes = "regions"'


def _of_shading(shading: Shading) -> Iterator[tuple[str, str, str]]:
    if shading.light != Shading().light and shading.style not in {"side", "one-end"}:
        remedy = 'leave it out, or write style = "side" or "one-end"'
        yield "[shading] light", f'style = "{shading.style}"', remedy


def _of_border(border: Border) -> Iterator[tuple[str, str, str]]:
    if border.style != "motifs":
        owner = f'style = "{border.style}"' if border.style else "a border without style"
        remedy = 'leave it out, or write style = "motifs"'
        if border.motifs:
            yield "[border] motifs", owner, remedy
        if border.frieze is not None:
            yield "[border] frieze", owner, remedy
