"""What stands between a work and the wall in a synthetic photograph: mount and frame, or nothing."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from benchmarks.paintings import Picture, colour, flat, noise


@dataclass(frozen=True, slots=True)
class Hung:
    """The whole object as hung, float (h, w, 3), and the corners (4, 2) of the work in it."""

    picture: Picture
    opening: NDArray[np.float64]

    def fitted(self, width: int, height: int) -> Hung:
        """Return the object, made smaller where it would hardly fit into a photograph of this size."""
        tall, wide = self.picture.shape[:2]
        ratio = min(1.0, 0.98 * width / wide, 0.98 * height / tall)
        if ratio == 1:
            return self
        size = round(wide * ratio), round(tall * ratio)
        scaled = np.asarray(cv2.resize(self.picture, size, interpolation=cv2.INTER_AREA), np.float32)
        return Hung(scaled, self.opening * (size[0] / wide, size[1] / tall))


def hang(rng: np.random.Generator, work: Picture) -> Hung:
    """Return the work bare, mounted, framed, or mounted and framed."""
    size = min(work.shape[:2])
    sides = (0, 0, 0, 0)
    picture = work
    framed, mounted = [(0, 0), (1, 0), (1, 1), (0, 1)][int(rng.choice(4, p=[0.36, 0.34, 0.25, 0.05]))]
    if mounted:
        picture, sides = mount(rng, picture, size)
    if framed:
        thick = max(3, round(size * np.exp(rng.uniform(np.log(0.008), np.log(0.12)))))
        picture = frame(rng, picture, thick)
        sides = (sides[0] + thick, sides[1] + thick, sides[2] + thick, sides[3] + thick)
    left, top = sides[:2]
    tall, wide = work.shape[:2]
    corners = np.array([[0, 0], [wide, 0], [wide, tall], [0, tall]], np.float64) + np.array([left, top])
    return Hung(picture, corners)


def mount(rng: np.random.Generator, work: Picture, size: int) -> tuple[Picture, tuple[int, int, int, int]]:
    """Return the work in a mount, and the mount's left, top, right and bottom."""
    even = max(6, round(size * rng.uniform(0.04, 0.3)))
    foot = round(even * (rng.uniform(1.05, 1.4) if rng.random() < 0.3 else 1))
    sides = (even, even, even, foot)
    pale = np.asarray(np.float32(rng.uniform(0.8, 1)) * (1 - rng.uniform(0, 1) * np.array([0, 0.03, 0.12])), np.float32)
    board = pale if rng.random() < 0.85 else colour(rng, 0.03, 0.6)
    height, width = work.shape[0] + even + foot, work.shape[1] + 2 * even
    picture = flat(height, width, board) + np.float32(0.02) * (noise(rng, height, width, 8)[:, :, None] - 0.5)
    inner = slice(even, even + work.shape[0]), slice(even, even + work.shape[1])
    bevel = int(rng.integers(0, 4))
    if bevel:  # the cut edge of the board catches the light on two sides
        top, left = even - bevel, even - bevel
        picture[top : inner[0].stop + bevel, left : inner[1].stop + bevel] = np.clip(
            board * rng.uniform(0.8, 1.1), 0, 1
        )
        picture[top:even, left : inner[1].stop + bevel] *= np.float32(rng.uniform(0.7, 1))
    picture[inner] = work * _lip_shadow(rng, *work.shape[:2])
    return picture, sides


def frame(rng: np.random.Generator, inside: Picture, thick: int) -> Picture:
    """Return a mitred frame around a picture: flat, stained, gilded or profiled, each side in its own light."""
    height, width = inside.shape[0] + 2 * thick, inside.shape[1] + 2 * thick
    y, x = np.mgrid[0:height, 0:width]
    depths = np.stack([x, y, width - 1 - x, height - 1 - y])
    depth = np.minimum(depths.min(axis=0), thick - 1)
    side = depths.argmin(axis=0)
    picture = _profile(rng, thick)[depth] * (1 + rng.uniform(-0.15, 0.15, 4).astype(np.float32))[side][:, :, None]
    along = np.where((side % 2) == 0, noise(rng, height, width, 20), noise(rng, width, height, 20).T)
    picture = picture + np.float32(rng.uniform(0, 0.08)) * (along[:, :, None] - 0.5)
    picture[thick:-thick, thick:-thick] = inside * _lip_shadow(rng, *inside.shape[:2])
    return np.asarray(np.clip(picture, 0, 1), np.float32)


def _profile(rng: np.random.Generator, thick: int) -> Picture:
    """Return a frame's colour (thick, 3) from its outer to its inner edge."""
    kind = rng.integers(4)
    woods = [(0.35, 0.22, 0.12), (0.6, 0.42, 0.25), (0.2, 0.12, 0.08), (0.75, 0.6, 0.42)]
    base = {
        0: np.full(3, rng.uniform(0.02, 0.12)),
        1: np.full(3, rng.uniform(0.8, 1.0)),
        2: np.array(woods[int(rng.integers(4))]) * rng.uniform(0.8, 1.2),
        3: np.array([0.75, 0.58, 0.28]) * rng.uniform(0.6, 1.2),
    }[int(kind)]
    profile = np.repeat(base[None], thick, axis=0).astype(np.float32)
    if thick > 8 and (kind == 3 or rng.random() < 0.35):
        bands = rng.uniform(0.5, 1.3, int(rng.integers(2, 6)))
        steps = np.interp(np.linspace(0, len(bands) - 1, thick), np.arange(len(bands)), bands)
        profile *= steps[:, None].astype(np.float32)
    return profile


def _lip_shadow(rng: np.random.Generator, height: int, width: int) -> Picture:
    """Return the shadow (h, w, 1) that a raised edge casts on what lies below it, along the top and one side."""
    reach = max(1.0, min(height, width) * rng.uniform(0, 0.02))
    depth = rng.uniform(0, 0.5)
    top = np.exp(-np.arange(height) / reach)[:, None]
    side = np.exp(-np.arange(width) / reach)[None, :: 1 if rng.random() < 0.5 else -1] * rng.uniform(0, 1)
    return np.asarray(1 - depth * np.maximum(top, side), np.float32)[:, :, None]


def rounded(mask: NDArray[np.uint8], softness: float) -> Picture:
    """Return a mask in [0, 1] with a soft edge."""
    return np.asarray(cv2.GaussianBlur(mask.astype(np.float32), (0, 0), softness), np.float32)
