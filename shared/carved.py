"""Works in relief: a bronze roundel of fish and two lines cut into slate."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from .surfaces import (
    Field,
    Pixels,
    blurred,
    grain,
    grid,
    lit,
    mix,
    noise,
    octaves,
    raking,
    resized,
    room_light,
    sensed,
    step,
)


def shoal() -> Pixels:
    """Return work 7 cut out of its ground: a bronze roundel of fish; 2800 x 2800 px, R, G, B and alpha."""
    rng = np.random.default_rng(2012)
    side = 2800
    height = _roundel(rng, side)
    u, v = grid((side, side))
    radius = np.hypot(u - 0.5, v - 0.5)
    coarse = np.asarray(cv2.resize(height, (side // 4, side // 4), interpolation=cv2.INTER_AREA), np.float32)
    lows = height - resized(blurred(coarse, 6), (side, side))  # patina gathers in the hollows, hands polish the ridges
    bronze = mix(np.zeros((side, side, 3), np.float32), (116, 82, 50), 1.0)
    bronze = mix(bronze, (78, 102, 86), 0.85 * step(-lows - 1.5 + 1.6 * noise(rng, (side, side), 40), 9))
    bronze = mix(bronze, (186, 134, 76), 0.8 * step(lows - 4, 10))
    surface = height + 0.5 * grain(rng, (side, side), 1.4)
    light = np.clip(raking(surface, 0.30), 0.25, 1.75)
    shine = np.clip(light - 1.28, 0, 1) * 190
    picture = np.clip(bronze * light[..., None] * np.float32(0.9) + shine[..., None], 0, 255).astype(np.uint8)
    alpha = (step(0.483 + 0.0015 * noise(rng, (side, side), 60) - radius, 1.5 / side) * 255).astype(np.uint8)
    picture = sensed(rng, lit(picture, room_light((side, side), (0.25, 0.2), 0.35)))
    return np.dstack([picture, alpha])


def what_the_sea_lends() -> Pixels:
    """Return work 8, full bleed: two lines cut into slate with a V-shaped groove; 3840 x 2460 px."""
    rng = np.random.default_rng(2015)
    shape = (2460, 3840)
    letters = Image.new("L", (shape[1], shape[0]), 0)
    pen = ImageDraw.Draw(letters)
    for line, y, size in (("WHAT THE SEA LENDS", 720, 268), ("IT LENDS TWICE", 1230, 268)):
        _spaced(pen, line, y, size, shape[1])
    _spaced(pen, "O · V    MMXV", 2020, 110, shape[1])
    inside = np.asarray(letters)
    depth = np.asarray(cv2.distanceTransform(inside, cv2.DIST_L2, 5), np.float32)
    bed = octaves(rng, shape, 300, 3, stretch=3) * 9 + noise(rng, shape, 14, 30) * 1.2  # cleavage planes
    terraces = np.floor(bed * 0.55) * 2.4
    stone = blurred(terraces.astype(np.float32), 1.6) + bed + 0.9 * grain(rng, shape, 1.2) + 0.8 * grain(rng, shape, 5)
    cut = -np.minimum(depth, 34) * 0.9 + 0.5 * grain(rng, shape, 1.0) * (depth > 0)
    face = np.where(depth > 0, 0.25 * stone + cut, stone).astype(np.float32)
    slate = mix(np.zeros((*shape, 3), np.float32), (112, 120, 128), 1.0)
    slate = mix(slate, (134, 128, 134), step(octaves(rng, shape, 420, 3, stretch=2), 1.6))
    slate = mix(slate, (98, 116, 110), 0.8 * step(octaves(rng, shape, 360, 3) - 0.35, 0.9))
    slate = mix(slate, (186, 188, 186), (0.8 * np.clip(depth / 4, 0, 1)).astype(np.float32))
    slate = mix(
        slate, (136, 96, 62), 0.55 * step(noise(rng, shape, 90, 5) + 0.5 * noise(rng, shape, 30, 3) - 0.95, 0.4)
    )
    picture = slate.astype(np.uint8)
    _lichen(rng, picture)
    picture = lit(picture, np.clip(raking(face, 0.34), 0.3, 1.8))
    return sensed(rng, lit(picture, room_light(shape, (0.15, 0.1), 0.3)))


def _roundel(rng: np.random.Generator, side: int) -> Field:
    u, v = grid((side, side))
    radius = np.hypot(u - 0.5, v - 0.5) * np.float32(2)
    height = 9 * noise(rng, (side, side), 110) + 5 * np.sin(70 * radius + 2 * noise(rng, (side, side), 300))
    height = (height * step(0.86 - radius, 0.03)).astype(np.float32)
    fish = _fish()
    for ring, count, scale in ((0.71, 15, 0.52), (0.45, 10, 0.50), (0.20, 4, 0.48)):
        for k in range(count):
            turn = 2 * np.pi * k / count + ring * 3 + rng.normal(0, 0.05)
            size = scale * rng.uniform(0.88, 1.12)
            middle = (0.5 + 0.5 * (ring + rng.normal(0, 0.015)) * np.array([np.cos(turn), np.sin(turn)])) * side
            _lay_on(height, fish * rng.uniform(0.85, 1.1), middle, np.degrees(turn) + 90 + rng.normal(0, 9), size)
    rim = np.exp(-(((radius - 0.935) / 0.022) ** 2)) * 70 + np.exp(-(((radius - 0.875) / 0.008) ** 2)) * 28
    beads = np.exp(-(((radius - 0.905) / 0.009) ** 2)) * 22 * (0.5 + 0.5 * np.cos(150 * np.arctan2(v - 0.5, u - 0.5)))
    return np.asarray(height + rim + beads, np.float32)


def _fish() -> Field:
    """Return the height of one fish, head right, 1200 x 440 px."""
    v, u = np.mgrid[0:440, 0:1200].astype(np.float32)
    x, y = (u - 640) / 470, (v - 220) / 130
    bend = y + 0.10 * np.sin(x * 2.4)
    plump = np.clip(1 - x * x, 0, 1) ** 0.75
    body = np.sqrt(np.clip(1 - (bend / np.maximum(plump, 1e-3)) ** 2, 0, 1)) * np.sqrt(plump) * 95
    rows = (v // 17) % 2
    scale = np.hypot((u + rows * 13) % 26 - 20, v % 17 - 8.5) / 17
    body += step(body - 12, 8) * step(0.42 - x, 0.05) * (1 - np.clip(scale, 0, 1)) * 17
    gill = np.exp(-(((np.hypot(x - 0.30, bend * 0.5) - 0.22) / 0.016) ** 2)) * step(x - 0.36, 0.05)
    body -= 24 * gill * step(body - 12, 8)
    eye = np.hypot(u - 995, v - 196 + 24)
    body += 26 * step(23 - eye, 6) - 20 * step(9 - eye, 4) - 16 * np.exp(-(((eye - 29) / 4) ** 2))
    fork = np.clip((-x - 0.86) / 0.42, 0, 1)
    tail = (
        step(fork - 0.01, 0.01)
        * step(0.30 + 1.15 * fork - np.abs(bend), 0.06)
        * step(np.abs(bend) - 1.0 * (fork - 0.55), 0.06)
    )
    tail *= (1 - step(-x - 1.27, 0.02)) * (26 + 9 * np.sin(np.arctan2(bend, -x - 0.5) * 70))
    fin = step(0.30 - np.abs(x + 0.05), 0.05) * step(bend + 1.32 + 0.5 * np.abs(x), 0.05) * step(-bend - 0.7, 0.3)
    return np.asarray(np.maximum(np.maximum(body, tail), fin * (22 + 8 * np.sin(x * 70 + bend * 6))), np.float32)


def _lay_on(height: Field, form: Field, middle: NDArray[np.floating], degrees: float, size: float) -> None:
    """Press a form into the clay: the higher of the two stands, inside the form's own bounding square."""
    reach = int(np.hypot(*form.shape) * size / 2) + 2
    x, y = int(middle[0]), int(middle[1])
    left, top = max(x - reach, 0), max(y - reach, 0)
    right, bottom = min(x + reach, height.shape[1]), min(y + reach, height.shape[0])
    turn = cv2.getRotationMatrix2D((form.shape[1] / 2, form.shape[0] / 2), -degrees, size)
    turn[:, 2] += (x - left - form.shape[1] / 2, y - top - form.shape[0] / 2)
    placed = np.asarray(cv2.warpAffine(form, turn, (right - left, bottom - top)), np.float32)
    region = height[top:bottom, left:right]
    np.maximum(region, placed, out=region)


def _spaced(pen: ImageDraw.ImageDraw, line: str, y: int, size: int, width: int) -> None:
    """Letter a line in the middle, with the wide spaces of cut capitals."""
    font = ImageFont.load_default(size)
    lengths = [pen.textlength(letter, font=font) for letter in line]
    gap = size * 0.10
    x = (width - sum(lengths) - gap * (len(line) - 1)) / 2
    for letter, length in zip(line, lengths, strict=True):
        pen.text((x, y), letter, fill=255, font=font, stroke_width=size // 45)
        x += length + gap


def _lichen(rng: np.random.Generator, picture: Pixels) -> None:
    for _ in range(46):
        x, y = rng.integers(0, picture.shape[1]), int(picture.shape[0] * rng.beta(0.6, 0.6))
        patch = rng.normal(0, rng.uniform(8, 34), (int(rng.integers(40, 160)), 2)) + np.array((x, y))
        colour = ((174, 168, 120), (196, 192, 176), (160, 120, 56))[int(rng.integers(0, 3))]
        for px, py in patch.astype(int).tolist():
            cv2.circle(picture, (px, py), int(rng.integers(2, 9)), colour, -1, cv2.LINE_AA)
