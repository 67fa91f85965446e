"""Works put together from many small parts: a mosaic floor and a tapestry."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from .surfaces import (
    Field,
    Pixels,
    Shape,
    grain,
    grid,
    lit,
    mix,
    noise,
    raking,
    room_light,
    sensed,
    step,
)


def ferry_hall_floor() -> Pixels:
    """Return work 5, full bleed: a mosaic of waves, a gull and two fish; 3600 x 2400 px."""
    rng = np.random.default_rng(2009)
    shape = (2400, 3600)
    seeds = _laid(rng, shape, 30)
    labels, gap = _tesserae(shape, seeds)
    design = _sea_design(rng, (600, 900))
    spots = seeds // 4
    drawn = design[np.clip(spots[:, 1], 0, 599), np.clip(spots[:, 0], 0, 899)]
    tints = drawn + rng.normal(0, 11, (len(seeds), 1)) + rng.normal(0, 5, (len(seeds), 3))
    lean = rng.normal(0, 0.09, len(seeds)).astype(np.float32)
    colours = np.clip(tints, 12, 250).astype(np.uint8)[labels]
    joint = gap < 1.9
    colours[joint] = (146, 138, 124)
    dome = np.minimum(gap, 6) * 1.3 + 0.4 * grain(rng, shape, 1.1)
    dome = np.where(joint, 0.8 * grain(rng, shape, 1.6), dome).astype(np.float32)
    light = raking(dome, 0.14) + np.where(joint, 0, lean[labels] + 0.05 * noise(rng, shape, 7))
    picture = lit(np.asarray(colours, np.uint8), np.clip(light, 0.4, 1.7).astype(np.float32))
    return sensed(rng, lit(picture, room_light(shape, (0.7, 0.15), 0.3)))


def nets_drying() -> Pixels:
    """Return work 4, full bleed: a weft-faced tapestry of nets and floats; 3600 x 2700 px."""
    rng = np.random.default_rng(2003)
    rib, pick = 12, 6  # px between warps and between weft picks
    cells = (2700 // pick, 3600 // rib)
    design = _net_design(rng, cells)
    dye = rng.normal(0, 5, (cells[0], 1, 1)) + rng.normal(0, 4, (*cells, 1)) + 8 * noise(rng, cells, 30, 0.7)[..., None]
    yarn = np.clip(design + dye, 0, 255).astype(np.uint8)
    cloth = np.asarray(cv2.resize(yarn, (3600, 2700), interpolation=cv2.INTER_NEAREST), np.uint8)
    shape = (2700, 3600)
    y, x = np.mgrid[0 : 2 * pick * 32, 0 : rib * 64].astype(np.float32)
    odd = (np.floor(y / pick) % 2) * (rib / 2)
    bead = np.sqrt(np.abs(np.sin(np.pi * (y % pick + 0.5) / pick))) * (
        0.55 + 0.45 * np.abs(np.sin(np.pi * (x + odd) / rib))
    )
    twist = 0.16 * np.sin((x * 1.0 + y * 2.2) * 1.15)  # the two plies of the yarn
    profile = np.tile((0.42 + 0.72 * bead + twist * bead).astype(np.float32), (8, 5))[: shape[0], : shape[1]]
    sag = raking(noise(rng, shape, 260) * 26 + noise(rng, shape, 60, 4) * 5, 0.14)
    hairs = 1 + 0.06 * grain(rng, shape, 0.8)
    cloth = np.asarray(cv2.GaussianBlur(lit(cloth, profile * sag * hairs), (3, 3), 0.6), np.uint8)
    return sensed(rng, lit(cloth, room_light(shape, (0.5, 0.05), 0.3)), 1.2)


def _laid(rng: np.random.Generator, shape: Shape, pitch: int) -> NDArray[np.int64]:
    """Return where the stones' middles lie (x, y): rows that rise and fall with the waves."""
    rows, columns = shape[0] // pitch + 10, shape[1] // pitch + 2
    y, x = np.mgrid[-5 : rows - 5, 0:columns].astype(np.float64) * pitch
    x = x + (np.arange(rows) % 2)[:, None] * pitch / 2 + rng.normal(0, pitch * 0.09, x.shape)
    y = y + 70 * np.sin(x / 330 + y / 500) + 26 * np.sin(x / 140 - y / 210) + rng.normal(0, pitch * 0.06, y.shape)
    spots = np.stack([x, y], axis=-1).reshape(-1, 2).astype(np.int64)
    inside = (spots >= 0).all(axis=1) & (spots[:, 0] < shape[1]) & (spots[:, 1] < shape[0])
    return np.unique(spots[inside], axis=0)


def _tesserae(shape: Shape, seeds: NDArray[np.int64]) -> tuple[NDArray[np.int64], Field]:
    """Return which stone each pixel belongs to and how far it lies from the joint, in pixels."""
    empty = np.full(shape, 255, np.uint8)
    empty[seeds[:, 1], seeds[:, 0]] = 0
    _, cells = cv2.distanceTransformWithLabels(empty, cv2.DIST_L2, 5, labelType=cv2.DIST_LABEL_PIXEL)
    order = np.zeros(int(cells.max()) + 1, np.int64)
    order[cells[seeds[:, 1], seeds[:, 0]]] = np.arange(len(seeds))
    same = np.full(shape, 255, np.uint8)
    same[:, 1:][cells[:, 1:] != cells[:, :-1]] = 0
    same[1:][cells[1:] != cells[:-1]] = 0
    return order[cells], np.asarray(cv2.distanceTransform(same, cv2.DIST_L2, 3), np.float32)


def _sea_design(rng: np.random.Generator, shape: Shape) -> Field:
    u, v = grid(shape)
    wave = np.sin(u * 14 + v * 5 + 0.6 * noise(rng, shape, 120)) * 0.035 + np.sin(u * 33 - v * 9) * 0.012
    band = (v + wave) * 9
    blues = np.array(
        [(206, 190, 156), (150, 184, 178), (72, 138, 150), (34, 92, 120), (22, 58, 92), (26, 44, 72)], np.float32
    )
    level = np.clip(band * 0.75 - 1.2, 0, 4.999)
    picture = blues[level.astype(int)]
    crest = step(0.14 - np.abs(band % 1.0 - 0.5), 0.05) * step(v - 0.2, 0.1)
    picture = mix(picture, (236, 232, 214), 0.85 * crest)
    art = np.zeros(shape, np.uint8)
    gull = np.array(
        [
            (470, 150),
            (560, 96),
            (655, 84),
            (600, 122),
            (640, 128),
            (730, 92),
            (840, 110),
            (740, 132),
            (668, 168),
            (606, 190),
            (520, 186),
            (560, 166),
        ]
    )
    cv2.polylines(art, [gull.astype(np.int32)], True, 6, 13)
    cv2.fillPoly(art, [gull.astype(np.int32)], 1)
    cv2.fillPoly(art, [gull[[6, 7, 8, 9]].astype(np.int32)], 7)
    cv2.fillPoly(art, [np.array([(470, 150), (500, 138), (506, 162)], np.int32)], 2)
    for x, y, w in ((250, 430, 120), (560, 492, 92)):
        cv2.ellipse(art, (x, y), (w, int(w * 0.36)), -8, 0, 360, 2, -1)
        cv2.fillPoly(
            art,
            [
                np.array(
                    [(x - w + 12, y + 12), (x - w - 58, y - 30), (x - w - 40, y + 18), (x - w - 52, y + 62)], np.int32
                )
            ],
            3,
        )
        cv2.ellipse(art, (x + 6, y - 8), (w - 26, int(w * 0.16)), -8, 0, 360, 4, -1)
        cv2.circle(art, (x + int(w * 0.68), y - 20), 9, 5, -1)
    tints = {
        1: (246, 240, 226),
        2: (206, 92, 46),
        3: (170, 58, 40),
        4: (236, 170, 74),
        5: (24, 24, 30),
        6: (74, 84, 96),
        7: (150, 158, 164),
    }
    for code, tint in tints.items():
        picture[art == code] = tint
    border = np.minimum(np.minimum(u * 1.5, (1 - u) * 1.5), np.minimum(v, 1 - v))
    key = ((u * 60).astype(int) + (v * 40).astype(int)) % 2
    picture = mix(picture, (226, 206, 160), (border < 0.05).astype(np.float32))
    return mix(picture, (132, 44, 38), ((border < 0.038) & (border > 0.014) & (key == 0)).astype(np.float32))


def _net_design(rng: np.random.Generator, cells: Shape) -> Field:
    u, v = grid(cells)
    u = u * np.float32(4 / 3)
    sky = np.array(
        [(206, 190, 158), (192, 160, 118), (170, 118, 82), (118, 74, 66), (62, 56, 72), (34, 44, 66)], np.float32
    )
    hatch = 0.5 * ((np.arange(cells[0]) // 2 % 2)[:, None] - 0.5) * 0.5  # colours pass into each other in hatched picks
    level = np.clip(v * 6.2 + 0.35 * noise(rng, cells, 90, 1.2) + hatch, 0, 5.999)
    picture = sky[level.astype(int)]
    sag = 0.07 * np.cos((u % 0.444 - 0.222) * 7.07) * (v - 0.1)
    drop = v - 0.15 - sag
    hang = (drop > 0) & (v < 0.80 + 0.05 * np.sin(u * 7))
    mesh = np.minimum(np.abs((u * 13 + drop * 15) % 1 - 0.5), np.abs((u * 13 - drop * 15) % 1 - 0.5))
    picture = mix(picture, (36, 70, 78), ((mesh < 0.085) & hang).astype(np.float32))
    picture = mix(picture, (220, 208, 176), ((mesh < 0.028) & hang).astype(np.float32))
    picture = mix(picture, (58, 40, 36), (np.abs(drop) < 0.012).astype(np.float32))
    picture = mix(picture, (58, 40, 36), ((np.abs(u % 0.444 - 0.0) < 0.014) & (v > 0.06)).astype(np.float32))
    for k in range(12):
        x, y = 0.06 + 0.111 * k, 0.15 + 0.07 * np.cos(((0.06 + 0.111 * k) % 0.444 - 0.222) * 7.07) * 0.05
        far = np.hypot(u - x, (v - y - 0.016) * 0.75)
        picture = mix(picture, (186, 60, 40) if k % 3 else (232, 170, 66), (far < 0.030).astype(np.float32))
        picture = mix(picture, (238, 216, 180), (far < 0.010).astype(np.float32))
    edge = np.minimum(np.minimum(u, 4 / 3 - u), np.minimum(v, 1 - v))
    picture = mix(picture, (96, 44, 42), (edge < 0.022).astype(np.float32))
    return mix(picture, (214, 186, 120), ((edge > 0.009) & (edge < 0.014)).astype(np.float32))
