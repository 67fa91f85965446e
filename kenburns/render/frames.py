"""One view of a photograph to the three planes of one frame."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import Executor
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ..motion.geometry import Rect, Size
from .colour import codes
from .levels import Plane, Pyramid, Sampling, level_for, scale_of
from .resample import LANES, TILE, Axis, Codes, Output, axis, part, resample


@dataclass(frozen=True, slots=True)
class Raster:
    """The pixels of a clip: frame size, chroma sampling, bits a sample (8 or 10), and whether 8 bits are dithered."""

    frame: Size
    sampling: Sampling
    bits: int
    dither: bool

    @property
    def shapes(self) -> tuple[tuple[int, int], tuple[int, int], tuple[int, int]]:
        """(rows, columns) of Y', Cb and Cr."""
        chroma = (self.frame.height // self.sampling.down, self.frame.width // self.sampling.across)
        return (self.frame.height, self.frame.width), chroma, chroma


def output_codes(raster: Raster) -> tuple[Codes, Codes]:
    """Return how light becomes the luma codes of a raster, and chroma planes its chroma codes.

    The lowest and highest codes are kept free for timing references: 1 to 254 or 4 to 1019 remain (Rec. ITU-R BT.709-6,
    table 4).
    """
    unit = 1 << (raster.bits - 8)
    pattern = _spread() if raster.dither else np.full((TILE, TILE), 0.5, np.float32)
    luma = Codes(16 * unit, 219 * unit, light=True, dither=pattern, lowest=unit, highest=255 * unit - 1)
    return luma, Codes(0, 256 * unit, light=False, dither=pattern, lowest=unit, highest=255 * unit - 1)


def _spread() -> NDArray[np.float32]:
    """Return thresholds in [0, 1) without visible structure (interleaved gradient noise, Jimenez 2014)."""
    y, x = np.mgrid[0:TILE, 0:TILE].astype(np.float64)
    return np.asarray(np.modf(52.9829189 * np.modf(0.06711056 * x + 0.00583715 * y)[0])[0], np.float32)


def draw(
    pyramid: Pyramid,
    view: Rect,
    raster: Raster,
    output: tuple[Codes, Codes],
    kernel: str,
    matte: tuple[int, int, int],
    planes: Sequence[Output],
    workers: Sequence[Executor] = (),
) -> None:
    """Fill the three output planes with `view` (scale >= 1) of the photograph; outside it the matte shows.

    The rows are shared out among `workers`, and the caller takes its part.
    """
    scale_x, scale_y = view.width / raster.frame.width, view.height / raster.frame.height
    level = pyramid.levels[level_for(scale_of(view, raster.frame))]
    tasks = []
    luma, chroma = output
    for plane, out, code, sampling, become in zip(
        (level.luma, level.blue, level.red),
        planes,
        codes(matte),
        (Sampling(1, 1), raster.sampling, raster.sampling),
        (luma, chroma, chroma),
        strict=True,
    ):
        along = _along(plane, pyramid.size, view.x, scale_x, sampling.across, out.shape[1], kernel)
        down = _down(plane, pyramid.size, view.y, scale_y, sampling.down, out.shape[0], kernel)
        for begin, end in _shares(out.shape[0], len(workers) + 1):
            tasks.append((plane.samples, part(down, begin, end), along, code, become, out[begin:end]))
    _share_out(tasks, workers)


def _along(plane: Plane, size: Size, x: float, scale: float, across: int, columns: int, kernel: str) -> Axis:
    # Chroma shared by two columns sits on the left one: H.264 annex E, chroma_sample_loc_type 0; 4:2:2 likewise.
    first = x + 0.5 * scale - plane.left
    return _axis(kernel, plane.samples.shape[1], plane.left, plane.across, size.width, first, across * scale, columns)


def _down(plane: Plane, size: Size, y: float, scale: float, down: int, rows: int, kernel: str) -> Axis:
    # Chroma shared by two rows sits between them.
    first = y + 0.5 * down * scale - plane.top
    return _axis(kernel, plane.samples.shape[0], plane.top, plane.down, size.height, first, down * scale, rows)


def _axis(
    kernel: str, samples: int, start: int, sample: float, length: int, first: float, step: float, outputs: int
) -> Axis:
    edges = (-start / sample, (length - start) / sample)
    return axis(kernel, samples, edges, first / sample, step / sample, outputs)


def _shares(rows: int, workers: int) -> list[tuple[int, int]]:
    bands = -(-rows // LANES)
    cuts = [min(bands * share // workers * LANES, rows) for share in range(workers + 1)]
    cuts[-1] = rows
    return [(begin, end) for begin, end in pairwise(cuts) if begin < end]


def _share_out(
    tasks: list[tuple[NDArray[np.uint16], Axis, Axis, float, Codes, Output]], workers: Sequence[Executor]
) -> None:
    others = [worker.submit(_run, tasks[1 + i :: len(workers) + 1]) for i, worker in enumerate(workers)]
    _run(tasks[:: len(workers) + 1])
    for other in others:
        other.result()


def _run(tasks: list[tuple[NDArray[np.uint16], Axis, Axis, float, Codes, Output]]) -> None:
    for task in tasks:
        resample(*task)
