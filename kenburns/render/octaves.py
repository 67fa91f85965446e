"""Octaves: a photograph's planes at 1:1, 1:2, 1:4 and so on, in one pass from the top down.

Strips of the photograph run through a chain of stages: each fills the planes of its octave and hands its rows on,
halved in linear light. Chroma planes have the sampling of the clip, so that the last step to the output is the same
short filter for all three planes.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping

import numpy as np
from numba import njit
from numpy.typing import NDArray

from .colour import LIGHT, LUMA_SPAN, MATRIX, luma_to_light, srgb_to_linear
from .halve import REACH, Float32s, encode, halve_along_rows, halve_down_columns
from .levels import Area, Level, Plane, Sampling, Uint16s

Strip = NDArray[np.uint8] | NDArray[np.uint16]

_LUMA = (LIGHT * (MATRIX[0, :3] / LUMA_SPAN)).astype(np.float32)
_LIGHT_TABLE = luma_to_light()


def octaves(strips: Iterable[Strip], areas: Mapping[float, Area], read: Area, sampling: Sampling) -> dict[float, Level]:
    """Return the octaves of `areas` from strips (h, w, 3) of sRGB values, uint8 or uint16 (white 255 or 65535).

    The strips cover `read` from the top down.
    """
    deepest = round(math.log2(max(areas)))
    chain = [_Stage(number, areas.get(2.0**number), read, sampling) for number in range(deepest + 1)]
    for values, light in _unpacked(strips):
        _run(chain, values, light)
    _end(chain)
    return {2.0**stage.number: stage.finished() for stage in chain if stage.wanted is not None}


def _unpacked(strips: Iterable[Strip]) -> Iterator[tuple[Float32s, Float32s]]:
    tables: dict[type, Float32s] = {}
    for strip in strips:
        kind = strip.dtype.type
        if kind not in tables:
            highest = np.iinfo(kind).max
            tables[kind] = srgb_to_linear(np.arange(highest + 1) / highest).astype(np.float32)
        shape = (3, strip.shape[0], strip.shape[1])
        values, light = np.empty(shape, np.float32), np.empty(shape, np.float32)
        _unpack(strip, tables[kind], values, light)
        yield values, light


def _run(chain: list[_Stage], values: Float32s | None, light: Float32s | None) -> None:
    """Push one strip through the levels, as far down as it gives whole rows."""
    for stage in chain:
        if values is None or light is None:
            return
        values, light = stage.push(values, light)


def _end(chain: list[_Stage]) -> None:
    """Let every level in turn give its last rows to those below it."""
    for place, stage in enumerate(chain, start=1):
        _run(chain[place:], *stage.end())


class _Stage:
    """One level on the way down: fills its planes with the rows that come, and gives them back halved."""

    def __init__(self, number: int, wanted: Area | None, read: Area, sampling: Sampling) -> None:
        self.number = number
        self.wanted = wanted
        self._sampling = sampling
        self._row = 0  # first row of the next strip, counted from the top of what is read
        self._half_row = 0
        self._waiting: Float32s | None = None  # rows halved across, kept until the filter down has all it needs
        if wanted is not None:
            self._luma = _Target(wanted, read, 1 << number, 1 << number, (0,))
            self._chroma = _Target(wanted, read, sampling.across << number, sampling.down << number, (1, 2))

    def push(self, values: Float32s, light: Float32s) -> tuple[Float32s | None, Float32s | None]:
        """Take rows (3, n, w) as sRGB values and as light; return those of the next level, None if there are none."""
        half = halve_along_rows(light)
        self._keep_full(values, half)
        self._row += values.shape[1]
        return self._handed_on(self._halved(half))

    def end(self) -> tuple[Float32s | None, Float32s | None]:
        """Return the next level's rows for which this one's were still waiting: the border row goes on below it."""
        return self._handed_on(self._last_rows())

    def _handed_on(self, next_light: Float32s | None) -> tuple[Float32s | None, Float32s | None]:
        if next_light is None:
            return None, None
        next_values = encode(next_light)
        if self.wanted is not None and self._sampling.down == 2:
            self._chroma.fill(next_values, self._half_row)
        self._half_row += next_light.shape[1]
        return next_values, next_light

    def finished(self) -> Level:
        return Level(self._luma.planes[0], *self._chroma.planes)

    def _keep_full(self, values: Float32s, half: Float32s) -> None:
        if self.wanted is None:
            return
        self._luma.fill(values, self._row)
        if self._sampling.across == 1:
            self._chroma.fill(values, self._row)
        elif self._sampling.down == 1:
            self._chroma.fill(encode(half), self._row)

    def _halved(self, half: Float32s) -> Float32s | None:
        if self._waiting is None:
            self._waiting = np.repeat(half[:, :1], REACH, axis=1)
        rows = np.concatenate([self._waiting, half], axis=1)
        pairs = (rows.shape[1] - 2 * REACH) // 2
        self._waiting = rows[:, 2 * max(pairs, 0) :].copy()
        return halve_down_columns(rows[:, : 2 * (pairs + REACH)]) if pairs > 0 else None

    def _last_rows(self) -> Float32s | None:
        if self._waiting is None:
            return None
        left = self._waiting.shape[1] - REACH
        missing = REACH + left % 2
        rows = np.concatenate([self._waiting, np.repeat(self._waiting[:, -1:], missing, axis=1)], axis=1)
        return halve_down_columns(rows) if left > 0 else None


class _Target:
    """Planes to fill, and where they lie in the rows that come."""

    def __init__(self, wanted: Area, read: Area, across: int, down: int, channels: tuple[int, ...]) -> None:
        left, top = wanted.left // across, wanted.top // down
        columns = -(-wanted.right // across) - left
        rows = -(-wanted.bottom // down) - top
        self._channels = channels
        self._skip_columns = left - read.left // across
        self._skip_rows = top - read.top // down
        self.planes = [
            Plane(np.empty((rows, columns), np.uint16), left * across, top * down, across, down) for _ in channels
        ]

    def fill(self, values: Float32s, row: int) -> None:
        rows, columns = self.planes[0].samples.shape
        begin = max(row, self._skip_rows)
        end = min(row + values.shape[1], self._skip_rows + rows)
        if begin >= end:
            return
        part = values[:, begin - row : end - row, self._skip_columns : self._skip_columns + columns]
        for channel, plane in zip(self._channels, self.planes, strict=True):
            target = plane.samples[begin - self._skip_rows : end - self._skip_rows]
            if channel == 0:
                _to_light(part, _LUMA, _LIGHT_TABLE, target)
            else:
                _to_codes(part, MATRIX[channel].astype(np.float32), target)


@njit(cache=True, nogil=True, error_model="numpy")
def _unpack(strip: Strip, table: Float32s, values: Float32s, light: Float32s) -> None:
    rows, columns, channels = strip.shape
    scale = np.float32(1.0) / np.float32(table.size - 1)
    for channel in range(channels):
        for y in range(rows):
            for x in range(columns):
                code = strip[y, x, channel]
                values[channel, y, x] = np.float32(code) * scale
                light[channel, y, x] = table[code]


@njit(cache=True, nogil=True, fastmath=True, error_model="numpy")
def _to_light(values: Float32s, luma: Float32s, table: Uint16s, out: Uint16s) -> None:
    """Turn sRGB values into luma and that into the light it stands for."""
    for y in range(out.shape[0]):
        r, g, b, line = values[0, y], values[1, y], values[2, y], out[y]
        for x in range(out.shape[1]):
            line[x] = table[int(luma[0] * r[x] + luma[1] * g[x] + luma[2] * b[x] + np.float32(0.5))]


@njit(cache=True, nogil=True, fastmath=True, error_model="numpy")
def _to_codes(values: Float32s, row: Float32s, out: Uint16s) -> None:
    red, green, blue, base = row[0], row[1], row[2], row[3] + np.float32(0.5)
    for y in range(out.shape[0]):
        r, g, b, line = values[0, y], values[1, y], values[2, y], out[y]
        for x in range(out.shape[1]):
            line[x] = np.uint16(red * r[x] + green * g[x] + blue * b[x] + base)
