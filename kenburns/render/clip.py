"""One path over one pyramid to one file: frames are made in one thread and encoded in another."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from av.video.frame import VideoFrame

from ..files import whole_file
from ..motion.geometry import Rect
from ..plan.labels import Label
from ..stills.littlecms import Intent
from .ahead import ahead
from .encode import ClipWriter, Encoding, planes
from .frames import Raster, draw, output_codes
from .lettering import Letters
from .levels import Pyramid

_MOST_AHEAD, _LEAST_AHEAD = 8, 2  # frames waiting for the encoder, to even out its pauses
_WAITING_BYTES = 64 << 20  # what they may take together: large frames wait in smaller numbers

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
    label: Label | None = None,
    letters: Sequence[Letters | None] = (),
) -> None:
    """Write one clip, a frame for each exposure: the mean of its views; `label` is written into the file.

    `letters` are laid over the frames, as many as there are exposures, or none.

    The file appears whole or not at all; RenderError when it cannot.
    """
    with (
        whole_file(path) as part,
        ClipWriter(part, recipe.encoding, recipe.raster.frame, recipe.rate, label) as clip,
    ):
        frames = _frames(clip, pyramid, exposures, recipe, workers, letters or [None] * len(exposures))
        for number, frame in enumerate(ahead(frames, frames_ahead(recipe.raster)), start=1):
            if frame is None:
                clip.repeat()
            else:
                clip.write(frame)
            progress(number)


def frames_ahead(raster: Raster) -> int:
    """Return how many frames of a raster may wait for the encoder."""
    samples = sum(rows * columns for rows, columns in raster.shapes)
    return min(max(_WAITING_BYTES // (samples * (2 if raster.bits > 8 else 1)), _LEAST_AHEAD), _MOST_AHEAD)


def _frames(
    clip: ClipWriter,
    pyramid: Pyramid,
    exposures: Sequence[Sequence[Rect]],
    recipe: Recipe,
    workers: Sequence[Executor],
    letters: Sequence[Letters | None],
) -> Iterator[VideoFrame | None]:
    """Yield the frames; None where nothing has changed since the one before."""
    output = output_codes(recipe.raster)
    drawn: tuple[Sequence[Rect], Letters | None] = ((), None)
    for views, over in zip(exposures, letters, strict=True):
        if (views, over) == drawn:
            yield None
            continue
        frame = clip.blank()
        draw(pyramid, views, recipe.raster, output, recipe.kernel, recipe.matte, planes(frame), workers)
        if over is not None:
            over.lay(planes(frame))
        drawn = views, over
        yield frame
