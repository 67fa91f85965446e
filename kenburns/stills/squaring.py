"""Squaring up a tilted view: the homography from a work's outline to an upright picture in which nothing is enlarged.

A homography stretches some parts more than others. Where its local magnification, the largest singular value of the
Jacobian of upright by source coordinates, passes 1, it makes pixels that the photograph does not have. So the upright
picture is as large as keeps that magnification at 1 where it is greatest, and below 1 everywhere else.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from ..motion.geometry import Size

Matrix = NDArray[np.float64]
Pixels = NDArray[np.uint8] | NDArray[np.uint16]

_POINTS = 513  # along each side, where the magnification is looked at
_MARGIN = 1e-4  # for what lies between those points
_ROUNDING = 1e-9  # px: a rectangle of whole pixels gives itself
_BAND = 256  # rows of the upright picture drawn at a time
_FINEST = 8  # points an upright pixel is drawn from, each way, at most


@dataclass(frozen=True, slots=True)
class Squaring:
    """The upright picture's size, the homography (3, 3) from source to upright, and its greatest magnification (<= 1).

    The matrix is for continuous coordinates: (0, 0) is the top-left corner, a pixel's centre lies at +0.5. `reduction`
    is how many source pixels go into an upright one where, and in the direction in which, most do.
    """

    size: Size
    matrix: Matrix
    magnification: float
    reduction: float


def squaring(corners: Sequence[tuple[float, float]] | Matrix) -> Squaring:
    """Return the squaring-up of a quadrangle: four (x, y) px, from top left clockwise.

    The upright picture's aspect is that of the means of opposite sides; what a tilt has taken from one direction more
    than from the other cannot be told from four corners alone. Homography by four points: Hartley & Zisserman,
    "Multiple View Geometry in Computer Vision", 2nd ed. 2003, section 4.1.

    Raises ValueError unless the corners make a convex quadrangle, clockwise, of at least one upright pixel each way.
    """
    source = np.asarray(corners, np.float64).reshape(-1, 2)
    _check(source)
    wide, tall = mean_sides(source)
    largest, smallest = greatest(_homography(source, wide, tall), source)
    scale = (1 - _MARGIN * (1 - smallest / largest)) / largest
    width, height = (int(side * scale + _ROUNDING) for side in (wide, tall))
    if min(width, height) < 1:
        raise ValueError(
            f"a squared-up picture is at least 1x1 px, these corners give {width}x{height}: {_said(source)}"
        )
    matrix = _homography(source, width, height)
    largest, smallest = greatest(matrix, source)
    return Squaring(Size(width, height), matrix, largest, 1 / smallest)


def square_up(rgb: Pixels, of: Squaring) -> Pixels:
    """Return the upright picture of a photograph (h, w, 3), uint8 or uint16, in the same type.

    Lanczos over 8x8 pixels; where the view is reduced, several points a pixel, averaged, so that nothing flickers.
    """
    return np.concatenate(list(_bands(rgb, of)))


def magnifications(matrix: Matrix, points: Matrix) -> Matrix:
    """Return the singular values (n, 2) of a homography's Jacobian at points (n, 2), the larger first.

    With (u, v, w) = H (x, y, 1), the Jacobian of (u/w, v/w) is (H[:2, :2] - (u/w, v/w)ᵀ H[2, :2]) / w.
    """
    lifted = np.concatenate([points, np.ones((len(points), 1))], axis=1) @ matrix.T
    upright = lifted[:, :2] / lifted[:, 2:]
    jacobian = (matrix[:2, :2] - upright[:, :, None] * matrix[2, :2]) / lifted[:, 2, None, None]
    return np.asarray(np.linalg.svd(jacobian, compute_uv=False))


def greatest(matrix: Matrix, corners: Matrix) -> tuple[float, float]:
    """Return the largest and the smallest singular value over a quadrangle, to `_MARGIN`.

    Both lie on its outline: for a direction whose vanishing point is v, the magnification at the upright point v + r is
    a constant times |r| (g·r), g being across the horizon, which grows with g·r.
    """
    share = np.linspace(0, 1, _POINTS)[:, None]
    sides = [a + share * (b - a) for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True)]
    values = magnifications(matrix, np.concatenate(sides))
    return float(values[:, 0].max()), float(values[:, 1].min())


def mean_sides(corners: Matrix) -> tuple[float, float]:
    """Return the mean length of top and bottom, and of left and right."""
    lengths = np.linalg.norm(np.roll(corners, -1, axis=0) - corners, axis=1)
    return float(lengths[[0, 2]].mean()), float(lengths[[1, 3]].mean())


def _homography(source: Matrix, width: float, height: float) -> Matrix:
    """Return the matrix (3, 3) that takes four corners to those of an upright picture, its last element 1."""
    target = np.array([[0, 0], [width, 0], [width, height], [0, height]], np.float64)
    rows = []
    for (x, y), (u, v) in zip(source, target, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
    return np.append(np.linalg.solve(np.array(rows), target.reshape(-1)), 1).reshape(3, 3)


def _bands(rgb: Pixels, of: Squaring) -> Iterator[Pixels]:
    """Yield the upright picture in bands from the top, each drawn finer and averaged."""
    finer = int(np.clip(np.ceil(of.reduction - 0.2), 1, _FINEST))
    back = np.asarray(np.linalg.inv(of.matrix), np.float64)
    for top in range(0, of.size.height, _BAND):
        tall = min(_BAND, of.size.height - top)
        x, y = _sources(back, of.size.width, top, tall, finer)
        drawn = cv2.remap(rgb, x, y, cv2.INTER_LANCZOS4, borderMode=cv2.BORDER_REPLICATE)
        if finer > 1:
            drawn = cv2.resize(drawn, (of.size.width, tall), interpolation=cv2.INTER_AREA)
        yield np.asarray(drawn, np.uint8) if rgb.dtype == np.uint8 else np.asarray(drawn, np.uint16)


def _sources(back: Matrix, width: int, top: int, tall: int, finer: int) -> tuple[NDArray[np.float32], ...]:
    """Return where the points of a band come from, in pixels counted from the first one's centre."""
    u = (np.arange(width * finer) + 0.5) / finer
    v = (top + (np.arange(tall * finer) + 0.5) / finer)[:, None]
    x, y, w = (back[row, 0] * u + back[row, 1] * v + back[row, 2] for row in range(3))
    return (x / w - 0.5).astype(np.float32), (y / w - 0.5).astype(np.float32)


def _check(corners: Matrix) -> None:
    if corners.shape != (4, 2) or not np.isfinite(corners).all():
        raise ValueError(f"squaring up needs four corners (x, y), not {corners.tolist()}")
    sides = np.roll(corners, -1, axis=0) - corners
    after = np.roll(sides, -1, axis=0)
    if (sides[:, 0] * after[:, 1] - sides[:, 1] * after[:, 0] <= 0).any():
        raise ValueError(
            "squaring up needs a convex outline, clockwise from top left like (0, 0) (3, 0) (3, 2) (0, 2), "
            f"not {_said(corners)}"
        )


def _said(corners: Matrix) -> str:
    return " ".join(f"({x:g}, {y:g})" for x, y in corners)
