"""Prints: a screenprint of nine flat fields and an etching whose tone is the width of its lines."""

from __future__ import annotations

import cv2
import numpy as np

from .pencil import Line, curve, pencil
from .surfaces import (
    Field,
    Pixels,
    Shape,
    blurred,
    grain,
    grid,
    lit,
    mix,
    noise,
    octaves,
    paper,
    raking,
    room_light,
    sensed,
    step,
)


def nine_signals() -> Pixels:
    """Return work 6: nine flag-like fields, screenprinted with overprints, in Display P3 values; 3000 x 3000 px."""
    rng = np.random.default_rng(1998)
    shape = (3000, 3000)
    sheet = paper(rng, shape, (240, 236, 226), 0.016).astype(np.float32)
    for ink, form in _signals():
        mask = np.zeros(shape, np.uint8)
        slip = rng.integers(-7, 8, 2)  # no print is in perfect register
        for polygon in form:
            cv2.fillPoly(mask, [((polygon + slip) * 8).astype(np.int32)], 255, cv2.LINE_AA, shift=3)
        film = mask.astype(np.float32) / 255
        film *= 0.985 - 0.45 * step(grain(rng, shape, 1.1) - 2.75, 0.5) - 0.02 * noise(rng, shape, 240)
        film = np.clip(film, 0, 1)
        sheet *= 1 - film[..., None] * (1 - np.asarray(ink, np.float32) / 255)
    graphite = np.zeros(shape, np.float32)
    pencil(rng, graphite, curve([(470, 548), (476, 538), (484, 546), (478, 558), (470, 548)]) * 5, 0.5)
    pencil(rng, graphite, curve([(488, 540), (494, 558), (502, 536), (508, 554), (516, 546), (530, 550)]) * 5, 0.5)
    for points in (
        [(80, 540), (90, 540), (84, 558)],
        [(98, 560), (106, 536)],
        [(112, 540), (120, 540), (115, 547), (121, 552), (112, 558)],
        [(128, 540), (124, 549), (129, 558), (134, 549), (128, 540)],
    ):
        pencil(rng, graphite, np.array(points, float) * 5, 0.5)
    sheet *= (1 - 0.6 * np.clip(blurred(graphite, 0.8), 0, 1) * (0.7 + 0.3 * step(grain(rng, shape, 1.3), 1.0)))[
        ..., None
    ]
    return sensed(rng, lit(sheet.astype(np.uint8), room_light(shape, (0.3, 0.3), 0.12)), 1.0)


def ebb_second_state() -> Pixels:
    """Return work 11: an etching of a stranded hull, tone by the width of bitten lines; 3200 x 2400 px."""
    rng = np.random.default_rng(1983)
    shape = (2400, 3200)
    sheet = paper(rng, shape, (234, 226, 206), 0.02)
    plate = (1800, 2500)
    tone, bend = _stranded(rng, (450, 625))
    u, v = grid(plate)
    flow = np.asarray(cv2.resize(bend, (plate[1], plate[0]), interpolation=cv2.INTER_CUBIC), np.float32)
    dark = np.asarray(cv2.resize(tone, (plate[1], plate[0]), interpolation=cv2.INTER_CUBIC), np.float32)
    wobble = 0.35 * noise(rng, plate, 24, 3)
    ink = np.zeros(plate, np.float32)
    for turn, reach in (
        (v * 225 + flow * 9, 0.0),
        (v * 150 + u * 190 - flow * 5, 0.42),
        (v * 170 - u * 175 + flow * 4, 0.68),
    ):
        line = 0.5 + 0.5 * np.cos(2 * np.pi * (turn + wobble * 0.25))
        ink = np.maximum(ink, step(line - 1 + np.clip((dark - reach) / (1 - reach), 0, 1) * 0.93, 0.22))
    ink *= 0.9 - 0.3 * step(grain(rng, plate, 1.0) - 1.4, 0.8)  # paper shows through where the ink lifted
    tint = np.clip(
        0.10 + 0.05 * noise(rng, plate, 200) + 0.03 * grain(rng, plate, 0.9) + 0.28 * dark * step(dark - 0.5, 0.3), 0, 1
    )
    x, y = 350, 240
    printed = sheet[y : y + plate[0], x : x + plate[1]].astype(np.float32)
    printed = mix(printed, (58, 48, 44), tint)
    printed = mix(printed, (30, 25, 26), ink)
    sheet[y : y + plate[0], x : x + plate[1]] = printed.astype(np.uint8)
    sunk = np.zeros(shape, np.float32)
    sunk[y : y + plate[0], x : x + plate[1]] = -9
    graphite = np.zeros(shape, np.float32)
    pencil(rng, graphite, curve([(500, 424), (507, 412), (515, 421), (508, 436), (500, 424)]) * 5, 0.5)
    pencil(rng, graphite, curve([(520, 414), (527, 436), (537, 411), (543, 430), (552, 421), (568, 426)]) * 5, 0.5)
    marks = np.asarray(1 - 0.6 * np.clip(blurred(graphite, 0.8), 0, 1), np.float32)
    sheet = lit(sheet, np.asarray(raking(blurred(sunk, 2.5), 0.4) * marks, np.float32))
    return sensed(rng, lit(sheet, room_light(shape, (0.2, 0.1), 0.2)))


def _signals() -> list[tuple[tuple[int, int, int], list[Line]]]:
    """Return the inks (Display P3) and, for each, its polygons on the 3000 x 3000 sheet."""
    side, gap, left = 720, 90, 330
    cell = [(left + (side + gap) * (k % 3), 250 + (side + gap) * (k // 3)) for k in range(9)]

    def box(k: int, a: float, b: float, c: float, d: float) -> Line:
        x, y = cell[k]
        return np.array([(x + side * p, y + side * q) for p, q in ((a, b), (c, b), (c, d), (a, d))], float)

    def shape(k: int, *corners: tuple[float, float]) -> Line:
        return np.array([(cell[k][0] + side * p, cell[k][1] + side * q) for p, q in corners], float)

    turn = np.linspace(0, 2 * np.pi, 180)
    disc = shape(4, *[(0.5 + 0.34 * float(np.cos(t)), 0.5 + 0.34 * float(np.sin(t))) for t in turn])
    red = [
        box(0, 0, 0, 0.5, 1),
        box(2, 0, 0, 1, 0.34),
        shape(3, (0, 0), (1, 0), (0, 1)),
        disc,
        box(7, 0, 0.36, 1, 0.64),
        shape(8, (0, 0), (1, 1), (0, 1)),
    ]
    yellow = [
        box(0, 0.4, 0, 1, 1),
        box(1, 0, 0, 1, 1),
        box(4, 0, 0, 1, 0.56),
        shape(5, (0, 0.5), (0.5, 0), (1, 0.5), (0.5, 1)),
        shape(8, (0, 0), (1, 0), (1, 1)),
    ]
    blue = [
        box(1, 0.3, 0.3, 0.7, 0.7),
        box(2, 0, 0.66, 1, 1),
        box(5, 0, 0, 0.5, 1),
        *[box(6, k / 5, j / 5, (k + 1) / 5, (j + 1) / 5) for k in range(5) for j in range(5) if (k + j) % 2 == 0],
        box(7, 0.36, 0, 0.64, 1),
    ]
    green = [shape(3, (1, 0), (1, 1), (0, 1)), box(6, 0, 0.4, 1, 0.6)]
    return [((255, 214, 0), yellow), ((240, 40, 28), red), ((0, 168, 84), green), ((10, 62, 190), blue)]


def _stranded(rng: np.random.Generator, shape: Shape) -> tuple[Field, Field]:
    """Return tone (0-1) and the bend of the lines for a hull on a drained shore."""
    u, v = grid(shape)
    u = u * np.float32(shape[1] / shape[0])
    sky = 0.18 + 0.34 * step(octaves(rng, shape, 60, 3, stretch=3) - 0.1, 0.9) * step(0.40 - v, 0.3)
    ripple = np.sin(34 * np.sqrt(np.maximum(v - 0.42, 0)) * 2.2 + 2.2 * octaves(rng, shape, 50, 3, stretch=3))
    shore = 0.30 + 0.22 * ripple + 0.16 * step(v - 0.8, 0.5)
    tone = np.where(v < 0.42, sky, shore)
    bend = np.where(v < 0.42, 0.5 * noise(rng, shape, 90, 2), 0.8 * ripple * (v - 0.4)).astype(np.float32)
    x, y = (u - 0.70) / 0.40, v - 0.50 - 0.08 * (u - 0.70)
    sheer = -0.10 * x * x
    hull = (
        step(1 - np.abs(x), 0.02) * step(y - sheer, 0.006) * step(0.21 * np.sqrt(np.clip(1 - x * x, 0, 1)) - y, 0.006)
    )
    plank = 0.55 + 0.28 * x + 0.22 * (np.sin((y - sheer * 0.6) * 150) > 0.75)
    tone = tone + hull * (plank - tone)
    bend = np.where(hull > 0.5, 1.8 * sheer * 8, bend).astype(np.float32)
    gunwale = np.exp(-(((y - sheer + 0.004) / 0.007) ** 2)) * step(1.02 - np.abs(x), 0.02)
    shade = np.exp(-(((u - 0.80) / 0.42) ** 2 + ((v - 0.735) / 0.035) ** 2))
    mast = step(0.006 - np.abs(u - 0.72 + 0.10 * (v - 0.45)), 0.003) * step(0.46 - v, 0.01) * step(v - 0.07, 0.01)
    stay = step(0.0022 - np.abs((u - 0.76) - (v - 0.08) * 0.72), 0.002) * step(v - 0.08, 0.01) * step(0.44 - v, 0.01)
    tone = np.maximum(tone, np.maximum.reduce([0.95 * gunwale, 0.85 * shade * (1 - hull), 0.98 * mast, 0.8 * stay]))
    for k in range(7):  # mooring posts, larger as they come nearer
        px, py, size = 1.06 + 0.05 * k, 0.47 + 0.012 * k * k, 0.05 + 0.022 * k
        post = step(0.09 * size + 0.004 - np.abs(u - px), 0.004) * step(py - v, 0.006) * step(v - py + size, 0.006)
        tone = np.maximum(tone, (0.7 + 0.28 * step(u - px, 0.01)) * post)
    return np.clip(tone, 0.03, 0.98).astype(np.float32), bend
