"""From a wish to a layout: every repeat by its name."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from mockup.errors import DesignError
from mockup.geometry.planegroups import POSITIONS
from mockup.pattern.cells import CELLED, lay_cells
from mockup.pattern.planegroups import lay_group
from mockup.pattern.repeat import SET_REPEATS, Layout, Setting, lay_out
from mockup.pattern.rings import lay_rings
from mockup.pattern.stripes import lay_stripes
from mockup.pattern.toss import lay_tossed

REPEATS: Final = (*SET_REPEATS, *CELLED, "stripe", "ring", "tossed", *POSITIONS)
"""Every repeat there is."""

DRAWN: Final = {**dict.fromkeys(CELLED, "field"), "stripe": "band", "ring": "none"}
"""What is drawn between or behind the motifs where she does not say."""


@dataclass(frozen=True, slots=True)
class Wish:
    """How a pattern is to be laid out; what a repeat has no use for is left alone.

    Attributes
    ----------
    repeat : str
        One of ``REPEATS``.
    tile : (float, float) or None
        Width of one column and full height, mm; None: from the motifs' natural sizes.
    grid : (int, int) or None
        Places across and down in one tile of a set layout.
    drop : Fraction or None
        How far a column or row is moved.
    count : int or None
        Placed motifs in one tile of a tossed layout.
    coverage, gap : float
        Share of the tile that shapes cover, and mm kept clear between motifs.
    directions : str
        one-way, two-way, four-way or tossed.
    variant : int
        Another whole number: another arrangement.
    cells : str or None
        "field", "band" or "none": what is drawn of cells, columns and rings.
    room : (float, float)
        Width and height of the sheet's field, mm: what a ring fills.
    """

    repeat: str = "half-drop"
    tile: tuple[float, float] | None = None
    grid: tuple[int, int] | None = None
    drop: Fraction | None = None
    count: int | None = None
    coverage: float = 0.55
    gap: float = 1.5
    directions: str = "tossed"
    variant: int = 1
    cells: str | None = None
    room: tuple[float, float] = (194.0, 281.0)


def arrange(settings: Sequence[Setting], wish: Wish) -> Layout:
    """Lay motifs out as wished.

    Raises
    ------
    DesignError
        A wish that these motifs cannot follow.
    """
    repeat, tile, gap, coverage = wish.repeat, wish.tile, wish.gap, wish.coverage
    drawn = wish.cells or DRAWN.get(repeat, "none")
    if repeat in SET_REPEATS:
        return lay_out(
            settings, repeat, tile=tile, grid=wish.grid, drop=wish.drop, coverage=coverage, gap=gap
        )
    if repeat in CELLED:
        return lay_cells(settings, repeat, tile=tile, gap=gap, coverage=coverage, drawn=drawn)
    if repeat == "stripe":
        return lay_stripes(settings, tile=tile, gap=gap, coverage=coverage, drawn=drawn)
    if repeat == "ring":
        return lay_rings(settings, tile=tile or wish.room, gap=gap, drawn=drawn)
    if repeat == "tossed":
        return lay_tossed(
            settings,
            tile=tile,
            count=wish.count,
            coverage=coverage,
            gap=gap,
            directions=wish.directions,
            variant=wish.variant,
        )
    if repeat in POSITIONS:
        return lay_group(settings, repeat, tile=tile, drop=wish.drop, coverage=coverage, gap=gap)
    raise DesignError(f"there is no repeat {repeat!r}", remedy=f"write one of {', '.join(REPEATS)}")
