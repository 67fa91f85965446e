"""Rings between quadrangles that lie in one another: wall, frame, mount and work are bounded by nested outlines."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Rows = NDArray[np.float64]

NESTING = 2 * 8


def nesting(corners: Rows, worth: Rows, inside: Rows, outside: Rows, size: tuple[int, int]) -> Rows:
    """Return (k, NESTING): for each of k quadrangles its best ring to a larger one, then to a smaller one.

    `worth` (k) is how likely each is an outline by itself; `inside` and `outside` (k, 4, 3) are the colours just within
    and just beyond each side, L*a*b* over 20. A ring's traits: whether there is one, the other's worth, its evenness
    (narrowest by widest side), its width over the photograph's longer side and over the quadrangle's, how far its two
    edges differ in colour, how much its colour differs from side to side, and how far apart the worths are.
    """
    gaps = gaps_between(corners)  # of i in j
    narrow, wide = gaps.min(axis=2), gaps.max(axis=2)
    nested = narrow > 1.0
    even = np.where(nested, narrow / np.maximum(wide, 1e-6), 0.0)
    value = np.where(nested, worth[None, :] + 2.5 * even, -np.inf)
    outer = _ring(value, even, gaps, corners, worth, inside[None, :], outside[:, None], size)
    value = np.where(nested.T, worth[None, :] + 2.5 * even.T, -np.inf)
    inner = _ring(value, even.T, gaps.transpose(1, 0, 2), corners, worth, outside[None, :], inside[:, None], size)
    return np.concatenate([outer, inner], axis=1)


def gaps_between(corners: Rows) -> Rows:
    """Return how far quadrangle j lies outside i at each side (k, k, 4: top, right, bottom, left), at the corners."""
    x, y = corners[..., 0], corners[..., 1]
    sides = (y[:, [0, 1]], -x[:, [1, 2]], -y[:, [2, 3]], x[:, [3, 0]])
    return np.stack([(side[:, None] - side[None, :]).mean(axis=2) for side in sides], axis=2)


def _ring(
    value: Rows, even: Rows, gaps: Rows, corners: Rows, worth: Rows, theirs: Rows, ours: Rows, size: tuple[int, int]
) -> Rows:
    """Return the traits (k, 8) of the ring to the partner of highest value, zeros where there is none."""
    rows = np.arange(len(corners))
    best = value.argmax(axis=1)
    there = np.isfinite(value[rows, best])
    width = gaps[rows, best].mean(axis=1)
    side = np.sqrt(np.ptp(corners[..., 0], axis=1) * np.ptp(corners[..., 1], axis=1))
    a, b = (
        np.broadcast_to(theirs, (*value.shape, 4, 3))[rows, best],
        np.broadcast_to(ours, (*value.shape, 4, 3))[rows, best],
    )
    across = np.sqrt(np.square(a - b).sum(axis=2)).mean(axis=1)
    colour = (a + b) / 2
    around = np.sqrt(np.square(colour - colour.mean(axis=1, keepdims=True)).sum(axis=2)).mean(axis=1)
    found = np.stack(
        [
            np.ones(len(rows)),
            worth[best] / 4,
            even[rows, best],
            10 * width / max(size),
            4 * width / np.maximum(side, 1),
            across,
            around,
            (worth[best] - worth) / 4,
        ],
        axis=1,
    )
    return np.where(there[:, None], found, 0.0)
