"""The parts of a layout that belong to the design's side palettes: found, and put together by figure."""

import difflib
from dataclasses import replace

from mockup.colour.palette import Palette
from mockup.errors import DrawingError, UnknownNameError
from mockup.pattern.figures import with_sides
from mockup.pattern.repeat import Layout


def sided(layout: Layout, palette: Palette, where: str, drawing: bool) -> tuple[Layout, tuple[str, ...]]:
    """Let the parts of each side palette take one ink by figure, and give the sides that the palette does not have.

    Parts of a side that the palette does not have take its inks like any others, so that a motif with skin parts
    serves any design.

    Raises
    ------
    UnknownNameError
        No part belongs to a side palette; ``where`` is told with it.
    DrawingError
        Every part belongs to one: nothing is left for the palette.
    """
    parts = [part for placed in layout.placed for part in placed.motif.parts]
    drawn = {part.side for part in parts} - {""}
    known = {side.name for side in palette.side}
    left = tuple(sorted(drawn - known))
    for name in sorted(known - drawn):
        near = difflib.get_close_matches(name, left, 1, 0.5)
        remedy = f'give its parts data-side="{name}" in the drawing, or leave the side palette out'
        if near:
            remedy = f"did you mean {near[0]!r}?"
        raise UnknownNameError(f"no part belongs to the side palette {name!r}", where=where, remedy=remedy)
    if all(part.side in known for part in parts):
        raise DrawingError(
            "every part belongs to a side palette, and nothing takes the palette's inks",
            where=where,
            remedy="leave data-side out where a part is to take them",
        )
    whole = {placed.motif: with_sides(placed.motif, known, drawing) for placed in layout.placed}
    placed = tuple(replace(one, motif=whole[one.motif]) for one in layout.placed)
    return replace(layout, placed=placed), left
