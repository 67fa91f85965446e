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
from PIL import Image, ImageDraw, ImageFont

from ..cards.layout import title_safe
from ..cards.text import clusters, fits, ink, tidy
from ..cards.typeface import SEMI_BOLD, face, missing_characters, substitute
from ..motion.geometry import Size
from ..render.encode import planes
from .reel_fit import BLACK, NEUTRAL

Plate = NDArray[np.uint8]
"""Rows and columns of 8-bit luma, both even."""

TEXT_SHARE = 0.036
"""Size of the text as a share of the frame's shorter side (common practice: small, and legible from a sofa)."""

_LEAST_PIXELS = 12
_LIGHT = 219  # codes from black to text: white, for the reel is looked at, not graded
_ELLIPSIS = "…"


class BurnIn:
    """Draws on frames of one size."""

    def __init__(self, frame: Size) -> None:
        self._area = title_safe(frame)
        size = max(round(TEXT_SHARE * min(frame.width, frame.height)), _LEAST_PIXELS)
        # Below that the timecode's eleven signs would not fit into the frame's width.
        self._font = face(max(min(size, self._area.width // 8), 1), SEMI_BOLD)

    def draw(self, frame: VideoFrame, timecode: str, name: str) -> None:
        """Draw the timecode at the bottom left of the title-safe area and the name, if any, at the bottom right."""
        clock = self._clock(timecode)
        self._put(frame, clock, self._area.left)
        if name and (plate := self._name(name, self._room(clock))) is not None:
            self._put(frame, plate, self._area.left + self._area.width - plate.shape[1])

    def _room(self, clock: Plate) -> int:
        rows, columns = clock.shape
        return self._area.width - int(columns) - int(rows)

    def _clock(self, timecode: str) -> Plate:
        return np.hstack([_margin(self._font), *(_sign(sign, self._font) for sign in timecode), _margin(self._font)])

    def _name(self, name: str, room: int) -> Plate | None:
        margin = _margin(self._font)
        text = _shortened(substitute(name), self._font, room - 2 * margin.shape[1])
        return np.hstack([margin, _drawn(text, self._font), margin]) if text else None

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


@cache
def _sign(sign: str, font: ImageFont.FreeTypeFont) -> Plate:
    """Return one sign of a timecode: digits as wide as the widest, separators half as wide."""
    width = max(font.getlength(digit) for digit in "0123456789")
    return _in_box(sign, font, _even(width if sign.isdigit() else width / 2))


@cache
def _drawn(text: str, font: ImageFont.FreeTypeFont) -> Plate:
    return _in_box(text, font, _even(ink(text, font).width))


@cache
def _margin(font: ImageFont.FreeTypeFont) -> Plate:
    return np.full((_rows(font), _even(font.size / 3)), BLACK, np.uint8)


def _in_box(text: str, font: ImageFont.FreeTypeFont, width: int) -> Plate:
    mask = Image.new("L", (width, _rows(font)))
    middle = mask.height - round(0.46 * font.size)
    left = (width - font.getlength(text)) / 2
    ImageDraw.Draw(mask).text((left, middle), text, 255, font, anchor="ls")
    return np.asarray(BLACK + np.rint(np.asarray(mask, np.float32) * (_LIGHT / 255)), np.uint8)


def _rows(font: ImageFont.FreeTypeFont) -> int:
    return _even(1.64 * font.size)


def _even(length: float) -> int:
    return 2 * ceil(length / 2)


@cache
def _shortened(text: str, font: ImageFont.FreeTypeFont, room: int) -> str:
    """Return the text, or its beginning and "…" where the room in px does not hold it; "" where it holds nothing."""
    if fits(text, font, room):
        return text
    letters = clusters(text)
    lengths = range(len(letters) - 1, 0, -1)
    cut = ("".join(letters[:length]).rstrip(" ·,;:-–") + _ELLIPSIS for length in lengths)
    return next((part for part in cut if fits(part, font, room)), "")
