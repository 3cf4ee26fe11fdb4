"""Tossed layouts: heroes, seconds and fillers in sensible numbers, turned as she allows, with even gaps.

By number there are one hero, two seconds and four fillers, unless she says how often each motif comes. Without a
number, as many motifs as bring the coverage to what is asked at their natural sizes; without a tile, a square one that
so many cover as asked; with both, all are scaled alike.
"""

import math
from collections import Counter
from collections.abc import Callable, Sequence
from functools import lru_cache
from typing import Final, NamedTuple, NoReturn

import numpy as np
from numpy.typing import NDArray

from mockup.errors import DesignError
from mockup.geometry.affine import Affine, rotation, scaling, translation
from mockup.geometry.lattice import Lattice
from mockup.geometry.shapes import area, drawn_lines, moved, union
from mockup.geometry.tossing import Body, Tossed, toss
from mockup.pattern.motif import LineWork, Motif
from mockup.pattern.planegroups import row_by_row
from mockup.pattern.repeat import Layout, Setting, centred, numbered

SIZES: Final = {"hero": 28.0, "second": 14.0, "filler": 0.0}
"""Size class of a motif by the longer side of its box as it is used, mm; common practice, no source."""

NUMBERS: Final = {"hero": 1, "second": 2, "filler": 4}
"""How many of each class there are beside the others; common practice, no source."""

USUAL: Final = 28
"""Motifs in a tile where neither its size nor their number is given; at least one of each."""

SLACK: Final = 0.02
"""How far the coverage may be from what is asked."""

_TURNS: Final = {"one-way": 1, "two-way": 2, "four-way": 4}
_LEAST: Final = 0.3
"""Motifs that come nearer to each other, mm, are refused where she wants more."""

_TRIES: Final = ((16, 3), (40, 2))
"""Up to so many motifs, so many starts."""

_SPARE: Final = 0.92
_STEPS: Final = 5
_SPARSE: Final = 0.02
"""A coverage that finds room is looked for in so many steps, each to this share of the one before, and not below."""


class _Wish(NamedTuple):
    """How motifs are tossed, whatever their numbers."""

    gap: float
    directions: str
    variant: int


def lay_tossed(
    settings: Sequence[Setting],
    *,
    tile: tuple[float, float] | None = None,
    count: int | None = None,
    coverage: float = 0.55,
    gap: float = 1.5,
    directions: str = "tossed",
    variant: int = 1,
) -> Layout:
    """Toss motifs on a tile.

    Parameters
    ----------
    settings : sequence of Setting
        The motifs; ``often`` tells how often each comes beside the others.
    tile : (float, float), optional
        Width and height, mm.
    count : int, optional
        Placed motifs in it.
    coverage : float
        Share of the tile that shapes cover.
    gap : float
        Kept clear between motifs, mm.
    directions : str
        "one-way", "two-way", "four-way" or "tossed" (any).
    variant : int
        Another number, another arrangement.

    Raises
    ------
    DesignError
        A tile in which the motifs find no room.
    """
    areas = np.array([_area(one) for one in settings])
    asked, wish = tile, _Wish(gap, directions, variant)
    many, tile, factor = _numbers(settings, areas, asked, count, coverage)
    found = _tossed(settings, many, tile, factor, wish)
    covered = float(areas @ many) * factor**2 / (tile[0] * tile[1])
    if not _fits(found, gap):

        def would_fit(share: float) -> bool:
            fewer, larger, less = _numbers(settings, areas, asked, count, share)
            return _fits(_tossed(settings, fewer, larger, less, wish, tries=0), gap)

        _refuse(int(many.sum()), tile, covered, gap, _fitting(found, covered, would_fit))
    dealt = _dealt(many)
    placed = []
    for number, spot, turn in zip(dealt, found.spot, found.turn, strict=True):
        at = translation(*spot) @ rotation(math.degrees(turn)) @ _upright(settings[number], factor)
        placed.append((settings[number].motif, at))
    placed.sort(key=lambda one: row_by_row(*one))
    notes = []
    if abs(covered - coverage) > SLACK + 1e-9:
        notes.append(
            f"{len(dealt)} motifs cover {covered:.0%} of the tile, and coverage asks for {coverage:.0%}"
        )
    if found.clear < gap * 0.98:
        notes.append(f"motifs come within {found.clear:.1f} mm of each other, and gap asks for {gap:g}")
    return Layout("tossed", Lattice(*tile), numbered(placed), (len(dealt), 1), tuple(notes))


def size_class(setting: Setting) -> str:
    """Tell hero, second or filler by how large a motif is used."""
    if setting.size:
        return setting.size
    x0, y0, x1, y1 = setting.motif.box
    long = max(x1 - x0, y1 - y0) * setting.factor
    return next(name for name, least in SIZES.items() if long >= least)


def _area(setting: Setting) -> float:
    """Area that a motif covers as it is used, mm2."""
    return area(union(part.shape for part in setting.motif.parts)) * setting.factor**2


def _weights(settings: Sequence[Setting]) -> NDArray[np.float64]:
    """How often each motif comes: as she says, else by size class, shared by the motifs of a class."""
    if any(one.often is not None for one in settings):
        return np.array([1.0 if one.often is None else one.often for one in settings])
    kinds = [size_class(one) for one in settings]
    held = Counter(kinds)
    return np.array([NUMBERS[kind] / held[kind] for kind in kinds])


def _numbers(
    settings: Sequence[Setting],
    areas: NDArray[np.float64],
    tile: tuple[float, float] | None,
    count: int | None,
    coverage: float,
) -> tuple[NDArray[np.int64], tuple[float, float], float]:
    """How many of each motif, the tile, and the factor on all sizes."""
    weights = _weights(settings)
    if tile is None:
        many = _shared(weights, count or max(USUAL, len(settings)))
        side = round(math.sqrt(float(areas @ many) / coverage))
        factor = math.sqrt(coverage * side * side / float(areas @ many))
        return many, (float(side), float(side)), factor if count else 1.0
    room = tile[0] * tile[1] * coverage
    if count:
        many = _shared(weights, count)
        return many, tile, math.sqrt(room / float(areas @ many))
    return _filling(weights, areas, room), tile, 1.0


def _shared(weights: NDArray[np.float64], count: int) -> NDArray[np.int64]:
    """Deal a number out by weights, largest remainders first, one of each as long as the number allows."""
    exact = weights / weights.sum() * count
    many = np.floor(exact).astype(np.int64)
    if count >= len(weights):
        many = np.maximum(many, 1)
    while many.sum() < count:
        many[np.argmax(np.round(exact - many, 9))] += 1
    while many.sum() > count:
        many[np.argmax(np.where(many > 1, many - exact, -np.inf))] -= 1
    return np.asarray(many)


def _filling(weights: NDArray[np.float64], areas: NDArray[np.float64], room: float) -> NDArray[np.int64]:
    """As many motifs as cover so many mm2 best, near the weights."""
    count = max(1, round(room / float(areas @ (weights / weights.sum()))))
    tried = [_shared(weights, number) for number in range(max(1, count - 4), count + 5)]
    for many in list(tried):
        short = room - float(areas @ many)
        for motif in range(len(areas)):
            more = many.copy()
            more[motif] = max(0, more[motif] + round(short / areas[motif]))
            if more.sum() and (abs(more - many) <= 2).all():
                tried.append(more)
    return min(
        tried,
        key=lambda many: (max(abs(float(areas @ many) / room - 1) - 0.01, 0.0), abs(many.sum() - count)),
    )


def _upright(setting: Setting, factor: float) -> Affine:
    """A motif about the middle of its box, turned and scaled as it is used."""
    return scaling(factor) @ centred(setting, (0.0, 0.0))


def _dealt(many: NDArray[np.int64]) -> list[int]:
    """Number of the motif of each that is placed."""
    return [number for number, times in enumerate(many) for _ in range(times)]


def _tossed(
    settings: Sequence[Setting],
    many: NDArray[np.int64],
    tile: tuple[float, float],
    factor: float,
    wish: _Wish,
    tries: int | None = None,
) -> Tossed:
    """Toss the bodies of the motifs, so many of each; from as many starts as their number asks for, or so many."""
    looks = [_body(setting.motif, _upright(setting, factor)) for setting in settings]
    dealt = _dealt(many)
    rng = np.random.default_rng((wish.variant, len(dealt)))
    turns = _turns(np.array(dealt), wish.directions, rng)
    free = np.full(len(dealt), wish.directions == "tossed")
    if tries is None:
        tries = next((tries for most, tries in _TRIES if len(dealt) <= most), 1)
    ways = _TURNS.get(wish.directions, 0)
    own = [looks[number] for number in dealt]
    return toss(own, tile, turns, free, wish.gap, wish.variant, tries, ways)


def _fits(found: Tossed, gap: float) -> bool:
    """Tell whether everything has its size and enough room."""
    return found.scale >= 1 and found.clear >= min(gap, _LEAST)


def _turns(dealt: NDArray[np.int64], directions: str, rng: np.random.Generator) -> NDArray[np.float64]:
    """Turn each motif at the start: copies of one motif lean in different directions, radians."""
    turns = np.zeros(len(dealt))
    ways = _TURNS.get(directions)
    for motif in np.unique(dealt):
        own = np.flatnonzero(dealt == motif)
        rank = rng.permutation(len(own))
        if ways:
            turns[own] = (rank + rng.integers(ways)) % ways * (2 * math.pi / ways)
        else:
            turns[own] = (rank + rng.random()) / len(own) * 2 * math.pi + rng.normal(0, 0.2, len(own))
    return turns


@lru_cache(maxsize=256)
def _body(motif: Motif, at: Affine) -> Body:
    """What of a motif must not meet another, lines included, and what of it is seen as a shape."""
    seen = union(moved(part.shape, at) for part in motif.parts)
    lines = [
        drawn_lines([at.apply(line) for line in e.lines], e.closed, max(e.width * at.stretch, 0.3))
        for e in motif.elements
        if isinstance(e, LineWork)
    ]
    return Body(union([seen, *lines]) if lines else seen, seen if not seen.is_empty else union(lines))


def _fitting(found: Tossed, covered: float, would_fit: Callable[[float], bool]) -> float | None:
    """Find a coverage that finds room, below one that does not; None where a few steps down find none."""
    share = covered * found.scale**2 * _SPARE
    for _ in range(_STEPS):
        share = math.floor(100 * share) / 100
        if share < _SPARSE:
            break
        if would_fit(share):
            return share
        share *= _SPARE
    return None


def _refuse(
    count: int, tile: tuple[float, float], covered: float, gap: float, fits: float | None
) -> NoReturn:
    """Say that the motifs do not fit, and what would."""
    less = "a smaller coverage" if fits is None else f"coverage = {fits:.2f}"
    raise DesignError(
        f"{count} motifs that cover {covered:.0%} of a tile of {tile[0]:g} x {tile[1]:g} mm do not keep "
        f"{min(gap, _LEAST):g} mm clear of each other",
        remedy=f"write {less}, a smaller gap, or a larger tile",
    )
