"""What shares of the area the inks can hold without touching themselves.

One ink alone: the heaviest set of nodes that do not face, solved exactly as an integer programme: one yes or no a
node, at most one yes among nodes that all face each other. All inks together: the same as a linear programme, which
allows no less than can be reached.

References
----------
Padberg, On the facial structure of set packing polyhedra, Math. Programming 5 (1973): clique inequalities (from
memory). HiGHS through ``scipy.optimize.milp``.
"""

from collections.abc import Sequence
from typing import Any, Final

import networkx as nx
import numpy as np
from scipy import optimize, sparse

from mockup.colouring.problem import Floats, Ints, Mask, Problem
from mockup.colouring.ties import contracted

_EQUAL: Final = 1e-7
"""Largest distances that differ by less count as one."""

MOST_NODES: Final = 400
"""Above so many nodes no ceiling is worked out."""

FEW_GROUPS: Final = 40
"""Above so many groups of tied nodes it is not worked out how near their shares can come to the targets."""

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
    if not may.any() or total <= 0:
        return 0.0
    if may.sum() > MOST_NODES:
        return float(area[may].sum()) / total
    chosen = heaviest(area, may, a, b)
    return float(area[may if chosen is None else chosen].sum()) / total


def heaviest(area: Floats, may: Mask, a: Ints, b: Ints) -> Mask | None:
    """Find the nodes that hold most area together and do not face, (n,); None where it is not settled.

    Parameters
    ----------
    area, may, a, b
        As in ``ceiling``; at most ``MOST_NODES`` nodes may be taken.
    """
    nodes = np.flatnonzero(may)
    if not len(nodes) or len(nodes) > MOST_NODES:
        return None
    matrix = crowds(len(area), a, b)[:, nodes]
    if not matrix.shape[0]:
        return may.copy()
    found = optimize.milp(
        -area[nodes] / max(float(area.sum()), 1e-12),
        constraints=optimize.LinearConstraint(matrix, ub=np.ones(matrix.shape[0])),
        integrality=np.ones(len(nodes), dtype=np.int64),
        bounds=optimize.Bounds(0, 1),
        options={"mip_rel_gap": _GAP, "node_limit": _STEPS},
    )
    if found.x is None:
        return None
    chosen = np.zeros(len(area), dtype=bool)
    chosen[nodes[np.round(found.x) > 0]] = True
    return chosen


def crowds(count: int, a: Ints, b: Ints) -> "sparse.csr_array":
    """Largest groups of nodes that all face each other, (groups, count) of ones; nodes that face nobody left out."""
    graph = nx.Graph()
    graph.add_edges_from(zip(a.tolist(), b.tolist(), strict=True))
    groups = sorted(sorted(group) for group in nx.find_cliques(graph))
    row = np.repeat(np.arange(len(groups)), [len(group) for group in groups]).astype(np.int64)
    column = np.array([node for group in groups for node in group], dtype=np.int64)
    return sparse.csr_array((np.ones(len(row)), (row, column)), shape=(len(groups), count))


def nearest(
    wanted: Floats,
    bounds: tuple[Floats, Floats],
    area: Floats,
    may: Mask,
    a: Ints,
    b: Ints,
    usual: Floats | None = None,
) -> Floats | None:
    """Shares nearest to the wanted ones that all inks together can hold; None where that cannot be told.

    The largest distance counts first; of shares alike in that those nearest to the usual ones are taken, by their
    largest distance and the sum of all. A node may be dealt out to several inks, so that what is
    excluded is excluded in any colour repeat of like tiles, too.

    Parameters
    ----------
    wanted : (k,) floats
        Wanted shares.
    bounds : ((k,) floats, (k,) floats)
        Least and largest share of each ink.
    area, may, a, b
        As in ``ceiling``; ``may`` (n, k).
    usual : (k,) floats, optional
        Shares that keep the bounds, as near to the wanted ones as inks one by one allow; None: the wanted ones.
    """
    n, k = may.shape
    usual = wanted if usual is None else usual
    if n > MOST_NODES or not len(a):
        return None
    eye, groups = sparse.eye_array(k), crowds(n, a, b)
    weight = sparse.csr_array((area / area.sum())[None, :])
    # unknowns: n * k parts, ink by ink; k distances from the usual shares; the largest of them, and of the wanted ones
    held = sparse.kron(eye, weight)
    whole: Any = sparse.hstack(
        [sparse.kron(np.ones((1, k)), sparse.eye_array(n)), sparse.csr_array((n, k + 2))]
    )
    least, most = bounds
    near = (usual, -usual, wanted, -wanted)
    limit = np.concatenate((np.ones(groups.shape[0] * k), *near, most, -least, np.zeros(k)))
    nothing = np.zeros(n * k)
    found = _in_turn(
        [
            np.concatenate((nothing, np.zeros(k + 1), [1.0])),
            np.concatenate((nothing, np.full(k, 0.05), [1.0, 0.0])),
        ],
        np.concatenate((may.T.ravel() * 1.0, np.ones(k + 2))),
        (_rows(sparse.kron(eye, groups), held, k), limit),
        (whole, np.ones(n)),
    )
    if found is None:
        return None
    return np.asarray(usual if found[-2] < 1e-6 else held @ found[: n * k])


def _in_turn(costs: Sequence[Floats], room: Floats, below: Any, equal: Any) -> Floats | None:
    """Minimise one cost, then another where the last unknown stays as small; None where nothing fits.

    The unknowns lie between 0 and ``room``; ``below`` and ``equal`` are rows and their right sides.
    """
    solved: Floats | None = None
    for cost in costs:
        between: Any = np.column_stack((np.zeros(len(room)), room))
        (rows, limit), (whole, one) = below, equal
        found: Any = optimize.linprog(
            cost, A_ub=rows, b_ub=limit, A_eq=whole, b_eq=one, bounds=between, method="highs"
        )
        if found.x is None:
            return solved
        solved = np.asarray(found.x)
        room = np.append(room[:-1], solved[-1] + _EQUAL)
    return solved


def _rows(crowded: Any, held: Any, k: int) -> Any:
    """Left sides of what is bounded from above, in the order of ``limit``: one ink a crowd, distances, shares."""
    eye, ones = sparse.eye_array(k), sparse.csr_array(np.ones((k, 1)))
    blocks: list[list[Any]] = [
        [crowded, None, None, None],
        [held, -eye, None, None],
        [-held, -eye, None, None],
        [held, None, None, -ones],
        [-held, None, None, -ones],
        [held, None, None, None],
        [-held, None, None, None],
        [None, eye, -ones, None],
    ]
    return sparse.block_array(blocks)


def closest(problem: Problem) -> float | None:
    """Bound from below how near any plan without contact that keeps the ties comes to every target.

    Groups of tied nodes are indivisible, so that few large ones leave shares far from what is wanted.

    Returns
    -------
    float or None
        No plan has a smaller largest gap between share and target; None where there are too many groups to tell, or
        no such plan is found.
    """
    drawn = contracted(problem).problem
    n, k = drawn.allowed.shape
    if n > FEW_GROUPS or drawn.area.sum() <= 0:
        return None
    groups = crowds(n, drawn.a, drawn.b)
    held = sparse.kron(sparse.eye_array(k), sparse.csr_array((drawn.area / drawn.area.sum())[None, :]))
    gap = sparse.csr_array(np.ones((k, 1)))
    # unknowns: n * k yes or no, ink by ink; the largest gap
    blocks: list[list[Any]] = [
        [sparse.kron(sparse.eye_array(k), groups), None],
        [held, -gap],
        [-held, -gap],
    ]
    blocks = blocks if groups.shape[0] else blocks[1:]
    limit = np.concatenate((np.ones(groups.shape[0] * k), drawn.target, -drawn.target))
    one = sparse.hstack(
        [sparse.kron(np.ones((1, k)), sparse.eye_array(n)), sparse.csr_array((n, 1))], format="csr"
    )
    found = optimize.milp(
        np.concatenate((np.zeros(n * k), [1.0])),
        constraints=[
            optimize.LinearConstraint(sparse.block_array(blocks, format="csr"), ub=limit),
            optimize.LinearConstraint(one, 1.0, 1.0),
        ],
        integrality=np.concatenate((np.ones(n * k), [0.0])),
        bounds=optimize.Bounds(0, np.concatenate((drawn.allowed.T.ravel() * 1.0, [1.0]))),
        options={"node_limit": _STEPS},
    )
    return None if found.x is None else max(float(found.mip_dual_bound), 0.0)
