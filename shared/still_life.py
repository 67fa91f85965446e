"""An oil painting, wide: jug, lemons and loaf on a checked cloth by a window."""

from __future__ import annotations

import numpy as np

from .strokes import Brush, View, brush_on, busy, primed, scatter, signed, varnished
from .surfaces import (
    Field,
    Pixels,
    Shape,
    grid,
    lit,
    mix,
    octaves,
    room_light,
    sensed,
    step,
    weave,
)

Oval = tuple[float, float, float, float]  # middle x and y, half width and half height
Colour = tuple[int, int, int]


def kestrel_kitchen() -> Pixels:
    """Return work 2, full bleed: jug, lemons and loaf on a checked cloth by a window; 3600 x 2700 px."""
    rng = np.random.default_rng(1987)
    shape = (2700, 3600)
    view = _table(rng, (540, 720)).edged()
    canvas = primed(shape, (120, 92, 66))
    brush_on(rng, canvas, view, scatter(rng, shape, 60), Brush(250, 90, 17, jitter=9))
    edges = busy(view.guide)
    brush_on(rng, canvas, view, scatter(rng, shape, 36, 0.35 + edges), Brush(120, 40, 9, jitter=10))
    brush_on(rng, canvas, view, scatter(rng, shape, 19, edges), Brush(56, 18, 5, jitter=8))
    signed(canvas, (3120, 2560), 150, (70, 44, 40))
    work = varnished(canvas, weave(rng, shape, 6), strength=0.008, weave_depth=12)
    return sensed(rng, lit(work, room_light(shape, (0.15, 0.25), 0.2)))


def _table(rng: np.random.Generator, shape: Shape) -> View:
    u, v = grid(shape)
    u = u * np.float32(4 / 3)  # square units from here on: 1 is the picture's height
    mottle = octaves(rng, shape, 90, 4)
    picture = mix(np.zeros((*shape, 3), np.float32), (168, 142, 84), 1.0)
    picture = mix(picture, (86, 88, 72), step(u - 0.75 + 0.1 * mottle, 1.1))
    picture = mix(picture, (58, 52, 50), 0.7 * step(u - 1.12 + 0.1 * mottle, 0.3))
    angles = np.asarray(0.9 * mottle + 0.6, np.float32)
    picture = _window(picture, u, v)
    picture, angles = _cloth(picture, angles, u, v)
    picture = _pan(picture, u, v)
    for x, y, rx, ry in ((0.83, 0.79, 0.13, 0.03), (0.62, 0.80, 0.11, 0.025), (1.16, 0.86, 0.13, 0.03)):
        shade = np.exp(-(((u - x - rx * 0.6) / (rx * 1.25)) ** 2 + ((v - y) / (ry * 1.6)) ** 2) * 1.3)
        picture = mix(picture, (58, 62, 92), 0.75 * shade)
    picture, angles = _jug(picture, angles, u, v)
    picture = mix(picture, (62, 34, 34), step(1 - np.hypot((u - 0.87) / 0.187, (v - 0.715) / 0.036), 0.1))
    for x, y in ((0.80, 0.672), (0.93, 0.665), (0.865, 0.635), (0.74, 0.69), (0.99, 0.695)):
        picture, angles = _ball((picture, angles), u, v, (x, y, 0.066, 0.054), (232, 190, 38))
    picture, angles = _bowl(picture, angles, u, v)
    picture, angles = _ball((picture, angles), u, v, (0.60, 0.855, 0.062, 0.05), (236, 196, 48))
    picture, angles = _ball((picture, angles), u, v, (1.14, 0.83, 0.15, 0.075), (176, 112, 56))
    for k in range(4):  # the cuts in the loaf's crust
        cut = (
            np.exp(-((((u - 1.05 - 0.055 * k) + 0.35 * (v - 0.8)) / 0.014) ** 2))
            * step(0.84 - v, 0.03)
            * step(v - 0.775, 0.02)
        )
        picture = mix(picture, (238, 206, 150), np.clip(cut, 0, 1))
    return View(picture, angles)


def _pan(picture: Field, u: Field, v: Field) -> Field:
    """Hang a copper pan on the wall by its long handle."""
    x, y = u - 1.07, v - 0.34
    across = np.hypot(x, y)
    picture = mix(picture, (44, 38, 38), 0.6 * np.exp(-((np.hypot(x - 0.03, y - 0.025) / 0.14) ** 4)))
    picture = mix(picture, (70, 46, 36), step(0.013 - np.abs(x), 0.006) * step(0.34 - v, 0.01) * step(v - 0.05, 0.01))
    picture = mix(picture, (120, 58, 36), step(0.13 - across, 0.008))
    picture = mix(
        picture, (208, 122, 76), step(0.13 - across, 0.008) * step(across - 0.112, 0.008) * step(0.06 - x - y, 0.2)
    )
    sheen = np.exp(-((np.sin(np.arctan2(y, x) - 0.8) / 0.4) ** 2)) * step(0.105 - across, 0.02)
    return mix(picture, (214, 138, 92), 0.8 * sheen)


def _window(picture: Field, u: Field, v: Field) -> Field:
    inside = step(u - 0.1, 0.01) * step(0.42 - u, 0.01) * step(v - 0.05, 0.01) * step(0.46 - v, 0.01)
    frame = step(u - 0.075, 0.01) * step(0.445 - u, 0.01) * step(v - 0.025, 0.01) * step(0.5 - v, 0.01)
    picture = mix(picture, (206, 196, 168), frame)
    view = mix(picture, (196, 216, 226), 1.0)
    view = mix(view, (118, 150, 160), step(v - 0.29, 0.02))
    view = mix(view, (112, 132, 84), step(v - 0.36 - 0.06 * np.sin(u * 9), 0.02))
    picture = mix(picture, view, inside)
    bars = np.maximum(step(0.008 - np.abs(u - 0.26), 0.008), step(0.008 - np.abs(v - 0.25), 0.008)) * inside
    return mix(picture, (150, 136, 110), bars)


def _cloth(picture: Field, angles: Field, u: Field, v: Field) -> tuple[Field, Field]:
    edge = 0.615
    table = step(v - edge, 0.008)
    depth = 0.5 / np.maximum(v - edge + 0.32, 0.05)
    across, away = (u - 0.667) * depth * 9, depth * 9
    check = 0.5 * (np.sin(across * np.pi) > 0.35) + 0.5 * (np.sin(away * np.pi * 2) > 0.35)
    cloth = mix(picture, (236, 230, 214), 1.0)
    cloth = mix(cloth, (72, 98, 156), 0.75 * check.astype(np.float32))
    cloth = mix(cloth, (150, 140, 140), 0.55 * step(u - 0.95, 0.9))
    fold = np.exp(-(((u - 0.34 - 0.4 * (v - edge)) / 0.02) ** 2)) + np.exp(
        -(((u - 1.24 - 0.2 * (v - edge)) / 0.02) ** 2)
    )
    cloth = mix(cloth, (126, 132, 158), 0.5 * np.clip(fold, 0, 1))
    return mix(picture, cloth, table), np.where(table > 0.5, 0.12 * np.sin(9 * u), angles).astype(np.float32)


def _jug(picture: Field, angles: Field, u: Field, v: Field) -> tuple[Field, Field]:
    heights = np.array([0.30, 0.33, 0.40, 0.46, 0.55, 0.66, 0.75, 0.80])
    radii = np.array([0.084, 0.074, 0.062, 0.070, 0.118, 0.136, 0.112, 0.078])
    radius = np.interp(v, heights, radii, left=0.001, right=0.001).astype(np.float32)
    side = (u - 0.60) / radius
    body = step(1 - np.abs(side), 0.05) * step(v - 0.30, 0.006) * step(0.805 - v - 0.02 * side * side, 0.006)
    ring = np.hypot((u - 0.71) / 0.075, (v - 0.47) / 0.115)
    handle = step(0.2 - np.abs(ring - 1), 0.06) * step(u - 0.655, 0.01)
    picture = mix(picture, (30, 52, 98), handle)
    glaze = mix(picture, (40, 78, 138), 1.0)
    glaze = mix(glaze, (16, 28, 62), step(side - 0.25, 1.1))
    glaze = mix(glaze, (120, 164, 206), np.exp(-(((side + 0.5) / 0.22) ** 2)))
    glaze = mix(glaze, (244, 248, 250), np.exp(-(((side + 0.52) / 0.09) ** 2 + ((v - 0.58) / 0.045) ** 2)))
    band = step(0.007 - np.abs(np.abs(v - 0.645 - 0.012 * side * side) - 0.02), 0.006)
    glaze = mix(glaze, (222, 214, 190), 0.8 * band)
    mouth = step(1 - np.hypot((u - 0.60) / 0.078, (v - 0.305) / 0.02), 0.15)
    picture = mix(mix(picture, glaze, body), (18, 24, 48), mouth)
    return picture, np.where(body > 0.5, np.pi / 2 + 0.9 * np.clip(side, -1, 1) * np.sign(0.6 - v), angles).astype(
        np.float32
    )


def _bowl(picture: Field, angles: Field, u: Field, v: Field) -> tuple[Field, Field]:
    x, y, rx, ry = 0.87, 0.715, 0.19, 0.125
    side = (u - x) / rx
    body = step(1 - np.hypot(side, (v - y) / ry), 0.03) * step(
        v - y - 0.022 * np.sqrt(np.clip(1 - side * side, 0, 1)), 0.006
    )
    clay = mix(picture, (176, 92, 62), 1.0)
    clay = mix(clay, (70, 34, 34), step(side - 0.1, 1.2))
    clay = mix(clay, (232, 168, 122), 0.8 * np.exp(-(((side + 0.55) / 0.16) ** 2)))
    rim = step(0.05 - np.abs(v - y - 0.022 * np.sqrt(np.clip(1 - side * side, 0, 1)) - 0.006) * 6, 0.03) * step(
        1 - np.abs(side), 0.02
    )
    picture = mix(mix(picture, clay, body), (224, 190, 160), 0.9 * rim * step(0.6 - side, 1.0))
    return picture, np.where(body > 0.5, 0.55 * side, angles).astype(np.float32)


def _ball(view: tuple[Field, Field], u: Field, v: Field, oval: Oval, colour: Colour) -> tuple[Field, Field]:
    """Shade an ellipsoid lit from the upper left, with a highlight and light thrown back from the cloth."""
    picture, angles = view
    x, y = (u - oval[0]) / oval[2], (v - oval[1]) / oval[3]
    inside = step(1 - np.hypot(x, y), 0.06)
    z = np.sqrt(np.clip(1 - x * x - y * y, 0, 1))
    light = np.clip(-0.55 * x - 0.5 * y + 0.65 * z, 0, 1)
    body = mix(picture, (colour[0] * 0.34, colour[1] * 0.34, colour[2] * 0.34), 1.0)
    body = mix(body, colour, np.clip(light * 1.25, 0, 1))
    body = mix(body, (255, 250, 226), np.clip((light - 0.9) * 7, 0, 0.85))
    body = mix(body, (150, 150, 160), 0.3 * np.clip(y - 0.55, 0, 1))
    return mix(picture, body, inside), np.where(
        inside > 0.5, np.arctan(-x * y / (1.2 - np.minimum(x * x, 1))), angles
    ).astype(np.float32)
