"""The scorers of candidates: one hidden layer for quadrangles by themselves, trees for the few that are left.

The weights are made by `benchmarks/train_outlines.py` from painted photographs alone.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np
from numpy.typing import NDArray

from .forest import Forest

Rows = NDArray[np.float64]

WEIGHTS = "outline_weights.json"


@dataclass(frozen=True, slots=True)
class Scorer:
    """score = tanh((row - mean) * scale @ hidden + bias) @ out; rows are (k, f), hidden (f, h), out (h)."""

    mean: Rows
    scale: Rows
    hidden: Rows
    bias: Rows
    out: Rows

    def __call__(self, rows: Rows) -> Rows:
        """Return a score (k) for each row (k, f), the higher the likelier."""
        return np.asarray(np.tanh(self.standard(rows) @ self.hidden + self.bias) @ self.out)

    def standard(self, rows: Rows) -> Rows:
        """Return rows at mean 0 and spread 1 over the training photographs, none further out than 5."""
        return np.clip((rows - self.mean) * self.scale, -5, 5)


@cache
def scorers() -> tuple[Scorer, Forest]:
    """Return the scorer of quadrangles by themselves, and that of candidates beside one another."""
    text = files(__package__).joinpath(WEIGHTS).read_text(encoding="utf-8")
    first, second = ({name: np.array(values) for name, values in part.items()} for part in json.loads(text))
    return Scorer(**first), Forest(**second)


def shares(scores: Rows) -> Rows:
    """Return probabilities (k) that sum to 1: the scores' softmax."""
    powers = np.exp(scores - scores.max())
    return np.asarray(powers / powers.sum())
