"""Nodes that are tied take one ink: a problem with ties, drawn together into one node a group, is one without.

What is exact on the groups is exact on the nodes: a colouring of the groups is one of the nodes that keeps every tie,
and there is no other. Only the contact between two nodes of one group is beyond any choice of inks; it is listed.
"""

from dataclasses import replace
from typing import NamedTuple

import numpy as np
from scipy import sparse
from scipy.sparse import csgraph

from mockup.colouring.problem import Floats, Ints, Mask, Pairs, Problem


class Contracted(NamedTuple):
    """A problem of groups of tied nodes.

    Attributes
    ----------
    problem : Problem
        One node a group: areas, borders and leanings added up, what all of its nodes may take, no ties. It lies where
        the first of its largest nodes does.
    group : (n,) ints
        Group of each node, numbered in the order of their first nodes.
    within : Pairs
        Nodes to keep apart that are tied to each other: in contact whatever the inks.
    """

    problem: Problem
    group: Ints
    within: Pairs


def groups_of(tied: Ints) -> Ints:
    """Number the groups of tied nodes from 0 in the order of their first nodes, (n,)."""
    _, first, inverse = np.unique(tied, return_index=True, return_inverse=True)
    rank = np.empty(len(first), dtype=np.int64)
    rank[np.argsort(first)] = np.arange(len(first))
    return np.asarray(rank[inverse.reshape(-1)], dtype=np.int64)


def joined(one: Ints, other: Ints) -> Ints:
    """Tie what either of two ties ties, (n,)."""
    n = len(one)
    ends = np.concatenate((groups_of(one), groups_of(other) + n))
    graph = sparse.coo_array((np.ones(2 * n), (np.tile(np.arange(n), 2), ends)), shape=(2 * n, 2 * n))
    # nodes that lie in one component of the graph of nodes and their groups
    nodes = sparse.csr_array(graph @ graph.T)
    return groups_of(csgraph.connected_components(nodes, directed=False)[1].astype(np.int64))[:n]


def firsts_of(group: Ints) -> Ints:
    """First node of each group, (groups,)."""
    return np.asarray(np.unique(group, return_index=True)[1], dtype=np.int64)


def contracted(problem: Problem) -> Contracted:
    """Draw each group of tied nodes together into one node.

    Raises
    ------
    ValueError
        Tied nodes that may take no ink in common.
    """
    hard = Pairs(problem.a, problem.b, problem.border)
    if problem.tied is None:
        return Contracted(problem, np.arange(problem.count), _kept(hard, np.zeros(len(hard.a), dtype=bool)))
    group = groups_of(problem.tied)
    pairs = merged(group, hard)
    soft = merged(group, problem.doubtful)
    known = np.isin(_keys(soft, problem.count), _keys(pairs, problem.count))
    drawn = replace(
        problem,
        area=added(group, problem.area),
        place=problem.place[_largest(group, problem.area)],
        a=pairs.a,
        b=pairs.b,
        border=pairs.border,
        allowed=common(group, problem.allowed),
        doubtful=_kept(soft, ~known),
        tied=None,
        leaning=None if problem.leaning is None else _summed(group, problem.leaning),
    )
    return Contracted(drawn, group, _kept(hard, group[hard.a] == group[hard.b]))


def added(group: Ints, area: Floats) -> Floats:
    """Area of each group, (groups,)."""
    return np.asarray(np.bincount(group, area), dtype=np.float64)


def common(group: Ints, allowed: Mask) -> Mask:
    """Tell which inks all nodes of each group may take, (groups, k)."""
    found = np.ones((int(group.max(initial=-1)) + 1, allowed.shape[1]), dtype=bool)
    np.logical_and.at(found, group, allowed)
    return found


def merged(group: Ints, pairs: Pairs) -> Pairs:
    """Pairs of groups of which any nodes are a pair, borders added up; pairs within a group fall away."""
    one, other = group[pairs.a], group[pairs.b]
    apart = one != other
    low, high = np.minimum(one, other)[apart], np.maximum(one, other)[apart]
    rows, inverse = np.unique(np.column_stack((low, high)), axis=0, return_inverse=True)
    border = np.bincount(inverse.reshape(-1), pairs.border[apart], len(rows))
    return Pairs(rows[:, 0], rows[:, 1], np.asarray(border, dtype=np.float64))


def _largest(group: Ints, area: Floats) -> Ints:
    """Number of the first largest node of each group, (groups,)."""
    order = np.lexsort((np.arange(len(group)), -area, group))
    return order[firsts_of(group[order])]


def _summed(group: Ints, rows: Floats) -> Floats:
    found = np.zeros((int(group.max(initial=-1)) + 1, rows.shape[1]))
    np.add.at(found, group, rows)
    return found


def _keys(pairs: Pairs, span: int) -> Ints:
    return np.asarray(pairs.a * span + pairs.b, dtype=np.int64)


def _kept(pairs: Pairs, keep: Mask) -> Pairs:
    return Pairs(pairs.a[keep], pairs.b[keep], pairs.border[keep])
