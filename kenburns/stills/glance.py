"""A photograph looked at once: a small version to find things on, and patches at full size to judge its detail by.

Both come from one decoding, from top to bottom, so that looking costs little more than reading the file.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import cast

import cv2
import numpy as np
from numpy.typing import NDArray

from ..motion.geometry import Rect, Size
from .littlecms import Samples
from .open import MATTE, Photograph, Pixels, eight_bits, open_pixels

Picture = NDArray[np.uint8]

Places = Callable[[Size], Sequence[Rect]]

_STRIP = 1 << 18  # pixels of a strip, about: it stays in the processor's cache from decoding to the last average


@dataclass(frozen=True, slots=True)
class Glance:
    """`small` (h, w, 3): the whole, upright; `patches`: parts at full size, as they lie in the file, each (h, w, 3)."""

    small: Picture
    patches: tuple[Picture, ...]


def glance(
    photograph: Photograph, longest: int, places: Places | None = None, matte: tuple[int, int, int] = MATTE
) -> Glance:
    """Return a version at most `longest` px on its longer side, never enlarged, and patches at full size.

    All are sRGB of 8 bits. `places` says from the size of the picture as it is stored, before it is turned upright,
    which rectangles of whole pixels the patches are; none by default. Of a squared-up work the whole photograph is
    looked at. The small version may cover up to one of its pixels more than the picture at the right and at the bottom.
    ValueError for a place outside the picture, PhotographError where the file is damaged.
    """
    pixels = open_pixels(photograph, matte)
    stored = Size(pixels.header.width, pixels.header.height)
    rects = places(stored) if places else ()
    for place in rects:
        if not place.within(Rect(0, 0, stored.width, stored.height)):
            raise ValueError(f"{place} is not inside {stored}")
    halvings = _halvings(stored, longest)
    cuts = [_Cut(place, pixels) for place in rects]
    rows = []
    for top, strip in _strips(pixels, halvings):
        rows.append(_reduced(_laid(pixels, strip), halvings))
        for cut in cuts:
            cut.take(top, strip)
    small = _at_most(_stacked(rows), longest)
    colour = small if pixels.header.has_alpha else pixels.three_bands(small)
    return Glance(eight_bits(pixels.upright(colour)), tuple(cut.picture() for cut in cuts))


def _halvings(size: Size, longest: int) -> int:
    """Return how often the sides may be halved, which is quickest, without becoming shorter than wanted."""
    return max(max(size.width, size.height) // longest, 1).bit_length() - 1


def _strips(pixels: Pixels, halvings: int) -> Iterator[tuple[int, Samples]]:
    rows = max(_STRIP // pixels.header.width >> halvings, 1) << halvings
    return pixels.stored_strips(rows)


def _laid(pixels: Pixels, strip: Samples) -> Samples:
    """Lay transparent parts over the matte before anything is averaged; opaque ones stay as they are stored."""
    return pixels.three_bands(strip) if pixels.header.has_alpha else strip


def _reduced(strip: Samples, halvings: int) -> Samples:
    """Average squares of 2 samples again and again; rows and columns short of a square repeat the last."""
    for _ in range(halvings):
        strip = _halved(strip)
    return strip


def _halved(strip: Samples) -> Samples:
    height, width = -(-strip.shape[0] // 2), -(-strip.shape[1] // 2)
    down, across = 2 * height - strip.shape[0], 2 * width - strip.shape[1]
    if down or across:
        strip = cast(Samples, cv2.copyMakeBorder(strip, 0, down, 0, across, cv2.BORDER_REPLICATE))
    return _resized(strip, width, height, cv2.INTER_AREA)


def _at_most(picture: Samples, longest: int) -> Samples:
    """Return the picture reduced by less than 2, for which two samples each way are enough."""
    ratio = longest / max(picture.shape[:2])
    if ratio >= 1:
        return picture
    width, height = (max(1, round(side * ratio)) for side in (picture.shape[1], picture.shape[0]))
    return _resized(picture, width, height, cv2.INTER_LINEAR)


def _resized(picture: Samples, width: int, height: int, how: int) -> Samples:
    small = cv2.resize(picture, (width, height), interpolation=how)
    return cast(Samples, small.reshape(height, width, -1))


def _stacked(parts: list[Samples]) -> Samples:
    return cast(Samples, np.concatenate(parts))


class _Cut:
    """One patch, gathered from the strips that run through it."""

    def __init__(self, place: Rect, pixels: Pixels) -> None:
        self._left, self._right = round(place.x), round(place.right)
        self._top, self._bottom = round(place.y), round(place.bottom)
        self._pixels = pixels
        self._parts: list[Samples] = []

    def take(self, top: int, strip: Samples) -> None:
        first, last = max(self._top - top, 0), min(self._bottom - top, len(strip))
        if first < last:
            self._parts.append(strip[first:last, self._left : self._right].copy())

    def picture(self) -> Picture:
        return eight_bits(self._pixels.three_bands(_stacked(self._parts)))
