"""Markers as slots, as cue points of the slots they fall in, or as notes on them."""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from ..slots import Problem, Slot, shown
from .file import label
from .place import Clock
from .slots import Draft, marker_text
from .walk import Marked, Placed

AS = ("slots", "cues", "notes")
"""What markers can be read as."""

_LOOK_BACK = 50  # slots that begin before a marker and may still reach it

_Found = TypeVar("_Found")


@dataclass(frozen=True, slots=True)
class Home:
    """Where markers belong: the drafts, in the order of time, and which of them each clip became."""

    drafts: Sequence[Draft]
    clips: Mapping[Placed, int]

    def of(self, marked: Marked, frame: int) -> int | None:
        """Return the place of the slot that a marker is on, or in whose frames it falls; None where there is none."""
        if marked.on is not None and marked.on in self.clips:
            return self.clips[marked.on]
        after = bisect_right(self.drafts, frame, key=lambda draft: draft.span.start)
        inside = [place for place in range(max(after - _LOOK_BACK, 0), after) if frame < self.drafts[place].span.end]
        # Where a transition lays two slots over each other, the cut decides.
        cut = [place for place in inside if frame >= self.drafts[place].cuts.start]
        return max(cut or inside, default=None)


def has_length(marked: Marked, clock: Clock) -> bool:
    """Whether a marker is more than a point: one frame is how edit suites write a point (common practice)."""
    return clock.span(marked.range).length > 1


def with_cues(
    slots: Sequence[Slot], markers: Iterable[Marked], home: Home, clock: Clock
) -> tuple[tuple[Slot, ...], list[Problem]]:
    """Return the slots with a cue point wherever a marker begins in one, and a problem for each marker in none."""
    cues: dict[int, set[int]] = defaultdict(set)
    problems = []
    for marked in markers:
        frame = clock.span(marked.range).start
        place = home.of(marked, frame)
        if place is not None and slots[place].start <= frame < slots[place].end:
            cues[place].add(frame - slots[place].start)
        else:
            problems.append(_homeless(marked, clock))
    return _changed(slots, cues, lambda slot, found: replace(slot, cues=tuple(sorted(found)))), problems


def with_notes(
    slots: Sequence[Slot], markers: Iterable[Marked], home: Home, clock: Clock
) -> tuple[tuple[Slot, ...], list[Problem]]:
    """Return the slots with what the markers in them say as notes, and a problem for each marker in none."""
    notes: dict[int, list[str]] = defaultdict(list)
    problems = []
    for marked in markers:
        place = home.of(marked, clock.span(marked.range).start)
        if place is None:
            problems.append(_homeless(marked, clock))
        elif marker_text(marked.marker):
            notes[place].append(marker_text(marked.marker))
        else:
            problems.append(Problem(0, "", f"a marker in slot {shown(slots[place].id)} says nothing; it is left out"))
    return _changed(
        slots, notes, lambda slot, found: replace(slot, note="; ".join([slot.note] * bool(slot.note) + found))
    ), problems


def not_a_slot(marked: Marked, clips: Collection[Placed], clock: Clock) -> str:
    """Say why a marker can be no slot where markers are read as slots; "" where it can."""
    if not has_length(marked, clock):
        return f"{_at(marked, clock)} has no length; read markers as cues or notes, or give it one"
    if marked.on in clips:
        return f"{_at(marked, clock)} is on a clip that is a slot already; read markers as cues or notes"
    return ""


def _changed(
    slots: Sequence[Slot], found: Mapping[int, _Found], change: Callable[[Slot, _Found], Slot]
) -> tuple[Slot, ...]:
    return tuple(change(slot, found[place]) if place in found else slot for place, slot in enumerate(slots))


def _homeless(marked: Marked, clock: Clock) -> Problem:
    return Problem(0, "", f"{label(marked.marker)} {_at(marked, clock)} falls in no slot; it is left out")


def _at(marked: Marked, clock: Clock) -> str:
    return f"at {clock.timecode(clock.span(marked.range).start)}"
