"""An oil painting, tall: dusk over a harbour mouth, a boat under the rocks."""

from __future__ import annotations

import numpy as np

from .strokes import Brush, View, brush_on, busy, draw, primed, scatter, signed, varnished
from .surfaces import (
    Field,
    Numbers,
    Pixels,
    Shape,
    grid,
    hung,
    lit,
    mix,
    noise,
    octaves,
    room_light,
    sensed,
    shape_of,
    step,
    weave,
)

_HORIZON = 0.40  # of the canvas height
_STEPS = 7


def high_water() -> Pixels:
    """Return work 1 on its wall: dusk over a harbour mouth, a boat under the rocks; 4000 x 6000 px."""
    rng = np.random.default_rng(1991)
    shape = (5500, 3456)
    view = _harbour(rng, (688, 432)).edged()
    canvas = primed(shape, (96, 78, 70))
    brush_on(rng, canvas, view, scatter(rng, shape, 120), Brush(520, 150, 22, jitter=8))
    brush_on(rng, canvas, view, scatter(rng, shape, 62), Brush(260, 72, 13, jitter=9))
    edges = busy(view.guide)
    brush_on(rng, canvas, view, scatter(rng, shape, 32, 0.12 + edges), Brush(120, 32, 7, jitter=10))
    brush_on(rng, canvas, view, scatter(rng, shape, 17, edges * edges), Brush(58, 15, 4, jitter=9))
    _boat(rng, canvas, (2130, 4080), 560)
    signed(canvas, (2650, 5330), 200, (196, 150, 96))
    work = varnished(canvas, weave(rng, shape, 7), weave_depth=16)
    work = lit(work, room_light(shape, (0.3, 0.2), 0.22))
    photo = hung(rng, work, (6000, 4000), (272, 240), (176, 174, 168))
    return sensed(rng, lit(photo, room_light((6000, 4000), (0.25, 0.25), 0.25)))


def _harbour(rng: np.random.Generator, shape: Shape) -> View:
    u, v = grid(shape)
    cloud = octaves(rng, shape, 60, 4, stretch=2.2)
    sky = mix(np.zeros((*shape, 3), np.float32), (44, 66, 98), 1.0)
    sky = mix(sky, (104, 128, 142), step(v - 0.16 + 0.05 * cloud, 0.26))
    sky = mix(sky, (226, 176, 128), step(v - 0.32 + 0.04 * cloud, 0.12))
    sky = mix(sky, (62, 70, 92), 0.75 * step(cloud - 0.15 - 0.9 * np.abs(v - 0.2), 0.5))
    sky = mix(sky, (240, 196, 150), 0.8 * step(cloud - 0.55, 0.4) * step(0.38 - v, 0.1))
    sun = np.exp(-(((u - 0.36) / 0.10) ** 2 + ((v - 0.372) / 0.035) ** 2))
    sky = mix(sky, (255, 224, 170), sun)
    depth = np.clip((v - _HORIZON) / (1 - _HORIZON), 1e-3, 1)
    swell = np.sin(60 * np.sqrt(depth) + 2.6 * octaves(rng, shape, 60, 3, stretch=3.5))
    sea = mix(np.zeros((*shape, 3), np.float32), (150, 150, 142), 1.0)
    sea = mix(sea, (58, 92, 104), step(depth - 0.14, 0.25))
    sea = mix(sea, (22, 46, 62), step(depth - 0.5, 0.6))
    sea = mix(sea, (134, 158, 150), 0.45 * step(swell - 0.5, 0.6))
    sea = mix(sea, (18, 38, 54), 0.5 * step(-swell - 0.35, 0.6))
    path = (
        np.exp(-(((u - 0.36 - 0.03 * swell) / (0.05 + 0.07 * depth)) ** 2))
        * step(swell + 0.25, 0.5)
        * (1 - 0.75 * depth)
    )
    sea = mix(sea, (250, 204, 148), np.clip(path, 0, 1))
    picture = mix(sky, sea, step(v - _HORIZON, 0.004))
    angles = np.where(v < _HORIZON, 0.5 * cloud, 0.22 * np.cos(60 * np.sqrt(depth) + u * 9)).astype(np.float32)
    picture, angles = _headland(rng, picture, angles, u, v)
    return View(*_rocks(rng, picture, angles, u, v))


def _headland(rng: np.random.Generator, picture: Field, angles: Field, u: Field, v: Field) -> tuple[Field, Field]:
    rise = 0.085 * np.clip((u - 0.5) / 0.5, 0, 1) ** 0.7 + 0.006 * noise(rng, shape_of(u), 12)
    land = step(v - _HORIZON + rise, 0.005) * step(_HORIZON + 0.012 - v, 0.004) * step(u - 0.49, 0.02)
    picture = mix(picture, (44, 50, 58), land)
    picture = mix(picture, (86, 84, 70), land * 0.6 * step(octaves(rng, shape_of(u), 16, 2) - 0.1, 0.5))
    tower = step(0.011 - np.abs(u - 0.9), 0.003) * step(v - 0.285, 0.004) * step(0.336 - v, 0.004)
    picture = mix(picture, (214, 204, 186), tower)
    picture = mix(picture, (255, 236, 170), np.exp(-(((u - 0.9) / 0.02) ** 2 + ((v - 0.281) / 0.012) ** 2)))
    for _ in range(26):  # the village, its windows lit, and their streaks on the water
        x, y = rng.uniform(0.56, 0.98), _HORIZON - rng.uniform(0.0, 0.03)
        picture = mix(picture, (255, 200, 104), np.exp(-(((u - x) / 0.006) ** 2 + ((v - y) / 0.003) ** 2)))
        picture = mix(
            picture,
            (214, 164, 100),
            0.35 * np.exp(-(((u - x) / 0.006) ** 2)) * step(v - _HORIZON - 0.012, 0.006) * step(0.47 - v, 0.06),
        )
    return picture, np.where(land > 0.5, -0.5, angles).astype(np.float32)


def _rocks(rng: np.random.Generator, picture: Field, angles: Field, u: Field, v: Field) -> tuple[Field, Field]:
    crag = octaves(rng, shape_of(u), 46, 4)
    ridge = np.abs(octaves(rng, shape_of(u), 40, 3))
    left = v - 0.62 - 0.34 * np.clip(u / 0.62, 0, 1.6) ** 1.5 + 0.045 * crag
    right = v - 0.95 + 0.16 * np.clip((u - 0.62) / 0.38, 0, 1) + 0.03 * crag
    front = np.maximum(left, right)
    foam = step(front + 0.03 + 0.02 * noise(rng, shape_of(u), 9, 2), 0.02) * (1 - step(front, 0.01))
    picture = mix(picture, (206, 214, 206), 0.85 * foam * step(noise(rng, shape_of(u), 7, 2) + 0.25, 0.6))
    rock = step(front, 0.006)
    stone = mix(np.zeros((*shape_of(u), 3), np.float32), (34, 34, 40), 1.0)
    stone = mix(stone, (98, 84, 76), step(ridge - 0.35, 0.5))
    stone = mix(stone, (186, 140, 104), 0.7 * step(ridge - 0.72, 0.35) * step(0.9 - v, 0.3))
    stone = mix(stone, (84, 102, 52), 0.6 * step(octaves(rng, shape_of(u), 30, 3) - 0.5, 0.3))
    stone = mix(stone, (170, 112, 40), 0.5 * step(noise(rng, shape_of(u), 11) - 0.62, 0.3))
    turned = np.float32(1.0) + np.float32(0.9) * crag
    return mix(picture, stone, rock), np.where(rock > 0.5, turned, angles).astype(np.float32)


def _boat(rng: np.random.Generator, canvas: Pixels, bow: tuple[int, int], size: int) -> None:
    """Paint an open boat with a figure in a red coat, all in strokes along its planks."""
    t = np.linspace(0, 1, _STEPS)
    sheer = 0.10 * np.sin(np.pi * t) - 0.05 * t

    def lay(x: Numbers, y: Numbers, colour: Numbers, brush: tuple[float, int, float]) -> None:
        path = np.stack(np.broadcast_arrays(x, y), axis=-1) * size + bow
        draw(rng, canvas, path[None], np.asarray(colour, float)[None], Brush(size, *brush))

    white, sea, coat = np.array((228, 222, 204)), np.array((20, 34, 50)), np.array((172, 46, 34))
    for sink in np.linspace(0, 1, 13):  # planks from the gunwale down to the keel
        x, y = 0.17 * sink + t * (1 - 0.34 * sink), sheer + 0.05 * t * 0.34 * sink + 0.19 * sink
        lay(x, y, white * (1 - 0.62 * sink) + sea * 0.62 * sink, (size * 0.026, 5, 9))
    lay(t, sheer - 0.01, np.array((150, 58, 40)), (14, 4, 9))
    for k in range(9):
        lay(
            0.52 + 0.02 * (k - 4) * (0.35 + 0.65 * t),
            -0.27 + 0.33 * t + 0.01 * abs(k - 4),
            coat * (1.12 - 0.06 * k),
            (19, 4, 12),
        )
    for k in range(5):  # the head
        skin = np.array((222, 170, 130)) * (1 - 0.09 * k)
        lay(0.52 + 0.035 * np.cos(t * np.pi + k), -0.30 - 0.018 * k + 0.01 * t, skin, (13, 3, 9))
    lay(0.46 - 0.62 * t, -0.1 + 0.33 * t, np.array((120, 84, 52)), (9, 3, 9))  # an oar
    for k in range(16):  # the broken reflection
        half, middle = rng.uniform(0.12, 0.42), 0.5 + rng.normal(0, 0.08)
        tone = np.array((150, 150, 140)) if k % 3 else np.array((120, 52, 44))
        lay(
            middle + (t * 2 - 1) * half,
            0.25 + 0.022 * k + 0.012 * np.sin(t * 6 + k),
            tone * (1 - 0.03 * k),
            (11, 3, 14),
        )
