"""Pixels of thinned lines in the order in which they follow each other, from node to node.

References
----------
Pixels are neighbours by mixed adjacency (A. Rosenfeld, from memory): by a side, or by a corner where no side joins
them, so that a run has no short cuts at its steps.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse import csgraph

Ints = NDArray[np.int64]
Mask = NDArray[np.bool_]


class Runs(NamedTuple):
    """Runs of pixels by number: ``between`` nodes, both included, and ``round``, the first pixel again at the end.

    Nodes are pixels that have not two neighbours; ``lone`` ones have none.
    """

    between: list[Ints]
    round: list[Ints]
    lone: Ints


def runs_of(spots: Ints, shape: tuple[int, ...]) -> Runs:
    """Follow pixels from node to node, then round what is left.

    Parameters
    ----------
    spots : (n, 2) ints
        Rows and columns of the pixels, row by row.
    shape : (int, int)
        Of the picture.
    """
    near = _neighbours(spots, shape)
    degree = (near >= 0).sum(axis=1)
    node = degree != 2
    inner = np.flatnonzero(~node)
    pairs = -np.sort(-near[inner], axis=1)[:, :2]
    own = _inner(pairs, inner, node)
    between = [run for run in own if node[run[0]]]
    one, column = np.nonzero(
        (near > np.arange(len(near))[:, np.newaxis]) & node[:, np.newaxis] & node.take(near)
    )
    between += list(np.column_stack((one, near[one, column])))
    return Runs(between, [run for run in own if not node[run[0]]], np.flatnonzero(degree == 0))


def _neighbours(spots: Ints, shape: tuple[int, ...]) -> Ints:
    """Give the neighbours of each pixel by mixed adjacency, (n, 8), -1 where there is none."""
    number = np.full((shape[0] + 2, shape[1] + 2), -1, dtype=np.int32)
    row, column = spots[:, 0] + 1, spots[:, 1] + 1
    number[row, column] = np.arange(len(spots))
    sides = {step: number[row + step[0], column + step[1]] for step in ((-1, 0), (1, 0), (0, -1), (0, 1))}
    found = list(sides.values())
    for down in (-1, 1):
        for across in (-1, 1):
            corner = number[row + down, column + across].copy()
            corner[(sides[down, 0] >= 0) | (sides[0, across] >= 0)] = -1
            found.append(corner)
    return np.column_stack(found).astype(np.int64)


def _inner(pairs: Ints, inner: Ints, node: Mask) -> list[Ints]:
    """Give the runs that have pixels between their nodes, and those that go round.

    Parameters
    ----------
    pairs : (n, 2) ints
        The two neighbours of each pixel that is no node.
    inner : (n,) ints
        Those pixels.
    node : (m,) bools
        Which of all pixels are nodes.
    """
    if not len(inner):
        return []
    place = np.full(len(node), -1)
    place[inner] = np.arange(len(inner))
    ends: Mask = np.asarray(node[pairs], dtype=bool)
    links = np.where(ends, -1, place[pairs])
    tip = np.asarray(ends.any(axis=1))
    row, side = np.nonzero(links >= 0)
    column, home = links[row, side], len(inner)
    _, label = csgraph.connected_components(_graph(row, column, home), directed=False)
    order = np.lexsort((~tip, label[:-1]))
    starts = order[np.flatnonzero(np.diff(label[order], prepend=-1))]
    # from a place of its own to all starts, and from each along its run; what goes round does so by one of two ways
    graph = _graph(np.append(row, np.full(len(starts), home)), np.append(column, starts), home)
    walked = csgraph.depth_first_order(graph, home, return_predecessors=False)[1:]
    found = []
    for run in np.split(walked, np.flatnonzero(np.diff(label[walked])) + 1):
        if tip[run[0]]:
            before = pairs[run[0]][np.argmax(ends[run[0]])]
            after = pairs[run[-1], 1 - np.argmax(ends[run[-1], ::-1])]
            whole = np.concatenate(([before], inner[run], [after]))
            found.append(whole if before <= after else whole[::-1])
        else:
            found.append(inner[np.append(run, run[0])])
    return found


def _graph(row: Ints, column: Ints, home: int) -> sparse.csr_array:
    return sparse.coo_array((np.ones(len(row), dtype=np.int8), (row, column)), (home + 1, home + 1)).tocsr()
