"""What a cut list says, row by row, and what was wrong with the rows it could not say."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

CARDS = ("title", "chapter", "quote", "caption", "credits", "roll")
"""The kinds of cards of words."""

_LABEL = 60  # characters of a card's words by which its slot is known
_SHOWN = 60  # characters of a value that a message repeats


@dataclass(frozen=True, slots=True)
class Slot:
    """A gap in the edit that one still fills.

    start is counted in frames from timecode 00:00:00:00, length is at least 1; line is the line of the file where
    the row begins (0: not from a file). cues are the moments at which a detail must be reached, rising, in frames from
    the slot's start. The id is safe as a file name on every system (see ids.py). card is the kind of a card of words
    that is wanted (one of CARDS), "" for a picture; words are what it says.
    """

    id: str
    start: int
    length: int
    wanted: str
    still: str = ""
    shot: str = ""
    caption: str = ""
    credit: str = ""
    note: str = ""
    line: int = 0
    cues: tuple[int, ...] = ()
    card: str = ""
    words: str = ""

    @property
    def end(self) -> int:
        """First frame after the slot, as a record out is."""
        return self.start + self.length

    @property
    def label(self) -> str:
        """What it is known by: what is wanted, or else what its card says, or is."""
        said = " ".join(self.words.replace("|", "–").split())
        return self.wanted or (said if len(said) <= _LABEL else f"{said[: _LABEL - 1]}…") or self.card


@dataclass(frozen=True, slots=True)
class Problem:
    """A row that could not be used (its message says that it is left out), or a thing to look at.

    line is 0 in files that have no lines; column is the header as it stands in the file, empty where the whole row is
    meant.
    """

    line: int
    column: str
    message: str

    def __str__(self) -> str:
        places = [f"line {self.line}"] * bool(self.line) + [f"column '{self.column}'"] * bool(self.column)
        return f"{', '.join(places)}: {self.message}" if places else self.message


@dataclass(frozen=True, slots=True)
class CutList:
    """Usable slots in the order of the file, and how the file was read.

    columns maps our column names to the headers found; ignored lists the other headers; drop says whether the
    file's timecode is drop-frame; skipped says of each entry that asks for no still (sound, black, another track) why
    it is none.
    """

    slots: tuple[Slot, ...]
    problems: tuple[Problem, ...]
    columns: dict[str, str]
    ignored: tuple[str, ...]
    drop: bool
    skipped: tuple[Problem, ...] = ()


def shown(value: str) -> str:
    """Return a value as messages quote it: on one line, printable, not too long."""
    line = " ".join("".join(c if c.isprintable() else " " for c in value).split())
    return f"'{line}'" if len(line) <= _SHOWN else f"'{line[: _SHOWN - 1]}…'"


def overlaps(slots: Iterable[Slot], column: str = "") -> tuple[Problem, ...]:
    """Return a problem for each slot that starts before an earlier one has ended; touching slots do not overlap."""
    problems: list[Problem] = []
    last: Slot | None = None
    for slot in sorted(slots, key=lambda slot: (slot.start, slot.line)):
        if last is not None and slot.start < last.end:
            problems.append(_overlap(slot, last, column))
        last = slot if last is None or slot.end > last.end else last
    return tuple(problems)


def _overlap(slot: Slot, before: Slot, column: str) -> Problem:
    frames = min(before.end, slot.end) - slot.start
    where = f" (line {before.line})" if before.line else ""
    return Problem(
        slot.line,
        column,
        f"slot {shown(slot.id)} overlaps slot {shown(before.id)}{where} by {frames} "
        f"frame{'s' * (frames != 1)}; both are kept",
    )
