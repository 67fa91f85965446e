"""Boosted trees that score candidates beside one another: each tree asks a few questions and adds its answer.

The trees are made by `benchmarks/train_outlines.py` from painted photographs alone.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numba import njit
from numpy.typing import NDArray

Rows = NDArray[np.float64]
Indices = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Forest:
    """Nodes of all trees after one another; `roots` says where each tree begins.

    At a node with `trait` >= 0, a row goes on to node `left` where row[trait] <= value, to `right` otherwise. At a node
    whose trait is -1 the tree ends, and `value` is its answer.
    """

    roots: Indices
    trait: Indices
    value: Rows
    left: Indices
    right: Indices

    def __call__(self, rows: Rows) -> Rows:
        """Return a score (k) for each row (k, f), the higher the likelier: the sum of all trees' answers."""
        return _answers(np.ascontiguousarray(rows), self.roots, self.trait, self.value, self.left, self.right)


@njit(cache=True, nogil=True)
def _answers(rows: Rows, roots: Indices, trait: Indices, value: Rows, left: Indices, right: Indices) -> Rows:
    scores = np.zeros(len(rows))
    for row in range(len(rows)):
        for root in roots:
            node = root
            while trait[node] >= 0:
                node = left[node] if rows[row, trait[node]] <= value[node] else right[node]
            scores[row] += value[node]
    return scores
