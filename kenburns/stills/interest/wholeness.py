"""What the edge of a view should not run through: heads, lines of writing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ...motion.geometry import Rect, overlap

# Face detectors box a face from brow to chin and cheek to cheek. What a head adds to it, in faces: hair above, ears
# at the sides, neck below (common practice leaves a head this much air; proportions from memory of drawing
# handbooks: a head is about 1.5 faces high and wide with its hair).
ABOVE, ASIDE, BELOW = 0.45, 0.3, 0.3

_SLIVER = 1e-6  # px: two edges nearer than this are one


@dataclass(frozen=True, slots=True)
class Boxes:
    """Rectangles side by side, as arrays of one length: left and top edges, widths and heights in source px."""

    x: NDArray[np.float64]
    y: NDArray[np.float64]
    width: NDArray[np.float64]
    height: NDArray[np.float64]

    def __len__(self) -> int:
        return len(self.x)

    def rect(self, index: int) -> Rect:
        """Return one of them."""
        x, y, width, height = self.x, self.y, self.width, self.height
        return Rect(float(x[index]), float(y[index]), float(width[index]), float(height[index]))

    def chosen(self, kept: NDArray[np.bool_]) -> Boxes:
        """Return those that are marked."""
        return Boxes(self.x[kept], self.y[kept], self.width[kept], self.height[kept])

    def scaled(self, scale: float) -> Boxes:
        """Return each one scaled about its middle."""
        left, top = self.width * (1 - scale) / 2, self.height * (1 - scale) / 2
        return Boxes(self.x + left, self.y + top, self.width * scale, self.height * scale)

    def common(self, rect: Rect) -> NDArray[np.float64]:
        """Return each one's common area with `rect`."""
        across = np.minimum(self.x + self.width, rect.right) - np.maximum(self.x, rect.x)
        down = np.minimum(self.y + self.height, rect.bottom) - np.maximum(self.y, rect.y)
        return np.asarray(np.maximum(across, 0) * np.maximum(down, 0), np.float64)

    def around(self, rect: Rect) -> NDArray[np.bool_]:
        """Return which of them show all of `rect`."""
        across = (self.x <= rect.x + _SLIVER) & (self.x + self.width >= rect.right - _SLIVER)
        down = (self.y <= rect.y + _SLIVER) & (self.y + self.height >= rect.bottom - _SLIVER)
        return across & down

    def apart(self, rect: Rect) -> NDArray[np.bool_]:
        """Return which of them show nothing of `rect`."""
        beside = (self.x >= rect.right - _SLIVER) | (self.x + self.width <= rect.x + _SLIVER)
        above = (self.y >= rect.bottom - _SLIVER) | (self.y + self.height <= rect.y + _SLIVER)
        return beside | above

    def uncut(self, whole: Rect) -> NDArray[np.bool_]:
        """Return which of them show all of `whole` or nothing of it."""
        return self.apart(whole) | self.around(whole)


def cuts(view: Rect, whole: Rect) -> bool:
    """Whether the edge of `view` runs through `whole`: a part of it is shown and a part is not."""
    return not bool(boxes([view]).uncut(whole)[0])


def boxes(rects: Sequence[Rect]) -> Boxes:
    """Return rectangles side by side."""
    sides = np.array([(r.x, r.y, r.width, r.height) for r in rects], np.float64).reshape(-1, 4)
    return Boxes(sides[:, 0], sides[:, 1], sides[:, 2], sides[:, 3])


def joined(parts: Sequence[Boxes]) -> Boxes:
    """Return several as one, in their order."""
    x, y, width, height = (
        np.concatenate([getattr(part, side) for part in parts]) for side in ("x", "y", "width", "height")
    )
    return Boxes(x, y, width, height)


def all_uncut(views: Boxes, wholes: Sequence[Rect]) -> NDArray[np.bool_]:
    """Return which views cut none of `wholes`."""
    kept = np.ones(len(views), np.bool_)
    for whole in wholes:
        kept &= views.uncut(whole)
    return kept


def head_of(face: Rect, area: Rect) -> Rect:
    """Return the head around a face, as far as it lies in `area`."""
    left, right = face.x - ASIDE * face.width, face.right + ASIDE * face.width
    top, bottom = face.y - ABOVE * face.height, face.bottom + BELOW * face.height
    x, y = max(left, area.x), max(top, area.y)
    return Rect(x, y, min(right, area.right) - x, min(bottom, area.bottom) - y)


def seen_in(area: Rect, rects: Sequence[Rect]) -> list[Rect]:
    """Return those of which the larger part lies in `area`, cut to it: no view inside it can show more."""
    return [_clipped(rect, area) for rect in rects if overlap(rect, area) > rect.area / 2]


def _clipped(rect: Rect, area: Rect) -> Rect:
    x, y = max(rect.x, area.x), max(rect.y, area.y)
    return Rect(x, y, min(rect.right, area.right) - x, min(rect.bottom, area.bottom) - y)
