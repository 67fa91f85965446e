"""How much the brightness of a fine weave flickers in a slow zoom, against Pillow's LANCZOS crops of the same views.

The weave has a period of 2.2 pixels at 1:1, hardly more than a frame can hold. Brightness is the light a frame sends,
which is what an eye sees of a weave too fine to make out: filters of light keep it, filters of code values do not. The
mean of code values is printed too: that is what filters of code values keep, and filters of light do not.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from benchmarks.table import Row
from kenburns.motion.geometry import Rect, Size, around
from kenburns.render.colour import BLUE, GREEN, RED, srgb_to_linear
from kenburns.render.frames import Raster, draw, output_codes
from kenburns.render.levels import SAMPLINGS, needed_areas
from kenburns.render.pyramid import build
from kenburns.render.resample import KERNELS

FRAME = Size(480, 270)
STILL = Size(1440, 960)
PERIOD = 2.2
FRAMES = 250
WINDOW = np.outer(np.hanning(FRAME.height), np.hanning(FRAME.width))
WINDOW /= WINDOW.sum()


def measure() -> Iterator[Row]:
    picture = weave()
    widths = FRAME.width * np.exp(np.linspace(np.log(2.6), 0, FRAMES))
    views = [around((720.3, 480.7), float(width), FRAME) for width in widths]
    pillows = [pillow(picture, view) for view in views]
    for kernel in KERNELS:
        ours = drawn(picture, views, kernel)
        for what, of, bound in (("light", light, "<= 1"), ("mean code", code, "")):
            ratio = flicker(list(map(of, ours))) / flicker(list(map(of, pillows)))
            yield Row(f"flicker of a fine weave in a slow zoom / Pillow's: {kernel}, {what}", [ratio], bound)


def weave() -> NDArray[np.uint8]:
    y, x = np.mgrid[0 : STILL.height, 0 : STILL.width]
    threads = np.sin(2 * np.pi * x / PERIOD) * np.sin(2 * np.pi * y / PERIOD)
    return np.repeat(np.round(128 + 100 * threads).astype(np.uint8)[:, :, None], 3, axis=2)


def drawn(picture: NDArray[np.uint8], views: list[Rect], kernel: str) -> list[NDArray[np.float64]]:
    raster = Raster(FRAME, SAMPLINGS["444"], 10, dither=False)
    pyramid = build([picture], needed_areas(views, FRAME, STILL), STILL, raster.sampling)
    found = []
    for view in views:
        planes = [np.empty(shape, np.uint16) for shape in raster.shapes]
        draw(pyramid, (view,), raster, output_codes(raster), kernel, (0, 0, 0), planes)
        found.append((planes[0] / 4 - 16) / 219 * 255)
    return found


def pillow(picture: NDArray[np.uint8], view: Rect) -> NDArray[np.float64]:
    box = (view.x, view.y, view.right, view.bottom)
    size = (FRAME.width, FRAME.height)
    frame = np.asarray(Image.fromarray(picture).resize(size, Image.Resampling.LANCZOS, box=box))
    return np.asarray(frame @ (RED, GREEN, BLUE))


def flicker(brightness: list[float]) -> float:
    """Return the mean jump from frame to frame."""
    return float(np.abs(np.diff(brightness)).mean())


def light(frame: NDArray[np.float64]) -> float:
    """Return the light a frame of sRGB luma codes sends, in 255ths of white; its borders count little."""
    return float((srgb_to_linear(np.clip(frame / 255, 0, 1)) * WINDOW).sum() * 255)


def code(frame: NDArray[np.float64]) -> float:
    """Return the mean luma code of a frame; its borders count little."""
    return float((frame * WINDOW).sum())
