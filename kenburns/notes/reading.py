"""A file of notes -> the remarks in it, each with its time: a text, a table, or a transcript with its times.

Nothing a person wrote is passed over: a remark whose time cannot be read is kept without one, and told of.
"""

from __future__ import annotations

import csv
import hashlib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path

from ..cutlist.headers import Header, Units
from ..cutlist.rows import Form, Row, read_sheet
from ..cutlist.slots import Problem, shown
from ..cutlist.spans import TIME_WORDS
from ..cutlist.talk.transcript import read_transcript
from ..cutlist.text_file import decoded, read_bytes
from ..errors import ListError
from .stamps import Span, Stamped, is_list_mark, read_stamps
from .times import Time

_LARGEST = 1_000_000  # bytes; a thousand remarks have about a hundred thousand
_MOST = 5_000  # remarks
_WHAT_WORKS = "notes are a text, a CSV file or a transcript with times such as 3:12 before the words"

# Synonyms are common practice in tables of remarks; the first name of each is our own.
_NAMES = {
    "time": (
        *("time", "timecode", "tc", "timestamp", "time stamp", "at", "in", "tc in", "start", "start time", "position"),
        *("from", "time code", "frame", "frames", "seconds", "zeit", "temps", "tempo"),
    ),
    "end": ("end", "out", "tc out", "end time", "to", "until", "stop", "bis", "fin"),
    "text": (
        *("note", "notes", "remark", "remarks", "comment", "comments", "text", "feedback", "what", "said", "change"),
        *("description", "message", "anmerkung", "anmerkungen", "bemerkung", "kommentar", "commentaire", "nota"),
    ),
    "author": ("author", "who", "name", "by", "user", "reviewer", "commenter", "speaker", "initials", "person", "wer"),
    "slot": ("slot", "slot id", "clip", "shot", "event"),
    "done": ("done", "status", "state", "resolved", "complete", "completed", "ok", "checked", "erledigt"),
}
_DONE = frozenset(
    {"x", "yes", "y", "true", "1", "done", "ok", "resolved", "complete", "completed", "ja", "oui", "✓", "✔"}
)


@dataclass(frozen=True, slots=True)
class Note:
    """One remark: what was said of which time, by whom; `span` is None where it has no time that can be read.

    `id` stays the same as long as time and words do, in whatever order and spelling of the time. `slot` is the one that
    the remark names itself, `done` says that the file ticks it, `line` is where it begins.
    """

    id: str
    span: Span | None
    text: str
    author: str = ""
    slot: str = ""
    done: bool = False
    line: int = 0


@dataclass(frozen=True, slots=True)
class Notes:
    """All remarks of a file in its order, and what could not be read of them."""

    notes: tuple[Note, ...]
    problems: tuple[Problem, ...] = ()


def read_notes(path: Path, rate: Fraction) -> Notes:
    """Read a file of notes at a rate in frames per second.

    ListError where it cannot be read, is no text, is larger than 1 MB, or holds no word.
    """
    text = _text(path)
    found = _read(path, text, rate)
    if not found.notes:
        raise ListError(f"'{path}' holds no remark; {_WHAT_WORKS}")
    if len(found.notes) > _MOST:
        raise ListError(f"'{path}' has {len(found.notes)} remarks; at most {_MOST} are read")
    return replace(found, notes=tuple(_with_ids(found.notes)))


def _read(path: Path, text: str, rate: Fraction) -> Notes:
    if "-->" in text:
        try:
            return _of_transcript(path, rate)
        except ListError:
            pass  # an arrow in a text, or times that no transcript has
    try:
        return _of_table(path, rate)
    except ListError:
        return _of_text(text, rate)  # no header: lines that begin with times


def _text(path: Path) -> str:
    text = decoded(read_bytes(path, _LARGEST, _WHAT_WORKS))
    if "\0" in text:
        raise ListError(f"'{path}' is not text; {_WHAT_WORKS}")
    return text


def _with_ids(notes: Iterable[Note]) -> Iterator[Note]:
    """Give each note its id; of several alike, in file order, the second ends in -2 and so on."""
    seen: dict[str, int] = {}
    for note in notes:
        said = " ".join(note.text.split())
        of = f"{note.span.key if note.span else ''}\n{said}"
        mark = hashlib.sha256(of.encode("utf-8", "surrogatepass")).hexdigest()[:10]
        seen[mark] = seen.get(mark, 0) + 1
        yield replace(note, id=mark if seen[mark] == 1 else f"{mark}-{seen[mark]}")


def _of_transcript(path: Path, rate: Fraction) -> Notes:
    transcript = read_transcript(path)
    notes = tuple(
        Note("", Span(Time("clock", said.start), Time("clock", said.end)), said.text, said.speaker, line=said.line)
        for said in transcript.lines
        if said.end * rate < 99 * 3600 * rate
    )
    return Notes(notes, transcript.problems)


def _enough(header: Header) -> bool:
    return "text" in header.places and bool({"time", "slot"} & header.places.keys())


_FORM = Form(
    name="notes",
    row="remark",
    vocabulary=_NAMES,
    enough=_enough,
    need="time and note (time, note, author would work)",
    units=Units(frozenset({"time", "end"}), TIME_WORDS),
)


def _of_table(path: Path, rate: Fraction) -> Notes:
    sheet = read_sheet(path, _FORM)
    notes: list[Note] = []
    problems = list(sheet.problems)
    for row in sheet.rows:
        stamped = _stamped(row, sheet.header, rate)
        done = row["done"].casefold() in _DONE or stamped.done
        text = " ".join(filter(None, (stamped.text, row["text"])))
        notes += [
            Note("", span, text, row["author"], row["slot"], done, row.line) for span in (stamped.spans or (None,))
        ]
        if stamped.fault or not (stamped.spans or row["slot"]):
            problems.append(_unread(row.line, sheet.header.columns.get("time", ""), row["time"], stamped.fault))
    return Notes(tuple(notes), tuple(sorted(problems, key=lambda problem: problem.line)))


def _stamped(row: Row, header: Header, rate: Fraction) -> Stamped:
    """Read the time cells of a row; a bare number counts what the header says, or seconds where it has a decimal."""
    first = _cell(row["time"], header.units.get("time", ""))
    last = _cell(row["end"], header.units.get("end", ""))
    read = read_stamps(first, rate)
    if not last or len(read.spans) != 1 or read.spans[0].last:
        return read
    end = read_stamps(last, rate)
    both = read_stamps(f"{first} - {last}", rate) if end.spans else end
    if both.fault:
        return replace(read, fault=f"the end is left out: {both.fault}")
    return replace(read, spans=(replace(read.spans[0], last=end.spans[0].first),)) if end.spans else read


def _cell(cell: str, unit: str) -> str:
    number = cell.strip().replace(",", ".")
    if not number.replace(".", "", 1).isdecimal() or not number.isascii():
        return cell
    if unit:
        return f"{number} {unit}"
    return f"{number} s" if "." in number else cell


def _unread(line: int, column: str, said: str, fault: str) -> Problem:
    rule = fault or "no time stands there"
    return Problem(line, column, f"{shown(said)} is kept without a place in the film: {rule}")


def _of_text(text: str, rate: Fraction) -> Notes:
    """Read lines: each with a time begins a remark, those below it without one go on with it until an empty line."""
    notes: list[tuple[Note, list[str]]] = []
    problems: list[Problem] = []
    words: list[str] | None = None  # of the last remark, while the next line may go on with it
    for number, line in enumerate(text.splitlines(), start=1):
        if not any(c.isalnum() for c in line):
            words = words if line.strip() else None
            continue
        stamped = read_stamps(_unquoted(line), rate)
        if words is not None and _goes_on(line, stamped):
            words.append(stamped.text)
            continue
        words = [_words(stamped.text)]
        spans: Sequence[Span | None] = stamped.spans or (None,)
        notes += [(Note("", span, "", done=stamped.done, line=number), words) for span in spans]
        if not stamped.spans:
            problems.append(_unread(number, "", line, stamped.fault))
    return Notes(tuple(replace(note, text=" ".join(said).strip()) for note, said in notes), tuple(problems))


def _goes_on(line: str, stamped: Stamped) -> bool:
    """Whether a line goes on with the remark above it: it has no time at its head, or is set in further."""
    if stamped.fault or is_list_mark(line):
        return False
    return not stamped.spans or (line[:1].isspace() and stamped.text == line.strip())


def _unquoted(line: str) -> str:
    """Take the marks of a quoted mail, or of a table's cells, off a line."""
    stripped = line.lstrip("> ") if line.startswith(">") else line
    if stripped.startswith('"') and '","' in stripped and len(stripped) < csv.field_size_limit():
        return ", ".join(next(csv.reader([stripped])))
    return stripped


def _words(text: str) -> str:
    """Return the words of a cell without the quotation marks around all of it."""
    inner = text[1:-1].replace('""', "")
    is_cell = len(text) > 2 and text[0] == text[-1] == '"' and '"' not in inner
    return text[1:-1].replace('""', '"').strip() if is_cell else text
