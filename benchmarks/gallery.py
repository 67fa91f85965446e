"""Synthetic photographs of works on walls, with the truth known, made from a seed.

The truth is the work's own edge: the painted or drawn surface, or the sheet. Wall, frame, mount (passe-partout), cast
shadow, label, colour target and neighbours are outside it; a border that the maker painted belongs to the work. In a
photograph without a wall the whole is the work, and the truth is None. Under a mount or a frame the truth is the edge
of the opening. Corners are (x, y) from top left clockwise, in continuous coordinates: (0, 0) is the top-left corner.

Seeds below 10 000 are for tuning, those from 10 000 for judging.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from benchmarks.hanging import Hung, hang
from benchmarks.paintings import Picture, blurred, colour, flat, noise, paint

LONGEST = 1024
FINER = 1.5  # the scene is drawn this much larger, then reduced
ASPECTS = (1.5, 4 / 3, 1.0, 3 / 4, 2 / 3)

Corners = NDArray[np.float64]
Photographs = tuple[NDArray[np.uint8], ...]


@dataclass(frozen=True, slots=True)
class Sample:
    """A photograph, uint8 (h, w, 3), its work's corners (4, 2) or None for the whole, and what it shows."""

    rgb: NDArray[np.uint8]
    corners: Corners | None
    kind: str


def with_wall(seed: int, works: Photographs = ()) -> Sample:
    """Return a photograph of a work on a wall; `works` are used as its pictures, painted ones where there are none."""
    rng = np.random.default_rng(seed)
    width, height = canvas_size(rng)
    hung = hang(rng, work_picture(rng, *work_size(rng, width, height), works)).fitted(width, height)
    scene, at = on_a_wall(rng, hung, width, height)
    seen, corners = photographed(rng, scene, hung.opening + at, width, height)
    return Sample(exposed(rng, seen), corners / FINER, "wall")


def without_wall(seed: int, works: Photographs = ()) -> Sample:
    """Return a photograph that the work fills."""
    rng = np.random.default_rng(seed)
    width, height = canvas_size(rng, float(np.exp(rng.uniform(-0.8, 0.8))))
    return Sample(exposed(rng, work_picture(rng, width, height, works)), None, "no wall")


def canvas_size(rng: np.random.Generator, aspect: float | None = None) -> tuple[int, int]:
    """Return the width and height at which the scene is drawn."""
    aspect = aspect or ASPECTS[int(rng.integers(len(ASPECTS)))]
    longest = LONGEST * FINER
    return round(longest * min(1.0, aspect)), round(longest * min(1.0, 1 / aspect))


def work_size(rng: np.random.Generator, width: int, height: int) -> tuple[int, int]:
    """Return the work's width and height: aspects of 1:3 to 3:1, mostly near the photograph's own."""
    aspect = width / height * np.exp(rng.normal(0, 0.35)) if rng.random() < 0.7 else np.exp(rng.uniform(-1.1, 1.1))
    aspect = float(np.clip(aspect, 1 / 3, 3))
    share = rng.uniform(0.4, 0.95)  # of the tighter side
    fit = min(width * share / aspect, height * share)
    return round(fit * aspect), round(fit)


def work_picture(rng: np.random.Generator, width: int, height: int, works: Photographs) -> Picture:
    """Return a picture of this size: a part of a given photograph, or a painted one."""
    if not works:
        return paint(rng, height, width)
    photo = works[int(rng.integers(len(works)))]
    ratio = max(width / photo.shape[1], height / photo.shape[0])
    size = max(width, round(photo.shape[1] * ratio)), max(height, round(photo.shape[0] * ratio))
    grown = cv2.resize(photo, size, interpolation=cv2.INTER_AREA if ratio < 1 else cv2.INTER_LINEAR)
    return np.asarray(grown[:height, :width] / 255, np.float32)


def on_a_wall(rng: np.random.Generator, hung: Hung, width: int, height: int) -> tuple[Picture, NDArray[np.float64]]:
    """Return the scene, with a margin for the camera's tilt, and where the hung object's corner lies in it."""
    margin = round(0.12 * max(width, height))
    scene = wall(rng, height + 2 * margin, width + 2 * margin)
    tall, wide = hung.picture.shape[:2]
    space = max(0, width - wide), max(0, height - tall)
    place = [round(room * np.clip(rng.normal(0.5, 0.13), 0, 1)) for room in space]
    x, y = margin + place[0] + min(0, width - wide) // 2, margin + place[1] + min(0, height - tall) // 2
    box = (x, y, x + wide, y + tall)
    _floor(rng, scene, y + tall, margin)
    _neighbours(rng, scene, box, margin)
    cast_shadow(rng, scene, box)
    scene[y : y + tall, x : x + wide] = hung.picture
    _accessories(rng, scene, box, margin)
    return scene, np.array([x, y], np.float64)


def wall(rng: np.random.Generator, height: int, width: int) -> Picture:
    """Return a wall: mostly pale, sometimes coloured or dark; plain, plastered, brick-like or of boards."""
    kind = rng.random()
    if kind < 0.6:
        base = np.asarray(rng.uniform(0.7, 0.98) * (1 - rng.uniform(0, 0.06, 3)), np.float32)
    else:
        base = colour(rng, 0.02, 0.3) if kind < 0.75 else colour(rng, 0.25, 0.85)
    picture = flat(height, width, base).copy()
    texture = rng.random()
    if texture < 0.4:
        plaster = noise(rng, height, width, rng.uniform(6, 60), 0.8)[:, :, None] - 0.5
        picture += plaster * np.float32(rng.uniform(0.01, 0.1))
    elif texture < 0.5:
        _bricks(rng, picture, rng.uniform(0.02, 0.15))
    elif texture < 0.55:
        boards = np.repeat(rng.random((1, int(rng.integers(4, 12)), 1), np.float32) - 0.5, height, axis=0)
        picture += 0.15 * cv2.resize(boards, (width, height), interpolation=cv2.INTER_NEAREST)[:, :, None]
        picture += 0.08 * (noise(rng, height, width // 20, 200)[:, :, None].repeat(20, 1)[:, :1] - 0.5)
    return picture


def cast_shadow(rng: np.random.Generator, scene: Picture, box: tuple[int, int, int, int]) -> None:
    """Darken the wall beside a box, as light from above and one side does."""
    if rng.random() < 0.25:
        return
    size = min(box[2] - box[0], box[3] - box[1])
    reach = size * rng.uniform(0.005, 0.06)
    shift = np.array([rng.uniform(-1, 1), rng.uniform(0.2, 1)]) * reach
    mask = np.zeros(scene.shape[:2], np.float32)
    left, top, right, bottom = (round(v) for v in np.array(box) + np.tile(shift, 2))
    mask[max(0, top) : bottom, max(0, left) : right] = rng.uniform(0.15, 0.6)
    scene *= (1 - cv2.GaussianBlur(mask, (0, 0), max(1.0, reach * rng.uniform(0.15, 0.7))))[:, :, None]


def photographed(
    rng: np.random.Generator, scene: Picture, corners: Corners, width: int, height: int
) -> tuple[Picture, Corners]:
    """Return the scene as a tilted camera sees it, and the corners there."""
    margin = (scene.shape[1] - width) / 2
    frame = margin + np.array([[0, 0], [width, 0], [width, height], [0, height]], np.float64)
    turn = np.deg2rad(rng.normal(0, 0.8) if rng.random() < 0.8 else rng.uniform(-4, 4))
    turned = (frame - frame.mean(axis=0)) @ np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    tilt = rng.choice([0.0, 0.006, 0.025], p=[0.3, 0.45, 0.25]) * max(width, height)
    seen = turned + frame.mean(axis=0) + rng.normal(0, tilt, (4, 2)).clip(-margin / 3, margin / 3)
    upright = np.array([[0, 0], [width, 0], [width, height], [0, height]], np.float32)
    matrix = cv2.getPerspectiveTransform(seen.astype(np.float32), upright)
    picture = cv2.warpPerspective(scene, matrix, (width, height), flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_REFLECT)
    moved = cv2.perspectiveTransform(corners[None], matrix)[0]
    return np.asarray(picture, np.float32), np.asarray(moved, np.float64)


def exposed(rng: np.random.Generator, scene: Picture) -> NDArray[np.uint8]:
    """Return the photograph: uneven light, noise, softness, and JPEG's losses."""
    height, width = (round(side / FINER) for side in scene.shape[:2])
    picture = np.asarray(cv2.resize(scene, (width, height), interpolation=cv2.INTER_AREA), np.float32)
    picture *= _light(rng, height, width)[:, :, None]
    picture += np.float32(rng.uniform(0.001, 0.012)) * rng.standard_normal(picture.shape, np.float32)
    if rng.random() < 0.3:
        picture = blurred(picture, rng.uniform(0.4, 1.2))
    codes = np.round(np.clip(picture * (1 + rng.normal(0, 0.02, 3)), 0, 1) * 255).astype(np.uint8)
    _, packed = cv2.imencode(".jpg", codes[:, :, ::-1], [cv2.IMWRITE_JPEG_QUALITY, int(rng.integers(70, 97))])
    return np.asarray(cv2.imdecode(packed, cv2.IMREAD_COLOR_RGB), np.uint8)


def _light(rng: np.random.Generator, height: int, width: int) -> Picture:
    """Return the light (h, w): a slope, a spot and the lens's own fall-off, each weak or none."""
    y, x = np.mgrid[-1 : 1 : height * 1j, -1 : 1 : width * 1j]
    slope = rng.normal(0, 0.06) * x + rng.normal(0, 0.06) * y
    spot = rng.choice([0.0, 0.25], p=[0.8, 0.2]) * np.exp(-((x - rng.normal(0, 0.4)) ** 2 + (y + rng.random()) ** 2))
    return np.asarray((1 + slope + spot) * (1 - rng.uniform(0, 0.12) * (x**2 + y**2)), np.float32)


def _bricks(rng: np.random.Generator, picture: Picture, contrast: float) -> None:
    height, width = picture.shape[:2]
    tall = int(rng.uniform(0.02, 0.05) * width)
    rows = height // tall + 1
    for row in range(rows):
        top = row * tall
        picture[top : top + max(1, tall // 10)] -= contrast
        for left in range((row % 2) * tall, width, 2 * tall):
            picture[top : top + tall, left : left + max(1, tall // 10)] -= contrast
            picture[top : top + tall, left : left + 2 * tall] += np.float32(contrast * rng.normal(0, 0.3))


def _floor(rng: np.random.Generator, scene: Picture, below: int, margin: int) -> None:
    """Lay a floor where there is room below the work, with or without a skirting board."""
    bottom = scene.shape[0] - margin
    room = bottom - below
    if rng.random() < 0.25 and room > 0.06 * bottom:
        line = round(below + room * rng.uniform(0.4, 0.9))
        scene[line:] = colour(rng, 0.1, 0.7)
        if rng.random() < 0.5:
            scene[line - max(3, room // 10) : line] *= np.float32(rng.uniform(0.85, 1.1))


def _neighbours(rng: np.random.Generator, scene: Picture, box: tuple[int, int, int, int], margin: int) -> None:
    """Hang other works at the left or right edge, cut off by the photograph's border where there is little room."""
    for left in (True, False):
        room = (box[0] if left else scene.shape[1] - box[2]) - margin
        if rng.random() < 0.15 and room > 0.05 * scene.shape[1]:
            tall = round((box[3] - box[1]) * rng.uniform(0.5, 1.2))
            other = hang(rng, paint(rng, tall, round(tall * rng.uniform(0.6, 1.2)))).picture
            showing = min(round(room * rng.uniform(0.2, 0.6)) + margin, other.shape[1], box[0] if left else 10**6)
            top = max(0, (box[1] + box[3] - other.shape[0]) // 2 + round(rng.normal(0, 0.03) * tall))
            other = other[: scene.shape[0] - top]
            if left:
                scene[top : top + other.shape[0], :showing] = other[:, -showing:]
            else:
                scene[top : top + other.shape[0], -showing:] = other[:, :showing]


def _accessories(rng: np.random.Generator, scene: Picture, box: tuple[int, int, int, int], margin: int) -> None:
    """Put a label to the right, a colour target below or above, a grey card to the left, where there is room."""
    left, top, right, bottom = box
    size = round(0.06 * scene.shape[1] * rng.uniform(0.6, 1.4))
    gap = round(size * rng.uniform(0.25, 0.7))
    if rng.random() < 0.25 and scene.shape[1] - margin - right > size + gap:
        _put(scene, label(rng, size), right + gap, bottom - size - round(rng.uniform(0, 0.3) * (bottom - top)))
    if rng.random() < 0.3:
        target = colour_target(rng, size)
        if scene.shape[0] - margin - bottom > size + gap:
            _put(scene, target, left + round(rng.uniform(0, 0.6) * (right - left)), bottom + gap)
        elif top - margin > size + gap:
            _put(scene, target, left, top - gap - size)
    if rng.random() < 0.12 and left - margin > size + gap:
        card = flat(size, size, np.full(3, 0.46, np.float32))
        _put(scene, card, left - gap - size, bottom - size)


def label(rng: np.random.Generator, size: int) -> Picture:
    card = flat(round(size * 0.6), size, np.full(3, rng.uniform(0.85, 1), np.float32)).copy()
    for row in range(size // 10, card.shape[0] - size // 10, max(4, size // 10)):
        card[row : row + max(1, size // 40), size // 10 : round(size * rng.uniform(0.4, 0.9))] = 0.2
    return card


def colour_target(rng: np.random.Generator, size: int) -> Picture:
    """Return a dark card with four rows of six patches."""
    card = flat(size, size * 3 // 2, np.full(3, 0.06, np.float32)).copy()
    cell = size // 4
    for row in range(4):
        for column in range(6):
            patch = np.full(3, column / 5, np.float32) if row == 3 else colour(rng, 0.2, 0.9)
            card[row * cell + 2 : (row + 1) * cell - 2, column * cell + 2 : (column + 1) * cell - 2] = patch
    return card


def _put(scene: Picture, thing: Picture, x: int, y: int) -> None:
    """Lay a thing into the scene, cut off at the scene's edge."""
    part = scene[y : y + thing.shape[0], x : x + thing.shape[1]]
    part[...] = thing[: part.shape[0], : part.shape[1]]
