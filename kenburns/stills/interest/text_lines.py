"""Letters to lines: what stands side by side on one base line, of one hand; and what such a line is like."""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numba import njit
from numpy.typing import NDArray

from ...motion.geometry import Rect
from .letters import Floats, Letters

_Letter = tuple[float, float, float, float, float, float]

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
    of = letters
    group = _groups(of.x, of.y, of.width, of.height, of.stroke, of.tone)
    order = np.argsort(group, kind="stable")
    parts = np.split(order, np.flatnonzero(np.diff(group[order])) + 1)
    lines = (_line(letters, part) for part in parts if _may_be_line(letters, part))
    return [line for line in lines if line.rect.width >= max(_LEAST_LENGTH, _LEAST_ASPECT * line.rect.height)]


def _may_be_line(letters: Letters, part: NDArray[np.intp]) -> bool:
    if len(part) >= _LEAST_LETTERS:
        return True
    return bool(letters.width[part].sum() > _LEAST_WORD * letters.height[part].max())


@njit(cache=True, nogil=True)
def _groups(x: Floats, y: Floats, width: Floats, height: Floats, stroke: Floats, tone: Floats) -> NDArray[np.int64]:
    """Return each letter's group: the lowest index that it is a neighbour of over any number of steps."""
    group = np.arange(x.size)
    for i in range(x.size):
        for j in range(i):
            if group[i] != group[j] and _are_neighbours(
                (x[i], y[i], width[i], height[i], stroke[i], tone[i]),
                (x[j], y[j], width[j], height[j], stroke[j], tone[j]),
            ):
                lower, higher = min(group[i], group[j]), max(group[i], group[j])
                for k in range(i + 1):
                    if group[k] == higher:
                        group[k] = lower
    return group


@njit(cache=True, nogil=True)
def _are_neighbours(a: _Letter, b: _Letter) -> bool:
    """Tell whether two letters (x, y, width, height, stroke, tone) may stand next to each other in a line."""
    gap = max(a[0], b[0]) - min(a[0] + a[2], b[0] + b[2])
    level = min(a[1] + a[3], b[1] + b[3]) - max(a[1], b[1])
    taller, lower = max(a[3], b[3]), min(a[3], b[3])
    near = gap < _APART * taller and gap > -_OVER * min(a[2], b[2]) and level > _LEVEL * lower
    alike = taller < _TALLER * lower and abs(a[5] - b[5]) < _TONES
    return bool(near and alike and max(a[4], b[4]) < _THICKER * min(a[4], b[4]))


def _line(letters: Letters, part: NDArray[np.intp]) -> Line:
    of = letters
    left, top, width, height, middle = _box(of.x[part], of.y[part], of.width[part], of.height[part])
    return Line(part, Rect(left, top, width, height), middle)


@njit(cache=True, nogil=True)
def _box(x: Floats, y: Floats, width: Floats, height: Floats) -> tuple[float, float, float, float, float]:
    """Return the box around letters, x, y, width and height, and their middle height."""
    left, top = x.min(), y.min()
    return left, top, (x + width).max() - left, (y + height).max() - top, np.median(height)


def by_letters(line: Line, letters: Letters, shape: tuple[int, ...]) -> list[float]:
    """Return the measures BY_LETTERS of a line in a picture of `shape` (h, w)."""
    part, box, of = line.letters, line.rect, letters
    x, y = box.centre[0] / shape[1], box.centre[1] / shape[0]
    crooked, stroke, fill, ink = _hand(
        of.x[part], of.y[part], of.width[part], of.height[part], of.stroke[part], of.ink[part]
    )
    return [
        math.log(min(len(part), _MANY)),
        math.log(box.width / box.height),
        min(crooked / line.height, 1.0),
        math.log(box.height / line.height),
        stroke / line.height,
        fill,
        ink / box.area,
        math.log(line.height),
        float(y > _LOWER and abs(x - 0.5) > _ASIDE),
    ]


@njit(cache=True, nogil=True)
def _hand(
    x: Floats, y: Floats, width: Floats, height: Floats, stroke: Floats, ink: Floats
) -> tuple[float, float, float, float]:
    """Return how far letters leave a straight line (px), their mean stroke, ink in their boxes, and all their ink.

    The feet of the letters count, or their middles if they are straighter; fewer than three are straight.
    """
    crooked = 0.0
    if x.size >= _LEAST_LETTERS:
        middles = y + height / 2
        crooked = min(_off_straight(x + width / 2, y + height), _off_straight(x + width / 2, middles))
    return crooked, stroke.mean(), (ink / (width * height)).mean(), ink.sum()


@njit(cache=True, nogil=True)
def _off_straight(x: Floats, y: Floats) -> float:
    """Return the median distance from the line of least squares."""
    across, down = x - x.mean(), y - y.mean()
    slope = (across * down).sum() / max((across * across).sum(), 1e-9)
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
