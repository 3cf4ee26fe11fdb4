"""Pictures of many colourways at once, on all cores: each is drawn by itself from one shared geometry."""

import os
import pickle
import signal
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import Executor, Future, ProcessPoolExecutor, as_completed
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Final

from mockup.colouring.plan import Plan
from mockup.pattern.field import origin
from mockup.pattern.regions import Tile
from mockup.rendering.canvas import pixels
from mockup.rendering.look import Look
from mockup.rendering.pattern import Painted, Window, field_items, painted
from mockup.rendering.png import encode
from mockup.rendering.scene import Scene
from mockup.units import MM_PER_INCH

_MOST: Final = 8
"""Pictures that are drawn in one go at most, so that what is done can be written soon."""

FEW: Final = 4
"""Up to so many pictures are drawn one after the other: other processes take a second to begin."""


@dataclass(frozen=True, eq=False, slots=True)
class Shared:
    """What all pictures share: the tile, what is painted of it, the size shown in mm, where the tile begins."""

    tile: Tile
    forms: tuple[Painted, ...]
    size: tuple[float, float]
    start: tuple[float, float]


@dataclass(frozen=True, eq=False, slots=True)
class Order:
    """One picture: the plan and the look, its title, and the mark."""

    plan: Plan
    look: Look
    title: str
    made_for: str


def shared_of(tile: Tile, look: Look, size: tuple[float, float], steps: bool) -> Shared:
    """Work out once what all looks of one shading share."""
    return Shared(tile, painted(tile, look), size, origin(tile, *size) if steps else (0.0, 0.0))


def draw_some(shared: bytes, orders: Sequence[Order], side: int) -> list[bytes]:
    """Draw pictures as PNG; ``shared`` is a pickled ``Shared``, ``side`` the longer side in pixels."""
    common = pickle.loads(shared)  # noqa: S301  our own, from the process that asks
    return [_draw(common, order, side) for order in orders]


def _draw(common: Shared, order: Order, side: int) -> bytes:
    width, height = common.size
    window = Window((0.0, 0.0, width, height), common.start)
    items = field_items(common.tile, order.plan, order.look, window, common.forms)
    dpi = side / max(width, height) * MM_PER_INCH
    drawn = pixels(Scene(width, height, items, order.title), dpi)
    return encode(drawn, dpi, {"Software": "mockup", "Comment": order.made_for, "Title": order.title})


def draw_all(
    common: Shared, orders: Sequence[Order], side: int, executor: Executor | None = None
) -> Iterator[tuple[int, bytes]]:
    """Draw pictures, each given with its number as soon as it is done.

    Parameters
    ----------
    common : Shared
        What they share.
    orders : sequence of Order
        One a picture.
    side : int
        Longer side, pixels.
    executor : Executor, optional
        What draws: any of ``concurrent.futures``, or what behaves like one; left out, processes on all cores, or none
        for a few.
    """
    if executor is None and (len(orders) <= FEW or _cores() < 2):
        for number, order in enumerate(orders):
            yield number, _draw(common, order, side)
        return
    shared = pickle.dumps(common, protocol=pickle.HIGHEST_PROTOCOL)
    share = max(1, min(_MOST, -(-len(orders) // (2 * _cores()))))
    starts = range(0, len(orders), share)
    with _at_work(executor, len(starts)) as workers:
        waiting = {workers.submit(draw_some, shared, orders[at : at + share], side): at for at in starts}
        try:
            for done in _finished(waiting):
                yield from enumerate(done.result(), waiting[done])
        finally:
            for future in waiting:
                future.cancel()


def _finished(waiting: Mapping[Future[list[bytes]], int]) -> Iterator[Future[list[bytes]]]:
    """Give what is done as it is done; an executor of another make may have futures of its own kind."""
    if all(isinstance(future, Future) for future in waiting):
        return as_completed(waiting)
    return iter(waiting)


@contextmanager
def _at_work(executor: Executor | None, many: int) -> Iterator[Executor]:
    """Give the executor, or processes of our own that end with the job."""
    if executor is not None:
        yield executor
        return
    workers = ProcessPoolExecutor(min(_cores(), many), initializer=_ready)
    try:
        yield workers
    finally:
        workers.shutdown(wait=True, cancel_futures=True)


def _ready() -> None:
    """Let Ctrl-C be heard by the process that asks, and not by each that draws."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def _cores() -> int:
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
