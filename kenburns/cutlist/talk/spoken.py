"""What a transcript says: who spoke which words, from when to when."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from ..slots import Problem


@dataclass(frozen=True, slots=True)
class Spoken:
    """Words of one person.

    start and end in exact seconds of the transcript's own clock; speaker is "" where the file does not say who
    speaks; text is one line in Unicode form C, without marks of format; line is where the cue begins in the file; turn
    says that the file marks another person's words from here on, also where it names nobody.
    """

    start: Fraction
    end: Fraction
    speaker: str
    text: str
    line: int
    turn: bool = False

    def time_at(self, offset: int) -> Fraction:
        """Return the second at which the character at `offset` is spoken, were all characters equally long."""
        share = Fraction(min(max(offset, 0), len(self.text)), max(len(self.text), 1))
        return self.start + (self.end - self.start) * share


@dataclass(frozen=True, slots=True)
class Transcript:
    """All that is spoken, in order of time, and what could not be read."""

    lines: tuple[Spoken, ...]
    problems: tuple[Problem, ...] = ()
