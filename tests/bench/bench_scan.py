"""How well scanned line drawings are read, and how long it takes.

``PYTHONPATH=tests python -m bench.bench_scan [SEEDS]`` prints Markdown tables: how far regions and lines agree with
what was drawn, by kind of drawing and setting; what becomes of gaps, by their width; how far outline drawings by
others agree; and seconds and peak memory (Linux only) of A4 next to a yardstick on the same pixels in the same run: labelling and
one Gaussian blur.
"""

import multiprocessing
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Final

import agreements
import linedrawings
import numpy as np
import penwork
import scans
from numpy.typing import NDArray
from scipy import ndimage

from mockup.drawing.tracing import trace
from mockup.errors import DrawingError

Bytes = NDArray[np.uint8]

SIZE: Final = (105.0, 148.0)
DPI: Final = 300
NARROW: Final = (0.2, 0.3, 0.5, 0.4, 0.5, 0.5)
GAPS: Final = (0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 1.0, 1.2, 1.5)
NEAR: Final = 1.0
"""What is listed so near (mm) to a gap is about it."""


def taken(kind: str, setting: str, seed: int, gaps: tuple[float, ...]) -> tuple[penwork.Truth, scans.Scan]:
    """Draw and scan one drawing."""
    truth = scans.with_cuts(linedrawings.KINDS[kind](seed, SIZE), gaps, seed)
    clean = penwork.drawn(truth, DPI)
    return truth, scans.scanned(clean, DPI, setting, seed, clean)


def agreeing(seeds: range) -> Iterator[str]:
    """Rows: kind and setting, then shares and distances, means over the seeds; the regions at fault by number."""
    yield "| drawing | setting | regions | one to one | of 1-4 mm2 | merge | split | lost | invented | lines off, 50/95/99 % mm | not found |"
    yield "| --- |" + " --- |" * 10
    for kind in linedrawings.KINDS:
        for setting in scans.SETTINGS:
            rows, ways, refused = [], [], 0
            for seed in seeds:
                truth, scan = taken(kind, setting, seed, NARROW)
                try:
                    found = trace(scan.pixels, DPI)
                except DrawingError:
                    refused += 1
                    continue
                rows.append(
                    agreements.agreement(
                        truth.regions, agreements.upright(agreements.closed(found), scan.turn), SIZE
                    )
                )
                ways.append(agreements.distance(truth.lines, found.lines, scan.turn))
            if not rows:
                yield f"| {kind} | {setting} | all refused |" + " |" * 8
                continue
            count = sum(row.count for row in rows)
            right = 1 - sum(len(row.wrong) for row in rows) / count
            means = [
                100 * float(np.mean([getattr(row, name) for row in rows]))
                for name in ("small", "merge", "split", "lost", "invented")
            ]
            off, missed = np.mean(ways, axis=0)
            yield (
                f"| {kind} | {setting} | {count}{f' ({refused} refused)' if refused else ''} | {100 * right:.1f} | {means[0]:.0f} | "
                + " | ".join(f"{mean:.2f}" for mean in means[1:])
                + f" | {off[0]:.3f} / {off[1]:.3f} / {off[2]:.3f} | {missed[1]:.3f} / {missed[2]:.3f} |"
            )


def gaps_told(setting: str, seeds: range) -> Iterator[str]:
    """Rows: width of gap, then how many in a hundred were closed, told as leaks, or passed over."""
    yield f"| {setting}: gap, mm | within a line: closed | told | neither | faces right | at its end: closed | told | neither | faces right |"
    yield "| --- |" + " --- |" * 8
    for width in GAPS:
        counts = np.zeros((2, 5))
        for kind in linedrawings.KINDS:
            for seed in seeds:
                truth, scan = taken(kind, setting, seed, (width,) * 6)
                found = trace(scan.pixels, DPI)
                told = agreements.agreement(
                    truth.regions, agreements.upright(agreements.closed(found), scan.turn), SIZE
                )
                middles = scan.turn.apply(np.array([cut.middle for cut in truth.cuts]))
                for cut, at in zip(truth.cuts, middles, strict=True):
                    closed, leak = (
                        len(places) > 0 and bool((np.hypot(*(places - at).T) < NEAR).any())
                        for places in (found.closings.mean(axis=1), found.leaks)
                    )
                    right = not set(cut.between) & set(told.wrong)
                    counts[int(cut.start < 0)] += (1, closed, leak, not (closed or leak), right)
        shares = 100 * counts[:, 1:] / counts[:, :1]
        yield f"| {width:g} | " + " | ".join(f"{share:.0f}" for share in shares.ravel()) + " |"


def by_others(count: int) -> Iterator[str]:
    """Rows: setting, then how far the white areas of outline drawings agree."""
    yield "| drawings by others | refused | areas | one to one | merge | split | lost |"
    yield "| --- |" + " --- |" * 6
    drawings = list(agreements.open_drawings(count))
    for setting in ("", "flatbed", "phone"):
        told, refused = [], 0
        for number, drawing in enumerate(drawings):
            try:
                told.append(agreements.agreement_on(drawing, setting, number))
            except DrawingError:
                refused += 1
        areas = sum(one.count for one in told)
        right = 1 - sum(len(one.wrong) for one in told) / areas
        errors = [
            100 * float(np.mean([getattr(one, name) for one in told])) for name in ("merge", "split", "lost")
        ]
        yield (
            f"| {count}, {setting or 'clean'} | {refused} | {areas} | {100 * right:.1f} | "
            + " | ".join(f"{error:.2f}" for error in errors)
            + " |"
        )


def yardstick(pixels: Bytes, dpi: float) -> None:
    """Label and blur."""
    grey = pixels.mean(axis=2, dtype=np.float32)
    ndimage.label(grey < 128)
    ndimage.gaussian_filter(grey, 0.1 * dpi / 25.4)


def peak() -> float:
    """Most memory this process has held since `work` began, MB."""
    status = Path("/proc/self/status").read_text(encoding="ascii")
    return int(status.split("VmHWM:")[1].split()[0]) / 1024


def work(
    task: Callable[[Bytes, float], object],
    pixels: Bytes,
    dpi: float,
    answer: "multiprocessing.Queue[tuple[float, float]]",
) -> None:
    """Do a task in a process of its own; answer with seconds and by how much its peak of memory grew, in MB."""
    Path("/proc/self/clear_refs").write_text("5", encoding="ascii")  # begins the peak anew
    before = peak()
    start = time.perf_counter()
    task(pixels, dpi)
    seconds = time.perf_counter() - start
    answer.put((seconds, peak() - before))


def measured(task: Callable[[Bytes, float], object], pixels: Bytes, dpi: float) -> tuple[float, float]:
    """Seconds (the least of two) and growth of peak memory (MB) of a task."""
    context, results = multiprocessing.get_context("spawn"), []
    for _ in range(2):
        answer = context.Queue()
        process = context.Process(target=work, args=(task, pixels, dpi, answer))
        process.start()
        results.append(answer.get())
        process.join()
    return min(seconds for seconds, _ in results), max(memory for _, memory in results)


def costs() -> Iterator[str]:
    """Rows: drawing and resolution, then time and memory against the yardstick."""
    yield "| A4 | dpi | million pixels | regions | seconds | yardstick | x | peak, MB | yardstick | x the picture |"
    yield "| --- |" + " --- |" * 9
    for kind in ("petals", "nested"):
        truth = linedrawings.KINDS[kind](1, (210, 297))
        for dpi in (300, 600):
            pixels = scans.scanned(penwork.drawn(truth, dpi), dpi, "flatbed", 1).pixels
            seconds, memory = measured(trace, pixels, dpi)
            plain, little = measured(yardstick, pixels, dpi)
            yield (
                f"| {kind} | {dpi} | {pixels.size / 3e6:.1f} | {len(truth.regions)} | {seconds:.1f} | {plain:.1f} | "
                f"{seconds / plain:.1f} | {memory:.0f} | {little:.0f} | {memory * 2**20 / pixels.size:.1f} |"
            )


def main(seeds: int) -> None:
    """Print all tables."""
    chosen = range(20, 20 + seeds)
    tables = (
        agreeing(chosen),
        *(gaps_told(one, chosen) for one in ("flatbed", "phone")),
        by_others(40),
        costs(),
    )
    for table in tables:
        for row in table:
            print(row, flush=True)
        print()


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 3)
