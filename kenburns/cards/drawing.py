"""Lines of text drawn on a ground, as arrays."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from ..motion.geometry import Size
from .look import LEAST_CONTRAST, Look, contrast, rgb
from .setting import Line
from .shaping import draw

Pixels = NDArray[np.uint8]
"""Shape (height, width, 3) RGB or (height, width, 4) RGBA with straight alpha; sRGB, 0 to 255."""


def plain_ground(size: Size, look: Look) -> Pixels:
    """Return the look's ground, RGB."""
    return np.full((size.height, size.width, 3), rgb(look.ground), np.uint8)


def drawn(ground: Pixels, lines: Iterable[Line]) -> Pixels:
    """Return a copy of an RGB ground with the lines on it; what lies outside the ground is left out."""
    picture = ground.copy()
    for line in lines:
        rows, x, y = draw(line.text, line.font.style, line.font.size)
        _blend(picture, rows, line.x + x, line.baseline + y, rgb(line.colour))
    return picture


def _blend(picture: Pixels, coverage: NDArray[np.uint8], x: int, y: int, colour: tuple[int, ...]) -> None:
    height, width = picture.shape[:2]
    top, left = max(y, 0), max(x, 0)
    bottom, right = min(y + coverage.shape[0], height), min(x + coverage.shape[1], width)
    if top >= bottom or left >= right:
        return
    share = coverage[top - y : bottom - y, left - x : right - x, None].astype(np.float32) / 255
    part = picture[top:bottom, left:right]
    part[:] = np.rint(part * (1 - share) + np.asarray(colour, np.float32) * share)


def coverage(size: Size, lines: Iterable[Line]) -> dict[str, Pixels]:
    """Return how far the lines of each colour cover each pixel, (height, width), 0 to 255."""
    covered: dict[str, Pixels] = {}
    for line in lines:
        picture = covered.setdefault(line.colour, np.zeros((size.height, size.width, 1), np.uint8))
        rows, x, y = draw(line.text, line.font.style, line.font.size)
        _blend(picture, rows, line.x + x, line.baseline + y, (255,))
    return {colour: picture[..., 0] for colour, picture in covered.items()}


def overlay(size: Size, box: tuple[int, int, int, int], lines: Iterable[Line], look: Look) -> Pixels:
    """Return an RGBA picture, clear but for a panel (left, top, right, bottom) of the ground with the lines on it.

    The panel is opaque enough for its text to keep 7:1 over any picture.
    """
    text = drawn(plain_ground(size, look), lines)
    left, top, right, bottom = box
    clear = np.full((size.height, size.width, 1), 0, np.uint8)
    clear[top:bottom, left:right] = panel_alpha(look)
    return np.concatenate((text, _at_least(clear, text, look)), axis=2)


def _at_least(panel: Pixels, text: Pixels, look: Look) -> Pixels:
    """Return the alpha of a panel, raised to opaque where there is ink."""
    ink = (text != np.asarray(rgb(look.ground), np.uint8)).any(axis=2, keepdims=True)
    return np.where(ink, np.uint8(255), panel)


def panel_alpha(look: Look) -> int:
    """Return the least alpha, 0 to 255, at which the ground over white and over black keeps 7:1 to both inks."""
    return next(alpha for alpha in range(256) if _readable(look, alpha))


def _readable(look: Look, alpha: int) -> bool:
    grounds = ("#" + "".join(f"{_over(each, below, alpha):02x}" for each in rgb(look.ground)) for below in (0, 255))
    return all(contrast(ink, each) >= LEAST_CONTRAST for each in grounds for ink in (look.ink, look.quiet))


def _over(above: int, below: int, alpha: int) -> int:
    return round((above * alpha + below * (255 - alpha)) / 255)
