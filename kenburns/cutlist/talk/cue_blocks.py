"""The lines of a WebVTT or SubRip file -> cues: times and text, before the text is looked into.

WebVTT follows W3C WebVTT, "WebVTT file parsing" (section 6.1), "collect a WebVTT block" and "collect a WebVTT
timestamp" (6.3; both from memory): a header, blocks divided by empty lines, NOTE blocks that are passed over, STYLE and
REGION blocks. SubRip has no standard: a number, a line of times with a comma before the milliseconds,
text (common practice).
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from ..slots import Problem, shown

ARROW = "-->"

_TIME = r"(?:(\d{1,4}):)?(\d{1,2}):(\d{1,2})(?:[.,](\d{1,3}))?"
_TIMES = re.compile(rf"\s{{0,99}}{_TIME}\s{{0,99}}-->\s{{0,99}}{_TIME}(?=\s|$)", re.ASCII)
_INDEX = re.compile(r"\s{0,99}\d{1,9}\s{0,99}", re.ASCII)
_PASSED_OVER = re.compile(r"(?:NOTE(?=\s|$)|STYLE\s*$|REGION\s*$)")
_WHAT_WORKS = "a cue has a line such as 00:01:02.500 --> 00:01:05.000 and text below it"


@dataclass(frozen=True, slots=True)
class Cue:
    """Times in seconds, the text with its line breaks and marks, and the line of the times."""

    start: Fraction
    end: Fraction
    payload: str
    line: int


def webvtt_cues(lines: Sequence[str]) -> Iterator[Cue | Problem]:
    """Yield the cues below the header line, and a problem for each block that is none."""
    first = next((at for at, line in enumerate(lines) if not line.strip()), len(lines))
    arrow = next(
        (at for at, line in enumerate(lines[:first]) if ARROW in line), first
    )  # no empty line after the header
    at = arrow - (1 if 1 < arrow < first and lines[arrow - 1].strip() else 0)
    yield from _cues(lines, max(at, 1), keeps_notes=False)


def subrip_cues(lines: Sequence[str]) -> Iterator[Cue | Problem]:
    """Yield the cues of a SubRip file, and a problem for each block that is none."""
    yield from _cues(lines, 0, keeps_notes=True)


def _cues(lines: Sequence[str], at: int, *, keeps_notes: bool) -> Iterator[Cue | Problem]:
    while at < len(lines):
        if not lines[at].strip():
            at += 1
            continue
        end = _block_end(lines, at)
        timed = next((place for place in range(at, end) if ARROW in lines[place]), None)
        if timed is None:
            if keeps_notes or not _PASSED_OVER.match(lines[at]):
                yield from _untimed(lines, at, alone=end - at == 1)
        elif timed > at + 1 and (keeps_notes or not _PASSED_OVER.match(lines[at])):
            yield from _untimed(lines, at, alone=False)
        if timed is not None:
            yield from _cue(lines, timed, end)
        at = end


def _block_end(lines: Sequence[str], at: int) -> int:
    """Return where the block that begins at `at` ends: at an empty line, or where a second line of times begins one."""
    seen = False
    for place in range(at, len(lines)):
        if not lines[place].strip():
            return place
        if ARROW in lines[place]:
            if seen:
                # The number of the next cue stands before its times; only text would be left before it otherwise.
                numbered = place - 1 > at and ARROW not in lines[place - 1] and _INDEX.fullmatch(lines[place - 1])
                return place - 1 if numbered else place
            seen = True
    return len(lines)


def _untimed(lines: Sequence[str], at: int, *, alone: bool) -> Iterator[Problem]:
    if alone and _INDEX.fullmatch(lines[at]):  # the number of a cue with nothing below it says nothing
        return
    yield Problem(at + 1, "", f"{shown(lines[at])} has no times and is left out; {_WHAT_WORKS}")


def _cue(lines: Sequence[str], timed: int, end: int) -> Iterator[Cue | Problem]:
    found = _TIMES.match(lines[timed])
    if not found:
        yield Problem(timed + 1, "", f"{shown(lines[timed])} is not two times; the cue is left out. {_WHAT_WORKS}")
        return
    start, stop = _seconds(found.groups()[:4]), _seconds(found.groups()[4:])
    payload = "\n".join(lines[timed + 1 : end])
    if start is None or stop is None:
        rule = "minutes and seconds end at 59; the cue is left out"
        yield Problem(timed + 1, "", f"{shown(lines[timed])}: {rule}")
    elif stop < start:
        yield Problem(timed + 1, "", f"{shown(lines[timed])} ends before it starts; the cue is left out")
    else:
        yield Cue(start, stop, payload, timed + 1)


def _seconds(fields: Sequence[str | None]) -> Fraction | None:
    hours, minutes, seconds, part = fields
    if int(minutes or 0) > 59 or int(seconds or 0) > 59:
        return None
    whole = int(hours or 0) * 3600 + int(minutes or 0) * 60 + int(seconds or 0)
    return whole + (Fraction(int(part), 10 ** len(part)) if part else Fraction(0))
