"""An event and the lines below it -> what should be seen, and the id of its slot."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from ..ids import check_id, id_key
from ..names import base_name, without_suffix
from .comments import FROM, KEY, TO, Said
from .event import CUT
from .lines import Listed

# Suffixes of moving pictures, sound and sequences, which say as little of a work as those of photographs.
_OTHER_SUFFIX = re.compile(
    r"(.+)\.(?:mov|mp4|m4v|mxf|avi|mkv|mts|webm|wav|aiff?|mp3|exr|dpx|tga|svg|ai)", re.IGNORECASE
)
_LONGEST_FILE = 255  # characters of a file's name on the usual systems; longer texts are none
# Reels that stand for any file or for none (common practice).
_NAMELESS = frozenset({"", "AX", "BL", "BLACK", "UNKNOWN", "NONE", "UNASSIGNED"})


@dataclass(frozen=True, slots=True)
class Wish:
    """What an event asks for; name is its clip's name as written, to tell the next event's outgoing side by."""

    name: str
    wanted: str
    still: str
    note: str


@dataclass(slots=True)
class Namer:
    """Ids of slots: the event's number, its track where that is not V, and a counter where both were there before."""

    taken: set[str] = field(default_factory=set)
    counts: dict[str, int] = field(default_factory=dict)

    def name(self, number: str, track: str) -> str:
        """Return the id of the next slot: "003", "003_V2", "003_2"."""
        letters = re.sub(r"[^A-Za-z0-9]+", "", track)[:16]
        first = number if track == "V" or not letters else f"{number}_{letters}"
        slot, count = first, self.counts.get(id_key(first), 1)
        while id_key(slot) in self.taken:
            count += 1
            slot = f"{first}_{count}"
        self.counts[id_key(first)] = count
        self.taken.add(id_key(slot))
        return check_id(slot)


def wish(listed: Listed, after: Listed | None, before: str) -> Wish:
    """Return what an event asks for.

    `after` is the incoming side of the transition whose outgoing side this event is, None where it is none: its lines
    name both. `before` is the name of the clip before on the track: where lines below a transition name that one
    alone, they do not name the incoming clip.
    """
    said = listed.said
    name, source = _named(listed, before), _sourced(listed)
    if after is not None and not name:
        name, source = after.said.names.get(FROM, ""), source or after.said.sources.get(FROM, "")
    still = next((text for text in (source, name) if _is_picture(text)), "")
    words = [text for text in (_without_suffix(name), *said.markers, _without_suffix(source)) if text]
    wanted = (words or [_reel(listed)])[0]
    notes = [text for text in (*said.markers, *said.notes, listed.event.rest) if text not in ("", wanted, name)]
    return Wish(name, wanted, still, "; ".join(dict.fromkeys(notes)))


def fault_of_wish(wished: Wish) -> Iterator[str]:
    """Yield what is to be said of an event that does not tell what should be seen."""
    if not wished.wanted and not wished.still:
        yield "no clip name, no marker and no reel says what should be seen; the slot will be a card"


def _named(listed: Listed, before: str) -> str:
    names = listed.said.names
    if listed.event.kind == CUT:
        return next((names[side] for side in (FROM, TO, KEY) if side in names), "")
    first = KEY if listed.event.transition == "K" else TO
    name = names.get(first) or names.get(TO) or names.get(KEY) or names.get(FROM, "")
    return "" if name == before and not names.keys() & {TO, KEY} else name


def _sourced(listed: Listed) -> str:
    sources = listed.said.sources
    if listed.event.kind == CUT:
        return sources.get(FROM, "") or sources.get(TO, "")
    return sources.get(TO, "") or ("" if _has_both(listed.said) else sources.get(FROM, ""))


def _has_both(said: Said) -> bool:
    return FROM in said.names and TO in said.names


def _reel(listed: Listed) -> str:
    """Return the reel where it may be a name: long ones are file names in many lists; numbers say nothing."""
    reel = listed.event.reel
    nameless = reel.upper() in _NAMELESS or not any(c.isalpha() for c in reel)
    return "" if nameless else _without_suffix(reel)


def _is_picture(text: str) -> bool:
    base = base_name(text)
    return 0 < len(base) <= _LONGEST_FILE and without_suffix(base) != base


def _without_suffix(text: str) -> str:
    if _is_picture(text):
        return without_suffix(base_name(text))
    found = _OTHER_SUFFIX.fullmatch(base_name(text))
    return found.group(1) if found else text
