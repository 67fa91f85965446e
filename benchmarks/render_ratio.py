"""The whole render of a clip against merely encoding its ready-made frames: what the rest costs.

    python -m benchmarks.render_ratio [--frames N] [--rounds N]

A push in on a 24-megapixel JPEG from the whole to 1:1. Both run in turn in one process, after one warm-up; the ratio
of each round is taken, and the median printed with the range.
"""

from __future__ import annotations

import argparse
import statistics
import tempfile
import time
from collections.abc import Callable, Sequence
from concurrent.futures import Executor, ThreadPoolExecutor
from pathlib import Path

from av.video.frame import VideoFrame

from benchmarks.material import RATE, jpeg, push_in, recipe
from kenburns.motion.geometry import Rect, Size
from kenburns.render.clip import Recipe, write_clip
from kenburns.render.encode import ClipWriter, planes
from kenburns.render.frames import draw, output_codes
from kenburns.render.levels import Pyramid
from kenburns.render.schedule import helpers, photograph_pyramid
from kenburns.stills.open import inspect

CASES = {
    "HD, H.264 medium crf 16": ("review", Size(1920, 1080)),
    "UHD, H.264 medium crf 16": ("review", Size(3840, 2160)),
    "HD, edit preset": ("edit", Size(1920, 1080)),
}


def whole_render(photograph: Path, views: list[Rect], how: Recipe, out: Path, workers: Sequence[Executor]) -> None:
    write_clip(out, opened(photograph, views, how), [(view,) for view in views], how, workers, lambda _done: None)


def opened(photograph: Path, views: list[Rect], how: Recipe) -> Pyramid:
    return photograph_pyramid(inspect(photograph), views, how)


def ready_frames(pyramid: Pyramid, views: list[Rect], how: Recipe) -> list[VideoFrame]:
    frames = []
    for view in views:
        frame = VideoFrame(how.raster.frame.width, how.raster.frame.height, how.encoding.pixel_format)
        draw(pyramid, (view,), how.raster, output_codes(how.raster), how.kernel, how.matte, planes(frame))
        frames.append(frame)
    return frames


def encode(frames: list[VideoFrame], how: Recipe, out: Path) -> None:
    with ClipWriter(out, how.encoding, how.raster.frame, RATE) as clip:
        for frame in frames:
            clip.write(frame)


def seconds(work: Callable[[], None]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--frames", type=int, default=125)
    parser.add_argument("--rounds", type=int, default=5)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as name, ThreadPoolExecutor(1) as pool:
        folder = Path(name)
        photograph = jpeg(folder, 6000, 4000)
        workers: Sequence[Executor] = [pool][: helpers()]
        for title, (preset, frame) in CASES.items():
            how = recipe(preset, frame)
            views = push_in(Size(6000, 4000), frame, options.frames)
            frames = ready_frames(opened(photograph, views, how), views, how)
            out = folder / "clip"
            whole_render(photograph, views[:3], how, out, workers)
            rounds = [
                (
                    seconds(lambda: whole_render(photograph, views, how, out, workers)),  # noqa: B023 (called at once)
                    seconds(lambda: encode(frames, how, out)),  # noqa: B023
                )
                for _ in range(options.rounds)
            ]
            ratios = sorted(render / encoding for render, encoding in rounds)
            middle = statistics.median(render for render, _ in rounds)
            print(
                f"{title:28} whole render / encoding {statistics.median(ratios):.3f}"
                f"  [{ratios[0]:.3f}, {ratios[-1]:.3f}]  {middle:.2f} s",
                flush=True,
            )


if __name__ == "__main__":
    main()
