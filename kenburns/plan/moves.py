"""How a slot moves: its shots, from what is planned and what was set by hand.

Every answer follows from frozen values alone, so the answers are remembered, also from run to run: a film planned again
after one change works out the moves that the change touches, and no others.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from ..cutlist.slots import Slot
from ..film import SlotEdit
from ..motion.geometry import Rect, Size
from ..motion.path import Shot, speed_limit
from ..motion.set_stops import set_shots
from ..motion.shots import Pace, plan_shots, shot_kinds_for
from ..motion.views import Runs
from ..remembered import Remembered
from ..stills.open import Photograph
from .delivery import Delivery
from .document import PlannedShot
from .material import Material


@dataclass(frozen=True, slots=True)
class Moves:
    """What is known of moves: the shots of slots, and the kinds of shot for which a photograph has room."""

    shots: Remembered[tuple[PlannedShot, ...]] = field(default_factory=Remembered)
    kinds: Remembered[tuple[str, ...]] = field(default_factory=Remembered)


def possible_kinds(
    still: Size, details: tuple[Rect, ...], work: Rect | None, delivery: Delivery, known: Moves
) -> tuple[str, ...]:
    """Return the kinds of shot for which a photograph has room, as `shot_kinds_for` tells them."""
    asked = still, details, delivery.frame, work, delivery.pacing.depth
    return known.kinds.of(asked, lambda: shot_kinds_for(*asked))


def slot_shots(
    wish: Slot,
    edit: SlotEdit,
    kind: str,
    photograph: Photograph,
    details: tuple[Rect, ...],
    delivery: Delivery,
    material: Material,
    known: Moves,
) -> tuple[PlannedShot, ...]:
    """Return the shots of a slot: through the stops set by hand, or else those of a `kind`, handles included."""
    size, frame = photograph.size, delivery.frame
    length, pace = wish.length + 2 * delivery.handles, _pace(delivery, edit)
    cues = tuple(cue + delivery.handles for cue in wish.cues)
    if edit.stops and length >= len(edit.stops):
        return _planned(set_shots(edit.stops, size, frame, length, pace, edit.shot or "", cues))
    asked = (
        kind,
        size,
        details,
        frame,
        length,
        pace,
        material.work(photograph.name),
        cues,
        _runs(material, photograph, edit),
    )
    return known.shots.of(asked, lambda: _planned(plan_shots(*asked)))


def _planned(shots: Sequence[Shot]) -> tuple[PlannedShot, ...]:
    return tuple(map(PlannedShot.of, shots))


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
