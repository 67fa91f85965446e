"""A timeline's outermost object -> its tracks with all that is in them."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import chain

from ..slots import shown
from .choice import Looked, numbered
from .file import Object, label, own_data, schema, text_of
from .time import EVER, Range, range_of
from .tracks import COMPOSITIONS, Left, Tally, children_of
from .walk import Found, Marked, TimelineWalk, markers_of


@dataclass(frozen=True, slots=True)
class Seen:
    """A timeline: its tracks, all markers but this tool's own flags, how many of those, and markers without a place."""

    tracks: tuple[Looked, ...]
    markers: tuple[Marked, ...]
    flags: int
    left: tuple[Left, ...]


def outermost(root: Object) -> tuple[Object, list[Left]]:
    """Return the timeline in a file and what stands beside it there; ValueError where there is none."""
    if schema(root) in COMPOSITIONS or schema(root) == "Clip":
        return root, []
    if schema(root) != "SerializableCollection":
        raise ValueError(f"it holds {shown(schema(root))} and no timeline; export the timeline itself")
    inside = children_of(root)
    first = next((item for item in inside if schema(item) in COMPOSITIONS), None)
    if first is None:
        raise ValueError("it is a collection without a timeline in it; export the timeline itself")
    tally = Tally()
    beside = [item for item in inside if item is not first]
    return first, [Left(label(item), f"is beside the first timeline ({tally.words(item)})") for item in beside]


def look_at(timeline: Object) -> Seen:
    """Walk through all tracks of a timeline; a track in which that cannot be done has a fault."""
    stack = _stack_of(timeline)
    window = EVER if stack.get("source_range") is None else range_of(stack["source_range"])
    origin = 0 if window is EVER else -window.start
    window = window if window is EVER else window.moved(origin)
    walk, tracks = TimelineWalk(), [_as_track(child) for child in children_of(stack)]
    looked = [_walked(walk, *pair, origin, window) for pair in zip(tracks, numbered(tracks), strict=True)]
    found = [*markers_of(stack, origin, window, None), *chain.from_iterable(track.found for track in looked)]
    markers = [marked for marked in found if isinstance(marked, Marked)]
    return Seen(
        tracks=tuple(looked),
        markers=tuple(marked for marked in markers if not own_data(marked.marker)),
        flags=sum(bool(own_data(marked.marker)) for marked in markers),
        left=tuple(left for left in found if isinstance(left, Left) and left.is_marker),
    )


def _stack_of(timeline: Object) -> Object:
    if schema(timeline) == "Stack":
        return timeline
    if schema(timeline) == "Timeline":
        stack = children_of(timeline)[0]
        return stack if schema(stack) == "Stack" else {"OTIO_SCHEMA": "Stack.1", "children": [stack] if stack else []}
    return {"OTIO_SCHEMA": "Stack.1", "children": [timeline]}


def _as_track(item: Object) -> Object:
    if schema(item) == "Track":
        return item
    return {"OTIO_SCHEMA": "Track.1", "kind": "Video", "name": text_of(item, "name"), "children": [item]}


def _walked(walk: TimelineWalk, track: Object, number: int, origin: int, window: Range) -> Looked:
    found: list[Found] = []
    place_only = False
    try:
        place_only = _shows_nothing(walk, track)
        if place_only:
            track, origin = {**track, "source_range": None}, origin - range_of(track["source_range"]).start
        found.extend(walk.track(track, origin, window))
    except ValueError as error:
        return Looked(track, number, tuple(found), place_only, str(error))
    return Looked(track, number, tuple(found), place_only)


def _shows_nothing(walk: TimelineWalk, track: Object) -> bool:
    """Whether a track is shown where it holds nothing: converters of edit decision lists write record times so."""
    content = walk.content(track)
    if track.get("source_range") is None or not content:
        return False
    return range_of(track["source_range"]).cut_to(content).length <= 0 < content.length
