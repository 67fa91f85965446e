"""Small pictures for sheets, and places in them as shares of their sides."""

from __future__ import annotations

import cv2
import numpy as np

from ..motion.geometry import Corners, Rect, Size
from .sheet import Outline, Picture, Share


def reduced(picture: Picture, longest: int) -> Picture:
    """Return a picture (h, w, 3) at most `longest` px on its longer side, never enlarged."""
    ratio = longest / max(picture.shape[:2])
    if ratio >= 1:
        return picture
    size = max(round(picture.shape[1] * ratio), 1), max(round(picture.shape[0] * ratio), 1)
    return np.asarray(cv2.resize(picture, size, interpolation=cv2.INTER_AREA), np.uint8)


def share_of(rect: Rect, size: Size) -> Share:
    """Return a rectangle as shares of a picture's sides."""
    return rect.x / size.width, rect.y / size.height, rect.width / size.width, rect.height / size.height


def outline_of(corners: Corners | None, size: Size) -> Outline | None:
    """Return corners as shares of a picture's sides, brought into it; None for none."""
    if corners is None:
        return None
    return tuple((min(max(x / size.width, 0), 1), min(max(y / size.height, 0), 1)) for x, y in corners)
