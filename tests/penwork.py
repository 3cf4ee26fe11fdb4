"""Pen lines and the drawings of known truth made of them: their courses, and the clean picture in black and white.

Lengths are mm and y runs down, as everywhere.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final, Protocol

import cairocffi
import numpy as np
import shapely
from numpy.typing import NDArray
from PIL import Image
from scipy import ndimage
from shapely.geometry.base import BaseGeometry

from mockup.geometry.affine import Points, rotation, translation

Bytes = NDArray[np.uint8]
Labels = NDArray[np.int32]
Floats = NDArray[np.float64]
Light = NDArray[np.float32]

SMALL: Final = 4.0
"""Regions from here on count, mm2."""
CLEAR: Final = 1.7
"""How far a line that ends free stays from any other, middle to middle, mm: at least 1 mm of white."""
SOFT: Final = 0.1
"""How far edges may run out in a scan, mm (deviation): slits of up to 0.135 mm are not seen then."""
BARE: Final = 0.3
"""Share of a region that is not round which shows paper, at least."""
MARGIN: Final = 6.0


@dataclass(frozen=True, slots=True)
class Line:
    """One stroke of the pen: points (n, 2) along its middle and the width of the ink at each, mm."""

    points: Points
    closed: bool
    widths: Floats

    @property
    def width(self) -> float:
        return float(self.widths.mean())


@dataclass(frozen=True, slots=True)
class Cut:
    """A gap: the pen is up from ``start`` to ``stop`` along a line, so that ``width`` of white is left."""

    line: int
    start: float
    stop: float
    width: float
    middle: tuple[float, float]
    between: tuple[int, int]


@dataclass(frozen=True, slots=True)
class Truth:
    """A drawing: its lines, and the faces that these divide the page into, but for the outside."""

    width: float
    height: float
    lines: tuple[Line, ...]
    regions: tuple[shapely.Polygon, ...]
    cuts: tuple[Cut, ...] = ()


class Course(Protocol):
    """A line of which only the course matters."""

    @property
    def points(self) -> Points: ...
    @property
    def closed(self) -> bool: ...


# Outlines and lines, each by rule from chance


def wander(chance: np.random.Generator, count: int, reach: float, closed: bool) -> Floats:
    """Smooth noise of deviation 1 at most 3; ``reach`` is over how many points it is alike."""
    noise = ndimage.gaussian_filter1d(
        chance.normal(size=count), reach / 2.5, mode="wrap" if closed else "nearest"
    )
    return np.clip(noise / max(float(noise.std()), 1e-9), -3, 3)


def with_end(points: Points, closed: bool) -> Points:
    return np.vstack((points, points[:1])) if closed else points


def stroke(line: "Course") -> shapely.LineString:
    return shapely.LineString(with_end(line.points, line.closed))


def lengths(points: Points) -> Floats:
    """Way along a line to each of its points."""
    return np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))))


def even(points: Points, closed: bool, step: float = 0.3) -> Points:
    """Set points evenly, about ``step`` apart."""
    points = with_end(points, closed)
    way = lengths(points)
    count = max(4, round(way[-1] / step))
    at = np.linspace(0, way[-1], count, endpoint=not closed)
    return np.column_stack([np.interp(at, way, points[:, axis]) for axis in (0, 1)])


def by_hand(points: Points, closed: bool, chance: np.random.Generator, by: float = 0.05) -> Points:
    """Let the hand tremble: ``by`` mm over waves of 2 mm; both ends stay."""
    points = even(points, closed)
    tremble = np.column_stack([wander(chance, len(points), 7, closed) for _ in range(2)])
    if not closed:
        tremble *= np.minimum(1, np.minimum(np.arange(len(points)), np.arange(len(points))[::-1]) / 5)[
            :, None
        ]
    return points + by * tremble


def blob(chance: np.random.Generator, x: float, y: float, radius: float) -> Points:
    turn = np.linspace(0, 2 * np.pi, 120, endpoint=False)
    away = np.ones_like(turn)
    for wave in (2, 3, 4):
        away += chance.normal() * 0.1 / wave * np.cos(wave * turn + chance.uniform(0, 7))
    return np.column_stack((x + radius * away * np.cos(turn), y + radius * away * np.sin(turn)))


def blade(length: float, breadth: float, bluntness: float, bend: float) -> Points:
    """A petal or leaf from the origin along x: pointed at bluntness 1, round at 0.5."""
    t = np.linspace(0, 1, 80)
    half = breadth / 2 * np.sin(np.pi * t**0.85) ** bluntness
    half[[0, -1]] = 0
    middle = bend * np.sin(np.pi * t)
    upper, lower = np.column_stack((length * t, middle + half)), np.column_stack((length * t, middle - half))
    return np.vstack((upper, lower[-2:0:-1]))


def rib(length: float, bend: float, until: float) -> Points:
    t = np.linspace(0, until, 40)
    return np.column_stack((length * t, bend * np.sin(np.pi * t)))


def placed(points: Points, x: float, y: float, degrees: float) -> Points:
    return (translation(x, y) @ rotation(degrees)).apply(points)


Piece = tuple[Points, list[Points]]
"""An outline, and the line work within it."""


def leaf(
    chance: np.random.Generator,
    x: float,
    y: float,
    degrees: float,
    size: tuple[float, float],
    bluntness: float,
) -> Piece:
    """A petal or leaf with a rib and side veins that end free."""
    length, breadth = size
    bend = chance.normal() * 0.06 * length
    middle = rib(length, bend, chance.uniform(0.55, 0.7))
    inner = [middle]
    for at in range(12, 36, 9):
        for side in (1, -1):
            to = middle[at] + (0.16 * length, side * 0.26 * breadth)
            inner.append(np.linspace(middle[at], to, 12))
    inner = inner[: 1 + 2 * int(chance.integers(0, 4))] if chance.random() < 0.6 else []
    outline = by_hand(placed(blade(length, breadth, bluntness, bend), x, y, degrees), True, chance)
    return outline, [placed(part, x, y, degrees) for part in inner]


def flower(chance: np.random.Generator, x: float, y: float) -> Iterator[Piece]:
    """Leaves, petals and the middle, the hindmost first."""
    radius, start, count = chance.uniform(10, 15), chance.uniform(0, 360), int(chance.integers(5, 9))
    for number in range(int(chance.integers(2, 5))):
        size = radius * chance.uniform(1.4, 1.8), chance.uniform(6, 10)
        yield leaf(chance, x, y, start + 97 * number + chance.uniform(-15, 15), size, 1.0)
    breadth, bluntness = radius * np.sin(np.pi / count) * 2, chance.choice([0.6, 0.8])
    for number in range(count):
        turn = start + 360 * ((number * 2) % count if count % 2 else number) / count
        size = radius * chance.uniform(0.9, 1.1), breadth
        yield leaf(chance, x, y, turn + chance.normal() * 4, size, bluntness)
    yield by_hand(blob(chance, x, y, 0.3 * radius), True, chance), []
    yield by_hand(blob(chance, x, y, 0.14 * radius), True, chance), []


# The clean drawing


def inked(truth: Truth) -> Iterator[tuple[Points, Floats]]:
    """Strokes as the pen drew them, broken at the gaps: points and widths."""
    cuts = {cut.line: cut for cut in truth.cuts}
    for index, line in enumerate(truth.lines):
        points, widths = with_end(line.points, line.closed), line.widths
        widths = np.append(widths, widths[0]) if line.closed else widths
        if (cut := cuts.get(index)) is None:
            yield points, widths
            continue
        way = lengths(points)
        for low, high in ((-1.0, cut.start), (cut.stop, way[-1] + 1)):
            ends = [at for at in (low, high) if 0 < at < way[-1]]
            kept = np.unique([*way[(way > low) & (way < high)], *ends])
            if len(kept) > 1:
                columns = (points[:, 0], points[:, 1], widths)
                x, y, wide = (np.interp(kept, way, column) for column in columns)
                yield np.column_stack((x, y)), wide


def polygon(context: cairocffi.Context, corners: Points) -> None:
    (a, b), (c, d) = (corners[2] - corners[0]).tolist(), (corners[3] - corners[1]).tolist()
    context.new_sub_path()
    for x, y in (corners if a * d > b * c else corners[::-1]).tolist():
        context.line_to(x, y)
    context.close_path()


def drawn(truth: Truth, dpi: float) -> Bytes:
    """Draw the lines black on white, (rows, columns): quadrilaterals and round joints, twice as fine, then reduced."""
    rows, columns = round(truth.height / 25.4 * dpi), round(truth.width / 25.4 * dpi)
    surface = cairocffi.ImageSurface(cairocffi.FORMAT_A8, 2 * columns, 2 * rows)
    context = cairocffi.Context(surface)
    context.scale(dpi / 12.7, dpi / 12.7)
    for points, widths in inked(truth):
        step = np.diff(points, axis=0)
        step /= np.hypot(*step.T)[:, None]
        ahead = np.vstack((step[:1], step[:-1] + step[1:], step[-1:]))
        if (points[0] == points[-1]).all():
            ahead[[0, -1]] = step[0] + step[-1]
        side = (
            np.column_stack((-ahead[:, 1], ahead[:, 0])) / np.hypot(*ahead.T)[:, None] * widths[:, None] / 2
        )
        left, right = points + side, points - side
        for corners in zip(left[:-1], left[1:], right[1:], right[:-1], strict=True):
            polygon(context, np.array(corners))
        bent = np.concatenate(([True], (step[:-1] * step[1:]).sum(axis=1) < 0.95, [True]))
        for (x, y), width in zip(points[bent].tolist(), widths[bent].tolist(), strict=True):
            context.new_sub_path()
            context.arc(x, y, width / 2, 0, 2 * np.pi)
            context.close_path()
        context.fill()
    surface.flush()
    ink = np.frombuffer(surface.get_data(), np.uint8).reshape(2 * rows, surface.get_stride())[
        :, : 2 * columns
    ]
    return 255 - np.asarray(Image.fromarray(ink).reduce(2), dtype=np.uint8)


def painted(shapes: Sequence[BaseGeometry], size: tuple[float, float], step: float) -> Labels:
    """Number the points of a grid by the shape they lie in, from 1; ``size`` and ``step`` in mm, 0 for none."""
    columns, rows = round(size[0] / step), round(size[1] / step)
    surface = cairocffi.ImageSurface(cairocffi.FORMAT_RGB24, columns, rows)
    context = cairocffi.Context(surface)
    context.scale(1 / step, 1 / step)
    context.set_antialias(cairocffi.ANTIALIAS_NONE)
    context.set_fill_rule(cairocffi.FILL_RULE_EVEN_ODD)
    for number, shape in enumerate(shapes, 1):
        for piece in shapely.get_parts(shape):
            for ring in (piece.exterior, *piece.interiors):
                context.new_sub_path()
                for x, y in ring.coords[:-1]:
                    context.line_to(x, y)
                context.close_path()
        context.set_source_rgb((number >> 16) / 255, (number >> 8 & 255) / 255, (number & 255) / 255)
        context.fill()
    surface.flush()
    return np.frombuffer(surface.get_data(), np.int32).reshape(rows, columns) & 0xFFFFFF
