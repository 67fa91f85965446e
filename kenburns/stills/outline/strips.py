"""What lies along a line and beside it, summed up so that any part of the line can be asked about at once."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from .lines import SOFT, Floats, Lines

SAMPLES = 96  # points along a line from border to border
OFFSETS = ((-12.0, -8.0), (-3.6, -2.2), (2.2, 3.6), (8.0, 12.0))  # px: far before, just before, just after, far after
CHANNELS = 2 + 4 * len(OFFSETS)


@dataclass(frozen=True, slots=True)
class Strips:
    """Running sums along each of n lines: (n, SAMPLES + 1, CHANNELS).

    The channels: edge strength in [0, 1], whether there is an edge at all; then for each strip of `OFFSETS` the mean
    L*, a*, b* and the mean of their squares' sum.
    """

    sums: NDArray[np.float64]

    def between(self, lines: NDArray[np.intp], start: NDArray[np.float64], stop: NDArray[np.float64]) -> Lines:
        """Return the means (k, CHANNELS) along lines from `start` to `stop`, shares of the way across the image."""
        start, stop = np.clip(start, 0, 1), np.clip(stop, 0, 1)
        length = np.maximum((stop - start) * SAMPLES, 1e-3)
        return np.asarray((self._at(lines, stop) - self._at(lines, start)) / length[:, None])

    def _at(self, lines: NDArray[np.intp], share: NDArray[np.float64]) -> Lines:
        place = share * SAMPLES
        below = np.minimum(place.astype(np.intp), SAMPLES - 1)
        part = (place - below)[:, None]
        return np.asarray(self.sums[lines, below] * (1 - part) + self.sums[lines, below + 1] * part)


def along(lines: Lines, lab: Floats, across: Floats) -> Strips:
    """Return the strips of upright lines (n, 2) in an image (h, w, 3) whose change across is (h, w)."""
    height = lab.shape[0]
    share = (np.arange(SAMPLES) + 0.5) / SAMPLES
    x = (lines[:, :1] + (lines[:, 1:] - lines[:, :1]) * share).astype(np.float32)
    y = np.broadcast_to(share * height, x.shape).astype(np.float32)
    edge = np.max([_sampled(across, x + step, y) for step in (-1, 0, 1)], axis=0)
    edge[(x < 1) | (x > lab.shape[1] - 1)] = 0
    parts = [(edge / (edge + SOFT))[:, :, None], (edge > 1.2)[:, :, None].astype(np.float32)]
    for first, last in OFFSETS:
        beside = (_sampled(lab, x + first, y) + _sampled(lab, x + last, y)) / 2
        parts += [beside, np.square(beside).sum(axis=2, keepdims=True)]
    steps = np.concatenate(parts, axis=2, dtype=np.float64)
    return Strips(np.concatenate([np.zeros_like(steps[:, :1]), steps.cumsum(axis=1)], axis=1))


def _sampled(image: Floats, x: Floats, y: Floats) -> Floats:
    """Return the image at continuous coordinates, its border drawn out."""
    found = cv2.remap(
        image, x - np.float32(0.5), y - np.float32(0.5), cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
    )
    return np.asarray(found, np.float32)
