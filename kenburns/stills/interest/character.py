"""What a part of a picture has more of than the rest: contrast, colour, texture; and how alike two parts are."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeVar

import cv2
import numpy as np
from numpy.typing import NDArray

from ...motion.geometry import Size
from .summed_area import SummedArea, summed
from .wholeness import Boxes

T = TypeVar("T", np.uint8, np.float32)

MEASURES = ("contrast", "colour", "texture")

_LONGEST = 512  # px: texture finer than a pixel of this version is not seen
_KEPT = 128  # px: the measures vary slowly, and are kept at this size
_BROAD = 0.04  # of the longer side: contrast is judged against this surround
_FINE = 1.2  # px: texture is what such a blur takes away
_LAB_UNIT = 25.0  # a difference in CIE L*a*b* that makes two parts look different at a glance
_STRUCTURE_UNIT = 4.0  # the same for the L* of contrast and texture


@dataclass(frozen=True, slots=True)
class Character:
    """Summed tables of the three MEASURES and of L*, a*, b*, over a still."""

    tables: tuple[SummedArea, ...]

    def measured(self, places: Boxes) -> NDArray[np.float64]:
        """Return the means of the MEASURES in each place, shape (places, 3), in units of L* and chroma."""
        return self._means(places, self.tables[: len(MEASURES)])

    def looks(self, places: Boxes) -> NDArray[np.float64]:
        """Return each place's look, shape (places, 5); looks 1 apart differ at a glance."""
        means = self._means(places, self.tables)
        structure, lab = means[:, [0, 2]] / _STRUCTURE_UNIT, means[:, 3:] / _LAB_UNIT
        return np.concatenate([structure, lab], axis=1)

    def _means(self, places: Boxes, tables: tuple[SummedArea, ...]) -> NDArray[np.float64]:
        edges = places.x, places.y, places.x + places.width, places.y + places.height
        still = tables[0].still
        cells = tables[0].table[1:, 1:].size
        areas = places.width * places.height / (still.width * still.height) * cells
        return np.stack([table.within(*edges) / areas for table in tables], axis=1)


def character(rgb: NDArray[np.uint8], still: Size) -> Character:
    """Return the character of an sRGB picture (h, w, 3), a small version of `still`.

    Contrast is the mean distance of L* from its broad surround, colour the mean chroma C*ab (CIE 15:2018), texture
    the mean distance of L* from itself slightly blurred.
    """
    shown = _reduced(rgb, _LONGEST).astype(np.float32) / 255
    lab = np.asarray(cv2.cvtColor(shown, cv2.COLOR_RGB2LAB), np.float32)
    lightness = np.ascontiguousarray(lab[..., 0])
    texture = np.asarray(np.abs(lightness - cv2.GaussianBlur(lightness, (0, 0), _FINE)), np.float32)
    small, fine = _reduced(lab, _KEPT), _reduced(texture, _KEPT)
    contrast = np.abs(small[..., 0] - cv2.GaussianBlur(small[..., 0], (0, 0), _BROAD * max(small.shape[:2])))
    colour = np.hypot(small[..., 1], small[..., 2])
    maps = (contrast, colour, fine, *cv2.split(small))
    return Character(tuple(summed(np.asarray(part, np.float64), still) for part in maps))


def _reduced(picture: NDArray[T], longest: int) -> NDArray[T]:
    ratio = longest / max(picture.shape[:2])
    if ratio >= 1:
        return picture
    height, width = (max(1, round(side * ratio)) for side in picture.shape[:2])
    return np.asarray(cv2.resize(picture, (width, height), interpolation=cv2.INTER_AREA), picture.dtype)
