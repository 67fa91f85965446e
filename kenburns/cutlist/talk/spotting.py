"""From a transcript to proposed slots: a still where its work is spoken of, and never on top of a question."""

from __future__ import annotations

import math
import re
from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from ...motion.timebase import format_timecode, frames_from_seconds, nominal
from ..ids import numbered_id
from ..slots import Problem, Slot, shown
from ..works import Work
from .mentions import Mention, mentions_in
from .sentences import Sentence, Talk, talk_of
from .spoken import Transcript
from .word_list import word_list

_SHORTEST = 2  # seconds; a still that is seen for less is a flash (common practice)
_LATEST = 3  # seconds that a slot may start after its mention, where another still is on
_ANSWER_WITHIN = 10  # seconds after a question in which its answer begins
_ANSWER_WORDS = 3  # fewer are no answer about anything
_LATEST_HOURS = 99  # so that the end of every slot has a timecode
_LONGEST_NOTE = 300  # characters

# Words by which an answer goes on about what the question named.
_GOES_ON = word_list("""
    it its that this these those they them there he she him her one ones painting picture work piece drawing print
    etching sculpture photograph canvas series es sie das diese dieses ihn bild ca cela elle il ce cette
    """)


@dataclass(frozen=True, slots=True)
class Spotted:
    """Proposed slots in order, mentions that were not used because they are unsure, and why others made no slot."""

    slots: tuple[Slot, ...]
    unsure: tuple[Mention, ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class _Place:
    """A mention with the frames between which its slot may lie."""

    mention: Mention
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class _Clock:
    """Seconds of the transcript -> frames from timecode 00:00:00:00: `start` is the frame of the second `zero`."""

    start: int
    zero: Fraction
    rate: Fraction

    def exact(self, seconds: Fraction) -> Fraction:
        return self.start + (seconds - self.zero) * self.rate

    def frame(self, seconds: Fraction) -> int:
        return round(self.exact(seconds))


def spot(
    transcript: Transcript,
    works: Sequence[Work],
    rate: Fraction,
    pacing_length_seconds: float | Fraction,
    start_frame: int = 0,
    *,
    drop: bool = False,
) -> Spotted:
    """Propose slots for the works that are surely spoken of.

    A slot starts at the mention and lasts `pacing_length_seconds`, or less: it ends before the next question and the
    next work. A work that a question names is shown once its answer goes on about it. Named again while it is on, or
    soon after, it makes no second slot.

    start_frame is the film's first frame, counted from timecode 00:00:00:00, drop whether its timecode is drop-frame. A
    transcript whose first words come at or after that timecode is taken to be in the film's timecode, any other to
    begin with the film. Raise ValueError for a negative start and a length below one frame.
    """
    length = frames_from_seconds(Fraction(pacing_length_seconds), rate)
    if start_frame < 0 or length < 1:
        raise ValueError(f"slots have 1 frame or more from frame 0 on, not {length} from {start_frame}")
    talk = talk_of(transcript)
    found = mentions_in(talk, works)
    clock = _clock(transcript, rate, start_frame, drop)
    asked = _questions(talk, clock)
    problems: list[Problem] = []
    places = [place for mention in found.sure for place in _places(talk, mention, found.sure, clock, asked, problems)]
    least = min(length, frames_from_seconds(Fraction(_SHORTEST), rate))
    laid = _lay(sorted(places, key=lambda place: place.start), length, least, clock, problems)
    slots = tuple(_slot(place, number, len(laid)) for number, place in enumerate(laid, 1))
    return Spotted(slots, found.unsure, tuple(sorted(problems, key=lambda problem: problem.line)))


def _clock(transcript: Transcript, rate: Fraction, start_frame: int, drop: bool) -> _Clock:
    hours, minutes, seconds, frames = map(int, re.split("[:;]", format_timecode(start_frame, rate, drop=drop)))
    label = hours * 3600 + minutes * 60 + seconds + Fraction(frames, nominal(rate))
    first = min((line.start for line in transcript.lines), default=Fraction(0))
    return _Clock(start_frame, label if first >= label else Fraction(0), rate)


# Where a slot may lie


def _questions(talk: Talk, clock: _Clock) -> tuple[range, ...]:
    """Return the frames that questions touch, in order; none touch each other."""
    merged: list[range] = []
    for asked in sorted(_asked(talk, clock), key=lambda frames: frames.start):
        if merged and asked.start <= merged[-1].stop:
            merged[-1] = range(merged[-1].start, max(merged[-1].stop, asked.stop))
        else:
            merged.append(asked)
    return tuple(merged)


def _asked(talk: Talk, clock: _Clock) -> Iterator[range]:
    for sentence in talk.sentences:
        if sentence.asked:
            start, end = (clock.exact(seconds) for seconds in _times(talk, sentence))
            yield range(math.floor(start), math.ceil(end))


def _times(talk: Talk, sentence: Sentence) -> tuple[Fraction, Fraction]:
    """Return when a sentence begins and ends; cues may overlap, so that a later one can begin before its first word."""
    first, last = talk.words[sentence.first].line, talk.words[sentence.last].line
    starts = (line.start for line in talk.lines[first + 1 : last + 1])
    ends = (line.end for line in talk.lines[first:last])
    return min((talk.start(sentence.first), *starts)), max((talk.end(sentence.last), *ends))


def _places(
    talk: Talk,
    mention: Mention,
    sure: Sequence[Mention],
    clock: _Clock,
    asked: Sequence[range],
    problems: list[Problem],
) -> Iterator[_Place]:
    start = clock.frame(mention.at)
    if mention.asked:
        answer = next((at for at in range(mention.place, len(talk.sentences)) if not talk.sentences[at].asked), -1)
        if answer < 0 or not _answers(talk, answer, mention, sure):
            problems.append(_problem(mention, "is only named in a question, and its answer does not go on about it"))
            return
        start = clock.frame(talk.start(talk.sentences[answer].first))
    start = _after_question(start, asked)
    latest = int(_LATEST_HOURS * 3600 * clock.rate)
    if not 0 <= start < latest:
        problems.append(_problem(mention, f"lies outside the timecode from 0 to {_LATEST_HOURS} hours"))
        return
    place = bisect_left(asked, start, key=lambda frames: frames.start)
    yield _Place(mention, start, min(latest, asked[place].start) if place < len(asked) else latest)


def _after_question(start: int, asked: Sequence[range]) -> int:
    """Return the frame, or the first after the question on top of which it lies."""
    place = bisect_right(asked, start, key=lambda frames: frames.start) - 1
    return max(start, asked[place].stop) if place >= 0 else start


def _answers(talk: Talk, at: int, mention: Mention, sure: Sequence[Mention]) -> bool:
    """Whether the words that begin with sentence `at` answer the question, and go on about the work it names."""
    answer = _answer(talk, at)
    first, last = answer[0].first, answer[-1].last
    asked_until = talk.end(talk.sentences[at - 1].last) if at else Fraction(0)
    if last - first + 1 < _ANSWER_WORDS or talk.start(first) - asked_until > _ANSWER_WITHIN:
        return False
    others = [other for other in sure if talk.start(first) <= other.at <= talk.end(last)]
    if others:
        return others[0].work == mention.work
    return any(word.token.folded in _GOES_ON for word in talk.words[first : last + 1])


def _answer(talk: Talk, at: int) -> Sequence[Sentence]:
    """Return the first two sentences from `at` on that nobody asks."""
    then = talk.sentences[at + 1 : at + 2]
    return (talk.sentences[at], *(sentence for sentence in then if not sentence.asked))


# Laying them out


def _lay(
    places: Sequence[_Place], length: int, least: int, clock: _Clock, problems: list[Problem]
) -> tuple[_Place, ...]:
    """Return the places with the frames that their slots really have, none overlapping."""
    laid: list[_Place] = []
    ended: dict[Work, int] = {}  # where the last slot of each work ends
    for place in places:
        work = place.mention.work
        if work in ended and place.start < ended[work] + length:
            continue
        start = max(place.start, laid[-1].start + least) if laid else place.start
        late = start - place.start > frames_from_seconds(Fraction(_LATEST), clock.rate)
        if place.end - start < least or late:
            problems.append(_problem(place.mention, _no_room(late, place)))
            continue
        if laid and laid[-1].end > start:
            laid[-1] = replace(laid[-1], end=start)
            ended[laid[-1].mention.work] = start
        laid.append(replace(place, start=start, end=min(start + length, place.end)))
        ended[work] = laid[-1].end
    return tuple(laid)


def _no_room(late: bool, place: _Place) -> str:
    if late:
        return f"finds no room within {_LATEST} seconds behind the works named just before it"
    return f"has less than {_SHORTEST} seconds before the next question, at frame {place.end}"


def _problem(mention: Mention, why: str) -> Problem:
    return Problem(mention.line, "", f"{shown(mention.said)} {why}; it makes no slot")


def _slot(place: _Place, number: int, count: int) -> Slot:
    work = place.mention.work
    title = work.title or work.number
    return Slot(
        id=numbered_id(number, count),
        start=place.start,
        length=place.end - place.start,
        wanted=_one_line(title),
        still=_one_line(work.file),
        caption=_one_line(", ".join(part for part in (title, work.year) if part)),
        credit=_one_line(work.credit),
        note=_note(place.mention),
    )


def _note(mention: Mention) -> str:
    question = ", in the question before" if mention.asked else ""
    text = _one_line(f"{shown(mention.said)}, {mention.why}{question}: {mention.sentence}")
    return text if len(text) <= _LONGEST_NOTE else text[: _LONGEST_NOTE - 1].rstrip() + "…"


def _one_line(text: str) -> str:
    return " ".join(text.split())
