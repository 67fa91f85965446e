"""Grain and sensor noise: what would boil when the picture moves."""

from __future__ import annotations

import math
from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from .patches import Luma

# Immerkær, "Fast noise variance estimation", Computer Vision and Image Understanding 64(2):300-302, 1996, eq. 1: the
# difference of two Laplacians, blind to planes; its response to white noise of deviation s has deviation 6 s.
_MASK = np.array([[1, -2, 1], [-2, 4, -2], [1, -2, 1]], np.float32)
_GAIN = 6.0
_BLOCK = 8
_FLATTEST = 0.1  # share of blocks counted: structure raises the others
_SHOWN = 0.8  # part of white noise's deviation that its flattest tenth of such blocks shows, measured
_MIDDLE = 128  # px a side: the middle of a patch is enough


def noise_level(lumas: Sequence[Luma]) -> float:
    """Return the standard deviation of noise in levels of 255, as the flattest blocks show it; 0 where none can tell.

    The median over patches of shape (h, w). Blocks in which samples are clipped to black or white say nothing.
    """
    levels = [level for patch in lumas if (level := _patch_level(patch)) is not None]
    return float(np.median(levels)) if levels else 0.0


def _patch_level(patch: Luma) -> float | None:
    middle = _centre(patch).astype(np.float32)
    response = np.abs(np.asarray(cv2.filter2D(middle, cv2.CV_32F, _MASK), np.float32))[1:-1, 1:-1]
    clipped = ((middle < 3) | (middle > 252)).astype(np.float32)[1:-1, 1:-1]
    told = _block_means(response)[_block_means(clipped) == 0]
    # Mean absolute value of a normal distribution: deviation * sqrt(2 / pi).
    return float(np.quantile(told, _FLATTEST)) * math.sqrt(math.pi / 2) / (_GAIN * _SHOWN) if told.size else None


def _centre(patch: Luma) -> Luma:
    height, width = patch.shape
    top, left = max(height - _MIDDLE, 0) // 2, max(width - _MIDDLE, 0) // 2
    return patch[top : top + _MIDDLE, left : left + _MIDDLE]


def _block_means(values: NDArray[np.float32]) -> NDArray[np.float32]:
    rows, columns = values.shape[0] // _BLOCK, values.shape[1] // _BLOCK
    whole = values[: rows * _BLOCK, : columns * _BLOCK]
    return np.asarray(cv2.resize(whole, (columns, rows), interpolation=cv2.INTER_AREA), np.float32)
