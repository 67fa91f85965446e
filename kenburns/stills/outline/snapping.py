"""A quadrangle found in a small version, laid on the edges of a larger one to a part of a pixel."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

Rows = NDArray[np.float64]

_POINTS = 72  # along each side
_REACH = 3.0  # px of the larger version, either way
_STEP = 0.5
_ENDS = 0.04  # of a side, left out at either end, where another side's edge comes near


def snapped(rgb: NDArray[np.uint8], corners: Rows) -> Rows:
    """Return corners (4, 2) moved so that each side lies on the strongest edge nearby, the border's sides unmoved.

    Each side becomes the line through the centres of gravity of the edge across it, fitted twice, the second time to
    the half of the points nearest to the first line.
    """
    size = np.array([rgb.shape[1], rgb.shape[0]], np.float64)
    lines = [_side(rgb, corners[i], corners[(i + 1) % 4], size) for i in range(4)]
    moved = np.array([_meeting(lines[i - 1], lines[i]) for i in range(4)])
    close = np.abs(moved - corners).max() <= 2.5 * _REACH
    return np.clip(moved if close else corners, 0, size)


def grown(corners: Rows, by: float) -> Rows:
    """Return corners (4, 2) with each side moved outwards by this many pixels."""
    lines = []
    for index in range(4):
        start, stop = corners[index], corners[(index + 1) % 4]
        out = _outwards(start, stop) * by
        lines.append((start + out, stop + out))
    return np.array([_meeting(lines[i - 1], lines[i]) for i in range(4)])


def _side(rgb: NDArray[np.uint8], start: Rows, stop: Rows, size: Rows) -> tuple[Rows, Rows]:
    """Return two points of the line that the edge near a side makes."""
    if _on_border(start, stop, size):
        return start, stop
    share = np.linspace(_ENDS, 1 - _ENDS, _POINTS)
    out = _outwards(start, stop)
    offsets = np.arange(-_REACH - 1, _REACH + 1 + _STEP / 2, _STEP)
    points = start + share[:, None, None] * (stop - start) + offsets[None, :, None] * out
    x, y = (np.ascontiguousarray(points[..., axis] - 0.5, np.float32) for axis in (0, 1))
    seen = np.asarray(cv2.remap(rgb, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE), np.float64)
    change = np.abs(seen[:, 4:] - seen[:, :-4]).sum(axis=2)
    middle = offsets[2:-2]
    weight = np.square(np.maximum(change - 6, 0)) * np.exp(-0.5 * (middle / _REACH) ** 2)
    total = weight.sum(axis=1)
    seen_at = total > 0
    if seen_at.sum() < _POINTS // 4:
        return start, stop
    place = (weight @ middle)[seen_at] / total[seen_at]
    line = _fitted(share[seen_at], place)
    return start + line[1] * out, stop + (line[0] + line[1]) * out


def _fitted(share: Rows, place: Rows) -> Rows:
    """Return slope and intercept, no further away than the reach."""
    line = np.polyfit(share, place, 1)
    off = np.abs(place - np.polyval(line, share))
    near = off <= np.median(off)
    line = np.polyfit(share[near], place[near], 1)
    return line if np.abs(np.polyval(line, [0, 1])).max() <= 1.5 * _REACH else np.zeros(2)


def _on_border(start: Rows, stop: Rows, size: Rows) -> bool:
    ends = np.stack([start, stop])
    return bool((np.abs(ends) < 0.5).all(axis=0).any() or (np.abs(ends - size) < 0.5).all(axis=0).any())


def _outwards(start: Rows, stop: Rows) -> Rows:
    """Return the unit normal that points out of a quadrangle whose corners run clockwise, y down."""
    along = (stop - start) / max(1e-9, float(np.hypot(*(stop - start))))
    return np.array([along[1], -along[0]])


def _meeting(a: tuple[Rows, Rows], b: tuple[Rows, Rows]) -> Rows:
    """Return where two lines, each through two points, meet."""
    along_a, along_b = a[1] - a[0], b[1] - b[0]
    across = along_a[0] * along_b[1] - along_a[1] * along_b[0]
    between = b[0] - a[0]
    share = (between[0] * along_b[1] - between[1] * along_b[0]) / across
    return np.asarray(a[0] + share * along_a)
