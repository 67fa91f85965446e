"""Which of a timeline's own tracks are read for slots, and what that rests on."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from ..folding import fold
from ..slots import shown
from .file import Object, label, text_of
from .media import is_film, still_of
from .tracks import Left, is_named_for_stills, is_video
from .walk import Found, Marked, Placed

_NUMBER = re.compile(r"[Vv]?0*([0-9]{1,4})", re.ASCII)


@dataclass(frozen=True, slots=True)
class Looked:
    """A track of the outermost stack and all that was found in it.

    number counts the tracks with pictures from the lowest, as edit suites do (common practice); 0 for others.
    place_only is true where its source_range shows nothing of it and so only says where it begins; fault says why it
    cannot be walked through to its end.
    """

    track: Object
    number: int
    found: tuple[Found, ...] = ()
    place_only: bool = False
    fault: str = ""
    clips: tuple[Placed, ...] = field(init=False, default=())

    def __post_init__(self) -> None:
        object.__setattr__(self, "clips", tuple(found for found in self.found if isinstance(found, Placed)))

    @property
    def markers(self) -> tuple[Marked, ...]:
        """All markers in it."""
        return tuple(found for found in self.found if isinstance(found, Marked))

    @property
    def left(self) -> tuple[Left, ...]:
        """All that takes no part."""
        return tuple(found for found in self.found if isinstance(found, Left))

    def __str__(self) -> str:
        return f"video track {self.number} ({label(self.track)})" if self.number else label(self.track)


@dataclass(frozen=True, slots=True)
class Choice:
    """The tracks that are read, why those, whether that they hold stills is more than a guess, and what of them counts.

    On a track that is named or asked for, a filmed clip stands for a still as any other does (an earlier clip of ours,
    say); on one that was found by its photographs it is footage.
    """

    tracks: tuple[Looked, ...]
    why: str
    is_sure: bool
    with_filmed: bool = True


def choose(tracks: Sequence[Looked], asked: str | None) -> Choice:
    """Choose the tracks to read.

    Those asked for by name or number; else those named for stills; else the topmost with a photograph; else the
    topmost whose clips are missing or made by the edit suite; else the topmost with a clip. ValueError where none is as
    asked.
    """
    video = [looked for looked in tracks if looked.number]
    if asked is not None:
        return Choice(tuple(_asked(video, asked.strip())), "as asked", True)
    named = tuple(looked for looked in video if is_named_for_stills(looked.track))
    if named:
        return Choice(named, "named for stills", True)
    photographs = next((looked for looked in reversed(video) if any(still_of(at.clip) for at in looked.clips)), None)
    if photographs:
        return Choice((photographs,), "the topmost with photographs", True, with_filmed=False)
    unfilmed = next((looked for looked in reversed(video) if looked.clips and not _is_filmed(looked)), None)
    if unfilmed:
        return Choice((unfilmed,), "the topmost without filmed clips", True)
    topmost = next((looked for looked in reversed(video) if looked.clips), None)
    only = "the only one" if len(video) == 1 else "the topmost with clips"
    return Choice((topmost,), only, False) if topmost else Choice(tuple(video), "none has a clip", False)


def _asked(video: Sequence[Looked], asked: str) -> list[Looked]:
    whole = _called(video, asked)
    parts = [] if whole else [(part, _called(video, part.strip())) for part in asked.split(",")]
    missing = next((part for part, held in parts if not held), None)
    if missing is not None:
        there = ", ".join(f"{looked.number} {shown(text_of(looked.track, 'name'))}" for looked in video[:20])
        raise ValueError(f"no video track is called {shown(missing)}; there are {there or 'none'}")
    wanted = {looked.number for held in [whole, *(held for _, held in parts)] for looked in held}
    return [looked for looked in video if looked.number in wanted]


def _called(video: Sequence[Looked], name: str) -> list[Looked]:
    number = _NUMBER.fullmatch(name)
    named = [looked for looked in video if fold(text_of(looked.track, "name")) == fold(name)]
    return named or [looked for looked in video if number and looked.number == int(number[1])]


def _is_filmed(looked: Looked) -> bool:
    return any(is_film(placed.clip) for placed in looked.clips)


def numbered(tracks: Sequence[Object]) -> list[int]:
    """Return each track's number among those with pictures, from 1 at the bottom; 0 for the others."""
    numbers, last = [], 0
    for track in tracks:
        last += is_video(track)
        numbers.append(last if is_video(track) else 0)
    return numbers
