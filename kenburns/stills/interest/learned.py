"""Where people look, learned from photographs with eye fixations.

A small network, run by OpenCV from a file that travels with the package: `models/README.md` says what it was learned
from, and `benchmarks/train_saliency.py` made it.
"""

from __future__ import annotations

import math
import threading
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

Map = NDArray[np.float32]
MODEL = Path(__file__).with_name("models") / "saliency.onnx"

_AREA = 384 * 288  # px: the size it was trained at
_STRIDE = 32  # the network's sides are multiples of this
_SHORTEST = 2 * _STRIDE  # where one cell is left of a side, OpenCV 5.0 answers from memory that it never filled
_CELL = 16  # px of the network's picture to a cell of its answer
_LONGEST = 1536  # px: a very long picture is squeezed


def learned_map(rgb: NDArray[np.uint8]) -> Map | None:
    """Return the share of looks in each cell of a coarse grid over an sRGB picture of shape (h, w, 3); the sum is 1.

    The grid has about 430 cells, 24 x 18 for a 4:3 picture. None where the model's file is missing. Deterministic,
    and safe from several threads.
    """
    net = _net()
    return None if net is None else run(net, rgb)


def run(net: cv2.dnn.Net, rgb: NDArray[np.uint8]) -> Map:
    """Return a network's map of a picture, as `learned_map` does."""
    width, height = _sides(rgb.shape[1], rgb.shape[0])
    small = cv2.resize(rgb, (width, height), interpolation=cv2.INTER_AREA)
    net.setInput(cv2.dnn.blobFromImage(small, 1 / 128, mean=(127, 127, 127)), "picture")
    net.setInput(_places(height // _CELL, width // _CELL), "places")
    logarithm = net.forward()[0, 0]
    looks = np.exp(logarithm - logarithm.max())
    return np.asarray(looks / looks.sum(), np.float32)


def loaded(path: Path) -> cv2.dnn.Net:
    """Return the network in an ONNX file. Raises cv2.error where it is none."""
    return cv2.dnn.readNetFromONNX(str(path))


class _Kept(threading.local):
    """A network holds its last input, so every thread has its own."""

    net: cv2.dnn.Net | None = None


_KEPT = _Kept()


def _net() -> cv2.dnn.Net | None:
    if _KEPT.net is None and MODEL.is_file():
        _KEPT.net = loaded(MODEL)
    return _KEPT.net


def _sides(width: int, height: int) -> tuple[int, int]:
    """Return the network's picture: about the aspect given, about the area learned at, whole strides."""
    scale = math.sqrt(_AREA / (width * height))
    return _whole(width * scale), _whole(height * scale)


def _whole(side: float) -> int:
    return min(max(round(side / _STRIDE) * _STRIDE, _SHORTEST), _LONGEST)


def _places(rows: int, columns: int) -> Map:
    """Return x squared, y squared, x and y of the cells' middles, from -1 to 1: what the centre prior is made of."""
    down, across = (((np.arange(cells) + 0.5) / cells * 2 - 1) for cells in (rows, columns))
    y, x = np.meshgrid(down, across, indexing="ij")
    return np.asarray(np.stack((x * x, y * y, x, y))[None], np.float32)
