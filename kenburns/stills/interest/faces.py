"""Faces in a picture, painted and sculpted ones too where the detector finds them.

YuNet (Wu, Peng & Yu, "YuNet: a tiny millisecond-level face detector", Machine Intelligence Research 20, 2023), run by
OpenCV from a file that travels with the package: `models/README.md` says where it is from.
"""

from __future__ import annotations

import threading
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from ...motion.geometry import Rect, Size

MODEL = Path(__file__).with_name("models") / "faces.onnx"

_LONGEST = 512  # px: faces down to about a fiftieth of the longer side are found
_LEAST_SCORE = 0.7  # below, about half of the finds in painted pictures are signs, pans and dogs
_OVERLAP = 0.3  # intersection over union above which two finds are one face


@dataclass(frozen=True, slots=True)
class Face:
    """A face from chin to hairline, in pixels of the picture it was found in, and how sure that is, 0 to 1."""

    rect: Rect
    score: float


def find_faces(rgb: NDArray[np.uint8], *, least_score: float = _LEAST_SCORE) -> tuple[Face, ...]:
    """Return the faces in an sRGB picture of shape (h, w, 3), surest first; none where the model's file is missing.

    Deterministic, and safe from several threads. Raises ValueError for another shape or type.
    """
    if rgb.dtype != np.uint8 or rgb.ndim != 3 or rgb.shape[2] != 3 or 0 in rgb.shape:
        raise ValueError(f"faces are looked for in uint8 of shape (h, w, 3), not {rgb.dtype} of shape {rgb.shape}")
    detector = _detector()
    if detector is None:
        return ()
    size = Size(rgb.shape[1], rgb.shape[0])
    small = _small(rgb)
    detector.setInputSize((small.shape[1], small.shape[0]))
    detector.setScoreThreshold(least_score)
    rows = detector.detect(small)[1]
    found = [] if rows is None else [_face(row, size, Size(small.shape[1], small.shape[0])) for row in rows]
    return tuple(sorted((face for face in found if face is not None), key=_surest_first))


class _Kept(threading.local):
    """The detector holds its last picture's size, so every thread has its own."""

    detector: cv2.FaceDetectorYN | None = None


_KEPT = _Kept()


def _detector() -> cv2.FaceDetectorYN | None:
    if _KEPT.detector is None and MODEL.is_file():
        _KEPT.detector = _loaded(MODEL)
    return _KEPT.detector


def _loaded(path: Path) -> cv2.FaceDetectorYN:
    level = cv2.utils.logging.getLogLevel()
    cv2.utils.logging.setLogLevel(cv2.utils.logging.LOG_LEVEL_ERROR)  # OpenCV 5 warns at each load of this model
    try:
        return cv2.FaceDetectorYN.create(str(path), "", (_LONGEST, _LONGEST), _LEAST_SCORE, _OVERLAP)
    finally:
        cv2.utils.logging.setLogLevel(level)


def _small(rgb: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Return a BGR version, which the model wants, no longer than `_LONGEST`."""
    ratio = min(1.0, _LONGEST / max(rgb.shape[:2]))
    width, height = (max(1, round(side * ratio)) for side in (rgb.shape[1], rgb.shape[0]))
    small = cv2.resize(rgb, (width, height), interpolation=cv2.INTER_AREA)
    return np.asarray(cv2.cvtColor(small, cv2.COLOR_RGB2BGR), np.uint8)


def _face(row: NDArray[np.float32], size: Size, small: Size) -> Face | None:
    """Return the part of a find that lies in the picture; None where hardly any does."""
    x, y, width, height, score = (float(row[column]) for column in (0, 1, 2, 3, 14))
    across, down = size.width / small.width, size.height / small.height
    left, top = max(x * across, 0.0), max(y * down, 0.0)
    right, bottom = min((x + width) * across, size.width), min((y + height) * down, size.height)
    if right - left < 1 or bottom - top < 1:
        return None
    return Face(Rect(left, top, right - left, bottom - top), min(max(score, 0.0), 1.0))


def _surest_first(face: Face) -> tuple[float, float, float]:
    return -face.score, face.rect.y, face.rect.x
