"""What holds what in a timeline, and which tracks of a stack hold stills by their name or kind."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from ..folding import fold
from .file import Object, label, list_of, schema, text_of

COMPOSITIONS = frozenset({"Track", "Stack", "Timeline"})
"""The schemas of what holds other things."""

DEEPEST = 40
"""So deep things may lie within things; a film edit has three or four."""

_NOTHING: Object = {}

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


class Tally:
    """How many clips and markers things hold, those nested in them too; everything is counted once and remembered."""

    def __init__(self) -> None:
        self._held: dict[int, tuple[int, int]] = {}

    def of(self, item: Object, depth: int = 0) -> tuple[int, int]:
        """Return the numbers of clips and of markers."""
        key = id(item)
        if key not in self._held:
            self._held[key] = 0, 0  # a thing that holds itself is not counted again
            inside = [self.of(child, depth + 1) for child in children_of(item)] if depth < DEEPEST else []
            clips = (schema(item) == "Clip") + sum(clips for clips, _ in inside)
            self._held[key] = clips, len(list_of(item, "markers")) + sum(markers for _, markers in inside)
        return self._held[key]

    def words(self, item: Object) -> str:
        """Return the numbers in words: "12 clips", "1 clip and 3 markers"."""
        clips, markers = self.of(item)
        return counted(clips, "clip") + (f" and {counted(markers, 'marker')}" if markers else "")

    def is_empty(self, item: Object) -> bool:
        """Whether an item could hold things and holds neither clips nor markers: nothing is lost with it."""
        return schema(item) in COMPOSITIONS and self.of(item) == (0, 0)


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


def stills_tracks(children: Sequence[Object], tally: Tally) -> tuple[list[Object], list[Left]]:
    """Return what is read in a nested stack, its tracks named for stills or else all with pictures, and the rest."""
    video = [child for child in children if is_video(child)]
    named = [child for child in video if is_named_for_stills(child)]
    beside = [child for child in video if not is_named_for_stills(child)] if named else []
    reasons = [
        *((child, "holds no pictures") for child in children if not is_video(child)),
        *((child, "is not read: beside it are tracks named for stills") for child in beside),
    ]
    left = [Left(label(child), f"{why} ({tally.words(child)})") for child, why in reasons if not tally.is_empty(child)]
    return named or video, left
