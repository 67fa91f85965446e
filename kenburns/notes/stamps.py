"""The time or times at the head of a remark, with ranges and doubts, and the words after them."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from fractions import Fraction

from .times import UNITS, Time, plain, read_time

_COLON_RUN = r"(?:\d{1,4}(?:[:;]\d{1,4}){1,5}|:\d{2}(?!\d))(?:[.,]\d{1,9})?(?:\+\d{1,3}f?)?|\d{1,3}(?: : \d{2}){1,3}"
# After "3m" or "3 min " a bare number goes on in the next smaller unit.
_GOES_ON = r"(?:(?<=\w)\d{1,2}(?![\w:.,%])|(?<=\s)\d{2}(?![\w:.,%]))"
_AMOUNTS = rf"(?:\d{{1,9}}(?:[.,]\d{{1,6}})?\s?{UNITS}(?![a-z])\.?\s?){{1,4}}{_GOES_ON}?"
_PRIME_RUN = r"\d{1,3}'(?:\s?\d{1,2}(?:''|\")?)?(?![\w])|\d{1,5}(?:\"|'')(?![\w])"
_POINT_RUN = r"\d{1,4}(?:\.\d{1,4}){1,5}(?![\w:])"
_FRAME_RUN = r"(?:frames?|frm|fr|f)\.?\s?#?\d{1,9}(?![\w:])|\d{1,9}(?=\s?-\s?\d{1,9}\s?f(?:rames?|rs?)?(?!\w))"

# Looser than any time: what looks like one and is none is to be told of, not passed over.
_FORMS = tuple(re.compile(form, re.IGNORECASE) for form in (_FRAME_RUN, _AMOUNTS, _PRIME_RUN, _COLON_RUN, _POINT_RUN))
_COLON, _FRAMES = _FORMS[3], _FORMS[0]

_OPEN = r"[\s\[({<*_|]{0,9}"
_VAGUE = (
    r"~|\?+|c\.|ca\b\.?|circa\b|approx(?:imately)?\b\.?|about\b|around\b|roughly\b|near\b|etwa\b|env\.|vers\b|maybe\b"
)
_BEFORE = re.compile(
    rf"{_OPEN}(?:(?P<word>at|@|from|between|von|bei|um|à|a|tc(?:r)?|time ?code|time|at time|t|in|see|on)[\s:=]{{0,3}}"
    rf"(?![a-z])|(?P<vague>{_VAGUE})\s?){{0,1}}",
    re.IGNORECASE,
)
_BULLET = re.compile(r"\s*(?:[-*•·>+]\s+|-(?=\d)|#\s?\d{1,4}[.):]?\s+|\(?\d{1,3}[.)]\s+|[a-z][.)]\s+)", re.IGNORECASE)
_BOX = re.compile(r"\s*(?:\[(?P<mark>[ xX✓✔]?)\]|(?P<sign>[☐☑☒✓✔]))\s+")
_AFTER = re.compile(r"(?:[\s-]?ish\b)?[\])}>*_]{0,4}(?P<asks>\s?\(?\?+\)?)?[\])}>*_]{0,4}", re.IGNORECASE)
_DAYTIME = re.compile(r"\s?(?:[ap]\.?m\b|uhr\b|o'clock\b)", re.IGNORECASE)
_TO = re.compile(r"\s*(?:-{1,3}>?|>|=>|\.{2,3}|to|till?|until|through|thru|bis|au?)\s*(?=[\s\[(<~:\df])", re.IGNORECASE)
_AND = re.compile(r"\s*(?:[,/&+;]|and|und|et)\s*(?:at\s)?(?=\d)", re.IGNORECASE)
_SHORT_END = re.compile(r"-:?(\d{2})(?![\w:%]|[.,]\d)")
_SHORT_FRAMES = re.compile(r"\s?-\s?(\d{1,9})\s?(?:f(?:rames?|rs?)?)?(?![\w:])", re.IGNORECASE)
_SEPARATOR = re.compile(r"\s*(?:->|=>|[-:|=,.;>]{1,3})?\s*")
_STRICT = re.compile(r"(?<![\w:.;/])\d{1,2}(?::\d{2}){1,2}(?:[:;]\d{2})?(?![\w:;/]|\.\d)")

_MOST = 50  # times at the head of one remark


@dataclass(frozen=True, slots=True)
class Span:
    """A moment, or a stretch from `first` to `last`; `unsure` where the writer was, `doubt` what the reader is."""

    first: Time
    last: Time | None = None
    unsure: bool = False
    doubt: str = ""

    @property
    def key(self) -> str:
        """The same for every spelling of the span."""
        return self.first.key + (f" - {self.last.key}" if self.last else "")


@dataclass(frozen=True, slots=True)
class Stamped:
    """A line of notes: its times, its words, whether it is ticked as done, and what is wrong with its times.

    Without times (and a fault) the line begins with nothing that looks like one.
    """

    spans: tuple[Span, ...]
    text: str
    done: bool = False
    fault: str = ""


def read_stamps(line: str, rate: Fraction) -> Stamped:
    """Read a line at a rate in frames per second: times at its head, or else one within it."""
    rest, done = _without_bullet(line)
    signs = plain(rest)
    try:
        spans, at = _spans(signs, rate)
        if spans and _is_amount(signs) and _STRICT.search(signs, at):
            spans = ()  # "5 s too long at 3:12"
        if not spans:
            return replace(_within(rest, signs, rate), done=done)
    except ValueError as error:
        return Stamped((), rest.strip(), done, str(error))
    text = rest[at:]
    separator = _SEPARATOR.match(plain(text))
    return Stamped(spans, text[separator.end() if separator else 0 :].strip(), done)


def is_list_mark(line: str) -> bool:
    """Whether a line begins as an item of a list does, or is ticked."""
    return bool(_BULLET.match(plain(line)) or _BOX.match(line))


def _without_bullet(line: str) -> tuple[str, bool]:
    done = False
    for _ in range(3):  # "- [x] 1. ..."
        box, bullet = _BOX.match(line), _BULLET.match(plain(line))
        if box:
            done = done or (box.group("mark") or "").strip() != "" or (box.group("sign") or "☐") not in "☐"
            line = line[box.end() :]
        elif bullet:
            line = line[bullet.end() :]
    return line, done


def _spans(signs: str, rate: Fraction) -> tuple[tuple[Span, ...], int]:
    """Return the times that a text begins with and where they end; none and 0 where it begins with none."""
    spans: list[Span] = []
    at = 0
    while len(spans) < _MOST:
        found = _span(signs, at, rate)
        if found is None:
            break
        span, end = found
        spans.append(span)
        more = _AND.match(signs, end)
        if more is None or not _COLON.match(signs, more.end()):
            return tuple(spans), end
        at = more.end()
    return tuple(spans), at if spans else 0


def _span(signs: str, at: int, rate: Fraction) -> tuple[Span, int] | None:
    before = _BEFORE.match(signs, at)
    begin = before.end() if before else at
    begin += len(signs[begin:]) - len(signs[begin:].lstrip(" [(<*_"))
    form = _form_at(signs, begin)
    if form is None or before is None:
        return None
    first, end, asks = _moment(signs, begin, form, rate)
    last, end, also = _end_of_range(signs, end, form, first, rate, between=before.group("word") == "between")
    if last is not None and _order(last, rate) < _order(first, rate):
        raise ValueError("the range ends before it starts")
    doubt = "; ".join(filter(None, (first.doubt, last.doubt if last else "")))
    return Span(first, last, bool(before.group("vague")) or asks or also, doubt), end


def _form_at(signs: str, at: int) -> re.Pattern[str] | None:
    return next((form for form in _FORMS if form.match(signs, at)), None)


def _moment(signs: str, at: int, form: re.Pattern[str], rate: Fraction) -> tuple[Time, int, bool]:
    """Return the time that stands at a place, where it ends with its brackets, and whether a question mark follows."""
    found = form.match(signs, at)
    written = found.group() if found else ""
    end = at + len(written.rstrip())
    if _DAYTIME.match(signs, end):
        raise ValueError(
            f"'{written.strip()}' is a time of day; times count from the film's beginning, or are timecode"
        )
    try:
        time = read_time(f"frame {written}" if written.isdigit() else written, rate)
    except ValueError as error:
        raise ValueError(f"'{written.strip()}' cannot be used: {error}") from None
    after = _AFTER.match(signs, end)
    said = after.group() if after else ""
    return time, end + len(said), "?" in said or "ish" in said.lower()


def _end_of_range(
    signs: str, at: int, form: re.Pattern[str], first: Time, rate: Fraction, *, between: bool
) -> tuple[Time | None, int, bool]:
    short = _SHORT_END.match(signs, at) if form is _COLON and first.form == "clock" else None
    if short and int(short.group(1)) > first.seconds % 60:
        second = int(first.seconds) // 60 * 60 + int(short.group(1))
        return read_time(f"{second // 60}:{second % 60:02}", rate), short.end(), False
    count = _SHORT_FRAMES.match(signs, at) if form is _FRAMES or first.form == "frames" else None
    if count:
        return read_time(f"frame {count.group(1)}", rate), count.end(), False
    to = _TO.match(signs, at) or (re.compile(r"\s+and\s+").match(signs, at) if between else None)
    if to is None:
        return None, at, False
    vague = _BEFORE.match(signs, to.end())
    begin = vague.end() if vague else to.end()
    if not form.match(signs, begin) or _form_at(signs, begin) is not form:
        return None, at, False  # "3:12 - 5 frames late"
    last, end, asks = _moment(signs, begin, form, rate)
    return last, end, asks or bool(vague and vague.group("vague"))


def _order(time: Time, rate: Fraction) -> Fraction:
    return time.seconds + time.frames / rate


def _is_amount(signs: str) -> bool:
    """Whether a text begins with one number and a unit, which may be a length as well."""
    found = _FORMS[1].match(signs)
    return found is not None and len(re.findall(r"\d+", found.group())) == 1


def _within(rest: str, signs: str, rate: Fraction) -> Stamped:
    """Read a line whose time stands among its words; all of them are kept."""
    found = _STRICT.search(signs)
    if found is None or _DAYTIME.match(signs, found.end()):
        return Stamped((), rest.strip())
    try:
        span = _span(signs, found.start(), rate)
    except ValueError as error:
        return Stamped((), rest.strip(), fault=str(error))
    vague = re.search(rf"(?:{_VAGUE})\s?$", signs[: found.start()], re.IGNORECASE)
    spans = () if span is None else (replace(span[0], unsure=span[0].unsure or bool(vague)),)
    return Stamped(spans, rest.strip())
