"""In which order a picture is read: where a pan starts and ends, and in what turn a tour visits its details.

Along the longest run of interest, and from left to right unless told otherwise, as most makers' public reads; what
runs down is read from the top (common practice).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ...motion.geometry import Rect, Size, slide_inside
from .places import spread
from .summed_area import SummedArea, summed_shares

DIRECTIONS = ("left to right", "right to left")

_STEPS = 160  # places tried along each side
_QUIET = 0.3  # of the densest part: less is no interest
_BRIDGED = 0.5  # of the view's length: a quiet part shorter than this does not end a run
_LEAD = 0.1  # of the view's length: the air a view keeps before the run begins and after it ends
_LEAST_WAY = 0.1  # of the view's length: a shorter way is no pan
_WANDER = 0.25  # of the view's other side: how far its ends may leave the line to follow what is there


@dataclass(frozen=True, slots=True)
class Run:
    """The views that a pan or tilt starts and ends with, in source pixels, and the part of the way that is of interest.

    `first` and `last` are the ends of the interest on the axis that the run follows, in source pixels.
    """

    start: Rect
    end: Rect
    first: float
    last: float


def pan_run(
    saliency_map: NDArray[np.float32],
    still: Size,
    area: Rect,
    size: tuple[float, float],
    direction: str = "left to right",
) -> Run:
    """Return the way across `area` along its longest run of interest, of views of one (width, height).

    `saliency_map` (h, w), values >= 0, lies over the whole `still`. Where the run leaves no way to go, the way is
    as long as the area allows; where the area allows none, both views are the same. Raises ValueError for a
    direction not in DIRECTIONS.
    """
    _check(direction)
    run = _run_across(summed_shares(saliency_map, still), area, size)
    return run if direction == DIRECTIONS[0] else Run(run.end, run.start, run.first, run.last)


def tilt_run(saliency_map: NDArray[np.float32], still: Size, area: Rect, size: tuple[float, float]) -> Run:
    """Return the way down `area` along its longest run of interest; as `pan_run`."""
    turned = summed_shares(np.ascontiguousarray(saliency_map.T), Size(still.height, still.width))
    run = _run_across(turned, _turned(area), (size[1], size[0]))
    return Run(_turned(run.start), _turned(run.end), run.first, run.last)


def reading_order(details: Sequence[Rect], direction: str = "left to right") -> tuple[int, ...]:
    """Return the order to visit details in: along the line that their middles lie nearest to.

    A line that runs more down than across is followed from the top, any other one in `direction`. Raises ValueError
    for a direction not in DIRECTIONS.
    """
    _check(direction)
    if not details:
        return ()
    middles = np.array([detail.centre for detail in details], np.float64)
    way = (middles - middles.mean(axis=0)) @ _axis(middles, direction)
    return tuple(int(index) for index in np.argsort(way.round(6), kind="stable"))


def _check(direction: str) -> None:
    if direction not in DIRECTIONS:
        raise ValueError(f"a direction is one of {', '.join(map(repr, DIRECTIONS))}, not {direction!r}")


def _axis(middles: NDArray[np.float64], direction: str) -> NDArray[np.float64]:
    """Return the unit vector of the line of least squared distance from points, (x, y), in reading direction."""
    off = middles - middles.mean(axis=0)
    axis = np.linalg.eigh(off.T @ off)[1][:, 1]
    if abs(axis[1]) > abs(axis[0]):
        return np.asarray(axis * np.sign(axis[1]), np.float64)
    return np.asarray(axis * np.sign(axis[0]) * (1 if direction == DIRECTIONS[0] else -1), np.float64)


def _run_across(interest: SummedArea, area: Rect, size: tuple[float, float]) -> Run:
    width, height = size
    top = _level(interest, area, height)
    first, last = _longest(interest, area, Rect(area.x, top, area.width, height), width)
    lead = _LEAD * width
    start, end = (_within(area, x, top, size) for x in (first - lead, last + lead - width))
    if end.x - start.x < _LEAST_WAY * width:
        start, end = (_within(area, x, top, size) for x in (area.x, area.right - width))
    return Run(_followed(interest, area, start), _followed(interest, area, end), first, last)


def _within(area: Rect, x: float, y: float, size: tuple[float, float]) -> Rect:
    return slide_inside(Rect(x, y, *map(float, size)), area)


def _level(interest: SummedArea, area: Rect, height: float) -> float:
    """Return the top of the strip across the area with most interest; the middle one of equals."""
    tops = spread(area.y, area.bottom, height, _STEPS)
    caught = interest.boxes(np.array([area.x]), tops, (area.width, height))[:, 0]
    off = np.abs(tops + height / 2 - area.centre[1]) / area.height
    return float(tops[np.argmax(caught - 1e-6 * off)])


def _longest(interest: SummedArea, area: Rect, strip: Rect, view: float) -> tuple[float, float]:
    """Return the ends of the longest stretch of the strip that is of interest, short quiet parts included."""
    step = area.width / _STEPS
    lefts = area.x + step * np.arange(_STEPS, dtype=np.float64)
    dense = interest.boxes(lefts, np.array([strip.y]), (step, strip.height))[0]
    busy = np.flatnonzero(dense > _QUIET * dense.max())
    if len(busy) == 0:
        return area.x, area.right
    parts = np.split(busy, np.flatnonzero(np.diff(busy) * step > _BRIDGED * view + step) + 1)
    longest = max(parts, key=lambda part: int(part[-1] - part[0]))
    return float(lefts[longest[0]]), float(lefts[longest[-1]] + step)


def _followed(interest: SummedArea, area: Rect, view: Rect) -> Rect:
    """Return the view moved up or down a little to where most interest is; no more than its share of the interest."""
    reach = _WANDER * view.height
    lowest, highest = max(area.y, view.y - reach), min(area.bottom, view.bottom + reach)
    tops = spread(lowest, highest, view.height, _STEPS)
    caught = interest.boxes(np.array([view.x]), tops, (view.width, view.height))[:, 0]
    best = float(tops[np.argmax(caught - 1e-6 * np.abs(tops - view.y) / view.height)])
    return slide_inside(Rect(view.x, best, view.width, view.height), area)


def _turned(rect: Rect) -> Rect:
    return Rect(rect.y, rect.x, rect.height, rect.width)
