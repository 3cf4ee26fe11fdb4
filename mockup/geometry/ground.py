"""Which shapes touch the ground that lies behind them all."""

from collections import defaultdict
from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from mockup.geometry import shapes
from mockup.geometry.affine import translation
from mockup.geometry.lattice import Lattice
from mockup.geometry.shapes import Box, Shape

SLACK: Final = 0.05
"""An outline this near to another shape (mm) lies on it."""

_LEAST: Final = 0.2


def on_ground(own: Sequence[Shape], lattice: Lattice | None, field: Box | None = None) -> NDArray[np.bool_]:
    """Tell which shapes touch the ground: some of their outline lies on no other shape, (n,) bools.

    Parameters
    ----------
    own : sequence of Shape
        One shape a node, mm, not overlapping.
    lattice : Lattice, optional
        How the tile steps; copies count as others.
    field : Box, optional
        The field of a single sheet; its edge is no ground.
    """
    if not own:
        return np.zeros(0, dtype=bool)
    box = shapes.box_of(own)
    around = (box[0] - 2 * SLACK, box[1] - 2 * SLACK, box[2] + 2 * SLACK, box[3] + 2 * SLACK)
    steps = lattice.copies(box, around) if lattice else [(0, 0)]
    copies = [(index, step) for step in steps for index in range(len(own))]
    placed = (
        list(own)
        if lattice is None
        else [shapes.moved(own[index], translation(*lattice.shift(*step))) for index, step in copies]
    )
    others: dict[int, list[Shape]] = defaultdict(list)
    for one, other in shapes.near_pairs(own, placed, SLACK).tolist():
        if copies[other] != (one, (0, 0)):
            others[one].append(placed[other])
    inner = None
    if field:
        inner = shapes.rectangle(field[0] + SLACK, field[1] + SLACK, field[2] - SLACK, field[3] - SLACK)
    bare = [
        shapes.outline_outside(shape, shapes.grown(shapes.union(others[index]), SLACK), inner)
        for index, shape in enumerate(own)
    ]
    return np.array(bare) > _LEAST
