"""The whole render against a moviepy 2 script that crops and resizes each frame with Pillow, same encoder settings."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import numpy as np
from moviepy import VideoClip
from numpy.typing import NDArray
from PIL import Image

from benchmarks.material import jpeg, push_in, recipe
from benchmarks.render_ratio import STILL, seconds, whole_render
from benchmarks.table import Row
from kenburns.motion.geometry import Rect, Size
from kenburns.render.machine import helpers

FRAME = Size(1920, 1080)
FRAMES = 75
ROUNDS = 2


def measure() -> Iterator[Row]:
    with tempfile.TemporaryDirectory() as name, ExitStack() as stack:
        workers = [stack.enter_context(ThreadPoolExecutor(1)) for _ in range(helpers())]
        photograph, out = jpeg(Path(name), STILL.width, STILL.height), Path(name) / "clip.mp4"
        # Pillow's box must lie inside the picture: the part of the push in on which no matte shows.
        views = [view for view in push_in(STILL, FRAME, 2 * FRAMES) if view.x >= 0 and view.y >= 0][:FRAMES]
        how = recipe("review", FRAME)
        whole_render(photograph, views[:3], how, out, workers)
        values = [
            seconds(lambda: moviepys(photograph, views, out))
            / seconds(lambda: whole_render(photograph, views, how, out, workers))
            for _ in range(ROUNDS)
        ]
        yield Row("moviepy with Pillow crops / whole render, HD, H.264 medium crf 16", values, ">= 2")


def moviepys(photograph: Path, views: Sequence[Rect], out: Path) -> None:
    picture = Image.open(photograph).convert("RGB")

    def frame(moment: float) -> NDArray[Any]:
        view = views[min(round(moment * 25), len(views) - 1)]
        box = (view.x, view.y, view.right, view.bottom)
        return np.asarray(picture.resize((FRAME.width, FRAME.height), Image.Resampling.LANCZOS, box=box))

    clip = VideoClip(frame, duration=len(views) / 25)
    clip.write_videofile(
        str(out), fps=25, codec="libx264", preset="medium", ffmpeg_params=["-crf", "16"], audio=False, logger=None
    )
