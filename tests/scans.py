"""What a scanner or a camera makes of a line drawing of known truth, and gaps cut into it at known places.

Every scan follows from its seed.
"""

import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
import shapely
from penwork import SMALL, Bytes, Cut, Light, Line, Truth, lengths, placed, rib, stroke, with_end
from PIL import Image
from scipy import ndimage

from mockup.geometry.affine import Affine, Points, about, rotation

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
