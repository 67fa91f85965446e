"""Pictures painted from a seed, as the works in synthetic gallery photographs: float RGB in [0, 1], shape (h, w, 3).

Each painter is made to tempt a search for the work's outline in its own way: even fields, rectangles inside rectangles,
borders that belong to the work, paper as white as the wall, darkness, next to no contrast.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import cv2
import numpy as np
from numpy.typing import NDArray

Picture = NDArray[np.float32]
Painter = Callable[[np.random.Generator, int, int], Picture]


def noise(rng: np.random.Generator, height: int, width: int, cell: float, roughness: float = 0.55) -> Picture:
    """Return smooth noise (h, w) in [0, 1]: octaves from `cell` px down, each weaker than the last."""
    total = np.zeros((height, width), np.float32)
    weight, size = 1.0, cell
    while size >= 2:
        rows, columns = max(2, round(height / size)) + 1, max(2, round(width / size)) + 1
        coarse = rng.random((rows, columns), np.float32)
        total += weight * cv2.resize(coarse, (width, height), interpolation=cv2.INTER_CUBIC)
        weight, size = weight * roughness, size / 2.2
    low, span = float(total.min()), float(np.ptp(total))
    return np.asarray((total - low) / max(span, 1e-6), np.float32)


def colour(rng: np.random.Generator, low: float = 0.0, high: float = 1.0) -> Picture:
    """Return a colour (3,): a grey of random lightness pulled towards a random hue."""
    grey = rng.uniform(low, high)
    hue = rng.random(3) - 0.5
    return np.asarray(np.clip(grey + rng.uniform(0, 0.9) * hue * min(1.0, high - low + 0.2), 0, 1), np.float32)


def blurred(picture: Picture, sigma: float) -> Picture:
    return np.asarray(cv2.GaussianBlur(picture, (0, 0), sigma), np.float32)


def flat(height: int, width: int, paint: Picture) -> Picture:
    return np.broadcast_to(paint, (height, width, 3)).astype(np.float32, order="C")


def palette(
    rng: np.random.Generator, values: Picture, count: int = 4, low: float = 0.05, high: float = 0.95
) -> Picture:
    """Return the picture in which noise runs through a few colours."""
    stops = np.stack([colour(rng, low, high) for _ in range(count)])
    places = np.linspace(0, 1, count)
    channels = [np.interp(values, places, stops[:, channel]) for channel in range(3)]
    return np.stack(channels, axis=2).astype(np.float32)


def landscape(rng: np.random.Generator, height: int, width: int) -> Picture:
    """Sky over land, each of noise; the horizon is uneven."""
    cell = min(height, width) / rng.uniform(1.5, 5)
    sky = palette(rng, noise(rng, height, width, cell, 0.5), 3, 0.4, 0.95)
    land = palette(rng, noise(rng, height, width, cell / 2, 0.8), 5, 0.05, 0.7)
    line = noise(rng, 2, width, width / 3)[0] * 0.2 + rng.uniform(0.25, 0.7)
    below = np.arange(height)[:, None] / height > line[None, :]
    return np.where(below[:, :, None], land, sky)


def clouds(rng: np.random.Generator, height: int, width: int) -> Picture:
    """All-over noise."""
    return palette(rng, noise(rng, height, width, max(height, width) / rng.uniform(1, 12), rng.uniform(0.4, 0.9)), 5)


def field(rng: np.random.Generator, height: int, width: int) -> Picture:
    """Two or three soft-edged fields on a ground of their own."""
    picture = flat(height, width, colour(rng)).copy()
    count = int(rng.integers(1, 4))
    inset = rng.uniform(0.02, 0.12)
    for index in range(count):
        top, bottom = (index + inset) / count, (index + 1 - inset) / count
        _box(picture, (inset, top, 1 - inset, bottom), colour(rng))
    soft = rng.uniform(0.002, 0.03) * min(height, width)
    return _brushed(rng, blurred(picture, max(soft, 0.5)), 0.06)


def geometric(rng: np.random.Generator, height: int, width: int) -> Picture:
    """Hard-edged rectangles: nested, side by side, or strewn."""
    picture = flat(height, width, colour(rng)).copy()
    way = rng.integers(4)
    if way == 0:
        inset = 0.0
        for _ in range(int(rng.integers(2, 6))):
            inset += rng.uniform(0.03, 0.12)
            if inset < 0.45:
                _box(picture, (inset, inset, 1 - inset, 1 - inset), colour(rng))
    elif way == 1:
        edges = np.sort(rng.random(int(rng.integers(2, 8))))
        for left, right in pairwise(edges):
            box = (left, 0, right, 1) if height < width else (0, left, 1, right)
            _box(picture, box, colour(rng))
    else:
        for _ in range(int(rng.integers(2, 12))):
            x, y = rng.random(2)
            _box(picture, (x, y, min(1, x + rng.uniform(0.05, 0.6)), min(1, y + rng.uniform(0.05, 0.6))), colour(rng))
    return _brushed(rng, picture, rng.uniform(0, 0.06))


def grid(rng: np.random.Generator, height: int, width: int) -> Picture:
    """Cells of even size, each of one colour, with or without lines between."""
    rows, columns = (int(n) for n in rng.integers(2, 9, 2))
    cells = np.stack([colour(rng) for _ in range(rows * columns)]).reshape(rows, columns, 3)
    picture = np.asarray(cv2.resize(cells, (width, height), interpolation=cv2.INTER_NEAREST), np.float32)
    line = int(rng.integers(0, 5))
    if line:
        ink = colour(rng)
        for row in range(1, rows):
            picture[row * height // rows - line : row * height // rows] = ink
        for column in range(1, columns):
            picture[:, column * width // columns - line : column * width // columns] = ink
    return _brushed(rng, picture, 0.03)


def drawing(rng: np.random.Generator, height: int, width: int) -> Picture:
    """Lines on near-white paper, most of it left empty."""
    paper = np.float32(rng.uniform(0.82, 0.97)) - np.float32(rng.uniform(0, 0.08)) * np.array([0, 0.3, 1], np.float32)
    picture = np.ascontiguousarray(flat(height, width, paper) - 0.03 * noise(rng, height, width, 12, 0.9)[:, :, None])
    ink = tuple(float(v) for v in colour(rng, 0, 0.4))
    for _ in range(int(rng.integers(8, 60))):
        steps = rng.normal(0, 0.04, (12, 2)).cumsum(axis=0) + rng.uniform(0.15, 0.85, 2)
        points = np.clip(steps, 0.04, 0.96) * (width, height)
        cv2.polylines(picture, [points.astype(np.int32)], False, ink, int(rng.integers(1, 4)), cv2.LINE_AA)
    return picture


def figure(rng: np.random.Generator, height: int, width: int) -> Picture:
    """Paint rounded shapes before a ground, the largest low in the middle."""
    picture = palette(rng, noise(rng, height, width, max(height, width) / 2, 0.4), 3).copy()
    size = min(height, width)
    for index in range(int(rng.integers(2, 9))):
        spread = 0.05 if index < 2 else 0.3
        centre = (int(width * rng.normal(0.5, spread)), int(height * rng.normal(0.6, spread)))
        axes = (int(size * rng.uniform(0.05, 0.35)), int(size * rng.uniform(0.05, 0.45)))
        paint = tuple(float(v) for v in colour(rng))
        cv2.ellipse(picture, centre, axes, float(rng.uniform(0, 180)), 0, 360, paint, -1, cv2.LINE_AA)
    return _brushed(rng, blurred(picture, 1.5), 0.15)


def strokes(rng: np.random.Generator, height: int, width: int) -> Picture:
    """Broad strokes all over."""
    picture = flat(height, width, colour(rng)).copy()
    stops = [tuple(float(v) for v in colour(rng)) for _ in range(5)]
    thick = max(2, int(min(height, width) * rng.uniform(0.01, 0.06)))
    for _ in range(int(rng.integers(60, 250))):
        start = rng.uniform(-0.05, 1.05, 2) * (width, height)
        end = start + rng.normal(0, 0.12, 2) * (width, height)
        ends = [tuple(int(v) for v in point) for point in (start, end)]
        cv2.line(picture, ends[0], ends[1], stops[int(rng.integers(5))], thick, cv2.LINE_AA)
    return _brushed(rng, picture, 0.08)


def dark(rng: np.random.Generator, height: int, width: int) -> Picture:
    """Nearly black, with some light in the middle."""
    light = noise(rng, height, width, min(height, width) / 3) ** 3
    y, x = np.mgrid[-1 : 1 : height * 1j, -1 : 1 : width * 1j]
    lit = light * np.exp(-2.5 * (x**2 + y**2)) * rng.uniform(0.2, 0.9)
    return np.asarray(0.03 + lit[:, :, None] * colour(rng, 0.5, 1), np.float32)


def faint(rng: np.random.Generator, height: int, width: int) -> Picture:
    """Next to no contrast."""
    wave = noise(rng, height, width, min(height, width) / rng.uniform(1, 6))[:, :, None] - 0.5
    return np.clip(colour(rng, 0.3, 0.95) + wave * np.float32(rng.uniform(0.03, 0.12)), 0, 1)


PAINTERS: tuple[Painter, ...] = (
    landscape,
    landscape,
    clouds,
    field,
    geometric,
    geometric,
    grid,
    drawing,
    drawing,
    figure,
    figure,
    strokes,
    dark,
    faint,
)


def paint(rng: np.random.Generator, height: int, width: int) -> Picture:
    """Return a picture by one of the painters, one in eight with a border that belongs to the work."""
    painter = PAINTERS[int(rng.integers(len(PAINTERS)))]
    picture = np.clip(painter(rng, height, width), 0, 1).astype(np.float32)
    return bordered(rng, picture) if rng.random() < 0.12 else picture


def bordered(rng: np.random.Generator, picture: Picture) -> Picture:
    """Return the picture with an even border painted over its edge."""
    height, width = picture.shape[:2]
    border = max(2, int(min(height, width) * rng.uniform(0.02, 0.12)))
    ground = _brushed(rng, flat(height, width, colour(rng)), rng.uniform(0.02, 0.2))
    ground[border : height - border, border : width - border] = picture[
        border : height - border, border : width - border
    ]
    return ground


def _box(picture: Picture, box: tuple[float, float, float, float], paint: Picture) -> None:
    """Fill a box given in shares of the sides."""
    height, width = picture.shape[:2]
    left, top, right, bottom = (round(v * side) for v, side in zip(box, (width, height) * 2, strict=True))
    picture[top:bottom, left:right] = paint


def _brushed(rng: np.random.Generator, picture: Picture, amount: float) -> Picture:
    """Add the marks of a brush: noise drawn out along one side."""
    height, width = picture.shape[:2]
    marks = cv2.resize(rng.random((max(2, height // 2), max(2, width // 16)), np.float32), (width, height))
    return np.asarray(np.clip(picture + amount * (marks[:, :, None] - 0.5), 0, 1), np.float32)
