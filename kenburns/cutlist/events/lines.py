"""The file of an edit decision list -> its events, each with the lines below it.

Text has any encoding of text_file.py and any line end. Whatever the bytes, every line that begins like an event becomes
one, or a problem.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from ...errors import ListError
from ..slots import Problem, shown
from ..text_file import decoded, read_bytes
from .comments import DROP, NON_DROP, Said, Statement, read_statement, said
from .event import CUT, LONGEST_LINE, Event, begins_like_event, parse_event

_LARGEST = 50_000_000  # bytes; a list of ten thousand events has two million
_MOST_EVENTS = 100_000
_MOST_REMARKS = 1_000  # lines without a meaning that are told one by one
_WHAT_WORKS = "an edit decision list has a line for each event: 001  REEL  V  C  and four timecodes"


@dataclass(frozen=True, slots=True)
class Listed:
    """An event, what the lines below it say, and whether the last frame code header above it says drop-frame.

    drop is None where there is no header; drop_line is the header's line, 0 where there is none.
    """

    event: Event
    said: Said
    drop: bool | None
    drop_line: int


@dataclass(frozen=True, slots=True)
class EventFile:
    """The events of a file in its order, and the lines that could not be understood."""

    events: tuple[Listed, ...]
    problems: tuple[Problem, ...]


@dataclass(slots=True)
class _Reading:
    """The state that a list has line by line: frame code, and the event that the next lines speak of."""

    drop: bool | None = None
    drop_line: int = 0
    open: tuple[Event, bool | None, int] | None = None
    below: list[Statement] = field(default_factory=list)
    events: list[Listed] = field(default_factory=list)
    lost: list[Problem] = field(default_factory=list)
    remarks: list[Problem] = field(default_factory=list)

    def close(self) -> None:
        if self.open is not None:
            event, drop, drop_line = self.open
            self.events.append(Listed(event, said(self.below), drop, drop_line))
        self.open, self.below = None, []


def read_events(path: Path) -> EventFile:
    """Read all events of a file; raise ListError where it is no file, too large, or has no line like an event's."""
    reading = _Reading()
    for number, line in enumerate(split_lines(_decoded(read_bytes(path, _LARGEST, _WHAT_WORKS))), 1):
        _read_line(reading, line, number)
        if len(reading.events) + len(reading.lost) > _MOST_EVENTS:
            raise ListError(f"'{path}' has more than {_MOST_EVENTS} events; cut the list into parts")
    reading.close()
    reading.events = list(_with_shared(reading.events))[::-1]
    if not reading.events and not reading.lost:
        raise ListError(f"'{path}' has no event; {_WHAT_WORKS}")
    return EventFile(tuple(reading.events), (*reading.lost, *_told(reading.remarks)))


def looks_like_edit_list(head: bytes) -> bool:
    """Whether a file that begins with these bytes (4 KB do) is an edit decision list: by its content, not its name.

    An event tells it, or a frame code header, or a title in capitals above nothing but comments. What looks like the
    header of a table above all these tells that it is none.
    """
    titled = False
    for text in filter(None, map(_trimmed, split_lines(_decoded(head[: len(head) & ~1])))):
        if parse_event(text, 1) is not None:
            return True
        if begins_like_event(text):
            continue
        statement = read_statement(text[:LONGEST_LINE])
        if statement is not None and statement.kind in (DROP, NON_DROP):
            return True
        if statement is None and _parts(text) > 2:
            return False
        titled = statement is not None and (titled or text.startswith("TITLE:"))
    return titled


def _parts(text: str) -> int:
    return 1 + max(text.count(mark) for mark in ",;\t")


def _decoded(data: bytes) -> str:
    return decoded(data, unmarked_utf_16=True)


def split_lines(text: str) -> Iterable[str]:
    """Return the lines of a text as editors count them."""
    return re.split(r"\r\n|\r|\n", text)


def _trimmed(line: str) -> str:
    return line.strip(" \t\v\f\0\x1a\xa0")  # some files are filled up with zeros, or closed with Ctrl-Z


def _read_line(reading: _Reading, line: str, number: int) -> None:
    text = _trimmed(line)
    if begins_like_event(text):
        _read_event_line(reading, text, number)
    elif len(text) > LONGEST_LINE:
        reading.remarks.append(Problem(number, "", f"{_too_long(text)}; it is passed over"))
    elif text:
        _read_statement_line(reading, text, number)


def _read_event_line(reading: _Reading, text: str, number: int) -> None:
    reading.close()
    event = parse_event(text, number)
    if event is None:
        why = _too_long(text) if len(text) > LONGEST_LINE else f"{shown(text[:LONGEST_LINE])} is no event"
        reading.lost.append(Problem(number, "", f"{why}; {_WHAT_WORKS}; it is left out"))
    else:
        reading.open = event, reading.drop, reading.drop_line


def _read_statement_line(reading: _Reading, text: str, number: int) -> None:
    statement = read_statement(text)
    if statement is None:
        message = f"{shown(text)} is neither an event nor a statement known here; it is passed over"
        reading.remarks.append(Problem(number, "", message))
    elif statement.kind in (DROP, NON_DROP):
        reading.drop, reading.drop_line = statement.kind == DROP, number
    else:
        reading.below.append(statement)


def _too_long(text: str) -> str:
    return f"a line of {len(text)} characters; lines have at most {LONGEST_LINE}"


def _with_shared(events: Sequence[Listed]) -> Iterator[Listed]:
    """Yield the events from the last to the first, lines of one number that stand together with what is said below.

    So picture and sound of one event, each on its own line, have one name. The sides of a transition have two.
    """
    after: Listed | None = None
    for listed in reversed(events):
        together = after is not None and after.event.line == listed.event.line + 1
        if after is not None and together and after.event.number == listed.event.number and after.event.kind == CUT:
            after = replace(listed, said=after.said)
        else:
            after = listed
        yield after


def _told(remarks: Sequence[Problem]) -> Iterator[Problem]:
    yield from remarks[:_MOST_REMARKS]
    if len(remarks) > _MOST_REMARKS:
        line, more = remarks[_MOST_REMARKS].line, len(remarks) - _MOST_REMARKS
        yield Problem(line, "", f"from here on {more} more lines are no events and no known statements")
