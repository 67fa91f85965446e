"""The cubic-bezier easing nearest to a course, by least squares.

Levenberg-Marquardt (Marquardt, J. SIAM 11, 1963) on the four numbers of W3C css-easing-1 cubic-bezier(), each kept in
[0, 1]: so x is a function of time, and y, the share of the way, rises and stays between the two ends.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Values = NDArray[np.float64]
Bezier = tuple[float, float, float, float]
"""x1, y1, x2, y2."""

STARTS: tuple[Bezier, ...] = (
    (0.42, 0, 0.58, 1),  # css-easing-1: ease-in-out
    (0.42, 0, 1, 1),  # ease-in
    (0, 0, 0.58, 1),  # ease-out
)
"""Curves unlike each other, from which to set out where nothing is known."""

_STEPS = 60  # a curve that leaps away at once is still coming nearer after 25
_GRID = np.linspace(0.0, 1.0, 65)
_NEWTON_STEPS = 3
_MOST_DAMPING = 1e6
_UNKNOWN = 1e-10  # keeps a number that changes nothing where it is
_LEAST_GAIN = 1e-3  # of the squared error; less than that in a step is the end of the way


def fit_bezier(t: Values, y: Values, start: Bezier) -> Bezier:
    """Return the curve nearest to the shares `y` of the way at the shares `t` of the time, both (n,) in [0, 1].

    It is the nearest of those about `start`; there may be a nearer one elsewhere.
    """
    curve, damping = np.array(start, dtype=np.float64), 1e-3
    error, slopes = _errors(curve, t, y)
    for _ in range(_STEPS):
        gradient = slopes.T @ error
        # A number at its bound that would go on beyond it stays; the others are worked out without it.
        inside = ~(((curve <= 0) & (gradient > 0)) | ((curve >= 1) & (gradient < 0)))
        free = slopes * inside
        normal = free.T @ free
        step = np.linalg.solve(normal + np.diag(damping * np.diag(normal) + _UNKNOWN), gradient * inside)
        tried = np.clip(curve - step, 0.0, 1.0)
        tried_error, tried_slopes = _errors(tried, t, y)
        before, after = float(error @ error), float(tried_error @ tried_error)
        if after < before:
            curve, error, slopes, damping = tried, tried_error, tried_slopes, damping / 4
        else:
            damping *= 8
        if damping > _MOST_DAMPING or before * (1 - _LEAST_GAIN) < after < before:
            break
    x1, y1, x2, y2 = curve.tolist()
    return x1, y1, x2, y2


def _errors(curve: Values, t: Values, y: Values) -> tuple[Values, Values]:
    """Return the curve's errors (n,), and how each changes with the four numbers (n, 4)."""
    x1, y1, x2, y2 = curve
    s = _parameter(t, x1, x2)
    first, second = 3 * s * (1 - s) ** 2, 3 * s**2 * (1 - s)
    # As x1 grows, the place where x is t moves back: ds = -first / x'(s), and y goes with it by y'(s) ds.
    steepness = _slope(s, y1, y2) / np.maximum(_slope(s, x1, x2), 1e-6)
    return first * y1 + second * y2 + s**3 - y, np.stack(
        [-steepness * first, first, -steepness * second, second], axis=1
    )


def _parameter(t: Values, x1: float, x2: float) -> Values:
    """Return the places on the curve where x is t: looked up, then mended by Newton's steps."""
    s = np.interp(t, _cubic(_GRID, x1, x2), _GRID)
    for _ in range(_NEWTON_STEPS):
        s = np.clip(s - (_cubic(s, x1, x2) - t) / np.maximum(_slope(s, x1, x2), 1e-3), 0.0, 1.0)
    return s


def _cubic(s: Values, p1: float, p2: float) -> Values:
    return 3 * s * (1 - s) ** 2 * p1 + 3 * s**2 * (1 - s) * p2 + s**3


def _slope(s: Values, p1: float, p2: float) -> Values:
    return 3 * (1 - s) ** 2 * p1 + 6 * s * (1 - s) * (p2 - p1) + 3 * s**2 * (1 - p2)
