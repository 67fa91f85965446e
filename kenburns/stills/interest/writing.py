"""Lines of writing in a picture: inscriptions, signatures, dates.

A line counts as writing where many thin strokes of one width follow each other on a calm ground: people write where
it can be read, and brushwork, branches and grids do not keep to that. Better to miss a line than to take a thing that
is none for one.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from ...motion.geometry import Rect, hull, overlap
from .letters import Letters, find_letters
from .text_lines import BY_GROUND, BY_LETTERS, Line, by_ground, by_letters, text_lines

# What speaks for writing: a logistic regression on the lines found in photographs, and in brush-like and negative
# versions of them, text of 46 font files set over them (print and hands; Latin, Cyrillic, Arabic, Chinese); rounded.
_WEIGHTS = {
    "letters": 1.7,
    "aspect": 2.0,
    "crooked": -6.5,
    "ragged": 2.6,
    "stroke": -9.0,
    "fill": 3.4,
    "share": 6.3,
    "height": 0.8,
    "corner": 2.4,
    "calm": 1.0,
    "clutter": -2.1,
    "strokes": 1.1,
    "one way": -3.6,
}
_BIAS = -13.6  # 3.5 beyond the even chance: about one photograph without writing in twenty has a line taken for it
_NO_CHANCE = -4.0  # from the letters alone, ground unseen, whose best is about 4: not looked at closely
_LOOKED_AT = 12  # lines of each polarity looked at closely, those first that look most like writing
_GAP, _ON_LINE = 2.0, 0.5  # of a line's height: words this near, and this much side by side, are one line
_BESIDE = -3.0  # the least for a word that may be one because it stands beside a surer one


@dataclass(frozen=True, slots=True)
class Writing:
    """A line of writing: its box in pixels of the picture, and how sure it is to be one, 0 to 1."""

    rect: Rect
    score: float


def find_writing(rgb: NDArray[np.uint8]) -> tuple[Writing, ...]:
    """Return the lines of writing in an sRGB picture (h, w, 3), surest first, none overlapping another.

    Made for a picture of about 1024 px on its longer side, in which letters 8 to 90 px high are found. Raises
    ValueError for another shape or type.
    """
    if rgb.dtype != np.uint8 or rgb.ndim != 3 or rgb.shape[2] != 3 or 0 in rgb.shape:
        raise ValueError(f"writing is found in uint8 of shape (h, w, 3), not {rgb.dtype} of shape {rgb.shape}")
    grey = np.asarray(cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY), np.uint8)
    found = [line for dark in (True, False) for line in _joined(_written(grey, find_letters(grey, dark=dark)))]
    return tuple(_apart([line for line in found if line.score >= 0.5]))


def _written(grey: NDArray[np.uint8], letters: Letters) -> Iterator[Writing]:
    """Yield the lines that are writing (score 0.5 and more), and those that may be beside another."""
    glanced = [(_weighed(BY_LETTERS, by_letters(line, letters, grey.shape)), line) for line in text_lines(letters)]
    hopeful = sorted(((value, line) for value, line in glanced if value + _BIAS > _NO_CHANCE), key=_first, reverse=True)
    for value, line in hopeful[:_LOOKED_AT]:
        sure = _BIAS + value + _weighed(BY_GROUND, by_ground(line, letters, grey))
        if sure >= _BESIDE:
            yield Writing(line.rect, 1 / (1 + math.exp(-sure)))


def _first(valued: tuple[float, Line]) -> float:
    return valued[0]


def _weighed(names: Iterable[str], values: Iterable[float]) -> float:
    return sum(_WEIGHTS[name] * value for name, value in zip(names, values, strict=True))


def _joined(words: Iterable[Writing]) -> list[Writing]:
    """Return words side by side as one line."""
    lines: list[Writing] = []
    for word in sorted(words, key=lambda word: (word.rect.x, word.rect.y)):
        before = next((line for line in lines if _is_next(line.rect, word.rect)), None)
        if before is None:
            lines.append(word)
        else:
            lines[lines.index(before)] = Writing(hull(before.rect, word.rect), max(before.score, word.score))
    return lines


def _is_next(line: Rect, word: Rect) -> bool:
    level = min(line.bottom, word.bottom) - max(line.y, word.y)
    lower = min(line.height, word.height)
    return level > _ON_LINE * lower and word.x - line.right < _GAP * lower


def _apart(lines: Sequence[Writing]) -> Iterator[Writing]:
    """Yield the surest of lines that overlap."""
    kept: list[Writing] = []
    for line in sorted(lines, key=lambda line: (-line.score, line.rect.y, line.rect.x)):
        if all(overlap(line.rect, other.rect) == 0 for other in kept):
            kept.append(line)
            yield line
