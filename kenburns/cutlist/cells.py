"""One cell of a time column -> whole frames.

======================  =====================================================================
``01:02:03:04``         timecode; ``;`` before the frames means drop-frame (SMPTE ST 12-1)
``125``                 frames (seconds where the header says so)
``125f  125 frames``    frames
``5.0  1,5  5 s``       seconds
``1:05  0:01:05.5``     clock time: minutes and seconds, or hours, minutes and seconds
======================  =====================================================================

A point after whole seconds (``01:02:03.04``) is read as a decimal, never as a frame number.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from fractions import Fraction

from ..motion.timebase import frames_from_seconds, parse_timecode

FRAMES, SECONDS = "frames", "seconds"
WHAT_WORKS = "a timecode (01:02:03:04), whole frames (125) or seconds (5.0 or 5 s) would work"

_TIMECODE = re.compile(r"(\d{1,2})[:;](\d{1,2})[:;](\d{1,2})([:;])(\d{1,3})", re.ASCII)
_CLOCK = re.compile(r"(?:(\d{1,2}):)?(\d{1,3}):(\d{1,2}(?:[.,]\d{1,9})?)", re.ASCII)
_AMOUNT = re.compile(r"(\d{1,9}(?:[.,]\d{0,9})?|[.,]\d{1,9})\s*([a-z]*)\.?", re.ASCII | re.IGNORECASE)
_UNITS = {
    **dict.fromkeys(("f", "fr", "frs", "frame", "frames"), FRAMES),
    **dict.fromkeys(("s", "sec", "secs", "second", "seconds"), SECONDS),
}


@dataclass(frozen=True, slots=True)
class Moment:
    """A time as a cell gives it.

    frames is at least 0. drop is None where the cell is no timecode. guessed is the unit assumed for a bare number
    (empty where the cell or its header says it), so that a column which mixes both can be looked at.
    """

    frames: int
    drop: bool | None = None
    guessed: str = ""


def read_moment(text: str, rate: Fraction, unit: str = "") -> Moment:
    """Read a time at a rate in frames per second; unit is what the header says of bare numbers ("" if nothing).

    Raise ValueError, with the rule and what would work, where the text is no time from 0 up.
    """
    cell = unicodedata.normalize("NFKC", text).strip()
    moment = _timecode(cell, rate) or _clock(cell, rate) or _amount(cell, rate, unit)
    if moment is None:
        raise ValueError(f"not a time from 0 up; {WHAT_WORKS}")
    return moment


def _timecode(cell: str, rate: Fraction) -> Moment | None:
    found = _TIMECODE.fullmatch(cell)
    if not found:
        return None
    hours, minutes, seconds, mark, frames = found.groups()
    text = f"{hours:0>2}:{minutes:0>2}:{seconds:0>2}{mark}{frames:0>2}"
    return Moment(parse_timecode(text, rate), drop=mark == ";")


def _clock(cell: str, rate: Fraction) -> Moment | None:
    found = _CLOCK.fullmatch(cell)
    if not found:
        return None
    hours, minutes, seconds = found.group(1), int(found.group(2)), _decimal(found.group(3))
    if seconds >= 60 or (hours is not None and minutes >= 60):
        raise ValueError("the minutes and seconds of a clock time end at 59; 1:05 is 65 seconds")
    return Moment(frames_from_seconds(int(hours or 0) * 3600 + minutes * 60 + seconds, rate))


def _amount(cell: str, rate: Fraction, unit: str) -> Moment | None:
    found = _AMOUNT.fullmatch(cell)
    word = found.group(2).lower() if found else ""
    if not found or (word and word not in _UNITS):
        return None
    number = found.group(1)
    stated = _UNITS.get(word, unit)
    guessed = "" if stated else (FRAMES if number.isdigit() else SECONDS)
    frames = _whole(number) if (stated or guessed) == FRAMES else frames_from_seconds(_decimal(number), rate)
    return Moment(frames, guessed=guessed)


def _whole(number: str) -> int:
    value = _decimal(number)
    if value.denominator != 1:
        raise ValueError("a number of frames is whole; seconds are written with their unit (5.5 s)")
    return int(value)


def _decimal(number: str) -> Fraction:
    return Fraction("0" + number.replace(",", ".").rstrip("."))
