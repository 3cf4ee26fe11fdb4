"""Twenty-four colourways of large designs: seconds to find them, and to draw them at 1 200 pixels, as ratios.

    PYTHONPATH=tests .venv/bin/python -m bench.bench_colourways

What one picture takes by itself, times their number, is the yardstick of each way to draw them.
"""

import os
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final, TypeVar

from builders import design_text

from mockup.design.reading import read_design
from mockup.jobs.colourways import SIDE, shown_size
from mockup.jobs.looks import look_of
from mockup.jobs.offering import Wish, offered
from mockup.jobs.piece import read_piece
from mockup.jobs.spreading import spread_piece
from mockup.jobs.waypictures import Order, Shared, draw_all, shared_of

WAYS: Final = 24
MOTIFS: Final = '["pear", "mushroom", "jug", "lemon", "fig", "snail"]'
_Found = TypeVar("_Found")


def timed(job: Callable[[], _Found]) -> tuple[_Found, float]:
    """Give what a job gives, and the seconds it takes."""
    begin = time.perf_counter()
    found = job()
    return found, time.perf_counter() - begin


def drawn(ground: Shared, orders: list[Order]) -> Iterator[tuple[str, float]]:
    """Draw the pictures in several ways; give the name of each with its seconds."""
    yield "one after the other", timed(lambda: [list(draw_all(ground, [one], SIDE)) for one in orders])[1]
    yield "all cores", timed(lambda: list(draw_all(ground, orders, SIDE)))[1]
    cores = os.cpu_count() or 1
    with ThreadPoolExecutor(cores) as pool:
        yield f"{cores} threads", timed(lambda: list(draw_all(ground, orders, SIDE, pool)))[1]
    with ProcessPoolExecutor(cores) as pool:
        list(draw_all(ground, orders[:cores], SIDE, pool))
        yield f"{cores} processes that wait", timed(lambda: list(draw_all(ground, orders, SIDE, pool)))[1]


def main() -> None:
    """Print the table."""
    print("| regions | found, s | way to draw | seconds | x one by one |")
    print("| --- | --- | --- | --- | --- |")
    for count in (25, 75, 150):
        tile = round(33 * count**0.5)
        pattern = f'repeat = "tossed"\ntile = [{tile}, {tile}]\ncount = {count}\nmotifs = {MOTIFS}'
        with TemporaryDirectory() as folder:
            path = Path(folder) / "large.toml"
            path.write_text(
                design_text(5, pattern, 'ground = "light"\ncolour_repeat = [1, 1]'), encoding="utf-8"
            )
            spreading = spread_piece(read_piece(read_design(path)))
            text = path.read_text(encoding="utf-8")
            ways, seconds = timed(lambda: offered(spreading, text, Wish(WAYS)))  # noqa: B023
        looks = [look_of(way.spreading.piece) for way in ways]
        ground = shared_of(spreading.piece.tile, looks[0], shown_size(spreading), True)
        orders = [
            Order(way.spreading.plan, look, way.name, "") for way, look in zip(ways, looks, strict=True)
        ]
        alone = 0.0
        for name, took in drawn(ground, orders):
            alone = alone or took
            print(
                f"| {len(spreading.piece.tile.regions)} | {seconds:.2f} | {len(orders)}, {name} | {took:.2f} | "
                f"{took / alone:.2f} |"
            )


if __name__ == "__main__":
    main()
