"""What may be letters: small connected figures of thin strokes, darker or lighter than their ground.

Strokes by morphological top-hats (Serra, "Image Analysis and Mathematical Morphology", 1982), their width by area
over boundary, after the idea that letters keep one stroke width (Epshtein, Ofek & Wexler, "Detecting text in natural
scenes with stroke width transform", CVPR 2010).
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_STROKE = 11  # px: strokes are thinner than this
_GROUND = 61  # px: the window whose mean response a stroke must exceed twice
_LEAST_CONTRAST = 18  # grey levels between stroke and ground
_HEIGHTS = 5, 90  # px: of a letter
_LONGEST = 500  # px: of a word written in one stroke
_SMALLEST = 10  # px of ink
_FILLS = 0.05, 0.95  # ink in a letter's box
_THICKEST = 0.8  # stroke width over letter height
_MOST = 300  # letters looked at: those of most contrast


@dataclass(frozen=True, slots=True)
class Letters:
    """Figures side by side: boxes, ink areas, stroke widths (px), mean grey and contrast with the ground (0 to 255).

    `labels` (h, w) has label[i] at the ink of figure i, and another number elsewhere (0 where there is no ink).
    """

    x: Floats
    y: Floats
    width: Floats
    height: Floats
    ink: Floats
    stroke: Floats
    tone: Floats
    contrast: Floats
    label: NDArray[np.intp]
    labels: NDArray[np.int32]

    def __len__(self) -> int:
        return len(self.x)


def find_letters(grey: NDArray[np.uint8], *, dark: bool) -> Letters:
    """Return what may be letters darker (or lighter) than their ground in a grey picture (h, w)."""
    response = _response(grey, dark)
    inked = _ink(response)
    _, figures, table, _ = cv2.connectedComponentsWithStats(inked, connectivity=8)
    labels, boxes = np.asarray(figures, np.int32), np.asarray(table, np.int32)
    kept = _letter_like(boxes)
    sums = _sums(inked, labels, len(boxes), (response, grey, _boundary(inked)))
    contrast, tone, edge = (part / np.maximum(boxes[:, cv2.CC_STAT_AREA], 1) for part in sums)
    stroke = 2 * 255 / np.maximum(edge, 1)  # the boundary is marked by 255
    kept &= stroke <= _THICKEST * boxes[:, cv2.CC_STAT_HEIGHT]
    label = np.flatnonzero(kept)
    label = np.sort(label[np.argsort(-contrast[label], kind="stable")[:_MOST]])
    x, y, width, height, ink = boxes[label].T.astype(np.float64)
    return Letters(x, y, width, height, ink, stroke[label], tone[label], contrast[label], label, labels)


def _response(grey: NDArray[np.uint8], dark: bool) -> NDArray[np.uint8]:
    how = cv2.MORPH_BLACKHAT if dark else cv2.MORPH_TOPHAT
    return np.asarray(cv2.morphologyEx(grey, how, np.ones((_STROKE, _STROKE), np.uint8)), np.uint8)


def _ink(response: NDArray[np.uint8]) -> NDArray[np.uint8]:
    usual = cv2.boxFilter(response, -1, (_GROUND, _GROUND))
    threshold = np.maximum(cv2.add(usual, usual), _LEAST_CONTRAST)
    return np.asarray(cv2.compare(response, threshold, cv2.CMP_GT), np.uint8)


def _boundary(inked: NDArray[np.uint8]) -> NDArray[np.uint8]:
    inner = cv2.erode(inked, np.ones((3, 3), np.uint8), borderValue=(0,))
    return np.asarray(cv2.compare(inked, inner, cv2.CMP_NE), np.uint8)


def _letter_like(boxes: NDArray[np.int32]) -> NDArray[np.bool_]:
    _, _, width, height, ink = boxes.T
    fill = ink / np.maximum(width * height, 1)
    kept = (height >= _HEIGHTS[0]) & (height <= _HEIGHTS[1]) & (width <= _LONGEST) & (ink >= _SMALLEST)
    kept &= (fill >= _FILLS[0]) & (fill <= _FILLS[1])
    kept[0] = False  # the ground
    return np.asarray(kept, np.bool_)


def _sums(
    inked: NDArray[np.uint8], labels: NDArray[np.int32], count: int, maps: tuple[NDArray[np.uint8], ...]
) -> list[Floats]:
    """Return the sums of maps over every figure."""
    places = np.flatnonzero(inked > 0)
    owners = labels.ravel()[places]
    return [np.bincount(owners, part.ravel()[places], count).astype(np.float64) for part in maps]
