"""One line of an edit decision list -> the event it states.

An event is, in the order of its fields: number, reel, track, transition with its length in frames, source in and out,
record in and out (the form that SMPTE ST 258 describes; field widths and the notes below are common practice). The
line is read from its four timecodes to the left, so that reels of any length, with spaces in them or with none behind
them, leave the other fields where they are.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

LONGEST_LINE = 4096  # characters; longer lines are nobody's event

_LONGEST_TRACK = 32  # characters: no list names more than a few tracks at once

# Two digits an hour, one only where nothing touches it: fields without a space between them still come apart.
_TIMECODE = r"((?:\d{2}|(?<!\d)\d)[:;.,]\d{2}[:;.,]\d{2}[:;.,]\d{2})"
_TIMES = re.compile(rf"{_TIMECODE}\s*{_TIMECODE}\s*{_TIMECODE}\s*{_TIMECODE}(?!\d)", re.ASCII)
_NUMBER = re.compile(r"\d{1,18}[A-Za-z]?(?=\s)|\d{3}(?=\S)", re.ASCII)
_TRACK = re.compile(r"NONE|B|[VA]\d{0,3}(?:[/,+]?[VA]\d{0,3})*", re.ASCII)
_TRANSITION = re.compile(r"(C|D|W\d{3}|W|K[BO]?)(\d{1,4})?", re.ASCII)
_LENGTH = re.compile(r"\d{1,4}", re.ASCII)

CUT, DISSOLVE, WIPE, KEY, UNKNOWN = "cut", "dissolve", "wipe", "key", "unknown"
_KINDS = {"C": CUT, "D": DISSOLVE, "W": WIPE, "K": KEY}


@dataclass(frozen=True, slots=True)
class Event:
    """One event as its line states it.

    number and reel as written; track in capitals; transition as written ("C", "D", "W001", "KB"); frames is the
    length of the transition; record_in and record_out are timecodes not yet checked; rest is what stands behind them;
    doubts says in words what had to be guessed.
    """

    line: int
    number: str
    reel: str
    track: str
    transition: str
    frames: int
    record_in: str
    record_out: str
    rest: str = ""
    doubts: tuple[str, ...] = ()

    @property
    def kind(self) -> str:
        """One of cut, dissolve, wipe, key and unknown; an unknown transition is treated as a cut."""
        return _KINDS.get(self.transition[:1], UNKNOWN) if _TRANSITION.fullmatch(self.transition) else UNKNOWN

    @property
    def blends(self) -> bool:
        """Whether the clip before is still seen while this one comes in."""
        return self.kind in (DISSOLVE, WIPE) and self.frames > 0

    @property
    def tracks(self) -> tuple[str, ...]:
        """The tracks it is on: "AA/V" is on A, A and V, "B" on V and A, "NONE" on none; V1 is V."""
        return tuple(tracks_in(self.track))

    @property
    def pictures(self) -> tuple[str, ...]:
        """The picture tracks among them."""
        return tuple(track for track in self.tracks if track.startswith("V"))


@dataclass(slots=True)
class _Fields:
    """The fields left of the times, taken from the right one after another."""

    words: list[str]
    doubts: list[str]


def begins_like_event(text: str) -> bool:
    """Whether a line, trimmed, must be an event by its first character."""
    return text[:1].isascii() and text[:1].isdigit()


def is_track(text: str) -> bool:
    """Whether the text, in capitals, names tracks in the usual letters."""
    return len(text) <= _LONGEST_TRACK and _TRACK.fullmatch(text) is not None


def tracks_in(text: str) -> Iterator[str]:
    """Yield the tracks that a track field names; one in other letters is its own name."""
    if not is_track(text):
        yield text
    elif text == "B":
        yield from ("V", "A")
    else:
        for letter, number in re.findall(r"([VA])0*(\d*)", text.replace("NONE", ""), re.ASCII):
            yield letter if letter == "V" and number == "1" else letter + number


def parse_event(text: str, line: int) -> Event | None:
    """Return the event that a line states, None where it states none."""
    trimmed = text.strip()
    number = _NUMBER.match(trimmed) if len(trimmed) <= LONGEST_LINE else None
    times = _TIMES.search(trimmed, number.end()) if number else None
    if number is None or times is None:
        return None
    fields = _Fields(trimmed[number.end() : times.start()].split(), [])
    transition, frames = _take_transition(fields)
    track = _take_track(fields)
    if not track:
        return None
    return Event(
        line=line,
        number=number.group(),
        reel=" ".join(fields.words),
        track=track,
        transition=transition,
        frames=frames,
        record_in=times.group(3),
        record_out=times.group(4),
        rest=trimmed[times.end() :].strip(),
        doubts=tuple(fields.doubts),
    )


def _take_transition(fields: _Fields) -> tuple[str, int]:
    words = fields.words
    length = words.pop() if len(words) > 1 and _LENGTH.fullmatch(words[-1]) else ""
    if len(words) > 1 and words[-2].upper() == "K" and words[-1].upper() in ("B", "O"):
        words[-2:] = [words[-2] + words[-1]]  # "K B": a key's background
    return _transition(fields, length)


def _transition(fields: _Fields, length: str) -> tuple[str, int]:
    words = fields.words
    word = words[-1].upper() if words else ""
    found = _TRANSITION.fullmatch(word)
    if found and len(words) > 1:
        words.pop()
        return found.group(1), int(found.group(2) or length or 0)
    touching = re.fullmatch(rf"({_TRACK.pattern})({_TRANSITION.pattern})", word, re.ASCII)
    if touching and not is_track(word):
        words[-1] = touching.group(1)
        return _transition(_Fields([*words, touching.group(2)], fields.doubts), length)
    if is_track(word):
        fields.doubts.append("no transition stands behind its track, so it is read as a cut")
        return "C", 0
    if len(words) > 1:
        fields.doubts.append(
            f"its transition '{word[:12]}' is not known (C, D, W001 and K are), so it is read as a cut"
        )
        return words.pop(), 0
    return word, 0


def _take_track(fields: _Fields) -> str:
    if not fields.words:
        return ""
    word = fields.words.pop()
    track = word.upper()
    if is_track(track):
        return track
    for length in (len(word) - 8, *range(min(8, len(word) - 1), 0, -1)):  # reels of eight characters fill their field
        if 0 < length < len(word) and is_track(track[-length:]):
            fields.words.append(word[:-length])
            fields.doubts.append(
                f"no space parts its reel from its track; read as '{word[:-length]}' and '{track[-length:]}'"
            )
            return track[-length:]
    return track
