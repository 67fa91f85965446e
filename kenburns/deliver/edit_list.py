"""stills.edl, cards.edl: one edit decision list a track, so that the clips can be conformed to their places.

The common event form (in the tradition of SMPTE ST 258; field widths are common practice). A clip carries the record
timecode that its slot had when it was made: so its source in is its record in, until the slot moves. Each clip has a
reel of its own, so that it is found by reel and timecode as well as by file name.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from ..motion.timebase import format_timecode, parse_timecode
from ..plan.document import Plan, PlannedSlot
from ..plan.labels import REEL_LENGTH, Begins, first_frame, reel_name

STILLS, CARDS = "stills.edl", "cards.edl"
_LONGEST_TEXT = 400  # characters of a comment; readers of old cut longer lines off


@dataclass(frozen=True, slots=True)
class ListEntry:
    """A clip at its place: first frame counted from 00:00:00:00, and length at least 1, both without handles.

    source is the frame of the clip's own timecode at which the slot begins, by default the same as start. reel has at
    most 8 of A-Z, 0-9 and _; comment and markers are texts for people.
    """

    reel: str
    file: str
    start: int
    frames: int
    comment: str = ""
    markers: tuple[str, ...] = ()
    source: int | None = None

    @property
    def end(self) -> int:
        """First frame after the clip, its record out."""
        return self.start + self.frames


def edit_list_text(title: str, entries: Iterable[ListEntry], rate: Fraction, drop: bool) -> str:
    """Return a list of the entries in the order of their starts, at a rate in frames per second.

    All are on track V but those that begin while another still runs: they are on V2, V3 ..., the first that is free.
    ValueError where drop-frame does not exist at the rate, and for times past 99 hours.
    """
    ordered = sorted(entries, key=lambda entry: (entry.start, entry.end))
    lines = [f"TITLE: {_one_line(title)}", f"FCM: {'DROP FRAME' if drop else 'NON-DROP FRAME'}", ""]
    for number, (entry, track) in enumerate(zip(ordered, _tracks(ordered), strict=True), 1):
        lines += _event(number, entry, track, rate, drop)
    return "\n".join([*lines, ""])


def film_edit_lists(plan: Plan, begins: Begins | None = None) -> dict[str, str]:
    """Return the texts of a film's lists by file name: the stills' and the cards'; one without clips has no events.

    Words on screen are finished, and on the list of stills.
    `begins`: where the files that stand begin; without it, where they would if made now.
    """
    words = {STILLS: "stills", CARDS: "cards"}
    return {
        name: edit_list_text(f"{plan.title} - {kind}", _entries(plan, name, begins), plan.exact_rate, plan.drop)
        for name, kind in words.items()
    }


def _entries(plan: Plan, name: str, begins: Begins | None) -> Iterator[ListEntry]:
    return (_entry(slot, plan, begins) for slot in plan.slots if slot.placeholder == (name == CARDS))


def _entry(slot: PlannedSlot, plan: Plan, begins: Begins | None) -> ListEntry:
    day = parse_timecode("24:00:00:00", plan.exact_rate, drop=plan.drop)
    begin = (first_frame(slot, plan, begins) + plan.handles) % day
    source = None if begin == slot.start % day else begin
    return ListEntry(reel_name(slot.slot), slot.file, slot.start, slot.frames, slot.wanted, slot.flags, source)


def _tracks(ordered: Sequence[ListEntry]) -> Iterator[str]:
    """Yield for each entry, sorted by start, the first track on which nothing runs any more."""
    ends: list[int] = []
    for entry in ordered:
        free = next((track for track, end in enumerate(ends) if end <= entry.start), len(ends))
        ends[free : free + 1] = [entry.end]
        yield "V" if free == 0 else f"V{free + 1}"


def _event(number: int, entry: ListEntry, track: str, rate: Fraction, drop: bool) -> Iterator[str]:
    source = entry.start if entry.source is None else entry.source
    times = (source, source + entry.frames, entry.start, entry.end)
    source_in, source_out, first, end = (format_timecode(frame, rate, drop=drop) for frame in times)
    yield f"{number:03d}  {entry.reel:{REEL_LENGTH}} {track:5} C        {source_in} {source_out} {first} {end}"
    yield f"* FROM CLIP NAME: {_one_line(entry.file)}"
    if entry.comment.strip():
        yield f"* COMMENT: {_one_line(entry.comment)}"
    for marker in entry.markers:
        yield f"* LOC: {first} RED     {_one_line(marker)}"


def _one_line(text: str) -> str:
    line = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    return line if len(line) <= _LONGEST_TEXT else line[: _LONGEST_TEXT - 1] + "…"
