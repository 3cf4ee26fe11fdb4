"""How long the visible regions of a crowded sheet take, and whether their areas add up.

``PYTHONPATH=tests python -m bench.bench_regions [REGIONS ...]`` prints a Markdown table. Times are also told as ratios to
the library's bare union of the same shapes in the same run.
"""

import math
import sys
import time
from typing import Final

import numpy as np
import shapely

from bench.sheets import crowded
from mockup.geometry import shapes
from mockup.geometry.affine import translation
from mockup.geometry.shapes import GRID, Shape
from mockup.pattern.motif import Part
from mockup.pattern.regions import visible
from mockup.pattern.repeat import Layout

SIZES: Final = (1000, 3000, 10_000, 30_000)
PER_FLOWER: Final = 8.1
"""Visible regions that a flower has at this crowding, about."""


def forms(layout: Layout) -> list[Shape]:
    """Every part as it lies."""
    return [
        shapes.snapped(shapes.moved(element.shape, placed.transform))
        for placed in layout.placed
        for element in placed.motif.elements
        if isinstance(element, Part)
    ]


def covered(own: list[Shape], layout: Layout) -> tuple[float, float]:
    """Area that shapes and their copies cover of one tile, and the seconds that the bare union of the shapes takes."""
    lattice = layout.lattice
    start = time.perf_counter()
    shapely.union_all(np.array(own, dtype=object), grid_size=GRID)
    seconds = time.perf_counter() - start
    window = shapes.rectangle(0, 0, lattice.width, lattice.height)
    box = shapes.box_of(own)
    copies = [lattice.shift(*step) for step in lattice.copies(box, shapes.box_of([window]))]
    boxes = shapes.boxes(own)
    around = [
        shapes.moved(own[number], translation(x, y))
        for x, y in copies
        for number in np.flatnonzero(
            (boxes[:, 2] + x > 0)
            & (boxes[:, 0] + x < lattice.width)
            & (boxes[:, 3] + y > 0)
            & (boxes[:, 1] + y < lattice.height)
        ).tolist()
    ]
    return shapes.area(shapes.intersection(shapes.union(around), window)), seconds


def main(sizes: tuple[int, ...]) -> None:
    """Print the table, and how time grows."""
    print("| parts | corners | regions | seconds | x bare union | area lost or doubled |")
    print("| --- | --- | --- | --- | --- | --- |")
    times = []
    for size in sizes:
        layout = crowded(max(2, round(size / PER_FLOWER)), 1)
        own = forms(layout)
        corners = int(shapely.get_num_coordinates(np.array(own, dtype=object)).sum())
        start = time.perf_counter()
        tile = visible(layout)
        seconds = time.perf_counter() - start
        whole, bare = covered(own, layout)
        seen = sum(shapes.area(region.seen) for region in tile.regions)
        times.append((len(tile.regions), seconds))
        print(
            f"| {len(own)} | {corners} | {len(tile.regions)} | {seconds:.2f} | {seconds / bare:.2f} | "
            f"{abs(seen / whole - 1):.1e} |",
            flush=True,
        )
    if len(times) > 1:
        (few, short), (many, long) = times[0], times[-1]
        print(
            f"\nTime grows as n^{math.log(long / short) / math.log(many / few):.2f} from {few} to {many} regions."
        )


if __name__ == "__main__":
    main(tuple(map(int, sys.argv[1:])) or SIZES)
