"""The cut list as a table: one slot a row.

`end` is exclusive, the first frame after the slot, as a record out is in the tradition of SMPTE ST 258 edit decision
lists: a slot from 01:00:00:00 to 01:00:05:00 at 25 frames a second has 125 frames. `cue` is described in cue_points.py.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from ..errors import ListError
from .cells import SECONDS
from .cue_points import COLUMN as CUE
from .cue_points import Cues, mixed_cue_units, read_cues
from .headers import Header, Units, header_words
from .ids import check_id, id_key, numbered_id
from .rows import Form, Row, Sheet, read_sheet
from .slots import CARDS, CutList, Problem, Slot, overlaps, shown
from .spans import TIME_WORDS, TIMES, Fault, Span, Times, mixed_timecode, mixed_units, read_times, spans

# Synonyms are common practice in edit exports and spreadsheets; the first name of each is our own.
_NAMES = {
    "slot": ("slot", "slot id", "slot no", "id", "no", "nr", "number", "num", "n", "event", "clip", "shot no"),
    "start": (
        *("start", "in", "record in", "rec in", "timeline in", "start time", "in time", "in point", "begin", "from"),
        *("timecode", "tc", "anfang", "beginn", "von", "debut"),
    ),
    "end": (
        *("end", "out", "record out", "rec out", "timeline out", "end time", "out time", "out point", "stop", "to"),
        *("finish", "until", "ende", "bis", "fin"),
    ),
    "length": ("length", "duration", "dur", "len", "frames", "seconds", "lange", "laenge", "dauer", "duree"),
    "wanted": (
        *("wanted", "what should be seen", "what to see", "to be seen", "what", "see", "seen", "picture", "work"),
        *("artwork", "title", "description", "desc", "subject", "content", "werk", "titel", "bild", "titre", "oeuvre"),
    ),
    "still": (
        *("still", "file", "file name", "photograph", "photo", "image", "picture file", "image file", "photo file"),
        *("datei", "foto", "fichier"),
    ),
    "shot": ("shot", "move", "movement", "camera move", "shot kind", "shot type", "camera"),
    "cue": (
        *("cue", "cues", "cue point", "cue points", "cue time", "cue times", "detail at", "detail time", "reached at"),
        *("reach", "hit", "hit point", "stichwort", "repere"),
    ),
    "caption": ("caption", "captions", "lower third", "legend", "text"),
    "credit": ("credit", "credits", "credit line", "photo credit", "courtesy", "copyright", "photographer", "rights"),
    "card": ("card", "card kind", "kind of card"),
    "words": ("words", "words on screen", "on screen text", "screen text", "card text", "card words"),
    "note": ("note", "notes", "comment", "comments", "remark", "remarks", "bemerkung"),
}
_TEXTS = ("wanted", "still", "shot", "caption", "credit", "note", "words")


def _enough(header: Header) -> bool:
    return "length" in header.places or {"start", "end"} <= header.places.keys()


_FORM = Form(
    name="cut list",
    row="slot",
    vocabulary=_NAMES,
    enough=_enough,
    need="start and end, or length (slot, start, end, wanted would work)",
    units=Units(frozenset((*TIMES, CUE)), TIME_WORDS),
)


def read_table(path: Path, rate: Fraction) -> CutList:
    """Read a cut list from a CSV file at a rate in frames per second.

    A row that cannot be used is a problem, not an error; raise ListError where all rows are such. A file with a
    header and nothing below it is an empty cut list.
    """
    sheet = read_sheet(path, _FORM)
    times = [read_times(row, sheet.header.units, rate) for row in sheet.rows]
    drop = _is_drop(times)
    found = [_with_cues(span, sheet.header, rate, drop) for span in spans(times, rate)]
    slots, faults = _slots(sheet, found)
    cues = [(wish.span.row, wish.cues) for wish in found]
    told = [*faults, *mixed_units(times), *mixed_timecode(times), *mixed_cue_units(cues)]
    problems = [*sheet.problems, *(_problem(sheet.header, row, fault) for row, fault in told)]
    if problems and not slots:
        raise ListError(_no_rows(path, problems))
    problems += overlaps(slots, sheet.header.columns.get("start", ""))
    return CutList(
        slots=slots,
        problems=tuple(sorted(problems, key=lambda problem: problem.line)),
        columns=sheet.header.columns,
        ignored=sheet.header.ignored,
        drop=drop,
    )


@dataclass(frozen=True, slots=True)
class _Timed:
    """A row's frames, and the cues inside them."""

    span: Span
    cues: Cues


def _with_cues(span: Span, header: Header, rate: Fraction, drop: bool) -> _Timed:
    # Where the frames cannot be known, no cue can be said to lie in or outside them.
    cell = "" if span.frames is None else span.row[CUE]
    return _Timed(span, read_cues(cell, rate, _cue_unit(header), span.frames or range(0), drop))


def _cue_unit(header: Header) -> str:
    # "cue (s)" is the name "cues" too, letter by letter; as in "start (s)" and "length (s)" it names the unit.
    words = header_words(header.columns.get(CUE, ""))
    return SECONDS if words[-1:] == ("s",) else header.units.get(CUE, "")


def _slots(sheet: Sheet, read: Sequence[_Timed]) -> tuple[tuple[Slot, ...], list[tuple[Row, Fault]]]:
    slots: list[Slot] = []
    faults: list[tuple[Row, Fault]] = []
    taken: dict[str, int] = {}
    for place, timed in enumerate(read, 1):
        span, row = timed.span, timed.span.row
        slot = row["slot"] or numbered_id(place, len(read))
        found = [*span.faults, *_faults_of_id(slot, row, taken, "slot" in sheet.header.places)]
        if span.frames is not None and not any(fault.costs for fault in found):
            slots.append(_slot(check_id(slot), span.frames, timed.cues.frames, row))
            taken[id_key(slots[-1].id)] = row.line
            found += [*_faults_of_wish(row), *timed.cues.faults]
        faults += [(row, fault) for fault in found]
    return tuple(slots), faults


def _slot(slot: str, frames: range, cues: tuple[int, ...], row: Row) -> Slot:
    texts = {column: row[column] for column in _TEXTS}
    card = row["card"].lower()
    return Slot(slot, frames.start, len(frames), line=row.line, cues=cues, card=card if card in CARDS else "", **texts)


def _faults_of_id(slot: str, row: Row, taken: dict[str, int], has_column: bool) -> Iterator[Fault]:
    try:
        line = taken.get(id_key(check_id(slot)), 0)
    except ValueError as error:
        yield Fault("slot", f"{shown(slot)} cannot be used: {error}")
        return
    if line:
        yield Fault(
            "slot", f"{shown(slot)} is the id of line {line} too, and both would be one file; case does not count"
        )
    elif has_column and not row["slot"]:
        yield Fault("slot", f"empty, so the slot is numbered {shown(slot)} after its row", costs=False)


def _faults_of_wish(row: Row) -> Iterator[Fault]:
    if row["card"] and row["card"].lower() not in CARDS:
        rule = f"no card of words is called {shown(row['card'])}; {', '.join(CARDS)} would work"
        yield Fault("card", f"{rule}; the slot shows what is wanted instead", costs=False)
    elif not row["card"] and not row["wanted"] and not row["still"]:
        yield Fault("wanted", "neither wanted nor still says what should be seen; the slot will be a card", costs=False)


def _problem(header: Header, row: Row, fault: Fault) -> Problem:
    column = header.columns.get(fault.column, "")
    return Problem(row.line, column, fault.message + ("; the row is left out" if fault.costs else ""))


def _is_drop(times: Iterable[Times]) -> bool:
    return any(moment.drop for row in times for moment in row.moments.values())


def _no_rows(path: Path, problems: Sequence[Problem]) -> str:
    first = "; ".join(str(problem) for problem in problems[:3])
    return f"'{path}' has no usable row below its header: {first}"
