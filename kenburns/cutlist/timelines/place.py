"""Where a timeline begins in timecode, and whether that is drop-frame: flicks -> frames from 00:00:00:00."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from ...motion.timebase import format_timecode, nominal, parse_timecode, rate_text
from ..slots import Problem
from .file import Object, own_data
from .time import Range, exact_rate, frame_at, time_parts

_LAST_HOUR = 99  # timecode has no more


@dataclass(frozen=True, slots=True)
class Span:
    """Frames of the film: first, and first after; exact is false where a time falls between two frames."""

    start: int
    end: int
    exact: bool

    @property
    def length(self) -> int:
        """In frames."""
        return self.end - self.start


@dataclass(frozen=True, slots=True)
class Clock:
    """The film's rate, the frame at which the timeline begins, and how timecode is counted."""

    rate: Fraction
    first: int
    drop: bool

    def span(self, place: Range) -> Span:
        """Return the nearest frames of a place in the timeline."""
        start, starts_exactly = frame_at(place.start, self.rate)
        end, ends_exactly = frame_at(place.end, self.rate)
        return Span(self.first + start, self.first + end, starts_exactly and ends_exactly)

    def timecode(self, frame: int) -> str:
        """Return a frame as timecode; as a number where it has none."""
        return format_timecode(frame, self.rate, drop=self.drop) if 0 <= frame < self.last else f"frame {frame}"

    @property
    def last(self) -> int:
        """The first frame that timecode cannot count."""
        return parse_timecode(f"99:59:59:{nominal(self.rate) - 1:02}", self.rate, drop=self.drop) + 1


def clock_of(timeline: Object, rate: Fraction) -> tuple[Clock, tuple[Problem, ...]]:
    """Return the clock of a timeline in a film of this rate, and what is to be said of it.

    ValueError where its global_start_time is no time, or before midnight.
    """
    start = timeline.get("global_start_time")
    if start is None:
        return Clock(rate, 0, _is_drop(timeline, 0, rate)), ()
    value, number = time_parts(start)
    theirs, first = exact_rate(number), round(value)
    if not 0 <= first < _LAST_HOUR * 3600 * theirs:
        raise ValueError(f"global_start_time lies from 0 to {_LAST_HOUR} hours, not at frame {value:g} of {number:g}")
    if theirs == rate or not first:
        return Clock(rate, first, _is_drop(timeline, first, rate)), ()
    return _at_other_rate(timeline, first, theirs, rate)


def _at_other_rate(timeline: Object, first: int, theirs: Fraction, rate: Fraction) -> tuple[Clock, tuple[Problem, ...]]:
    """Keep the label that the start has in timecode: one hour stays one hour, also between 24 and 24000/1001."""
    base = max(nominal(theirs), 1)
    seconds, frames = divmod(first, base)
    if _is_drop(timeline, first, theirs):
        hours, minutes, rest, frames = (
            int(part) for part in re.split("[:;]", format_timecode(first, theirs, drop=True))
        )
        seconds = hours * 3600 + minutes * 60 + rest
    drop = _can_drop(rate) and own_data(timeline).get("drop") is not False
    clock = Clock(rate, _count(seconds, frames * nominal(rate) // base, rate, drop), drop)
    told = f"the timeline starts at frame {first} of {rate_text(theirs)} a second; in this film at {rate_text(rate)} "
    return clock, (Problem(0, "", f"{told}it starts at {clock.timecode(clock.first)}"),)


def _count(seconds: int, frames: int, rate: Fraction, drop: bool) -> int:
    label = f"{seconds // 3600:02}:{seconds // 60 % 60:02}:{seconds % 60:02}"
    try:
        return parse_timecode(f"{label}:{frames:02}", rate, drop=drop)
    except ValueError:  # one of the few labels that drop-frame leaves out: the first that it has in that minute
        return parse_timecode(f"{label}:{nominal(rate) // 15:02}", rate, drop=drop)


def _is_drop(timeline: Object, first: int, rate: Fraction) -> bool:
    """Tell drop-frame, of which OpenTimelineIO keeps no record.

    Said in metadata of ours; else the count in which the start is a whole second, if only one is; else as
    opentimelineio does it (opentime.to_timecode: rates that have drop-frame are drop-frame unless told).
    """
    said = own_data(timeline).get("drop")
    if not _can_drop(rate) or isinstance(said, bool):
        return _can_drop(rate) and bool(said)
    whole = [format_timecode(first, rate, drop=drop)[-2:] == "00" for drop in (False, True)]
    return whole[1] or not whole[0]


def _can_drop(rate: Fraction) -> bool:
    try:
        format_timecode(0, rate, drop=True)
    except ValueError:
        return False
    return True
