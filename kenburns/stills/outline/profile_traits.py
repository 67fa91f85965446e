"""What a quadrangle's profiles say for its being a work's outline, as numbers for the scorer.

A frame or mount is one colour all along and on all four sides, in another light on each; a wall is that all around.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from .profiles import Profiles

Rows = NDArray[np.float64]


def profile_traits(across: Profiles, wall: Rows, border: NDArray[np.bool_]) -> Rows:
    """Return (k, f) for k quadrangles; `wall` (3) is the ground's colour, L*a*b* over 20.

    `border` (k, 4) says which sides are the photograph's own: they count for nothing.
    """
    weight = np.where(border, 0.0, 1.0)
    weight /= np.maximum(weight.sum(axis=1, keepdims=True), 1)
    mean = _over_sides(across.mean, weight)
    off = np.square(across.mean - mean[:, None])
    steps = np.linalg.norm(np.diff(across.mean, axis=2), axis=-1)
    found = [
        np.linalg.norm(mean - wall, axis=-1),
        _over_sides(across.spread, weight),
        _over_sides(across.texture, weight),
        np.sqrt(_over_sides(off[..., 0], weight)),
        np.sqrt(_over_sides(off[..., 1:].sum(axis=-1), weight)),
        mean[..., 0],
        _over_sides(steps, weight),
        _least(steps, border),
        _over_sides(across.clear, weight),
        _least(across.clear, border),
        _over_sides(across.running[..., None], weight),
        -_least(-across.running[..., None], border),
    ]
    return np.concatenate(found, axis=1)


def on_border(corners: Rows) -> NDArray[np.bool_]:
    """Return which sides (k, 4: top, right, bottom, left) of quadrangles, as shares, lie on the photograph's border."""
    x, y = corners[..., 0], corners[..., 1]
    ends = (y[:, [0, 1]], 0), (x[:, [1, 2]], 1), (y[:, [2, 3]], 1), (x[:, [3, 0]], 0)
    return np.stack([(np.abs(side - place) < _ON).all(axis=1) for side, place in ends], axis=1)


def _over_sides(values: Rows, weight: Rows) -> Rows:
    """Return the mean of values (k, 4, ...) over the sides that count."""
    return np.asarray(np.einsum("ks...,ks->k...", values, weight))


def _least(values: Rows, border: NDArray[np.bool_]) -> Rows:
    """Return the least of values (k, 4, n) over the sides that count, 0 where none does."""
    least = np.where(border[:, :, None], np.inf, values).min(axis=1)
    return np.where(np.isfinite(least), least, 0.0)


_ON = 0.002  # of the photograph's side
