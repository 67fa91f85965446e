"""What holds what in a timeline, and which tracks of a stack hold stills by their name or kind."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from .folding import fold
from .timeline_file import Object, label, list_of, schema, text_of

COMPOSITIONS = frozenset({"Track", "Stack", "Timeline"})
"""The schemas of what holds other things."""

_NOTHING: Object = {}
_MOST = 200_000  # things looked at when clips are counted

# What people call the track (common practice), folded.
_STILLS = frozenset(
    {
        *(
            "still",
            "stills",
            "photo",
            "photos",
            "photograph",
            "photographs",
            "picture",
            "pictures",
            "artwork",
            "artworks",
        ),
        *("works", "placeholder", "placeholders", "slot", "slots", "foto", "fotos", "bilder", "standbilder", "werke"),
    }
)


@dataclass(frozen=True, slots=True)
class Left:
    """A thing that takes no part, and why."""

    item: str
    reason: str
    is_marker: bool = False


def children_of(item: Object) -> list[Object]:
    """Return what a track, a stack or a timeline holds; what is no object stands as an empty one."""
    held = [item.get("tracks")] if schema(item) == "Timeline" else list_of(item, "children")
    return [child if isinstance(child, dict) else _NOTHING for child in held]


def contents(item: Object) -> str:
    """Say how many clips and markers are in an item, those nested in it too: "12 clips", "1 clip and 3 markers"."""
    markers = sum(len(list_of(one, "markers")) for one in _all_in(item))
    return counted(clips_in(item), "clip") + (f" and {counted(markers, 'marker')}" if markers else "")


def clips_in(item: Object) -> int:
    """Count the clips in an item, those nested in it too."""
    return sum(schema(one) == "Clip" for one in _all_in(item))


def _all_in(item: Object) -> Iterator[Object]:
    waiting = [item]
    for _ in range(_MOST):
        if not waiting:
            return
        yield waiting[-1]
        waiting += children_of(waiting.pop())


def counted(number: int, what: str) -> str:
    """Return "1 clip", "2 clips"."""
    return f"{number} {what}{'s' * (number != 1)}"


def is_video(item: Object) -> bool:
    """Whether pictures can be in an item: every thing but a track of another kind; a track without a kind is one."""
    return schema(item) != "Track" or (text_of(item, "kind") or "Video") == "Video"


def is_named_for_stills(item: Object) -> bool:
    """Whether an item is a track and its name says that stills are on it: "Stills", "B-roll photos 2"."""
    return schema(item) == "Track" and not _STILLS.isdisjoint(
        re.findall(r"[^\W\d_]+", fold(text_of(item, "name")[:200]))
    )


def stills_tracks(children: Sequence[Object]) -> tuple[list[Object], list[Left]]:
    """Return what is read in a nested stack, its tracks named for stills or else all with pictures, and the rest."""
    video = [child for child in children if is_video(child)]
    named = [child for child in video if is_named_for_stills(child)]
    beside = [child for child in video if not is_named_for_stills(child)] if named else []
    reason = "is not read: beside it are tracks named for stills"
    left = [Left(label(child), f"{reason} ({contents(child)})") for child in beside]
    return named or video, [*sound_left(children), *left]


def sound_left(children: Sequence[Object]) -> list[Left]:
    """Return the tracks that hold no pictures."""
    return [Left(label(child), f"holds no pictures ({contents(child)})") for child in children if not is_video(child)]
