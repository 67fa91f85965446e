"""The cut list as an edit decision list: one slot an event that shows a picture.

Every event becomes a slot, is skipped with its reason, or is a problem. Slots lie at the record times. Where a clip
dissolves or wipes into the next, the next one's event begins with the transition, and the clip before is seen until
the transition has ended: its slot is that much longer than its event.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import pairwise, zip_longest
from pathlib import Path

from ...errors import ListError
from ..slots import CutList, Problem, Slot, overlaps, shown
from .event import CUT, is_track, tracks_in
from .lines import EventFile, Listed, looks_like_edit_list, read_events
from .slots import Namer, Wish, fault_of_wish, wish
from .times import Span, fault_of_header, read_span

__all__ = ["looks_like_edit_list", "read_edit_list"]

_NO_PICTURE = {
    **dict.fromkeys(("BL", "BLACK"), "is black"),
    **dict.fromkeys(("BAR", "BARS"), "is a test picture"),
}


@dataclass(frozen=True, slots=True)
class _Choice:
    """Which events hold stills: those on these tracks, all where there are none, and of this reel, if one is named."""

    tracks: tuple[str, ...]
    reel: str

    def tracks_of(self, listed: Listed) -> tuple[str, ...]:
        held = listed.event.tracks if self.tracks else listed.event.pictures
        return tuple(track for track in held if not self.tracks or track in self.tracks)


@dataclass(frozen=True, slots=True)
class _Placed:
    """An event on the chosen tracks, at its frames."""

    listed: Listed
    span: Span
    tracks: tuple[str, ...]


@dataclass(slots=True)
class _Told:
    """What is to be said of events that become no slot, and of those that need a look."""

    skipped: list[Problem] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)

    def skip(self, listed: Listed, why: str) -> None:
        self.skipped.append(Problem(listed.event.line, "", f"event {listed.event.number} {why}"))

    def doubt(self, listed: Listed, what: str) -> None:
        self.problems.append(Problem(listed.event.line, "", f"event {listed.event.number}: {what}"))


def read_edit_list(path: Path, rate: Fraction, *, track: str | None = None, reel: str | None = None) -> CutList:
    """Read an edit decision list at a rate in frames per second.

    `track` names the track that holds the stills, or several ("V2", "V2,V3"); None takes all picture tracks, and
    slots that overlap are reported. `reel` names their reel, without regard to case; None takes all.

    Raise ListError where the file has no event, where no event of it can be used, and where it has not the track or
    reel that is named.
    """
    file = read_events(path)
    choice = _choice(path, file.events, track, reel)
    told = _Told(problems=[*file.problems, *_faults_of_headers(file, rate)])
    placed = list(_place(file.events, choice, rate, told))
    told.problems += _changes_of_frame_code(placed)
    slots, unblended = _slots(placed, choice, told)
    if not slots and not told.skipped:
        raise ListError(_no_slots(path, told.problems))
    problems = (*told.problems, *overlaps(unblended))
    return CutList(
        slots=slots,
        problems=tuple(sorted(problems, key=lambda problem: problem.line)),
        columns={},
        ignored=(),
        drop=any(event.span.drop for event in placed),
        skipped=tuple(told.skipped),
    )


def _choice(path: Path, events: Sequence[Listed], track: str | None, reel: str | None) -> _Choice:
    names = (track or "").replace(",", " ").upper().split()
    tracks = tuple(dict.fromkeys(name for word in names for name in tracks_in(word)))
    held = dict.fromkeys(name for listed in events for name in listed.event.tracks)
    for name in tracks:
        if name not in held:
            raise ListError(f"'{path}' has no event on track {shown(name)}; it has {_few(held)}")
    reels = dict.fromkeys(listed.event.reel for listed in events)
    if reel is not None and reel.strip().casefold() not in {name.casefold() for name in reels}:
        raise ListError(f"'{path}' has no event of reel {shown(reel)}; it has {_few(reels)}")
    return _Choice(tracks, (reel or "").strip().casefold())


def _few(names: Iterable[str]) -> str:
    listed = [shown(name) for name in names]
    return ", ".join(listed[:8]) + (f" and {len(listed) - 8} more" if len(listed) > 8 else "")


def _place(events: Iterable[Listed], choice: _Choice, rate: Fraction, told: _Told) -> Iterator[_Placed]:
    """Yield the events on the chosen tracks whose times can be used; tell of all others."""
    for listed in events:
        tracks = choice.tracks_of(listed)
        if not tracks:
            _leave_out(listed, choice, told)
            continue
        try:
            span = read_span(listed, rate)
        except ValueError as error:
            told.doubt(listed, f"{error}; it is left out")
            continue
        yield _Placed(listed, span, tracks)


def _leave_out(listed: Listed, choice: _Choice, told: _Told) -> None:
    track = listed.event.track
    if choice.tracks:
        told.skip(listed, f"is on track {shown(track)}, not on {' or '.join(choice.tracks)}")
    elif track == "NONE":
        told.skip(listed, "is on no track")
    elif is_track(track):
        told.skip(listed, f"is on {track}, which is sound")
    else:
        told.doubt(
            listed,
            f"its track {shown(track)} is neither picture (V, V2, B, AA/V) nor sound (A, A2, AA); it is left out, and "
            "naming the track would take it",
        )


def _slots(placed: Sequence[_Placed], choice: _Choice, told: _Told) -> tuple[tuple[Slot, ...], list[Slot]]:
    """Return the slots, and the same without what transitions add to them."""
    namer, longer = Namer(), _longer(placed, told)
    unblended: list[Slot] = []
    added: list[int] = []
    names: dict[str, str] = {}  # of the last clip on each track
    for place, (event, after) in enumerate(zip_longest(placed, placed[1:])):
        incoming = after if after is not None and _is_pair(event, after) else None
        wished = wish(event.listed, incoming.listed if incoming else None, names.get(event.tracks[0], ""))
        if event.span.length:
            names[event.tracks[0]] = wished.name
        why = _why_no_slot(event, incoming, choice)
        if why:
            told.skip(event.listed, why)
            continue
        unblended.append(_slot(event, wished, namer))
        added.append(longer.get(place, 0))
        for doubt in (*event.listed.event.doubts, *fault_of_wish(wished)):
            told.doubt(event.listed, doubt)
    return tuple(
        replace(slot, length=slot.length + more) for slot, more in zip(unblended, added, strict=True)
    ), unblended


def _slot(placed: _Placed, wished: Wish, namer: Namer) -> Slot:
    event = placed.listed.event
    return Slot(
        id=namer.name(event.number, placed.tracks[0]),
        start=placed.span.start,
        length=placed.span.length,
        wanted=wished.wanted,
        still=wished.still,
        note=wished.note,
        line=event.line,
    )


def _is_pair(event: _Placed, after: _Placed) -> bool:
    """Whether the next line states the other side of a transition: same number, same tracks, and no cut."""
    first, second = event.listed.event, after.listed.event
    return first.number == second.number and event.tracks == after.tracks and second.kind != CUT


def _why_no_slot(placed: _Placed, incoming: _Placed | None, choice: _Choice) -> str:
    event = placed.listed.event
    if not placed.span.length and incoming is not None:
        other = incoming.listed.event
        return f"has no length here: it is the outgoing side of the {other.kind} on line {other.line}"
    if not placed.span.length:
        return f"has no length: its record in and out are both {event.record_in}"
    if event.reel.upper() in _NO_PICTURE:
        return _NO_PICTURE[event.reel.upper()]
    if choice.reel and event.reel.casefold() != choice.reel:
        return f"is of reel {shown(event.reel)}"
    return ""


def _longer(placed: Sequence[_Placed], told: _Told) -> dict[int, int]:
    """Return by how many frames an event (by its place) is seen longer, for the next one comes in over it."""
    longer: dict[int, int] = {}
    last_until: dict[tuple[str, int], int] = {}
    for place, event in enumerate(placed):
        frames = _blended(event, told)
        for track in event.tracks:
            before = last_until.get((track, event.span.start))
            if frames and before is not None:
                longer[before] = max(longer.get(before, 0), frames)
        if event.span.length:
            last_until.update(dict.fromkeys(((track, event.span.stop) for track in event.tracks), place))
    return longer


def _blended(placed: _Placed, told: _Told) -> int:
    """Return for how many frames of an event the clip before is seen too."""
    event = placed.listed.event
    if not event.blends:
        return 0
    if event.frames > placed.span.length:
        told.doubt(
            placed.listed,
            f"its {event.kind} of {event.frames} frames is longer than the event of {placed.span.length}; "
            "the clip before is shown to the end of the event",
        )
    return min(event.frames, placed.span.length)


def _faults_of_headers(file: EventFile, rate: Fraction) -> Iterator[Problem]:
    headers = {listed.drop_line: listed for listed in file.events if listed.drop_line}
    for line, listed in headers.items():
        fault = fault_of_header(listed, rate)
        if fault:
            yield Problem(line, "", fault)


def _changes_of_frame_code(placed: Sequence[_Placed]) -> Iterator[Problem]:
    """Tell where record times change between drop-frame and non-drop: few lists mean that."""
    words = {True: "drop-frame", False: "non-drop"}
    for before, event in pairwise(placed):
        if before.span.drop != event.span.drop:
            line, number = event.listed.event.line, event.listed.event.number
            message = (
                f"record times are {words[event.span.drop]} from event {number} on, {words[before.span.drop]} before it"
            )
            yield Problem(line, "", message)


def _no_slots(path: Path, problems: Sequence[Problem]) -> str:
    first = "; ".join(str(problem) for problem in problems[:3])
    return f"'{path}' has no usable event: {first}"
