"""How long a whole sheet takes: `PYTHONPATH=tests python -m bench.bench_look [rounds]`.

The demo's pattern shown smaller, so that an A4 sheet holds some 1 500 regions; 300 dpi. Bare figures are what a plain
loop over cairo's own calls takes for the very same paths, made beforehand, in the same process. Shading is compared
with the flat fills; its bands are counted apart. At last an A5 preview for the screen of a plan that is there already.
"""

import sys
import tracemalloc
from collections.abc import Callable
from dataclasses import replace

import cairocffi
import numpy as np
import resvg_py

from bench.bench_drawing import best
from mockup.design.reading import parse_design
from mockup.geometry.shading import STYLES, Shade, Style
from mockup.jobs.looks import look_of
from mockup.jobs.piece import read_piece
from mockup.jobs.planned import Spreading
from mockup.jobs.spreading import spread_piece
from mockup.rendering import canvas
from mockup.rendering.look import Look
from mockup.rendering.pattern import Painted, painted
from mockup.rendering.png import encode
from mockup.rendering.scene import Clip, Fill, Item, Scene, channels
from mockup.rendering.svgwriter import svg
from mockup.resources import data
from mockup.sheets.preview import Frame, preview

DPI, SCALE = 300.0, 0.6
A4, A5 = (210.0, 297.0), (148.0, 210.0)


def frame(size: tuple[float, float]) -> Frame:
    """A sheet without margin and border."""
    box = (0.0, 0.0, *size)
    return Frame(*size, box, box, SCALE)


def sheet(
    found: Spreading, look: Look, size: tuple[float, float], forms: tuple[Painted, ...], dpi: float | None
) -> Scene:
    """The sheet, copy by copy, or once and laid side by side where dpi is given."""
    return preview(found.piece.tile, found.plan, look, frame(size), forms=forms, dpi=dpi)


def fills(items: tuple[Item, ...]) -> list[Fill]:
    """All fills in painter's order."""
    found: list[Fill] = []
    for item in items:
        if isinstance(item, Clip):
            found += fills(item.items)
        elif isinstance(item, Fill):
            found.append(item)
    return found


def bare(scene: Scene) -> Callable[[], object]:
    """Make a task that fills the paths of a scene with nothing but the library."""
    columns, rows = round(scene.width / 25.4 * DPI), round(scene.height / 25.4 * DPI)
    maker = cairocffi.Context(cairocffi.ImageSurface(cairocffi.FORMAT_A8, 1, 1))
    maker.scale(DPI / 25.4, DPI / 25.4)
    ready = []
    for fill in fills(scene.items):
        maker.new_path()
        for ring in fill.rings:
            for n, (x, y) in enumerate(ring.tolist()):
                (maker.line_to if n else maker.move_to)(x, y)
            maker.close_path()
        path = cairocffi.cairo.cairo_copy_path(maker._pointer)
        ready.append((cairocffi.ffi.gc(path, cairocffi.cairo.cairo_path_destroy), channels(fill.colour)))

    def task() -> object:
        kept = np.empty((rows, columns, 4), np.uint8)
        surface = cairocffi.ImageSurface.create_for_data(
            kept, cairocffi.FORMAT_RGB24, columns, rows, columns * 4
        )
        context = cairocffi.Context(surface)
        context.set_fill_rule(cairocffi.FILL_RULE_EVEN_ODD)
        context.scale(columns / scene.width, rows / scene.height)
        for path, colour in ready:
            cairocffi.cairo.cairo_append_path(context._pointer, path)
            context.set_source_rgb(*colour)
            context.fill()
        surface.finish()
        return kept

    return task


def peak(task: Callable[[], object]) -> float:
    """Most memory that a task holds at once, MiB."""
    tracemalloc.start()
    task()
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return most / 2**20


def in_turn(tasks: dict[str, Callable[[], object]], rounds: int) -> dict[str, float]:
    """Shortest time of each task, ms; all run once in every round, so that a busy moment meets all alike."""
    times = dict.fromkeys(tasks, float("inf"))
    for _ in range(rounds):
        for name, task in tasks.items():
            times[name] = min(times[name], best(task, 1))
    return times


def shaded(found: Spreading, flat: Look, style: Style, coats: int) -> Look:
    """A look in which every ink is shaded."""
    inks = tuple(replace(ink, coats=("#777777",) * coats) for ink in flat.inks)
    return replace(flat, shade=Shade(style, 1.8, coats), inks=inks)


def shading_tasks(
    found: Spreading, flat: Look
) -> tuple[dict[str, Callable[[], object]], dict[str, Callable[[], object]]]:
    """Tasks that make the bands of a tile, and that paint the sheet with them, by style and coats."""
    tile = found.piece.tile
    makes: dict[str, Callable[[], object]] = {}
    paints: dict[str, Callable[[], object]] = {}
    for style in STYLES:
        for coats in (1, 2, 3):
            look = shaded(found, flat, style, coats)
            ready = sheet(found, look, A4, painted(tile, look, SCALE), None)
            name = f"{style}, {coats} coats"
            makes[name] = lambda look=look: painted(tile, look, SCALE)  # type: ignore[misc]
            paints[name] = lambda ready=ready: canvas.pixels(ready, DPI)  # type: ignore[misc]
    return makes, paints


def main(rounds: int = 7) -> None:
    """Print the tables."""
    text = (data("gallery") / "demo" / "larder.toml").read_text(encoding="utf-8")
    found = spread_piece(read_piece(parse_design(text, where="larder.toml")))
    tile, look = found.piece.tile, look_of(found.piece)
    bare_inks = tuple(replace(ink, coats=()) for ink in look.inks)
    flat = replace(look, line=None, shade=None, border=None, inks=bare_inks)
    outlined = replace(flat, line=look.line, line_width=look.line_width, outline=True)
    forms, shown = painted(tile, flat, SCALE), painted(tile, look, SCALE)
    scene, once = sheet(found, flat, A4, forms, None), sheet(found, flat, A4, forms, DPI)
    both = sheet(found, outlined, A4, forms, None)
    drawn = svg(both)
    tasks: dict[str, Callable[[], object]] = {
        "bare fills, ready paths": bare(scene),
        "sheet composed, copy by copy": lambda: sheet(found, flat, A4, forms, None),
        "pixels, copy by copy": lambda: canvas.pixels(scene, DPI),
        "sheet composed, to be laid": lambda: sheet(found, flat, A4, forms, DPI),
        "pixels, laid side by side": lambda: canvas.pixels(once, DPI),
        "composed and pixels, laid, outlined": lambda: canvas.pixels(
            sheet(found, outlined, A4, forms, DPI), DPI
        ),
        "pixels and PNG, copy by copy, outlined": lambda: encode(canvas.pixels(both, DPI), DPI),
        "resvg, the same drawing, to PNG": lambda: resvg_py.svg_to_bytes(
            svg_string=drawn, width=round(A4[0] / 25.4 * DPI), dpi=96
        ),
        "A5 preview at 96 dpi, shaded, to PNG": lambda: encode(
            canvas.pixels(sheet(found, look, A5, shown, 96), 96), 96
        ),
    }
    times = in_turn(tasks, rounds)
    unit = times["bare fills, ready paths"]
    print(f"{len(fills(scene.items))} regions, A4, {DPI:g} dpi, best of {rounds}; times the bare fills")
    for name, spent in times.items():
        print(f"{name:42} {spent:8.1f} ms {spent / unit:6.2f} x")
    makes, paints = shading_tasks(found, flat)
    bands, painting = in_turn(makes, 3), in_turn({"flat": tasks["pixels, copy by copy"], **paints}, rounds)
    print(f"bands of a tile of {len(tile.regions)} regions; pixels copy by copy, times the flat fills")
    for name, spent in bands.items():
        print(f"{name:42} {spent:8.1f} ms {painting[name] / painting['flat']:6.2f} x")
    bitmap = round(A4[0] / 25.4 * DPI) * round(A4[1] / 25.4 * DPI) * 3 / 2**20
    most = max(peak(tasks["pixels, copy by copy"]), peak(tasks["composed and pixels, laid, outlined"]))
    print(f"memory: {most / bitmap:.2f} x the bitmap")


if __name__ == "__main__":
    main(*(int(word) for word in sys.argv[1:]))
