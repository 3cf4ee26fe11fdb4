"""Two other ways to ink a pattern, to be compared with a spread: by lot, and by a general graph library.

Neither is ever used for a piece. By lot is what happens when nobody plans. A graph library's colouring keeps nodes that
face each other apart with as few colours as it can, and knows nothing of shares or of places; here it gets every help
that leaves its colouring as it is.

References
----------
The strategies of ``networkx.greedy_color``: A. Kosowski and K. Manuszewski, Classical Coloring of Graphs, in M. Kubale
(ed.), Graph Colorings, AMS 2004 (as its documentation cites). ``networkx.equitable_color`` takes only more inks than
any node has neighbours, which a palette never has.
"""

from dataclasses import dataclass
from typing import Final

import networkx as nx
import numpy as np
from scipy.optimize import linear_sum_assignment

from mockup.colouring.problem import Floats, Ints, Problem
from mockup.colouring.ties import contracted

STRATEGIES: Final = (
    "smallest_last",
    "saturation_largest_first",
    "largest_first",
    "independent_set",
    "connected_sequential_bfs",
    "connected_sequential_dfs",
)
"""Every strategy of the library that leaves nothing to chance."""

_ROUNDS: Final = 200
"""How often the odds are drawn nearer to the targets."""

_BARRED: Final = 1e3
"""What a share of 1 on barred nodes costs beside products of shares."""


@dataclass(frozen=True, eq=False, slots=True)
class LibraryPlan:
    """A graph library's colouring as a plan.

    Attributes
    ----------
    inks : (n,) ints
        Ink of each node.
    strategy : str
        The library's strategy, one of ``STRATEGIES``.
    colours : int
        How many colours it took; more than the palette has inks is told by ``lacking``.
    lacking : int
        Colours for which the palette has no ink; their nodes take inks that others have, and so make contact.
    barred : int
        Nodes that got an ink they may not take.
    """

    inks: Ints
    strategy: str
    colours: int
    lacking: int
    barred: int


def by_chance(problem: Problem, seed: int = 1) -> Ints:
    """Draw the ink of each node by lot, in odds that give every ink its target share in the long run.

    Parameters
    ----------
    problem : Problem
        Nodes, inks and targets; a node draws among the inks it may take, tied nodes draw together.
    seed : int
        Another whole number: another draw.

    Returns
    -------
    (n,) ints
    """
    own = contracted(problem)
    odds = _odds(own.problem)
    lots = np.random.Generator(np.random.PCG64([seed, own.problem.count])).random(own.problem.count)
    drawn = (odds.cumsum(axis=1) <= lots[:, None]).sum(axis=1)
    # rounding may leave a sum short of 1; then the last ink that a node may take is meant
    last = own.problem.inks - 1 - own.problem.allowed[:, ::-1].argmax(axis=1)
    return np.asarray(np.minimum(drawn, last)[own.group], dtype=np.int64)


def _odds(problem: Problem) -> Floats:
    """Odds of each ink on each node, (n, k): none where it is barred, by area on target as near as can be."""
    weight = problem.target.copy()
    area = problem.area / max(float(problem.area.sum()), 1e-12)
    odds = np.zeros(problem.allowed.shape)
    for _ in range(_ROUNDS):
        odds = np.where(problem.allowed, np.maximum(weight, 1e-12), 0.0)
        odds /= odds.sum(axis=1, keepdims=True)
        weight = weight * problem.target / np.maximum(area @ odds, 1e-12)
        weight /= weight.sum()
    return odds


def by_graph_library(problem: Problem) -> LibraryPlan:
    """Colour the facing graph as a general graph library does, and give the colours the inks that suit them best.

    Of all its strategies the kindest is taken: that which needs no more colours than there are inks, then fewest
    barred nodes, then least share error.
    """
    own = contracted(problem)
    graph = nx.Graph()
    graph.add_nodes_from(range(own.problem.count))
    graph.add_edges_from(zip(own.problem.a.tolist(), own.problem.b.tolist(), strict=True))
    plans = []
    for strategy in STRATEGIES:
        found = nx.greedy_color(graph, strategy)
        colours = np.array([found[node] for node in range(own.problem.count)], dtype=np.int64)
        inks = _inked(own.problem, colours)[own.group]
        needed = int(colours.max(initial=-1)) + 1
        barred = int((~problem.allowed[np.arange(problem.count), inks]).sum())
        plans.append(LibraryPlan(inks, strategy, needed, max(0, needed - problem.inks), barred))
    return min(plans, key=lambda plan: (plan.lacking, plan.barred, problem.share_error(plan.inks)))


def _inked(problem: Problem, colours: Ints) -> Ints:
    """Give each colour an ink of its own: barred area first of all, then shares near the targets, count.

    Colours beyond the inks take the ink that lacks most, of those that bar least of them.
    """
    count, total = int(colours.max(initial=-1)) + 1, max(float(problem.area.sum()), 1e-12)
    share = np.bincount(colours, problem.area, count) / total
    barred = np.zeros((count, problem.inks))
    np.add.at(barred, colours, problem.area[:, None] * ~problem.allowed / total)
    # sum over all inks of (share - target)^2, but for what does not depend on who takes which
    cost = _BARRED * barred - 2 * share[:, None] * problem.target
    spare = max(0, count - problem.inks)
    kept = np.sort(np.argsort(-share, kind="stable")[: count - spare])
    rows, taken = linear_sum_assignment(cost[kept])
    ink = np.full(count, -1, dtype=np.int64)
    ink[kept[rows]] = taken
    for colour in np.flatnonzero(ink < 0):
        have = np.bincount(ink[ink >= 0], share[ink >= 0], problem.inks)
        ink[colour] = int(np.argmin(_BARRED * barred[colour] + have - problem.target))
    return ink[colours]
