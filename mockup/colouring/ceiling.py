"""How much of the area one ink can hold without touching itself: the heaviest set of nodes that do not face.

Solved exactly as an integer programme: one yes or no a node, at most one yes among nodes that all face each other.

References
----------
Padberg, On the facial structure of set packing polyhedra, Math. Programming 5 (1973): clique inequalities (from
memory). HiGHS through ``scipy.optimize.milp``.
"""

from typing import Final

import networkx as nx
import numpy as np
from scipy import optimize, sparse

from mockup.colouring.problem import Floats, Ints, Mask

MOST_NODES: Final = 400
"""Above so many nodes no ceiling is worked out."""

_GAP: Final = 0.002
_STEPS: Final = 4000


def ceiling(area: Floats, may: Mask, a: Ints, b: Ints) -> float:
    """Largest share of the area that one ink can hold without contact.

    Parameters
    ----------
    area : (n,) floats
        Area of each node.
    may : (n,) bools
        Which nodes may take the ink.
    a, b : (m,) ints
        Pairs of nodes to keep apart.

    Returns
    -------
    float
        Within 0.002 of the exact share; 1 where there are too many nodes to tell.
    """
    total = float(area.sum())
    nodes = np.flatnonzero(may)
    if not len(nodes) or total <= 0:
        return 0.0
    if len(nodes) > MOST_NODES:
        return float(area[nodes].sum()) / total
    rank = {int(node): number for number, node in enumerate(nodes)}
    graph = nx.Graph()
    graph.add_nodes_from(range(len(nodes)))
    graph.add_edges_from(
        (rank[x], rank[y]) for x, y in zip(a.tolist(), b.tolist(), strict=True) if x in rank and y in rank
    )
    if not graph.number_of_edges():
        return float(area[nodes].sum()) / total
    groups = sorted(sorted(group) for group in nx.find_cliques(graph) if len(group) > 1)
    row = np.repeat(np.arange(len(groups)), [len(group) for group in groups])
    column = np.concatenate([np.array(group) for group in groups])
    matrix = sparse.csr_array((np.ones(len(row)), (row, column)), shape=(len(groups), len(nodes)))
    weight = area[nodes] / total
    found = optimize.milp(
        -weight,
        constraints=optimize.LinearConstraint(matrix, ub=np.ones(len(groups))),
        integrality=np.ones(len(nodes)),
        bounds=optimize.Bounds(0, 1),
        options={"mip_rel_gap": _GAP, "node_limit": _STEPS},
    )
    return float(weight.sum()) if found.x is None else float(weight @ np.round(found.x))
