"""Boolean map saliency (Zhang & Sclaroff, "Saliency detection: a Boolean map approach", ICCV 2013, §3).

Channels of whitened Lab are cut at even thresholds; what does not touch the border (surroundedness) counts, maps with
small areas weighing more by L2 normalisation (their eq. 7). Instead of flooding every cut from the border, each pixel's
first cut that the border does not reach is found at once: a reconstruction from the border (Vincent, "Morphological
grayscale reconstruction in image analysis", IEEE Transactions on Image Processing 2(2), 1993).
"""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

Floats = NDArray[np.float32]
Levels = NDArray[np.uint8]

_THRESHOLDS = np.arange(8, 255, 16)


def boolean_map(lab: Floats) -> Floats:
    """Return the mean attention map (h, w) of an L*a*b* picture (h, w, 3), up to a factor."""
    total = np.zeros(lab.shape[:2], np.float64)
    for channel in _whitened(lab):
        total += surrounded(channel, _THRESHOLDS)
        # Below a threshold in the channel is above one in its negative: c <= t where 255 - c > 254 - t.
        total += surrounded(255 - channel, 254 - _THRESHOLDS)
    return total.astype(np.float32)


def surrounded(channel: Levels, thresholds: NDArray[np.intp]) -> NDArray[np.float64]:
    """Return the sum over thresholds t, 0 to 254, of what of {channel > t} the border does not reach, at unit L2 norm.

    `channel` is (h, w); pixels touch at their sides (four neighbours).
    """
    reached = reached_from_border(channel)
    starts = np.bincount(reached.ravel(), minlength=256) - np.bincount(channel.ravel(), minlength=256)
    areas = np.cumsum(starts)[thresholds]  # in how many pixels reached <= t < channel
    weights = np.zeros(257)
    weights[thresholds + 1] = 1 / np.sqrt(np.maximum(areas, 1))
    summed = np.cumsum(weights)
    return np.asarray(summed[channel] - summed[reached], np.float64)


@njit(cache=True, nogil=True)
def reached_from_border(channel: Levels) -> Levels:
    """Return the highest level at which a way leads from the border to each pixel (h, w), none lower on it.

    Pixels are settled from the highest level down, those of one level waiting in a list of their own.
    """
    height, width = channel.shape
    level = channel.ravel()
    reached = np.zeros(level.size, np.uint8)
    known = np.zeros(level.size, np.bool_)
    first = np.full(256, -1, np.int64)
    after = np.empty(level.size, np.int64)
    for pixel in range(level.size):
        y, x = pixel // width, pixel % width
        if y == 0 or x == 0 or y == height - 1 or x == width - 1:
            known[pixel] = True
            reached[pixel] = level[pixel]
            after[pixel] = first[level[pixel]]
            first[level[pixel]] = pixel
    for now in range(255, -1, -1):
        while first[now] >= 0:
            pixel = first[now]
            first[now] = after[pixel]
            y, x = pixel // width, pixel % width
            for dy, dx in ((-1, 0), (0, -1), (0, 1), (1, 0)):
                if 0 <= y + dy < height and 0 <= x + dx < width:
                    beside = pixel + dy * width + dx
                    if not known[beside]:
                        known[beside] = True
                        reached[beside] = min(level[beside], now)
                        after[beside] = first[reached[beside]]
                        first[reached[beside]] = beside
    return reached.reshape(height, width)


def _whitened(lab: Floats) -> list[Levels]:
    """Return decorrelated channels of equal variance (their §3.1), each stretched to 0..255; flat ones left out."""
    values = lab.reshape(-1, 3).astype(np.float64)
    values -= values.mean(axis=0)
    variances, axes = np.linalg.eigh(values.T @ values / len(values))
    kept = variances > 1e-3
    whitened = values @ (axes[:, kept] / np.sqrt(variances[kept])) @ axes[:, kept].T if kept.any() else values[:, :0]
    return [_stretched(column.reshape(lab.shape[:2])) for column in whitened.T if np.ptp(column) > 0]


def _stretched(channel: NDArray[np.float64]) -> Levels:
    low = channel.min()
    return np.asarray(np.round((channel - low) * (255 / np.ptp(channel))), np.uint8)
