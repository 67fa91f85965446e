"""A timeline file (.otio, .otioz) -> a cut list.

Every clip of the tracks that are read is a slot, or is skipped with a reason; of tracks that are not read it is said
how much is on them. A gap asks for nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from ...errors import ListError, OptionError
from ..slots import CutList, Problem
from .choice import Choice, Looked, choose
from .file import Object, label, looks_like_timeline, read_objects
from .look import Seen, look_at, outermost
from .markers import AS, Home, has_length, not_a_slot, with_cues, with_notes
from .media import is_film
from .place import Clock, clock_of
from .slots import Draft, draft_of_clip, draft_of_marker, fault_of, slots_of
from .tracks import Left, Tally, counted
from .walk import Marked, Placed

__all__ = ["looks_like_timeline", "read_timeline"]

_FOOTAGE = "is filmed and no still; ask for its track to have it read too"


def read_timeline(path: Path, rate: Fraction, *, track: str | None = None, markers: str = "slots") -> CutList:
    """Read a timeline for a film of this rate in frames per second.

    `track` is the name of a video track, or its number from the lowest up; None leaves the choice to timeline_choice.
    `markers` says what they are: "slots" (those with a length; the clips of the chosen tracks are slots too, unless
    that they hold stills is only a guess), or "cues" or "notes" of the slots they fall in.

    ListError where the file is no timeline, has no such track, holds a time on these tracks that is none, or nothing
    in it can be a slot; OptionError for another word of `markers`.
    """
    if markers not in AS:
        raise OptionError(f"markers are read as {', '.join(AS[:-1])} or {AS[-1]}, not {markers!r}")
    root = read_objects(path)
    try:
        cut_list = _cut_list(root, rate, track, markers)
    except ValueError as error:
        raise ListError(f"'{path}': {error}") from error
    if cut_list.skipped and not cut_list.slots:
        reasons = "; ".join(skipped.message for skipped in cut_list.skipped[:3])
        raise ListError(f"'{path}' has nothing that can be a slot: {reasons}")
    return cut_list


@dataclass(frozen=True, slots=True)
class _Sources:
    """What is made into slots, what is not, which markers the slots are to carry, and the tracks that were read."""

    drafts: tuple[tuple[Draft, Placed | Marked], ...]
    left: tuple[Left, ...]
    markers: tuple[Marked, ...]
    tracks: tuple[Looked, ...]


def _cut_list(root: Object, rate: Fraction, track: str | None, markers: str) -> CutList:
    timeline, beside = outermost(root)
    clock, told = clock_of(timeline, rate)
    seen = look_at(timeline)
    choice = choose(seen.tracks, track)
    sources = _sources(seen, choice, markers, clock)
    home = _home(sources)
    slots, problems = slots_of(home.drafts)
    carry = with_cues if markers == "cues" else with_notes
    slots, homeless = carry(slots, sources.markers, home, clock)
    return CutList(
        slots=slots,
        problems=(*told, *_how(seen, choice, sources.tracks), *problems, *homeless),
        columns={},
        ignored=(),
        drop=clock.drop,
        skipped=tuple(Problem(0, "", f"{left.item} {left.reason}") for left in (*beside, *sources.left)),
    )


def _sources(seen: Seen, choice: Choice, markers: str, clock: Clock) -> _Sources:
    """Sort out what becomes a slot: clips that hold stills for sure, and markers with a length where those are slots.

    Where the clips are only guessed at and there are such markers, the markers alone are meant.
    """
    lengthy = markers == "slots" and any(has_length(marked, clock) for marked in seen.markers)
    tracks = choice.tracks if choice.is_sure or not lengthy else ()
    fault = next((track.fault for track in tracks if track.fault), "")
    if fault:
        raise ValueError(fault)
    held = [clip for track in tracks for clip in track.clips]
    clips = [clip for clip in held if choice.with_filmed or not is_film(clip.clip)]
    drafts: list[tuple[Draft, Placed | Marked]] = [(draft_of_clip(clip, clock), clip) for clip in clips]
    taken, refused = frozenset(clips), list[Left]()
    if markers == "slots":
        refused = [Left(label(at.marker), why) for at in seen.markers if (why := not_a_slot(at, taken, clock))]
        drafts += [(draft_of_marker(at, clock), at) for at in seen.markers if not not_a_slot(at, taken, clock)]
    return _Sources(
        drafts=tuple(pair for pair in drafts if not fault_of(pair[0], clock)),
        left=(
            *(left for track in tracks for left in track.left if not left.is_marker),
            *_unread(track for track in seen.tracks if track not in tracks),
            *(Left(label(clip.clip), _FOOTAGE) for clip in held if clip not in taken),
            *seen.left,
            *refused,
            *(Left(draft.item, why) for draft, _ in drafts if (why := fault_of(draft, clock))),
        ),
        markers=() if markers == "slots" else seen.markers,
        tracks=tracks,
    )


def _unread(tracks: Iterable[Looked]) -> Iterator[Left]:
    tally = Tally()
    for track in tracks:
        clips, _ = tally.of(track.track)
        if clips:
            why = "is not read" if track.number else "holds no pictures"
            yield Left(str(track), f"{why} ({counted(clips, 'clip')})")


def _home(sources: _Sources) -> Home:
    drafts = sorted(sources.drafts, key=lambda pair: pair[0].span.start)
    clips = {source: place for place, (_, source) in enumerate(drafts) if isinstance(source, Placed)}
    return Home([draft for draft, _ in drafts], clips)


def _how(seen: Seen, choice: Choice, tracks: Sequence[Looked]) -> Iterator[Problem]:
    video = sum(bool(track.number) for track in seen.tracks)
    if not tracks and choice.tracks:
        yield Problem(0, "", "slots are the markers with a length, not the filmed clips; a track asked for is read too")
    elif video > 1:
        read = " and ".join(map(str, tracks))
        yield Problem(0, "", f"slots are the clips of {read}, {choice.why}, of {video} video tracks")
    for track in seen.tracks:
        if track.place_only:
            yield Problem(
                0, "", f"{track} has a source_range that shows nothing of it; only its place is taken from that"
            )
        if track.fault:
            yield Problem(
                0, "", f"{track} cannot be followed to its end, so markers on it may be missing: {track.fault}"
            )
    if seen.flags:
        yield Problem(0, "", f"{counted(seen.flags, 'marker')} set by this tool as flags count for nothing")
