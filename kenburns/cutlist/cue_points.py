"""The cue cell of a cut list -> the frames of a slot on which a detail must be reached.

One cue or several, separated by spaces, commas or slashes. Each is read by the rules of the other time columns
(cells.py): a timecode is the film's, anything else is counted from the slot's start.

=========================  ==========================================
``01:00:02:00``            at that timecode of the film
``50``  ``50f``            50 frames after the slot's start
``2 s``  ``2.0``  ``0:02``  two seconds after it
``2 s / 4.5 s``            two cues
``50, 112``  ``50 112``    two cues
``2,5``                    one: a comma inside a number is a decimal comma
=========================  ==========================================
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from .cells import FRAMES, SECONDS, Moment, read_moment
from .rows import Row
from .slots import shown
from .spans import Fault

COLUMN = "cue"

# Tried one after the other on what is no time as it stands, so that "5 s" and "2,5" stay whole.
_SEPARATORS = ("/", r" ?[,;] | (?=[\d.,])", ",")

_WHAT_WORKS = "a timecode of the film, or frames or seconds from the slot's start, would work"


@dataclass(frozen=True, slots=True)
class Cues:
    """A row's cues in frames from the slot's start, rising, and what is to be said of those left out.

    guessed are the units assumed for bare numbers.
    """

    frames: tuple[int, ...]
    faults: tuple[Fault, ...]
    guessed: frozenset[str]


def read_cues(text: str, rate: Fraction, unit: str, slot: range, drop: bool) -> Cues:
    """Read the cue cell of a slot that has these frames of the film; a bad cue costs itself, never the row.

    unit is what the header says of bare numbers ("" if nothing), drop whether the list has drop-frame timecode.
    """
    pieces = list(_pieces(" ".join(text.split()).strip(" ,;/"), rate, unit, _SEPARATORS))
    read = [(piece, found) for piece, found in pieces if isinstance(found, Moment)]
    placed = [(piece, moment, _from_start(moment, slot)) for piece, moment in read]
    inside = [(piece, moment, frame) for piece, moment, frame in placed if 0 <= frame < len(slot)]
    outside = [(piece, frame) for piece, _, frame in placed if not 0 <= frame < len(slot)]
    return Cues(
        tuple(sorted({frame for _, _, frame in inside})),
        (
            *_left_out([(piece, f"cannot be used: {found}") for piece, found in pieces if isinstance(found, str)]),
            *_left_out([(piece, f"is {_where(frame, len(slot))}; {_WHAT_WORKS}") for piece, frame in outside]),
            *(_not_drop(piece) for piece, moment, _ in inside if drop and moment.drop is False),
        ),
        frozenset(moment.guessed for _, moment in read),
    )


def mixed_cue_units(rows: Iterable[tuple[Row, Cues]]) -> Iterator[tuple[Row, Fault]]:
    """Yield the first row with bare whole numbers, where other cues of the list are bare decimals."""
    rows = list(rows)
    frames = next((row for row, cues in rows if FRAMES in cues.guessed), None)
    seconds = next((row for row, cues in rows if SECONDS in cues.guessed), None)
    if frames and seconds:
        message = (
            f"whole numbers in {shown(frames[COLUMN])} are read as frames, but line {seconds.line} has seconds here "
            f"({shown(seconds[COLUMN])}); write '2 s' or '50f', or name the unit in the header"
        )
        yield frames, Fault(COLUMN, message, costs=False)


def _pieces(text: str, rate: Fraction, unit: str, separators: tuple[str, ...]) -> Iterator[tuple[str, Moment | str]]:
    """Yield each piece of the text with its time, or with what is wrong with it."""
    if not text:
        return
    try:
        yield text, read_moment(text, rate, unit)
    except ValueError as error:
        if not separators:
            yield text, str(error)
            return
        for piece in re.split(separators[0], text):
            yield from _pieces(piece.strip(), rate, unit, separators[1:])


def _from_start(moment: Moment, slot: range) -> int:
    return moment.frames - (slot.start if moment.drop is not None else 0)


def _where(frame: int, length: int) -> str:
    side = f"{-frame} frames before" if frame < 0 else f"{frame} frames after"
    return f"{side} the slot's start, outside its {length} frame{'s' * (length != 1)}"


def _left_out(cues: Sequence[tuple[str, str]]) -> Iterator[Fault]:
    """Yield one fault for all cues that share a reason, with the words for the first."""
    if cues:
        (piece, why), more = cues[0], len(cues) - 1
        rest = f"the cue is left out, and {more} more like it" if more else "the cue is left out"
        yield Fault(COLUMN, f"{shown(piece)} {why}; {rest}", costs=False)


def _not_drop(piece: str) -> Fault:
    message = f"{shown(piece)} is read as non-drop, though the list has drop-frame timecode (';') too"
    return Fault(COLUMN, message, costs=False)
