"""What a shutter that stays open for a part of the frame's time sees of a move."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from .geometry import Size
from .path import speeds

_MOST_SAMPLES = 32


def exposures(path: NDArray[np.float64], angle: float, frame: Size) -> list[NDArray[np.float64]]:
    """Return for each row of a path the views (n, 4) whose mean is its exposure, evenly spread about its moment.

    `path` (frames, 4) is one uncut move. `angle`, 0 to 360 degrees, is the share of the frame's time that the shutter
    is open (common practice: 180 for film). Views follow each other at most a frame pixel apart, so no step shows. Each
    lies between two rows of the path, so none is narrower than the narrower of both. ValueError for another angle.
    """
    if not 0 <= angle <= 360:
        raise ValueError(f"a shutter angle is 0 to 360 degrees, not {angle}")
    share = angle / 360
    after = np.diff(path, axis=0, append=path[-1:])
    before = np.diff(path, axis=0, prepend=path[:1])
    travel = np.append(speeds(path, frame), 0.0)
    farthest = np.maximum(travel, np.roll(travel, 1)) * share  # the last row's travel is 0, and comes before the first
    return [
        _spread(row, back, forth, share, min(max(math.ceil(distance), 1), _MOST_SAMPLES))
        for row, back, forth, distance in zip(path, before, after, farthest, strict=True)
    ]


def _spread(
    row: NDArray[np.float64], back: NDArray[np.float64], forth: NDArray[np.float64], share: float, samples: int
) -> NDArray[np.float64]:
    moments = ((np.arange(samples) + 0.5) / samples - 0.5)[:, None] * share
    return np.asarray(row + moments * np.where(moments < 0, back, forth))
