"""Four lines make a quadrangle: the likeliest of all that a photograph's lines can make, and what is known of each.

Corners run from top left clockwise. Sides run top, right, bottom, left.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numba import njit
from numpy.typing import NDArray

from .lines import Floats, Lines, steepness, upright_lines
from .strips import Strips, along

KEPT = 360  # quadrangles that are looked at more closely
_BORDER_EDGE = 0.25  # an edge that the photograph's border is taken to have, out of 1
_NONE = -1e9
_SMALLEST, _LARGEST = 0.03, 0.995  # of the image's area
_SHORTEST = 0.08  # of the image's side
_BEYOND = 0.08  # of a side's length, past its ends, where a picture's side should have stopped


@dataclass(frozen=True, slots=True)
class Sides:
    """Lines of one direction (n, 2) with their strips; the last two are the borders of the image."""

    lines: Lines
    strips: Strips


@dataclass(frozen=True, slots=True)
class Quadrangles:
    """k quadrangles: corners (k, 4, 2) px; each side's line (k, 4); each side's start and stop as shares (k, 4, 2)."""

    corners: NDArray[np.float64]
    lines: NDArray[np.intp]
    spans: NDArray[np.float64]
    size: tuple[int, int]


def sides_of(lab: Floats) -> tuple[Sides, Sides]:
    """Return the upright and the level lines of an L*a*b* image (h, w, 3), the image's borders among them."""
    across, down = steepness(lab)
    turned = np.ascontiguousarray(lab.transpose(1, 0, 2))
    return _sides(lab, across, down), _sides(turned, np.ascontiguousarray(down.T), np.ascontiguousarray(across.T))


def _sides(lab: Floats, across: Floats, down: Floats) -> Sides:
    width = lab.shape[1]
    borders = np.array([[0, 0], [width, width]], np.float64)
    lines = np.concatenate([upright_lines(across, down), borders])
    return Sides(lines, along(lines, lab, across))


def quadrangles(upright: Sides, level: Sides, size: tuple[int, int]) -> Quadrangles:
    """Return quadrangles of an image of this (width, height): the whole, then those with most edge along them."""
    width, height = size
    x, y = crossings(upright.lines, level.lines, width, height)
    edges = [np.ascontiguousarray(s.strips.sums[:, :, 0] / (s.strips.sums.shape[1] - 1)) for s in (upright, level)]
    shares = x / width, y / height
    tall = _sides_between(edges[0], shares[1])
    wide = _sides_between(edges[1], np.ascontiguousarray(shares[0].T))
    scores, chosen = _best(*shares, tall, wide, KEPT)
    order = np.argsort(-scores, kind="stable")
    order = order[scores[order] > _NONE]
    left, right, top, bottom = np.concatenate([[_whole(upright, level)], chosen[order]]).T
    corners = np.stack(
        [np.stack([x[a, b], y[a, b]], axis=1) for a, b in ((left, top), (right, top), (right, bottom), (left, bottom))],
        axis=1,
    )
    at = corners / size
    spans = np.stack(
        [at[:, [0, 1], 0], at[:, [1, 2], 1], at[:, [3, 2], 0], at[:, [0, 3], 1]],
        axis=1,
    )
    return Quadrangles(corners, np.stack([top, right, bottom, left], axis=1), spans, size)


def _whole(upright: Sides, level: Sides) -> NDArray[np.intp]:
    """Return the borders' places among the lines: left, right, top, bottom."""
    n, m = len(upright.lines), len(level.lines)
    return np.array([n - 2, n - 1, m - 2, m - 1], np.intp)


def crossings(upright: Lines, level: Lines, width: float, height: float) -> tuple[Lines, Lines]:
    """Return x and y, both (n, m), where n upright lines meet m level ones."""
    lean = (upright[:, 1] - upright[:, 0])[:, None] / height
    rise = (level[:, 1] - level[:, 0])[None, :] / width
    x = (upright[:, :1] + lean * level[None, :, 0]) / (1 - lean * rise)
    return x, level[None, :, 0] + rise * x


@njit(cache=True, nogil=True)
def _mean(sums: NDArray[np.float64], line: int, start: float, stop: float) -> float:
    """Return the mean edge strength along a line between two shares of its way."""
    if stop - start < 1e-6:
        return 0.0
    return (_running(sums, line, stop) - _running(sums, line, start)) / (stop - start)


@njit(cache=True, nogil=True)
def _running(sums: NDArray[np.float64], line: int, share: float) -> float:
    steps = sums.shape[1] - 1
    place = min(max(share, 0.0), 1.0) * steps
    below = min(int(place), steps - 1)
    return float(sums[line, below] + (place - below) * (sums[line, below + 1] - sums[line, below]))


@njit(cache=True, nogil=True)
def _side(sums: NDArray[np.float64], line: int, start: float, stop: float) -> float:
    """Return a side's edge strength, less a part of what goes on past its ends."""
    if line >= sums.shape[0] - 2:
        return _BORDER_EDGE
    reach = _BEYOND * (stop - start)
    past = _mean(sums, line, start - reach, start) + _mean(sums, line, stop, stop + reach)
    return _mean(sums, line, start, stop) - 0.15 * past


@njit(cache=True, nogil=True)
def _sides_between(sums: NDArray[np.float64], shares: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return each line's side (n, m, m) from one crossing line to another; `shares` (n, m) says where they cross."""
    lines, crossing = shares.shape
    found = np.zeros((lines, crossing, crossing))
    for line in range(lines):
        for start in range(crossing):
            for stop in range(crossing):
                if shares[line, stop] - shares[line, start] > _SHORTEST:
                    found[line, start, stop] = _side(sums, line, shares[line, start], shares[line, stop])
    return found


@njit(cache=True, nogil=True)
def _best(
    x: NDArray[np.float64], y: NDArray[np.float64], tall: NDArray[np.float64], wide: NDArray[np.float64], count: int
) -> tuple[NDArray[np.float64], NDArray[np.intp]]:
    """Return the scores (count) and lines (count, 4: left, right, top, bottom) of the best quadrangles, unordered.

    x and y (n, m) are shares of the image's sides; `tall` (n, m, m) and `wide` (m, n, n) are sides' edges.
    """
    lines, levels = x.shape
    scores = np.full(count, _NONE)
    chosen = np.zeros((count, 4), np.intp)
    for left in range(lines):
        for right in range(lines):
            for top in range(levels):
                across = x[right, top] - x[left, top]
                if across < _SHORTEST:
                    continue
                for bottom in range(levels):
                    low = x[right, bottom] - x[left, bottom]
                    before, after = y[left, bottom] - y[left, top], y[right, bottom] - y[right, top]
                    area = (across + low) * (before + after) / 4
                    if min(low, before, after) < _SHORTEST or area < _SMALLEST or area > _LARGEST:
                        continue
                    a, b = wide[top, left, right], wide[bottom, left, right]
                    c, d = tall[left, top, bottom], tall[right, top, bottom]
                    score = a + b + c + d + 2 * min(a, b, c, d) + 0.3 * np.log(area)
                    if score > scores[0]:
                        _replace_least(scores, chosen, score, (left, right, top, bottom))
    return scores, chosen


@njit(cache=True, nogil=True)
def _replace_least(
    scores: NDArray[np.float64], chosen: NDArray[np.intp], score: float, lines: tuple[int, int, int, int]
) -> None:
    """Put a quadrangle in place of the least in a binary heap whose least comes first."""
    place, count = 0, scores.size
    while True:
        below = 2 * place + 1
        if below + 1 < count and scores[below + 1] < scores[below]:
            below += 1
        if below >= count or scores[below] >= score:
            break
        scores[place] = scores[below]
        for side in range(4):  # one by one: assigning a row takes seconds to compile
            chosen[place, side] = chosen[below, side]
        place = below
    scores[place] = score
    for side in range(4):
        chosen[place, side] = lines[side]
