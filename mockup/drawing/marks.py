"""What of a picture is drawn: which pixels are ink, without specks and pinholes; or why it cannot be read."""

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from mockup.drawing.paper import Darkness, Floats
from mockup.errors import DrawingError
from mockup.geometry.rasters import beside

Mask = NDArray[np.bool_]

SPECK: Final = 0.5
"""What is not as long as this (mm) is dust, unless it is as dark and round as a dot that was meant."""

PINHOLE: Final = 0.12
"""Light places inside a line of at most so many mm2 are no gaps in it."""

MOST_MARKS: Final = 20_000
"""Separate marks, specks included, beyond which a picture is no line drawing."""

MOST_LINES: Final = 8_000
"""Separate marks that are no specks."""

_FAINT: Final = 0.07
_FIRM: Final = 0.42
_NEAR: Final = 2.0
_MOST_INK: Final = 0.45
_THINNEST: Final = 1.6
_SOFTEST: Final = 0.55
_FIBRE: Final = 3.0
_THIN: Final = 0.45
_BAND: Final = 96
_COARSE: Final = 5.0


class Marks(NamedTuple):
    """What is drawn: the pixels that are ``ink``, and how many ``specks`` were left out."""

    ink: Mask
    specks: int


def marks(picture: Darkness) -> Marks:
    """Tell ink from paper.

    A pixel is ink from half the darkness of the darkest place within 2 mm on, so that strong and faint lines keep their
    widths; what is lost in the paper's own texture is none.

    Raises
    ------
    DrawingError
        Blank, black nearly all over, blurred, too coarse for its lines, or full of specks: says what, and what scan to
        make.
    """
    dark, noise, scale = picture
    least = max(_FAINT, 5 * noise)
    firm = dark[::2, ::2] > max(2 * least, 0.15)
    if not firm.any():
        raise DrawingError("no lines are to be seen in it", remedy="scan it darker, or with more contrast")
    size = 2 * round(_NEAR * scale / 2) + 1
    top = ndimage.maximum_filter(dark[::2, ::2], size, mode="nearest")
    limit = np.clip(0.5 * ndimage.uniform_filter(top, size, mode="nearest"), least, max(_FIRM, least))
    limit = np.repeat(np.repeat(limit, 2, axis=0), 2, axis=1)[: dark.shape[0], : dark.shape[1]]
    ink = dark > limit
    share = float(ink.mean())
    if share > _MOST_INK:
        raise DrawingError(
            f"{share:.0%} of it is dark: no line drawing",
            remedy="give dark lines on light paper, scanned flat",
        )
    _refuse_soft(dark, ink, scale)
    return _cleaned(ink, scale)


def _refuse_soft(dark: Floats, ink: Mask, scale: float) -> None:
    """Refuse a picture whose lines are blurred, or too few pixels wide to be followed."""
    if dark.shape[0] > 2 * 8 * _BAND:
        some = np.arange(dark.shape[0]) % (8 * _BAND) < _BAND  # bands of rows speak for all
        dark, ink = (dark[some], ink[some]) if ink[some].any() else (dark, ink)
    rim = beside(~ink)
    if not rim.any():
        return
    wide = 2 * ink.sum() / max(int(rim.sum()), 1)
    if wide < _THINNEST:
        wanted = round(scale * 25.4 * 3.0 / wide / 50 + 0.5) * 50
        raise DrawingError(
            f"its lines are {wide:.1f} pixels wide, too coarse to follow",
            remedy=f"scan it at {min(wanted, 600)} dpi",
        )
    gradient = np.hypot(ndimage.sobel(dark, 0)[rim], ndimage.sobel(dark, 1)[rim]) / 8
    top = ndimage.maximum_filter(dark, 2 * round(0.6 * scale) + 1)[rim]
    soft = float(np.median(top / np.maximum(gradient, 1e-6))) / scale
    if soft > _SOFTEST and scale < _COARSE:
        raise DrawingError(
            f"{scale * 25.4:.0f} pixels an inch are too few for its lines", remedy="scan it at 300 dpi"
        )
    if soft > _SOFTEST:
        raise DrawingError(
            f"it is blurred: the edges of its lines are {soft:.1f} mm soft",
            remedy="scan it, or photograph it again, in focus and held still",
        )


def _cleaned(ink: Mask, scale: float) -> Marks:
    """Leave out specks, and close pinholes."""
    label, count = ndimage.label(ink, np.ones((3, 3)))
    if count > MOST_MARKS:
        raise DrawingError(
            f"{count} separate marks are in it, most of them specks",
            remedy="clean the glass, use smooth paper, or scan with less contrast",
        )
    boxes = ndimage.find_objects(label)
    long = np.array([max(b[0].stop - b[0].start, b[1].stop - b[1].start) for b in boxes]) / scale
    area = np.bincount(label.ravel(), minlength=count + 1)[1:] / scale**2
    wide = 2 * area.sum() / max(float(beside(~ink).sum()), 1.0) * scale
    hair = (long < _FIBRE) & (area / np.maximum(long, 1e-9) < _THIN * wide)
    keep = np.append(False, ~hair & (long >= SPECK) & (area >= 0.5 * SPECK**2 / 2))
    if keep.sum() > MOST_LINES:
        raise DrawingError(
            f"{keep.sum()} separate marks are in it, more than can be told apart as lines",
            remedy="scan a part of it, or draw dots as one tone",
        )
    if not keep[1:].all():
        ink = keep[label]
    return Marks(_without_pinholes(ink, scale), int(count - keep.sum()))


def _without_pinholes(ink: Mask, scale: float) -> Mask:
    """Close light places in lines that are smaller than any gap."""
    holes, many = ndimage.label(~ink)
    small = np.flatnonzero(np.bincount(holes.ravel(), minlength=many + 1) <= PINHOLE * scale**2)
    boxes = ndimage.find_objects(holes)
    shut = ink.copy()
    for number in small[small > 0].tolist():
        box = boxes[number - 1]
        shut[box] |= holes[box] == number
    return shut
