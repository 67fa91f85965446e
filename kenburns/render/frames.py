"""Views of a photograph to the three planes of one frame."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ..motion.geometry import Rect, Size
from .colour import codes
from .levels import Plane, Pyramid, Sampling, level_for, scale_of
from .resample import ALONE, LANES, TILE, Axis, Codes, Exposure, Output, axis, part, resample

# Sharpness lies in luma. Colour filtered crisply would ring in colour at hard edges, and cost half as much again.
CHROMA_KERNEL = "gentle"


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
    pattern = _spread(raster.frame.width) if raster.dither else np.full((raster.frame.width, TILE), 0.5, np.float32)
    luma = Codes(16 * unit, 219 * unit, light=True, dither=pattern, lowest=unit, highest=255 * unit - 1)
    return luma, Codes(0, 256 * unit, light=False, dither=pattern, lowest=unit, highest=255 * unit - 1)


def _spread(columns: int) -> NDArray[np.float32]:
    """Return thresholds in [0, 1) without visible structure (interleaved gradient noise, Jimenez 2014)."""
    x, y = np.mgrid[0:columns, 0:TILE].astype(np.float64)
    return np.asarray(np.modf(52.9829189 * np.modf(0.06711056 * x + 0.00583715 * y)[0])[0], np.float32)


def draw(
    pyramid: Pyramid,
    views: Sequence[Rect],
    raster: Raster,
    output: tuple[Codes, Codes],
    kernel: str,
    matte: tuple[int, int, int],
    planes: Sequence[Output],
    workers: Sequence[Executor] = (),
) -> None:
    """Fill the three output planes with the mean of `views` (scale >= 1); outside the photograph the matte shows.

    The mean is of light in luma, as on film. The rows are shared out among `workers`, and the caller takes its part.
    """
    sums = [_no_sums(out.shape, len(views)) for out in planes]
    drawn = [_drawn(pyramid, view, raster, kernel, planes) for view in views]
    bands = [
        _Band(index, begin, end)
        for index, out in enumerate(planes)
        for begin, end in _shares(out.shape[0], len(workers) + 1)
    ]
    matte_codes, become = codes(matte), (output[0], output[1], output[1])

    def fill(band: _Band) -> None:
        index, rows = band.plane, slice(band.begin, band.end)
        for number, axes in enumerate(drawn, start=1):
            samples, down, along = axes[index]
            own = sums[index][band.begin // LANES :]
            exposure = Exposure(1 / len(views), own, number == len(views)) if len(views) > 1 else ALONE
            resample(
                samples,
                part(down, band.begin, band.end),
                along,
                matte_codes[index],
                become[index],
                planes[index][rows],
                exposure,
            )

    _share_out(fill, bands, workers)


@dataclass(frozen=True, slots=True)
class _Band:
    """Rows of one output plane."""

    plane: int
    begin: int
    end: int


_Drawn = list[tuple[NDArray[np.uint16], Axis, Axis]]


def _no_sums(shape: tuple[int, ...], views: int) -> NDArray[np.float32]:
    return np.zeros((-(-shape[0] // LANES), shape[1], LANES), np.float32) if views > 1 else ALONE.sums


def _drawn(pyramid: Pyramid, view: Rect, raster: Raster, kernel: str, planes: Sequence[Output]) -> _Drawn:
    """Return for each plane the samples a view is drawn from, and how the rows and columns of the output weigh them."""
    scale_x, scale_y = view.width / raster.frame.width, view.height / raster.frame.height
    level = pyramid.levels[level_for(scale_of(view, raster.frame))]
    luma, chroma = (
        (
            _down(plane, pyramid.size, view.y, scale_y, sampling.down, out.shape[0], shape),
            _along(plane, pyramid.size, view.x, scale_x, sampling.across, out.shape[1], shape),
        )
        for plane, out, sampling, shape in (
            (level.luma, planes[0], Sampling(1, 1), kernel),
            (level.blue, planes[1], raster.sampling, CHROMA_KERNEL),
        )
    )
    return [(level.luma.samples, *luma), (level.blue.samples, *chroma), (level.red.samples, *chroma)]


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
    # At whole tiles of the dither, which begins anew in each: so the frame is the same however many share it.
    tiles = -(-rows // TILE)
    cuts = [min(tiles * share // workers * TILE, rows) for share in range(workers + 1)]
    cuts[-1] = rows
    return [(begin, end) for begin, end in pairwise(cuts) if begin < end]


def _share_out(fill: Callable[[_Band], None], bands: list[_Band], workers: Sequence[Executor]) -> None:
    def run(mine: list[_Band]) -> None:
        for band in mine:
            fill(band)

    turns = len(workers) + 1
    others = [worker.submit(run, bands[turn::turns]) for turn, worker in enumerate(workers, start=1)]
    run(bands[::turns])
    for other in others:
        other.result()
