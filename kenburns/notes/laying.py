"""Notes laid on a plan: which still and which shot each is about."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from ..cutlist.slots import Problem
from ..motion.timebase import format_timecode, nominal
from ..plan.document import Plan, PlannedSlot
from .reading import Note, Notes
from .stamps import Span
from .times import Time

# People stop a film a little after what they mean, and type a time from memory (a choice from experience).
NEAR = 2
NEAR_UNSURE = 5
"""Seconds within which a slot is taken for a note that falls beside it."""

_HOUR = 3600


@dataclass(frozen=True, slots=True)
class Place:
    """A slot that a note is about: its still ("" for a card), the shot at that moment, counted from 1, and its kind.

    `frame` is counted from the slot's first; `beside` is the seconds by which the note falls outside, 0 within.
    """

    slot: str
    still: str
    shot: int
    shots: int
    kind: str
    frame: int
    beside: float = 0.0

    def as_json(self) -> dict[str, Any]:
        """Return the place as JSON has it."""
        return {name: getattr(self, name) for name in self.__slots__}


@dataclass(frozen=True, slots=True)
class LaidNote:
    """A note at its places; `first` and `last` (inclusive) are frames from 00:00:00:00, None where it has no time.

    `doubts` are sentences on how the time was read; `done` says that it is dealt with.
    """

    note: Note
    first: int | None
    last: int | None
    timecode: str
    places: tuple[Place, ...]
    doubts: tuple[str, ...]
    done: bool

    def as_json(self) -> dict[str, Any]:
        """Return the note as JSON has it."""
        return {
            "id": self.note.id,
            "timecode": self.timecode,
            "first": self.first,
            "last": self.last,
            "text": self.note.text,
            "author": self.note.author,
            "unsure": bool(self.note.span and self.note.span.unsure),
            "places": [place.as_json() for place in self.places],
            "doubts": list(self.doubts),
            "done": self.done,
            "line": self.note.line,
        }


@dataclass(frozen=True, slots=True)
class Laid:
    """All notes on a plan, those with a time in order of it, then the others; `start` is the film's first frame."""

    notes: tuple[LaidNote, ...]
    problems: tuple[Problem, ...]
    start: int
    remarks: tuple[str, ...] = ()

    @property
    def open(self) -> tuple[LaidNote, ...]:
        """The notes that are not done."""
        return tuple(note for note in self.notes if not note.done)

    @property
    def slots_with_open(self) -> tuple[str, ...]:
        """The slots that an open note is about, each once."""
        return tuple(dict.fromkeys(place.slot for note in self.open for place in note.places))

    def on(self, slot: str) -> tuple[LaidNote, ...]:
        """Return the notes on a slot."""
        return tuple(note for note in self.notes if any(place.slot == slot for place in note.places))

    def as_json(self) -> dict[str, Any]:
        """Return what `kenburns notes --json` prints."""
        return {
            "notes": [note.as_json() for note in self.notes],
            "open": len(self.open),
            "slots": list(self.slots_with_open),
            "problems": [str(problem) for problem in self.problems],
            "remarks": list(self.remarks),
        }


TABLE_COLUMNS = ("id", "time", "slot", "still", "shot", "note", "who", "state")


def table_rows(laid: Laid) -> tuple[tuple[str, ...], ...]:
    """Return a row of TABLE_COLUMNS for each note and each slot that it is about."""
    return tuple(row for note in laid.notes for row in _rows(note))


def lay(notes: Notes, plan: Plan, start: int | None = None, done: Collection[str] = ()) -> Laid:
    """Lay notes on the plan of the version that was watched.

    `start` is the film's first frame, counted from 00:00:00:00; None takes the whole hour before the first slot where
    that is at an hour or later, as films begin on one (common practice), else 0. `done` are ids of notes dealt with.
    """
    rate = plan.exact_rate
    first = _film_start(plan) if start is None else start
    laid = [_laid(note, plan, first, note.done or note.id in done) for note in notes.notes]
    ordered = sorted(laid, key=lambda note: (note.first is None, note.first or 0, note.note.line))
    remarks = []
    if start is None and first:
        begin = format_timecode(first, rate, drop=plan.drop)
        remarks.append(f"the film is taken to begin at {begin}; [film] start in film.toml would say it")
    return Laid(tuple(ordered), notes.problems, first, tuple(remarks))


def _film_start(plan: Plan) -> int:
    """Return the frame of the whole hour before the first slot; 0 without one, or within the first hour."""
    first = min((slot.start for slot in plan.slots), default=0)
    hour = Time("clock", Fraction(_HOUR))
    hours = next((n for n in range(99) if _label(Time("clock", hour.seconds * (n + 1)), plan) > first), 0)
    return _label(Time("clock", hour.seconds * hours), plan)


def _label(time: Time, plan: Plan) -> int:
    return time.as_label(plan.exact_rate, time.drop or plan.drop)


def _laid(note: Note, plan: Plan, start: int, done: bool) -> LaidNote:
    if note.span is None:
        named = _named(note, plan)
        places = () if named is None else (_place(named, named.start, plan),)
        return LaidNote(note, None, None, "", places, (), done)
    first, doubts = _resolved(note.span.first, plan, start)
    last = first if note.span.last is None else max(_resolved(note.span.last, plan, start)[0], first)
    said = tuple(filter(None, (note.span.doubt, *doubts)))
    timecode = _timecode(first, plan) + (f" - {_timecode(last, plan)}" if last > first else "")
    return LaidNote(note, first, last, timecode, _places(note, note.span, first, last, plan), said, done)


def _timecode(frame: int, plan: Plan) -> str:
    try:
        return format_timecode(frame, plan.exact_rate, drop=plan.drop)
    except ValueError:  # later than 99 hours, as a sum of two times can be
        return f"frame {frame}"


def _resolved(time: Time, plan: Plan, start: int) -> tuple[int, tuple[str, ...]]:
    """Return the frame from 00:00:00:00 that a time means, and what is uncertain about that.

    A time no earlier than the film's first timecode is read off the picture, an earlier one off a player's clock. Where
    neither lies in the film, and the same numbers as minutes, seconds and frames do, they are meant.
    """
    end = max((slot.start + slot.frames for slot in plan.slots), default=start)
    frame, doubts = _as_one(time, plan, start, end)
    if frame >= end and time.other is not None:
        other, others = _as_one(time.other, plan, start, end)
        if start <= other < end:
            return other, ("read as minutes, seconds and frames: as hours it is after the film", *others)
    return frame, doubts


def _as_one(time: Time, plan: Plan, start: int, end: int) -> tuple[int, tuple[str, ...]]:
    rate, drop = plan.exact_rate, time.drop or (plan.drop and time.form != "frames")
    elapsed = start + time.as_elapsed(rate, drop)
    label = time.as_label(rate, drop)
    if start == 0 or label < start:
        return elapsed, ()
    after = f"as time from the film's beginning it would be {_timecode(elapsed, plan)}"
    return label, ((f"read as timecode; {after}",) if elapsed < end else ())


def _named(note: Note, plan: Plan) -> PlannedSlot | None:
    """Return the slot that a note without a time names, in its own column or at its head ("slot 07: ...")."""
    words = note.text.replace(":", " ").split()
    said = note.slot or (words[1].strip("'\".,") if len(words) > 1 and words[0].casefold() == "slot" else "")
    wanted = said.strip().casefold()
    return next((slot for slot in plan.slots if wanted and slot.slot.casefold() == wanted), None)


def _places(note: Note, span: Span, first: int, last: int, plan: Plan) -> tuple[Place, ...]:
    """Return the slots that a stretch touches, or else the nearest one within a few seconds."""
    named = _named(note, plan) if note.slot else None
    hit = [slot for slot in plan.slots if slot.start <= last and first < slot.start + slot.frames]
    if named is not None:
        hit = [named]
    if hit:
        return tuple(_place(slot, max(first, slot.start), plan) for slot in hit)
    reach = (NEAR_UNSURE if span.unsure else NEAR) * nominal(plan.exact_rate)
    near = min(plan.slots, key=lambda slot: _beside(slot, first, last), default=None)
    return () if near is None or _beside(near, first, last) > reach else (_place(near, first, plan, last),)


def _beside(slot: PlannedSlot, first: int, last: int) -> int:
    """Return by how many frames a stretch misses a slot, 0 where it touches it."""
    return max(slot.start - last, first - (slot.start + slot.frames - 1), 0)


def _place(slot: PlannedSlot, frame: int, plan: Plan, last: int | None = None) -> Place:
    beside = _beside(slot, frame, frame if last is None else last)
    at = min(max(frame - slot.start, 0), slot.frames - 1)
    number = _shot_at(slot, at + plan.handles)
    kind = slot.shots[number - 1].kind if slot.shots else slot.shown_as if slot.words else ""
    still = slot.still.file if slot.still else ""
    return Place(slot.slot, still, number, len(slot.shots), kind, at, round(float(beside / plan.exact_rate), 3))


def _shot_at(slot: PlannedSlot, frame: int) -> int:
    """Return the shot, counted from 1, that a frame of the clip with its handles is in; 0 for a card."""
    end = 0
    for number, shot in enumerate(slot.shots, start=1):
        end += shot.frames
        if frame < end:
            return number
    return len(slot.shots)


def _rows(laid: LaidNote) -> Iterator[tuple[str, ...]]:
    places: Sequence[Place | None] = laid.places or (None,)
    unsure = "?" if laid.note.span and laid.note.span.unsure else ""
    state = "done" if laid.done else "open"
    for place in places:
        slot, still, shot = ("", "", "") if place is None else (place.slot, place.still or "card", _shot(place))
        yield laid.note.id, laid.timecode + unsure, slot, still, shot, laid.note.text, laid.note.author, state


def _shot(place: Place) -> str:
    number = f" {place.shot} of {place.shots}" if place.shots > 1 else ""
    beside = f", {place.beside:.1f} s beside it" if place.beside else ""
    return f"{place.kind}{number}{beside}".lstrip(", ")
