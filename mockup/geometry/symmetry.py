"""The symmetries of a pattern, found in its shapes: every isometry of the plane that maps the pattern onto itself.

A pattern that repeats has finitely many, counted up to the steps of its tile: translations finer than the tile,
rotations of order 2, 3, 4 and 6, mirrors and glides. What does not repeat keeps its middle: rotations about it of any
order, and mirrors through it. How the pattern was laid out plays no part, so a drawing's own symmetry is found too.

A shape of several connected pieces is matched piece by piece, each wherever it lies in the repeat; a piece that a
drawing's edge cuts in two counts as two. Pieces of the rarest kind are tried on each other; each candidate must carry
all pieces to pieces of the same middle, area, perimeter and reach, and their outlines onto each other (Hausdorff
distance), within 0.05 mm or half a per cent of a piece's size.

References
----------
Rotations of a lattice are of order 2, 3, 4 or 6: International Tables for Crystallography A (2016), chapter 1.3.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from mockup.geometry.lattice import Lattice
from mockup.geometry.matching import Finder, Floats, Found, Ints, Isometry
from mockup.geometry.outlines import pieces_of
from mockup.geometry.shapes import Shape

UNEQUAL: Final = 2e-4
"""Two steps of a lattice are equally long if their lengths differ by less than this share and 0.02 mm."""

_FAR: Final = 12


@dataclass(frozen=True, eq=False, slots=True)
class Symmetries:
    """The isometries of a pattern, the identity first; ``place`` (n, 2) is the middle of each shape, mm.

    ``lattice`` is None for what does not repeat. Of isometries that differ by a step of the tile one is listed.
    """

    lattice: Lattice | None
    place: Floats
    isometries: tuple[Isometry, ...]


def symmetries(shapes: Sequence[Shape], lattice: Lattice | None, kinds: Ints | None = None) -> Symmetries:
    """Find every isometry that maps the shapes, with their copies in the repeat, onto themselves.

    Parameters
    ----------
    shapes : sequence of Shape
        The shapes of one tile, or of the sheet, mm; none empty.
    lattice : Lattice or None
        How the tile steps; None where nothing repeats.
    kinds : (n,) ints, optional
        Only shapes of one kind may fall on each other.
    """
    pieces = pieces_of(shapes, np.zeros(len(shapes), dtype=np.int64) if kinds is None else kinds)
    finder = Finder(pieces, lattice)
    found = _of_sheet(finder) if lattice is None else _of_repeat(finder, lattice)
    return Symmetries(lattice, pieces.place[finder.largest], tuple(found))


def _of_repeat(finder: Finder, lattice: Lattice) -> list[Isometry]:
    """Translations first; they tell the finest lattice, whose rotations and reflections are then tried.

    With an isometry all that differ from it by a translation of the pattern are known, and without it none is one.
    """
    moves = _moves(finder, lattice)
    found = list(moves)
    for turn in turns_of(basis(lattice, np.array([own.isometry.shift for own in moves]))):
        for one in _tried(finder, turn, moves):
            found += [finder.moved_on(one, by, lattice) for by in moves]
    return [own.isometry for own in found]


def _moves(finder: Finder, lattice: Lattice) -> list[Found]:
    """Find the translations, the identity first."""
    first = int(finder.order[0])
    moves = [finder.identity()]
    for one in _tried(finder, np.eye(2), moves):
        known, power = list(moves), one
        have = {int(own.to[first]) for own in known}
        while int(power.to[first]) not in have:
            moves += [finder.moved_on(power, by, lattice) for by in known]
            power = finder.moved_on(power, one, lattice)
    return moves


def _tried(finder: Finder, turn: Floats, moves: list[Found]) -> Iterator[Found]:
    """Try the rarest piece on its like; of candidates that differ by one of the ``moves`` only the first."""
    place, first = finder.pieces.place, int(finder.order[0])
    others = [first, *(own for own in finder.near[first] if own != first)]
    likely = finder.promising(turn, place[others] - turn @ place[first])
    left = {other for other, good in zip(others, likely, strict=True) if good}
    if np.abs(turn - np.eye(2)).max() < 1e-9:
        left.discard(first)
    for other in others:
        if other in left:
            found = finder.isometry(turn, place[other] - turn @ place[first])
            if found is not None:
                yield found
            left -= {other, *(int(own.to[other]) for own in moves)}


def basis(lattice: Lattice, moves: Floats) -> Floats:
    """Two shortest steps, as columns, of the lattice that the tile's steps and further moves (m, 2) make."""
    far = range(-_FAR, _FAR + 1)
    steps = np.array([lattice.shift(i, j) for i in far for j in far])
    every = (moves[:, None, :] + steps[None, :, :]).reshape(-1, 2)
    length = np.hypot(*every.T)
    size = lattice.width * lattice.height / len(moves)
    every = every[np.argsort(np.round(length, 6), kind="stable")]
    one = every[np.hypot(*every.T) > 1e-3 * math.sqrt(size)][0]
    other = every[np.abs(one[0] * every[:, 1] - one[1] * every[:, 0]) > size / 2][0]
    return np.column_stack((one, other))


def turns_of(steps: Floats) -> list[Floats]:
    """Rotations and reflections, the identity left out, that map a lattice onto itself."""
    near = np.array([steps @ (i, j) for i in (-2, -1, 0, 1, 2) for j in (-2, -1, 0, 1, 2)])
    found = []
    for one in near[_as_long(near, steps[:, 0])]:
        for other in near[_as_long(near, steps[:, 1])]:
            # the angle between the two is kept if their sum is as long as before
            if _as_long((one + other)[None, :], steps.sum(axis=1)).all() and _spans(one, other, steps):
                left, _, right = np.linalg.svd(np.column_stack((one, other)) @ np.linalg.inv(steps))
                found.append(np.asarray(left @ right))
    return [turn for turn in found if np.abs(turn - np.eye(2)).max() > 1e-6]


def _as_long(near: Floats, own: Floats) -> NDArray[np.bool_]:
    long = float(np.hypot(*own))
    return np.asarray(np.abs(np.hypot(*near.T) - long) <= 0.02 + UNEQUAL * long)


def _spans(one: Floats, other: Floats, steps: Floats) -> bool:
    size = abs(float(np.linalg.det(steps)))
    return abs(abs(float(one[0] * other[1] - one[1] * other[0])) - size) < size / 2


def _of_sheet(finder: Finder) -> list[Isometry]:
    """Rotations about the middle and mirrors through it: the rarest piece off the middle is tried on its like."""
    pieces = finder.pieces
    middle = pieces.area @ pieces.place / pieces.area.sum()
    away = pieces.place - middle
    distance = np.hypot(*away.T)
    far = (distance > distance.max() / 4) & (distance > 4 * pieces.slack)
    found = [finder.identity().isometry]
    if not far.any():
        return found
    first = next(int(own) for own in finder.order if far[own])
    angle = np.arctan2(away[:, 1], away[:, 0])
    for other in finder.near[first]:
        if abs(distance[other] - distance[first]) > 2 * pieces.slack[first]:
            continue
        for flip in (1, -1):
            by = angle[other] - flip * angle[first]
            turn = np.array([[math.cos(by), -flip * math.sin(by)], [math.sin(by), flip * math.cos(by)]])
            own = finder.isometry(turn, middle - turn @ middle)
            if own is not None and np.abs(own.isometry.turn - np.eye(2)).max() > 1e-3:
                found.append(own.isometry)
    return found
