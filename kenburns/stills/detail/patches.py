"""Where in a photograph its detail is measured: small boxes at full resolution, spread over the whole.

Boxes start at multiples of 8 px, so that a JPEG's blocks lie alike in all of them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from ...motion.geometry import Rect, Size, bounds

SIDE = 256
COUNT = 24
LEAST = 32  # a side under this holds too little to measure

_GRID = 8

Luma = NDArray[np.uint8]
_Span = tuple[int, int]


def patch_places(size: Size, area: Rect | None = None, *, side: int = SIDE, count: int = COUNT) -> tuple[Rect, ...]:
    """Return at most `count` boxes of whole pixels inside `area`, row by row, none overlapping another.

    `side`: the boxes' width and height in pixels, less where the area (default: the whole picture) is narrower. None
    where the area has too few pixels (under 32 a side, from a multiple of 8 on). Raises ValueError for a side under 32
    or a count under 1.
    """
    if side < LEAST or count < 1:
        raise ValueError(f"patches have at least {LEAST} px a side and there is at least 1, not {side} px and {count}")
    whole = bounds(size)
    kept = area or whole
    across, down = _span(kept.x, kept.right, size.width), _span(kept.y, kept.bottom, size.height)
    width, height = min(side, across[1] - across[0]), min(side, down[1] - down[0])
    if min(width, height) < LEAST:
        return ()
    columns, rows = _grid((across[1] - across[0]) // width, (down[1] - down[0]) // height, count)
    return tuple(
        Rect(float(x), float(y), float(width), float(height))
        for y in _starts(down, height, rows)
        for x in _starts(across, width, columns)
    )


def luma(patch: NDArray[Any]) -> Luma:
    """Return the luma (h, w) of an sRGB patch (h, w, 3) of uint8 or uint16, rounded to 8 bits.

    Weights of ITU-R BT.601 on encoded values, as JPEG has it. Raises ValueError for another shape or type.
    """
    if patch.ndim != 3 or patch.shape[2] != 3 or patch.dtype not in (np.uint8, np.uint16):
        raise ValueError(f"a patch is uint8 or uint16 of shape (h, w, 3), not {patch.dtype} of shape {patch.shape}")
    grey = cv2.cvtColor(np.ascontiguousarray(patch), cv2.COLOR_RGB2GRAY)
    return np.asarray(grey if patch.dtype == np.uint8 else cv2.convertScaleAbs(grey, alpha=1 / 257), np.uint8)


def most_structured(lumas: Sequence[Luma], count: int) -> list[Luma]:
    """Return at most `count` patches, those with the steepest steps first: flat ones say nothing about sharpness."""
    return sorted(lumas, key=_steepness, reverse=True)[:count]


def _steepness(patch: Luma) -> float:
    """Return the root of the mean squared step over 2 px, a distance that grain weighs less on than on 1 px."""
    across = cv2.norm(patch[:, 2:], patch[:, :-2], cv2.NORM_L2SQR)
    down = cv2.norm(patch[2:], patch[:-2], cv2.NORM_L2SQR)
    return math.sqrt((across + down) / patch.size)


def _span(start: float, end: float, limit: int) -> _Span:
    """Return the whole pixels of one axis, from a multiple of 8, inside both `start`..`end` and the picture."""
    return -(-math.ceil(max(start, 0)) // _GRID) * _GRID, min(math.floor(end), limit)


def _grid(columns: int, rows: int, count: int) -> tuple[int, int]:
    """Take columns or rows away, whichever stand closer, until no more than `count` boxes are left."""
    full = columns, rows
    while columns * rows > count:
        if columns > 1 and (rows == 1 or columns * full[1] >= rows * full[0]):
            columns -= 1
        else:
            rows -= 1
    return columns, rows


def _starts(span: _Span, length: int, count: int) -> list[int]:
    """Return where `count` boxes start, each in the middle of its share of the span but for the step of 8."""
    share = (span[1] - span[0]) / count
    return [span[0] + int((k + 0.5) * share - length / 2) // _GRID * _GRID for k in range(count)]
