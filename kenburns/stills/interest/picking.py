"""Places and their worth to a few details that differ, each with its reason."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ...motion.geometry import Rect
from .character import Character
from .placing import EYES_IN_FACE, EYES_IN_VIEW
from .wholeness import Boxes

REASONS = ("face", "inscription", "highest contrast", "most colour", "finest texture", "centre of interest")
"""Every reason a Detail can have.

"face" and "inscription" (signatures and dates too): one that was given fills a good part of the detail. "highest
contrast", "most colour", "finest texture": hardly a place of its size has more. "centre of interest": people are
likely to look there, and none of the others holds.
"""

MOST_OVERLAP = 0.1  # of the smaller of two details

_FACE, _WRITING = 0.8, 0.65  # what a subject shown at its best is worth, in the worth of the best place
_MOST = np.array([2, 1])  # details drawn by a subject: a third face gives way to something different
_FACE_HEIGHT, _LINE_WIDTH = 0.3, 0.55  # a face's share of the view's height, a line's of its width, at their best
_PROMINENT = 0.3  # of a subject shown at its best: from here on it is what the detail is about
_LEAST_WORTH = 0.2  # of the first detail's: what is left after that is empty
_NEARLY, _MOST_STARTS = 0.8, 12  # of the best place's value: good enough for a first detail that leaves room
_MIDDLING = 0.25  # the worth that scores 0.5
_ALIKE = 0.35  # what looking the same as a detail already picked costs
_LEADS = 0.92  # of the most at any place of its size: "highest", "most", "finest"
_SAME_SIZE = 0.15  # natural log of widths
_BARELY = 0.2  # of L* or chroma: seen by nobody
_STANDS_OUT = 1.4  # times the middle value at its size: else nothing about it is worth the name


@dataclass(frozen=True, slots=True)
class Detail:
    """A rectangle in source pixels, what it is worth (0 to 1, 0.5 and more being much), and why: one of REASONS."""

    rect: Rect
    score: float
    reason: str = "centre of interest"


@dataclass(frozen=True, slots=True)
class Subjects:
    """What a detail may be about, in source pixels."""

    faces: Sequence[Rect]
    writing: Sequence[Rect]


def picked(
    places: Boxes, worth: NDArray[np.float64], subjects: Subjects, looks: Character | None, count: int
) -> tuple[Detail, ...]:
    """Return at most `count` of `places`, best first, little overlapping.

    Greedily the best left each time; where the best of all leaves no room for the others, a place nearly as good is
    taken that does. A score is worth / (worth + _MIDDLING), the worth being that of the place with its subject, less
    what it repeats.
    """
    table = _Table(places, worth, _pulls(places, subjects), looks.looks(places) if looks else None)
    best = _greedy(table, count, table.best)
    if len(best) < count:
        best = max([best, *(_greedy(table, count, start) for start in _starts(table))], key=_room_then_worth)
    reasons = _Reasons(places, table.pulls, looks)
    ranked = sorted(best, key=lambda one: -one[1])
    return tuple(Detail(places.rect(index), value / (value + _MIDDLING), reasons.of(index)) for index, value in ranked)


_Found = list[tuple[int, float]]


@dataclass(frozen=True, slots=True)
class _Table:
    """Everything known of the places: worth, how well each shows a face and a line of writing, what it looks like."""

    places: Boxes
    worth: NDArray[np.float64]
    pulls: NDArray[np.float64]
    seen: NDArray[np.float64] | None

    def value(self, drawn: NDArray[np.intp]) -> NDArray[np.float64]:
        """Return the worth with the pull of subjects not yet shown as often as they may be."""
        strength = np.array([_FACE, _WRITING]) * max(float(self.worth.max()), 0.0)
        return np.asarray(self.worth + (self.pulls * (drawn < _MOST)) @ strength, np.float64)

    @property
    def best(self) -> int:
        return int(np.argmax(self.value(np.zeros(2, np.intp))))

    def likeness(self, index: int) -> NDArray[np.float64]:
        """Return how alike each place looks to one of them, 0 to 1."""
        if self.seen is None:
            return np.zeros(len(self.places))
        return np.asarray(np.exp(-0.5 * np.square(self.seen - self.seen[index]).sum(axis=1)), np.float64)


def _greedy(table: _Table, count: int, start: int) -> _Found:
    """Return places and their values, from `start` on the best one left each time."""
    places, areas = table.places, table.places.width * table.places.height
    drawn, alike, left = np.zeros(2, np.intp), np.zeros(len(places)), np.ones(len(places), np.bool_)
    found: _Found = []
    value, index = table.value(drawn), start
    while len(found) < count and left[index] and value[index] >= _LEAST_WORTH * (found[0][1] if found else -np.inf):
        found.append((index, max(float(value[index]), 0.0)))
        drawn += table.pulls[index] >= _PROMINENT
        left &= places.common(places.rect(index)) <= MOST_OVERLAP * np.minimum(areas, areas[index])
        alike = np.maximum(alike, table.likeness(index))
        value = np.where(left, table.value(drawn) * (1 - _ALIKE * alike), -np.inf)
        index = int(np.argmax(value))
    return found


def _starts(table: _Table) -> list[int]:
    """Return the best places of every width and region, the best dozen that are nearly as good as the best of all."""
    value, places = table.value(np.zeros(2, np.intp)), table.places
    order = np.argsort(-value, kind="stable")
    order = order[value[order] >= _NEARLY * value.max()]
    regions = [_third(places.x, places.width), _third(places.y, places.height), places.width]
    _, firsts = np.unique(np.stack(regions)[:, order], axis=1, return_index=True)
    return [int(index) for index in order[np.sort(firsts)][:_MOST_STARTS]]


def _third(starts: NDArray[np.float64], lengths: NDArray[np.float64]) -> NDArray[np.float64]:
    middles = starts + lengths / 2
    return np.asarray(np.floor((middles - middles.min()) / (np.ptp(middles) + 1) * 3), np.float64)


def _room_then_worth(found: _Found) -> tuple[int, float]:
    return len(found), sum(value for _, value in found)


def _pulls(places: Boxes, subjects: Subjects) -> NDArray[np.float64]:
    """Return how well each place shows its best face and line of writing, (places, 2); 0 if not prominent."""
    faces = [_portrayed(places, face) for face in subjects.faces]
    lines = [_inscribed(places, line) for line in subjects.writing]
    none = np.zeros(len(places))
    shown = np.stack([np.max([none, *faces], axis=0), np.max([none, *lines], axis=0)], axis=1)
    return np.asarray(np.where(shown >= _PROMINENT, shown, 0), np.float64)


def _portrayed(places: Boxes, face: Rect) -> NDArray[np.float64]:
    """Return how well each place shows a face: whole, large, across the middle, the eyes on the upper third."""
    across = (face.centre[0] - places.x) / places.width - 0.5
    down = (face.y + EYES_IN_FACE * face.height - places.y) / places.height - EYES_IN_VIEW
    size = np.log(face.height / places.height / _FACE_HEIGHT)
    shown = np.exp(-0.5 * ((across / 0.2) ** 2 + (down / 0.15) ** 2 + (size / 0.6) ** 2))
    return np.asarray(np.where(places.around(face), shown, 0), np.float64)


def _inscribed(places: Boxes, line: Rect) -> NDArray[np.float64]:
    """Return how well each place shows a line of writing: whole, large, in the middle."""
    across = (line.centre[0] - places.x) / places.width - 0.5
    down = (line.centre[1] - places.y) / places.height - 0.5
    size = np.log(line.width / places.width / _LINE_WIDTH)
    # Signatures lie in a corner, so a view kept inside the work can hardly ever centre one: the size counts more.
    shown = np.exp(-0.5 * ((across / 0.35) ** 2 + (down / 0.35) ** 2 + (size / 0.8) ** 2))
    return np.asarray(np.where(places.around(line), shown, 0), np.float64)


class _Reasons:
    """Why a place is shown; each measure leads once only."""

    def __init__(self, places: Boxes, pulls: NDArray[np.float64], looks: Character | None) -> None:
        self._widths, self._pulls = places.width, pulls
        self._measured = looks.measured(places) if looks is not None else np.zeros((len(places), 0))
        self._named: set[int] = set()

    def of(self, index: int) -> str:
        subject = int(np.argmax(self._pulls[index]))
        if self._pulls[index, subject] >= _PROMINENT:
            return REASONS[subject]
        leading = [(excess, measure) for measure, excess in self._excesses(index) if measure not in self._named]
        if not leading:
            return REASONS[-1]
        measure = max(leading)[1]
        self._named.add(measure)
        return REASONS[2 + measure]

    def _excesses(self, index: int) -> Iterator[tuple[int, float]]:
        """Yield each measure that the place leads in, and how many times the middle value it has."""
        same_size = np.abs(np.log(self._widths / self._widths[index])) < _SAME_SIZE
        for measure, values in enumerate(self._measured.T):
            others, own = values[same_size], float(values[index])
            middle = float(np.median(others))
            if own >= _LEADS * others.max() and own > _STANDS_OUT * middle + _BARELY:
                yield measure, own / max(middle, _BARELY)
