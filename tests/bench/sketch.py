"""Makes the demo's pen drawing and its tinted copy: motifs drawn by hand, back to front, then taken by a camera.

PYTHONPATH=tests .venv/bin/python -m bench.sketch gallery/demo/sketch.jpg gallery/demo/sketch-tinted.jpg
"""

import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import linedrawings
import numpy as np
import penwork
import scans
import shapely
from PIL import Image, ImageDraw
from scipy import ndimage

from mockup.geometry.affine import Affine, Points, rotation, scaling, translation
from mockup.pattern.motif import LineWork
from mockup.pattern.motif_library import library_motif
from mockup.pattern.regions import visible
from mockup.pattern.repeat import Layout, Placed, lattice_of

SIZE = (148.0, 105.0)
DPI = 200
PLACES = (  # motif, x, y of its middle, turn, scale; later ones lie in front
    ("palm", 26, 40, -24, 1.25), ("fern", 128, 36, 18, 1.5), ("palm", 118, 72, 40, 1.1), ("spray", 58, 28, 12, 1.3),
    ("jug", 74, 62, 0, 1.85), ("pear", 112, 76, 10, 1.05), ("fig", 34, 78, -8, 1.05), ("pear", 60, 83, -14, 0.85),
    ("windflower", 76, 27, 10, 1.05), ("primrose", 100, 34, 0, 1.05), ("bud", 53, 42, -30, 1.2),
    ("moth", 128, 20, -14, 0.62), ("snail", 92, 88, 0, 0.8),
)  # fmt: skip
TINTS = {
    "leaf": "#9dbb86", "stem": "#7f9c6f", "blade": "#9dbb86", "petal": "#e79a93", "collar": "#e8c46a",
    "centre": "#e8c46a", "star": "#e8c46a", "body": "#86aecb", "band": "#e8c46a", "handle": "#86aecb",
    "mouth": "#cfe0ec", "whole": "#a98bb5", "flesh": "#e79a93", "pulp": "#e79a93", "wing": "#e8c46a",
    "wing-under": "#e79a93", "shell": "#e8c46a", "whorl": "#e79a93", "young": "#9dbb86", "cheek": "#e79a93",
}  # fmt: skip


def layout() -> Layout:
    placed = []
    for number, (name, x, y, turn, scale) in enumerate(PLACES):
        motif = library_motif(name)
        x0, y0, x1, y1 = motif.box
        at = translation(x, y) @ rotation(turn) @ scaling(scale) @ translation(-(x0 + x1) / 2, -(y0 + y1) / 2)
        placed.append(Placed(motif, at, f"{name}-{number}"))
    return Layout("none", lattice_of("none", SIZE), tuple(placed), (1, 1))


def strokes() -> Iterator[Points]:
    """Outlines as far as they are seen, drawn once where parts meet; inner lines."""
    tile = visible(layout())
    edges = shapely.union_all(
        [shapely.LineString(line) for region in tile.regions for line in region.outline]
    )
    covered = shapely.LineString()
    for line in sorted(linedrawings.parts(edges), key=lambda one: -shapely.LineString(one).length):
        own = shapely.LineString(line).difference(covered.buffer(0.35))
        covered = covered.union(own)
        yield from linedrawings.parts(own)
    for placed in layout().placed:
        for element in placed.motif.elements:
            if isinstance(element, LineWork):
                whole = shapely.MultiLineString([placed.transform.apply(line) for line in element.lines])
                above = shapely.union_all(
                    [r.seen for r in tile.regions if r.place > int(placed.name.split("-")[-1])]
                )
                yield from linedrawings.parts(whole.difference(above))


def truth() -> penwork.Truth:
    chance = np.random.default_rng(7)
    lines = []
    for course in strokes():
        if shapely.LineString(course).length < 0.8:
            continue
        closed = bool(np.allclose(course[0], course[-1], atol=1e-9)) and len(course) > 3
        points = penwork.by_hand(course[:-1] if closed else course, closed, chance, 0.06)
        swell = 1 + 0.16 * penwork.wander(chance, len(points), 10, closed)
        lines.append(penwork.Line(points, closed, np.clip(0.46 * swell, 0.32, 0.66)))
    return penwork.Truth(*SIZE, tuple(lines), ())


def tinted(clean: penwork.Bytes) -> Image.Image:
    """The same drawing tinted in haste: out of register, over and under the lines."""
    chance = np.random.default_rng(3)
    dot = DPI / 25.4
    tint = Image.new("RGB", clean.shape[::-1], "#fbf9f4")
    pen = ImageDraw.Draw(tint)
    off = Affine(e=0.7, f=-0.5)
    for region in visible(layout()).regions:
        colour = TINTS.get(region.part)
        if colour:
            for piece in shapely.get_parts(region.seen.buffer(chance.uniform(-0.35, 0.25))):
                ring = off.apply(shapely.get_coordinates(piece.exterior)) * dot
                pen.polygon([tuple(point) for point in ring.tolist()], fill=colour)
    paint = ndimage.gaussian_filter(np.asarray(tint).astype(float), (2, 2, 0))
    paint = 255 - (255 - paint) * (1 + 0.12 * scans.grain(chance, clean.shape, 0.25 * dot)[..., np.newaxis])
    return Image.fromarray(
        np.clip(paint * (0.25 + 0.75 * clean[..., np.newaxis] / 255), 0, 255).astype(np.uint8)
    )


def main(target: Path, copy: Path) -> None:
    clean = penwork.drawn(truth(), DPI)
    how = replace(scans.SETTINGS["flatbed"], turn=(0.3, 0.3), texture=0.02, paper=(0.93, 0.91, 0.86))
    found = scans.scanned(clean, DPI, how, 4)
    Image.fromarray(found.pixels).save(target, "JPEG", quality=82, dpi=(DPI, DPI), optimize=True)
    small = tinted(clean).resize((clean.shape[1] // 2, clean.shape[0] // 2), Image.Resampling.LANCZOS)
    small.save(copy, "JPEG", quality=82, dpi=(DPI // 2, DPI // 2), optimize=True)


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]))
