"""Line drawings of known truth by rule from chance: shapes over shapes, and the faces between what is seen of them.

Every drawing follows from its seed.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from typing import Final

import numpy as np
import shapely
from penwork import (
    BARE,
    CLEAR,
    MARGIN,
    SOFT,
    Line,
    Piece,
    Truth,
    blade,
    blob,
    by_hand,
    drawn,
    even,
    flower,
    lengths,
    painted,
    placed,
    rib,
    stroke,
    wander,
    with_end,
)
from scipy import ndimage
from shapely.geometry.base import BaseGeometry
from skimage.segmentation import watershed

from mockup.geometry.affine import Points, rotation

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
