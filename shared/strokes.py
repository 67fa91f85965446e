"""Brush strokes: bundles of bristles drawn along a field of directions, coarse first, fine last.

A canvas is (height, width, 4) uint8: R, G, B and how high the paint stands. Guides (what should be seen) and
directions (radians, 0 along x, clockwise since y runs down) may be much smaller than the canvas.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from .surfaces import Field, Pixels, Shape, blurred, lit, raking, shape_of, step

_STEPS = 7
_FRACTION = 3  # bits below one pixel in the points handed to OpenCV


@dataclass(frozen=True, slots=True)
class Brush:
    """Length, width and bristle count of a stroke in canvas pixels; jitter of colour in levels, of angle in radians."""

    length: float
    width: float
    bristles: int
    jitter: float = 9.0
    wander: float = 0.12
    load: float = 1.0  # how much the bristles differ in height


@dataclass(frozen=True, slots=True)
class View:
    """What should be seen, (h, w, 3), and the direction of the brush there, (h, w) radians."""

    guide: Field
    angles: Field

    def edged(self, limit: float = 28) -> View:
        """Return the view with its directions turned along the edges of the guide."""
        return View(self.guide, _along_edges(self.guide, self.angles, limit))


def primed(shape: Shape, colour: tuple[int, int, int]) -> Pixels:
    """Return an empty canvas with a ground of one colour."""
    canvas = np.empty((*shape, 4), np.uint8)
    canvas[:] = (*colour, 60)
    return canvas


def scatter(rng: np.random.Generator, shape: Shape, spacing: float, weight: Field | None = None) -> NDArray[np.float32]:
    """Return points (n, 2) about `spacing` px apart in random order, kept with the probability `weight` (0-1)."""
    rows, columns = int(shape[0] / spacing) + 1, int(shape[1] / spacing) + 1
    y, x = np.mgrid[0:rows, 0:columns].astype(np.float32)
    points = (np.stack([x, y], axis=-1).reshape(-1, 2) + rng.uniform(0, 1, (rows * columns, 2))) * spacing
    if weight is not None:
        points = points[rng.uniform(0, 1, len(points)) < _sample(weight, points, shape)]
    return np.asarray(rng.permutation(points), np.float32)


def brush_on(rng: np.random.Generator, canvas: Pixels, view: View, starts: NDArray[np.float32], brush: Brush) -> None:
    """Draw one stroke through each start, in the guide's colour there, along the field of angles."""
    if not len(starts):
        return
    paths = _follow(rng, view.angles, starts, shape_of(canvas), brush)
    colours = _sample(view.guide, starts, shape_of(canvas)) + rng.normal(0, brush.jitter, (len(starts), 1))
    draw(rng, canvas, paths, colours + rng.normal(0, brush.jitter / 2, (len(starts), 3)), brush)


def busy(guide: Field) -> Field:
    """Return where a guide changes: 0 in calm areas to 1 on edges."""
    grey = np.asarray(guide.mean(axis=2), np.float32)
    edge = np.hypot(cv2.Sobel(grey, cv2.CV_32F, 1, 0), cv2.Sobel(grey, cv2.CV_32F, 0, 1))
    return np.clip(blurred(np.asarray(edge, np.float32), 2.0) / 60, 0, 1)


def draw(
    rng: np.random.Generator,
    canvas: Pixels,
    paths: NDArray[np.floating],
    colours: NDArray[np.floating],
    brush: Brush,
) -> None:
    """Draw strokes in order: paths (n, steps, 2) in canvas pixels and colours (n, 3)."""
    lines = np.round(_bristles(rng, paths, brush) * (1 << _FRACTION)).astype(np.int32)
    tints = _tints(rng, colours, brush)
    shape = len(paths), brush.bristles
    first = rng.integers(0, 2, shape).tolist()
    last = (paths.shape[1] - rng.integers(0, 3, shape)).tolist()
    thickness = max(round(brush.width / brush.bristles * 1.7), 1)
    for stroke in range(shape[0]):
        for k in range(shape[1]):
            line = lines[stroke, k, first[stroke][k] : last[stroke][k]]
            cv2.polylines(canvas, [line], False, tints[stroke][k], thickness, cv2.LINE_8, _FRACTION)


def signed(canvas: Pixels, corner: tuple[int, int], size: int, colour: tuple[int, int, int]) -> None:
    """Sign with a looped 'O V' and a tail, as one thin brush line."""
    t = np.linspace(0, 1, 160)
    letter_o = np.stack([0.2 + 0.2 * np.sin(2 * np.pi * t), 0.5 - 0.42 * np.cos(2 * np.pi * t)], axis=-1)
    letter_v = np.stack([0.5 + 0.6 * t, np.abs(t - 0.4) * -1.6 + 0.95], axis=-1)
    tail = np.stack([1.1 + 0.9 * t, 0.55 + (0.3 * np.cos(22 * t)) * (1 - t) + 0.1 * t], axis=-1)
    for line in (letter_o, letter_v, tail):
        points = np.round((line * size + corner) * 8).astype(np.int32)
        cv2.polylines(canvas, [points], False, (*colour, 170), max(size // 24, 2), cv2.LINE_AA, shift=3)


def varnished(canvas: Pixels, ground: Field | None = None, strength: float = 0.006, weave_depth: float = 0.0) -> Pixels:
    """Return the canvas as seen in raking light, R, G, B only; the ground (woven, 0-1) shows through."""
    height = np.asarray(cv2.GaussianBlur(canvas[..., 3].astype(np.float32), (0, 0), 1.1), np.float32)
    if ground is not None:
        height += ground * np.float32(weave_depth)
    colour = np.asarray(cv2.GaussianBlur(np.ascontiguousarray(canvas[..., :3]), (3, 3), 0.7), np.uint8)
    return lit(colour, np.clip(raking(height, strength), 0.45, 1.6))


def _follow(
    rng: np.random.Generator, angles: Field, starts: NDArray[np.float32], shape: Shape, brush: Brush
) -> NDArray[np.floating]:
    """Return paths (n, steps, 2) centred on the starts."""
    stride = brush.length * rng.uniform(0.7, 1.3, len(starts)) / (_STEPS - 1)
    sway = rng.normal(0, brush.wander, len(starts))
    turn = _sample(angles, starts, shape) + sway
    here = starts - np.stack([np.cos(turn), np.sin(turn)], axis=-1) * (stride * (_STEPS - 1) / 2)[:, None]
    paths = [here]
    for _ in range(_STEPS - 1):
        here = here + np.stack([np.cos(turn), np.sin(turn)], axis=-1) * stride[:, None]
        turn = _sample(angles, here, shape) + sway
        paths.append(here)
    return np.stack(paths, axis=1)


def _bristles(rng: np.random.Generator, paths: NDArray[np.floating], brush: Brush) -> NDArray[np.floating]:
    """Return the lines (n, bristles, steps, 2) that the bristles draw beside each other along the paths."""
    ahead = np.gradient(paths, axis=1)
    normals = (
        np.stack([-ahead[..., 1], ahead[..., 0]], axis=-1)
        / np.maximum(np.hypot(*np.moveaxis(ahead, -1, 0)), 1e-6)[..., None]
    )
    offsets = (np.linspace(-0.5, 0.5, brush.bristles) if brush.bristles > 1 else np.zeros(1)) * brush.width
    offsets = offsets + rng.normal(0, brush.width / brush.bristles / 4, (len(paths), brush.bristles))
    pressed = 0.72 + 0.28 * np.sin(np.linspace(0.3, np.pi - 0.2, paths.shape[1]))  # a stroke narrows at its ends
    return np.asarray(paths[:, None] + normals[:, None] * (offsets[:, :, None] * pressed)[..., None])


def _tints(rng: np.random.Generator, colours: NDArray[np.floating], brush: Brush) -> list[list[list[int]]]:
    """Return R, G, B and height for every bristle of every stroke; paint is pushed up at the edges of the brush."""
    shape = len(colours), brush.bristles
    paint = np.empty((*shape, 4))
    paint[..., :3] = colours[:, None] + rng.normal(0, brush.jitter * 0.8, (*shape, 1))
    ridge = 70 * np.linspace(-1, 1, brush.bristles) ** 2
    paint[..., 3] = 95 + brush.load * (ridge + rng.normal(0, 34, shape))
    tints: list[list[list[int]]] = np.clip(paint, 0, 255).astype(int).tolist()
    return tints


def _along_edges(guide: Field, angles: Field, limit: float) -> Field:
    """Turn the directions along the guide's edges (its structure tensor's minor axis) where that passes `limit`."""
    grey = np.asarray(cv2.GaussianBlur(guide.mean(axis=2).astype(np.float32), (0, 0), 1.2), np.float32)
    gx, gy = cv2.Sobel(grey, cv2.CV_32F, 1, 0, scale=0.25), cv2.Sobel(grey, cv2.CV_32F, 0, 1, scale=0.25)
    xx, yy, xy = (blurred(np.asarray(a, np.float32), 2.5) for a in (gx * gx, gy * gy, gx * gy))
    edge = np.asarray(0.5 * np.arctan2(2 * xy, xx - yy) + np.pi / 2, np.float32)
    sure = step(np.hypot(xx - yy, 2 * xy) - limit, limit)
    return np.asarray(
        0.5
        * np.arctan2(  # directions have no sign: doubled angles may be averaged
            (1 - sure) * np.sin(2 * angles) + sure * np.sin(2 * edge),
            (1 - sure) * np.cos(2 * angles) + sure * np.cos(2 * edge),
        ),
        np.float32,
    )


def _sample(field: Field, points: NDArray[np.floating], shape: Shape) -> NDArray[np.float32]:
    """Return the field's values at canvas points, nearest cell."""
    columns = np.clip(points[:, 0] * (field.shape[1] / shape[1]), 0, field.shape[1] - 1).astype(int)
    rows = np.clip(points[:, 1] * (field.shape[0] / shape[0]), 0, field.shape[0] - 1).astype(int)
    return np.asarray(field[rows, columns], np.float32)
