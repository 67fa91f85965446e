"""Body colour and chalk: snow on an allotment, dune grass at evening, a slipway on an old postcard."""

from __future__ import annotations

import numpy as np

from .strokes import Brush, View, brush_on, busy, draw, primed, scatter, varnished
from .surfaces import (
    Field,
    Pixels,
    Shape,
    grain,
    grid,
    lit,
    mix,
    noise,
    octaves,
    raking,
    room_light,
    sensed,
    step,
)


def winter_allotment() -> Pixels:
    """Return work 10, full bleed: gouache of snow on kale rows and a shed; 2400 x 1700 px."""
    rng = np.random.default_rng(1973)
    shape = (1700, 2400)
    guide = _allotment(rng, (425, 600))
    view = View(guide, 0.5 * octaves(rng, (425, 600), 80, 3)).edged(14)
    canvas = primed(shape, (178, 170, 158))
    brush_on(rng, canvas, view, scatter(rng, shape, 34), Brush(120, 44, 8, jitter=5, load=0.4))
    brush_on(rng, canvas, view, scatter(rng, shape, 15), Brush(42, 16, 4, jitter=5, load=0.4))
    brush_on(rng, canvas, view, scatter(rng, shape, 9, 0.25 + busy(guide)), Brush(20, 8, 3, jitter=5, load=0.3))
    _stalks(rng, canvas)
    light = raking(grain(rng, shape, 1.7), 0.05)
    return sensed(rng, lit(lit(varnished(canvas, strength=0.003), light), room_light(shape, (0.2, 0.2), 0.15)))


def marram_evening() -> Pixels:
    """Return a pastel of dune grass, full bleed: thousands of single blades; 3000 x 2000 px."""
    rng = np.random.default_rng(1976)
    shape = (2000, 3000)
    u, v = grid((400, 600))
    dune = v - 0.42 - 0.10 * np.sin(u * 5 + 0.6)
    guide = mix(np.zeros((400, 600, 3), np.float32), (222, 168, 122), 1.0)
    guide = mix(guide, (116, 122, 148), step(0.22 - v, 0.36))
    guide = mix(guide, (206, 178, 138), step(dune, 0.01))
    guide = mix(guide, (126, 104, 92), step(dune - 0.22 + 0.1 * octaves(rng, (400, 600), 60, 3), 0.4))
    canvas = primed(shape, (128, 112, 98))
    brush_on(
        rng,
        canvas,
        View(guide, 0.4 * noise(rng, (400, 600), 90)),
        scatter(rng, shape, 20),
        Brush(110, 36, 9, jitter=10, load=0.6),
    )
    count = 9000
    foot = np.sort(rng.uniform(0, 1, count) ** 0.8) * 1.25 * 1200 + 900
    x = rng.uniform(-60, 3060, count)
    tall = (90 + (foot - 880) * 0.30) * rng.uniform(0.5, 1.2, count)
    t = np.linspace(0, 1, 7)
    lean = rng.normal(0.35, 0.28, count)
    paths = np.stack(
        [
            x[:, None] + (lean * tall)[:, None] * t**2 * 1.3,
            foot[:, None] - tall[:, None] * t * (1 - 0.22 * np.abs(lean)[:, None] * t),
        ],
        axis=-1,
    )
    palette = np.array(
        [(92, 96, 54), (142, 140, 78), (206, 188, 112), (62, 66, 54), (228, 206, 150), (150, 96, 66)], float
    )
    draw(rng, canvas, paths, palette[rng.integers(0, 6, count)], Brush(200, 6, 2, jitter=12, load=0.5))
    chalk = 1 + 0.10 * np.clip(grain(rng, shape, 1.2), -2, 2)  # pastel catches on the tooth
    return sensed(
        rng,
        lit(lit(varnished(canvas, strength=0.004), np.asarray(chalk, np.float32)), room_light(shape, (0.8, 0.2), 0.3)),
    )


def old_slip() -> Pixels:
    """Return work 9 as an old web copy: a gouache of boats on a slipway; 1200 x 800 px, too small for a frame."""
    rng = np.random.default_rng(1968)
    shape = (800, 1200)
    u, v = grid((400, 600))
    guide = mix(np.zeros((400, 600, 3), np.float32), (186, 200, 204), 1.0)
    guide = mix(guide, (104, 138, 150), step(v - 0.40, 0.01))
    guide = mix(guide, (160, 148, 128), step(v - 0.86 + 0.62 * u, 0.01))
    guide = mix(guide, (116, 104, 92), step(np.sin((v + 0.62 * u) * 60) - 0.75, 0.2) * step(v - 0.86 + 0.62 * u, 0.01))
    guide = mix(
        guide,
        (120, 92, 78),
        step(0.40 - v, 0.01) * step(v - 0.30 - 0.05 * np.floor(u * 7 % 2), 0.01) * step(0.45 - u, 0.01),
    )
    for x, y, colour in ((0.56, 0.66, (38, 70, 106)), (0.74, 0.58, (170, 62, 46)), (0.84, 0.78, (222, 214, 196))):
        hull = step(1 - ((u - x) / 0.10) ** 2 - np.maximum((v - y) / 0.09, 0) ** 2, 0.1) * step(
            v - y + 0.25 * (u - x) ** 2 * 4, 0.012
        )
        guide = mix(guide, (70, 62, 60), np.exp(-(((u - x - 0.01) / 0.10) ** 2 + ((v - y - 0.09) / 0.022) ** 2)))
        guide = mix(guide, colour, hull)
    canvas = primed(shape, (200, 190, 170))
    view = View(guide, 0.4 * noise(rng, (400, 600), 60)).edged(14)
    brush_on(rng, canvas, view, scatter(rng, shape, 9), Brush(34, 11, 4, jitter=5, load=0.4))
    brush_on(rng, canvas, view, scatter(rng, shape, 5), Brush(12, 5, 2, jitter=5, load=0.3))
    t = np.linspace(0, 1, 7)
    for x, y, reach in ((684, 524, 250), (900, 462, 230), (1020, 620, 240)):  # the masts
        mast = np.stack([x + 6 * t, y - reach * t], axis=-1)[None]
        draw(
            rng,
            canvas,
            mast,
            np.array([(92, 70, 54)], float),
            Brush(reach, 5, 2, jitter=4),
        )
    return sensed(rng, lit(varnished(canvas, strength=0.003), room_light(shape, (0.5, 0.4), 0.3)), 2.5)


def _allotment(rng: np.random.Generator, shape: Shape) -> Field:
    u, v = grid(shape)
    drift = octaves(rng, shape, 70, 3, stretch=2)
    guide = mix(np.zeros((*shape, 3), np.float32), (196, 192, 194), 1.0)
    guide = mix(guide, (226, 206, 190), np.exp(-(((v - 0.33) / 0.10) ** 2)))
    guide = mix(guide, (92, 98, 110), step(v - 0.30 + 0.05 * np.abs(drift), 0.02) * step(0.37 - v, 0.02))
    guide = mix(guide, (232, 232, 230), step(v - 0.36 - 0.01 * drift, 0.01))
    away = 1 / np.maximum(v - 0.28, 0.03)
    furrow = np.sin((u - 0.38) * away * 13)
    guide = mix(guide, (168, 176, 196), 0.75 * step(furrow - 0.1, 0.9) * step(v - 0.40, 0.06))
    guide = mix(guide, (112, 92, 80), 0.7 * step(furrow - 0.72 + 0.2 * drift, 0.2) * step(v - 0.42, 0.06))
    shed = step(0.105 - np.abs(u - 0.76), 0.004) * step(v - 0.25, 0.004) * step(0.47 - v, 0.004)
    board = 0.5 + 0.5 * np.sin(u * 420)
    guide = mix(guide, mix(mix(guide, (52, 92, 96), 1.0), (34, 62, 70), board), shed)
    guide = mix(
        guide, (206, 140, 60), step(0.024 - np.abs(u - 0.72), 0.003) * step(v - 0.31, 0.004) * step(0.37 - v, 0.004)
    )
    guide = mix(
        guide, (30, 34, 40), step(0.022 - np.abs(u - 0.81), 0.003) * step(v - 0.32, 0.004) * step(0.47 - v, 0.004)
    )
    roof = (
        step(v - 0.165 - 0.55 * np.abs(u - 0.76), 0.004)
        * step(0.265 - v, 0.004)
        * step(0.135 - np.abs(u - 0.76), 0.004)
    )
    return mix(
        mix(guide, (244, 244, 244), roof),
        (128, 136, 160),
        np.exp(-(((u - 0.79) / 0.14) ** 2 + ((v - 0.485) / 0.012) ** 2)),
    )


def _stalks(rng: np.random.Generator, canvas: Pixels) -> None:
    """Plant what is left of the kale along the furrows, small far off, tall near by."""
    height, width = int(canvas.shape[0]), int(canvas.shape[1])
    t = np.linspace(0, 1, 7)
    for v in np.sort(rng.uniform(0.44, 1.04, 420)):
        size = 260 * (v - 0.34)
        u = 0.38 + (rng.integers(-8, 9) + 0.12 + rng.normal(0, 0.03)) * 2 * np.pi / 13 * (v - 0.28)
        x, y = u * width, v * height
        for k in range(5):
            lean = rng.normal(0, 0.4)
            path = np.stack([x + size * lean * t * t, y - size * t * rng.uniform(0.6, 1.0)], axis=-1)
            tint = np.array([(58, 74, 62), (96, 112, 84), (74, 58, 54), (224, 228, 230), (120, 128, 96)][k], float)
            draw(rng, canvas, path[None], tint[None], Brush(size, max(size * 0.07, 3), 2, jitter=8, load=0.4))
