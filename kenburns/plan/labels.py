"""What a clip's file is found by besides its name: the timecode at which it begins, and its reel.

A file begins at the record timecode that its slot had when it was made, less the handles. A slot that only moves keeps
its file, and the file its timecode; lists and timelines say where in the file the slot lies.
"""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Mapping
from dataclasses import dataclass

from ..motion.timebase import format_timecode, parse_timecode
from .document import Plan, PlannedSlot

REEL_LENGTH = 8

_PLAIN = re.compile(rf"[A-Za-z0-9_]{{1,{REEL_LENGTH}}}", re.ASCII)
# Reels that readers take for black, test pictures or no source (common practice).
_TAKEN = frozenset({"AX", "BL", "BLACK", "BAR", "BARS", "NONE"})


@dataclass(frozen=True, slots=True)
class Label:
    """Timecode of a clip's first frame, and its reel: at most 8 of A-Z, 0-9 and _."""

    timecode: str
    reel: str


Begins = Mapping[str, int]
"""For files that stand, by slot: the frame of the timecode at which they begin, counted from 00:00:00:00."""


def label(slot: PlannedSlot, plan: Plan) -> Label:
    """Return what is written into a slot's clip when it is made."""
    first = format_timecode(first_frame(slot, plan), plan.exact_rate, drop=plan.drop)
    return Label(first, reel_name(slot.slot))


def first_frame(slot: PlannedSlot, plan: Plan, begins: Begins | None = None) -> int:
    """Return the frame, counted from 00:00:00:00, of the timecode at which a slot's file begins.

    Before midnight it is the end of the day before, for timecode goes round (SMPTE ST 12-1).
    """
    first = slot.start - plan.handles if begins is None or slot.slot not in begins else begins[slot.slot]
    return first if first >= 0 else first + parse_timecode("24:00:00:00", plan.exact_rate, drop=plan.drop)


def reel_name(slot_id: str) -> str:
    """Return the reel of a slot's clip: its id in capitals, if at most 8 of A-Z, 0-9 and _; else 8 letters of its hash.

    Always the same for an id. Ids that differ in more than case have different reels: short ones surely, of a thousand
    longer ones with a chance of less than one in a million that any two are alike (40 bits of SHA-256).
    """
    plain = slot_id.upper()
    if _PLAIN.fullmatch(slot_id) and plain not in _TAKEN:
        return plain
    return base64.b32encode(hashlib.sha256(slot_id.encode()).digest()).decode()[:REEL_LENGTH]
