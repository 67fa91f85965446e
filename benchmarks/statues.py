"""Synthetic photographs of round and free-standing works: tondi, plates, vessels, figures.

The truth is the box around the work, upright in the photograph, without its shadow and without a plinth below it. A
tondo's frame, where it has one, is part of the box: it is round as the work is.
"""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from benchmarks.gallery import FINER, Sample, canvas_size, exposed, wall
from benchmarks.paintings import Picture, blurred, colour, flat, noise, paint, palette

Mask = NDArray[np.float32]


def free_standing(seed: int) -> Sample:
    """Return a photograph of a work that is no rectangle, before a wall, a seamless ground or black."""
    rng = np.random.default_rng(seed)
    width, height = canvas_size(rng)
    size = round(min(width, height) * rng.uniform(0.4, 0.85))
    hangs = rng.random() < 0.45
    mask = disc(rng, size) if hangs else body(rng, size)
    scene = wall(rng, height, width) if hangs or rng.random() < 0.3 else seamless(rng, height, width)
    tall, wide = mask.shape
    x = round((width - wide) * np.clip(rng.normal(0.5, 0.1), 0.05, 0.95))
    y = round((height - tall) * np.clip(rng.normal(0.5 if hangs else 0.65, 0.1), 0.05, 0.95))
    surface = paint(rng, tall, wide) if hangs else modelled(rng, mask)
    if not hangs and rng.random() < 0.15:
        plinth(rng, scene, x, y + tall, wide)
    shadow(rng, scene, mask, x, y, hangs)
    part = scene[y : y + tall, x : x + wide]
    part += mask[:, :, None] * (surface - part)
    rows, columns = np.nonzero(mask.max(axis=1) > 0.5)[0], np.nonzero(mask.max(axis=0) > 0.5)[0]
    left, right, top, bottom = x + columns[0], x + columns[-1] + 1, y + rows[0], y + rows[-1] + 1
    corners = np.array([[left, top], [right, top], [right, bottom], [left, bottom]], np.float64)
    return Sample(exposed(rng, scene), corners / FINER, "free-standing")


def disc(rng: np.random.Generator, size: int) -> Mask:
    """Return a circle or an oval."""
    tall, wide = size, round(size * rng.choice([1.0, 1.0, rng.uniform(0.6, 1.0)]))
    mask = np.zeros((tall, wide), np.float32)
    cv2.ellipse(mask, (wide // 2, tall // 2), (wide // 2 - 2, tall // 2 - 2), 0, 0, 360, (1.0,), -1, cv2.LINE_AA)
    return mask


def body(rng: np.random.Generator, size: int) -> Mask:
    """Return a turned vessel, a figure of limbs and rounds, or a jagged block."""
    kind = rng.integers(3)
    wide = round(size * rng.uniform(0.45, 1.0))
    mask = np.zeros((size, wide), np.float32)
    if kind == 0:
        knots = rng.uniform(0.25, 1, 6)
        radii = np.interp(np.linspace(0, 5, size), np.arange(6), knots) * wide / 2
        smooth = cv2.GaussianBlur(radii.astype(np.float32)[:, None], (1, 0), sigmaX=1, sigmaY=size / 20)
        across = np.abs(np.arange(wide)[None, :] + 0.5 - wide / 2)
        mask = (across < smooth).astype(np.float32)
    elif kind == 1:
        joint = np.array([wide / 2, size * 0.05])
        for _ in range(int(rng.integers(5, 11))):
            axes = int(wide * rng.uniform(0.08, 0.25)), int(size * rng.uniform(0.08, 0.25))
            at = tuple(int(v) for v in np.clip(joint, 0, (wide, size)))
            cv2.ellipse(mask, at, axes, float(rng.uniform(0, 180)), 0, 360, (1.0,), -1, cv2.LINE_AA)
            joint = np.clip(joint + rng.normal((0, 0.1), 0.09, 2) * (wide, size), 0, (wide, size))
        mask = _largest(mask)
    else:
        angles = np.sort(rng.uniform(0, 2 * np.pi, int(rng.integers(5, 14))))
        radii = rng.uniform(0.5, 1, len(angles))
        points = np.stack([wide / 2 * (1 + radii * np.cos(angles)), size / 2 * (1 + radii * np.sin(angles))], axis=1)
        cv2.fillPoly(mask, [points.astype(np.int32)], (1.0,), cv2.LINE_AA)
    return _trimmed(mask)


def modelled(rng: np.random.Generator, mask: Mask) -> Picture:
    """Return the surface of a body: one or two colours, round in the light."""
    height, width = mask.shape
    picture = palette(rng, noise(rng, height, width, min(height, width) / rng.uniform(1, 20)), 2, 0.05, 0.9)
    swell = cv2.GaussianBlur(mask, (0, 0), min(height, width) / 10)
    slope = cv2.Sobel(swell, cv2.CV_32F, 1, 0, ksize=5), cv2.Sobel(swell, cv2.CV_32F, 0, 1, ksize=5)
    lit = (rng.normal(0, 1) * slope[0] + abs(rng.normal(0, 1)) * slope[1]) / max(1e-6, float(np.abs(slope).max()))
    return np.clip(picture * (1 + 0.4 * lit[:, :, None]), 0, 1).astype(np.float32)


def seamless(rng: np.random.Generator, height: int, width: int) -> Picture:
    """Return a paper ground that runs smoothly from wall to floor, pale, grey or black."""
    base = colour(rng, 0.75, 0.98) if rng.random() < 0.5 else colour(rng, 0.0, 0.6)
    bend = 1 / (1 + np.exp(-(np.linspace(0, 1, height) - rng.uniform(0.6, 0.9)) * rng.uniform(8, 40)))
    picture = flat(height, width, base) * (1 + rng.uniform(-0.25, 0.25) * bend[:, None, None])
    return np.clip(picture, 0, 1).astype(np.float32)


def plinth(rng: np.random.Generator, scene: Picture, x: int, top: int, wide: int) -> None:
    """Stand a box below the work."""
    overhang = round(wide * rng.uniform(0.0, 0.15))
    scene[top:, max(0, x - overhang) : x + wide + overhang] = np.float32(rng.uniform(0.5, 0.95))


def shadow(rng: np.random.Generator, scene: Picture, mask: Mask, x: int, y: int, hangs: bool) -> None:
    """Darken the wall behind a hanging work, or the floor at the foot of a standing one."""
    cast = np.zeros(scene.shape[:2], np.float32)
    tall, wide = mask.shape
    reach = round(tall * rng.uniform(0.005, 0.05))
    if hangs:
        part = cast[y + reach : y + reach + tall, x + reach : x + reach + wide]
        part[...] = mask[: part.shape[0], : part.shape[1]]
    else:
        foot = (x + wide // 2 + round(wide * rng.normal(0, 0.15)), y + tall - tall // 40)
        cv2.ellipse(cast, foot, (round(wide * rng.uniform(0.3, 0.7)), tall // 20), 0, 0, 360, (1.0,), -1)
    soft = blurred(cast, max(2.0, reach * 0.7))
    scene *= (1 - np.float32(rng.uniform(0.1, 0.5)) * soft)[:, :, None]


def _trimmed(mask: Mask) -> Mask:
    """Cut empty rows and columns off the edges."""
    rows, columns = np.nonzero(mask.max(axis=1) > 0.5)[0], np.nonzero(mask.max(axis=0) > 0.5)[0]
    return mask[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]


def _largest(mask: Mask) -> Mask:
    """Keep the largest connected part."""
    _, labels, stats, _ = cv2.connectedComponentsWithStats((mask > 0.5).astype(np.uint8))
    return np.where(labels == 1 + int(np.argmax(stats[1:, cv2.CC_STAT_AREA])), mask, 0).astype(np.float32)
