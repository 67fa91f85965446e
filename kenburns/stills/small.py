"""A small version of a photograph, for thumbnails: decoded small where the format allows, which is quick."""

from __future__ import annotations

import cv2
import numpy as np
import pyvips
from numpy.typing import NDArray

from .decode import decoding, load
from .littlecms import Intent
from .open import MATTE, Photograph, Pixels, eight_bits, open_pixels
from .squaring import square_up, squaring


def small_rgb(
    photograph: Photograph, longest: int, matte: tuple[int, int, int] = MATTE, intent: Intent = "relative"
) -> NDArray[np.uint8]:
    """Return the whole picture, shape (h, w, 3), its longer side at most `longest` px and never enlarged.

    Raises ValueError for `longest` < 1 and PhotographError where the file is damaged.
    """
    if longest < 1:
        raise ValueError(f"the longer side is at least 1 px, not {longest}")
    pixels = open_pixels(photograph, matte, intent)
    with decoding(photograph.name):
        small = _reduced(pixels, longest)
        upright = eight_bits(pixels.three_bands(small.numpy().reshape(small.height, small.width, small.bands)))
    return upright if photograph.corners is None else squared_up_small(upright, photograph, longest)


def squared_up_small(upright: NDArray[np.uint8], photograph: Photograph, longest: int) -> NDArray[np.uint8]:
    """Return the squared-up work from a small version of the whole photograph, at most `longest` px."""
    share = upright.shape[1] / photograph.photograph_size.width, upright.shape[0] / photograph.photograph_size.height
    corners = [(x * share[0], y * share[1]) for x, y in photograph.corners or ()]
    squared = square_up(upright, squaring(corners))
    ratio = longest / max(squared.shape[:2])
    if ratio >= 1:
        return squared.astype(np.uint8, copy=False)
    size = max(1, round(squared.shape[1] * ratio)), max(1, round(squared.shape[0] * ratio))
    return np.asarray(cv2.resize(squared, size, interpolation=cv2.INTER_AREA), np.uint8)


def _reduced(pixels: Pixels, longest: int) -> pyvips.Image:
    header, photograph = pixels.header, pixels.photograph
    ratio = min(1.0, longest / max(header.width, header.height))
    # Half of the reduction is left to the good filter: JPEG's own is a plain box.
    shrink = next((step for step in (8, 4, 2) if step * ratio <= 0.5), 1)
    image = load(photograph.path, photograph.format, header, in_order=True, shrink=shrink)
    width, height = (max(1, round(side * ratio)) for side in (header.width, header.height))
    small = _resized(image, width, height, header.has_alpha) if ratio < 1 else image
    return small.copy_memory().autorot()


def _resized(image: pyvips.Image, width: int, height: int, has_alpha: bool) -> pyvips.Image:
    source = image.premultiply() if has_alpha else image
    small = source.resize(width / image.width, vscale=height / image.height)
    return small.unpremultiply().cast(image.format).copy(interpretation=image.interpretation) if has_alpha else small
