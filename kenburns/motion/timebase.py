"""Exact frame rates, whole frames and timecode.

Time is a whole number of frames at a rational rate; seconds appear only where a person types or reads them.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from ..errors import OptionError

RATES = (
    Fraction(24000, 1001),
    Fraction(24),
    Fraction(25),
    Fraction(30000, 1001),
    Fraction(30),
    Fraction(50),
    Fraction(60000, 1001),
    Fraction(60),
)

# How people write the three 1001-rates; the decimals are roundings, the rates are not.
_SPELLINGS = {"23.976": RATES[0], "23.98": RATES[0], "29.97": RATES[3], "59.94": RATES[6]}

# Drop-frame labels left out at each minute that is no multiple of ten: SMPTE ST 12-1 gives 2 for 30000/1001; systems
# at twice that rate count twice the labels (ST 12-1 and common practice).
_DROPPED = {RATES[3]: 2, RATES[6]: 4}

# Where every separator is ';' the last one still decides: some systems write drop-frame so (common practice).
_TIMECODE = re.compile(r"(\d{1,2})[:;](\d{2})[:;](\d{2})([:;.])(\d{2})", re.ASCII)


@dataclass(frozen=True, slots=True)
class _Label:
    hours: int
    minutes: int
    seconds: int
    frames: int


def parse_rate(text: str) -> Fraction:
    """Return the frame rate that `text` names: "25", "23.976", "23.98", "30000/1001", "25/1".

    Raises OptionError for anything that is not one of the eight RATES.
    """
    rate = _SPELLINGS.get(text.strip()) or _fraction(text)
    if rate not in RATES:
        raise OptionError(f"frame rate {text!r} is not known; use 23.976, 24, 25, 29.97, 30, 50, 59.94 or 60")
    return rate


def _fraction(text: str) -> Fraction | None:
    # No exponents and no long numbers: Fraction("1e9999999") would be worked out for seconds.
    try:
        return Fraction(text) if re.fullmatch(r"\s*[0-9]{1,6}([./][0-9]{1,6})?\s*", text) else None
    except ZeroDivisionError:
        return None


def rate_text(rate: Fraction) -> str:
    """Return the rate as "num/den", also where den is 1."""
    return f"{rate.numerator}/{rate.denominator}"


def nominal(rate: Fraction) -> int:
    """Return how many frame numbers a second of timecode counts: 24 at 24000/1001, 30 at 30000/1001, 25 at 25."""
    return round(rate)


def frames_from_seconds(seconds: Fraction, rate: Fraction) -> int:
    """Return the nearest whole number of frames; of two equally near, the even one."""
    return round(seconds * rate)


def seconds_from_frames(frames: int, rate: Fraction) -> Fraction:
    """Return the exact length of so many frames in seconds."""
    return frames / rate


def parse_timecode(text: str, rate: Fraction, *, drop: bool | None = None) -> int:
    """Return the whole frames from midnight to the timecode HH:MM:SS:FF (SMPTE ST 12-1).

    A ';' or '.' before the frames means drop-frame, which exists at 30000/1001 and 60000/1001 only. `drop` says it
    outright; None leaves it to the separator. Hours may go to 99.

    Raises ValueError for what is not a timecode, fields out of range, dropped labels, and drop-frame at other rates.
    """
    match = _TIMECODE.fullmatch(text.strip())
    if match is None:
        raise ValueError(f"timecode {text!r} is not HH:MM:SS:FF, as in 01:02:03:04")
    hours, minutes, seconds, separator, frames = match.groups()
    label = _Label(int(hours), int(minutes), int(seconds), int(frames))
    dropped = _labels_dropped(text, rate, _is_drop(text, separator, drop))
    _check_label(text, label, rate, dropped)
    return _count(label, nominal(rate), dropped)


def format_timecode(frames: int, rate: Fraction, *, drop: bool = False) -> str:
    """Return whole frames from midnight as HH:MM:SS:FF, or HH:MM:SS;FF with `drop` (SMPTE ST 12-1).

    Raises ValueError for negative frames, 100 hours and more, and drop-frame at rates that have none.
    """
    dropped = _labels_dropped(f"of frame {frames}", rate, drop)
    if frames < 0:
        raise ValueError(f"timecode counts from midnight, so frames are 0 or more, not {frames}")
    seconds, frame = divmod(_label_number(frames, nominal(rate), dropped), nominal(rate))
    minutes, second = divmod(seconds, 60)
    hours, minute = divmod(minutes, 60)
    if hours > 99:
        raise ValueError(f"timecode ends at 99 hours; frame {frames} at {rate_text(rate)} is at {hours}")
    return f"{hours:02}:{minute:02}:{second:02}{';' if drop else ':'}{frame:02}"


def _is_drop(text: str, separator: str, drop: bool | None) -> bool:
    marked = separator != ":"
    if drop is False and marked:
        raise ValueError(f"timecode {text!r} is marked drop-frame by {separator!r}; non-drop has ':' before the frames")
    return marked or bool(drop)


def _labels_dropped(text: str, rate: Fraction, drop: bool) -> int:
    if drop and rate not in _DROPPED:
        raise ValueError(f"timecode {text}: drop-frame exists at 30000/1001 and 60000/1001 only, not {rate_text(rate)}")
    return _DROPPED[rate] if drop else 0


def _check_label(text: str, label: _Label, rate: Fraction, dropped: int) -> None:
    for name, value, end in (
        ("minutes", label.minutes, 60),
        ("seconds", label.seconds, 60),
        ("frames", label.frames, nominal(rate)),
    ):
        if value >= end:
            raise ValueError(f"timecode {text!r}: {name} go to {end - 1} at {rate_text(rate)}, not {value}")
    if label.frames < dropped and label.seconds == 0 and label.minutes % 10:
        raise ValueError(
            f"timecode {text!r} is a label that drop-frame leaves out; that minute begins at frame {dropped:02}"
        )


def _count(label: _Label, base: int, dropped: int) -> int:
    minutes = label.hours * 60 + label.minutes
    return (minutes * 60 + label.seconds) * base + label.frames - dropped * (minutes - minutes // 10)


def _label_number(frames: int, base: int, dropped: int) -> int:
    """Return the number the label would have were none dropped: the inverse of `_count`'s last term."""
    tens, within = divmod(frames, 600 * base - 9 * dropped)
    # The first minute of each ten is whole; the nine after it are each `dropped` labels short.
    minutes = max(within - 60 * base, 0) // (60 * base - dropped) + (within >= 60 * base)
    return frames + dropped * (9 * tens + minutes)
