"""Halving a picture in linear light.

A black-and-white weave seen from afar is as bright as the light it sends, not as its code values: so pictures are
halved in linear light, with a filter sharp enough that what is left looks as sharp as a picture taken at that size.
"""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

from .colour import linear_to_srgb

Float32s = NDArray[np.float32]

REACH = 5  # input samples needed before and after a pair: the filter has 12 taps


def _half_filter() -> Float32s:
    """Return the six distinct taps of a three-lobed Lanczos window stretched by two, from the middle outwards."""
    x = (np.arange(6) + 0.5) / 2
    taps = np.sinc(x) * np.sinc(x / 3)
    return np.asarray(taps / (2 * taps.sum()), np.float32)


TAPS = _half_filter()
_CURVE_STEPS = 1 << 14
# sRGB against the square root of light is nearly straight: a table without interpolation errs below 1/30 of a 10-bit
# step.
_CURVE = linear_to_srgb((np.arange(_CURVE_STEPS + 1) / _CURVE_STEPS) ** 2).astype(np.float32)


def halve_along_rows(light: Float32s) -> Float32s:
    """Halve (3, h, w) float32 linear light to (3, h, ceil(w / 2)); the border sample goes on beyond the border."""
    channels, rows, columns = light.shape
    halved = np.empty((channels, rows, (columns + 1) // 2), np.float32)
    _halve_along_rows(light.reshape(channels * rows, columns), TAPS, halved.reshape(channels * rows, -1))
    return halved


def halve_down_columns(light: Float32s) -> Float32s:
    """Halve (3, 2 n + 10, w) float32 linear light to (3, n, w): five rows before and after belong to the filter."""
    channels, rows, columns = light.shape
    halved = np.empty((channels, (rows - 2 * REACH) // 2, columns), np.float32)
    _halve_down_columns(light, TAPS, halved)
    return halved


def encode(light: Float32s) -> Float32s:
    """Turn float32 linear light, clipped to [0, 1], into sRGB values in [0, 1]."""
    values = np.empty_like(light)
    _encode(light.reshape(-1), _CURVE, values.reshape(-1))
    return values


@njit(cache=True, nogil=True, fastmath=True, error_model="numpy")
def _halve_along_rows(light: Float32s, taps: Float32s, out: Float32s) -> None:
    rows, columns = light.shape
    half = out.shape[1]
    even = np.empty(half + 6, np.float32)  # columns 2 (i - 3), and beside them the odd ones
    odd = np.empty(half + 6, np.float32)
    for y in range(rows):
        line = light[y]
        for i in range(columns // 2):
            even[i + 3], odd[i + 3] = line[2 * i], line[2 * i + 1]
        last = line[columns - 1]
        for i in range(columns // 2, half + 3):
            even[i + 3], odd[i + 3] = last, last
        for i in range(3):
            even[i], odd[i] = line[0], line[0]
        target = out[y]
        for x in range(half):
            target[x] = (
                taps[0] * (even[x + 3] + odd[x + 3])
                + taps[1] * (odd[x + 2] + even[x + 4])
                + taps[2] * (even[x + 2] + odd[x + 4])
                + taps[3] * (odd[x + 1] + even[x + 5])
                + taps[4] * (even[x + 1] + odd[x + 5])
                + taps[5] * (odd[x] + even[x + 6])
            )


@njit(cache=True, nogil=True, fastmath=True, error_model="numpy")
def _halve_down_columns(light: Float32s, taps: Float32s, out: Float32s) -> None:
    channels, rows, columns = out.shape
    for channel in range(channels):
        for y in range(rows):
            target = out[channel, y]
            target[:] = 0.0
            for t in range(6):
                tap, above, below = taps[t], light[channel, 2 * y + 5 - t], light[channel, 2 * y + 6 + t]
                for x in range(columns):
                    target[x] += tap * (above[x] + below[x])


@njit(cache=True, nogil=True, fastmath=True, error_model="numpy")
def _encode(light: Float32s, curve: Float32s, out: Float32s) -> None:
    steps = np.float32(curve.size - 1)
    for i in range(light.size):
        value = min(max(light[i], np.float32(0.0)), np.float32(1.0))
        out[i] = curve[int(np.sqrt(value) * steps + np.float32(0.5))]
