"""Connected pieces of shapes, and whether one piece, turned or flipped, has the outline of another."""

from collections.abc import Sequence
from typing import Any, Final, NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy import spatial

from mockup.geometry.shapes import Shape

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]

NEAR: Final = 0.05
"""How far (mm) two outlines may differ and still be alike; larger pieces may differ by more."""

SHARE: Final = 0.005
"""How far, as a share of a piece's size."""

SPECK: Final = 0.2
"""Further pieces of a shape of at most so many mm2 are passed over."""

_WEIGHTS: Final = (0.25, 0.05, 0.7)
"""How much area (as a square's side), perimeter and reach change, at least, for outlines that differ by 1."""

_KIND: Final = 1e5


class Pieces(NamedTuple):
    """Connected pieces of shapes, those of one shape in a row, the largest first.

    ``form`` (m,) polygons moved to their middle, ``owner`` (m,) shapes, ``place`` (m, 2) middles in mm, ``area`` (m,)
    mm2, ``signs`` (m, 4) what no turn changes, in mm of outline, and ``slack`` (m,) mm by which each may be off.
    """

    form: NDArray[Any]
    owner: Ints
    place: Floats
    area: Floats
    signs: Floats
    slack: Floats


def pieces_of(shapes: Sequence[Shape], kinds: Ints) -> Pieces:
    """Take shapes, each of a kind (n,), to pieces."""
    form, owner = shapely.get_parts(np.array(shapes, dtype=object), return_index=True)
    area = shapely.area(form)
    order = np.lexsort((-area, owner))
    first = np.unique(owner[order], return_index=True)[1]
    keep = area[order] > SPECK
    keep[first] = True
    order = order[keep]
    form, owner, area = form[order], np.asarray(owner[order], dtype=np.int64), area[order]
    place = shapely.get_coordinates(shapely.centroid(form))
    points, index = shapely.get_coordinates(form, return_index=True)
    reach = np.zeros(len(form))
    np.maximum.at(reach, index, np.hypot(*(points - place[index]).T))
    slack = np.maximum(NEAR, 2 * SHARE * reach)
    signs = np.column_stack((np.sqrt(area), shapely.length(form), reach)) * _WEIGHTS
    signs = np.column_stack((signs, kinds[owner] * _KIND))
    centred = [shapely.transform(one, lambda xy, at=at: xy - at) for one, at in zip(form, place, strict=True)]
    simple = shapely.simplify(np.array(centred, dtype=object), slack / 10)
    return Pieces(simple, owner, place, area, signs, slack)


class Forms:
    """Compares outlines; pieces that only lie elsewhere are one form, so that each pair is compared once a turn."""

    def __init__(self, pieces: Pieces) -> None:
        self.pieces = pieces
        self.form = self._numbered()
        self.first = np.unique(self.form, return_index=True)[1]
        self.turn = np.eye(2)
        self.known: dict[tuple[int, int], bool] = {}

    def _numbered(self) -> Ints:
        """Number the forms."""
        pieces = self.pieces
        look = np.hstack((pieces.signs, shapely.bounds(pieces.form)))
        near = spatial.KDTree(look).query_ball_point(look, 2 * pieces.slack, return_sorted=True)
        form = np.full(len(look), -1, dtype=np.int64)
        count = 0
        for piece, others in enumerate(near):
            if form[piece] >= 0:
                continue
            free = [other for other in others if form[other] < 0]
            apart = shapely.hausdorff_distance(
                shapely.boundary(pieces.form[piece]), shapely.boundary(pieces.form[free])
            )
            form[
                [other for other, off in zip(free, apart, strict=True) if off <= pieces.slack[piece] / 2]
            ] = count
            count += 1
        return form

    def carried(self, turn: Floats, to: Ints) -> bool:
        """Tell whether ``turn`` (2, 2) gives every piece the outline of the piece ``to`` (m,)."""
        if np.abs(turn - self.turn).max() > 1e-9:
            self.turn, self.known = turn, {}
        pairs = np.unique(np.column_stack((self.form, self.form[to])), axis=0)
        return all(self._alike(int(one), int(other)) for one, other in pairs)

    def _alike(self, one: int, other: int) -> bool:
        if (one, other) not in self.known:
            a, b = self.first[one], self.first[other]
            turned = shapely.transform(self.pieces.form[a], lambda xy: xy @ self.turn.T)
            apart = shapely.hausdorff_distance(
                shapely.boundary(turned), shapely.boundary(self.pieces.form[b])
            )
            self.known[one, other] = bool(apart <= self.pieces.slack[a])
        return self.known[one, other]
