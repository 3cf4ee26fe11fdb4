"""The spread against what else could be used, on the same graphs in one run.

``PYTHONPATH=tests python -m bench.bench_spread [--large] [--seeds N]`` prints a Markdown table: medians over the four
layouts and so many seeds. Times are as ratios to the library's smallest-last colouring of the same graph.
"""

import argparse
import math
import time
from collections.abc import Callable
from typing import Final

import networkx as nx
import numpy as np

from bench.layouts import LAYOUTS, bare
from mockup.colouring.measure import MAX_BLUR, RATIO_BLUR, Nodes, lump_field
from mockup.colouring.problem import Ints, Problem
from mockup.colouring.spread import spread

FIRST_SEED: Final = 9000
SIZES: Final = ((20, 5), (60, 5), (200, 4), (200, 5), (200, 7), (1000, 4), (1000, 5), (1000, 7), (10_000, 5))
LARGE: Final = ((100_000, 5),)
DSATUR_MOST: Final = 1000

Colouring = Callable[[Problem, "nx.Graph"], Ints | None]


def ours(problem: Problem, graph: "nx.Graph") -> Ints:
    """Spread the inks."""
    return spread(problem, 1).inks


def by_chance(problem: Problem, graph: "nx.Graph") -> Ints:
    """Draw the inks in equal numbers."""
    return np.random.default_rng(7).permutation(np.arange(problem.count) % problem.inks)


def greedy(strategy: str) -> Colouring:
    """Colour by a strategy of the library."""

    def colour(problem: Problem, graph: "nx.Graph") -> Ints | None:
        if strategy == "saturation_largest_first" and problem.count > DSATUR_MOST:
            return None
        found = nx.greedy_color(graph, strategy)
        return np.array([found[node] for node in range(problem.count)])

    return colour


def equitable(problem: Problem, graph: "nx.Graph") -> Ints | None:
    """Colour with equal counts, where the library does not refuse so few inks."""
    try:
        found = nx.equitable_color(graph, problem.inks)
    except nx.NetworkXAlgorithmError:
        return None
    return np.array([found[node] for node in range(problem.count)])


WAYS: Final[dict[str, Colouring]] = {
    "mockup": ours,
    "greedy, smallest last": greedy("smallest_last"),
    "greedy, saturation": greedy("saturation_largest_first"),
    "equitable": equitable,
    "chance": by_chance,
}


def figures(problem: Problem, inks: Ints) -> tuple[float, ...]:
    """Inks used, conflicts, share error, lump ratio and lump max."""
    assert problem.cell is not None
    k = max(problem.inks, int(inks.max()) + 1)
    target = np.concatenate((problem.target, np.zeros(k - problem.inks)))
    nodes = Nodes(problem.area, problem.place, problem.cell, True)
    share = np.bincount(inks, problem.area, k) / problem.area.sum()
    rms = math.sqrt(float((lump_field(nodes, inks, target, RATIO_BLUR)[0] ** 2).mean()))
    spread_of = float((problem.area / problem.area.mean()).var())
    level = math.sqrt(float((target * (1 - target)).mean()) * (1 + spread_of) / (4 * math.pi * RATIO_BLUR**2))
    worst = float(lump_field(nodes, inks, target, MAX_BLUR)[0].max())
    conflicts = float((inks[problem.a] == inks[problem.b]).sum())
    return k, conflicts, float(np.abs(share - target).max()), rms / level, worst


def measured(way: Colouring, problem: Problem, graph: "nx.Graph") -> tuple[float, ...] | None:
    """Figures and seconds of one colouring; None where it refuses."""
    start = time.perf_counter()
    inks = way(problem, graph)
    seconds = time.perf_counter() - start
    return None if inks is None else (*figures(problem, inks), seconds)


def rows(count: int, inks: int, seeds: int) -> dict[str, list[tuple[float, ...] | None]]:
    """Measure every way on every layout and seed."""
    found: dict[str, list[tuple[float, ...] | None]] = {name: [] for name in WAYS}
    for kind in LAYOUTS:
        for seed in range(FIRST_SEED, FIRST_SEED + seeds):
            problem = bare(kind, count, inks, seed)
            graph = nx.Graph()
            graph.add_nodes_from(range(count))
            graph.add_edges_from(zip(problem.a.tolist(), problem.b.tolist(), strict=True))
            for name, way in WAYS.items():
                found[name].append(measured(way, problem, graph))
    return found


def main() -> None:
    """Print the table, and how time grows from 1 000 nodes on."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--large", action="store_true", help="100 000 nodes too")
    parser.add_argument("--seeds", type=int, default=10)
    options = parser.parse_args()
    print(
        "| n | inks | way | inks used | conflicts | share error | lump ratio | lump max | seconds | x smallest last |"
    )
    print("| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |")
    times = {}
    for count, inks in SIZES + (LARGE if options.large else ()):
        seeds = options.seeds if count <= 1000 else max(1, options.seeds // (4 if count <= 10_000 else 10))
        found = rows(count, inks, seeds)
        base = [row[-1] if row else math.nan for row in found["greedy, smallest last"]]
        for name, own in found.items():
            told = np.array([row for row in own if row is not None])
            if not len(told):
                print(f"| {count} | {inks} | {name} | refuses or takes too long | | | | | | |")
                continue
            middle = np.median(told, axis=0)
            ratio = float(np.median([row[-1] / unit for row, unit in zip(own, base, strict=True) if row]))
            print(
                f"| {count} | {inks} | {name} | {middle[0]:.0f} | {middle[1]:.0f} (most {told[:, 1].max():.0f}) | "
                f"{middle[2]:.2g} | {middle[3]:.3f} | {middle[4]:.3f} | {middle[5]:.3g} | {ratio:.2g} |",
                flush=True,
            )
            if name == "mockup" and inks == 5:
                times[count] = middle[5]
    last = max(times)
    print(
        f"\nTime grows as n^{math.log(times[last] / times[1000]) / math.log(last / 1000):.2f} from 1 000 to {last}."
    )


if __name__ == "__main__":
    main()
