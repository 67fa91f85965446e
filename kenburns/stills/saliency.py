"""Where people are likely to look: an array in, a map out.

Two maps that err in different ways, added: boolean map saliency finds closed figures on a ground, the image signature
finds what is rare in the whole. A mild centre prior, as every study of free viewing finds one (Tatler, "The central
fixation bias in scene viewing", Journal of Vision 7(14):4, 2007).
"""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

Map = NDArray[np.float32]

_BOOLEAN_LONGEST = 200
_SIGNATURE_LONGEST = 128
_THRESHOLD_STEP = 16
_CENTRE_SIGMA = 0.25  # of each side


def saliency(rgb: NDArray[np.uint8]) -> Map:
    """Return a map of shape (h, w) in [0, 1] for an sRGB picture of shape (h, w, 3), deterministic.

    A picture without any contrast gives the centre prior alone. Raises ValueError for another shape or type.
    """
    if rgb.dtype != np.uint8 or rgb.ndim != 3 or rgb.shape[2] != 3 or 0 in rgb.shape:
        raise ValueError(f"saliency needs uint8 of shape (h, w, 3), not {rgb.dtype} of shape {rgb.shape}")
    height, width = rgb.shape[:2]
    maps = (_boolean_map(rgb), _signature_map(rgb))
    both = sum((_resized(part, width, height) for part in maps), np.zeros((height, width), np.float32))
    if both.max() <= 0:
        both += 1
    return _unit(both * (0.5 + 0.5 * _centre(height, width)))


def _lab(rgb: NDArray[np.uint8], longest: int) -> Map:
    """Return CIE L*a*b* (D65) of a version at most `longest` px, each side even, which the DCT needs."""
    ratio = min(1.0, longest / max(rgb.shape[:2]))
    height, width = (max(8, round(side * ratio / 2) * 2) for side in rgb.shape[:2])
    small = cv2.resize(rgb, (width, height), interpolation=cv2.INTER_AREA)
    return np.asarray(cv2.cvtColor(small.astype(np.float32) / 255, cv2.COLOR_RGB2LAB), np.float32)


def _boolean_map(rgb: NDArray[np.uint8]) -> Map:
    """Boolean map saliency (Zhang & Sclaroff, "Saliency detection: a Boolean map approach", ICCV 2013, §3).

    Channels of whitened Lab are cut at even thresholds; what does not touch the border (surroundedness) counts, maps
    with small areas weighing more by L2 normalisation (their eq. 7).
    """
    lab = _lab(rgb, _BOOLEAN_LONGEST)
    total = np.zeros(lab.shape[:2], np.float32)
    for channel in _whitened(lab):
        for threshold in range(_THRESHOLD_STEP // 2, 255, _THRESHOLD_STEP):
            above = np.where(channel > threshold, np.uint8(255), np.uint8(0))
            total += _attention(above) + _attention(255 - above)
    return _blurred(total, 0.02)


def _whitened(lab: Map) -> list[NDArray[np.uint8]]:
    """Return decorrelated channels of equal variance (their §3.1), each stretched to 0..255; flat ones left out."""
    values = lab.reshape(-1, 3).astype(np.float64)
    values -= values.mean(axis=0)
    variances, axes = np.linalg.eigh(values.T @ values / len(values))
    kept = variances > 1e-3
    whitened = values @ (axes[:, kept] / np.sqrt(variances[kept])) @ axes[:, kept].T if kept.any() else values[:, :0]
    return [_stretched(column.reshape(lab.shape[:2])) for column in whitened.T if np.ptp(column) > 0]


def _stretched(channel: NDArray[np.float64]) -> NDArray[np.uint8]:
    low = channel.min()
    return np.asarray(np.round((channel - low) * (255 / np.ptp(channel))), np.uint8)


def _attention(boolean: NDArray[np.uint8]) -> Map:
    """Return the parts of a boolean map that the border does not reach, normalised to unit L2 norm."""
    framed = cv2.copyMakeBorder(boolean, 1, 1, 1, 1, cv2.BORDER_CONSTANT, value=(255,))
    cv2.floodFill(framed, None, (0, 0), (0,))
    inside = framed[1:-1, 1:-1].astype(np.float32)
    norm = float(np.sqrt(np.square(inside).sum()))
    return inside / norm if norm > 0 else inside


def _signature_map(rgb: NDArray[np.uint8]) -> Map:
    """Image signature (Hou, Harel & Koch, "Image signature", IEEE TPAMI 34(1), 2012, eqs. 1 and 4), summed over Lab.

    The signs of the discrete cosine transform, transformed back and squared, stand out where the picture is sparse.
    """
    lab = _lab(rgb, _SIGNATURE_LONGEST)
    total = np.zeros(lab.shape[:2], np.float32)
    for channel in cv2.split(lab):
        if np.ptp(channel) > 1e-3:
            total += np.square(cv2.idct(np.sign(cv2.dct(channel))))
    return _blurred(total, 0.02)


def _blurred(part: Map, spread: float) -> Map:
    """Smooth with a Gaussian whose sigma is this share of the longer side, and stretch to [0, 1]."""
    return _unit(np.asarray(cv2.GaussianBlur(part, (0, 0), spread * max(part.shape)), np.float32))


def _centre(height: int, width: int) -> Map:
    rows, columns = (np.exp(-0.5 * (_offsets(side) / _CENTRE_SIGMA) ** 2) for side in (height, width))
    return np.asarray(np.outer(rows, columns), np.float32)


def _offsets(side: int) -> NDArray[np.float64]:
    return (np.arange(side) + 0.5) / side - 0.5


def _resized(part: Map, width: int, height: int) -> Map:
    return np.asarray(cv2.resize(part, (width, height), interpolation=cv2.INTER_LINEAR), np.float32)


def _unit(part: Map) -> Map:
    low, span = float(part.min()), float(np.ptp(part))
    return np.asarray((part - low) / span if span > 0 else np.zeros_like(part), np.float32)
