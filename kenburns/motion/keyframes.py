"""A move as the fewest keyframes, for compositing by hand.

A keyframe gives the view on one frame and how the time to the next one is spent: "hold", "linear", or
"cubic-bezier(x1, y1, x2, y2)" as in W3C css-easing-1. Between two keyframes x, y, width and height each run in a
straight line from the one value to the other, all four with that one easing. After the last keyframe the view stays.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from .bezier_fit import STARTS, Bezier, fit_bezier
from .easing import cubic_bezier, easing

Values = NDArray[np.float64]

HOLD, LINEAR = "hold", "linear"

# A millionth of a move over 10,000 px is a hundredth of a pixel.
_DECIMALS = 6

# Kept below the tolerance for the rounding of a sum: what is measured afterwards is within it, exactly.
_HAIR = 1e-6


@dataclass(frozen=True, slots=True)
class Keyframe:
    """The view on one frame of a shot, in source pixels, and the easing into the next keyframe."""

    frame: int
    x: float
    y: float
    width: float
    height: float
    easing: str

    @property
    def view(self) -> tuple[float, float, float, float]:
        """x, y, width, height."""
        return self.x, self.y, self.width, self.height


@dataclass(frozen=True, slots=True)
class _Run:
    """A rest or a move: its first and last frame, which its neighbours share."""

    first: int
    last: int
    rests: bool


@dataclass(frozen=True, slots=True)
class _Segment:
    """So many frames under one easing, to the frame `end`; its curve where it is neither a rest nor even."""

    end: int
    easing: str
    curve: Bezier | None = None


def reduce_to_keyframes(path: Values, tolerance_px: float = 0.1) -> tuple[Keyframe, ...]:
    """Return the fewest keyframes that `play` back to the path within the tolerance.

    `path` (frames, 4): x, y, width, height of one uncut shot, in source pixels. The tolerance is the largest distance
    of any corner of the view from its place on any frame, in source pixels. Keyframes are rows of the path as they
    stand, and a rest of two frames or more is exact: it begins and ends on a keyframe. Between rests each segment
    reaches as far as one easing does. (Keyframes free to lie beside the path, within the tolerance, saved less than one
    in ten on the curved routes where there are many, and none elsewhere.)

    Raises ValueError for a path of another shape or without a frame, and a tolerance that is not above 0.
    """
    if path.ndim != 2 or path.shape[1] != 4 or not len(path):
        raise ValueError(f"a path has rows of x, y, width and height, at least one, not the shape {path.shape}")
    if not tolerance_px > 0:
        raise ValueError(f"a tolerance is above 0 px, not {tolerance_px}")
    runs = list(_runs(path))
    found = [entry for run in runs for entry in _segments(path, run, tolerance_px * (1 - _HAIR))]
    end = [] if runs and runs[-1].rests else [(len(path) - 1, HOLD)]
    return tuple(_keyframe(path, *entry) for entry in (*found, *end))


def play(keyframes: Sequence[Keyframe], frames: int) -> Values:
    """Return the path (frames, 4) that a compositor makes of the keyframes, the first of which is on frame 0."""
    path = np.empty((frames, 4))
    for keyframe in keyframes:
        path[keyframe.frame :] = keyframe.view
    for one, after in pairwise(keyframes):
        if one.easing != HOLD:
            # The frame of the next keyframe has its view already: a sum that ends there may be a rounding beside it.
            share = easing(one.easing)(np.linspace(0.0, 1.0, after.frame - one.frame + 1)[:-1])
            path[one.frame : after.frame] = _between(np.array(one.view), np.array(after.view), share)
    return path


def farthest_corner(path: Values, other: Values) -> float:
    """Return the largest distance between the same corners of two paths (frames, 4), in source pixels."""
    return float(np.linalg.norm(_corners(path) - _corners(other), axis=2).max())


def _keyframe(path: Values, frame: int, name: str) -> Keyframe:
    x, y, width, height = path[frame].tolist()
    return Keyframe(frame, x, y, width, height, name)


def _between(one: Values, after: Values, share: Values) -> Values:
    # Rounding may carry a sum a hair past its end, and no view may be smaller than both.
    return np.clip(one + share[:, None] * (after - one), np.minimum(one, after), np.maximum(one, after))


def _corners(path: Values) -> Values:
    """Return the corners (n, 4, 2) of views (n, 4)."""
    x, y, width, height = path.T
    places = ((x, y), (x + width, y), (x, y + height), (x + width, y + height))
    return np.stack([np.stack(place, axis=1) for place in places], axis=1)


def _runs(path: Values) -> Iterator[_Run]:
    still = np.all(path[1:] == path[:-1], axis=1)
    changes = [0, *(np.flatnonzero(still[1:] != still[:-1]) + 1).tolist(), len(still)]
    return (_Run(first, last, bool(still[first])) for first, last in pairwise(changes) if last > first)


def _segments(path: Values, run: _Run, tolerance: float) -> Iterator[tuple[int, str]]:
    """Yield the first frame and the easing of each segment of a run."""
    if run.rests:
        yield run.first, HOLD
        return
    corners, start = _corners(path), run.first
    while start < run.last:
        segment = _longest(corners, start, run.last, tolerance)
        yield start, segment.easing
        start = segment.end


def _longest(corners: Values, start: int, last: int, tolerance: float) -> _Segment:
    """Return the segment that reaches farthest from `start`, by halving: what one easing can do, it can do in part."""
    reached, beyond, tried = _Segment(start + 1, LINEAR), last + 1, last
    while tried > reached.end:
        segment = _segment(corners[start : tried + 1], tried, tolerance, reached.curve)
        reached, beyond = (segment, beyond) if segment else (reached, tried)
        tried = (reached.end + beyond) // 2
    return reached


def _segment(corners: Values, end: int, tolerance: float, near: Bezier | None) -> _Segment | None:
    """Return the segment over these rows (n, 4, 2) of corners, None where no easing is found for it."""
    t = np.linspace(0.0, 1.0, len(corners))
    low, high = _allowed(corners, tolerance)
    if np.any(low > high):
        return None
    if np.all((low <= t) & (t <= high)):
        return _Segment(end, LINEAR)
    middle = np.clip((low + high) / 2, 0.0, 1.0)
    for start in (near, *STARTS) if near else STARTS:
        x1, y1, x2, y2 = curve = _rounded(fit_bezier(t, middle, start))
        share = cubic_bezier(t, x1, y1, x2, y2)
        if np.all((low <= share) & (share <= high)):
            return _Segment(end, f"cubic-bezier({x1:g}, {y1:g}, {x2:g}, {y2:g})", curve)
    return None


def _allowed(corners: Values, tolerance: float) -> tuple[Values, Values]:
    """Return the least and the largest share (n,) of the way at which all corners are within the tolerance.

    Each corner's way is a straight line from its first place to its last; the row's own corner lies `along` it, and so
    far `across` from it. Where no share will do, the least is above the largest.
    """
    way, off = corners[-1] - corners[0], corners - corners[0]
    length = np.linalg.norm(way, axis=1)
    unit = way / np.where(length, length, 1.0)[:, None]
    along = (off * unit).sum(axis=2)
    across = np.where(length, off[..., 0] * unit[:, 1] - off[..., 1] * unit[:, 0], np.linalg.norm(off, axis=2))
    room = np.sqrt(np.maximum(tolerance**2 - across**2, 0.0))
    with np.errstate(divide="ignore", invalid="ignore"):
        low, high = (along - room) / length, (along + room) / length
    # A corner that ends where it began allows any share, or none.
    low, high = np.where(length, low, -np.inf), np.where(length, high, np.inf)
    missed = np.abs(across) > tolerance
    return np.where(missed, np.inf, low).max(axis=1), np.where(missed, -np.inf, high).min(axis=1)


def _rounded(curve: Bezier) -> Bezier:
    x1, y1, x2, y2 = (round(number, _DECIMALS) for number in curve)
    return x1, y1, x2, y2
