"""The record times of an event -> frames.

Frame code is drop-frame where the last header above says so (FCM), where the timecode itself has a semicolon before
the frames, and, unless the header says non-drop, where it has a point or a comma there alone (common practice). At
rates that have no drop-frame, point and comma are plain separators, and a semicolon is an error: the rate is wrong.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from ...motion.timebase import parse_timecode, rate_text
from .lines import Listed

_PARTS = re.compile(r"(\d{1,2})(.)(\d{2})(.)(\d{2})(.)(\d{2})", re.ASCII)
_LATEST_HOURS = 99  # so that the end of every slot still has a timecode
_DROP_RATES = (Fraction(30000, 1001), Fraction(60000, 1001))


@dataclass(frozen=True, slots=True)
class Span:
    """An event's record times: first frame, first frame after it, both from 00:00:00:00; and how they are counted."""

    start: int
    stop: int
    drop: bool

    @property
    def length(self) -> int:
        """Frames, 0 for an event of no length."""
        return self.stop - self.start


def read_span(listed: Listed, rate: Fraction) -> Span:
    """Return an event's record times; raise ValueError where one is no timecode of this rate, or out is before in."""
    event = listed.event
    drop = _is_drop(listed, rate)
    start, stop = (parse_timecode(_plain(text, drop), rate) for text in (event.record_in, event.record_out))
    if stop < start:
        order = f"record out {event.record_out} is before record in {event.record_in}"
        raise ValueError(f"{order}; past midnight the hours go on from 24")
    if stop > _LATEST_HOURS * 3600 * rate:
        raise ValueError(f"record out {event.record_out} is later than {_LATEST_HOURS} hours; timecode ends there")
    return Span(start, stop, drop)


def fault_of_header(listed: Listed, rate: Fraction) -> str:
    """Return what is wrong with the frame code header above an event, empty where nothing is."""
    if not listed.drop or rate in _DROP_RATES:
        return ""
    return (
        f"the header says drop-frame, which exists at 30000/1001 and 60000/1001 only, not {rate_text(rate)}; "
        "times below it are read as non-drop"
    )


def _is_drop(listed: Listed, rate: Fraction) -> bool:
    marks = [_mark(listed.event.record_in), _mark(listed.event.record_out)]
    if ";" in marks:
        return True
    # beside a header that says non-drop, point and comma tell the second field of a frame
    said = any(marks) if listed.drop is None else listed.drop
    return said and rate in _DROP_RATES


def _mark(text: str) -> str:
    """Return the separator before the frames where it marks drop-frame, else an empty text."""
    found = _PARTS.fullmatch(text)
    if found is None or found.group(6) == ":":
        return ""
    # 01.00.00.00 says nothing of drop-frame: there the point is how its writer parts all fields
    return found.group(6) if found.group(6) == ";" or found.group(4) == ":" else ""


def _plain(text: str, drop: bool) -> str:
    found = _PARTS.fullmatch(text)
    if found is None:
        return text
    hours, _, minutes, _, seconds, _, frames = found.groups()
    return f"{hours:0>2}:{minutes}:{seconds}{';' if drop else ':'}{frames}"
