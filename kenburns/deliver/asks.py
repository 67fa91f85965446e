"""What to ask the owners of photographs for: which files, how large at least, and what for."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Literal

from ..motion.geometry import Size

State = Literal["larger", "sharper", "missing", "unreadable", "unsure"]
"""larger: too few pixels; sharper: enough, but with less detail than they promise; missing: no picture yet; unreadable:
a picture whose file cannot be used; unsure: there may be one, which a person has to confirm before anybody is asked."""

STEP = 100
"""Sizes are asked for in multiples of this many pixels."""

ONE_EXPOSURE = 14_200
"""Pixels on the long side of the largest pictures that cameras take at once (about 150 megapixels at 4:3; from memory
of makers' data sheets). More has to be put together from several."""


@dataclass(frozen=True, slots=True)
class Use:
    """Where a picture is on screen: slot and delivery ("" the main one), timecode, seconds, the frame and the move.

    `closest` says in words how close the shot goes; `needed` is the least size in pixels that bears it.
    """

    slot: str
    delivery: str
    timecode: str
    seconds: float
    frame: Size
    shot: str
    closest: str
    needed: Size

    @property
    def screen(self) -> str:
        """The frame and how close the shot goes in it."""
        delivery = f" ('{self.delivery}')" if self.delivery else ""
        return f"{self.frame.width}×{self.frame.height} frame{delivery} {self.closest}"

    def as_json(self) -> dict[str, Any]:
        """Return the use as JSON has it."""
        return {
            "slot": self.slot,
            "delivery": self.delivery,
            "timecode": self.timecode,
            "seconds": round(self.seconds, 3),
            "frame": {"width": self.frame.width, "height": self.frame.height},
            "shot": self.shot,
            "closest": self.closest,
            "needed": {"width": self.needed.width, "height": self.needed.height},
        }


@dataclass(frozen=True, slots=True)
class Ask:
    """One picture to ask for.

    `file` is the one there is ("" for none), `has` its size; `work` is what is seen in it; `needed` the least size in
    pixels that bears every use, and `shape_known` whether it has the picture's own shape. `soft` says that the file
    holds less detail than pixels, `remark` is a sentence to look at; "" for none.
    """

    owner: str
    state: State
    work: str
    file: str
    has: Size | None
    needed: Size
    shape_known: bool
    uses: tuple[Use, ...]
    soft: str = ""
    remark: str = ""

    @property
    def ask_for(self) -> Size:
        """`needed` in round numbers, never less on either side; of a known shape only the long side is round."""
        return rounded_up(self.needed) if self.shape_known else Size(_up(self.needed.width), _up(self.needed.height))

    @property
    def long_side(self) -> int:
        """Pixels to ask for on the long side."""
        return max(self.ask_for.width, self.ask_for.height)

    @property
    def reasons(self) -> tuple[str, ...]:
        """What it is needed for, a slot each: timecode, seconds, move, frames and how close the shot goes."""
        by_slot: dict[str, list[Use]] = {}
        for use in self.uses:
            by_slot.setdefault(use.slot, []).append(use)
        return tuple(_reason(uses) for uses in by_slot.values())

    @property
    def name(self) -> str:
        """What to call the picture: its work, or its file."""
        return self.work or self.file

    def as_json(self) -> dict[str, Any]:
        """Return the picture as JSON has it."""
        return {
            "owner": self.owner,
            "state": self.state,
            "work": self.work,
            "file": self.file,
            "has": {"width": self.has.width, "height": self.has.height} if self.has else None,
            "needed": {"width": self.needed.width, "height": self.needed.height},
            "ask_for": {"width": self.ask_for.width, "height": self.ask_for.height},
            "long_side": self.long_side,
            "soft": self.soft,
            "remark": self.remark,
            "uses": [use.as_json() for use in self.uses],
        }


@dataclass(frozen=True, slots=True)
class Request:
    """Everything to ask for, owner by owner; those whose owner is not known come last."""

    film: str
    asks: tuple[Ask, ...]

    @property
    def owners(self) -> tuple[str, ...]:
        """Each owner once, in the order of the asks; "" where nobody is known."""
        return tuple(dict.fromkeys(ask.owner for ask in self.asks))

    def of(self, owner: str) -> tuple[Ask, ...]:
        """Return what to ask an owner for."""
        return tuple(ask for ask in self.asks if ask.owner == owner)

    def as_json(self) -> dict[str, Any]:
        """Return what `kenburns request --json` prints."""
        return {"film": self.film, "asks": [ask.as_json() for ask in self.asks]}


def rounded_up(size: Size) -> Size:
    """Return the size with its long side rounded up to a multiple of STEP and the short one in the same shape.

    4224×2816 becomes 4300×2867: neither side is ever less than before.
    """
    long, short = max(size.width, size.height), min(size.width, size.height)
    rounded = _up(long)
    other = math.ceil(Fraction(rounded * short, long))
    return Size(rounded, other) if size.width >= size.height else Size(other, rounded)


def covering(sizes: Sequence[Size]) -> Size:
    """Return the smallest size that is no smaller on either side than any of the given ones (at least one)."""
    return Size(max(size.width for size in sizes), max(size.height for size in sizes))


def _reason(uses: Sequence[Use]) -> str:
    first = uses[0]
    move = f", {first.shot}" if first.shot else ""
    screens = " and ".join(use.screen for use in uses)
    return f"slot {first.slot} at {first.timecode}, {first.seconds:.1f} s{move}: {screens}"


def _up(side: int) -> int:
    return -(-side // STEP) * STEP
