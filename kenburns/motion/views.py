"""Which views a shot of each kind goes through: rectangles of the frame's aspect, never smaller than the frame."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from .geometry import Rect, Size, around, bounds, common, containing, filling, slide_inside
from .path import floored
from .zoom import direct_path

Views = tuple[Rect, ...]

# Below this length (metric of zoom.py) nobody sees a move: a zoom by 4 %, or a pan over 2 % of the view.
LEAST_TRAVEL = 0.03

# A cut between views more alike than this in width reads as a mistake, a jump cut (common practice).
LEAST_CUT = 1.2

# How much wider than the detail a gentle push in on it begins.
_GENTLE = 1.15


@dataclass(frozen=True, slots=True)
class Runs:
    """First and last view, in source pixels, of a pan and of a tilt along what is of interest in a picture."""

    pan: tuple[Rect, Rect]
    tilt: tuple[Rect, Rect]


@dataclass(frozen=True, slots=True)
class Scene:
    """A still in a frame: the part that is the work, and details, in source pixels. Made by `scene`.

    `depth` is how many times closer than the whole an undirected push in ends; `runs` are the ways of pan and tilt
    where nobody has chosen a detail to begin with.
    """

    still: Size
    frame: Size
    work: Rect
    details: Views
    depth: float
    runs: Runs | None = None

    @property
    def whole(self) -> Rect:
        """The view of the whole work: at least frame-sized, past the picture's edge only on the axis that asks it."""
        return _inside(floored(containing(self.work, self.frame), self.frame), self.still)

    @property
    def is_small(self) -> bool:
        """Whether the frame is larger than the photograph and hides none of it."""
        still, frame = self.still, self.frame
        return still != frame and still.width <= frame.width and still.height <= frame.height

    def view(self, centre: tuple[float, float], width: float) -> Rect:
        """Return the view of this width nearest to `centre` that keeps to the work, or else to the picture."""
        wanted = floored(around(centre, width, self.frame), self.frame)
        return _inside(slide_inside(wanted, self.work), self.still)


def scene(
    still: Size,
    details: Sequence[Rect],
    frame: Size,
    depth: float,
    work: Rect | None = None,
    runs: Runs | None = None,
) -> Scene:
    """Return the scene with every detail given the frame's aspect and size at least, and moved inside the picture."""
    usable = tuple(_inside(floored(detail, frame), still) for detail in details)
    return Scene(still, frame, _part_of(bounds(still), work), usable, depth, runs)


def travel(views: Views) -> float:
    """Return the length of the straight way through the views, in the metric of zoom.py; 0 for one view."""
    return sum(direct_path((*a.centre, a.width), (*b.centre, b.width)).length for a, b in pairwise(views))


def hold_views(where: Scene) -> Views:
    """Return the whole."""
    return (where.whole,)


def push_views(where: Scene) -> Views:
    """Return the whole and the first detail, or without one that is closer, a view `depth` times closer."""
    whole = where.whole
    nearer = where.details[:1] or (whole,)
    if not _is_closer(whole, nearer[0]):
        nearer = (where.view(nearer[0].centre, whole.width / where.depth),)
    return (whole, nearer[0]) if _is_closer(whole, nearer[0]) else (whole,)


def pull_views(where: Scene) -> Views:
    """Return the views of the push in, the other way round."""
    return push_views(where)[::-1]


def pan_size(work: Rect, frame: Size, depth: float) -> Size:
    """Return the size of a pan's views, in whole pixels, at least the frame's.

    They fill the frame where the picture allows, and leave as much of the work's width to travel over as a push in by
    `depth` would leave out.
    """
    return _sized(min(filling(work, frame).width, work.width / depth), frame)


def tilt_size(work: Rect, frame: Size, depth: float) -> Size:
    """Return the size of a tilt's views, as `pan_size` does for a pan."""
    return _sized(min(filling(work, frame).width, work.height / depth * frame.width / frame.height), frame)


def _sized(width: float, frame: Size) -> Size:
    across = max(math.floor(width), frame.width)
    return Size(across, max(round(across * frame.height / frame.width), frame.height))


def pan_views(where: Scene) -> Views:
    """Return both ends of the pan that the scene has; else of the way across the work at one scale.

    With details, from the first of them to the farther end.
    """
    if where.runs:
        return _as_views(where.runs.pan, where)
    work = where.work
    width = min(filling(work, where.frame).width, work.width / where.depth)
    x, y = _from_centre(where)
    left, right = (where.view((end, y), width) for end in (work.x, work.right))
    return _from_here(where.view((x, y), width), left, right) if where.details else (left, right)


def tilt_views(where: Scene) -> Views:
    """Return the pan's counterpart from top to bottom."""
    if where.runs:
        return _as_views(where.runs.tilt, where)
    work, frame = where.work, where.frame
    width = min(filling(work, frame).width, work.height / where.depth * frame.width / frame.height)
    x, y = _from_centre(where)
    top, bottom = (where.view((x, end), width) for end in (work.y, work.bottom))
    return _from_here(where.view((x, y), width), top, bottom) if where.details else (top, bottom)


def _as_views(way: tuple[Rect, Rect], where: Scene) -> Views:
    start, end = (_inside(floored(view, where.frame), where.still) for view in way)
    return start, end


def tour_views(where: Scene) -> Views:
    """Return the whole, then in turn the details that are closer than it."""
    whole = where.whole
    return (whole, *(detail for detail in where.details if _is_closer(whole, detail)))


def detail_views(where: Scene) -> Views:
    """Return a short way on the first detail, to be cut to from the whole; nothing if a cut would show no change.

    From a little wider onto the detail; where there is no room to begin wider, from the detail a little closer; where
    there is neither, the detail alone.
    """
    if not where.details or where.whole.width < LEAST_CUT * where.details[0].width:
        return ()
    detail = where.details[0]
    # No wider than fills the frame, unless the detail itself is: the matte belongs to the whole view.
    widest = max(filling(bounds(where.still), where.frame).width, detail.width)
    wider = _inside(around(detail.centre, min(detail.width * _GENTLE, widest), where.frame), where.still)
    return (wider, detail) if travel((wider, detail)) >= LEAST_TRAVEL else closing_views(where)


def closing_views(where: Scene) -> Views:
    """Return the way from the first detail a little closer; the detail alone where there is no room."""
    detail = where.details[0]
    closer = floored(around(detail.centre, detail.width / _GENTLE, where.frame), where.frame)
    return (detail, closer) if travel((detail, closer)) >= LEAST_TRAVEL else (detail,)


def _inside(rect: Rect, still: Size) -> Rect:
    return slide_inside(rect, bounds(still))


def _is_closer(whole: Rect, view: Rect) -> bool:
    return view.width < whole.width and travel((whole, view)) >= LEAST_TRAVEL


def _from_centre(where: Scene) -> tuple[float, float]:
    return where.details[0].centre if where.details else where.work.centre


def _from_here(here: Rect, one: Rect, other: Rect) -> Views:
    return here, max(one, other, key=lambda end: travel((here, end)))


def _part_of(picture: Rect, work: Rect | None) -> Rect:
    """Return what of `work` lies in the picture; the whole picture where nothing does."""
    return (common(work, picture) if work else None) or picture
