"""Sub-pixel, antialiased resampling of one plane to one output plane.

Separable: first down the columns, then along the rows, both with weights computed for the exact float position of every
output sample. Nothing is rounded to whole pixels or to fixed point, so a slow move cannot tremble. The kernel is
stretched by the scale, so that it filters as much as it must at every zoom.

Rows are worked in bands of 16 and turned on their side in between: then the innermost loop of both passes runs over
neighbouring memory, which is what makes the compiled code fast.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray

Float32s = NDArray[np.float32]
Output = NDArray[np.uint8] | NDArray[np.uint16]

LANES = 16  # rows a band: one 512-bit register of 32-bit floats, or two of 256
GROUP = 4  # taps are summed four at a time
TILE = 64  # rows of the dither: a power of two, so that its place is found by a mask

_LOBES = {"crisp": (0, 3.0), "gentle": (1, 2.0)}
KERNELS = tuple(_LOBES)


@dataclass(frozen=True, slots=True)
class Axis:
    """What every output sample of one axis is made of.

    `start` (n,) int32: first input sample; `weights` (n, taps) float32: they sum to the share of the output sample that
    the photograph covers; `bare` (n,) float32: the rest, which shows the matte.
    """

    start: NDArray[np.int32]
    weights: Float32s
    bare: Float32s


@dataclass(frozen=True, slots=True)
class Codes:
    """How float sums become output codes.

    `black`, `span`: output code of 0 and what is added for 1; `light`: whether the plane holds light, 65535 white,
    which becomes luma, else 65536 stands for 1; `dither` (columns or more, 64) float32 in [0, 1], repeated down the
    picture and added before rounding down (0.5 everywhere rounds to nearest); `lowest`, `highest`: codes to be used.
    """

    black: float
    span: float
    light: bool
    dither: Float32s
    lowest: int
    highest: int


def axis(kernel: str, inputs: int, edges: tuple[float, float], first: float, step: float, outputs: int) -> Axis:
    """Weigh `outputs` samples along one axis of a plane of `inputs` samples.

    `first`: centre of the first output sample, in input samples, continuous (input sample i has its centre at i + 0.5);
    `step` >= 1: distance between output samples. `edges`: where the photograph begins and ends, in the same measure;
    beyond them the matte shows, and a sample on an edge shows as much of each as it covers. Taps beyond the plane
    repeat its border sample.

    Kernels: "crisp" is the three-lobed Lanczos window of the sinc (Duchon 1979); "gentle" is the cubic of Keys 1981
    with a = -1/2 (Catmull-Rom). ValueError for a step below 1.
    """
    if step < 1:
        raise ValueError(f"a plane is never enlarged: the step between samples is at least 1, not {step}")
    shape, reach = _LOBES[kernel]
    taps = math.floor(2 * reach * step) + 1  # as many sample centres as a span of that length can hold
    taps = min(-(-taps // GROUP) * GROUP, inputs)
    start, bare = np.empty(outputs, np.int32), np.empty(outputs, np.float32)
    weights = np.empty((outputs, taps), np.float32)
    _weigh(shape, reach, inputs, edges[0], edges[1], first, step, start, weights, bare)
    return Axis(start, weights, bare)


@dataclass(frozen=True, slots=True)
class Exposure:
    """One of several views whose mean a frame shows: its share of it, the sums so far, and whether it is the last.

    `sums` (bands of 16 rows, columns, 16) float32 begins as zeros; the codes are written with the last view.
    """

    share: float
    sums: Float32s
    last: bool


ALONE = Exposure(1.0, np.empty((0, 0, 0), np.float32), last=True)


def resample(
    plane: NDArray[np.uint16],
    down: Axis,
    along: Axis,
    matte: float,
    codes: Codes,
    out: Output,
    exposure: Exposure = ALONE,
) -> None:
    """Fill `out` (rows, columns; uint8 or uint16) from `plane` (h, w); `matte` in the plane's codes."""
    _resample(
        plane,
        down.start,
        down.weights,
        down.bare,
        along.start,
        along.weights,
        along.bare,
        np.float32(matte),
        codes.light,
        np.float32(codes.black),
        np.float32(codes.span),
        codes.dither,
        np.float32(codes.lowest),
        np.float32(codes.highest),
        np.float32(exposure.share),
        exposure.sums,
        exposure.last,
        out,
    )


def part(axis: Axis, begin: int, end: int) -> Axis:
    """Return the output samples `begin` to `end` of an axis."""
    return Axis(axis.start[begin:end], axis.weights[begin:end], axis.bare[begin:end])


@njit(cache=True, nogil=True, error_model="numpy")
def _kernel(shape: int, x: float) -> float:
    x = abs(x)
    if shape == 0:
        if x >= 3.0:
            return 0.0
        if x < 1e-6:
            return 1.0
        third = np.sin(np.pi * x / 3.0)
        # sin(3 a) = 3 sin a - 4 sin^3 a: one sine a tap is enough
        return float(3.0 * third * third * (3.0 - 4.0 * third * third) / (np.pi * np.pi * x * x))
    if x < 1.0:
        return (1.5 * x - 2.5) * x * x + 1.0
    if x < 2.0:
        return ((-0.5 * x + 2.5) * x - 4.0) * x + 2.0
    return 0.0


@njit(cache=True, nogil=True, error_model="numpy")
def _weigh(
    shape: int,
    reach: float,
    inputs: int,
    edge_low: float,
    edge_high: float,
    first: float,
    step: float,
    start: NDArray[np.int32],
    weights: Float32s,
    bare: Float32s,
) -> None:
    taps = weights.shape[1]
    row = np.empty(taps, np.float64)
    raw = np.empty(int(2 * reach * step) + 2, np.float64)
    for i in range(start.shape[0]):
        centre = first + i * step
        seen = (min(centre + step / 2, edge_high) - max(centre - step / 2, edge_low)) / step
        seen = min(max(seen, 0.0), 1.0)
        bare[i] = 1.0 - seen
        low = int(np.ceil(centre - reach * step - 0.5))
        high = int(np.floor(centre + reach * step - 0.5))
        start[i] = min(max(low, 0), inputs - taps)
        total, lean, near, near_lean, near_spread = 0.0, 0.0, 0.0, 0.0, 0.0
        for j in range(low, high + 1):
            x = (j + 0.5 - centre) / step
            weight, middle = _kernel(shape, x), max(4.0 - x * x, 0.0)
            raw[j - low] = weight
            total += weight
            lean += weight * x
            near += middle
            near_lean += middle * x
            near_spread += middle * x * x
        tilt = -lean * near / (near * near_spread - near_lean * near_lean)
        row[:] = 0.0
        for j in range(low, high + 1):
            x = (j + 0.5 - centre) / step
            upright = raw[j - low] + tilt * (x - near_lean / near) * max(4.0 - x * x, 0.0)
            row[min(max(j, 0), inputs - 1) - start[i]] += upright
        for t in range(taps):
            weights[i, t] = seen * row[t] / total


@njit(cache=True, nogil=True, fastmath=True, error_model="numpy", inline="always")
def _down_the_columns(plane: Any, first: int, weights: Float32s, left: int, right: int, line: Float32s) -> None:
    for t in range(0, weights.size - GROUP + 1, GROUP):
        w0, w1, w2, w3 = weights[t], weights[t + 1], weights[t + 2], weights[t + 3]
        a, b = plane[first + t, left:right], plane[first + t + 1, left:right]
        c, d = plane[first + t + 2, left:right], plane[first + t + 3, left:right]
        for x in range(line.size):
            line[x] += w0 * np.float32(a[x]) + w1 * np.float32(b[x]) + w2 * np.float32(c[x]) + w3 * np.float32(d[x])
    for t in range(weights.size // GROUP * GROUP, weights.size):
        w0, a = weights[t], plane[first + t, left:right]
        for x in range(line.size):
            line[x] += w0 * np.float32(a[x])


@njit(cache=True, nogil=True, fastmath=True, error_model="numpy", inline="always")
def _along_the_rows(lanes: Float32s, weights: Float32s, sums: Float32s) -> None:
    """Add weighted columns of 16 lanes, one after another in `lanes`, to 16 sums.

    Written out tap by tap: only so does the compiler keep the sums in registers, which is five times as fast as a loop.
    """
    taps = weights.size
    for t in range(0, taps - 7, 8):
        w, a = weights[t : t + 8], lanes[t * LANES : (t + 8) * LANES]
        for i in range(LANES):
            sums[i] += (
                w[0] * a[i]
                + w[1] * a[LANES + i]
                + w[2] * a[2 * LANES + i]
                + w[3] * a[3 * LANES + i]
                + w[4] * a[4 * LANES + i]
                + w[5] * a[5 * LANES + i]
                + w[6] * a[6 * LANES + i]
                + w[7] * a[7 * LANES + i]
            )
    done = taps // 8 * 8
    if taps - done >= GROUP:
        w, a = weights[done : done + 4], lanes[done * LANES : (done + 4) * LANES]
        for i in range(LANES):
            sums[i] += w[0] * a[i] + w[1] * a[LANES + i] + w[2] * a[2 * LANES + i] + w[3] * a[3 * LANES + i]
        done += GROUP
    for t in range(done, taps):
        for i in range(LANES):
            sums[i] += weights[t] * lanes[t * LANES + i]


@njit(cache=True, nogil=True, fastmath=True, error_model="numpy")
def _luma(light: np.float32) -> np.float32:
    """Encode light as sRGB does (IEC 61966-2-1), for light up to 1.3.

    The power 1 / 2.4 by a polynomial in the fourth root, which errs by less than 1/80 of a 10-bit step and, unlike a
    power or a table, is worked out for many samples at once.
    """
    light = max(light, np.float32(0.0))
    t = np.sqrt(np.sqrt(light))
    power = np.float32(-0.05292043)
    power = power * t + np.float32(0.2394027)
    power = power * t + np.float32(-0.50735452)
    power = power * t + np.float32(1.16835162)
    power = power * t + np.float32(0.15905649)
    power = power * t + np.float32(-0.00652925)
    bent = np.float32(1.055) * power - np.float32(0.055)
    return np.float32(12.92) * light if light < np.float32(0.0031308) else bent


@njit(cache=True, nogil=True, fastmath=True, error_model="numpy")
def _add(result: Float32s, share: np.float32, sums: Float32s) -> None:
    for x in range(result.shape[0]):
        for lane in range(LANES):
            sums[x, lane] += share * result[x, lane]
            result[x, lane] = sums[x, lane]


@njit(cache=True, nogil=True, fastmath=True, error_model="numpy")
def _to_codes(
    result: Float32s,
    light: bool,
    black: np.float32,
    span: np.float32,
    dither: Float32s,
    first: int,
    lowest: np.float32,
    highest: np.float32,
    codes: NDArray[np.uint16],
) -> None:
    for x in range(result.shape[0]):
        values, spread, target = result[x], dither[x, first : first + LANES], codes[x]
        for lane in range(LANES):
            value = _luma(values[lane] * np.float32(1 / 65535)) if light else values[lane] * np.float32(1 / 65536)
            code = min(max(black + span * value + spread[lane], lowest), highest)
            target[lane] = np.int32(code)  # by way of 32 bits, as the processor converts many at once


@njit(cache=True, nogil=True, fastmath=True, error_model="numpy")
def _resample(
    plane: Any,
    row_start: NDArray[np.int32],
    row_weights: Float32s,
    row_bare: Float32s,
    column_start: NDArray[np.int32],
    column_weights: Float32s,
    column_bare: Float32s,
    matte: np.float32,
    light: bool,
    black: np.float32,
    span: np.float32,
    dither: Float32s,
    lowest: np.float32,
    highest: np.float32,
    share: np.float32,
    sums: Float32s,
    last: bool,
    out: Any,
) -> None:
    rows, columns = out.shape
    taps = column_weights.shape[1]
    left, right = column_start[0], column_start[columns - 1] + taps
    width = right - left
    band = np.zeros((LANES, width), np.float32)
    turned = np.empty((width, LANES), np.float32)
    flat = turned.reshape(-1)
    result = np.empty((columns, LANES), np.float32)
    codes = np.empty((columns, LANES), np.uint16)
    for first in range(0, rows, LANES):
        lanes = min(LANES, rows - first)
        for lane in range(lanes):
            y = first + lane
            band[lane, :] = matte * row_bare[y]
            _down_the_columns(plane, row_start[y], row_weights[y], left, right, band[lane])
        for x in range(width):
            for lane in range(LANES):
                turned[x, lane] = band[lane, x]
        for x in range(columns):
            at = np.int64(column_start[x] - left) * LANES
            sums_of_column = result[x]
            sums_of_column[:] = matte * column_bare[x]
            _along_the_rows(flat[at : at + taps * LANES], column_weights[x], sums_of_column)
        if share < 1.0:
            _add(result, share, sums[first // LANES])
        if last:
            _to_codes(result, light, black, span, dither, first & (TILE - 1), lowest, highest, codes)
            for lane in range(lanes):
                target = out[first + lane]
                for x in range(columns):
                    target[x] = codes[x, lane]
