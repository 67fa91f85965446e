"""Timecode and slot drawn into the picture: plates of light text on black, written straight into the frame's samples.

Nothing of the picture is read, so contrast does not depend on it. The timecode is put together from its digits, each
drawn once; they are equally wide, so nothing moves but the digits that change.
"""

from __future__ import annotations

from functools import cache
from math import ceil

import numpy as np
from av.video.frame import VideoFrame
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from ..cards.layout import title_safe
from ..cards.text import shorten, tidy
from ..cards.typeface import SEMI_BOLD, face, missing_characters, substitute
from ..motion.geometry import Size
from ..render.encode import planes
from .reel_fit import BLACK, NEUTRAL

Plate = NDArray[np.uint8]
"""Rows and columns of 8-bit luma, both even."""

TEXT_SHARE = 0.036
"""Size of the text as a share of the frame's shorter side (common practice: small, and legible from a sofa)."""

_LEAST_PIXELS = 12
_HEIGHT, _BELOW = 1.64, 0.46  # of a plate, and of it below the baseline, in em
_LIGHT = 219  # codes from black to text: white, for the reel is looked at, not graded


class BurnIn:
    """Draws on frames of one size."""

    def __init__(self, frame: Size) -> None:
        self._area = title_safe(frame)
        wanted = max(round(TEXT_SHARE * min(frame.width, frame.height)), _LEAST_PIXELS)
        self._size = _fitting(wanted, self._area.width)

    def draw(self, frame: VideoFrame, timecode: str, name: str) -> None:
        """Draw the timecode at the bottom left of the title-safe area and the name, if any, at the bottom right."""
        clock = _clock(timecode, self._size)
        self._put(frame, clock, self._area.left)
        plate = _name(name, self._size, self._area.width - clock.shape[1] - self._size) if name else None
        if plate is not None:
            self._put(frame, plate, self._area.left + self._area.width - plate.shape[1])

    def _put(self, frame: VideoFrame, plate: Plate, left: int) -> None:
        """Write a plate with its bottom on that of the title-safe area; places are even, as chroma is half as fine."""
        rows, columns = plate.shape
        top, left = (self._area.top + self._area.height - rows) // 2 * 2, left // 2 * 2
        luma, *chroma = planes(frame)
        luma[top : top + rows, left : left + columns] = plate
        for samples in chroma:
            samples[top // 2 : (top + rows) // 2, left // 2 : (left + columns) // 2] = NEUTRAL


def slot_words(slot: str, wanted: str) -> str:
    """Return what is drawn of a slot: its id, and what is wanted there."""
    return " · ".join(" ".join(tidy(text)) for text in (slot, wanted) if text.strip())


def lacking(name: str) -> tuple[str, ...]:
    """Return the characters of a name that the typeface lacks; "?" is drawn for each."""
    return missing_characters(name)


def _fitting(size: int, width: int) -> int:
    """Return the size, or the largest smaller one at which a timecode is no wider than `width`."""
    sizes = range(size, 0, -1)
    return next((each for each in sizes if _clock("00:00:00:00", each).shape[1] <= width), 1)


def _clock(timecode: str, size: int) -> Plate:
    return np.hstack([_margin(size), *(_sign(sign, size) for sign in timecode), _margin(size)])


@cache
def _name(name: str, size: int, room: int) -> Plate | None:
    """Return a name's plate, or that of its beginning and "…" where the room in px does not hold it all."""
    font, text = face(size, SEMI_BOLD), substitute(name)
    measure = room - 2 * _margin(size).shape[1]
    if _width(text, size) > measure:
        (text,) = shorten((text, ""), 1, font, measure)
    if _width(text, size) > measure:
        return None
    return np.hstack([_margin(size), _in_box(text, size, _even(_width(text, size))), _margin(size)])


@cache
def _sign(sign: str, size: int) -> Plate:
    """Return one sign of a timecode: digits as wide as the widest, separators half as wide."""
    widest = max(face(size, SEMI_BOLD).getlength(digit) for digit in "0123456789")
    return _in_box(sign, size, _even(widest if sign.isdigit() else widest / 2))


@cache
def _margin(size: int) -> Plate:
    return np.full((_rows(size), _even(size / 3)), BLACK, np.uint8)


def _in_box(text: str, size: int, width: int) -> Plate:
    mask, font = Image.new("L", (width, _rows(size))), face(size, SEMI_BOLD)
    left, baseline = (width - font.getlength(text)) / 2, mask.height - round(_BELOW * size)
    ImageDraw.Draw(mask).text((left, baseline), text, 255, font, anchor="ls")
    return np.asarray(BLACK + np.rint(np.asarray(mask, np.float32) * (_LIGHT / 255)), np.uint8)


def _width(text: str, size: int) -> float:
    left, _, right, _ = face(size, SEMI_BOLD).getbbox(text, anchor="ls")
    return float(right - min(left, 0))


def _rows(size: int) -> int:
    return _even(_HEIGHT * size)


def _even(length: float) -> int:
    return 2 * ceil(length / 2)
