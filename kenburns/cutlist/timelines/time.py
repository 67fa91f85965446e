"""OpenTimelineIO's times -> whole flicks -> frames of the film.

A flick is 1/705,600,000 of a second: the smallest unit in which a frame at each of the usual rates, those over 1001
among them, and a sample of sound are whole numbers ("Flicks", facebookarchive/Flicks on GitHub, 2018, from memory; a
test holds the property). So sums of times at different rates are exact, and never grow beyond an ordinary integer.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Any

from ..slots import shown

FLICKS = 705_600_000
"""In a second."""

_LONGEST = 1_000_000 * FLICKS  # some eleven days, far beyond the hundred hours that timecode counts
_NOISE = Fraction(1, 1000)  # of a frame: times are written as doubles, some of them in seconds


@dataclass(frozen=True, slots=True)
class Range:
    """From start, up to and without end, in flicks."""

    start: int
    end: int

    @property
    def length(self) -> int:
        """In flicks; 0 or less where nothing is left."""
        return self.end - self.start

    def cut_to(self, window: Range) -> Range:
        """Return the part of it that lies in the window; its length is 0 or less where there is none."""
        return Range(max(self.start, window.start), min(self.end, window.end))

    def moved(self, flicks: int) -> Range:
        """Return it so much later."""
        return Range(self.start + flicks, self.end + flicks)


EVER = Range(-2 * _LONGEST, 2 * _LONGEST)
"""A window that cuts nothing."""


def exact_rate(rate: float) -> Fraction:
    """Return the rate that a number stands for: 23.976, 23.98 and 23.976023976023978 are all 24000/1001.

    Numbers within 0.01 of 1000/1001 of a whole rate from 15 up are such a rate, others are themselves.
    """
    whole = round(rate)
    drawn = round(rate * 1.001)
    if abs(rate - whole) < 1e-6:
        return Fraction(whole)
    if drawn >= 15 and abs(rate - drawn / 1.001) < 0.01:
        return Fraction(drawn * 1000, 1001)
    return Fraction(rate).limit_denominator(1001)


def flicks_of(time: Any) -> int:
    """Return a RationalTime in flicks, the nearest where it falls between two.

    ValueError where it is no time, or none that a film can have.
    """
    value, rate = time_parts(time)
    frame = _frame(float(rate))
    flicks = round(int(value) * frame if value == int(value) else Fraction(value) * frame)
    if abs(flicks) > _LONGEST:
        raise ValueError(f"a time is at most {_LONGEST // FLICKS:,} seconds, not {value:g} frames at {rate:g} a second")
    return flicks


@lru_cache(maxsize=64)
def _frame(rate: float) -> Fraction | int:
    """Return a frame in flicks, as an integer where it is one: a long timeline is read twice as fast so."""
    frame = FLICKS / exact_rate(rate)
    return frame.numerator if frame.denominator == 1 else frame


def time_parts(time: Any) -> tuple[float, float]:
    """Return value and rate of a RationalTime; ValueError where one is no finite number, or the rate is 0 or less."""
    held: dict[str, Any] = time if isinstance(time, dict) else {}
    value, rate = held.get("value"), held.get("rate")
    if value is None or rate is None or not is_number(value) or not is_number(rate):
        raise ValueError(f"a time is a number of frames and a rate, both finite, not {_said(value)} at {_said(rate)}")
    if not 1e-3 <= rate <= 1e12:
        raise ValueError(f"a rate is above 0 frames a second, not {rate:g}; 24, 25 or 29.97 would work")
    return value, rate


def is_number(value: Any) -> bool:
    """Whether it is a finite number that a double holds."""
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < 1e300


def range_of(time_range: Any) -> Range:
    """Return a TimeRange; ValueError where it is none, or its duration is negative."""
    held = time_range if isinstance(time_range, dict) else {}
    start, length = flicks_of(held.get("start_time")), flicks_of(held.get("duration"))
    if length < 0:
        value, rate = time_parts(held.get("duration"))
        raise ValueError(f"a duration is 0 frames or more, not {value:g} (at {rate:g} a second)")
    return Range(start, start + length)


def frame_at(flicks: int, rate: Fraction) -> tuple[int, bool]:
    """Return the film's nearest frame, of two equally near the even one, and whether the time falls just there."""
    whole, rest = divmod(flicks * rate.numerator, FLICKS * rate.denominator)
    if not rest:
        return whole, True
    frames = flicks * rate / FLICKS
    nearest = round(frames)
    return nearest, abs(frames - nearest) < _NOISE


def _said(value: Any) -> str:
    return f"{value:g}" if isinstance(value, float) else shown(str(value)[:100]) if value is not None else "nothing"
