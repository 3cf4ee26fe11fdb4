"""Exact answers on small graphs: is there a colouring without contact, and if not, why not.

Backtracking in the order of saturation: the node with fewest inks left goes first. Tied nodes are drawn together
first (``ties``), so that every answer is about plans in which they take one ink; contact within such a group is none
that inks decide, and is left out.

References
----------
Brelaz, New methods to color the vertices of a graph, Comm. ACM 22 (1979): the order. Heawood 1890, Ringel and
Youngs 1968: a map on the torus needs at most seven (from memory).
"""

from dataclasses import dataclass, replace

import networkx as nx
import numpy as np

from mockup.colouring.problem import Ints, Problem
from mockup.colouring.ties import contracted, firsts_of

STEPS = 60_000
"""Choices after which the search gives up and says that it does not know."""


@dataclass(frozen=True, eq=False, slots=True)
class Answer:
    """``inks`` (n,) without contact, or None; ``sure`` tells whether None means that there is none."""

    inks: Ints | None
    sure: bool


def proper(problem: Problem, steps: int = STEPS) -> Answer:
    """Search for a colouring without contact.

    Inks that no node is barred from and no node is tied to are alike to the search, so that only one unused of them
    is tried.
    """
    drawn = contracted(problem)
    answer = _Search(drawn.problem, steps).answer()
    return answer if answer.inks is None else Answer(answer.inks[drawn.group], answer.sure)


class _Search:
    """State of one backtracking search, with an explicit stack."""

    def __init__(self, problem: Problem, steps: int) -> None:
        n, k = problem.allowed.shape
        self.near = [own.tolist() for own in problem.neighbours()]
        self.open = [len(own) for own in self.near]
        self.left: list[list[int]] = problem.allowed.astype(np.int64).tolist()
        self.options = [sum(row) for row in self.left]
        self.inks = [-1] * n
        self.alike: list[bool] = [all(column) for column in problem.allowed.T.tolist()]
        self.used = [0] * k
        self.steps = steps

    def answer(self) -> Answer:
        """Run until a colouring is found, all is tried, or the steps are used up."""
        stack: list[tuple[int, list[int]]] = []
        while True:
            node = self._next()
            if node < 0:
                return Answer(np.array(self.inks, dtype=np.int64), True)
            stack.append((node, self._choices(node)))
            while not stack[-1][1]:
                stack.pop()
                if not stack:
                    return Answer(None, True)
                self._undo(stack[-1][0])
            self.steps -= 1
            if self.steps < 0:
                return Answer(None, False)
            node, choices = stack[-1]
            self._set(node, choices.pop())

    def _next(self) -> int:
        """Open node with fewest inks left; of these the one with most open neighbours; of these the first."""
        best, key = -1, (0, 0)
        for node, ink in enumerate(self.inks):
            if ink < 0:
                own = (self.options[node], -self.open[node])
                if best < 0 or own < key:
                    best, key = node, own
        return best

    def _choices(self, node: int) -> list[int]:
        """Inks left for a node, the last one to be tried first; of the unused alike inks only one."""
        found: list[int] = []
        fresh = False
        for ink, free in enumerate(self.left[node]):
            if free > 0:
                if self.alike[ink] and not self.used[ink]:
                    if fresh:
                        continue
                    fresh = True
                found.append(ink)
        return found[::-1]

    def _set(self, node: int, ink: int) -> None:
        self.inks[node] = ink
        self.used[ink] += 1
        for other in self.near[node]:
            self.open[other] -= 1
            self.left[other][ink] -= 1
            if self.left[other][ink] == 0:
                self.options[other] -= 1

    def _undo(self, node: int) -> None:
        ink = self.inks[node]
        self.inks[node] = -1
        self.used[ink] -= 1
        for other in self.near[node]:
            self.open[other] += 1
            self.left[other][ink] += 1
            if self.left[other][ink] == 1:
                self.options[other] += 1


def crowd(problem: Problem) -> list[int]:
    """Largest set of nodes of which each faces each other, in rising order; each stands for all that is tied to it."""
    drawn = contracted(problem)
    graph = nx.Graph()
    graph.add_nodes_from(range(drawn.problem.count))
    graph.add_edges_from(zip(drawn.problem.a.tolist(), drawn.problem.b.tolist(), strict=True))
    best, _ = nx.max_weight_clique(graph, weight=None)
    return sorted(firsts_of(drawn.group)[best].tolist())


def fewest_inks(problem: Problem, most: int = 12) -> int | None:
    """Fewest inks, its own and further ones that every node may take, that do without contact; None if not settled."""
    drawn = replace(contracted(problem).problem, alike=None, leaning=None)
    n, own = drawn.allowed.shape
    for k in range(own, most + 1):
        free = np.ones((n, k - own), dtype=bool)
        more = replace(drawn, allowed=np.hstack((drawn.allowed, free)), target=np.full(k, 1 / k))
        answer = proper(more)
        if answer.inks is not None:
            return k
        if not answer.sure:
            return None
    return None
