"""What is on screen when in the review reel: which slot's clip, from which of its frames."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from ..plan.document import PlannedSlot


@dataclass(frozen=True, slots=True)
class Span:
    """A slot on screen from frame `first` of the reel up to, not including, `end`.

    `skip` counts the slot's frames before the first that is shown, handles not counted.
    """

    slot: PlannedSlot
    first: int
    end: int
    skip: int


def spans(slots: Sequence[PlannedSlot], start: int, frames: int) -> tuple[Span, ...]:
    """Return the parts of slots that are seen in a reel of so many frames, in order, none overlapping another.

    `start` is the film frame, counted from 00:00:00:00, that the reel begins with. Where slots overlap the upper one is
    seen, as on the tracks of the timeline: placeholders lie above all else, and of a kind the one that starts later.
    """
    ends = {edge - start for slot in slots for edge in (slot.start, slot.start + slot.frames)}
    edges = sorted({0, frames, *(edge for edge in ends if 0 < edge < frames)})
    seen = (_top(slots, start, first, end) for first, end in pairwise(edges))
    return tuple(_joined(span for span in seen if span is not None))


def _top(slots: Sequence[PlannedSlot], start: int, first: int, end: int) -> Span | None:
    on_screen = [slot for slot in slots if slot.start - start <= first and end <= slot.start + slot.frames - start]
    if not on_screen:
        return None
    top = max(on_screen, key=lambda slot: (slot.placeholder, slot.start))
    return Span(top, first, end, first + start - top.start)


def _joined(parts: Iterator[Span]) -> Iterator[Span]:
    """Join neighbours of the same slot that another slot's edge beneath has parted."""
    last: Span | None = None
    for part in parts:
        if last is not None and last.slot is part.slot and last.end == part.first:
            last = replace(last, end=part.end)
            continue
        if last is not None:
            yield last
        last = part
    if last is not None:
        yield last


def left_out(slots: Sequence[PlannedSlot], start: int, frames: int) -> tuple[str, ...]:
    """Return a remark for each slot of which frames lie before the reel's first or after its last."""
    told = ((slot, *_outside(slot, start, frames)) for slot in slots)
    return tuple(
        f"slot '{slot.slot}': {_words(min(before, slot.frames), 'before', slot)}"
        if before
        else f"slot '{slot.slot}': {_words(min(after, slot.frames), 'after', slot)}"
        for slot, before, after in told
        if before or after
    )


def _outside(slot: PlannedSlot, start: int, frames: int) -> tuple[int, int]:
    return max(start - slot.start, 0), max(slot.start + slot.frames - start - frames, 0)


def _words(count: int, side: str, slot: PlannedSlot) -> str:
    how_many = "all" if count == slot.frames else f"{count} of"
    edge = "before the reel's first frame" if side == "before" else "after its last"
    return f"{how_many} its {slot.frames} frames lie {edge} and are left out"
