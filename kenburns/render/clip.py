"""One path over one pyramid to one file: frames are made in one thread and encoded in another."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from av.video.frame import VideoFrame

from ..motion.geometry import Rect
from ..stills.littlecms import Intent
from .ahead import ahead
from .encode import ClipWriter, Encoding, planes
from .files import whole_file
from .frames import Raster, draw, output_codes
from .levels import Pyramid

_AHEAD = 8  # frames waiting for the encoder: enough to even out its pauses, little memory

Progress = Callable[[int], None]
"""Called with the number of frames written so far."""


@dataclass(frozen=True, slots=True)
class Recipe:
    """How clips are made: raster, encoding, rate, kernel, matte (8-bit sRGB), and the intent for colours."""

    raster: Raster
    encoding: Encoding
    rate: Fraction
    kernel: str
    matte: tuple[int, int, int]
    intent: Intent = "relative"


def write_clip(
    path: Path,
    pyramid: Pyramid,
    exposures: Sequence[Sequence[Rect]],
    recipe: Recipe,
    workers: Sequence[Executor],
    progress: Progress,
) -> None:
    """Write one clip, a frame for each exposure: the mean of its views.

    The file appears whole or not at all; RenderError when it cannot.
    """
    with (
        whole_file(path) as part,
        ClipWriter(part, recipe.encoding, recipe.raster.frame, recipe.rate) as clip,
    ):
        for number, frame in enumerate(ahead(_frames(clip, pyramid, exposures, recipe, workers), _AHEAD), start=1):
            if frame is None:
                clip.repeat()
            else:
                clip.write(frame)
            progress(number)


def _frames(
    clip: ClipWriter,
    pyramid: Pyramid,
    exposures: Sequence[Sequence[Rect]],
    recipe: Recipe,
    workers: Sequence[Executor],
) -> Iterator[VideoFrame | None]:
    """Yield the frames; None where nothing has changed since the one before."""
    output = output_codes(recipe.raster)
    drawn: Sequence[Rect] = ()
    for views in exposures:
        if views == drawn:
            yield None
            continue
        frame = clip.blank()
        draw(pyramid, views, recipe.raster, output, recipe.kernel, recipe.matte, planes(frame), workers)
        drawn = views
        yield frame
