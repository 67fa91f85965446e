"""How a slot moves: its shots, from what is planned and what was set by hand.

Every answer follows from frozen values alone, so the answers are remembered: a film planned again after one change
works out the moves that the change touches, and no others.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from ..cutlist.slots import Slot
from ..film import SlotEdit
from ..motion.geometry import Rect, Size
from ..motion.path import speed_limit
from ..motion.set_stops import set_shots
from ..motion.shots import Pace, plan_shots, shot_kinds_for
from ..motion.views import Runs
from ..stills.open import Photograph
from .delivery import Delivery
from .document import PlannedShot
from .material import Material

_REMEMBERED = 20_000  # slots: more than a film has, for a film that is gone through again and again

possible_kinds = lru_cache(_REMEMBERED)(shot_kinds_for)
"""The kinds of shot for which a photograph has room, as `shot_kinds_for` tells them."""


def slot_shots(
    wish: Slot,
    edit: SlotEdit,
    kind: str,
    photograph: Photograph,
    details: tuple[Rect, ...],
    delivery: Delivery,
    material: Material,
) -> tuple[PlannedShot, ...]:
    """Return the shots of a slot: through the stops set by hand, or else those of a `kind`, handles included."""
    length, pace = wish.length + 2 * delivery.handles, _pace(delivery, edit)
    cues = tuple(cue + delivery.handles for cue in wish.cues)
    if edit.stops and length >= len(edit.stops):
        return _set(edit.stops, photograph.size, delivery.frame, length, pace, edit.shot or "", cues)
    work, runs = material.work(photograph.name), _runs(material, photograph, edit)
    return _planned(kind, photograph.size, details, delivery.frame, length, pace, work, cues, runs)


@lru_cache(_REMEMBERED)
def _planned(
    kind: str,
    still: Size,
    details: tuple[Rect, ...],
    frame: Size,
    frames: int,
    pace: Pace,
    work: Rect | None,
    cues: tuple[int, ...],
    runs: Runs | None,
) -> tuple[PlannedShot, ...]:
    shots = plan_shots(kind, still, details, frame, frames, pace, work, cues, runs)
    return tuple(map(PlannedShot.of, shots))


@lru_cache(_REMEMBERED)
def _set(
    views: tuple[Rect, ...], still: Size, frame: Size, frames: int, pace: Pace, kind: str, cues: tuple[int, ...]
) -> tuple[PlannedShot, ...]:
    return tuple(map(PlannedShot.of, set_shots(views, still, frame, frames, pace, kind, cues)))


def chosen_details(details: Sequence[Rect], edit: SlotEdit) -> tuple[Rect, ...]:
    """Return the details a slot visits: those chosen by number, or all as they are ranked."""
    return tuple(details[number - 1] for number in edit.details if number <= len(details)) or tuple(details)


def _runs(material: Material, photograph: Photograph, edit: SlotEdit) -> Runs | None:
    """Return the ways of pan and tilt where nobody has chosen a detail; right to left where that was asked for."""
    seen = material.seen.get(photograph.name)
    if seen is None or seen.runs is None or edit.details:
        return None
    return Runs(seen.runs.pan[::-1], seen.runs.tilt) if edit.direction == "right to left" else seen.runs


def _pace(delivery: Delivery, edit: SlotEdit) -> Pace:
    pacing, rate = delivery.pacings.get(edit.pacing or "", delivery.pacing), delivery.rate
    seconds = pacing.speed_seconds
    return Pace(
        easing=edit.easing or pacing.easing,
        head=_end_hold(edit.head, pacing.head, delivery),
        tail=_end_hold(edit.tail, pacing.tail, delivery),
        rest=round(pacing.rest * rate),
        limit=speed_limit(delivery.frame, rate, seconds) if seconds else None,
        depth=pacing.depth,
    )


def _end_hold(by_hand: float | None, usual: float, delivery: Delivery) -> int:
    """Return the frames held at an end of the clip: handles are in motion, unless a hold was asked for by hand."""
    if delivery.handles:
        return round(by_hand * delivery.rate) + delivery.handles if by_hand else 0
    return round((usual if by_hand is None else by_hand) * delivery.rate)
