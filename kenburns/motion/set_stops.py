"""Shots through views that a person has set: they are kept as they are, also where the move runs fast, and say so."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from .geometry import Rect, Size
from .pacing import Pace, fastest, held, shortened, timed, too_fast
from .path import Shot, Stop, floored
from .views import Scene, Views, scene

CUT = "whole, then detail"

_SAME_WIDTH = 1.02  # two views nearer in width than this are one scale: a pan or a tilt


def set_shots(
    views: Sequence[Rect], still: Size, frame: Size, frames: int, pace: Pace, kind: str = "", cues: Sequence[int] = ()
) -> tuple[Shot, ...]:
    """Return the shots of one slot through `views` (source pixels, at least one); their frames sum to `frames`.

    Every view is kept to the last digit but for the frame's aspect and the 1:1 floor. `kind` is what a person calls the
    move; "whole, then detail" cuts between the first view and the last. The second view is reached on the first of
    `cues` (frames of the clip), the third on the second, and so on; the rest is run in the time that is left.
    ValueError for no view, or fewer frames than views.
    """
    if not views or frames < len(views):
        raise ValueError(f"{frames} frames hold 1 to {frames} views, not {len(views)}")
    where = scene(still, (), frame, pace.depth)
    fitted = tuple(floored(view, frame) for view in views)
    heard = _heard(cues, len(fitted), frames)
    if kind == CUT and len(fitted) > 1:
        return _cut(fitted, frames, heard, pace)
    if len(fitted) == 1:
        return (held(fitted[0], frames, pace),)
    made = kind if kind in _MOVES else kind_of(fitted)
    shot = _cued(made, fitted, frames, heard, pace, where) if heard else timed(made, fitted, frames, pace, where)
    return (replace(shot, notes=_fast(shot, frames, pace, where)),)


_MOVES = ("push in", "pull out", "pan", "tilt", "tour")


def kind_of(views: Sequence[Rect]) -> str:
    """Return what a move through views is called in the trade."""
    if len(views) == 1:
        return "hold"
    if len(views) > 2:
        return "tour"
    first, last = views
    if first.width > last.width * _SAME_WIDTH:
        return "push in"
    if last.width > first.width * _SAME_WIDTH:
        return "pull out"
    across, down = (abs(b - a) for a, b in zip(first.centre, last.centre, strict=True))
    return "pan" if across >= down else "tilt"


def _heard(cues: Sequence[int], views: int, frames: int) -> tuple[int, ...]:
    """Return the cues that leave every view a frame: rising, one a view but the first, with room for those after."""
    rising = [cue for cue in sorted(set(cues)) if 0 < cue < frames][: views - 1]
    left = views - 1 - len(rising)
    return tuple(rising) if not rising or frames - 1 - rising[-1] >= left else ()


def _cut(views: Views, frames: int, cues: Sequence[int], pace: Pace) -> tuple[Shot, ...]:
    first = cues[0] if cues else frames // 2
    return held(views[0], first, pace), held(views[-1], frames - first, pace)


def _cued(kind: str, views: Views, frames: int, cues: Sequence[int], pace: Pace, where: Scene) -> Shot:
    stops, since, hold = [Stop(views[0], 0, frames - 1)], 0, pace.head
    for view, cue in zip(views[1:], cues, strict=False):
        leave = since + shortened(hold, cue - since) - 1
        stops[-1] = replace(stops[-1], leave=leave)
        stops.append(Stop(view, cue, frames - 1))
        since, hold = cue, pace.rest
    ahead = views[len(cues) :]
    if len(ahead) > 1:
        rest = timed(kind, ahead, frames - since, replace(pace, head=pace.rest), where)
        stops[-1:] = [Stop(stop.rect, since + stop.arrive, since + stop.leave) for stop in rest.stops]
    return Shot(kind, frames, tuple(stops), pace.easing)


def _fast(shot: Shot, frames: int, pace: Pace, where: Scene) -> tuple[str, ...]:
    speed = fastest(shot, where)
    if pace.limit is None or speed <= pace.limit:
        return ()
    return (f"set by hand, and fast: {too_fast(f'the way in {frames} frames', speed, pace.limit)}",)
