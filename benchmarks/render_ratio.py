"""A whole render against merely encoding its ready-made frames: what photograph and move cost on top.

A push in on a 24-megapixel JPEG from the whole to 1:1, without speed limit. Both run in turn in one process after a
warm-up, and the ratio of each round is taken.
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor, ThreadPoolExecutor
from contextlib import ExitStack
from pathlib import Path

from av.video.frame import VideoFrame

from benchmarks.material import RATE, jpeg, push_in, recipe
from benchmarks.table import Row
from kenburns.motion.geometry import Rect, Size
from kenburns.render.clip import Recipe, write_clip
from kenburns.render.encode import ClipWriter, planes
from kenburns.render.frames import draw, output_codes
from kenburns.render.levels import Pyramid
from kenburns.render.machine import helpers
from kenburns.render.source import photograph_pyramid
from kenburns.stills.open import inspect

CASES = (
    ("HD, H.264 medium crf 16", "review", Size(1920, 1080), 125, "<= 1.12"),
    ("UHD, H.264 medium crf 16", "review", Size(3840, 2160), 125, "<= 1.06"),
    ("HD, edit preset", "edit", Size(1920, 1080), 125, "<= 1.25"),
)
STILL = Size(6000, 4000)
ROUNDS = 3


def measure() -> Iterator[Row]:
    with tempfile.TemporaryDirectory() as name, ExitStack() as stack:
        workers = [stack.enter_context(ThreadPoolExecutor(1)) for _ in range(helpers())]
        photograph = jpeg(Path(name), STILL.width, STILL.height)
        for title, preset, frame, frames, bound in CASES:
            values = ratios(photograph, preset, frame, frames, workers, Path(name) / "clip")
            yield Row(f"whole render / encoding ready-made frames: {title}", values, bound)


def ratios(
    photograph: Path, preset: str, frame: Size, frames: int, workers: Sequence[Executor], out: Path
) -> list[float]:
    how, views = recipe(preset, frame), push_in(STILL, frame, frames)
    ready = ready_frames(opened(photograph, views, how), views, how)
    whole_render(photograph, views[:3], how, out, workers)
    found = []
    for _ in range(ROUNDS):
        whole = seconds(lambda: whole_render(photograph, views, how, out, workers))
        found.append(whole / seconds(lambda: encode(ready, how, out)))
    return found


def whole_render(photograph: Path, views: Sequence[Rect], how: Recipe, out: Path, workers: Sequence[Executor]) -> None:
    write_clip(out, opened(photograph, views, how), [(view,) for view in views], how, workers, lambda _done: None)


def opened(photograph: Path, views: Sequence[Rect], how: Recipe) -> Pyramid:
    return photograph_pyramid(inspect(photograph), views, how.raster, how.matte, how.intent)


def ready_frames(pyramid: Pyramid, views: Sequence[Rect], how: Recipe) -> list[VideoFrame]:
    frames, output = [], output_codes(how.raster)
    for view in views:
        frame = VideoFrame(how.raster.frame.width, how.raster.frame.height, how.encoding.pixel_format)
        draw(pyramid, (view,), how.raster, output, how.kernel, how.matte, planes(frame))
        frames.append(frame)
    return frames


def encode(frames: Sequence[VideoFrame], how: Recipe, out: Path) -> None:
    with ClipWriter(out, how.encoding, how.raster.frame, RATE) as clip:
        for frame in frames:
            clip.write(frame)


def seconds(work: Callable[[], None]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start
