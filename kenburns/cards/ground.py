"""A softened still as the ground of a card, and its slow drift."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

import cv2
import numpy as np
from numpy.typing import NDArray

from ..motion.geometry import Size
from .drawing import Pixels
from .look import LEAST_CONTRAST, Look, luminance, rgb

_MOST_OF_STILL = 0.6
"""Share of the softened still in the ground at most, so that the card keeps its own colour."""

_MARGIN = 1.03
"""Contrast is kept this many times above the least, for the rounding to whole levels."""

_BLURRED_HEIGHT = 270
"""Rows at which the blur is computed: a blur of half a per cent of the height has no finer detail."""


def softened(still: Pixels, size: Size, look: Look) -> Pixels:
    """Return a still, RGB, blurred and mixed into the look's ground so far that both inks keep 7:1 on every pixel.

    The still fills `size` from its middle, whatever its own shape; it is at least 1x1 px.
    """
    small = Size(max(round(size.width * _BLURRED_HEIGHT / size.height), 1), _BLURRED_HEIGHT)
    filling = cv2.resize(_middle(still, size), (small.width, small.height), interpolation=cv2.INTER_AREA)
    blurred = np.asarray(cv2.GaussianBlur(filling.astype(np.float32), (0, 0), look.soft * small.height), np.float32)
    ground = np.asarray(rgb(look.ground), np.float32)
    mixed = ground + _share(blurred, ground, look) * (blurred - ground)
    # Linear, so that no level goes beyond those whose contrast was looked at.
    full = cv2.resize(mixed, (size.width, size.height), interpolation=cv2.INTER_LINEAR)
    return np.rint(full).astype(np.uint8)


def _middle(still: Pixels, size: Size) -> Pixels:
    height, width = still.shape[:2]
    across = min(width, max(round(height * size.width / size.height), 1))
    down = min(height, max(round(width * size.height / size.width), 1))
    x, y = (width - across) // 2, (height - down) // 2
    return np.ascontiguousarray(still[y : y + down, x : x + across, :3])


def _share(blurred: NDArray[np.float32], ground: NDArray[np.float32], look: Look) -> float:
    """Return the largest share of the still, up to the most, that leaves the inks their contrast."""
    low, high = 0.0, _MOST_OF_STILL
    for _ in range(8):
        middle = (low + high) / 2
        low, high = (middle, high) if _keeps_contrast(ground + middle * (blurred - ground), look) else (low, middle)
    return low


def _keeps_contrast(picture: NDArray[np.float32], look: Look) -> bool:
    """Whether both inks reach 7:1 on the lightest and the darkest pixel (WCAG 2.2, contrast ratio)."""
    shares = picture / 255
    linear = np.where(shares <= 0.04045, shares / 12.92, ((shares + 0.055) / 1.055) ** 2.4)
    of_pixels = linear @ np.asarray((0.2126, 0.7152, 0.0722))
    lightest, darkest = float(of_pixels.max()) + 0.05, float(of_pixels.min()) + 0.05
    inks = [luminance(ink) + 0.05 for ink in (look.ink, look.quiet)]
    least = LEAST_CONTRAST * _MARGIN
    light_inks = min(inks) >= least * lightest
    return light_inks or darkest >= least * max(inks)


@dataclass(frozen=True, slots=True)
class Drift:
    """How the ground of a card comes closer, evenly from the first frame to the last; its text stands still.

    closeness: times closer than the whole at the last frame, 1 for none; frames: of the card.
    """

    closeness: float
    frames: int

    def at(self, frame: int) -> float:
        """Return the closeness at a frame, counted from 0."""
        return 1 + (self.closeness - 1) * (frame / max(self.frames - 1, 1))


def drift(look: Look, size: Size, frames: int, limit: float | None) -> Drift:
    """Return the look's drift over a card of `frames`, made smaller where its corners would pass `limit` px a frame.

    The fastest points are the corners: half a diagonal from the middle, they move by half a diagonal times the change
    of closeness.
    """
    if frames < 1:
        raise ValueError(f"a card is at least 1 frame long, not {frames}")
    if look.soft == 0 or limit is None:
        return Drift(look.drift if look.soft else 1.0, frames)
    return Drift(min(look.drift, 1 + (frames - 1) * limit / (hypot(size.width, size.height) / 2)), frames)
