"""Set layouts: where the motifs of one tile sit, and how the tile steps.

The places of a set layout form a grid in the tile; they are filled row by row from the top left with the motifs in
order, over again when places are left. A motif lies with the middle of its drawn box in the middle of its place.
"""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

import numpy as np

from mockup.errors import DesignError
from mockup.geometry.affine import IDENTITY, Affine, Points, rotation, scaling, translation
from mockup.geometry.lattice import Lattice
from mockup.geometry.shapes import area, box_of, moved, rings
from mockup.pattern.motif import LineWork, Motif

SET_REPEATS = ("straight", "half-drop", "brick", "mirror", "turned")
"""The repeats that this module lays out."""

DROPPING = ("half-drop", "brick")
"""Of these, the ones that take a drop."""


@dataclass(frozen=True, eq=False, slots=True)
class Setting:
    """One motif as she wants it.

    ``scale`` is a factor on its natural size, None for 1 or what fits; ``turn`` is in degrees; ``often`` is how often
    it comes beside the others, by number, None where she does not say; ``size`` is hero, second or filler, and follows
    from its size where it is left out.
    """

    motif: Motif
    scale: float | None = None
    turn: float = 0.0
    often: float | None = None
    size: str = ""

    @property
    def factor(self) -> float:
        """Factor on its natural size, 1 where she does not say."""
        return 1.0 if self.scale is None else self.scale


@dataclass(frozen=True, eq=False, slots=True)
class Placed:
    """One placed motif: its drawing, where it lies, its name ("pear-3"), and which tile of the block it is in."""

    motif: Motif
    transform: Affine
    name: str
    tile: tuple[int, int] = (0, 0)


@dataclass(frozen=True, eq=False, slots=True)
class Layout:
    """One block: how it steps, the motifs in it (later ones on top), places across and down.

    ``notes`` say in plain lines what came out other than asked; ``drawn`` tells that it is one drawing, not motifs.
    ``runs`` are the groups of a drawing that run on into their own copies, with the steps to these; ``lined`` tells
    that the drawing's own lines run along its parts.
    """

    repeat: str
    lattice: Lattice
    placed: tuple[Placed, ...]
    grid: tuple[int, int]
    notes: tuple[str, ...] = ()
    drawn: bool = False
    runs: tuple[tuple[str, tuple[tuple[int, int], ...]], ...] = ()
    lined: bool = False

    @property
    def steps(self) -> bool:
        """Whether it repeats; a ring and a single drawing do not."""
        return self.repeat not in SINGLE


SINGLE = ("none", "ring")
"""What fills one sheet and does not step."""


def lattice_of(repeat: str, tile: tuple[float, float], drop: Fraction | None = None) -> Lattice:
    """Give the steps of a set layout; ``drop`` is a half where she gave none."""
    width, height = tile
    share = Fraction(1, 2) if drop is None else drop
    if repeat == "half-drop":
        return Lattice(width, height, drop=share)
    if repeat == "brick":
        return Lattice(width, height, step=share)
    across, down = _FLIPS.get(repeat, (1, 1))
    return Lattice(width * across, height * down, unit=(across, down))


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
        One of ``SET_REPEATS``.
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
    middles = [
        ((column + 0.5) * width / across, (row + 0.5) * height / down)
        for row in range(down)
        for column in range(across)
    ]
    placed = numbered([(one.motif, centred(one, spot)) for one, spot in zip(dealt, middles, strict=True)])
    flipped = [
        replace(one, transform=flip @ one.transform, tile=tile_)
        for tile_, flip in _flips(repeat, width, height)
        for one in placed
    ]
    return Layout(repeat, lattice_of(repeat, (width, height), drop), tuple(flipped), (across, down))


_FLIPS: Final = {"mirror": (2, 2), "turned": (2, 1)}
"""Tiles (across, down) of a block in which every other tile is flipped."""


def _flips(repeat: str, width: float, height: float) -> list[tuple[tuple[int, int], Affine]]:
    """Give the tiles of a block, and how the first one is brought onto each."""
    if repeat == "mirror":
        across, down = Affine(a=-1.0, e=2 * width), Affine(d=-1.0, f=2 * height)
        return [((0, 0), IDENTITY), ((1, 0), across), ((0, 1), down), ((1, 1), across @ down)]
    if repeat == "turned":
        return [((0, 0), IDENTITY), ((1, 0), Affine(a=-1.0, d=-1.0, e=2 * width, f=height))]
    return [((0, 0), IDENTITY)]


def numbered(placed: Sequence[tuple[Motif, Affine]]) -> tuple[Placed, ...]:
    """Name placed motifs after their drawings, each drawing's counted from 1 in the order given."""
    counts: Counter[str] = Counter()
    found = []
    for drawn, transform in placed:
        counts[drawn.name] += 1
        found.append(Placed(drawn, transform, f"{drawn.name}-{counts[drawn.name]}"))
    return tuple(found)


def lay_drawing(
    drawing: Motif,
    repeat: str,
    *,
    scale: float = 1.0,
    drop: Fraction | None = None,
    notes: tuple[str, ...] = (),
    runs: tuple[tuple[str, tuple[tuple[int, int], ...]], ...] = (),
) -> Layout:
    """Take a whole drawing as the only thing in a tile of the drawing's own size."""
    size = (drawing.width * scale, drawing.height * scale)
    placed = Placed(drawing, scaling(scale), f"{drawing.name}-1")
    return Layout(repeat, lattice_of(repeat, size, drop), (placed,), (1, 1), notes, drawn=True, runs=runs)


def natural_tile(
    dealt: Sequence[Setting], grid: tuple[int, int], coverage: float, gap: float
) -> tuple[float, float]:
    """Size (whole mm) of a tile in which the motifs cover about ``coverage`` and do not meet.

    A place is square, and at least as large as the largest motif's box and the gap.
    """
    covered, largest = 0.0, 0.0
    for setting in dealt:
        turned = [moved(part.shape, centred(setting, (0.0, 0.0))) for part in setting.motif.parts]
        covered += sum(map(area, turned))
        if turned:
            x0, y0, x1, y1 = box_of(turned)
            largest = max(largest, x1 - x0, y1 - y0)
        else:
            largest = max(largest, setting.factor * max(setting.motif.width, setting.motif.height))
    place = math.ceil(max(math.sqrt(covered / len(dealt) / coverage), largest + gap))
    return float(place * grid[0]), float(place * grid[1])


def _squarest(places: int, tile: tuple[float, float] | None) -> tuple[int, int]:
    """Grid of exactly so many places whose places are nearest to square; the wider one of two alike."""
    width, height = tile or (1.0, 1.0)

    def oblong(across: int) -> float:
        return abs(math.log(width / across / (height / (places // across))))

    across = min((a for a in range(places, 0, -1) if places % a == 0), key=lambda a: round(oblong(a), 9))
    return across, places // across


def centred(setting: Setting, middle: tuple[float, float], scale: float | None = None) -> Affine:
    """Put the middle of a motif's drawn box at a point, turned and scaled about it; ``scale`` in place of its own."""
    x0, y0, x1, y1 = setting.motif.box
    inner = translation(-(x0 + x1) / 2, -(y0 + y1) / 2)
    return (
        translation(*middle)
        @ rotation(setting.turn)
        @ scaling(setting.factor if scale is None else scale)
        @ inner
    )


def points_of(setting: Setting) -> Points:
    """Corners of all that a motif draws about the middle of its box, turned, at natural size, (n, 2) mm."""
    at = centred(setting, (0.0, 0.0), 1.0)
    drawn = [at.apply(ring) for part in setting.motif.parts for ring in rings(part.shape)]
    drawn += [at.apply(line) for e in setting.motif.elements if isinstance(e, LineWork) for line in e.lines]
    return np.vstack(drawn)
