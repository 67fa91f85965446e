"""Easing curves: how a move spends its time.

Each is a function on float64 arrays from [0, 1] to [0, 1], rising, and exact at both ends. Curves that leave [0, 1]
are refused: they would carry the view past its stops, and so below 1:1.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import lru_cache, partial

import numpy as np
from numpy.typing import NDArray

from ..errors import OptionError

Values = NDArray[np.float64]
Easing = Callable[[Values], Values]

_BEZIER = re.compile(r"cubic-bezier\((.*)\)")

# Halvings of [0, 1] until two neighbouring doubles near 1 are told apart.
_HALVINGS = 54


def linear(t: Values) -> Values:
    """Even all the way."""
    return t.copy()


def sine(t: Values) -> Values:
    """Half a cosine wave: (1 - cos(pi t)) / 2. The fastest moment is pi/2 times the mean speed."""
    return (1 - np.cos(np.pi * t)) / 2


def cubic(t: Values) -> Values:
    """Two cubic halves: 4 t^3, then its mirror image. The fastest moment is 3 times the mean speed."""
    return np.where(t < 0.5, 4 * t**3, 1 - 4 * (1 - t) ** 3)


def minimum_jerk(t: Values) -> Values:
    """10 t^3 - 15 t^4 + 6 t^5, the course of a reaching hand: the least jerk from rest to rest.

    Source: Flash & Hogan, "The coordination of arm movements", J. Neuroscience 5 (1985), the one-dimensional case of
    their minimum-jerk trajectory (coefficients from memory).
    """
    return t**3 * (10 - 15 * t + 6 * t**2)


def cubic_bezier(t: Values, x1: float, y1: float, x2: float, y2: float) -> Values:
    """W3C css-easing-1, cubic-bezier(): the curve's y where its x is t; all four numbers in [0, 1].

    x(s) and y(s) are cubic Béziers with end points (0, 0) and (1, 1). x rises with s as x1 and x2 lie in [0, 1], so
    halving finds s; a Newton step could meet a flat place.
    """
    low, high = np.zeros_like(t), np.ones_like(t)
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        before = _bezier(middle, x1, x2) < t
        low, high = np.where(before, middle, low), np.where(before, high, middle)
    inner = np.clip(_bezier((low + high) / 2, y1, y2), 0.0, 1.0)
    return np.where(t <= 0, 0.0, np.where(t >= 1, 1.0, inner))


def _bezier(s: Values, p1: float, p2: float) -> Values:
    r = 1 - s
    return 3 * r * r * s * p1 + 3 * r * s * s * p2 + s**3


_NAMED: dict[str, Easing] = {"linear": linear, "sine": sine, "cubic": cubic, "minimum-jerk": minimum_jerk}


@lru_cache(maxsize=64)
def easing(name: str) -> Easing:
    """Return the curve called "linear", "sine", "cubic", "minimum-jerk" or "cubic-bezier(x1, y1, x2, y2)".

    Raises OptionError for other names, and for a cubic-bezier that is not four numbers in [0, 1].
    """
    plain = name.strip().lower()
    if plain in _NAMED:
        return _NAMED[plain]
    match = _BEZIER.fullmatch(plain)
    if match is None:
        raise OptionError(f"easing {name!r} is not known; use {', '.join(_NAMED)} or cubic-bezier(x1, y1, x2, y2)")
    x1, y1, x2, y2 = _four_numbers(name, match[1])
    return partial(cubic_bezier, x1=x1, y1=y1, x2=x2, y2=y2)


def _four_numbers(name: str, text: str) -> list[float]:
    try:
        numbers = [float(part) for part in text.split(",")]
    except ValueError:
        numbers = []
    if len(numbers) != 4:
        raise OptionError(f"easing {name!r} needs four numbers, as in cubic-bezier(0.25, 0.1, 0.25, 1)")
    if not all(0 <= number <= 1 for number in numbers):
        raise OptionError(f"easing {name!r} leaves 0 to 1 and would carry the view past its stops; keep all four in it")
    return numbers
