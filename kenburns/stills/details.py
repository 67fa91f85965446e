"""A map to ranked rectangles: which parts of a picture are worth going close to."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..motion.geometry import Rect, Size, bounds, filling

CLOSER = 2.5  # how much closer than the picture's fill view a detail is, pixels allowing
LEAST_CLOSER = 1.05  # a detail hardly smaller than the fill view is no detail

_STEPS = 160  # places tried along the longer side
_CORE = 0.5  # the inner part of a detail, as a share of its sides, whose content counts twice: it centres the subject
_TIE = 1e-6
_NEARLY = 0.9  # of the best place's worth: good enough for a first detail that leaves room for others
_BLOCK = 16


@dataclass(frozen=True, slots=True)
class Detail:
    """A rectangle in source pixels, and the share (0 to 1) of the map's whole that lies in it."""

    rect: Rect
    score: float


def propose_details(
    saliency_map: NDArray[np.float32],
    still: Size,
    frame: Size,
    count: int = 3,
    *,
    work: Rect | None = None,
    least: float = 1.0,
) -> tuple[Detail, ...]:
    """Return at most `count` details, best first, none overlapping another.

    `saliency_map` (shape (h, w), values >= 0) lies over the whole still, at any resolution. Every rectangle has the
    frame's aspect, is inside `work` (default: the whole picture) and at least `least` frames wide in source pixels,
    so that at `least` = 1 it fills the frame at 1:1. Too few pixels give fewer details, or none. Raises ValueError
    for an empty or negative map, `count` < 0 or `least` < 1.
    """
    _check(saliency_map, count, least)
    area = bounds(still) if work is None else _common(work, bounds(still))
    if area is None:
        return ()
    fill = filling(area, frame).width
    width = math.ceil(max(frame.width * least, fill / CLOSER))
    if fill < width * LEAST_CLOSER:
        return ()
    return best_places(saliency_map, still, area, (width, width * frame.height / frame.width), count)


def _check(saliency_map: NDArray[np.float32], count: int, least: float) -> None:
    if saliency_map.ndim != 2 or saliency_map.size == 0 or not saliency_map.min() >= 0:
        raise ValueError(f"the map needs shape (h, w) and no value below 0, not shape {saliency_map.shape}")
    if count < 0 or least < 1:
        raise ValueError(f"count is at least 0 and least at least 1, not {count} and {least}")


def _common(a: Rect, b: Rect) -> Rect | None:
    x, y = max(a.x, b.x), max(a.y, b.y)
    width, height = min(a.right, b.right) - x, min(a.bottom, b.bottom) - y
    return Rect(x, y, width, height) if width > 0 and height > 0 else None


def best_places(
    saliency_map: NDArray[np.float32], still: Size, area: Rect, size: tuple[float, float], count: int
) -> tuple[Detail, ...]:
    """Return at most `count` details of one (width, height) inside `area`, best first, none overlapping another.

    Greedily the best place left each time. Where the best of all leaves no room for the others, a place nearly as
    good is taken that does.
    """
    grid = _graded(saliency_map, still, area, size)
    best = _greedy(grid, count, _best(grid.worth))
    if len(best) < count:
        best = max([best, *(_greedy(grid, count, start) for start in _starts(grid.worth))], key=_room_then_worth)
    return tuple(sorted((detail for detail, _ in best), key=lambda detail: -detail.score))


@dataclass(frozen=True, slots=True)
class _Grid:
    """Every place tried: left edges, top edges, the side lengths; the share in each box and what it is worth."""

    xs: NDArray[np.float64]
    ys: NDArray[np.float64]
    size: tuple[float, float]
    score: NDArray[np.float64]
    worth: NDArray[np.float64]


_Place = tuple[int, int]
_Found = list[tuple[Detail, float]]


def _graded(saliency_map: NDArray[np.float32], still: Size, area: Rect, size: tuple[float, float]) -> _Grid:
    width, height = size
    xs, ys = _places(area.x, area.right, width), _places(area.y, area.bottom, height)
    table = _summed(saliency_map)
    score = _box_sums(table, still, (xs, xs + width), (ys, ys + height))
    core = _core_sums(table, still, xs, ys, size)
    return _Grid(xs, ys, size, score, score + core - _TIE * _far(xs + width / 2, ys + height / 2, area))


def _best(worth: NDArray[np.float64]) -> _Place:
    row, column = np.unravel_index(np.argmax(worth), worth.shape)
    return int(row), int(column)


def _starts(worth: NDArray[np.float64]) -> Iterator[_Place]:
    """Yield the best place of every block of the grid, where it is nearly as good as the best of all."""
    enough = _NEARLY * worth.max()
    for row in range(0, worth.shape[0], _BLOCK):
        for column in range(0, worth.shape[1], _BLOCK):
            down, across = _best(worth[row : row + _BLOCK, column : column + _BLOCK])
            if worth[row + down, column + across] >= enough:
                yield row + down, column + across


def _room_then_worth(found: _Found) -> tuple[int, float]:
    return len(found), sum(worth for _, worth in found)


def _greedy(grid: _Grid, count: int, start: _Place) -> _Found:
    (width, height), left, place = grid.size, grid.worth, start
    found: _Found = []
    while len(found) < count and np.isfinite(left[place]):
        x, y = float(grid.xs[place[1]]), float(grid.ys[place[0]])
        found.append((Detail(Rect(x, y, width, height), float(grid.score[place])), float(left[place])))
        apart_x = (grid.xs >= x + width) | (grid.xs + width <= x)
        apart_y = (grid.ys >= y + height) | (grid.ys + height <= y)
        left = np.where(apart_y[:, None] | apart_x[None, :], left, -np.inf)
        place = _best(left)
    return found


def _places(start: float, end: float, length: float) -> NDArray[np.float64]:
    """Return where a side of this length may begin, evenly spread, on whole pixels where there is a pixel's room."""
    last = end - length
    while last + length > end:  # by a rounding's width
        last = math.nextafter(last, -math.inf)
    if math.floor(last) <= math.ceil(start):
        return np.array([min(start, last)])
    return np.unique(np.linspace(math.ceil(start), math.floor(last), _STEPS).round())


def _summed(saliency_map: NDArray[np.float32]) -> NDArray[np.float64]:
    """Return the summed-area table (Crow, SIGGRAPH 1984), shape (h + 1, w + 1), of the map scaled to a sum of 1."""
    values = saliency_map.astype(np.float64)
    if values.sum() <= 0:
        values = np.ones_like(values)
    sums = np.cumsum(np.cumsum(values / values.sum(), axis=0), axis=1)
    return np.pad(sums, ((1, 0), (1, 0)))


def _box_sums(
    table: NDArray[np.float64],
    still: Size,
    across: tuple[NDArray[np.float64], NDArray[np.float64]],
    down: tuple[NDArray[np.float64], NDArray[np.float64]],
) -> NDArray[np.float64]:
    """Return the map's share in every box, shape (places down, places across), exact between samples too."""
    rows = _between(table, down[1], still.height) - _between(table, down[0], still.height)
    return (_between(rows.T, across[1], still.width) - _between(rows.T, across[0], still.width)).T


def _between(table: NDArray[np.float64], places: NDArray[np.float64], length: int) -> NDArray[np.float64]:
    """Return the table's rows at source positions, linear between its own: what a sum over a part of a cell is."""
    at = np.clip(places / length, 0, 1) * (len(table) - 1)
    low = np.minimum(at.astype(np.intp), len(table) - 2)
    share = (at - low)[:, None]
    return np.asarray(table[low] * (1 - share) + table[low + 1] * share, np.float64)


def _core_sums(
    table: NDArray[np.float64],
    still: Size,
    xs: NDArray[np.float64],
    ys: NDArray[np.float64],
    size: tuple[float, float],
) -> NDArray[np.float64]:
    margin_x, margin_y = (side * (1 - _CORE) / 2 for side in size)
    return _box_sums(
        table,
        still,
        (xs + margin_x, xs + size[0] - margin_x),
        (ys + margin_y, ys + size[1] - margin_y),
    )


def _far(xs: NDArray[np.float64], ys: NDArray[np.float64], area: Rect) -> NDArray[np.float64]:
    """Return the squared distance of middles from the area's middle, in areas: between equals the middle one wins."""
    across = (xs - area.centre[0]) / area.width
    down = (ys - area.centre[1]) / area.height
    return down[:, None] ** 2 + across[None, :] ** 2
