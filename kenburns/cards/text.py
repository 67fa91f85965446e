"""Text tidied, broken into lines, and measured with the real typeface.

All lengths are frame pixels; a line's ink is measured from its origin on the baseline, x right, y down.
"""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache
from typing import NamedTuple

from PIL import ImageFont

ELLIPSIS = "…"

# No-break spaces (U+00A0, U+202F) hold their words together, so they are no break between words.
_BREAKING_SPACE = re.compile(r"[^\S\u00a0\u202f]+")
_VARIATION_SELECTORS = range(0xFE00, 0xFE10)
_WIDOW = 0.2
_BREAK_AFTER = "-–/_.,&="


class Ink(NamedTuple):
    """The box that holds a line's ink and its advance; `top` is negative above the baseline."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        """Pixels from the leftmost ink or the origin to the rightmost ink or the advance."""
        return self.right - min(self.left, 0)


def tidy(text: str) -> tuple[str, ...]:
    """Return the paragraphs of `text`: composed (Unicode NFC), runs of spaces made one, empty paragraphs dropped.

    Characters without a shape of their own (controls, joiners, variation selectors) are dropped.
    """
    paragraphs = (_tidy_line(line) for line in unicodedata.normalize("NFC", text).splitlines())
    return tuple(paragraph for paragraph in paragraphs if paragraph)


def _tidy_line(line: str) -> str:
    return "".join(filter(_has_shape, _BREAKING_SPACE.sub(" ", line))).strip()


def _has_shape(character: str) -> bool:
    return unicodedata.category(character) not in ("Cc", "Cf") and ord(character) not in _VARIATION_SELECTORS


def ink(line: str, font: ImageFont.FreeTypeFont) -> Ink:
    """Return the box around a line's ink and advance."""
    return Ink(*font.getbbox(line, anchor="ls"))


def fits(line: str, font: ImageFont.FreeTypeFont, measure: float) -> bool:
    """Whether the line is at most `measure` px wide."""
    return ink(line, font).width <= measure


@lru_cache(maxsize=256)
def wrap(paragraph: str, font: ImageFont.FreeTypeFont, measure: float) -> tuple[str, ...]:
    """Return the lines of a tidy paragraph, none wider than `measure` px unless one character alone is wider.

    Words are kept whole; a word that no line can hold is broken between characters, after a hyphen or the like where
    one is near. A short last word gets company from the line above.
    """
    lines: list[str] = []
    for word in paragraph.split(" "):
        if lines and fits(f"{lines[-1]} {word}", font, measure):
            lines[-1] = f"{lines[-1]} {word}"
        else:
            lines.extend(_broken(word, font, measure))
    return _without_widow(tuple(lines), font, measure)


def breaks_words(paragraph: str, font: ImageFont.FreeTypeFont, measure: float) -> bool:
    """Whether some word of the paragraph is wider than `measure` px."""
    return not all(fits(word, font, measure) for word in paragraph.split(" "))


def _broken(word: str, font: ImageFont.FreeTypeFont, measure: float) -> tuple[str, ...]:
    pieces: list[str] = []
    rest = word
    while rest and not fits(rest, font, measure):
        piece = _prefix(rest, font, measure)
        pieces.append(piece)
        rest = rest[len(piece) :]
    return (*pieces, rest) if rest else tuple(pieces)


def _prefix(word: str, font: ImageFont.FreeTypeFont, measure: float) -> str:
    """Return the longest beginning of `word` that fits, or shorter up to a mark in its second half."""
    whole = clusters(word)
    low, high = 1, len(whole)
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if fits("".join(whole[:middle]), font, measure) else (low, middle - 1)
    marks = [k + 1 for k in range(low // 2, low) if whole[k] in _BREAK_AFTER]
    return "".join(whole[: marks[-1] if marks else low])


def clusters(word: str) -> tuple[str, ...]:
    """Return the letters of a word, each with the combining marks on it."""
    parts: list[str] = []
    for character in word:
        if parts and unicodedata.category(character).startswith("M"):
            parts[-1] += character
        else:
            parts.append(character)
    return tuple(parts)


def _without_widow(lines: tuple[str, ...], font: ImageFont.FreeTypeFont, measure: float) -> tuple[str, ...]:
    if len(lines) < 2 or not fits(lines[-1], font, _WIDOW * measure):
        return lines
    above, _, moved = lines[-2].rpartition(" ")
    last = f"{moved} {lines[-1]}"
    return (*lines[:-2], above, last) if " " in above and fits(last, font, measure) else lines


def shorten(lines: tuple[str, ...], count: int, font: ImageFont.FreeTypeFont, measure: float) -> tuple[str, ...]:
    """Return the first `count` lines, at least 1; where that leaves some out, the last one ends with "…"."""
    if count >= len(lines):
        return lines
    last = lines[count - 1]
    while last and not fits(last + ELLIPSIS, font, measure):
        last = _without_last_word(last)
    return (*lines[: count - 1], last.rstrip(" ,;:.–-") + ELLIPSIS)


def _without_last_word(line: str) -> str:
    before, space, _ = line.rpartition(" ")
    return before if space else "".join(clusters(line)[:-1])
