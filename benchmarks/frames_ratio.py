"""Frames generated a second against Pillow's LANCZOS `resize(box=)` of the same rectangles, one thread each, HD."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np
from PIL import Image

from benchmarks.material import jpeg, push_in, recipe
from benchmarks.render_ratio import STILL, opened, seconds
from benchmarks.table import Row
from kenburns.motion.geometry import Rect, Size
from kenburns.render.clip import Recipe
from kenburns.render.frames import draw, output_codes
from kenburns.render.levels import Pyramid

FRAME = Size(1920, 1080)
FRAMES = 25
ROUNDS = 3


def measure() -> Iterator[Row]:
    with tempfile.TemporaryDirectory() as name:
        photograph = jpeg(Path(name), STILL.width, STILL.height)
        picture = Image.open(photograph).convert("RGB")
        views = push_in(STILL, FRAME, FRAMES)
        inside = [view for view in views if view.x >= 0 and view.y >= 0]
        for preset in ("review", "edit"):
            how = recipe(preset, FRAME)
            pyramid = opened(photograph, inside, how)
            ours(pyramid, inside[:2], how)
            values = [ratio(picture, pyramid, inside, how) for _ in range(ROUNDS)]
            yield Row(f"frames a second / Pillow LANCZOS crops, HD, one thread: {preset}", values, ">= 5")


def ratio(picture: Image.Image, pyramid: Pyramid, views: Sequence[Rect], how: Recipe) -> float:
    return seconds(lambda: pillows(picture, views)) / seconds(lambda: ours(pyramid, views, how))


def ours(pyramid: Pyramid, views: Sequence[Rect], how: Recipe) -> None:
    samples = np.uint8 if how.raster.bits == 8 else np.uint16
    planes = [np.empty(shape, samples) for shape in how.raster.shapes]
    for view in views:
        draw(pyramid, (view,), how.raster, output_codes(how.raster), how.kernel, how.matte, planes)


def pillows(picture: Image.Image, views: Sequence[Rect]) -> None:
    for view in views:
        box = (view.x, view.y, view.right, view.bottom)
        picture.resize((FRAME.width, FRAME.height), Image.Resampling.LANCZOS, box=box)
