"""Pencil on paper: lines, hatching, and a drawing of a seated woman from behind."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from .strokes import scatter
from .surfaces import (
    Field,
    Pixels,
    Shape,
    blurred,
    grain,
    noise,
    paper,
    resized,
    room_light,
    step,
)

Line = NDArray[np.floating]


def reading_the_tide_tables() -> Pixels:
    """Return work 3: a seated woman from behind, pencil on rag paper, as a grey scan; 2600 x 3500 px, one channel."""
    rng = np.random.default_rng(1979)
    shape = (3500, 2600)
    graphite = np.zeros(shape, np.float32)
    tone = _figure_tone(rng, (700, 520))
    hatch(rng, graphite, tone, np.radians(-52), 15)
    hatch(rng, graphite, tone - 0.30, np.radians(-18), 17)
    hatch(rng, graphite, tone - 0.58, np.radians(70), 19)
    for line, weight in _figure_lines():
        pencil(rng, graphite, line * 5, weight)
    pencil(rng, graphite, curve([(392, 655), (400, 640), (412, 652), (402, 668), (392, 655)]) * 5, 0.5)
    pencil(
        rng,
        graphite,
        curve([(420, 645), (430, 668), (442, 640), (452, 662), (462, 652), (474, 660), (492, 654)]) * 5,
        0.5,
    )
    tooth = 0.5 + 0.28 * grain(rng, shape, 1.3)
    caught = np.clip(blurred(graphite, 0.7) * 1.9 - tooth * 0.55, 0, 1)
    smudge = 0.10 * blurred(resized(tone, (437, 325)), 6)
    sheet = paper(rng, shape, (226, 224, 220), 0.02)[..., 1]
    dark = 1 - 0.80 * caught - resized(smudge, shape)
    return np.asarray(np.clip(sheet * dark * room_light(shape, (0.4, 0.3), 0.14), 0, 255).astype(np.uint8))


def curve(points: list[tuple[float, float]]) -> Line:
    """Return a Catmull-Rom spline through the points, 24 steps a span."""
    knots = np.array([points[0], *points, points[-1]], float)
    t = np.linspace(0, 1, 24, endpoint=False)[:, None]
    spans = [
        0.5 * (2 * b + (c - a) * t + (2 * a - 5 * b + 4 * c - d) * t**2 + (3 * b - a - 3 * c + d) * t**3)
        for a, b, c, d in zip(knots, knots[1:], knots[2:], knots[3:], strict=False)
    ]
    return np.concatenate([*spans, knots[-1:]])


def pencil(rng: np.random.Generator, graphite: Field, line: Line, weight: float) -> None:
    """Draw a line three times over, never quite the same, pressed harder in its middle."""
    for _ in range(3):
        drift = np.cumsum(rng.normal(0, 0.28, line.shape), axis=0) + rng.normal(0, 2.2, 2)
        points = np.round((line + drift) * 8).astype(np.int32)
        for k in range(0, len(points) - 1, 12):
            pressure = weight * (0.55 + 0.45 * np.sin(np.pi * (k + 6) / len(points))) * rng.uniform(0.75, 1.1)
            cv2.polylines(graphite, [points[k : k + 13]], False, pressure, int(rng.integers(3, 6)), cv2.LINE_8, shift=3)


def hatch(rng: np.random.Generator, graphite: Field, tone: Field, angle: float, spacing: float) -> None:
    """Lay strokes at one angle where the tone (0-1, smaller than the sheet) asks for them."""
    shape = (int(graphite.shape[0]), int(graphite.shape[1]))
    starts = scatter(rng, shape, spacing * 1.9, np.clip(tone * 1.5, 0, 1))
    reach = rng.uniform(45, 150, len(starts))
    turn = angle + rng.normal(0, 0.07, len(starts))
    ends = starts + np.stack([np.cos(turn), np.sin(turn)], axis=-1) * reach[:, None]
    middle = (starts + ends) / 2 + rng.normal(0, 3, starts.shape)
    lines = np.round(np.stack([starts, middle, ends], axis=1) * 8).astype(np.int32)
    layer = np.zeros_like(graphite)
    for line, press in zip(lines, rng.uniform(0.5, 1, len(lines)).tolist(), strict=True):
        cv2.polylines(layer, [line], False, press, 3, cv2.LINE_8, shift=3)
    graphite += np.float32(0.36) * layer


_BACK = [
    (238, 176),
    (218, 196),
    (176, 214),
    (150, 252),
    (142, 306),
    (150, 356),
    (166, 408),
    (162, 452),
    (146, 500),
    (136, 546),
]
_FRONT = [(284, 178), (304, 200), (348, 216), (374, 250), (386, 300), (382, 352)]
_HIPS = [
    (136, 546),
    (150, 588),
    (200, 612),
    (280, 616),
    (346, 600),
    (376, 556),
    (366, 504),
    (340, 452),
    (330, 408),
    (338, 356),
    (346, 300),
]


def _figure_lines() -> list[tuple[Line, float]]:
    """Return the contours of the figure on a 520 x 700 sheet, with how hard each is pressed."""
    lines = [
        (_BACK, 0.8),
        (_FRONT, 0.75),
        (_HIPS, 0.8),
        ([(232, 84), (222, 108), (226, 140), (240, 162), (238, 178)], 0.7),
        ([(232, 84), (250, 62), (282, 60), (304, 82), (306, 112), (296, 142), (284, 160), (284, 180)], 0.75),
        ([(248, 66), (240, 46), (256, 28), (282, 30), (292, 48), (282, 62)], 0.8),
        ([(252, 40), (266, 34), (282, 44)], 0.5),
        ([(250, 52), (266, 46), (284, 54)], 0.5),
        ([(236, 96), (252, 78), (276, 74), (298, 92)], 0.45),
        ([(240, 120), (256, 96), (280, 92), (300, 112)], 0.4),
        ([(260, 196), (256, 260), (250, 330), (246, 400), (248, 470), (250, 540)], 0.45),
        ([(206, 250), (214, 280), (210, 318)], 0.35),
        ([(306, 252), (298, 282), (304, 318)], 0.35),
        ([(382, 352), (404, 372), (432, 352), (448, 322)], 0.75),
        ([(346, 300), (352, 346), (372, 390), (412, 396), (444, 366), (462, 330)], 0.75),
        ([(448, 322), (456, 306), (468, 306), (470, 320), (462, 332)], 0.7),
        ([(430, 196), (498, 214), (484, 330), (418, 310), (430, 196)], 0.7),
        ([(440, 220), (488, 232)], 0.3),
        ([(438, 236), (486, 248)], 0.3),
        ([(436, 252), (484, 264)], 0.3),
        ([(434, 268), (470, 277)], 0.3),
        ([(148, 262), (122, 322), (112, 392), (120, 452), (150, 500)], 0.7),
        ([(152, 372), (140, 420), (146, 456), (158, 470)], 0.5),
        ([(166, 470), (220, 492), (290, 488), (344, 462)], 0.5),
        ([(150, 500), (210, 530), (290, 530), (360, 500)], 0.4),
        ([(180, 480), (168, 540), (176, 600)], 0.4),
        ([(230, 494), (226, 556), (236, 612)], 0.35),
        ([(300, 490), (312, 552), (300, 610)], 0.4),
        ([(110, 560), (150, 618), (260, 632), (370, 612), (396, 560)], 0.7),
        ([(150, 620), (140, 690)], 0.75),
        ([(366, 612), (380, 690)], 0.75),
    ]
    return [(curve([(float(x), float(y)) for x, y in points]), weight) for points, weight in lines]


def _figure_tone(rng: np.random.Generator, shape: Shape) -> Field:
    """Return how dark each part of the sheet should be, 0-1: form lit from the left, shade behind it."""
    body, head = np.zeros(shape, np.uint8), np.zeros(shape, np.uint8)
    outline = np.concatenate([curve([(float(x), float(y)) for x, y in part]) for part in (_BACK, _HIPS, _FRONT[::-1])])
    cv2.fillPoly(body, [outline.astype(np.int32)], 255)
    cv2.ellipse(head, (267, 108), (40, 52), 0, 0, 360, 255, -1)
    cv2.ellipse(head, (266, 46), (26, 20), 0, 0, 360, 255, -1)
    v, u = np.mgrid[0 : shape[0], 0 : shape[1]].astype(np.float32)
    inside = np.asarray(cv2.GaussianBlur(body, (0, 0), 2), np.float32) / 255
    round_ = np.asarray(cv2.distanceTransform(body, cv2.DIST_L2, 5), np.float32)
    lean = cv2.Sobel(blurred(np.minimum(round_, 70), 9), cv2.CV_32F, 1, 0, scale=0.125)
    tone = inside * np.clip(0.16 - 0.62 * np.asarray(lean, np.float32), 0, 0.9)
    tone += inside * 0.34 * np.exp(-(((u - 256) / 13) ** 2)) * step(v - 200, 60) * step(520 - v, 60)
    tone += inside * 0.42 * step(v - 470, 30) * (0.6 + 0.4 * np.sin(u * 0.16 + 0.02 * v))
    tone = np.maximum(
        tone,
        (0.62 + 0.25 * np.sin(v * 0.45 - u * 0.12)) * np.asarray(cv2.GaussianBlur(head, (0, 0), 2), np.float32) / 255
        - 0.12 * (u < 256),
    )
    ground = (1 - inside) * (
        0.55 * np.exp(-(((u - 410) / 80) ** 2 + ((v - 470) / 150) ** 2))
        + 0.45 * np.exp(-(((u - 260) / 190) ** 2 + ((v - 668) / 26) ** 2))
    )
    return np.asarray(np.clip(tone + ground + 0.05 * noise(rng, shape, 40) - 0.05, 0, 1), np.float32)
