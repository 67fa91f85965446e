"""What every photographed work needs: noise, weave, paper, raking light, a wall to hang on.

Pictures are (height, width, 3) uint8 in R, G, B; fields are (height, width) float32. Everything random comes from the
generator that is handed in, so the same seed paints the same picture.
"""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

Pixels = NDArray[np.uint8]
Field = NDArray[np.float32]
Numbers = NDArray[np.floating]
Shape = tuple[int, int]  # height, width

_TILE = 1024


def noise(rng: np.random.Generator, shape: Shape, cell: float, stretch: float = 1.0) -> Field:
    """Return smooth noise, roughly in [-1, 1], with features `cell` px high and `cell` x `stretch` px wide."""
    rows, columns = int(shape[0] / cell) + 3, int(shape[1] / (cell * stretch)) + 3
    coarse = rng.uniform(-1, 1, (rows, columns)).astype(np.float32)
    return resized(coarse, shape)


def octaves(rng: np.random.Generator, shape: Shape, cell: float, count: int, stretch: float = 1.0) -> Field:
    """Return `count` layers of noise, each with half the size and 0.55 of the weight of the one before."""
    total = np.zeros(shape, np.float32)
    for k in range(count):
        total += np.float32(0.55**k) * noise(rng, shape, cell / 2**k, stretch)
    return total


def grain(rng: np.random.Generator, shape: Shape, sigma: float = 0.0) -> Field:
    """Return normal noise of standard deviation 1, repeated every 1024 px, blurred by `sigma` px and rescaled."""
    tile = rng.standard_normal((_TILE, _TILE), dtype=np.float32)
    if sigma > 0:
        edge = int(4 * sigma) + 1  # its own other side lies beyond an edge, so that repeats show no seam
        tile = blurred(np.pad(tile, edge, mode="wrap"), sigma)[edge:-edge, edge:-edge]
        tile /= tile.std()
    return tiled(tile, shape)


def tiled(tile: Field, shape: Shape) -> Field:
    """Return `tile` repeated to cover `shape`."""
    repeats = -(-shape[0] // tile.shape[0]), -(-shape[1] // tile.shape[1])
    return np.asarray(np.tile(tile, repeats)[: shape[0], : shape[1]], np.float32)


def resized(field: NDArray[np.float32], shape: Shape) -> NDArray[np.float32]:
    """Return `field` stretched smoothly to `shape`."""
    return np.asarray(cv2.resize(field, (shape[1], shape[0]), interpolation=cv2.INTER_CUBIC), np.float32)


def blurred(field: Numbers, sigma: float) -> Field:
    """Return `field` through a Gaussian of `sigma` px."""
    return np.asarray(cv2.GaussianBlur(np.asarray(field, np.float32), (0, 0), sigma), np.float32)


def grid(shape: Shape) -> tuple[Field, Field]:
    """Return u and v: 0 to 1 from left to right and from top to bottom, at pixel centres."""
    v, u = np.mgrid[0 : shape[0], 0 : shape[1]].astype(np.float32)
    return (u + 0.5) / shape[1], (v + 0.5) / shape[0]


def step(edge: Numbers, softness: float) -> Field:
    """Return 0 where `edge` is negative, 1 where positive, with a linear ramp of width `softness` between."""
    ramp = np.asarray(edge, np.float32) / np.float32(softness) + np.float32(0.5)
    return np.asarray(np.clip(ramp, 0, 1), np.float32)


def mix(base: Field, colour: tuple[float, float, float] | Numbers, amount: Numbers | float) -> Field:
    """Lay a colour (0-255) or picture over an (h, w, 3) float picture by `amount` (0-1)."""
    weight = np.asarray(amount, np.float32)[..., None]
    mixed = np.asarray(colour, np.float32) - base
    mixed *= weight
    mixed += base
    return mixed


def raking(height: Numbers, strength: float) -> Field:
    """Return the light (about 1) on a relief lit low from the upper left; one step a pixel counts `strength`."""
    height = np.asarray(height, np.float32)
    across = cv2.Sobel(height, cv2.CV_32F, 1, 0, ksize=3, scale=strength / 8)
    down = cv2.Sobel(height, cv2.CV_32F, 0, 1, ksize=3, scale=strength / 8)
    return np.asarray(np.float32(1) + across + down, np.float32)


def lit(picture: Pixels, light: Numbers) -> Pixels:
    """Multiply a picture by a light field (1 leaves it unchanged; at most 2)."""
    level = np.asarray(cv2.convertScaleAbs(np.asarray(light, np.float32), alpha=128), np.uint8)
    return np.asarray(cv2.multiply(picture, cv2.merge([level, level, level]), scale=1 / 128), np.uint8)


def room_light(shape: Shape, bright: tuple[float, float], fall: float) -> Field:
    """Return the light of one lamp: 1 at `bright` (u, v), less by `fall` one picture diagonal away."""
    u, v = grid((max(shape[0] // 32, 2), max(shape[1] // 32, 2)))
    distance = np.hypot(u - bright[0], v - bright[1])
    return resized(np.asarray(1 - fall * distance**1.5, np.float32), shape)


def weave(rng: np.random.Generator, shape: Shape, period: int) -> Field:
    """Return the height (0-1) of plain-woven canvas with threads `period` px apart, slightly uneven."""
    side = 64 * period
    y, x = np.mgrid[0:side, 0:side].astype(np.float32) * np.float32(np.pi / period)
    over = np.sin(x) ** 2 * (np.cos(y) > 0) * np.abs(np.cos(y)) + np.sin(y) ** 2 * (np.cos(x) > 0) * np.abs(np.cos(x))
    slub = 1 + 0.35 * (noise(rng, (side, side), period * 2, 9) + noise(rng, (side, side), period * 9, 1 / 9))
    return tiled(np.asarray(over * slub, np.float32), shape)


def paper(rng: np.random.Generator, shape: Shape, colour: tuple[int, int, int], tooth: float = 0.02) -> Pixels:
    """Return a sheet of rag paper: its tooth in raking light, cloudy formation, a few fibres."""
    sheet = np.empty((*shape, 3), np.uint8)
    sheet[:] = colour
    for colour_shift in (-14, -22, 10):
        _fibres(rng, sheet, colour, colour_shift, count=shape[0] * shape[1] // 60_000)
    light = raking(grain(rng, shape, 1.6), tooth * 2) + 0.012 * noise(rng, shape, 90)
    return lit(sheet, np.asarray(light, np.float32))


def _fibres(rng: np.random.Generator, sheet: Pixels, colour: tuple[int, int, int], shift: int, count: int) -> None:
    starts = rng.uniform((0, 0), (sheet.shape[1], sheet.shape[0]), (count, 2))
    turns = np.cumsum(rng.normal(0, 0.35, (count, 9)), axis=1) + rng.uniform(0, 2 * np.pi, (count, 1))
    steps = np.stack([np.cos(turns), np.sin(turns)], axis=-1) * 3.0
    curves = ((starts[:, None] + np.cumsum(steps, axis=1)) * 8).astype(np.int32)
    tint = tuple(int(np.clip(c + shift, 0, 255)) for c in colour)
    cv2.polylines(sheet, list(curves), False, tint, 1, cv2.LINE_AA, shift=3)


def hung(
    rng: np.random.Generator, work: Pixels, shape: Shape, corner: tuple[int, int], wall: tuple[int, int, int]
) -> Pixels:
    """Return the work on a plastered wall, its top-left at `corner` (x, y), with the shadow it throws."""
    height, width = work.shape[:2]
    x, y = corner
    plaster = raking(grain(rng, shape, 3.0), 0.12) + 0.025 * noise(rng, shape, 160)
    shade = np.zeros((shape[0] // 8, shape[1] // 8), np.float32)
    deep = max(width, height) // 110
    cv2.rectangle(
        shade, ((x + deep) // 8, (y + deep) // 8), ((x + width + deep) // 8, (y + height + 2 * deep) // 8), 0.55, -1
    )
    plaster *= 1 - resized(blurred(shade, deep / 10), shape)
    room = np.empty((*shape, 3), np.uint8)
    room[:] = wall
    room = lit(room, np.asarray(plaster, np.float32))
    room[y : y + height, x : x + width] = work
    return room


def sensed(rng: np.random.Generator, picture: Pixels, amount: float = 1.6) -> Pixels:
    """Return the picture as a sensor gives it: with `amount` levels of noise."""
    speckle = np.asarray(
        cv2.convertScaleAbs(grain(rng, shape_of(picture)) * np.float32(amount) + np.float32(32)), np.uint8
    )
    return np.asarray(cv2.addWeighted(picture, 1, cv2.merge([speckle, speckle, speckle]), 1, -32), np.uint8)


def shape_of(picture: NDArray[np.generic]) -> Shape:
    """Return height and width."""
    return int(picture.shape[0]), int(picture.shape[1])
