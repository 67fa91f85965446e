"""Where the work is in a photograph of it: its outline, apart from wall, mount, frame, label and targets.

Lines and masses give candidates, a small scorer gives each its probability, and the choice weighs what a mistake would
cost: a work cut into is worse than a frame kept, and a whole photograph kept is no harm.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import cv2
import numpy as np
from numpy.typing import NDArray

from .candidates import Candidates, candidates, gather
from .scorer import scorers, shares
from .snapping import grown, snapped

Rows = NDArray[np.float64]
Point = tuple[float, float]
Kind = Literal["rectangle", "mass", "whole"]

CONFIDENT = 0.9  # an outline of at least this confidence is to be relied on

_LOOKED_AT = 14  # candidates weighed against one another
_CUT = 0.02  # of the work: what two candidates may differ by without the one cutting into the other
_SPARE = 0.0008  # of the longer side: how far sides are moved outwards, so that no row of the work is lost
_SAME = 0.97  # IoU from which two outlines are one, found twice
_NEAR = 0.93
_ALIKE = 0.9  # what an outline near the true one is worth that keeps all of the work, the true one being worth 1
_TIGHT = -1.0  # one near it that cuts into the work
_LOOSE = 0.25  # one that keeps all of the work, and more, times the IoU
_CROPPED = -0.6  # one that cuts into it
_RINGED = 0.7  # of the confidence is left where an even ring around the outline may be the work's own border
_DOUBT = 0.8  # the scores are divided by this: trees held back in their growth are shyer than they are right to be


@dataclass(frozen=True, slots=True)
class Outline:
    """The work's corners, (x, y) in pixels from top left clockwise, or None for the whole photograph.

    Coordinates are continuous: (0, 0) is the photograph's top-left corner. `confidence` (0 to 1) is how likely it is
    that the outline keeps to the work without cutting into it; from `CONFIDENT` up it may be relied on.
    """

    corners: tuple[Point, Point, Point, Point] | None
    confidence: float
    kind: Kind


def find_work(rgb: NDArray[np.uint8]) -> Outline:
    """Return the outline of the work in a photograph, uint8 (h, w, 3) sRGB, best about 1024 px long; deterministic.

    Raises ValueError for another shape or type.
    """
    if rgb.dtype != np.uint8 or rgb.ndim != 3 or rgb.shape[2] != 3 or 0 in rgb.shape:
        raise ValueError(f"an outline needs uint8 of shape (h, w, 3), not {rgb.dtype} of shape {rgb.shape}")
    if min(rgb.shape[:2]) < _TOO_SMALL:
        return Outline(None, 0.0, "whole")
    first, second = scorers()
    found = candidates(gather(rgb), first)
    index, confidence = choose(found, shares(second(found.rows) / _DOUBT))
    if index == 0:
        return Outline(None, confidence, "whole")
    corners = found.corners[index] * (rgb.shape[1], rgb.shape[0])
    if index >= len(found.corners) - found.masses:
        return Outline(_points(corners), confidence, "mass")
    return Outline(_points(fitted(rgb, corners)), confidence, "rectangle")


def choose(found: Candidates, chance: Rows) -> tuple[int, float]:
    """Return which candidate to take, the one of highest expected worth, and how sure it is to do no harm."""
    likely = np.argsort(-chance, kind="stable")[:_LOOKED_AT]
    likely = np.concatenate([[0], likely[likely != 0]])
    chance = chance[likely] / chance[likely].sum()
    iou, cut = overlap(found.corners[likely])
    group = iou[int((_worth(iou, cut) @ chance).argmax())] > _SAME
    best = int(np.where(group, chance, 0).argmax())
    best = _rather_straight(best, found, likely, iou[best], chance)
    good = (iou[best] > _SAME) | ((iou[best] > 0.9) & (cut[best] <= _CUT))
    doubt = _RINGED if found.ringed[likely[best]] else 1.0
    return int(likely[best]), min(1.0, float(chance[good].sum())) * doubt


def _rather_straight(best: int, found: Candidates, likely: NDArray[np.intp], iou: Rows, chance: Rows) -> int:
    """Return the likeliest quadrangle that fits a block, since straight sides fit a tilted work closer than its box."""
    near = np.flatnonzero((iou > 0.9) & (likely < len(found.corners) - found.masses))
    if not found.blocks[likely[best]] or not len(near):
        return best
    return int(near[chance[near].argmax()])


def _worth(iou: Rows, cut: Rows) -> Rows:
    """Return what candidate i is worth if j is the truth, for their IoU and what i cuts off j, all (k, k)."""
    near = np.where(cut > _CUT, _TIGHT, _ALIKE)
    apart = np.where(cut > _CUT, _CROPPED, _LOOSE * iou)
    return np.where(iou > _SAME, 1.0, np.where(iou > _NEAR, near, apart))


def overlap(corners: Rows) -> tuple[Rows, Rows]:
    """Return for quadrangles (k, 4, 2) their IoU (k, k), and what part of j is cut off by i at [i, j]."""
    outlines = np.ascontiguousarray(corners, np.float32)
    areas = np.array([cv2.contourArea(outline) for outline in outlines], np.float64)
    common = np.diag(areas)
    for i in range(len(outlines)):
        for j in range(i):
            common[i, j] = common[j, i] = cv2.intersectConvexConvex(outlines[i], outlines[j])[0]
    return common / (areas[:, None] + areas[None, :] - common), 1 - common / areas[None, :]


def fitted(rgb: NDArray[np.uint8], corners: Rows) -> Rows:
    """Return a rectangle's corners (4, 2), px, laid on the edges nearby and a hair outwards of them."""
    size = np.array([rgb.shape[1], rgb.shape[0]], np.float64)
    return np.clip(grown(snapped(rgb, corners), _SPARE * size.max()), 0, size)


def _points(corners: Rows) -> tuple[Point, Point, Point, Point]:
    a, b, c, d = ((float(x), float(y)) for x, y in corners)
    return a, b, c, d


_TOO_SMALL = 32  # px: where there is next to nothing to see
