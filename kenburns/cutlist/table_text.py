"""Slots -> the text of a cut list, as a person goes on editing it."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from fractions import Fraction

from ..motion.timebase import format_timecode
from .slots import Slot

COLUMNS = ("slot", "start", "end", "wanted", "still", "shot", "caption", "credit", "note")
_TEXTS = COLUMNS[3:]


def cut_list_text(slots: Sequence[Slot], rate: Fraction, drop: bool = False) -> str:
    """Return the slots as CSV (RFC 4180, with bare line feeds) that table.read_table reads back the same.

    Times are timecode at a rate in frames per second, drop-frame with `drop`; cues have a column where a slot has any.
    Texts come back trimmed. Raise ValueError where a time has no such timecode, or a text holds a NUL character, which
    no cut list may.
    """
    cued = any(slot.cues for slot in slots)
    rows = [(*_cells(slot, rate, drop), *([_cues(slot, rate, drop)] if cued else [])) for slot in slots]
    text = "".join(map(_line, [(*COLUMNS, "cue") if cued else COLUMNS, *rows]))
    if "\0" in text:
        raise ValueError("a text of a slot holds a NUL character, which a cut list cannot hold")
    return text


def _line(cells: Sequence[str]) -> str:
    row = io.StringIO(newline="")
    csv.writer(row, lineterminator="\r\n").writerow(cells)  # so that a cell with either half of it is quoted
    return row.getvalue().removesuffix("\r\n") + "\n"


def _cells(slot: Slot, rate: Fraction, drop: bool) -> tuple[str, ...]:
    times = (format_timecode(frames, rate, drop=drop) for frames in (slot.start, slot.end))
    return slot.id, *times, *(getattr(slot, column) for column in _TEXTS)


def _cues(slot: Slot, rate: Fraction, drop: bool) -> str:
    return " / ".join(format_timecode(slot.start + cue, rate, drop=drop) for cue in slot.cues)
