"""How long a photograph takes from file to colours, and which planted accents are found.

``PYTHONPATH=tests python -m bench.bench_photo [FILE ...]`` prints two Markdown tables: seconds, and their ratio to
Pillow's own decoding in the same run, of a picture of 12 million pixels made here and of every file given; then, for
vivid patches, noise and dots of known size in pictures made here, how many in a hundred are found.
"""

import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from mockup.colour.conversion import read_colour
from mockup.colour.difference import ciede2000
from mockup.colour.leading import leading_colours
from mockup.colour.photo import read_photo

Bytes = NDArray[np.uint8]

ACCENTS: Final = (
    *("#e6194b", "#ff6a00", "#ffd000", "#2fb62f", "#00a693"),
    *("#1f6fff", "#7a2be0", "#e520b5", "#c8102e", "#00c8e0"),
)
KINDS: Final = ("flat", "noisy", "dots")
SHARES: Final = (0.02, 0.01, 0.005)
COUNTS: Final = (4, 5, 6, 7)
FOUND: Final = 6.0
"""CIEDE2000 within which a planted colour counts as found."""


def photograph(seed: int, size: tuple[int, int] = (240, 320)) -> Bytes:
    """Make a muted picture: three colours that run into each other, grain, and a few darker things with soft edges."""
    chance = np.random.default_rng(seed)
    down, right = np.meshgrid(*(np.linspace(0, 1, side) for side in size), indexing="ij")
    colours = 128 + chance.uniform(-76, 76, (3, 1)) + chance.uniform(-15, 15, (3, 3))
    waves = np.zeros((3, *size))
    for number in range(3):
        for across, along, phase in chance.uniform(0.3, 3.0, (3, 3)):
            waves[number] += np.sin(2 * np.pi * (across * right + along * down + phase))
    parts = np.exp(waves) / np.exp(waves).sum(axis=0)
    picture = np.tensordot(parts, colours, axes=(0, 0))
    for y, x, radius, shade in chance.uniform((0, 0, 0.05, 0.4), (1, 1, 0.2, 0.9), (4, 4)):
        inside = np.clip((radius - np.hypot(down - y, right - x)) * 60, 0, 1)[..., None]
        picture *= 1 - inside * (1 - shade)
    grain = chance.choice([2.0, 5.0, 10.0])
    return levels(picture + chance.normal(0, grain, picture.shape))


def levels(values: NDArray[np.float64]) -> Bytes:
    """Round and clip to levels."""
    return np.clip(np.rint(values), 0, 255).astype(np.uint8)


def planted(picture: Bytes, colour: str, share: float, kind: str, seed: int) -> Bytes:
    """Plant a colour in so much of a picture: a flat patch, a noisy one, or scattered dots."""
    chance = np.random.default_rng(seed)
    height, width = picture.shape[:2]
    many = round(share * height * width)
    there = np.zeros((height, width), dtype=bool)
    if kind == "dots":
        disc = np.argwhere(np.hypot(*np.mgrid[-2:3, -2:3]) <= 2.3) - 2
        while there.sum() < many:
            middle = chance.integers((height, width))
            there[tuple(np.clip(disc + middle, 0, (height - 1, width - 1)).T)] = True
    else:
        tall = min(height, round((many * 0.75) ** 0.5))
        wide = min(width, -(-many // tall))
        top, left = chance.integers(height - tall + 1), chance.integers(width - wide + 1)
        there[top : top + tall, left : left + wide] = True
    values = np.tile(255 * np.array(read_colour(colour).srgb), (int(there.sum()), 1))
    after = picture.copy()
    after[there] = levels(values + (chance.normal(0, 12, values.shape) if kind == "noisy" else 0))
    return after


def found(picture: Bytes, colour: str, count: int) -> bool:
    """Tell whether a colour is among those that lead."""
    wanted = read_colour(colour)
    return any(ciede2000(one.colour, wanted) <= FOUND for one in leading_colours(picture, count))


def plantings(share: float, pictures: list[Bytes]) -> Iterator[tuple[Bytes, str]]:
    """Every picture with a colour planted in each of the three ways."""
    for number, picture in enumerate(pictures):
        for turn, kind in enumerate(KINDS):
            colour = ACCENTS[(3 * number + turn) % len(ACCENTS)]
            yield planted(picture, colour, share, kind, number), colour


def large(path: Path) -> Path:
    """Write a picture of 12 million pixels as JPEG."""
    small = Image.fromarray(planted(photograph(3), ACCENTS[0], 0.02, "dots", 1))
    picture = np.asarray(small.resize((4000, 3000), Image.Resampling.BICUBIC)).astype(np.float64)
    grain = np.random.default_rng(1).normal(0, 4, picture.shape)
    Image.fromarray(levels(picture + grain)).save(path, quality=90)
    return path


def seconds(work: Callable[[], object]) -> float:
    """Least time of three."""
    times = []
    for _ in range(3):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def bare(path: Path) -> None:
    """Decode with Pillow and no more."""
    with Image.open(path) as image:
        image.load()


def main(paths: list[Path]) -> None:
    """Print both tables."""
    print("| file | million pixels | decoding alone | reading | colours | file to colours | x decoding |")
    print("| --- | --- | --- | --- | --- | --- | --- |")
    with tempfile.TemporaryDirectory() as folder:
        for path in [large(Path(folder) / "large.jpg"), *paths]:
            photo = read_photo(path)
            alone = seconds(lambda path=path: bare(path))  # type: ignore[misc]
            reading = seconds(lambda path=path: read_photo(path))  # type: ignore[misc]
            colours = seconds(lambda photo=photo: leading_colours(photo.colours, 5))  # type: ignore[misc]
            both = reading + colours
            print(
                f"| {path.name} | {photo.seen.size / 1e6:.1f} | {alone:.2f} | {reading:.2f} | {colours:.2f} | "
                f"{both:.2f} | {both / alone:.1f} |",
                flush=True,
            )
    print("\n| share planted | " + " | ".join(f"{count} colours" for count in COUNTS) + " |")
    print("| --- |" + " --- |" * len(COUNTS))
    pictures = [photograph(seed) for seed in range(12)]
    for share in SHARES:
        cases = list(plantings(share, pictures))
        hits = [np.mean([found(*case, count) for case in cases]) for count in COUNTS]
        print(f"| {100 * share:g} % | " + " | ".join(f"{100 * hit:.0f}" for hit in hits) + " |", flush=True)


if __name__ == "__main__":
    main([Path(name) for name in sys.argv[1:]])
