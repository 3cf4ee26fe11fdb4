"""A picture cut to the frame that is drawn in it, straightened: turned, and put right where it was taken askew."""

from typing import Final

import numpy as np
from scipy import ndimage
from skimage.transform import ProjectiveTransform, downscale_local_mean, warp

from mockup.drawing.marks import Mask, marks
from mockup.drawing.paper import FINEST, Picture, darkness
from mockup.errors import DrawingError
from mockup.geometry.affine import Points
from mockup.geometry.shapes import hull_points

_INKED: Final = 0.9
"""Share of each side along which ink is found, if it is a frame."""

_NEAR: Final = 0.7
"""How far (mm) from the straight line between its corners the ink of a side may lie."""

_LEAST: Final = 0.3
"""Share of the picture's sides that a frame is long, at least."""

_MARGIN: Final = 0.4
"""Bare band inside the frame's line, mm: where lines meet it, they are led on to the edge again."""


def to_frame(pixels: Picture, dpi: float) -> tuple[Picture, float]:
    """Cut a picture to the drawn frame; its middle line becomes the edge, and the frame itself goes.

    Parameters
    ----------
    pixels : (rows, columns, 3) uint8
        sRGB.
    dpi : float
        Pixels an inch.

    Returns
    -------
    pixels, dpi
        The picture within the frame, at most at about 300 dpi.

    Raises
    ------
    DrawingError
        No frame is drawn in it, or nothing can be read from it.
    """
    factor = max(1, round(dpi / FINEST))
    if factor > 1:
        rows, columns = (side // factor * factor for side in pixels.shape[:2])
        small = downscale_local_mean(pixels[:rows, :columns].astype(np.float32), (factor, factor, 1))
        pixels = np.asarray(np.rint(small), dtype=np.uint8)
    picture = darkness(pixels, dpi / factor)
    ink = marks(picture).ink
    corners, width = _corners(ink, picture.scale)
    across, down = (
        round(float(np.hypot(*(corners[b] - corners[a])) + np.hypot(*(corners[d] - corners[c]))) / 2)
        for a, b, c, d in ((0, 1, 3, 2), (0, 3, 1, 2))
    )
    goal = np.array([(0, 0), (across, 0), (across, down), (0, down)], dtype=float) - 0.5
    onto = ProjectiveTransform.from_estimate(goal, corners)
    flat = warp(pixels, onto, output_shape=(down, across), order=1, mode="edge", preserve_range=True)
    found = np.asarray(np.rint(flat), dtype=np.uint8)
    band = max(1, round(width / 2 + _MARGIN * picture.scale))
    paper = np.median(found.reshape(-1, 3), axis=0).astype(np.uint8)
    found[:band], found[-band:], found[:, :band], found[:, -band:] = paper, paper, paper, paper
    return found, dpi / factor


def _corners(ink: Mask, scale: float) -> tuple[Points, float]:
    """Find the corners of the frame at the middle of its line, from the top left; and its line's width, pixels."""
    label, count = ndimage.label(ink, np.ones((3, 3)))
    boxes = ndimage.find_objects(label)
    sizes = [(box[0].stop - box[0].start) * (box[1].stop - box[1].start) for box in boxes]
    for number in sorted(range(count), key=lambda n: -sizes[n])[:3]:
        rows, columns = np.nonzero(label[boxes[number]] == number + 1)
        spots = np.column_stack((columns + boxes[number][1].start, rows + boxes[number][0].start)).astype(
            float
        )
        hull = hull_points(spots)
        ways = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)], dtype=float)
        outer = hull[(hull @ ways.T).argmax(axis=0)]
        sides = np.hypot(*(outer - np.roll(outer, 1, axis=0)).T)
        if min(sides) < _LEAST * min(ink.shape):
            continue
        width = _width(ink, outer)
        inner = outer - ways * width / 2
        if all(_share(ink, inner[n], inner[(n + 1) % 4], _NEAR * scale) >= _INKED for n in range(4)):
            return inner, width
    raise DrawingError(
        "no frame is drawn round it",
        remedy="leave --frame out, or draw a straight frame round the unit and scan it whole",
    )


def _width(ink: Mask, outer: Points) -> float:
    """Give the width of the frame's line: the usual run of ink inwards from its sides."""
    found = []
    middle = outer.mean(axis=0)
    for number in range(4):
        start, end = outer[number], outer[(number + 1) % 4]
        along = (end - start) / max(np.hypot(*(end - start)), 1e-9)
        inward = np.array([-along[1], along[0]])
        inward *= np.sign(inward @ (middle - start))
        for at in np.linspace(0.1, 0.9, 41):
            steps = (start + at * (end - start))[np.newaxis] + inward * np.arange(-3, 40)[:, np.newaxis]
            x, y = np.clip(np.round(steps).astype(int), 0, (ink.shape[1] - 1, ink.shape[0] - 1)).T
            run = ink[y, x]
            if run.any():
                first = int(run.argmax())
                bare = ~run[first:]
                found.append(int(bare.argmax()) if bare.any() else 0)
    return float(np.median(found)) if found else 1.0


def _share(ink: Mask, start: Points, end: Points, near: float) -> float:
    """Give the share of the straight way between two points along which ink is near."""
    many = int(np.hypot(*(end - start))) + 2
    across = np.array([-(end - start)[1], (end - start)[0]]) / many
    spots = np.linspace(start, end, many)[:, np.newaxis] + across * np.linspace(-near, near, 9)[:, np.newaxis]
    x, y = np.clip(np.round(spots).astype(int), 0, (ink.shape[1] - 1, ink.shape[0] - 1)).transpose(2, 0, 1)
    return float(ink[y, x].any(axis=1).mean())
