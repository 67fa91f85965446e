"""What lies across a quadrangle's sides, from far outside to far inside: wall, shadow, frame, mount and work."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numba import njit
from numpy.typing import NDArray

from .lines import Floats

Rows = NDArray[np.float64]

COLOUR = 20.0  # L*a*b* units that count as 1
DEPTHS = np.array(
    [-64, -48, -36, -27, -20, -15, -11, -8, -5.5, -3.5, -2, 2, 3.5, 5.5, 8, 11, 15, 20, 27, 36, 48, 64]
)  # px from a side, outside first
PLACES = 28  # along a side
_ENDS = 0.04  # of a side, left out at either end
_CLEAR = np.array([0.1, 0.4])  # changes across a side that are seen, and that are plain


@dataclass(frozen=True, slots=True)
class Profiles:
    """Across each side (top, right, bottom, left) of k quadrangles, at the `DEPTHS`, in L*a*b* over 20.

    `mean` (k, 4, d, 3); `spread` (k, 4, d) along the side; `texture` (k, 4, d), the mean change from place to place;
    `clear` (k, 4, 2), the share of the side with an edge that is seen, and that is plain; `running` (k, 4), how
    far what lies just outside runs on inside, as a correlation.
    """

    mean: Rows
    spread: Rows
    texture: Rows
    clear: Rows
    running: Rows

    def of(self, count: int) -> Profiles:
        """Return the profiles of the first `count` quadrangles."""
        parts = (self.mean, self.spread, self.texture, self.clear, self.running)
        return Profiles(*(part[:count] for part in parts))


def profiles(lab: Floats, corners: Rows) -> Profiles:
    """Return the profiles of quadrangles (k, 4, 2), px from top left clockwise, in an L*a*b* image (h, w, 3)."""
    image = np.ascontiguousarray(lab) / np.float32(COLOUR)
    mean, spread, texture, near = _summed(image, corners, DEPTHS, PLACES, _ENDS)
    before, outside, inside, after = (near[:, :, index] for index in range(4))
    change = np.sqrt(np.square(inside - outside).sum(axis=-1))
    clear = (change[..., None] > _CLEAR).mean(axis=2)
    return Profiles(mean, spread, texture, clear, _alike(_centred(before), _centred(after)))


def _centred(strip: Rows) -> Rows:
    return np.asarray(strip - strip.mean(axis=2, keepdims=True))


def _alike(a: Rows, b: Rows) -> Rows:
    """Return the correlation (k, 4) of two strips (k, 4, n, 3) of mean 0, next to nothing where either is even."""
    common = (a * b).sum(axis=(2, 3))
    return np.asarray(common / np.sqrt((np.square(a).sum((2, 3)) + 0.05) * (np.square(b).sum((2, 3)) + 0.05)))


@njit(cache=True, nogil=True, fastmath=True)
def _summed(lab: Floats, corners: Rows, depths: Rows, places: int, ends: float) -> tuple[Rows, Rows, Rows, Rows]:
    """Return mean, spread and texture at each depth of each side, and what is seen at the four depths in the middle."""
    count, first_near = len(corners), len(depths) // 2 - 2
    mean = np.zeros((count, 4, len(depths), 3))
    spread = np.zeros((count, 4, len(depths)))
    texture = np.zeros((count, 4, len(depths)))
    near = np.zeros((count, 4, 4, places, 3))
    for quad in range(count):
        for side in range(4):
            start, stop = corners[quad, side], corners[quad, (side + 1) % 4]
            for index in range(len(depths)):
                seen = _strip(lab, start, stop, depths[index], places, ends)
                for channel in range(3):
                    total, squares, changes = 0.0, 0.0, 0.0
                    for place in range(places):
                        total += seen[place, channel]
                        squares += seen[place, channel] ** 2
                        if place:
                            changes += abs(seen[place, channel] - seen[place - 1, channel])
                    mean[quad, side, index, channel] = total / places
                    spread[quad, side, index] += max(squares / places - (total / places) ** 2, 0.0)
                    texture[quad, side, index] += changes / (places - 1)
                spread[quad, side, index] = np.sqrt(spread[quad, side, index])
                if 0 <= index - first_near < 4:
                    for place in range(places):  # one by one: assigning the whole takes seconds to compile
                        for channel in range(3):
                            near[quad, side, index - first_near, place, channel] = seen[place, channel]
    return mean, spread, texture, near


@njit(cache=True, nogil=True, fastmath=True)
def _strip(lab: Floats, start: Rows, stop: Rows, depth: float, places: int, ends: float) -> Rows:
    """Return what is seen (n, 3) along a side, so many px inside it, the image's border drawn out."""
    height, width = lab.shape[:2]
    dx, dy = stop[0] - start[0], stop[1] - start[1]
    length = max(np.hypot(dx, dy), 1e-6)
    seen = np.empty((places, 3))
    for place in range(places):
        share = ends + (1 - 2 * ends) * place / (places - 1)
        x = min(max(start[0] + share * dx - depth * dy / length - 0.5, 0.0), width - 1.001)
        y = min(max(start[1] + share * dy + depth * dx / length - 0.5, 0.0), height - 1.001)
        left, top = int(x), int(y)
        across, down = x - left, y - top
        for channel in range(3):
            high = lab[top, left, channel] * (1 - across) + lab[top, left + 1, channel] * across
            low = lab[top + 1, left, channel] * (1 - across) + lab[top + 1, left + 1, channel] * across
            seen[place, channel] = high * (1 - down) + low * down
    return seen
