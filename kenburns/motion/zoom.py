"""Routes between two views: the smoothest (van Wijk & Nuij 2003) and the direct one.

A view is (cx, cy, w): centre and width, in source pixels. Both routes are run at an even visual speed in the metric of
the paper, ds^2 = rho^2 |dc|^2 / w^2 + dw^2 / (rho^2 w^2), so their lengths can be compared.

Source: J. J. van Wijk and W. A. A. Nuij, "Smooth and efficient zooming and panning", IEEE Symposium on Information
Visualization (InfoVis) 2003, equation 9 (formulas and their number from memory; the values are checked against a
published implementation in tests/motion/reference).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

View = tuple[float, float, float]
Values = NDArray[np.float64]

# The trade between zooming and panning. The paper's user trial found about 1.42 (from memory); sqrt(2) is the usual
# choice.
RHO = math.sqrt(2)

# Centres closer than this share of the width are one centre: the formulas below divide by the distance.
_SAME_CENTRE = 1e-12


class Route(Protocol):
    """A course from one view to another."""

    @property
    def length(self) -> float:
        """S, the length in the paper's metric."""

    def at(self, u: Values) -> Values:
        """Return the views (n, 3) at the shares u (n,) of the length, in [0, 1]; exact at 0 and 1."""


@dataclass(frozen=True, slots=True)
class DirectPath:
    """The rectangle runs in a straight line from start to end, its width logarithmic in u (linear for equal widths).

    Where the widths differ this is a zoom about one fixed point. All views lie inside the hull of the two ends, as
    x, y and width are convex combinations of theirs.
    """

    start: View
    end: View
    rho: float = RHO

    @property
    def length(self) -> float:
        """|ln(w1/w0)| sqrt(rho^2 k^2 + 1/rho^2), k = |dc|/|dw|; rho |dc| / w for equal widths.

        From the metric with dc = k dw: ds = (|dw|/w) sqrt(rho^2 k^2 + 1/rho^2).
        """
        logarithm, growth = _log_ratio(self.start, self.end), self.end[2] - self.start[2]
        mean_inverse_width = logarithm / growth if growth else 1 / self.start[2]
        return math.hypot(self.rho * _distance(self.start, self.end) * mean_inverse_width, logarithm / self.rho)

    def at(self, u: Values) -> Values:
        """Return the views (n, 3) at the shares u (n,), in [0, 1]; exact at 0 and 1."""
        logarithm = _log_ratio(self.start, self.end)
        # The share of the straight line at which the width is w0 (w1/w0)^u.
        share = np.expm1(logarithm * u) / math.expm1(logarithm) if logarithm else u
        start, end = np.array(self.start), np.array(self.end)
        return _with_exact_ends(start + share[:, None] * (end - start), u, self)


@dataclass(frozen=True, slots=True)
class ZoomPath:
    """The shortest route in the metric: it draws back, travels and closes in again. Made by `zoom_path`."""

    start: View
    end: View
    rho: float
    r0: float
    length: float

    def at(self, u: Values) -> Values:
        """Return the views (n, 3) at the shares u (n,), in [0, 1]; exact at 0 and 1.

        Equation 9 gives u(s) = w0/rho^2 cosh(r0) tanh(rho s + r0) - w0/rho^2 sinh(r0); written here as
        w0/rho^2 sinh(rho s) / cosh(rho s + r0), the same number without the difference of two large ones.
        """
        rho, r0, w0 = self.rho, self.r0, self.start[2]
        s = u * self.length
        travelled = w0 / rho**2 * np.sinh(rho * s) / np.cosh(rho * s + r0)  # eq. 9, u(s)
        width = w0 * math.cosh(r0) / np.cosh(rho * s + r0)  # eq. 9, w(s)
        share = travelled / _distance(self.start, self.end)
        (x0, y0, _), (x1, y1, _) = self.start, self.end
        return _with_exact_ends(np.stack([x0 + share * (x1 - x0), y0 + share * (y1 - y0), width], axis=1), u, self)


def zoom_path(start: View, end: View, rho: float = RHO) -> Route:
    """Return van Wijk & Nuij's route between two views.

    Equal centres leave a plain zoom, w(s) = w0 exp(+-rho s) (the paper's special case); equal views, a rest.
    Raises ValueError for a width or rho that is not above 0.
    """
    direct = direct_path(start, end, rho)
    (w0, w1), d = (start[2], end[2]), _distance(start, end)
    if d <= _SAME_CENTRE * min(w0, w1):
        return direct
    growth, spread = (w1 - w0) * (w1 + w0), rho**4 * d**2
    b0 = (growth + spread) / (2 * w0 * rho**2 * d)  # eq. 9, b_i with i = 0
    b1 = (growth - spread) / (2 * w1 * rho**2 * d)  # eq. 9, b_i with i = 1
    r0, r1 = math.asinh(-b0), math.asinh(-b1)  # eq. 9, r_i = ln(-b_i + sqrt(b_i^2 + 1))
    return ZoomPath(start, end, rho, r0, (r1 - r0) / rho)  # eq. 9, S = (r1 - r0) / rho


def direct_path(start: View, end: View, rho: float = RHO) -> DirectPath:
    """Return the straight route between two views; ValueError for a width or rho that is not above 0."""
    if not (start[2] > 0 and end[2] > 0 and rho > 0):
        raise ValueError(f"widths and rho are above 0, not {start[2]}, {end[2]} and {rho}")
    return DirectPath(start, end, rho)


def _distance(start: View, end: View) -> float:
    return math.hypot(end[0] - start[0], end[1] - start[1])


def _log_ratio(start: View, end: View) -> float:
    return math.log1p((end[2] - start[2]) / start[2])


def _with_exact_ends(views: Values, u: Values, route: DirectPath | ZoomPath) -> Values:
    views[u <= 0] = route.start
    views[u >= 1] = route.end
    return views
