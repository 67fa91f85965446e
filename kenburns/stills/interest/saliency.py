"""Where people are likely to look: an array in, a map out.

The learned map says most. It is blended with a classical one, which stays alone where the learned one is switched off
or its file is missing: boolean map saliency finds closed figures on a ground, the image signature finds what is rare
in the whole, and where both agree they weigh more. A mild centre prior, as every study of free viewing finds one
(Tatler, "The central fixation bias in scene viewing", Journal of Vision 7(14):4, 2007). Faces come in from outside.
"""

from __future__ import annotations

from collections.abc import Iterable

import cv2
import numpy as np
from numpy.typing import NDArray

from .faces import Face
from .learned import learned_map

Map = NDArray[np.float32]

_BOOLEAN_LONGEST = 160
_SIGNATURE_LONGEST = 128
_THRESHOLD_STEP = 16
_CENTRE_SIGMA = (0.25, 0.3)  # of height and width
# Weights of a blend, chosen by cross-validation on photographs with fixations (benchmarks/train_saliency.py)
_CLASSICAL_SHARE = 0.1  # beside the learned map
_FACE = 0.5  # a sure face beside the classical map
_FACE_BESIDE_LEARNED = 0.05  # which knows most faces by itself
_FACE_SIGMA = 0.5  # of a face's sides


def saliency(rgb: NDArray[np.uint8], *, learned: bool = True, faces: Iterable[Face] = ()) -> Map:
    """Return a map of shape (h, w) in [0, 1] for an sRGB picture of shape (h, w, 3), deterministic.

    `learned` False leaves the classical map alone; `faces` are those that `find_faces` returns for the same picture.
    A picture without any contrast gives the centre prior, the classical map's or the learned one. Raises ValueError
    for another shape or type.
    """
    if rgb.dtype != np.uint8 or rgb.ndim != 3 or rgb.shape[2] != 3 or 0 in rgb.shape:
        raise ValueError(f"saliency needs uint8 of shape (h, w, 3), not {rgb.dtype} of shape {rgb.shape}")
    return blended(rgb.shape[:2], classical_map(rgb), learned_map(rgb) if learned else None, faces)


def blended(shape: tuple[int, int], classical: Map, looks: Map | None, faces: Iterable[Face] = ()) -> Map:
    """Return one map of this shape (h, w) in [0, 1] from a classical map, a learned one and faces; see `saliency`."""
    height, width = classical.shape
    if looks is None:
        both, weight = classical, _FACE
    else:
        both, weight = _smoothly(looks, width, height), _FACE_BESIDE_LEARNED
        both = (1 - _CLASSICAL_SHARE) * both + _CLASSICAL_SHARE * classical
    for face in faces:
        both = both + weight * face.score * _bump(face, shape, both.shape)
    return _unit(_resized(both, shape[1], shape[0]))


def classical_map(rgb: NDArray[np.uint8]) -> Map:
    """Return boolean map saliency and image signature together, in [0, 1], the longer side at most 160."""
    boolean = _boolean_map(rgb)
    height, width = boolean.shape
    both = np.square(np.sqrt(boolean) + np.sqrt(_resized(_signature_map(rgb), width, height)))
    if both.max() <= 0:
        both = np.ones_like(both)
    return _unit(np.asarray(both * (0.5 + 0.5 * _centre(height, width)), np.float32))


def _smoothly(looks: Map, width: int, height: int) -> Map:
    smooth = np.asarray(cv2.resize(looks, (width, height), interpolation=cv2.INTER_CUBIC), np.float32)
    return _unit(np.maximum(smooth, 0))  # a cubic swings below 0 beside a steep peak


def _bump(face: Face, picture: tuple[int, ...], grid: tuple[int, ...]) -> Map:
    """Return a Gaussian on a face, 1 in its middle."""
    (across, down), sides = face.rect.centre, (face.rect.height, face.rect.width)
    rows, columns = (
        np.exp(-0.5 * (((np.arange(cells) + 0.5) * whole / cells - middle) / (_FACE_SIGMA * side)) ** 2)
        for cells, whole, middle, side in zip(grid, picture, (down, across), sides, strict=True)
    )
    return np.asarray(np.outer(rows, columns), np.float32)


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
    rows, columns = (
        np.exp(-0.5 * (_offsets(side) / sigma) ** 2) for side, sigma in zip((height, width), _CENTRE_SIGMA, strict=True)
    )
    return np.asarray(np.outer(rows, columns), np.float32)


def _offsets(side: int) -> NDArray[np.float64]:
    return (np.arange(side) + 0.5) / side - 0.5


def _resized(part: Map, width: int, height: int) -> Map:
    return np.asarray(cv2.resize(part, (width, height), interpolation=cv2.INTER_LINEAR), np.float32)


def _unit(part: Map) -> Map:
    low, span = float(part.min()), float(np.ptp(part))
    return np.asarray((part - low) / span if span > 0 else np.zeros_like(part), np.float32)
