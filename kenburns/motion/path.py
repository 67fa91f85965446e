"""From stops to one rectangle a frame, and how fast it moves.

The 1:1 floor lives here and nowhere else: after all interpolation no row is narrower or lower than the frame, exactly.
Positions stay floats; rounding them to whole pixels makes slow moves tremble.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from .easing import easing
from .geometry import Rect, Size, around, bounds, containing, filling
from .zoom import Route, View, direct_path, zoom_path

Values = NDArray[np.float64]

# A rectangle whose height differs by less than this share from its width over the frame's aspect has that aspect.
_SAME_ASPECT = 1e-6

# At how many places a route is looked at to see whether it stays inside, and by how many pixels it may pass: a detail
# at the picture's edge touches it, and a hair of rounding there is no reason for another route.
_LOOKS = 129
_HAIR = 1e-6

# Lengths and widths that differ by less than this share are equal.
_EQUAL = 1e-9

# The only kind that may draw back on its way: a push in that first pulls out is none, and a pan keeps its scale.
_DRAWS_BACK = "tour"


@dataclass(frozen=True, slots=True)
class Stop:
    """A rectangle (source pixels) and the first and last frame at which the view rests there."""

    rect: Rect
    arrive: int
    leave: int

    def __post_init__(self) -> None:
        if not 0 <= self.arrive <= self.leave:
            raise ValueError(f"a stop's frames run up from 0 or later, not {self.arrive} to {self.leave}")


@dataclass(frozen=True, slots=True)
class Shot:
    """One move: its kind, its length in frames, the stops in order, and sentences a person should read."""

    kind: str
    frames: int
    stops: tuple[Stop, ...]
    easing: str = "sine"
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not self.stops or self.stops[0].arrive != 0 or self.stops[-1].leave != self.frames - 1:
            raise ValueError(f"the stops of a shot of {self.frames} frames run from frame 0 to {self.frames - 1}")
        if any(after.arrive <= before.leave for before, after in pairwise(self.stops)):
            raise ValueError("each stop of a shot arrives after the one before has left")


@dataclass(frozen=True, slots=True)
class _Edges:
    """The limits of where a view may lie and how wide it may be.

    The right edge is kept, not the width: left + (right - left) need not round back to it.
    """

    left: float
    top: float
    right: float
    bottom: float
    widest: float


def floored(rect: Rect, frame: Size) -> Rect:
    """Return `rect` if it has the frame's aspect and at least its size, else the nearest such rectangle around it."""
    if abs(rect.width * frame.height / frame.width - rect.height) > _SAME_ASPECT * rect.height:
        rect = containing(rect, frame)
    width = max(rect.width, float(frame.width))
    height = width * frame.height / frame.width
    return rect if (width, height) == (rect.width, rect.height) else around(rect.centre, width, frame)


def shot_path(shot: Shot, still: Size, frame: Size) -> Values:
    """Return the view at each frame as rows (frames, 4) of x, y, width, height in source pixels.

    On every row width >= frame.width, height >= frame.height and height == width * frame.height / frame.width,
    exactly, and the row lies inside the hull of the picture and all stops, exactly. At a stop's frames the row is the
    stop's rectangle (as `floored` gives it).
    """
    rects = [floored(stop.rect, frame) for stop in shot.stops]
    ease = easing(shot.easing)
    path = np.zeros((shot.frames, 4))
    for (stop, rect), (after, target) in pairwise(zip(shot.stops, rects, strict=True)):
        eased = ease(np.linspace(0.0, 1.0, after.arrive - stop.leave + 1))
        views = route(shot.kind, rect, target, still, frame).at(eased)
        path[stop.leave : after.arrive + 1] = _rows(views, frame, _edges(still, rects, frame))
    for stop, rect in zip(shot.stops, rects, strict=True):
        path[stop.arrive : stop.leave + 1] = (rect.x, rect.y, rect.width, rect.height)
    return path


def route(kind: str, start: Rect, end: Rect, still: Size, frame: Size) -> Route:
    """Return the way from one rectangle of the frame's aspect to another in a shot of this kind.

    The path of van Wijk & Nuij where it is shorter, stays inside the hull of the picture and both ends, and is nowhere
    wider than the wider end (in a tour also as wide as fits the picture); else the direct one, which always does.
    """
    direct = direct_path(_view(start), _view(end))
    zoom = zoom_path(_view(start), _view(end))
    if zoom.length >= direct.length * (1 - _EQUAL):
        return direct
    edges = _edges(still, [start, end], frame)
    views = zoom.at(np.linspace(0.0, 1.0, _LOOKS))
    widest = (edges.widest if kind == _DRAWS_BACK else max(start.width, end.width)) * (1 + _EQUAL)
    allowed = views[:, 2].max() <= widest and _stay_inside(views, edges, frame)
    return zoom if allowed else direct


def part_way(kind: str, start: Rect, end: Rect, share: float, still: Size, frame: Size) -> Rect:
    """Return the rectangle at this share, in [0, 1], of the route's length; the ends themselves at 0 and 1."""
    if share in (0, 1):
        return end if share else start
    views = route(kind, start, end, still, frame).at(np.array([share]))
    return Rect(*_rows(views, frame, _edges(still, [start, end], frame))[0].tolist())


def speeds(path: Values, frame: Size) -> Values:
    """Return how far the picture moves between neighbouring frames, (frames - 1,), in frame pixels.

    The largest Euclidean distance over the frame's four corners, as edges move faster than the centre: both how far
    what stands in a corner goes, and how far what arrives there has come.
    """
    before, after = path[:-1], path[1:]
    return np.maximum(_corner_travel(before, after, frame), _corner_travel(after, before, frame))


def speed_limit(frame: Size, rate: Fraction, seconds: float = 7.0) -> float:
    """Return the speed of one frame width in `seconds`, in frame pixels a frame. Seven seconds is common practice.

    Raises ValueError for seconds that are not above 0.
    """
    if not seconds > 0:
        raise ValueError(f"the seconds a picture takes to cross the frame are above 0, not {seconds}")
    return frame.width / (seconds * float(rate))


def _view(rect: Rect) -> View:
    return (*rect.centre, rect.width)


def _edges(still: Size, rects: list[Rect], frame: Size) -> _Edges:
    everything = [bounds(still), *rects]
    # A hair narrower than fits, so that the height worked out from the width cannot round past the picture's.
    fits = filling(bounds(still), frame).width * (1 - 1e-12)
    return _Edges(
        min(rect.x for rect in everything),
        min(rect.y for rect in everything),
        max(rect.right for rect in everything),
        max(rect.bottom for rect in everything),
        max(fits, *(rect.width for rect in rects)),
    )


def _rows(views: Values, frame: Size, edges: _Edges) -> Values:
    """Put the floor under views (n, 3) and slide them inside: rows (n, 4)."""
    width = np.clip(views[:, 2], frame.width, edges.widest)
    # Rounding never reverses an order, so width >= frame.width gives height >= frame.height to the last bit.
    height = width * frame.height / frame.width
    x = _slide(views[:, 0] - width / 2, width, edges.left, edges.right)
    y = _slide(views[:, 1] - height / 2, height, edges.top, edges.bottom)
    return np.stack([x, y, width, height], axis=1)


def _slide(start: Values, length: Values, low: float, high: float) -> Values:
    start = np.minimum(start, high - length)
    # high - length is rounded, so start + length may come out one step past high; one step back mends it.
    start = np.where(start + length > high, np.nextafter(start, -np.inf), start)
    return np.maximum(start, low)


def _stay_inside(views: Values, edges: _Edges, frame: Size) -> bool:
    cx, cy, width = views.T
    half_width, half_height = width / 2, width * frame.height / frame.width / 2
    past = (
        edges.left - (cx - half_width),
        (cx + half_width) - edges.right,
        edges.top - (cy - half_height),
        (cy + half_height) - edges.bottom,
    )
    return bool(np.max(past) <= _HAIR)


def _corner_travel(rows: Values, others: Values, frame: Size) -> Values:
    """Return how far the points in the corners of `rows` lie from those corners as seen in `others`, (n,)."""
    corners = np.array([(0, 0), (frame.width, 0), (0, frame.height), (frame.width, frame.height)], dtype=np.float64)
    scale = others[:, 2:3] / frame.width
    shift = (rows[:, :2] - others[:, :2]) / scale
    growth = rows[:, 2:3] / others[:, 2:3] - 1
    moved = shift[:, None, :] + growth[:, :, None] * corners
    farthest: Values = np.hypot(moved[..., 0], moved[..., 1]).max(axis=1)
    return farthest
