"""Works that are no rectangles: what stands out from the ground as one mass, and the box around it."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from .lines import Floats

Rows = NDArray[np.float64]

LONGEST = 160  # px of the version that masses are looked for in
MASS_TRAITS = 10
FILLING = 2  # the place among the traits of a hull's share of the smallest rectangle around it, turned
_STRIP = 0.03  # of the shorter side: the border that is taken for ground
_SHADOW = (1.0, 0.4)  # what a loss of lightness counts, beside a change of colour: a cast shadow takes light alone


@dataclass(frozen=True, slots=True)
class Ground:
    """The ground: its median colour (3) at the photograph's border, its traits, and each pixel's change from it."""

    colour: NDArray[np.float64]
    traits: NDArray[np.float64]
    change: Floats


def ground_of(lab: Floats) -> Ground:
    """Return the ground of an L*a*b* image (h, w, 3), each channel fitted by a surface of second order at the border.

    `change` is (h, w, 3) at no more than `LONGEST` px. The traits (10) say how even the ground is: the spread of each
    channel and of what the surface leaves, how far the four sides' colours differ, how busy the border is, and the
    whole picture's spread.
    """
    ratio = min(1.0, LONGEST / max(lab.shape[:2]))
    size = max(8, round(lab.shape[1] * ratio)), max(8, round(lab.shape[0] * ratio))
    small = np.asarray(cv2.resize(lab, size, interpolation=cv2.INTER_AREA), np.float32)
    mask = border_mask(*small.shape[:2])
    terms = _surface_terms(*small.shape[:2])
    at_border = small[mask].astype(np.float64)
    fit = _fitted(terms[mask], at_border)
    change = (small - (terms.reshape(-1, terms.shape[2]) @ fit).reshape(small.shape)).astype(np.float32)
    left = np.abs(change[mask])
    steps = np.abs(np.diff(small, axis=1)).mean(axis=2)
    sides = np.stack(
        [np.median(part.reshape(-1, 3), axis=0) for part in (small[:3], small[-3:], small[:, :3], small[:, -3:])]
    )
    differ = np.linalg.norm(sides[:, None] - sides[None, :], axis=2)
    found = [*at_border.std(axis=0), *np.median(left, axis=0) * 3, np.percentile(left.sum(axis=1), 85), differ.max()]
    found += [steps[mask[:, 1:]].mean() * 4, float(small.std(axis=(0, 1)).sum())]
    return Ground(np.median(at_border, axis=0), np.array(found) / 20, change)


def border_mask(height: int, width: int) -> NDArray[np.bool_]:
    """Return which pixels lie in the strip along the border."""
    thick = max(2, round(_STRIP * min(height, width)))
    mask = np.ones((height, width), np.bool_)
    mask[thick:-thick, thick:-thick] = False
    return mask


def masses(ground: Ground) -> tuple[Rows, Rows]:
    """Return boxes (n, 4: left, top, right, bottom, as shares of the sides) and traits (n, MASS_TRAITS) of masses.

    Each way of counting shadows gives the largest connected part beyond Otsu's threshold (Otsu, IEEE Transactions on
    Systems, Man, and Cybernetics 9(1), 1979) and beyond half of it, small gaps closed.
    """
    found = [_mass(ground.change, shadow, share) for shadow in _SHADOW for share in (1.0, 0.5)]
    kept = [each for each in found if each is not None]
    boxes = np.array([box for box, _ in kept], np.float64).reshape(-1, 4)
    return boxes, np.array([traits for _, traits in kept], np.float64).reshape(-1, MASS_TRAITS)


def _mass(change: Floats, shadow: float, share: float) -> tuple[list[float], list[float]] | None:
    height, width = change.shape[:2]
    weighed = change.copy()
    weighed[:, :, 0] *= np.where(change[:, :, 0] < 0, np.float32(shadow), np.float32(1))
    distance = np.sqrt(np.square(weighed).sum(axis=2))
    codes = np.minimum(distance * 4, 255).astype(np.uint8)
    threshold, _ = cv2.threshold(codes, 0, 255, cv2.THRESH_BINARY | cv2.THRESH_OTSU)
    level = max(12.0, threshold * share)
    mask = (codes > level).astype(np.uint8)
    mask = cv2.morphologyEx(cv2.morphologyEx(mask, cv2.MORPH_OPEN, _DISC), cv2.MORPH_CLOSE, _DISC, iterations=2)
    count, labels, stats, centres = cv2.connectedComponentsWithStats(mask)
    if count < 2:
        return None
    off_middle = np.hypot(*((centres[1:] / (width, height)) - 0.5).T)
    index = 1 + int(np.argmax(stats[1:, cv2.CC_STAT_AREA] * (1.2 - off_middle)))
    left, top, wide, tall, area = (int(v) for v in stats[index])
    part = np.asarray(labels[top : top + tall, left : left + wide] == index, np.uint8)
    outline = max(cv2.findContours(part, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)[0], key=cv2.contourArea)
    hull = max(1.0, cv2.contourArea(cv2.convexHull(outline)))
    _, turned, _ = cv2.minAreaRect(outline)
    touching = sum((left <= 1, top <= 1, left + wide >= width - 1, top + tall >= height - 1))
    traits = [
        area / (wide * tall),
        cv2.contourArea(outline) / hull,
        hull / max(1.0, turned[0] * turned[1]),
        touching / 4,
        wide * tall / (width * height),
        area / max(1, int(mask.sum())),
        level / 80,
        float(distance[labels == index].mean()) / 40,
        abs((left + wide / 2) / width - 0.5) + abs((top + tall / 2) / height - 0.5),
        shadow,
    ]
    return [left / width, top / height, (left + wide) / width, (top + tall) / height], traits


def _surface_terms(height: int, width: int) -> NDArray[np.float32]:
    """Return 1, x, y, x², xy, y² for each pixel (h, w, 6), x and y from -1 to 1."""
    y, x = np.mgrid[-1 : 1 : height * 1j, -1 : 1 : width * 1j]
    return np.stack([np.ones_like(x), x, y, x * x, x * y, y * y], axis=2).astype(np.float32)


def _fitted(terms: NDArray[np.float32], values: Rows) -> NDArray[np.float32]:
    """Return the least-squares surface (6, 3), fitted again without the third of pixels that it fits worst."""
    fit = _least_squares(terms, values)
    off = np.abs(values - terms @ fit).sum(axis=1)
    near = off <= np.quantile(off, 0.67)
    return _least_squares(terms[near], values[near]).astype(np.float32)


def _least_squares(terms: NDArray[np.float32], values: Rows) -> Rows:
    """Return the solution of the normal equations: six terms of like size, so that they are well conditioned."""
    wide = terms.astype(np.float64)
    return np.asarray(np.linalg.solve(wide.T @ wide + 1e-6 * np.eye(wide.shape[1]), wide.T @ values), np.float64)


_DISC = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (3, 3))
