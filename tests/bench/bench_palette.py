"""Checking and matching palettes against a box of 500 inks, in a running process.

``PYTHONPATH=tests python -m bench.bench_palette`` prints seconds, and ratios to one table of 500 x 500 differences.
"""

import statistics
import time
from collections.abc import Callable

import numpy as np

from mockup.colour.building import build
from mockup.colour.conversion import from_srgb
from mockup.colour.difference import differences
from mockup.colour.ink import Ink
from mockup.colour.judging import Drawing, judged
from mockup.colour.matching import matched, misses, near_twins
from mockup.colour.palette import Palette
from mockup.colour.roles import with_roles


def timed(do: Callable[[], object], times: int = 7) -> float:
    """Give the median of some runs, seconds."""
    found = []
    for _ in range(times):
        start = time.perf_counter()
        do()
        found.append(time.perf_counter() - start)
    return statistics.median(found)


def main() -> None:
    """Time all of it on random inks."""
    rng = np.random.default_rng(500)
    box = [Ink(f"ink {number}", from_srgb(rng.random(3).tolist())) for number in range(500)]
    colours = [ink.colour for ink in box]
    palette = with_roles(Palette(tuple(box[:7])))
    drawing = Drawing(120, 300.0, 4.0)
    table = timed(lambda: differences(colours))
    for name, do in {
        "500 x 500 differences": lambda: differences(colours),
        "check seven inks": lambda: judged(palette, drawing, palette.inks[0]),
        "match seven colours": lambda: matched(misses(colours[:7], colours[7:])),
        "match twelve colours": lambda: matched(misses(colours[:12], colours[12:])),
        "near twins of 500": lambda: near_twins(colours),
        "build of 60 owned": lambda: build(box[0], 5, box[:60]),
    }.items():
        seconds = timed(do)
        print(f"{name:<24} {seconds:8.4f} s  {seconds / table:6.2f} x")


if __name__ == "__main__":
    main()
