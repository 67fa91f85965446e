"""Which version of the film each note was made on: kept, as plan.json is that of the last version only.

A note that is there when a film is made again was made on the version that stood until then.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import replace
from pathlib import Path
from typing import Literal

from pydantic import ValidationError

from ..cutlist.slots import Slot
from ..plan.document import Entry, Plan
from ..plan.recut import counterparts
from .laying import Laid, LaidNote, Place

WATCHED_FILE = "notes-plan.json"


class WatchedVersion(Entry):
    """A version of the film, and the ids of the notes that were made on it."""

    notes: tuple[str, ...]
    plan: Plan


class Watched(Entry):
    """All versions that a note was made on, the oldest first."""

    version: Literal[1] = 1
    made_by: Literal["kenburns"] = "kenburns"
    versions: tuple[WatchedVersion, ...] = ()

    @property
    def known(self) -> frozenset[str]:
        """The ids of the notes whose version is kept."""
        return frozenset(note for version in self.versions for note in version.notes)

    def with_notes(self, notes: Collection[str], plan: Plan) -> Watched:
        """Return the versions with those notes that are new made on `plan`; of notes that are gone none is kept."""
        new = tuple(note for note in notes if note not in self.known)
        there = [
            version.model_copy(update={"notes": tuple(note for note in version.notes if note in notes)})
            for version in self.versions
        ]
        versions = [*there, WatchedVersion(notes=new, plan=plan)]
        return Watched(versions=tuple(version for version in versions if version.notes))


def read_watched(out: Path) -> Watched:
    """Return what an out folder keeps; nothing where there is no such file, or none of this version."""
    try:
        return Watched.model_validate_json((out / WATCHED_FILE).read_bytes())
    except (OSError, ValidationError):
        return Watched()


def only(laid: Laid, notes: Collection[str]) -> Laid:
    """Return the notes with these ids alone."""
    return replace(laid, notes=tuple(note for note in laid.notes if note.note.id in notes))


def followed(laid: Laid, then: Plan, now: Plan) -> Laid:
    """Return notes on the version of `then` at the slots that those are now; a slot that is gone leaves its note."""
    wishes = [Slot(slot.slot, slot.start, slot.frames, slot.wanted) for slot in now.slots]
    names = {was.slot: slot for slot, was in counterparts(then.slots, wishes).items()}
    return replace(laid, notes=tuple(_followed(note, names) for note in laid.notes))


def _followed(note: LaidNote, names: dict[str, str]) -> LaidNote:
    gone = [place.slot for place in note.places if place.slot not in names]
    doubts = (*note.doubts, *(f"slot '{slot}' is no longer in the film" for slot in dict.fromkeys(gone)))
    return replace(note, places=tuple(_now(note.places, names)), doubts=doubts)


def _now(places: Iterable[Place], names: dict[str, str]) -> Iterable[Place]:
    return (replace(place, slot=names[place.slot]) for place in places if place.slot in names)
