"""Which move a slot gets when nobody has said."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from zlib import crc32

HOLD = "hold"
CUT = "whole, then detail"

_MOVES = ("push in", "pan", "pull out", "tilt")
_LONG_SECONDS = 8.0  # from this length on there is time to see the whole and then, beside it, a detail


def choose_kind(slot: str, possible: Sequence[str], before: Collection[str], seconds: float) -> str:
    """Return the kind of move for a slot without one; never one of the slot before, where there is another.

    `possible`: the kinds for which the photograph has room; `before`: what the slot before was planned as and what its
    shots became. The order of preference turns with the slot's name, not with its place in the film: so a slot put in
    or taken out leaves the moves of the others as they are.
    """
    turn = crc32(slot.encode()) % len(_MOVES)
    moves = [CUT] if seconds >= _LONG_SECONDS else []
    moves += [*_MOVES[turn:], *_MOVES[:turn]]
    return next((kind for kind in moves if kind in possible and kind not in before), HOLD)
