"""A map's share in any rectangle, at once for a whole grid of them.

The summed-area table is Crow's ("Summed-area tables for texture mapping", SIGGRAPH 1984); between samples it is read
linearly, which is what a sum over a part of a cell is.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from ...motion.geometry import Size

Places = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class SummedArea:
    """A map's sums from the top left corner, shape (h + 1, w + 1), and the size in px of the still under the map."""

    table: NDArray[np.float64]
    still: Size

    def boxes(self, lefts: Places, tops: Places, size: tuple[float, float]) -> NDArray[np.float64]:
        """Return the sums in boxes of one (width, height) in source px; shape (tops, lefts)."""
        width, height = size
        rows = _between(self.table, tops + height, self.still.height) - _between(self.table, tops, self.still.height)
        across = _between(rows.T, lefts + width, self.still.width) - _between(rows.T, lefts, self.still.width)
        return across.T

    def cores(self, lefts: Places, tops: Places, size: tuple[float, float], share: float) -> NDArray[np.float64]:
        """Return the sums in the same boxes scaled by `share` about their middles; above 1 they reach outwards."""
        width, height = size
        left, top = width * (1 - share) / 2, height * (1 - share) / 2
        return self.boxes(lefts + left, tops + top, (width * share, height * share))

    def within(self, lefts: Places, tops: Places, rights: Places, bottoms: Places) -> NDArray[np.float64]:
        """Return the sums in rectangles of any sizes, given by their edges in source px; the same shape."""
        height, width = self.table.shape[0] - 1, self.table.shape[1] - 1
        x0, x1 = (np.clip(edge / self.still.width, 0, 1) * width for edge in (lefts, rights))
        y0, y1 = (np.clip(edge / self.still.height, 0, 1) * height for edge in (tops, bottoms))
        at = self._corner
        return at(x1, y1) - at(x0, y1) - at(x1, y0) + at(x0, y0)

    def _corner(self, x: Places, y: Places) -> NDArray[np.float64]:
        """Return the table between its samples, bilinear."""
        table = self.table
        column, row = (np.minimum(at.astype(np.intp), table.shape[axis] - 2) for axis, at in ((1, x), (0, y)))
        across, down = x - column, y - row
        flat, wide = table.ravel(), table.shape[1]
        first = row * wide + column
        upper = flat[first] * (1 - across) + flat[first + 1] * across
        lower = flat[first + wide] * (1 - across) + flat[first + wide + 1] * across
        return np.asarray(upper * (1 - down) + lower * down, np.float64)


def summed_shares(values: NDArray[np.float32], still: Size) -> SummedArea:
    """Return the table of a map (h, w) of values >= 0 scaled to a sum of 1; a map of zeros counts as even."""
    scaled = values.astype(np.float64)
    if scaled.sum() <= 0:
        scaled = np.ones_like(scaled)
    return summed(scaled / scaled.sum(), still)


def summed(values: NDArray[np.float64], still: Size) -> SummedArea:
    """Return the table of a map (h, w) as it is."""
    return SummedArea(np.asarray(cv2.integral(values, sdepth=cv2.CV_64F), np.float64), still)


def _between(table: NDArray[np.float64], places: Places, length: int) -> NDArray[np.float64]:
    """Return the table's rows at source positions, linear between its own."""
    at = np.clip(places / length, 0, 1) * (len(table) - 1)
    low = np.minimum(at.astype(np.intp), len(table) - 2)
    share = (at - low)[:, None]
    return np.asarray(table[low] * (1 - share) + table[low + 1] * share, np.float64)
