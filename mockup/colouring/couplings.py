"""A symmetric table of couplings between nodes, dense where there are few and sparse where there are many."""

from typing import Final

import numpy as np
from scipy import sparse

from mockup.colouring.problem import Floats, Ints

DENSE: Final = 1500
"""Up to so many nodes the table is dense."""


class Couplings:
    """Couplings (n, n), symmetric, with an empty diagonal.

    ``rows`` is the table itself, a dense array or a sparse one by rows.
    """

    def __init__(self, count: int, i: Ints, j: Ints, value: Floats) -> None:
        """Add up the values (m,) at (i, j), each pair given both ways round; what lies on the diagonal is dropped."""
        off = i != j
        table = sparse.csr_array(sparse.coo_array((value[off], (i[off], j[off])), shape=(count, count)))
        table.sort_indices()
        self.count = count
        self.dense: Floats | None = table.toarray() if count <= DENSE else None
        self.sparse = table

    def times(self, other: Floats) -> Floats:
        """Product with a table (n, m)."""
        return np.asarray((self.sparse if self.dense is None else self.dense) @ other)

    def values(self, i: Ints, j: Ints) -> Floats:
        """Couplings of so many pairs, (m,)."""
        if self.dense is not None:
            return np.asarray(self.dense[i, j])
        if not self.sparse.nnz:
            return np.zeros(len(i))
        index, low, high = self.sparse.indices, self.sparse.indptr[i], self.sparse.indptr[i + 1]
        end = high
        for _ in range(int((high - low).max(initial=0)).bit_length()):
            middle = (low + high) // 2
            less = index[np.minimum(middle, len(index) - 1)] < j
            low, high = np.where(less & (low < high), middle + 1, low), np.where(less, high, middle)
        at = np.minimum(low, len(index) - 1)
        return np.where((low < end) & (index[at] == j), self.sparse.data[at], 0.0)

    def block(self, nodes: Ints) -> Floats:
        """Couplings among some nodes, (m, m); a node may come more than once."""
        if self.dense is not None:
            return np.asarray(self.dense[np.ix_(nodes, nodes)])
        return np.asarray(self.sparse[nodes][:, nodes].toarray())

    def among(self, nodes: Ints) -> tuple[Ints, Ints, Floats]:
        """The same as places in ``nodes`` and values, (m,) each; a node may come once only."""
        place = np.full(self.count, -1, dtype=np.int32)
        place[nodes] = np.arange(len(nodes))
        first, length = self.sparse.indptr[nodes], np.diff(self.sparse.indptr)[nodes]
        row = np.repeat(np.arange(len(nodes)), length)
        at = np.arange(len(row)) + np.repeat(first - (np.cumsum(length) - length), length)
        column = place[self.sparse.indices[at]]
        known = column >= 0
        return row[known], column[known], self.sparse.data[at[known]]

    def added(self, nodes: Ints, change: Floats) -> Floats:
        """What changes (m, k) at some nodes add to the product with the whole, (n, k)."""
        if self.dense is not None:
            return np.asarray((change.T @ self.dense[nodes]).T)
        return np.asarray(self.sparse[nodes].T @ change)
