"""A line cut into runs that can be shaped: each of one direction, one script and one typeface file."""

from __future__ import annotations

import unicodedata
from functools import cache, lru_cache
from itertools import groupby
from pathlib import Path
from typing import NamedTuple

import uharfbuzz

from .bidi import base_level, levels, visual_order
from .coverage import coverage
from .families import chain

JOINERS = frozenset("\u200c\u200d")
"""Zero-width non-joiner and joiner: they shape Persian and Devanagari, and have no shape of their own."""

MARKS = frozenset("\u200e\u200f\u061c")
"""Left-to-right, right-to-left and Arabic letter mark: they direct text, and have no shape of their own."""

SHAPELESS = JOINERS | MARKS

_KANA, _HANGUL, _HAN = frozenset(("Hira", "Kana")), "Hang", "Hani"


class Run(NamedTuple):
    """Characters `start` to `end` of a line, their script (ISO 15924, "Zyyy" for common), direction and file."""

    start: int
    end: int
    script: str
    leftwards: bool
    file: Path


@lru_cache(maxsize=1024)
def runs(line: str, family: str) -> tuple[Run, ...]:
    """Return the runs of a line from left to right, as they stand."""
    base = base_level(line)
    traits = list(zip(levels(line, base), scripts(line), files(line, family), strict=True))
    found: list[Run] = []
    heights: list[int] = []
    start = 0
    for (level, script, file), part in groupby(traits):
        end = start + len(list(part))
        found.append(Run(start, end, script, bool(level % 2), file))
        heights.append(level)
        start = end
    return tuple(found[k] for k in visual_order(heights))


@cache
def script_of(character: str) -> str:
    """Return the ISO 15924 code of a character's script, "Zyyy" where it goes with any (Unicode Annex 24)."""
    buffer = uharfbuzz.Buffer()
    buffer.add_str(character)
    buffer.guess_segment_properties()
    return buffer.script or "Zyyy"


def scripts(line: str) -> tuple[str, ...]:
    """Return each character's script; common ones take that of the letter before, or else after them."""
    found: list[str] = []
    current = next((script for script in map(script_of, line) if script != "Zyyy"), "Zyyy")
    for character in line:
        own = script_of(character)
        current = current if own == "Zyyy" else own
        found.append(current)
    return tuple(found)


def files(line: str, family: str) -> tuple[Path, ...]:
    """Return the typeface file of each character: the first of the chain that has all of its letter with its marks.

    Where none has them all, each is drawn from the first that has it; what none has is left to the family's own.
    """
    order = chain(family)
    found: list[Path] = []
    for letter in letters(line):
        whole = _holding(letter, order)
        found.extend([whole] * len(letter) if whole else [_holding(each, order) or order[0] for each in letter])
    return tuple(found)


def _holding(letter: str, order: tuple[Path, ...]) -> Path | None:
    shown = {ord(character) for character in letter if character not in SHAPELESS}
    return next((file for file in order if shown <= coverage(file)), None)


def letters(text: str) -> tuple[str, ...]:
    """Return the letters of a text, each with its combining marks and joiners, and conjuncts in one piece."""
    parts: list[str] = []
    for character in text:
        if parts and (character in JOINERS or _is_mark(character) or _joins_on(parts[-1])):
            parts[-1] += character
        else:
            parts.append(character)
    return tuple(parts)


def _is_mark(character: str) -> bool:
    return unicodedata.category(character).startswith("M")


def _joins_on(letter: str) -> bool:
    """Whether a virama (canonical combining class 9), with joiners after it or not, ties the next letter to this."""
    return unicodedata.combining(letter.rstrip("\u200c\u200d")[-1:] or " ") == 9 and len(letter) > 1


def missing(text: str, family: str) -> tuple[str, ...]:
    """Return the characters that no typeface of the chain has, each once, in order of appearance."""
    order = chain(family)
    return tuple(
        dict.fromkeys(
            character
            for character in text
            if character not in SHAPELESS and not any(ord(character) in coverage(file) for file in order)
        )
    )


def language_of(text: str) -> str:
    """Return the language (BCP 47) whose forms of shared Han characters suit a text: "ja", "ko", "zh-hans" or "".

    Kana are Japanese, hangul are Korean, Han characters alone are read as simplified Chinese; other texts need none.
    """
    found = {script_of(character) for character in text}
    if found & _KANA:
        return "ja"
    return "ko" if _HANGUL in found else "zh-hans" if _HAN in found else ""
