"""One moment as people write it in notes -> hours, minutes, seconds and frames.

==========================  ==========================================================================
``3:12  03:12  0:03:12.5``  clock time: minutes and seconds, or hours, minutes and seconds
``00:03:12:08``             timecode; ``;`` before the frames means drop-frame (SMPTE ST 12-1)
``3:12+08``                 minutes, seconds and frames
``3.12  00.03.12.08``       the same with points, which only two digits each make a time
``3'12"  90'  12"``         minutes and seconds (common practice)
``1h03m12s  3 min 12  8s``  with units
``frame 4800  4800f``       frames from the film's first
==========================  ==========================================================================
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from ..motion.timebase import frames_from_seconds, nominal, parse_timecode

WHAT_WORKS = "3:12, 00:03:12, 00:03:12:08, 3m12s or frame 4800 would work"

_LATEST = 99 * 3600  # seconds: timecode ends at 99 hours

UNITS = r"(?:hours?|hrs?|std|h|minutes?|mins?|m|seconds?|secs?|sek|s|frames?|frs?|f)"

_COLONS = re.compile(r"(\d{0,4})((?:[:;]\d{1,4}){1,5})([.,]\d{1,9})?(?:\+(\d{1,3})f?)?")
_POINTS = re.compile(r"\d{1,4}(?:\.\d{1,4}){1,5}")
_PRIMES = re.compile(r"(?:(\d{1,3})')?(?:\s?(\d{1,5})(?:''|\")?)?")
_AMOUNT = re.compile(rf"\s*(\d{{1,9}}(?:[.,]\d{{1,6}})?)\s?({UNITS}(?![a-z])|$)\.?", re.IGNORECASE)
_FRAME = re.compile(r"(?:frames?|frm|fr|f)\.?\s?#?(\d{1,9})", re.IGNORECASE)
_NEXT = {"h": "m", "m": "s", "s": "f"}


@dataclass(frozen=True, slots=True)
class Time:
    """A moment as it was written, not yet placed in a film.

    clock: exact `seconds`; timecode: whole `seconds` and the `frames` after them; frames: a count of `frames`. `drop`
    says that the timecode was marked drop-frame. `other` is what it may mean too, `doubt` what is uncertain of it.
    """

    form: Literal["clock", "timecode", "frames"]
    seconds: Fraction = Fraction(0)
    frames: int = 0
    drop: bool = False
    other: Time | None = None
    doubt: str = ""

    @property
    def key(self) -> str:
        """The same for every spelling of the moment."""
        return f"{self.form} {self.seconds} {self.frames}"

    def as_label(self, rate: Fraction, drop: bool) -> int:
        """Return the frames from 00:00:00:00 to the timecode that this is read off, in drop-frame or not.

        ValueError for frames that the rate does not have.
        """
        if self.form == "frames":
            return self.frames
        whole = int(self.seconds)
        minutes, second = divmod(whole, 60)
        hours, minute = divmod(minutes, 60)
        first = self.frames
        if drop and second == 0 and minute % 10:  # such a minute has no first labels; people mean its beginning
            first = max(first, 4 if nominal(rate) == 60 else 2)
        count = parse_timecode(f"{hours:02}:{minute:02}:{second:02}:{first:02}", rate, drop=drop)
        return count + frames_from_seconds(self.seconds - whole, rate)

    def as_elapsed(self, rate: Fraction, drop: bool) -> int:
        """Return the frames from a film's beginning, of which a player's clock shows the seconds."""
        return frames_from_seconds(self.seconds, rate) if self.form == "clock" else self.as_label(rate, drop)


def plain(text: str) -> str:
    """Return the text, character for character, with every script's digits, colons, primes and dashes as in ASCII."""
    return "".join(map(_plain, text))


_SIGNS = {
    **dict.fromkeys("：﹕∶꞉", ":"),
    **dict.fromkeys("；﹔", ";"),
    **dict.fromkeys("．", "."),
    **dict.fromkeys("，", ","),
    **dict.fromkeys("’′´`‘ʹ＇", "'"),
    **dict.fromkeys("”″“‶＂„", '"'),
    **dict.fromkeys("–—‒―−‐‑－", "-"),
    **dict.fromkeys("？", "?"),
    **dict.fromkeys("～∼≈∽", "~"),
    **dict.fromkeys("→⟶", ">"),
    **dict.fromkeys("（", "("),
    **dict.fromkeys("）", ")"),
}


def _plain(sign: str) -> str:
    if sign in _SIGNS:
        return _SIGNS[sign]
    if sign.isspace():
        return " "
    digit = unicodedata.decimal(sign, None)
    return sign if digit is None else str(digit)


def read_time(text: str, rate: Fraction) -> Time:
    """Read one moment at a rate in frames per second; ValueError, with the rule and what would work, for none."""
    written = plain(text).strip()
    for read in _READERS:
        found = read(written, rate)
        if found is not None:
            return _checked(found, rate)
    raise ValueError(f"not a time; {WHAT_WORKS}")


def _checked(time: Time, rate: Fraction) -> Time:
    if time.seconds >= _LATEST or time.frames >= _LATEST * rate:
        raise ValueError("later than 99 hours, where timecode ends")
    if time.drop and not has_drop_frame(rate):
        raise ValueError("';' marks drop-frame, which exists at 29.97 and 59.94 frames a second only; write ':'")
    if time.form == "timecode":
        time.as_label(rate, time.drop)
    return time


def has_drop_frame(rate: Fraction) -> bool:
    """Whether timecode at a rate may be drop-frame: at 30000/1001 and 60000/1001 (SMPTE ST 12-1)."""
    return rate.denominator == 1001 and nominal(rate) in (30, 60)


def _frame(text: str, _rate: Fraction) -> Time | None:
    found = _FRAME.fullmatch(text)
    return Time("frames", frames=int(found.group(1))) if found else None


def _colons(text: str, rate: Fraction) -> Time | None:
    found = _COLONS.fullmatch(re.sub(r" ([:;]) ", r"\1", text))
    if found is None:
        return None
    first, rest, part, plus = found.groups()
    fields = [first or "0", *re.split("[:;]", rest)[1:]]
    marks = re.findall("[:;]", rest)
    if plus is not None:
        fields, marks = [*fields, plus], [*marks, ":"]
        fields = ["0", *fields] if len(fields) == 3 else fields
        marks = [":", *marks] if len(marks) == 2 else marks
    return _fields(fields, Fraction(part.replace(",", ".")) if part else Fraction(0), marks[-1] == ";", rate)


def _points(text: str, rate: Fraction) -> Time | None:
    if not _POINTS.fullmatch(text):
        return None
    fields = text.split(".")
    if any(len(field) != 2 for field in fields[1:]) or len(fields) > 4:
        raise ValueError(f"with a point it can be minutes or a part of a second; {WHAT_WORKS}")
    read = _fields(fields, Fraction(0), False, rate)
    if len(fields) > 2:
        return read
    return replace(read, doubt=f"'{text}' is read as {int(fields[0])} min {int(fields[1])} s")


def _fields(fields: list[str], part: Fraction, drop: bool, rate: Fraction) -> Time:
    """Read two to four fields, the last of four being frames."""
    if not 2 <= len(fields) <= 4:
        raise ValueError(f"{len(fields)} numbers, where a time has two to four; {WHAT_WORKS}")
    if any(len(field) > 2 for field in fields[1:3]) or len(fields[-1]) > 3:
        raise ValueError(f"minutes, seconds and frames have two digits; {WHAT_WORKS}")
    if len(fields) < 4 and len(fields[-1]) != 2:
        raise ValueError(f"seconds have two digits, as in 3:05; {WHAT_WORKS}")
    if len(fields) == 4 and part:
        raise ValueError(f"a timecode has no parts of a frame; {WHAT_WORKS}")
    numbers = [int(field) for field in fields]
    if len(numbers) == 4:
        return Time("timecode", _whole(numbers[:3]), numbers[3], drop)
    read = Time("clock", _whole(numbers) + part)
    if len(numbers) == 3 and not part and numbers[2] < nominal(rate):
        minutes, seconds, frames = numbers
        return replace(read, other=Time("timecode", _whole([minutes, seconds]), frames))
    return read


def _whole(numbers: list[int]) -> Fraction:
    """Return hours, minutes and seconds, or the last two of them, as seconds."""
    *larger, seconds = numbers
    if seconds > 59:
        raise ValueError(f"seconds go to 59, not {seconds}; {WHAT_WORKS}")
    if len(larger) > 1 and larger[-1] > 59:
        raise ValueError(f"minutes go to 59 where hours are given, not {larger[-1]}; {WHAT_WORKS}")
    hours, minutes = larger if len(larger) > 1 else (0, larger[0])
    return Fraction(hours * 3600 + minutes * 60 + seconds)


def _primes(text: str, _rate: Fraction) -> Time | None:
    found = _PRIMES.fullmatch(text)
    if found is None or not ("'" in text or '"' in text):
        return None
    minutes, seconds = (int(number) if number else 0 for number in found.groups())
    if found.group(1) and seconds > 59:
        raise ValueError(f"seconds go to 59 where minutes are given, not {seconds}; {WHAT_WORKS}")
    return Time("clock", Fraction(minutes * 60 + seconds))


def _units(text: str, _rate: Fraction) -> Time | None:
    amounts = _amounts(text)
    if amounts is None:
        return None
    letters = [unit for _, unit in amounts]
    if letters != sorted(set(letters), key="hmsf".index):
        raise ValueError(f"hours, minutes, seconds and frames come in this order, each once; {WHAT_WORKS}")
    if any(amount.denominator != 1 for amount, _ in amounts[:-1]) or (
        letters[-1] == "f" and amounts[-1][0].denominator != 1
    ):
        raise ValueError(f"only the last number may have a decimal, and frames none; {WHAT_WORKS}")
    held = {unit: amount for amount, unit in amounts}
    for unit, name in (("m", "minutes"), ("s", "seconds")):
        if unit in held and unit != letters[0] and held[unit] >= 60:
            raise ValueError(f"{name} go to 59 after larger units, not {held[unit]}; {WHAT_WORKS}")
    seconds = held.get("h", Fraction(0)) * 3600 + held.get("m", Fraction(0)) * 60 + held.get("s", Fraction(0))
    if "f" not in held:
        return Time("clock", seconds)
    return Time("timecode" if len(held) > 1 else "frames", seconds, int(held["f"]))


def _amounts(text: str) -> list[tuple[Fraction, str]] | None:
    """Return the numbers with the first letters of their units; a last one without takes the next smaller unit."""
    found: list[tuple[Fraction, str]] = []
    at = 0
    while at < len(text):
        match = _AMOUNT.match(text, at)
        if match is None or len(found) > 3:
            return None
        unit = match.group(2)[:1].lower() or (_NEXT.get(found[-1][1], "") if found else "")
        if not unit:
            return None
        number = match.group(1).replace(",", ".")
        found.append((Fraction(number), _UNIT.get(match.group(2).lower(), unit)))
        at = match.end()
    return found or None


_UNIT = {"std": "h"}

_READERS: tuple[Callable[[str, Fraction], Time | None], ...] = (_frame, _units, _primes, _colons, _points)
