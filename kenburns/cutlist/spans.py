"""A row's start, end and length -> the frames its slot has."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from .cells import FRAMES, SECONDS, WHAT_WORKS, Moment, read_moment
from .rows import Row
from .slots import shown

TIMES = ("start", "end", "length")
# What a header may say of its column's bare numbers; the last ones describe timecode and say nothing of them.
TIME_WORDS = {
    **dict.fromkeys(("f", "fr", "frame", "frames"), FRAMES),
    **dict.fromkeys(("s", "sec", "secs", "second", "seconds", "sek", "sekunden", "secondes"), SECONDS),
    **dict.fromkeys(("tc", "timecode", "smpte", "hh", "mm", "ss", "ff", "h", "m", "hms"), ""),
}
_LATEST_HOURS = 99  # so that the end of every slot still has a timecode


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong in a column of a row; costs says whether the row is left out for it."""

    column: str
    message: str
    costs: bool = True


@dataclass(frozen=True, slots=True)
class Times:
    """The time cells of a row that hold something: read, or at fault."""

    row: Row
    moments: dict[str, Moment]
    faults: tuple[Fault, ...]


@dataclass(frozen=True, slots=True)
class Span:
    """A row's frames (None where they cannot be known) and what is to be said of them."""

    row: Row
    frames: range | None
    faults: tuple[Fault, ...]


def read_times(row: Row, units: Mapping[str, str], rate: Fraction) -> Times:
    """Read a row's time cells; units says what the headers say of bare numbers."""
    moments: dict[str, Moment] = {}
    faults: list[Fault] = []
    for column in TIMES:
        try:
            if row[column]:
                moments[column] = read_moment(row[column], rate, units.get(column, ""))
        except ValueError as error:
            faults.append(Fault(column, f"{shown(row[column])} cannot be used: {error}"))
    return Times(row, moments, tuple(faults))


def spans(rows: Sequence[Times], rate: Fraction) -> Iterator[Span]:
    """Yield each row's span; a row without a start follows the row above it."""
    cursor, lost = 0, 0
    for times in rows:
        span = _span(times, cursor, rate)
        if span.frames is None:
            lost = times.row.line
            yield span
            continue
        doubt = _doubt(times, lost)
        cursor, lost = span.frames.stop, 0
        yield Span(span.row, span.frames, span.faults + doubt)


def mixed_units(rows: Sequence[Times]) -> Iterator[tuple[Row, Fault]]:
    """Yield, for each column with bare whole numbers and bare decimals, the first whole number."""
    for column in TIMES:
        guessed = [(times.row, times.moments[column].guessed) for times in rows if column in times.moments]
        frames = next((row for row, unit in guessed if unit == FRAMES), None)
        seconds = next((row for row, unit in guessed if unit == SECONDS), None)
        if frames and seconds:
            yield frames, Fault(column, _mixed(frames[column], seconds[column], seconds.line), costs=False)


def mixed_timecode(rows: Sequence[Times]) -> Iterator[tuple[Row, Fault]]:
    """Yield the first non-drop timecode where others of the list are drop-frame."""
    marks = [(times.row, column, times.moments[column].drop) for times in rows for column in times.moments]
    plain = next(((row, column) for row, column, drop in marks if drop is False and column != "length"), None)
    if plain and any(drop for _, _, drop in marks):
        row, column = plain
        message = f"{shown(row[column])} is read as non-drop, though the list has drop-frame timecode (';') too"
        yield row, Fault(column, message, costs=False)


def _span(times: Times, cursor: int, rate: Fraction) -> Span:
    if times.faults:
        return Span(times.row, None, times.faults)
    start, end, length = (times.moments.get(column) for column in TIMES)
    first = start.frames if start else cursor
    if end:
        stop = end.frames
    elif length:
        stop = first + length.frames
    else:
        return Span(times.row, None, (Fault("length", f"a slot has an end or a length; {WHAT_WORKS}"),))
    column = "end" if end else "length"
    fault = _fault_of_length(times.row[column], column, range(first, stop), stop - first, rate)
    if fault:
        return Span(times.row, None, (fault,))
    return Span(times.row, range(first, stop), _disagreement(times, stop - first))


def _fault_of_length(text: str, column: str, frames: range, length: int, rate: Fraction) -> Fault | None:
    if length < 1:
        rule = "a slot has at least 1 frame" + (", and its end is the first after it" if column == "end" else "")
        return Fault(column, f"{shown(text)} makes a slot of {length} frames; {rule}")
    if frames.stop > _LATEST_HOURS * 3600 * rate:
        return Fault(column, f"with {shown(text)} the slot ends later than {_LATEST_HOURS} hours; timecode ends there")
    return None


def _disagreement(times: Times, frames: int) -> tuple[Fault, ...]:
    length = times.moments.get("length")
    if "end" not in times.moments or length is None or length.frames == frames:
        return ()
    message = (
        f"{shown(times.row['length'])} is {length.frames} frames, but start and end are {frames} apart; these are used "
        "(the end is the first frame after the slot)"
    )
    return (Fault("length", message, costs=False),)


def _doubt(times: Times, lost: int) -> tuple[Fault, ...]:
    if not lost or "start" in times.moments:
        return ()
    message = (
        f"without a start the slot follows the last usable row, but line {lost} could not be used; mend that first"
    )
    return (Fault("start", message, costs=False),)


def _mixed(frames: str, seconds: str, line: int) -> str:
    return (
        f"{shown(frames)} is read as frames, but line {line} has seconds here ({shown(seconds)}); "
        f"write {shown(frames + '.0')} where seconds are meant, or name the unit in the header"
    )
