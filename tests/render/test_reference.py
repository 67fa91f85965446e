"""Rendered luma against a float64 reference: one step from the full photograph, the same kernel, in linear light."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
import skimage.data
from numpy.typing import NDArray

from kenburns.motion.geometry import Rect, Size
from kenburns.render.colour import BLUE, GREEN, RED, linear_to_srgb, srgb_to_linear
from kenburns.render.resample import KERNELS

FRAME = Size(144, 80)
ART_FRAME = Size(480, 270)  # edges as sparse as in a frame of a film: in a thumbnail half of all pixels are edges
RECTANGLES = 20
PHOTOGRAPHS = ("coffee", "chelsea", "astronaut", "rocket", "hubble_deep_field", "immunohistochemistry")

Draw = Callable[..., list[list[NDArray[Any]]]]


def lanczos(x: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.where(np.abs(x) < 3, np.sinc(x) * np.sinc(x / 3), 0.0)


def catmull_rom(x: NDArray[np.float64]) -> NDArray[np.float64]:
    x = np.abs(x)
    near, far = (1.5 * x - 2.5) * x * x + 1, ((-0.5 * x + 2.5) * x - 4) * x + 2
    return np.where(x < 1, near, np.where(x < 2, far, 0.0))


SHAPES = {"crisp": lanczos, "gentle": catmull_rom}


def weights(kernel: str, inputs: int, start: float, step: float, outputs: int) -> NDArray[np.float64]:
    centres = start + (np.arange(outputs) + 0.5) * step
    raw = SHAPES[kernel]((np.arange(inputs) + 0.5 - centres[:, None]) / step)
    return np.asarray(raw / raw.sum(axis=1, keepdims=True))


def reference(light: NDArray[np.float64], view: Rect, frame: Size, kernel: str) -> NDArray[np.float64]:
    down = weights(kernel, light.shape[0], view.y, view.height / frame.height, frame.height)
    along = weights(kernel, light.shape[1], view.x, view.width / frame.width, frame.width)
    small = np.einsum("ij,jkc,lk->ilc", down, light, along, optimize=True)
    return np.asarray(linear_to_srgb(np.clip(small, 0, 1)) @ (RED, GREEN, BLUE))


def rectangles(picture: NDArray[np.uint8], frame: Size, seed: int) -> list[Rect]:
    """Random views well inside the picture, at scales from 1:1 to all it allows."""
    rng = np.random.default_rng(seed)
    height, width = picture.shape[:2]
    most = min((width - 40) / frame.width, (height - 40) / frame.height)
    found = []
    for scale in np.exp(rng.uniform(0, np.log(most), RECTANGLES)):
        w, h = frame.width * scale, frame.height * scale
        found.append(Rect(rng.uniform(20, width - 20 - w), rng.uniform(20, height - 20 - h), w, h))
    return found


def quality(draw: Draw, picture: NDArray[np.uint8], frame: Size, kernel: str, seed: int) -> list[float]:
    views = rectangles(picture, frame, seed)
    light = srgb_to_linear(picture / 255)
    found = []
    for view, (luma, _, _) in zip(views, draw(picture, views, frame, kernel=kernel), strict=True):
        error = (luma / 4 - 16) / 219 - reference(light, view, frame, kernel)
        found.append(float(-10 * np.log10(np.mean(error**2))))
    return found


@pytest.mark.parametrize("kernel", KERNELS)
def test_photographs_lie_within_48_db_of_the_reference(draw_views: Draw, kernel: str) -> None:
    found = [
        value
        for seed, name in enumerate(PHOTOGRAPHS)
        for value in quality(draw_views, np.asarray(getattr(skimage.data, name)(), np.uint8), FRAME, kernel, seed)
    ]
    assert np.median(found) >= 48


@pytest.mark.parametrize("kernel", KERNELS)
def test_hard_edged_graphic_art_lies_within_38_db_of_the_reference(draw_views: Draw, kernel: str) -> None:
    found = quality(draw_views, graphic_art(), ART_FRAME, kernel, 3)
    assert np.median(found) >= 38


def graphic_art() -> NDArray[np.uint8]:
    """Flat shapes without any softened edge, black, white and full colours among them."""
    rng = np.random.default_rng(8)
    y, x = np.mgrid[0:1260, 0:1920]
    picture = np.full((1260, 1920, 3), 255, np.uint8)
    for _ in range(60):
        colour = rng.choice([0, 0, 255, 200, 40], 3)
        cx, cy, size = rng.uniform(0, 1920), rng.uniform(0, 1260), rng.uniform(24, 270)
        angle = rng.uniform(0, np.pi)
        u, v = (x - cx) * np.cos(angle) + (y - cy) * np.sin(angle), (y - cy) * np.cos(angle) - (x - cx) * np.sin(angle)
        inside = (np.abs(u) < size) & (np.abs(v) < size / 3) if rng.random() < 0.6 else np.hypot(u, v) < size / 2
        picture[inside] = colour
    return picture
