"""Long straight edges, nearly upright or nearly level: where a picture's sides may lie.

A line is the pair of places where it meets two opposite borders of the image: an upright line its x at the top and at
the bottom, a level line its y at the left and at the right. Level lines are upright ones of the transposed image, so
that everything here knows uprights alone.
"""

from __future__ import annotations

import cv2
import numpy as np
from numba import njit
from numpy.typing import NDArray

Floats = NDArray[np.float32]
Lines = NDArray[np.float64]

COUNT = 28  # lines kept for each direction
STEEPEST = 0.16  # how far a line may lean, as a share of the image's height: about 9 degrees
SOFT = 2.0  # L*a*b* units a pixel at which an edge counts half, so that long faint lines stand beside strong texture
_SLOPE_STEP = 3.0  # px of lean between one tried slope and the next
_WIDTH = 1.6  # px from a line within which an edge pixel belongs to it
_FEWEST = 3.0  # votes that make a line
_ROWS = 2  # every so many rows are looked at: half the time, and edges of a picture's side are long
_AROUND = 41  # px: the neighbourhood whose business an edge has to stand out from
_LEAST = 0.7  # L*a*b* units a pixel below which nothing is an edge


def steepness(lab: Floats) -> tuple[Floats, Floats]:
    """Return how fast the colour changes across and down, both (h, w), in L*a*b* units a pixel (central differences).

    The image is smoothed by (1, 2, 1) / 4 each way first. The outermost pixels give 0.
    """
    return _differences(np.asarray(cv2.GaussianBlur(lab, (3, 3), 0.85), np.float32))


def upright_lines(across: Floats, down: Floats, count: int = COUNT) -> Lines:
    """Return up to `count` lines (n, 2), the ones with the most edge along them first.

    The Hough transform for lines given by slope and intercept (Duda & Hart, Communications of the ACM 15(1), 1972),
    over the edge pixels that change more across than down and most among their neighbours on either side. A pixel
    votes by m / (m + SOFT).
    """
    height, width = across.shape
    lean = STEEPEST * height
    slopes = np.linspace(-lean, lean, 2 * round(lean / _SLOPE_STEP) + 1)
    busy = np.asarray(cv2.blur(across, (_AROUND, _AROUND), borderType=cv2.BORDER_REPLICATE), np.float32)
    found = _strongest(*_edges(across, down, busy, _LEAST, SOFT), slopes, height, width, count)
    leans, middles = slopes[found[:, 0]], found[:, 1].astype(np.float64)
    return np.stack([middles - leans / 2, middles + leans / 2], axis=1)


@njit(cache=True, nogil=True, fastmath=True)
def _differences(lab: Floats) -> tuple[Floats, Floats]:
    height, width = lab.shape[:2]
    across = np.zeros((height, width), np.float32)
    down = np.zeros((height, width), np.float32)
    for y in range(1, height - 1):
        for x in range(1, width - 1):
            right = left = np.float32(0)
            for channel in range(3):
                right += np.square(lab[y, x + 1, channel] - lab[y, x - 1, channel])
                left += np.square(lab[y + 1, x, channel] - lab[y - 1, x, channel])
            across[y, x] = np.sqrt(right) / 2
            down[y, x] = np.sqrt(left) / 2
    return across, down


@njit(cache=True, nogil=True)
def _edges(across: Floats, down: Floats, busy: Floats, least: float, soft: float) -> tuple[Floats, Floats, Floats]:
    """Return x, y from the middle row, and the weight of each pixel on an upright edge, in px from pixel centres."""
    height, width = across.shape
    count = 0
    x_of = np.empty(height * width, np.float32)
    y_of = np.empty(height * width, np.float32)
    weights = np.empty(height * width, np.float32)
    for y in range(1, height - 1, _ROWS):
        for x in range(2, width - 2):
            edge = across[y, x]
            if edge < least or edge < 0.8 * down[y, x] or edge < across[y, x - 1] or edge <= across[y, x + 1]:
                continue
            x_of[count] = x + 0.5
            y_of[count] = y + 0.5 - height / 2
            weights[count] = edge / (edge + soft + 2 * busy[y, x])
            count += 1
    return x_of[:count], y_of[:count], weights[:count]


@njit(cache=True, nogil=True)
def _strongest(
    x_of: Floats, y_of: Floats, weights: Floats, slopes: NDArray[np.float64], height: int, width: int, count: int
) -> NDArray[np.int64]:
    """Return the lines with most votes (n, 2: slope's index, x in the middle row).

    The pixels of a line found take their votes for all other lines back, so that no line is found twice.
    """
    votes = np.zeros((slopes.size, width + 2), np.float32)
    free = np.ones(x_of.size, np.bool_)
    leans = (slopes / height).astype(np.float32)
    for i in range(x_of.size):
        _vote(votes, leans, x_of[i], y_of[i], weights[i])
    found = np.zeros((count, 2), np.int64)
    for line in range(count):
        best = int(np.argmax(votes))
        slope, middle = best // votes.shape[1], best % votes.shape[1]
        if votes[slope, middle] < _FEWEST:
            return found[:line]
        found[line, 0], found[line, 1] = slope, middle  # assigning a row takes seconds to compile
        for i in range(x_of.size):
            if free[i] and abs(x_of[i] - leans[slope] * y_of[i] - middle) < _WIDTH:
                free[i] = False
                _vote(votes, leans, x_of[i], y_of[i], -weights[i])
    return found


@njit(cache=True, nogil=True, fastmath=True)
def _vote(votes: Floats, leans: Floats, x: float, y: float, weight: float) -> None:
    """Add a pixel's weight to every line through it, shared between the two whole places next to each."""
    for i in range(leans.size):
        place = x - leans[i] * y
        if 0 <= place < votes.shape[1] - 1:
            left = int(place)
            share = place - left
            votes[i, left] += weight * (1 - share)
            votes[i, left + 1] += weight * share
