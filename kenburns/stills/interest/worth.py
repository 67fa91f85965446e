"""What a place is worth: how much of the interest it catches, how densely, how well centred, how little cut."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from ...motion.geometry import Rect, Size, filling
from .summed_area import SummedArea, summed_shares
from .wholeness import Boxes

CLOSER = 2.5  # how much closer than the picture's fill view a detail is, where the content does not say

_SIZE_SPREAD = 0.9  # how far (natural log of the width) from CLOSER content may draw a detail without much loss
_CORE = 0.5  # the inner part of a place, as a share of its sides, whose content counts twice: it centres the subject
_RIM = 0.16  # how far, as a share of its sides, to either side of a place's edge content counts as cut
_CUT = 0.75  # what an edge through content as dense as inside costs
_CENTRED = 0.5  # what content in the core counts on top
_BALANCE = 0.5  # between catching much (0: always the largest) and catching it densely (1: always the smallest)
_MAP, _BROAD = 160, 0.02  # px of the longer side; of which this share is the sigma of a blur
_TIE = 1e-6


def worth(
    saliency_map: NDArray[np.float32], still: Size, places: Boxes, area: Rect, frame: Size
) -> NDArray[np.float64]:
    """Return what each of `places` is worth, shape (places,): 1 is much, an even map gives at most about 0.5.

    `saliency_map` (h, w) lies over the whole `still`; only what lies in `area` counts.
    """
    interest = summed_shares(_inside(_broad(saliency_map), still, area), still)
    share = places.width * places.height / area.area
    inside, core = (_caught(interest, places, part) for part in (1.0, _CORE))
    caught = (inside + _CENTRED * core) / share**_BALANCE * (1 - _CUT * _cut(interest, places, area))
    # Balanced as it is, worth grows with the width all the same, and the usual width is preferred the less strongly.
    power = 1 - _BALANCE
    usual = np.log(places.width * CLOSER / filling(area, frame).width) / _SIZE_SPREAD + power * _SIZE_SPREAD
    return np.asarray(caught * np.exp(-0.5 * usual**2) - _TIE * _far(places, area), np.float64)


def _broad(saliency_map: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return a small version without fine structure: a bright outline becomes the figure that it goes around."""
    height, width = saliency_map.shape
    ratio = min(1.0, _MAP / max(height, width))
    size = max(1, round(width * ratio)), max(1, round(height * ratio))
    small = cv2.resize(saliency_map, size, interpolation=cv2.INTER_AREA)
    return np.asarray(cv2.GaussianBlur(small, (0, 0), _BROAD * max(size)), np.float32)


def _inside(saliency_map: NDArray[np.float32], still: Size, area: Rect) -> NDArray[np.float32]:
    """Return the map with nothing outside `area`: what surrounds a work draws no detail to its edge."""
    height, width = saliency_map.shape
    inside = np.zeros_like(saliency_map)
    rows = slice(round(area.y / still.height * height), max(1, round(area.bottom / still.height * height)))
    columns = slice(round(area.x / still.width * width), max(1, round(area.right / still.width * width)))
    inside[rows, columns] = saliency_map[rows, columns]
    return inside


def _caught(interest: SummedArea, places: Boxes, scale: float) -> NDArray[np.float64]:
    """Return the share of the interest in each place scaled about its middle."""
    scaled = places.scaled(scale)
    return interest.within(scaled.x, scaled.y, scaled.x + scaled.width, scaled.y + scaled.height)


def _cut(interest: SummedArea, places: Boxes, area: Rect) -> NDArray[np.float64]:
    """Return how dense the interest is along each place's edge, 0 to 1: 1 for as dense as inside and more.

    Beyond the area nothing can be cut, so only the edge inside it counts.
    """
    inner, outer = 1 - _RIM, 1 + _RIM
    rim = _caught(interest, places, outer) - _caught(interest, places, inner)
    rim_share = _shares(places, area, outer) - _shares(places, area, inner)
    dense = _caught(interest, places, 1.0) / _shares(places, area, 1.0)
    return np.asarray(np.clip(rim / rim_share / np.maximum(dense, 1e-12), 0, 1), np.float64)


def _shares(places: Boxes, area: Rect, scale: float) -> NDArray[np.float64]:
    """Return the share of `area` that each place scaled about its middle covers."""
    return places.scaled(scale).common(area) / area.area


def _far(places: Boxes, area: Rect) -> NDArray[np.float64]:
    """Return the squared distance of middles from the area's middle, in areas: between equals the middle one wins."""
    across = (places.x + places.width / 2 - area.centre[0]) / area.width
    down = (places.y + places.height / 2 - area.centre[1]) / area.height
    return np.asarray(across**2 + down**2, np.float64)
