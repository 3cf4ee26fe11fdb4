"""Where the motifs of one tile sit, and how the tile steps.

The places of a set layout form a grid in the tile; they are filled row by row from the top left with the motifs in
order, over again when places are left. A motif lies with the middle of its drawn box in the middle of its place.
"""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from mockup.errors import DesignError
from mockup.geometry.affine import Affine, rotation, scaling, translation
from mockup.geometry.lattice import Lattice
from mockup.geometry.shapes import area, box_of, moved
from mockup.pattern.motif import Motif

REPEATS = ("straight", "half-drop", "brick")
"""The repeats that this module lays out."""


@dataclass(frozen=True, eq=False, slots=True)
class Setting:
    """One motif as she wants it: its drawing, a factor on its natural size, a turn in degrees."""

    motif: Motif
    scale: float = 1.0
    turn: float = 0.0


@dataclass(frozen=True, eq=False, slots=True)
class Placed:
    """One placed motif of the tile: its drawing, where it lies, and its name ("pear-3")."""

    motif: Motif
    transform: Affine
    name: str


@dataclass(frozen=True, eq=False, slots=True)
class Layout:
    """One tile: how it steps, the motifs in it (later ones on top), places across and down."""

    repeat: str
    lattice: Lattice
    placed: tuple[Placed, ...]
    grid: tuple[int, int]


def lattice_of(repeat: str, tile: tuple[float, float], drop: Fraction | None = None) -> Lattice:
    """Give the steps of a repeat; ``drop`` is a half where she gave none."""
    width, height = tile
    share = Fraction(1, 2) if drop is None else drop
    if repeat == "half-drop":
        return Lattice(width, height, drop=share)
    if repeat == "brick":
        return Lattice(width, height, step=share)
    return Lattice(width, height)


def lay_out(
    settings: Sequence[Setting],
    repeat: str = "half-drop",
    *,
    tile: tuple[float, float] | None = None,
    grid: tuple[int, int] | None = None,
    drop: Fraction | None = None,
    coverage: float = 0.55,
    gap: float = 1.5,
) -> Layout:
    """Lay the motifs out in one tile.

    Parameters
    ----------
    settings : sequence of Setting
        The motifs in order.
    repeat : str
        One of ``REPEATS``.
    tile : (float, float), optional
        Width of one column and full height, mm; where left out it follows from the motifs' natural sizes.
    grid : (int, int), optional
        Places across and down; where left out the fewest that hold all, nearest to square.
    drop : Fraction, optional
        How far each column (half-drop) or row (brick) is moved, as a share of the tile.
    coverage, gap : float
        Only for a tile that follows from the motifs: the share of it to cover, and mm to keep clear.

    Raises
    ------
    DesignError
        A grid with fewer places than motifs.
    """
    across, down = grid or _squarest(len(settings), tile)
    if across * down < len(settings):
        raise DesignError(
            f"a grid of {across} x {down} has {across * down} places for {len(settings)} motifs",
            remedy="give it more places, or leave grid out",
        )
    dealt = [settings[place % len(settings)] for place in range(across * down)]
    width, height = tile or natural_tile(dealt, (across, down), coverage, gap)
    counts: Counter[str] = Counter()
    placed = []
    for place, setting in enumerate(dealt):
        row, column = divmod(place, across)
        middle = ((column + 0.5) * width / across, (row + 0.5) * height / down)
        counts[setting.motif.name] += 1
        name = f"{setting.motif.name}-{counts[setting.motif.name]}"
        placed.append(Placed(setting.motif, _at(setting, middle), name))
    return Layout(repeat, lattice_of(repeat, (width, height), drop), tuple(placed), (across, down))


def lay_drawing(drawing: Motif, repeat: str, *, scale: float = 1.0) -> Layout:
    """Take a whole drawing as the only thing in a tile of the drawing's own size."""
    size = (drawing.width * scale, drawing.height * scale)
    placed = Placed(drawing, scaling(scale), f"{drawing.name}-1")
    return Layout(repeat, lattice_of(repeat, size), (placed,), (1, 1))


def natural_tile(
    dealt: Sequence[Setting], grid: tuple[int, int], coverage: float, gap: float
) -> tuple[float, float]:
    """Size (whole mm) of a tile in which the motifs cover about ``coverage`` and do not meet.

    A place is square, and at least as large as the largest motif's box and the gap.
    """
    covered, largest = 0.0, 0.0
    for setting in dealt:
        turned = [moved(part.shape, _at(setting, (0.0, 0.0))) for part in setting.motif.parts]
        covered += sum(map(area, turned))
        if turned:
            x0, y0, x1, y1 = box_of(turned)
            largest = max(largest, x1 - x0, y1 - y0)
        else:
            largest = max(largest, setting.scale * max(setting.motif.width, setting.motif.height))
    place = math.ceil(max(math.sqrt(covered / len(dealt) / coverage), largest + gap))
    return float(place * grid[0]), float(place * grid[1])


def _squarest(places: int, tile: tuple[float, float] | None) -> tuple[int, int]:
    """Grid of exactly so many places whose places are nearest to square; the wider one of two alike."""
    width, height = tile or (1.0, 1.0)

    def oblong(across: int) -> float:
        return abs(math.log(width / across / (height / (places // across))))

    across = min((a for a in range(places, 0, -1) if places % a == 0), key=lambda a: round(oblong(a), 9))
    return across, places // across


def _at(setting: Setting, middle: tuple[float, float]) -> Affine:
    """Put the middle of a motif's drawn box at a point, turned and scaled about it."""
    x0, y0, x1, y1 = setting.motif.box
    inner = translation(-(x0 + x1) / 2, -(y0 + y1) / 2)
    return translation(*middle) @ rotation(setting.turn) @ scaling(setting.scale) @ inner
