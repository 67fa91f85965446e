"""A shot as a moviepy clip, for whoever composes in Python: the same frames as the written clip, as 8-bit RGB."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

import numpy as np
from moviepy import VideoClip
from numpy.typing import NDArray

from ..motion.geometry import Rect, Size
from .colour import CHROMA_SPAN, CHROMA_ZERO, LUMA_BLACK, LUMA_SPAN, MATRIX
from .frames import Raster, draw, output_codes
from .lettering import Letters
from .levels import SAMPLINGS, Pyramid

# Full colour at every pixel and 10 bits: a raster from which every 8-bit R'G'B' value comes back.
_BITS = 10
_TO_RGB = np.linalg.inv(MATRIX[:, :3] / ((LUMA_SPAN,), (CHROMA_SPAN,), (CHROMA_SPAN,)))


def raster_of(frame: Size) -> Raster:
    """Return the raster in which moviepy's frames are drawn; a pyramid for them has its sampling."""
    return Raster(frame, SAMPLINGS["444"], _BITS, dither=False)


def moviepy_clip(
    pyramid: Pyramid,
    exposures: Sequence[Sequence[Rect]],
    frame: Size,
    rate: Fraction,
    kernel: str,
    matte: tuple[int, int, int],
    letters: Sequence[Letters | None] = (),
) -> VideoClip:
    """Return a clip that shows the mean of one exposure's views a frame, for as many frames as there are exposures.

    `letters` are laid over the frames, as many as there are exposures, or none.
    """
    raster = raster_of(frame)
    output = output_codes(raster)

    def picture(moment: float) -> NDArray[np.uint8]:
        # Half a frame on, as moviepy's moments are frame starts in floating point, and may fall a hair short of them.
        number = min(int(moment * rate + Fraction(1, 2)), len(exposures) - 1)
        planes = [np.empty(shape, np.uint16) for shape in raster.shapes]
        draw(pyramid, exposures[number], raster, output, kernel, matte, planes)
        over = letters[number] if letters else None
        if over is not None:
            over.lay(planes)
        return to_rgb(planes)

    clip = VideoClip(picture, duration=float(len(exposures) / rate))
    clip.fps = float(rate)
    return clip


def to_rgb(planes: Sequence[NDArray[np.uint16]]) -> NDArray[np.uint8]:
    """Return (rows, columns, 3) 8-bit R'G'B' of three full-size planes of 10-bit BT.709 codes."""
    codes = np.stack([np.asarray(plane, np.float32) for plane in planes], axis=-1) * np.float32(1 << (16 - _BITS))
    zero = np.array([LUMA_BLACK, CHROMA_ZERO, CHROMA_ZERO], np.float32)
    span = np.array([LUMA_SPAN, CHROMA_SPAN, CHROMA_SPAN], np.float32)
    rgb = ((codes - zero) / span) @ _TO_RGB.T.astype(np.float32)
    return np.asarray(np.clip(np.rint(rgb * 255), 0, 255), np.uint8)
