"""Letters to lines: what stands side by side on one base line, of one hand; and what such a line is like."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from ...motion.geometry import Rect
from .letters import Floats, Letters

BY_LETTERS = ("letters", "aspect", "crooked", "ragged", "stroke", "fill", "share", "height", "corner")
"""Measures of a line by its letters alone: log of their count, log of width over height, how far their feet or
middles leave a straight line (in letter heights), log of the line's height in letters, stroke width over letter
height, ink in letters' boxes, ink in the line's box, log of the letter height in px, and 1 where signatures are."""

BY_GROUND = ("calm", "clutter", "strokes", "one way")
"""Measures of a line on its ground: log of contrast over the ground's noise, ink around it over its own, strokes
crossed in a letter height along its middle, and how far upright strokes outweigh level ones or the reverse (log)."""

_APART = 0.9  # of the taller letter's height: the widest gap between two letters of a line
_LEVEL = 0.45  # of the lower one's height: the least that two letters share
_OVER = 0.6  # of the narrower one's width: the most that two letters lie over each other
_TALLER, _THICKER, _TONES = 2.6, 2.2, 45  # the most that two letters of a line differ: ratios, grey levels
_LEAST_ASPECT, _LEAST_LENGTH = 1.6, 18  # width over height of a line, px
_LEAST_LETTERS, _LEAST_WORD = 3, 2.0  # letters; or width over height of a word written in one stroke
_UPRIGHT = 0.25  # in most scripts upright strokes outweigh level ones by this (log; measured on print and hands)
_MANY = 12  # letters: more say no more
_LOWER, _ASIDE = 0.75, 0.2  # of the sides: below this and this far from the middle, signatures are


@dataclass(frozen=True, slots=True)
class Line:
    """Some letters of a set, by index; the box around them; their middle height in px."""

    letters: NDArray[np.intp]
    rect: Rect
    height: float


def text_lines(letters: Letters) -> list[Line]:
    """Return the lines in which letters may be grouped, three letters or a long word at least."""
    if len(letters) == 0:
        return []
    group = _groups(_neighbours(letters))
    order = np.argsort(group, kind="stable")
    parts = np.split(order, np.flatnonzero(np.diff(group[order])) + 1)
    lines = (_line(letters, part) for part in parts if _may_be_line(letters, part))
    return [line for line in lines if line.rect.width >= max(_LEAST_LENGTH, _LEAST_ASPECT * line.rect.height)]


def _may_be_line(letters: Letters, part: NDArray[np.intp]) -> bool:
    if len(part) >= _LEAST_LETTERS:
        return True
    return bool(letters.width[part].sum() > _LEAST_WORD * letters.height[part].max())


def _neighbours(letters: Letters) -> NDArray[np.bool_]:
    """Return which letters may stand next to each other in a line, shape (letters, letters)."""
    x, y, width, height = letters.x, letters.y, letters.width, letters.height
    gap = _pairs(np.maximum, x) - _pairs(np.minimum, x + width)
    level = _pairs(np.minimum, y + height) - _pairs(np.maximum, y)
    taller, lower = _pairs(np.maximum, height), _pairs(np.minimum, height)
    near = (gap < _APART * taller) & (gap > -_OVER * _pairs(np.minimum, width)) & (level > _LEVEL * lower)
    alike = (taller < _TALLER * lower) & (np.abs(_pairs(np.subtract, letters.tone)) < _TONES)
    return near & alike & (_pairs(np.maximum, letters.stroke) < _THICKER * _pairs(np.minimum, letters.stroke))


def _pairs(how: np.ufunc, values: Floats) -> NDArray[np.float32]:
    single = values.astype(np.float32)
    return np.asarray(how.outer(single, single), np.float32)


def _groups(linked: NDArray[np.bool_]) -> NDArray[np.intp]:
    """Return each letter's group: the lowest index that it is linked with over any number of steps."""
    first, second = np.nonzero(linked)
    group = np.arange(len(linked))
    while True:
        lower = group.copy()
        np.minimum.at(lower, first, group[second])
        lower = lower[lower]
        if np.array_equal(lower, group):
            return group
        group = lower


def _line(letters: Letters, part: NDArray[np.intp]) -> Line:
    x, y = letters.x[part], letters.y[part]
    left, top = float(x.min()), float(y.min())
    width, height = float((x + letters.width[part]).max()) - left, float((y + letters.height[part]).max()) - top
    return Line(part, Rect(left, top, width, height), float(np.median(letters.height[part])))


def by_letters(line: Line, letters: Letters, shape: tuple[int, ...]) -> list[float]:
    """Return the measures BY_LETTERS of a line in a picture of `shape` (h, w)."""
    part, box = line.letters, line.rect
    ink, boxes = letters.ink[part], letters.width[part] * letters.height[part]
    x, y = box.centre[0] / shape[1], box.centre[1] / shape[0]
    return [
        float(np.log(min(len(part), _MANY))),
        float(np.log(box.width / box.height)),
        _crooked(line, letters),
        float(np.log(box.height / line.height)),
        float(letters.stroke[part].mean()) / line.height,
        float((ink / boxes).mean()),
        float(ink.sum()) / box.area,
        float(np.log(line.height)),
        float(y > _LOWER and abs(x - 0.5) > _ASIDE),
    ]


def _crooked(line: Line, letters: Letters) -> float:
    """Return how far the feet of the letters, or their middles, leave a straight line, in letter heights, up to 1."""
    part = line.letters
    if len(part) < _LEAST_LETTERS:
        return 0.0
    x, middles = letters.x[part] + letters.width[part] / 2, letters.y[part] + letters.height[part] / 2
    off = min(_off_straight(x, middles + letters.height[part] / 2), _off_straight(x, middles))
    return min(off / line.height, 1.0)


def _off_straight(x: Floats, y: Floats) -> float:
    """Return the median distance from the line of least squares."""
    across, down = x - x.mean(), y - y.mean()
    slope = (across @ down) / max(float(across @ across), 1e-9)
    return float(np.median(np.abs(down - slope * across)))


def by_ground(line: Line, letters: Letters, grey: NDArray[np.uint8]) -> list[float]:
    """Return the measures BY_GROUND of a line in a grey picture (h, w)."""
    x, y, width, height = (round(side) for side in (line.rect.x, line.rect.y, line.rect.width, line.rect.height))
    margin = max(4, height // 2)
    left, top = max(0, x - margin), max(0, y - margin)
    around = np.s_[top : y + height + margin, left : x + width + margin]
    labels = letters.labels[around]
    own = np.isin(labels, letters.label[line.letters])
    ground = grey[around][cv2.dilate(own.view(np.uint8), np.ones((5, 5), np.uint8)) == 0]
    noise = float(ground.std()) if ground.size else 255.0
    middle = own[y - top + int(height * 0.3) : y - top + max(int(height * 0.7), int(height * 0.3) + 1)]
    crossed = np.count_nonzero(middle[:, 1:] & ~middle[:, :-1]) / len(middle)
    return [
        float(np.log(letters.contrast[line.letters].mean() / (noise + 3) + 0.1)),
        min(np.count_nonzero((labels > 0) & ~own) / int(own.sum()), 3.0),
        min(crossed * line.height / width, 3.0),
        _one_way(own),
    ]


def _one_way(ink: NDArray[np.bool_]) -> float:
    """Return how far ink begins and ends more often across than down, or the reverse: reeds and blinds, not letters."""
    across, down = (1 + np.count_nonzero(np.diff(ink, axis=axis)) for axis in (1, 0))
    return float(abs(np.log(across / down) - _UPRIGHT))
