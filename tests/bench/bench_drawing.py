"""How long a sheet takes to draw, against the bare library (`python tests/bench/bench_drawing.py [regions]`).

A sheet of A4 at 300 dpi with overlapping regions in painter's order, each an outline of 60 points, filled and
then outlined with 0.4 mm. The bare figures are what a plain loop over cairo's own calls takes for the same
rings, canvas included, in the same process: once with a call a point, once with the paths made beforehand.
"""

import sys
import time
from collections.abc import Callable
from typing import Any

import cairocffi
import numpy as np
from numpy.typing import NDArray

from mockup.rendering import canvas
from mockup.rendering.png import encode
from mockup.rendering.scene import Fill, Scene, Stroke, channels
from mockup.rendering.svgwriter import svg

WIDTH, HEIGHT, LINE = 210.0, 297.0, 0.4
INK = "#2b2622"
Rings = list[NDArray[np.float64]]


def sheet(regions: int, seed: int = 1) -> tuple[Rings, list[str]]:
    """Outlines and colours of a sheet that the regions cover about one and a half times."""
    random = np.random.default_rng(seed)
    across = max(1, round((regions * WIDTH / HEIGHT) ** 0.5))
    down = -(-regions // across)
    pitch = (WIDTH * HEIGHT / regions) ** 0.5
    angles = np.linspace(0, 2 * np.pi, 60, endpoint=False)
    rings, colours = [], []
    for n in range(regions):
        centre = (np.array((n % across, n // across)) + 0.5 + random.uniform(-0.3, 0.3, 2)) * (
            WIDTH / across,
            HEIGHT / down,
        )
        waves = (
            1
            + 0.25 * np.sin(3 * angles + random.uniform(0, 6))
            + 0.1 * np.sin(5 * angles + random.uniform(0, 6))
        )
        radius = pitch * random.uniform(0.4, 0.85) * waves
        rings.append(centre + np.column_stack((np.cos(angles), np.sin(angles))) * radius[:, np.newaxis])
        colours.append("#" + bytes(random.integers(40, 250, 3, dtype=np.uint8).tolist()).hex())
    return rings, colours


def scene(rings: Rings, colours: list[str], outlined: bool) -> Scene:
    """The same sheet as a draw list."""
    items: list[Fill | Stroke] = []
    for ring, colour in zip(rings, colours, strict=True):
        items.append(Fill((ring,), colour, "regions"))
        if outlined:
            items.append(Stroke((ring,), (True,), LINE, INK, "outlines"))
    return Scene(WIDTH, HEIGHT, tuple(items))


def bare(
    rings: Rings, colours: list[str], dpi: float, outlined: bool, paths: list[Any] | None = None
) -> NDArray[np.uint8]:
    """Draw with nothing but the library's own calls; give (rows, columns, 4) as it keeps them."""
    columns, rows = round(WIDTH / 25.4 * dpi), round(HEIGHT / 25.4 * dpi)
    kept = np.empty((rows, columns, 4), np.uint8)
    surface = cairocffi.ImageSurface.create_for_data(kept, cairocffi.FORMAT_RGB24, columns, rows, columns * 4)
    context = cairocffi.Context(surface)
    context.set_source_rgb(1, 1, 1)
    context.paint()
    context.scale(columns / WIDTH, rows / HEIGHT)
    context.set_line_width(LINE)
    context.set_line_join(cairocffi.LINE_JOIN_ROUND)
    for n, (ring, colour) in enumerate(zip(rings, colours, strict=True)):
        if paths:
            cairocffi.cairo.cairo_append_path(context._pointer, paths[n])
        else:
            for x, y in ring.tolist():
                context.line_to(x, y)
            context.close_path()
        context.set_source_rgb(*channels(colour))
        if outlined:
            context.fill_preserve()
            context.set_source_rgb(*channels(INK))
            context.stroke()
        else:
            context.fill()
    surface.finish()
    return kept


def ready_paths(rings: Rings, dpi: float) -> list[Any]:
    """The rings as paths that the library has made itself."""
    context = cairocffi.Context(cairocffi.ImageSurface(cairocffi.FORMAT_A8, 1, 1))
    context.scale(dpi / 25.4, dpi / 25.4)
    paths = []
    for ring in rings:
        context.new_path()
        for x, y in ring.tolist():
            context.line_to(x, y)
        context.close_path()
        made = cairocffi.cairo.cairo_copy_path(context._pointer)
        paths.append(cairocffi.ffi.gc(made, cairocffi.cairo.cairo_path_destroy))
    return paths


def best(task: Callable[[], object], rounds: int) -> float:
    """Shortest of some rounds, ms."""
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        task()
        times.append((time.perf_counter() - start) * 1000)
    return min(times)


def table(regions: int, dpi: float, rounds: int) -> list[tuple[str, float, float]]:
    """Rows of name, ms, and times the bare fills with ready paths."""
    rings, colours = sheet(regions)
    paths = ready_paths(rings, dpi)
    plain, outlined = scene(rings, colours, False), scene(rings, colours, True)
    picture = canvas.pixels(outlined, dpi)
    tasks: dict[str, Callable[[], object]] = {
        "bare fills, ready paths": lambda: bare(rings, colours, dpi, False, paths),
        "bare fills, a call a point": lambda: bare(rings, colours, dpi, False),
        "bare fills and outlines, ready paths": lambda: bare(rings, colours, dpi, True, paths),
        "bare fills and outlines, a call a point": lambda: bare(rings, colours, dpi, True),
        "pixels, fills": lambda: canvas.pixels(plain, dpi),
        "pixels, fills and outlines": lambda: canvas.pixels(outlined, dpi),
        "png of these": lambda: encode(picture, dpi),
        "pdf, fills and outlines": lambda: canvas.pdf(outlined),
        "svg, fills and outlines": lambda: svg(outlined),
    }
    times = {name: best(task, rounds) for name, task in tasks.items()}
    unit = times["bare fills, ready paths"]
    return [(name, spent, spent / unit) for name, spent in times.items()]


def main(regions: int = 1000, dpi: float = 300.0, rounds: int = 7) -> None:
    """Print the table."""
    print(f"{regions} regions, A4, {dpi:g} dpi, best of {rounds}")
    for name, spent, ratio in table(regions, dpi, rounds):
        print(f"{name:40} {spent:8.1f} ms {ratio:6.2f} x")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000)
