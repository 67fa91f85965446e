"""The places and sizes a detail may have: an even grid of them, and some made for a subject."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from ...motion.geometry import Rect, Size, around, filling, slide_inside
from .places import room, spread
from .wholeness import Boxes, boxes, head_of, joined

LEAST_CLOSER = 1.05  # a detail hardly smaller than the fill view is no detail

_MOST_WIDTHS = 10
_STEP = 1.22  # from one width to the next, at least
_STRIDE = 1 / 10  # of a detail's side, from one place to the next
EYES_IN_FACE = 0.4  # where the eyes are, from the top of a detector's box (from memory)
EYES_IN_VIEW = 1 / 3  # where they are put: on the upper third (common practice)
_HEADS = (0.62, 0.42)  # a head's share of the view's height: a close portrait, and one with air
_LINES = (0.7, 0.45)  # a line of writing's share of the view's width


def ladder(area: Rect, frame: Size, least: float) -> tuple[int, ...]:
    """Return the widths tried, in whole source px, narrowest first; none where `area` bears no detail."""
    narrowest, widest = math.ceil(frame.width * least), math.floor(filling(area, frame).width / LEAST_CLOSER)
    if widest < narrowest:
        return ()
    steps = min(_MOST_WIDTHS - 1, math.floor(math.log(widest / narrowest) / math.log(_STEP)))
    return tuple(sorted({round(w) for w in np.geomspace(narrowest, widest, max(2, steps + 1))}))


def on_grid(area: Rect, frame: Size, widths: Sequence[int]) -> Boxes:
    """Return places of every width spread evenly over `area`."""
    return joined([_grid(*_spread(area, width, frame), width, frame) for width in widths])


def aligned(area: Rect, frame: Size, width: int, wholes: Sequence[Rect]) -> Boxes:
    """Return places of one width whose edges touch those of `wholes` or of `area`.

    If any place of this width in `area` cuts none of `wholes`, one of these does not: slide it left until the area
    or a whole stops it, then up.
    """
    height = width * frame.height / frame.width
    xs = _touching(area.x, area.right, width, [(w.x, w.right) for w in wholes])
    ys = _touching(area.y, area.bottom, height, [(w.y, w.bottom) for w in wholes])
    return _grid(xs, ys, width, frame)


def on_subjects(
    area: Rect, frame: Size, widths: Sequence[int], faces: Sequence[Rect], writing: Sequence[Rect]
) -> Boxes:
    """Return places made for each face, heads whole and eyes on the upper third, and for each line of writing."""
    views = [*_portraits(area, frame, widths, faces), *_inscriptions(frame, widths, writing)]
    return boxes([_placed(view, area) for view in views])


def _portraits(area: Rect, frame: Size, widths: Sequence[int], faces: Sequence[Rect]) -> Iterator[Rect]:
    for face in faces:
        head = head_of(face, area)
        for share in _HEADS:
            width = _fitted(max(head.height / share * frame.width / frame.height, head.width), widths)
            height = width * frame.height / frame.width
            top = face.y + EYES_IN_FACE * face.height - EYES_IN_VIEW * height
            # A head larger than planned for is kept whole before its eyes are put in place.
            top = min(max(top, head.bottom - height), head.y)
            yield Rect(face.centre[0] - width / 2, top, width, height)


def _inscriptions(frame: Size, widths: Sequence[int], writing: Sequence[Rect]) -> Iterator[Rect]:
    for line in writing:
        for share in _LINES:
            width = _fitted(max(line.width, line.height * frame.width / frame.height) / share, widths)
            yield around(line.centre, width, frame)


def _fitted(wanted: float, widths: Sequence[int]) -> int:
    return min(max(math.ceil(wanted), widths[0]), widths[-1])


def _placed(view: Rect, area: Rect) -> Rect:
    """Return the view moved into `area`, on whole pixels where there is a pixel's room."""
    moved = slide_inside(view, area)
    x = _whole_pixel(moved.x, *room(area.x, area.right, view.width))
    return Rect(x, _whole_pixel(moved.y, *room(area.y, area.bottom, view.height)), view.width, view.height)


def _whole_pixel(place: float, first: float, last: float) -> float:
    if math.floor(last) <= math.ceil(first):
        return first
    return float(min(max(round(place), math.ceil(first)), math.floor(last)))


def _spread(area: Rect, width: int, frame: Size) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    height = width * frame.height / frame.width
    across, down = ((area.width - width) / width, (area.height - height) / height)
    xs, ys = (math.ceil(free / _STRIDE) + 1 for free in (across, down))
    return spread(area.x, area.right, width, xs), spread(area.y, area.bottom, height, ys)


def _grid(xs: NDArray[np.float64], ys: NDArray[np.float64], width: int, frame: Size) -> Boxes:
    x, y = (axis.ravel() for axis in np.meshgrid(xs, ys))
    height = width * frame.height / frame.width
    return Boxes(x, y, np.full(len(x), float(width)), np.full(len(x), height))


def _touching(start: float, end: float, length: float, wholes: Sequence[tuple[float, float]]) -> NDArray[np.float64]:
    """Return where a side may begin so that one of its ends touches an end of a whole, or of the area."""
    first, last = room(start, end, length)
    ends = [edge for whole in wholes for edge in whole]
    touching = [first, last, *ends, *(edge - length for edge in ends)]
    return np.unique([place for place in touching if first <= place <= last])
