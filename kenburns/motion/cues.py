"""Cue points: on which frame of a clip the view rests on a detail.

What each kind makes of its cue:

=====================  ==============================================================================================
push in, detail        the move ends on the detail on the cue, and stays there to the end of the clip
pan, tilt              the same; a pan that would set out from the detail runs the other way, towards it
tour                   the first detail at the first cue, the second at the second, and so on; the rest of the tour
                       is run in the time that is left
pull out               its detail is where it begins: it rests there through the cue and the pace's rest, then pulls out
whole, then detail     the cut is the arrival: it falls on the cue, and the detail stands still for the pace's rest
                       before the view closes in a little
=====================  ==============================================================================================

Where the photograph has no detail given, the end that the kind goes to by itself stands for it. From the cue on the
view rests for at least the pace's rest, or its tail where nothing follows. Where the speed limit does not allow the
whole way, the move is made smaller as without a cue, and rests on that frame all the same. Whatever keeps a cue from
being met in full is a note of the shot.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from .geometry import Rect
from .pacing import Pace, Part, fastest, held, largest_part, made_of, shortened, timed, too_fast
from .path import Shot, Stop
from .views import Scene, Views, closing_views, detail_views, pan_views, pull_views, push_views, tilt_views, tour_views

_WAYS: dict[str, Callable[[Scene], Views]] = {"push in": push_views, "pan": pan_views, "tilt": tilt_views}

# Adding a stop to a shot may move its other rows by a rounding error; each leg of a tour keeps so far below the limit.
_HAIR = 1e-8


def sort_cues(kind: str, cues: Sequence[int], frames: int, where: Scene) -> tuple[tuple[int, ...], tuple[str, ...]]:
    """Return the cues that a shot of this kind can meet, rising, and a note for each of the others."""
    ordered = sorted(set(cues))
    first = 0 if kind == "pull out" else 1
    met = [cue for cue in ordered if first <= cue < frames]
    most = len(where.details) if kind == "tour" else 1
    notes = [_why_not(cue, frames) for cue in ordered if not first <= cue < frames]
    return tuple(met[:most]), (*notes, *(_surplus(kind, cue, most) for cue in met[most:]))


def unheard_by_a_hold(cues: Sequence[int]) -> tuple[str, ...]:
    """Return the notes of a hold for its cues."""
    return tuple(_left_out(cue, "a hold goes to no detail") for cue in sorted(set(cues)))


def cued_shots(kind: str, where: Scene, frames: int, pace: Pace, cues: Sequence[int]) -> tuple[Shot, ...]:
    """Return the shots of a kind that has room in the scene, with cues that `sort_cues` let through, at least one."""
    if kind == "whole, then detail":
        return _cut_on(cues[0], where, frames, pace)
    if kind == "tour":
        return (_tour(where, frames, pace, cues),)
    if kind == "pull out":
        return (_with_notes(_setting_out(kind, pull_views(where), frames, cues[0], pace, where), _undirected(where)),)
    if kind == "detail":
        return (_arriving("push in", detail_views(where), 1.0, frames, cues[0], pace, where),)
    views, keep = _towards_detail(kind, where)
    return (_with_notes(_arriving(kind, views, keep, frames, cues[0], pace, where), _undirected(where)),)


def _towards_detail(kind: str, where: Scene) -> tuple[Views, float]:
    """Return the views in the order that ends at the detail, and the place on the way that is kept."""
    views = _WAYS[kind](where)
    if kind == "push in":
        return views, 0.0
    return (views[::-1], 1.0) if where.details else (views, 0.5)


def _arriving(kind: str, views: Views, keep: float, frames: int, cue: int, pace: Pace, where: Scene) -> Shot:
    """Return the move that comes to rest at its end on the cue and stays."""
    if len(views) == 1:
        return held(views[0], frames, pace)
    leave = shortened(pace.head, cue) - 1

    def make(views: Views) -> Shot:
        return Shot(kind, frames, (Stop(views[0], 0, leave), Stop(views[1], cue, frames - 1)), pace.easing)

    part = largest_part(make, views, keep, _way_to(cue, cue - leave), pace, where)
    return _with_notes(made_of(make, part, frames, pace), _short_rest(cue, frames, pace.tail))


def _setting_out(kind: str, views: Views, frames: int, cue: int, pace: Pace, where: Scene) -> Shot:
    """Return the move that rests at its start through the cue and the pace's rest, and then sets out."""
    leave = max(cue + max(pace.rest, 1), pace.head) - 1
    left = frames - 1 - leave
    if left < 1:
        why = f"{kind!r} stays where it begins: after the cue at frame {cue} and its rest no frame is left to move in"
        return held(views[0], frames, pace, (why,))
    arrive = frames - shortened(pace.tail, left)

    def make(views: Views) -> Shot:
        return Shot(kind, frames, (Stop(views[0], 0, leave), Stop(views[1], arrive, frames - 1)), pace.easing)

    what = f"the whole way in the {arrive - leave} frames after the rest at frame {cue}"
    return made_of(make, largest_part(make, views, 0.0, what, pace, where), frames, pace)


def _cut_on(cue: int, where: Scene, frames: int, pace: Pace) -> tuple[Shot, ...]:
    whole, views = held(where.whole, cue, pace), closing_views(where)
    after, rest = frames - cue, max(pace.rest, 1)
    if len(views) == 1 or after <= rest:
        return whole, held(views[0], after, pace, _short_rest(cue, frames, pace.tail))
    return whole, _setting_out("push in", views, after, 0, pace, where)


def _tour(where: Scene, frames: int, pace: Pace, cues: Sequence[int]) -> Shot:
    stops: tuple[Stop, ...] = (Stop(where.whole, 0, frames - 1),)
    notes: tuple[str, ...] = ()
    since, hold = 0, pace.head
    # Each cue belongs to the detail of its place in the list, so one as wide as the whole is not passed over here.
    for number, (cue, detail) in enumerate(zip(cues, where.details, strict=False), start=1):
        leave = since + shortened(hold, cue - since) - 1
        part = _leg(stops, detail, leave, cue, frames, pace, where)
        if number > 1:
            notes += _cut_short(number - 1, leave + 1 - since, pace.rest, cue)
        notes += tuple(f"detail {number}: {note}" for note in part.notes)
        if len(part.views) == 2:
            stops = (*_leaving(stops, leave), Stop(part.views[1], cue, frames - 1))
        since, hold = cue, pace.rest
    shot = Shot("tour", frames, stops, pace.easing, notes)
    ahead = tuple(view for view in where.details[len(cues) :] if view in tour_views(where))
    shot = _going_on(shot, ahead, since, pace, where) if ahead else shot
    shot = _with_notes(shot, _short_rest(since, frames, pace.tail)) if shot.stops[-1].arrive <= since else shot
    return shot if len(shot.stops) > 1 else replace(shot, kind="hold")


def _leg(stops: tuple[Stop, ...], detail: Rect, leave: int, cue: int, frames: int, pace: Pace, where: Scene) -> Part:
    """Return the part of the way from the last stop to a detail that the limit allows."""

    def make(views: Views) -> Shot:
        return Shot("tour", frames, (*_leaving(stops, leave), Stop(views[1], cue, frames - 1)), pace.easing)

    return largest_part(
        make, (stops[-1].rect, detail), 0.0, _way_to(cue, cue - leave), _a_hair_slower(pace), where, since=leave
    )


def _going_on(shot: Shot, ahead: Views, since: int, pace: Pace, where: Scene) -> Shot:
    """Return the tour led on from its last cue through as many of the views ahead as the frames and the limit allow."""
    left, limit = shot.frames - since, _a_hair_slower(pace).limit
    why = f"{left} frames are left after the last cue"
    for count in range(min(len(ahead), left - 1), 0, -1):
        views = (shot.stops[-1].rect, *ahead[:count])
        first, *others = timed("tour", views, left, replace(pace, head=pace.rest), where).stops
        moved = (Stop(stop.rect, since + stop.arrive, since + stop.leave) for stop in others)
        longer = replace(shot, stops=(*_leaving(shot.stops, since + first.leave), *moved))
        if first.leave + 1 < pace.rest:
            continue
        speed = fastest(longer, where, since)
        if limit is None or speed <= limit:
            return _with_notes(longer, _shows(count, ahead, why))
        why = too_fast(f"the way there in the {left} frames after the last cue", speed, limit)
    return _with_notes(shot, _shows(0, ahead, why))


def _leaving(stops: tuple[Stop, ...], leave: int) -> tuple[Stop, ...]:
    return (*stops[:-1], replace(stops[-1], leave=leave))


def _a_hair_slower(pace: Pace) -> Pace:
    return pace if pace.limit is None else replace(pace, limit=pace.limit * (1 - _HAIR))


def _with_notes(shot: Shot, notes: tuple[str, ...]) -> Shot:
    return replace(shot, notes=(*shot.notes, *notes)) if notes else shot


def _way_to(cue: int, steps: int) -> str:
    return f"the whole way in the {steps} frames before the cue at frame {cue}"


def _undirected(where: Scene) -> tuple[str, ...]:
    return (
        ()
        if where.details
        else ("no detail is given for the cue: the end that the move goes to by itself stands for it",)
    )


def _short_rest(cue: int, frames: int, wanted: int) -> tuple[str, ...]:
    left = frames - cue
    short = f"rests {left} frames from the cue at frame {cue} to the end of the clip; the pace asks for {wanted}"
    return (short,) if left < wanted else ()


def _cut_short(detail: int, rested: int, wanted: int, cue: int) -> tuple[str, ...]:
    short = (
        f"rests {rested} frames at detail {detail}, where the pace asks for {wanted}: the next cue is at frame {cue}"
    )
    return (short,) if rested < wanted else ()


def _shows(count: int, ahead: Views, why: str) -> tuple[str, ...]:
    shown = f"shows {count} of the {len(ahead)} details without a cue: {why}"
    return (shown,) if count < len(ahead) else ()


def _why_not(cue: int, frames: int) -> str:
    if cue == 0:
        return _left_out(cue, "no frame is left to move in before it")
    return _left_out(cue, f"the clip has frames 0 to {frames - 1}")


def _surplus(kind: str, cue: int, most: int) -> str:
    details = f"{most} detail{'s' * (most != 1)}"
    return _left_out(cue, f"this {kind} goes to {details}" if kind == "tour" else f"{kind!r} goes to one detail")


def _left_out(cue: int, why: str) -> str:
    return f"the cue at frame {cue} is left out: {why}"
