"""Text tidied, broken into lines, and measured with the real typeface.

All lengths are frame pixels; a line's ink is measured from its origin on the baseline, x right, y down.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from functools import lru_cache

from .breaking import directed, units
from .runs import SHAPELESS, letters
from .shaping import Ink
from .typeface import Face

__all__ = ["Ink", "breaks_words", "fits", "ink", "shorten", "tidy", "wrap"]

ELLIPSIS = "…"

# No-break spaces (U+00A0, U+202F) hold their words together, so they are no break between words.
_BREAKING_SPACE = re.compile(r"[^\S\u00a0\u202f]+")
_VARIATION_SELECTORS = range(0xFE00, 0xFE10)
_WIDOW = 0.2
_BREAK_AFTER = "-–/_.,&="


def tidy(text: str) -> tuple[str, ...]:
    """Return the paragraphs of `text`: composed (Unicode NFC), runs of spaces made one, empty paragraphs dropped.

    Characters without a shape of their own (controls, variation selectors) are dropped, but for those that shape or
    direct the text around them: joiners, and the marks of direction.
    """
    paragraphs = (_tidy_line(line) for line in unicodedata.normalize("NFC", text).splitlines())
    return tuple(paragraph for paragraph in paragraphs if paragraph)


def _tidy_line(line: str) -> str:
    return "".join(filter(_has_shape, _BREAKING_SPACE.sub(" ", line))).strip()


def _has_shape(character: str) -> bool:
    hidden = unicodedata.category(character) in ("Cc", "Cf") or ord(character) in _VARIATION_SELECTORS
    return character in SHAPELESS or not hidden


def ink(line: str, font: Face) -> Ink:
    """Return the box around a line's ink and advance."""
    return font.ink(line)


def fits(line: str, font: Face, measure: float) -> bool:
    """Whether the line is at most `measure` px wide."""
    return ink(line, font).width <= measure


@lru_cache(maxsize=256)
def wrap(paragraph: str, font: Face, measure: float) -> tuple[str, ...]:
    """Return the lines of a tidy paragraph, none wider than `measure` px unless one letter alone is wider.

    Lines are broken where Unicode Annex 14 allows it; a word that no line can hold is broken between letters, after a
    hyphen or the like where one is near. A short last line gets company from the line above.
    """
    lines: list[list[str]] = []
    taken = 0
    for unit in units(paragraph):
        # A line that ends more than an em before the edge has room for sure; shaping it again would only take time.
        taken += font.getlength(unit)
        if lines and (taken + font.size <= measure or fits("".join((*lines[-1], unit)).rstrip(" "), font, measure)):
            lines[-1].append(unit)
        else:
            lines.extend([piece] for piece in _broken(unit, font, measure))
            taken = font.getlength(lines[-1][0])
    joined = ("".join(line).rstrip(" ") for line in _without_widow(lines, font, measure))
    return directed(tuple(joined), paragraph)


def breaks_words(paragraph: str, font: Face, measure: float) -> bool:
    """Whether some word of the paragraph is wider than `measure` px; parts of a hyphenated word are one word."""
    return not all(fits(word.rstrip(" "), font, measure) for word in _words(paragraph))


@lru_cache(maxsize=256)
def _words(paragraph: str) -> tuple[str, ...]:
    words: list[str] = []
    for unit in units(paragraph):
        if words and words[-1][-1] in _BREAK_AFTER:
            words[-1] += unit
        else:
            words.append(unit)
    return tuple(words)


def _broken(unit: str, font: Face, measure: float) -> tuple[str, ...]:
    pieces: list[str] = []
    rest = unit
    while rest.strip(" ") and not fits(rest.rstrip(" "), font, measure):
        piece = _prefix(rest, font, measure)
        pieces.append(piece)
        rest = rest[len(piece) :]
    return (*pieces, rest) if rest else tuple(pieces)


def _prefix(word: str, font: Face, measure: float) -> str:
    """Return the longest beginning of `word` that fits, or shorter up to a mark in its second half."""
    whole = letters(word)
    low, high = 1, len(whole)
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if fits("".join(whole[:middle]), font, measure) else (low, middle - 1)
    marks = [k + 1 for k in range(low // 2, low) if whole[k] in _BREAK_AFTER]
    return "".join(whole[: marks[-1] if marks else low])


def _without_widow(lines: Sequence[list[str]], font: Face, measure: float) -> Sequence[list[str]]:
    """Return the lines with pieces moved down until the last is no longer short; the one above stays the longer."""
    if len(lines) < 2:
        return lines
    above, last = list(lines[-2]), list(lines[-1])
    while len(above) > 2 and fits("".join(last), font, _WIDOW * measure):
        last.insert(0, above.pop())
    return (*lines[:-2], above, last) if fits("".join(last), font, measure) else lines


def shorten(lines: tuple[str, ...], count: int, font: Face, measure: float) -> tuple[str, ...]:
    """Return the first `count` lines, at least 1; where that leaves some out, the last one ends with "…"."""
    if count >= len(lines):
        return lines
    last = lines[count - 1]
    while last and not fits(last + ELLIPSIS, font, measure):
        last = _without_last_word(last)
    return (*lines[: count - 1], last.rstrip(" ,;:.–-") + ELLIPSIS)


def _without_last_word(line: str) -> str:
    before, space, _ = line.rpartition(" ")
    return before if space else "".join(letters(line)[:-1])
