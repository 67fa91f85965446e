"""Rectangles of one given size: where on a map they catch the most."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ...motion.geometry import Rect, Size
from .summed_area import Places, summed_shares

_STEPS = 160  # places tried along the longer side
_CORE = 0.5  # the inner part of a place, as a share of its sides, whose content counts twice: it centres the subject
_TIE = 1e-6
_NEARLY = 0.9  # of the best place's worth: good enough for a first place that leaves room for others
_FAIRLY = 0.5  # the same, where the places are to catch the most together
_BLOCK = 16


@dataclass(frozen=True, slots=True)
class Place:
    """A rectangle in source pixels, and the share (0 to 1) of the map's whole that lies in it."""

    rect: Rect
    score: float


def best_places(
    saliency_map: NDArray[np.float32],
    still: Size,
    area: Rect,
    size: tuple[float, float],
    count: int,
    *,
    together: bool = False,
) -> tuple[Place, ...]:
    """Return at most `count` places of one (width, height) inside `area`, best first, none overlapping another.

    Greedily the best place left each time, each well centred. Where the best of all leaves no room for the others, a
    place nearly as good is taken that does. With `together` the places need not be centred on anything, and a weaker
    first one is taken wherever all of them then catch a larger share.
    """
    grid = _graded(saliency_map, still, area, size, 0.0 if together else _CORE)
    best = _greedy(grid, count, _best(grid.worth))
    if together or len(best) < count:
        starts = _starts(grid.worth, _FAIRLY if together else _NEARLY)
        best = max([best, *(_greedy(grid, count, start) for start in starts)], key=_room_then_worth)
    return tuple(sorted((place for place, _ in best), key=lambda place: -place.score))


def room(start: float, end: float, length: float) -> tuple[float, float]:
    """Return the first and the last place where a side of this length may begin, so that it ends by `end` exactly."""
    last = end - length
    while last + length > end:  # by a rounding's width
        last = math.nextafter(last, -math.inf)
    return min(start, last), last


def spread(start: float, end: float, length: float, count: int) -> Places:
    """Return where a side may begin, `count` places evenly spread, on whole pixels where there is a pixel's room."""
    first, last = room(start, end, length)
    if math.floor(last) <= math.ceil(start):
        return np.array([first])
    return np.unique(np.linspace(math.ceil(start), math.floor(last), count).round())


@dataclass(frozen=True, slots=True)
class _Grid:
    """Every place tried: left edges, top edges, the side lengths; the share in each box and what it is worth."""

    xs: Places
    ys: Places
    size: tuple[float, float]
    score: NDArray[np.float64]
    worth: NDArray[np.float64]


_Cell = tuple[int, int]
_Found = list[tuple[Place, float]]


def _graded(
    saliency_map: NDArray[np.float32], still: Size, area: Rect, size: tuple[float, float], core: float
) -> _Grid:
    width, height = size
    xs, ys = spread(area.x, area.right, width, _STEPS), spread(area.y, area.bottom, height, _STEPS)
    table = summed_shares(saliency_map, still)
    score = table.boxes(xs, ys, size)
    worth = score + table.cores(xs, ys, size, core) - _TIE * _far(xs + width / 2, ys + height / 2, area)
    return _Grid(xs, ys, size, score, worth)


def _best(worth: NDArray[np.float64]) -> _Cell:
    row, column = np.unravel_index(np.argmax(worth), worth.shape)
    return int(row), int(column)


def _starts(worth: NDArray[np.float64], share: float) -> Iterator[_Cell]:
    """Yield the best place of every block of the grid, where it has at least this share of the best of all."""
    enough = share * worth.max()
    for row in range(0, worth.shape[0], _BLOCK):
        for column in range(0, worth.shape[1], _BLOCK):
            down, across = _best(worth[row : row + _BLOCK, column : column + _BLOCK])
            if worth[row + down, column + across] >= enough:
                yield row + down, column + across


def _room_then_worth(found: _Found) -> tuple[int, float]:
    return len(found), sum(worth for _, worth in found)


def _greedy(grid: _Grid, count: int, start: _Cell) -> _Found:
    (width, height), left, cell = grid.size, grid.worth, start
    found: _Found = []
    while len(found) < count and np.isfinite(left[cell]):
        x, y = float(grid.xs[cell[1]]), float(grid.ys[cell[0]])
        found.append((Place(Rect(x, y, width, height), float(grid.score[cell])), float(left[cell])))
        apart_x = (grid.xs >= x + width) | (grid.xs + width <= x)
        apart_y = (grid.ys >= y + height) | (grid.ys + height <= y)
        left = np.where(apart_y[:, None] | apart_x[None, :], left, -np.inf)
        cell = _best(left)
    return found


def _far(xs: Places, ys: Places, area: Rect) -> NDArray[np.float64]:
    """Return the squared distance of middles from the area's middle, in areas: between equals the middle one wins."""
    across = (xs - area.centre[0]) / area.width
    down = (ys - area.centre[1]) / area.height
    return np.asarray(down[:, None] ** 2 + across[None, :] ** 2, np.float64)
