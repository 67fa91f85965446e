"""Still, details and a length in frames -> shots.

A move that would be too fast for its slot is made smaller, not faster; a kind for which the photograph has no room
gives way to the nearest that it has room for. Either way the shot's notes say so.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import replace

from ..errors import ShotError
from .cues import cued_shots, sort_cues, unheard_by_a_hold
from .geometry import Rect, Size
from .pacing import Pace, at_most, fastest, held, timed, too_fast
from .path import Shot
from .views import (
    LEAST_TRAVEL,
    Runs,
    Scene,
    Views,
    detail_views,
    hold_views,
    pan_views,
    pull_views,
    push_views,
    scene,
    tilt_views,
    tour_views,
    travel,
)

__all__ = ["DEPTH", "KINDS", "Pace", "Shot", "parse_kind", "plan_shots", "shot_kinds_for"]

KINDS = ("hold", "push in", "pull out", "pan", "tilt", "tour", "detail", "whole, then detail")

_VIEWS: dict[str, Callable[[Scene], Views]] = {
    "hold": hold_views,
    "push in": push_views,
    "pull out": pull_views,
    "pan": pan_views,
    "tilt": tilt_views,
    "tour": tour_views,
    "detail": detail_views,
    "whole, then detail": detail_views,
}

# What stands in where a photograph has no room for a kind.
_NEAREST = {
    "push in": "hold",
    "pull out": "hold",
    "pan": "push in",
    "tilt": "push in",
    "tour": "push in",
    "detail": "push in",
    "whole, then detail": "push in",
}

# What people write, letters only and in lower case.
_SPELLINGS = {
    "hold": ("hold", "still", "static", "none"),
    "push in": ("push in", "push", "zoom in", "zoom", "in"),
    "pull out": ("pull out", "pull", "pull back", "zoom out", "out"),
    "pan": ("pan",),
    "tilt": ("tilt",),
    "tour": ("tour", "details"),
    "detail": ("detail", "on detail", "close up"),
    "whole, then detail": ("whole then detail", "whole and detail", "whole detail"),
}

_KIND_OF = {spelling: kind for kind, spellings in _SPELLINGS.items() for spelling in spellings}

# How much closer an undirected push in ends where nobody has set a pace.
DEPTH = 1.25


def parse_kind(text: str) -> str:
    """Return the kind of KINDS that a person means by `text`: "Push-In", "zoom in" and "push" are "push in".

    Raises ShotError where it is none.
    """
    kind = _KIND_OF.get(" ".join(re.findall(r"[a-z]+", text.lower())))
    if kind is None:
        raise ShotError(f"shot {text!r} is not known; use {_listed()}")
    return kind


def shot_kinds_for(
    still: Size, details: Sequence[Rect], frame: Size, work: Rect | None = None, depth: float = DEPTH
) -> tuple[str, ...]:
    """Return the kinds, in the order of KINDS, that really move here; ("hold",) where none does.

    A tour of fewer than two details is left out, as it would be a push in, and so is the detail alone, which shows
    nothing of the whole.
    """
    where = scene(still, details, frame, depth, work)
    moving = tuple(kind for kind in KINDS if kind not in ("hold", "detail") and _has_room(kind, where))
    return tuple(kind for kind in moving if kind != "tour" or len(tour_views(where)) > 2) or ("hold",)


def plan_shots(
    kind: str,
    still: Size,
    details: Sequence[Rect],
    frame: Size,
    frames: int,
    pace: Pace,
    work: Rect | None = None,
    cues: Sequence[int] = (),
    runs: Runs | None = None,
) -> tuple[Shot, ...]:
    """Return the shots of one slot; their frames sum to `frames`.

    `work` is the part of the picture that is the work, by default all of it. Details are rectangles in source pixels,
    the best first; they are brought to the frame's aspect, size and into the picture where they are not. `cues` are the
    frames of the clip on which a detail must be reached; cues.py says what each kind makes of them. `runs` are the ways
    of pan and tilt, which no cue and no chosen detail gives another.

    Raises ShotError for a kind not in KINDS and ValueError for fewer frames than one.
    """
    if kind not in KINDS:
        raise ShotError(f"shot {kind!r} is not known; use {_listed()}")
    if frames < 1:
        raise ValueError(f"a shot is 1 frame or longer, not {frames}")
    where = scene(still, details, frame, pace.depth, work, None if cues else runs)
    made = _possible(kind, where)
    if made == "hold" or frames == 1:
        notes = (*_hold_notes(kind, made, where), *unheard_by_a_hold(cues))
        return (held(where.whole, frames, pace, notes),)
    heard, unheard = sort_cues(made, cues, frames, where)
    shots = cued_shots(made, where, frames, pace, heard) if heard else _shots(made, where, frames, pace)
    notes = (*_stand_in_notes(kind, made, where), *unheard, *shots[0].notes)
    return (replace(shots[0], notes=notes), *shots[1:])


def _shots(kind: str, where: Scene, frames: int, pace: Pace) -> tuple[Shot, ...]:
    if kind == "detail":
        return (_on_detail(where, frames, pace),)
    if kind == "whole, then detail":
        return _whole_then_detail(where, frames, pace)
    views = _VIEWS[kind](where)
    if kind == "tour":
        return (_tour(views, frames, pace, where),)
    return (at_most(kind, views, _kept(kind, where), frames, pace, where),)


def _kept(kind: str, where: Scene) -> float:
    """Return the place on the way that stays when a move is made smaller: what the shot is about."""
    if kind in ("pan", "tilt"):
        return 0.0 if where.details else 0.5
    return 1.0 if kind == "pull out" else 0.0


def _whole_then_detail(where: Scene, frames: int, pace: Pace) -> tuple[Shot, ...]:
    """Return a hold on the whole for half the slot, and after the cut a gentle move on the detail."""
    first = frames // 2
    return held(where.whole, first, pace), _on_detail(where, frames - first, pace)


def _on_detail(where: Scene, frames: int, pace: Pace) -> Shot:
    """Return a gentle move on the first detail; a hold where there is no room or time to move."""
    views = detail_views(where)
    if len(views) == 1 or frames < len(views):
        return held(views[-1], frames, pace)
    return at_most("push in", views, 1.0, frames, pace, where)


def _tour(views: Views, frames: int, pace: Pace, where: Scene) -> Shot:
    """Return the tour through as many views as the frames and the limit allow; of one detail only, a part."""
    most = min(len(views), frames)
    tours = (timed("tour", views[:count], frames, pace, where) for count in range(most, 2, -1))
    shot = next((tour for tour in tours if pace.limit is None or fastest(tour, where) <= pace.limit), None)
    shot = shot or at_most("tour", views[:2], 0.0, frames, pace, where)
    shown, given = max(len(shot.stops), 2) - 1, len(views) - 1
    if shown == given:
        return shot
    why = _why_shortened(views, frames, pace, where)
    return replace(shot, notes=(f"shows the first {shown} of {given} details: {why}", *shot.notes))


def _why_shortened(views: Views, frames: int, pace: Pace, where: Scene) -> str:
    if len(views) > frames or pace.limit is None:
        return f"the slot has {frames} frames"
    speed = fastest(timed("tour", views, frames, pace, where), where)
    return too_fast(f"the whole tour in {frames} frames", speed, pace.limit)


def _possible(kind: str, where: Scene) -> str:
    while not _has_room(kind, where):
        kind = _NEAREST[kind]
    return kind


def _has_room(kind: str, where: Scene) -> bool:
    views = _VIEWS[kind](where)
    return bool(views) if kind in ("hold", "detail", "whole, then detail") else travel(views) >= LEAST_TRAVEL


def _hold_notes(kind: str, made: str, where: Scene) -> tuple[str, ...]:
    if where.is_small:
        return (f"{_pixels(where.still)} px is less than the {_pixels(where.frame)} frame: shown whole at 1:1",)
    if made != "hold":
        return (f"'hold' in place of {kind!r}: the slot is one frame long",)
    return _stand_in_notes(kind, made, where)


def _stand_in_notes(kind: str, made: str, where: Scene) -> tuple[str, ...]:
    if made == kind:
        return ()
    if kind in ("tour", "detail", "whole, then detail") and not where.details:
        return (f"{made!r} in place of {kind!r}: no detail is given",)
    room = f"{_pixels(where.still)} px leaves a {_pixels(where.frame)} frame too little room to move"
    return (f"{made!r} in place of {kind!r}: {room}",)


def _pixels(size: Size) -> str:
    return f"{size.width}×{size.height}"


def _listed() -> str:
    return ", ".join(repr(kind) for kind in KINDS)
