"""What has changed in a film's slots since the version that was watched, and which notes that may answer."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from itertools import starmap
from typing import Any

from ..cutlist.slots import Slot
from ..plan.document import Plan, PlannedShot, PlannedSlot, PlannedWords
from ..plan.recut import counterparts
from .laying import Laid, LaidNote


@dataclass(frozen=True, slots=True)
class Change:
    """What became of one slot: its id then and now ("" for one that was or is not there), and in words what changed."""

    then: str
    now: str
    words: tuple[str, ...]

    def as_json(self) -> dict[str, Any]:
        """Return the change as JSON has it."""
        return {"then": self.then, "now": self.now, "words": list(self.words)}


@dataclass(frozen=True, slots=True)
class Answered:
    """A note, and what has changed in the slots that it is about since; nothing where they are as they were."""

    note: LaidNote
    changes: tuple[Change, ...]

    def as_json(self) -> dict[str, Any]:
        """Return the note and its changes as JSON has them."""
        return {"id": self.note.note.id, "changes": [change.as_json() for change in self.changes]}


def changes_between(then: Plan, now: Plan) -> tuple[Change, ...]:
    """Return what changed, in the order of the plan of now, then the slots that are gone.

    What every clip shares (frame, rate, codec, card look, matte, handles) is one change, of no slot.
    """
    wishes = [Slot(slot.slot, slot.start, slot.frames, slot.wanted) for slot in now.slots]
    were = counterparts(then.slots, wishes)
    known = {was.slot for was in were.values()}
    changes = [Change("", "", tuple(_of_all(then, now)))]
    changes += [_change(were.get(slot.slot), slot, then, now) for slot in now.slots]
    changes += [Change(slot.slot, "", ("taken out of the film",)) for slot in then.slots if slot.slot not in known]
    return tuple(change for change in changes if change.words)


def answers(laid: Laid, then: Plan, now: Plan) -> tuple[Answered, ...]:
    """Return each note with what changed in its slots; `laid` lies on the plan of `then`, the version watched."""
    by_slot: Mapping[str, Change] = {change.then: change for change in changes_between(then, now) if change.then}
    return tuple(
        Answered(note, tuple(by_slot[slot] for slot in _slots(note) if slot in by_slot)) for note in laid.notes
    )


def _slots(note: LaidNote) -> tuple[str, ...]:
    return tuple(dict.fromkeys(place.slot for place in note.places))


def _of_all(then: Plan, now: Plan) -> Iterator[str]:
    if then.frame != now.frame:
        yield f"{now.frame.size} px frame instead of {then.frame.size}"
    for name in ("rate", "codec", "card_look", "matte", "kernel", "handles", "shutter"):
        before, after = getattr(then, name), getattr(now, name)
        if before != after:
            yield f"{name.replace('_', ' ')} {after} instead of {before}"


def _change(was: PlannedSlot | None, slot: PlannedSlot, then: Plan, now: Plan) -> Change:
    if was is None:
        return Change("", slot.slot, ("new in the film",))
    seen = (*_of_name(was, slot), *_of_picture(was, slot), *_of_words(was, slot))
    return Change(was.slot, slot.slot, (*seen, *_of_time(was, slot, then, now), *_of_texts(was, slot)))


def _of_name(was: PlannedSlot, slot: PlannedSlot) -> Iterator[str]:
    if was.slot != slot.slot:
        yield f"called {slot.slot} instead of {was.slot}"


def _of_picture(was: PlannedSlot, slot: PlannedSlot) -> Iterator[str]:
    if was.still is None or slot.still is None:
        if slot.still is not None:
            yield f"shows '{slot.still.file}' where a card was"
        elif was.still is not None:
            yield f"a card where '{was.still.file}' was"
        return
    if was.still.file != slot.still.file:
        yield f"shows '{slot.still.file}' instead of '{was.still.file}'"
    if was.still.sha256 != slot.still.sha256 and was.still.file == slot.still.file:
        yield f"'{slot.still.file}' is another file: {slot.still.size} px, {was.still.size} before"
    elif was.still.corners != slot.still.corners:
        yield "squared up otherwise"
    yield from _of_move(was, slot)


def _of_move(was: PlannedSlot, slot: PlannedSlot) -> Iterator[str]:
    before, after = (", then ".join(shot.kind for shot in one.shots) for one in (was, slot))
    if before != after:
        yield f"{after} instead of {before}"
    elif [_views(shot) for shot in was.shots] != [_views(shot) for shot in slot.shots]:
        yield f"the {after} goes through other views"
    elif was.frames == slot.frames and not all(starmap(_is_timed_alike, zip(was.shots, slot.shots, strict=True))):
        yield f"the {after} is timed otherwise"


def _views(shot: PlannedShot) -> list[tuple[float, ...]]:
    return [(stop.x, stop.y, stop.width, stop.height) for stop in shot.stops]


def _is_timed_alike(before: PlannedShot, after: PlannedShot) -> bool:
    """Whether two shots through the same views run alike; notes are no part of what is seen."""
    return (before.frames, before.easing, before.stops) == (after.frames, after.easing, after.stops)


def _of_time(was: PlannedSlot, slot: PlannedSlot, then: Plan, now: Plan) -> Iterator[str]:
    long, before = Fraction(slot.frames) / now.exact_rate, Fraction(was.frames) / then.exact_rate
    if long != before:
        yield f"{float(long):.2f} s long instead of {float(before):.2f}"
    shift = slot.start / now.exact_rate - was.start / then.exact_rate
    if shift:
        yield f"{float(abs(shift)):.2f} s {'later' if shift > 0 else 'earlier'}"


def _of_words(was: PlannedSlot, slot: PlannedSlot) -> Iterator[str]:
    before, after = was.words, slot.words
    if (before and before.card) != (after and after.card):
        yield f"a {slot.shown_as} instead of a {was.shown_as}"
    elif before and after and _texts(before) != _texts(after):
        yield "says other words"


def _texts(words: PlannedWords) -> list[str]:
    return [text.text for screen in words.screens for text in screen.texts]


def _of_texts(was: PlannedSlot, slot: PlannedSlot) -> Iterator[str]:
    for name in ("wanted", "caption", "credit"):
        if getattr(was, name) != getattr(slot, name):
            yield f"{name} '{getattr(slot, name)}' instead of '{getattr(was, name)}'"
