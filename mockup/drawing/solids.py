"""Places that are inked solid: much wider than the lines, they are areas and no lines."""

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage
from skimage.measure import find_contours

from mockup.drawing.chains import Chain, Mask
from mockup.geometry.affine import Points
from mockup.geometry.shapes import Shape, roomiest

WIDE: Final = 1.4
"""Least width of a solid place, mm."""

TIMES: Final = 3.0
"""... and so many times the width of the lines."""

_CORE: Final = 0.8


def solids(ink: Mask, chains: Sequence[Chain], scale: float) -> Mask | None:
    """Give the pixels of solid places, without the lines that run into them; None where there are none.

    Parameters
    ----------
    ink : (rows, columns) bools
        What is drawn.
    chains : sequence of Chain
        Its lines.
    scale : float
        Pixels a mm.
    """
    half = np.concatenate([chain.half for chain in chains])
    least = max(TIMES * float(np.median(half)), WIDE * scale / 2)
    spots = [chain.points[chain.half > least] for chain in chains]
    seeds = np.round(np.vstack(spots)).astype(int)
    if not len(seeds):
        return None
    label, _ = ndimage.label(ink, np.ones((3, 3)))
    boxes = ndimage.find_objects(label)
    body = np.zeros(ink.shape, dtype=bool)
    seeds = np.clip(seeds, 0, (ink.shape[1] - 1, ink.shape[0] - 1))
    for number in np.unique(label[seeds[:, 1], seeds[:, 0]]).tolist():
        if number:
            box = boxes[number - 1]
            own = np.pad(label[box] == number, 1)
            core = ndimage.distance_transform_edt(own) > _CORE * least
            if core.any():
                body[box] |= (ndimage.distance_transform_edt(~core) <= _CORE * least)[1:-1, 1:-1]
    return body & ink


def without(ink: Mask, body: Mask, scale: float) -> Mask:
    """Give the lines that are left without solid places; crumbs along these are no lines."""
    thin = ink & ~body
    label, count = ndimage.label(thin, np.ones((3, 3)))
    boxes = ndimage.find_objects(label)
    long = np.array([max(box[0].stop - box[0].start, box[1].stop - box[1].start) for box in boxes]) / scale
    beside = np.zeros(count + 1, dtype=bool)
    beside[np.unique(label[ndimage.binary_dilation(body)])] = True
    keep = np.append(False, ~beside[1:] | (long >= WIDE))
    return np.asarray(keep[label])


def rims(body: Mask) -> list[Chain]:
    """Give the outlines of solid places as closed lines of no width."""
    soft = ndimage.gaussian_filter(body.astype(np.float32), 1.0)
    found = []
    for line in find_contours(np.pad(soft, 1), 0.5):
        points: Points = line[:, ::-1] - 1.0
        if len(points) > 8:
            found.append(Chain(points, np.zeros(len(points)), (-1, -1)))
    return found


def is_solid(shapes: Sequence[Shape], body: Mask | None, scale: float) -> NDArray[np.bool_]:
    """Tell which shapes, mm, lie in solid places by the middle of the largest circle in each, (n,)."""
    if body is None:
        return np.zeros(len(shapes), dtype=bool)
    middles = np.array([roomiest(shape) for shape in shapes]).reshape(-1, 2)
    at = np.clip(np.round(middles * scale - 0.5).astype(int), 0, (body.shape[1] - 1, body.shape[0] - 1))
    return np.asarray(body[at[:, 1], at[:, 0]])
