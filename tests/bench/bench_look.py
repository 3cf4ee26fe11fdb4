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
from mockup.geometry.shading import Shade
from mockup.jobs.compare import demo_text
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
from mockup.sheets.preview import Frame, preview

DPI, SCALE = 300.0, 0.57
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


def main(rounds: int = 5) -> None:
    """Print the table."""
    found = spread_piece(read_piece(parse_design(demo_text(), where="larder.toml")))
    tile = found.piece.tile
    look = look_of(found.piece)
    flat = replace(
        look, line=None, shade=None, border=None, inks=tuple(replace(ink, coats=()) for ink in look.inks)
    )
    forms = painted(tile, flat, SCALE)
    scene = sheet(found, flat, A4, forms, None)
    regions = len(fills(scene.items))
    unit = best(bare(scene), rounds)
    print(f"{regions} regions, A4, {DPI:g} dpi, best of {rounds}; times the bare fills")
    outlined = replace(flat, line=look.line, line_width=look.line_width, outline=True)
    both = sheet(found, outlined, A4, forms, None)
    tasks: dict[str, Callable[[], object]] = {
        "bare fills, ready paths": bare(scene),
        "sheet composed, copy by copy": lambda: sheet(found, flat, A4, forms, None),
        "pixels, copy by copy": lambda: canvas.pixels(scene, DPI),
        "composed and pixels, laid side by side": lambda: canvas.pixels(
            sheet(found, flat, A4, forms, DPI), DPI
        ),
        "the same with outlines": lambda: canvas.pixels(sheet(found, outlined, A4, forms, DPI), DPI),
        "pixels and PNG, copy by copy, outlined": lambda: encode(canvas.pixels(both, DPI), DPI),
    }
    text = svg(both)
    tasks["an SVG renderer (resvg) of the same, to PNG"] = lambda: resvg_py.svg_to_bytes(
        svg_string=text, width=round(A4[0] / 25.4 * DPI), dpi=96
    )
    for name, task in tasks.items():
        spent = best(task, rounds)
        print(f"{name:48} {spent:8.1f} ms {spent / unit:6.2f} x")
    plain = best(lambda: canvas.pixels(scene, DPI), rounds)
    for style in ("ends", "one-end", "side", "rim"):
        before = plain
        for coats in (1, 2, 3):
            shaded = replace(
                flat,
                shade=Shade(style, 1.8, coats),
                inks=tuple(replace(ink, coats=("#777777",) * coats) for ink in flat.inks),
            )
            insets = best(lambda shaded=shaded: painted(tile, shaded, SCALE), 2)  # type: ignore[misc]
            ready = sheet(found, shaded, A4, painted(tile, shaded, SCALE), None)
            spent = best(lambda ready=ready: canvas.pixels(ready, DPI), rounds)  # type: ignore[misc]
            print(
                f"{style}, {coats} coats: bands {insets:6.1f} ms for {len(tile.regions)} regions of a tile; "
                f"pixels {spent:7.1f} ms, this coat {(spent - before) / plain:5.2f} x the flat fills"
            )
            before = spent
    bitmap = round(A4[0] / 25.4 * DPI) * round(A4[1] / 25.4 * DPI) * 3 / 2**20
    print(
        f"memory: {peak(lambda: canvas.pixels(sheet(found, outlined, A4, forms, DPI), DPI)) / bitmap:.2f} x the bitmap"
    )
    small = (
        best(lambda: encode(canvas.pixels(sheet(found, look, A5, shown, 96), 96), 96), rounds)
        if (shown := painted(tile, look, SCALE))
        else 0
    )
    print(f"A5 preview at 96 dpi of a plan that is there, PNG: {small:.0f} ms")


if __name__ == "__main__":
    main(*(int(word) for word in sys.argv[1:]))
