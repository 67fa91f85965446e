"""The notes of a review, as the page gets them: each at the slot that it is about."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from ..notes.laying import Laid, LaidNote
from ..plan.document import Plan


def notes_on(slot: str, notes: Laid | None) -> list[dict[str, Any]]:
    """Return the notes on a slot of the plan."""
    return [_note(note, slot) for note in notes.on(slot)] if notes else []


def stray_notes(plan: Plan, notes: Laid | None) -> list[dict[str, Any]]:
    """Return the notes that are about no slot of the plan."""
    ids = {slot.slot for slot in plan.slots}
    every = notes.notes if notes else ()
    return [_note(note, "") for note in every if ids.isdisjoint(place.slot for place in note.places)]


def note_problems(notes: Laid | None) -> Iterator[str]:
    """Yield what could not be read of the notes."""
    return (f"notes, {problem}" for problem in (notes.problems if notes else ()))


def _note(laid: LaidNote, slot: str) -> dict[str, Any]:
    """Return a note; `ticked`: the file of notes itself says that it is done, so the page cannot open it again."""
    beside = next((place.beside for place in laid.places if place.slot == slot), 0.0)
    return {
        "id": laid.note.id,
        "timecode": laid.timecode,
        "text": laid.note.text,
        "author": laid.note.author,
        "done": laid.done,
        "ticked": laid.note.done,
        "beside": beside,
        "doubts": list(laid.doubts),
    }
