"""A transcript file, WebVTT or SubRip, -> what is spoken when and by whom.

A file that begins with the word WEBVTT is WebVTT (W3C WebVTT, "WebVTT file body"), any other is read as SubRip,
whatever its suffix. A block that cannot be read is a problem with its line; the rest is read.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

from ...errors import ListError
from ..folding import fold
from ..slots import Problem
from ..text_file import decoded, read_bytes
from .cue_blocks import Cue, subrip_cues, webvtt_cues
from .cue_text import Voice, prefix_of, subrip_voices, webvtt_voices
from .spoken import Spoken, Transcript
from .word_list import word_list

_LARGEST = 5_000_000  # bytes; an hour of talk has about a hundred thousand
_HEADER = re.compile(r"WEBVTT(?=[ \t\n]|$)")
_WHAT_WORKS = "a transcript is a WebVTT (.vtt) or SubRip (.srt) file"

# What may stand before a colon once only and still names who speaks (common practice in typed interviews).
_ROLES = word_list(
    "interviewer interviewee narrator speaker artist painter sculptor host guest curator director voice man woman both "
    "q a question answer presenter reporter moderator interviewerin kunstler kunstlerin frage antwort"
)


def read_transcript(path: Path) -> Transcript:
    """Read a WebVTT or SubRip file of at most 5 MB; raise ListError where not one line of talk can be read in it."""
    data = read_bytes(path, _LARGEST, _WHAT_WORKS)
    text = decoded(data, unmarked_utf_16=True).replace("\r\n", "\n").replace("\r", "\n")
    if "\0" in text:
        raise ListError(f"'{path}' is not text; {_WHAT_WORKS}")
    lines = text.split("\n")
    is_webvtt = bool(_HEADER.match(text))
    found = list(webvtt_cues(lines) if is_webvtt else subrip_cues(lines))
    problems = [item for item in found if isinstance(item, Problem)]
    voices = webvtt_voices if is_webvtt else subrip_voices
    spoken = [line for cue in found if isinstance(cue, Cue) for line in _lines(cue, voices(cue.payload))]
    if not spoken:
        raise ListError(_nothing(path, problems))
    if path.suffix.lower() == ".vtt" and not is_webvtt:
        rule = "a WebVTT file begins with the word WEBVTT; the file is read as SubRip"
        problems.insert(0, Problem(1, "", rule))
    ordered = sorted(_with_speakers(spoken), key=lambda line: line.start)
    return Transcript(tuple(ordered), tuple(problems))


def _lines(cue: Cue, voices: Sequence[Voice]) -> Iterator[Spoken]:
    """Yield the parts of a cue, its time shared out by characters."""
    whole = sum(len(voice.text) for voice in voices)
    done = 0
    for voice in voices:
        start, done = done, done + len(voice.text)
        first, last = (cue.start + (cue.end - cue.start) * Fraction(at, whole) for at in (start, done))
        yield Spoken(first, last, voice.speaker, voice.text, cue.line, voice.turn)


def _with_speakers(lines: Sequence[Spoken]) -> Iterator[Spoken]:
    """Yield the lines with the names before a colon taken for speakers, and the turns that follow from that.

    A name counts in capitals, where it is a role, or where two lines at least begin with it: "Remember: ..." once is
    no person.
    """
    count = Counter(prefix_of(line.text)[0] for line in lines if not line.speaker)
    people = {name for name, times in count.items() if name and _is_person(name, times)}
    # Where two people or more are named, each is named once and goes on until another is (common practice); where one
    # is, as the "Q:" of an interviewer, the lines between are another's.
    goes_on = len(people) > 1
    speaker, named = "", False
    for line in lines:
        name, rest = ("", line.text) if line.speaker else prefix_of(line.text)
        if rest and name in people:
            speaker, named = (name if goes_on else ""), True
            yield replace(line, speaker=name, text=rest, turn=True)
        elif line.speaker or line.turn:
            speaker, named = "", False
            yield line
        else:
            yield replace(line, speaker=speaker, turn=named and not goes_on)
            named = False


def _is_person(name: str, times: int) -> bool:
    words = name.replace("(", " ").replace(")", " ").split()
    if not words or not any(c.isalpha() for c in name):
        return False
    if fold(words[0]) in _ROLES:
        return len(name) > 1 or name.isupper()
    if name.isupper():
        return len(name) > 1 or times > 1
    return times > 1 and all(word[0].isupper() or not word[0].isalpha() for word in words)


def _nothing(path: Path, problems: Sequence[Problem]) -> str:
    first = "; ".join(str(problem) for problem in problems[:3])
    return f"'{path}' has no line of talk with its times" + (f": {first}" if first else f"; {_WHAT_WORKS}")
