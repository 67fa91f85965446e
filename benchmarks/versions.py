"""A photograph altered as artworks are unlike photographs: what a detail proposal should not mind."""

from __future__ import annotations

from collections.abc import Callable

import cv2
import numpy as np
from numpy.typing import NDArray

Picture = NDArray[np.uint8]
_BLUR = 15  # px, twice


def _grey(rgb: Picture) -> Picture:
    return np.repeat(np.asarray(cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY), np.uint8)[..., None], 3, axis=2)


def _median_blurred(rgb: Picture) -> Picture:
    return np.asarray(cv2.medianBlur(cv2.medianBlur(rgb, _BLUR), _BLUR), np.uint8)


VERSIONS: dict[str, Callable[[Picture], Picture]] = {
    "plain": lambda rgb: rgb,
    "grey": _grey,
    "negative": lambda rgb: 255 - rgb,
    "median-blurred": _median_blurred,
}
