"""Scenes as pixels and as PDF, painted by cairo.

Only opaque colours painted one over the other: no transparency, no gradients, no images, so that PDF stays
vector and both outputs show the same. Edges are smoothed with cairo's default method: measured against an
eightfold picture its edge pixels are off by 0.5 of 255 on the mean (17 at most), those of its fast method
by 30 (119 at most), and its best method gives the same pixels as the default.

A picture is painted in bands of whole rows, each in a thread of its own; the bands show the very pixels that
one large canvas would.

References
----------
cairo 1.16 manual, "Image Surfaces", "PDF Surfaces"; reproducible-builds.org, SOURCE_DATE_EPOCH 1.1.
"""

import io
import os
import sys
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from mockup.errors import DesignError
from mockup.rendering.canvas_cairo import cairocffi
from mockup.rendering.canvas_paths import Layout, layout
from mockup.rendering.canvas_pen import Pen
from mockup.rendering.canvas_text import drawable, set_type, text_start
from mockup.rendering.scene import Cloth, Scene, Text, channels, plain_text
from mockup.units import MM_PER_INCH, MM_PER_POINT, plain

Pixels = NDArray[np.uint8]

LONGEST_SIDE: Final = 32_767
"""Pixels that the longest side of a picture may have (cairo's limit)."""

MOST_PIXELS: Final = 250_000_000
"""Pixels that a picture may have: 750 MB; an A0 sheet at 400 dpi."""

_DETAIL: Final = 0.1
"""How far the edges of strokes may stand off, in pixels; cairo's own tolerance."""

_BAND: Final = 512
_MOST_THREADS: Final = 8
_CHANNELS: Final = (2, 1, 0) if sys.byteorder == "little" else (1, 2, 3)
_DATE: Final = 1_767_225_600
_LATEST: Final = 253_402_300_799


def picture_size(scene: Scene, dpi: float) -> tuple[int, int]:
    """Columns and rows of the picture of a scene, rounded to whole pixels.

    Raises
    ------
    DesignError
        Where the picture would be too large, with the dpi that fits, or where dpi is not above 0.
    """
    if not 0.0 < dpi < float("inf"):
        raise DesignError(
            f"a picture cannot have {plain(dpi)} dpi", remedy="300 is usual for print, 96 for a screen"
        )
    width, height = scene.width / MM_PER_INCH, scene.height / MM_PER_INCH
    columns, rows = max(1, round(width * dpi)), max(1, round(height * dpi))
    if max(columns, rows) <= LONGEST_SIDE and columns * rows <= MOST_PIXELS:
        return columns, rows
    fits = min(LONGEST_SIDE / max(width, height), (MOST_PIXELS / (width * height)) ** 0.5)
    sheet = f"{plain(scene.width)} x {plain(scene.height)} mm"
    raise DesignError(
        f"{sheet} at {plain(dpi)} dpi would be {columns} x {rows} pixels, more than a picture can hold",
        remedy=f"ask for {plain(np.floor(fits)) if fits >= 2 else plain(fits * 0.99, 3)} dpi or less",
    )


def pixels(scene: Scene, dpi: float) -> Pixels:
    """Paint a scene on white.

    The scene fills the picture to its edges: where the size in pixels had to be rounded, the scale differs
    by at most half a pixel over the whole side.

    Parameters
    ----------
    scene : Scene
        What is to be seen.
    dpi : float
        Pixels an inch.

    Returns
    -------
    (rows, columns, 3) uint8
        sRGB.

    Raises
    ------
    DesignError
        Where the picture would be too large; the line names a dpi that fits.
    ValueError
        Where the scene holds a colour or a coordinate that is none.
    """
    columns, rows = picture_size(scene, dpi)
    picture = np.empty((rows, columns, 3), np.uint8)

    def keep(band: Pixels, top: int) -> None:
        for channel, source in enumerate(_CHANNELS):
            picture[top : top + len(band), :, channel] = band[:, :, source]

    _paint(scene, (columns, rows), keep)
    return picture


def unit_size(cloth: Cloth, scale: tuple[float, float]) -> tuple[int, int]:
    """Columns and rows of the picture of a cloth's unit, at so many pixels a mm across and down."""
    return max(1, round(cloth.size[0] * scale[0])), max(1, round(cloth.size[1] * scale[1]))


def _paint(scene: Scene, size: tuple[int, int], keep: Callable[[Pixels, int], None]) -> None:
    """Paint a scene of so many columns and rows band by band, and hand over each band as cairo keeps it."""
    columns, rows = size
    scale = columns / scene.width, rows / scene.height
    laid = layout(scene.items, _DETAIL / scale[1])
    units = {id(one): _unit(one, scale) for one in scene.items if isinstance(one, Cloth)}
    tops = iter(range(0, rows, _BAND))
    threads = min(_MOST_THREADS, os.cpu_count() or 1, -(-rows // _BAND))
    with ThreadPoolExecutor(threads) as pool:
        jobs = [pool.submit(_paint_bands, laid, tops, size, scale, units, keep) for _ in range(threads)]
        for done in jobs:
            done.result()


def _unit(cloth: Cloth, scale: tuple[float, float]) -> Pixels:
    """Paint the unit of a cloth, (rows, columns, 4) as cairo keeps it."""
    columns, rows = unit_size(cloth, scale)
    picture = np.empty((rows, columns, 4), np.uint8)

    def keep(band: Pixels, top: int) -> None:
        picture[top : top + len(band)] = band

    _paint(Scene(*cloth.size, cloth.items), (columns, rows), keep)
    return picture


def _paint_bands(
    laid: Layout,
    tops: Iterator[int],
    size: tuple[int, int],
    scale: tuple[float, float],
    units: Mapping[int, Pixels],
    keep: Callable[[Pixels, int], None],
) -> None:
    """Paint bands until none is left; several threads share the iterator."""
    columns, rows = size
    canvas = np.empty((min(_BAND, rows), columns, 4), np.uint8)
    for top in tops:
        height = min(_BAND, rows - top)
        surface = cairocffi.ImageSurface.create_for_data(
            canvas, cairocffi.FORMAT_RGB24, columns, height, columns * 4
        )

        def lay(context: Any, cloth: Cloth) -> None:
            _lay(context, cloth, units[id(cloth)], scale)

        context = cairocffi.Context(surface)
        context.set_source_rgb(1, 1, 1)
        context.paint()
        context.translate(0, -top)
        context.scale(*scale)
        edge = 2 / scale[1]
        view = (-edge, top / scale[1] - edge, columns / scale[0] + edge, (top + height) / scale[1] + edge)
        Pen(context, laid, view, lay=lay).paint()
        surface.finish()
        keep(canvas[:height], top)


def _lay(context: Any, cloth: Cloth, unit: Pixels, scale: tuple[float, float]) -> None:
    """Paint with a unit laid side by side from its start on, in whole pixels."""
    rows, columns = unit.shape[:2]
    surface = cairocffi.ImageSurface.create_for_data(unit, cairocffi.FORMAT_RGB24, columns, rows, columns * 4)
    pattern = cairocffi.SurfacePattern(surface)
    pattern.set_extend(cairocffi.EXTEND_REPEAT)
    pattern.set_filter(cairocffi.FILTER_NEAREST)
    x, y = (round(at * by) for at, by in zip(cloth.start, scale, strict=True))
    pattern.set_matrix(cairocffi.Matrix(scale[0], 0, 0, scale[1], -x, -y))
    context.set_source(pattern)


def _creation_date() -> str:
    """Give SOURCE_DATE_EPOCH where it is set, else a constant: a file must not depend on the clock."""
    told = os.environ.get("SOURCE_DATE_EPOCH", "")
    seconds = int(told) if told.isascii() and told.isdecimal() else _DATE
    return datetime.fromtimestamp(min(seconds, _LATEST), UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def _write_text(context: Any, item: Text) -> None:
    """Set a line of type as type, so that a reader can search it."""
    context.save()
    set_type(context, item.weight)
    context.set_font_size(item.size_mm)
    context.set_source_rgb(*channels(item.colour))
    context.translate(item.x, item.y)
    context.rotate(np.radians(item.turn))
    context.move_to(text_start(item), 0)
    context.show_text(drawable(item.text, item.weight))
    context.restore()


def pdf(scene: Scene, *more: Scene) -> bytes:
    """Write a PDF at true size, one page a scene, each page exactly as large as its scene.

    Vector only; texts are type, its font embedded. The title is that of the first scene. Equal scenes give
    equal bytes with one version of cairo.

    Raises
    ------
    ValueError
        Where a scene holds a colour or a coordinate that is none.
    """
    out = io.BytesIO()
    surface = cairocffi.PDFSurface(out, scene.width / MM_PER_POINT, scene.height / MM_PER_POINT)
    surface.set_metadata(cairocffi.PDF_METADATA_CREATE_DATE, _creation_date())
    surface.set_metadata(cairocffi.PDF_METADATA_CREATOR, "mockup")
    surface.set_metadata(cairocffi.PDF_METADATA_TITLE, plain_text(scene.title))
    context = cairocffi.Context(surface)
    for page in (scene, *more):
        surface.set_size(page.width / MM_PER_POINT, page.height / MM_PER_POINT)
        context.save()
        context.scale(1 / MM_PER_POINT, 1 / MM_PER_POINT)
        Pen(
            context, layout(page.items), (0, 0, page.width, page.height), write=_write_text, loose=False
        ).paint()
        context.restore()
        surface.show_page()
    surface.finish()
    return out.getvalue()
