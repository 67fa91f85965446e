"""Trees grown to give the most to the candidate that is the work, among all of one photograph.

Gradient boosting (Friedman, Annals of Statistics 29(5), 2001) of the listwise cross-entropy (Cao et al., ICML 2007: the
softmax of the scores against what is wanted), with lightgbm, which has to be installed beside the project for this.
"""

from __future__ import annotations

import importlib
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

Rows = NDArray[np.float64]
Slopes = Callable[[Rows, Any], tuple[Rows, Rows]]

ROUNDS = 520
GROWTH = {
    "learning_rate": 0.08,
    "num_leaves": 12,
    "min_data_in_leaf": 40,
    "min_sum_hessian_in_leaf": 0.01,
    "feature_fraction": 0.15,
    "lambda_l2": 5.0,
    "data_sample_strategy": "goss",
    "max_bin": 63,
    "seed": 1,
    "deterministic": True,
    "force_row_wise": True,
    "num_threads": 2,
    "verbose": -1,
}


def grown(rows: Sequence[Rows], wanted: Sequence[Rows], rounds: int = ROUNDS) -> dict[str, list[float]]:
    """Return a `Forest`'s fields, grown from photographs' rows (k, f) and how much each row is wanted (k)."""
    lightgbm = importlib.import_module("lightgbm")  # by name, since neither the package nor its tests need it
    data = lightgbm.Dataset(np.concatenate(rows).astype(np.float32), params={"max_bin": 63, "verbose": -1})
    slopes = cross_entropy(np.array([len(each) for each in rows]), np.concatenate(wanted))
    model = lightgbm.train({**GROWTH, "objective": slopes}, data, rounds)
    return flattened([tree["tree_structure"] for tree in model.dump_model()["tree_info"]])


def cross_entropy(counts: NDArray[np.intp], wanted: Rows) -> Slopes:
    """Return what gives the slope and the curve of the cross-entropy by each score; `counts` are rows a photograph."""
    of = np.repeat(np.arange(len(counts)), counts)
    starts = np.concatenate([[0], np.cumsum(counts)[:-1]])

    def slopes(scores: Rows, _: Any) -> tuple[Rows, Rows]:
        powers = np.exp(scores - np.maximum.reduceat(scores, starts)[of])
        chance = powers / np.add.reduceat(powers, starts)[of]
        return chance - wanted, np.maximum(chance * (1 - chance), 1e-4)

    return slopes


def flattened(trees: Sequence[dict[str, Any]]) -> dict[str, list[float]]:
    """Return the nodes of nested trees after one another, each tree's root first."""
    forest: dict[str, list[float]] = {name: [] for name in ("roots", "trait", "value", "left", "right")}
    for tree in trees:
        forest["roots"].append(_add(tree, forest))
    return forest


def _add(node: dict[str, Any], forest: dict[str, list[float]]) -> int:
    """Add a node and all below it; return its place."""
    place, leaf = len(forest["trait"]), "leaf_value" in node
    forest["trait"].append(-1 if leaf else node["split_feature"])
    forest["value"].append(float(f"{node['leaf_value' if leaf else 'threshold']:.5g}"))
    forest["left"].append(-1)
    forest["right"].append(-1)
    if not leaf:
        forest["left"][place] = _add(node["left_child"], forest)
        forest["right"][place] = _add(node["right_child"], forest)
    return place
