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

from .boolean_map import boolean_map
from .faces import Face
from .learned import learned_map

Map = NDArray[np.float32]

_BOOLEAN_LONGEST = 160
_SIGNATURE_LONGEST = 128
_SPREAD = 0.02  # of the longer side: sigma of the blur over both classical maps
_CENTRE_SIGMA = (0.25, 0.3)  # of height and width
# Weights of a blend, chosen by cross-validation on photographs with fixations (benchmarks/train_saliency.py)
_CLASSICAL_SHARE = 0.1  # beside the learned map
_FACE = 0.5  # a sure face beside the classical map
_FACE_BESIDE_LEARNED = 0.05  # which knows most faces by itself
_FACE_SIGMA = 0.5  # of a face's sides


def saliency(rgb: NDArray[np.uint8], *, learned: bool = True, faces: Iterable[Face] = ()) -> Map:
    """Return a map in [0, 1] over an sRGB picture of shape (h, w, 3), its longer side about 160; deterministic.

    `learned` False leaves the classical map alone; `faces` are those that `find_faces` returns for the same picture.
    A picture without any contrast gives the centre prior, the classical map's or the learned one. Raises ValueError
    for another shape or type.
    """
    if rgb.dtype != np.uint8 or rgb.ndim != 3 or rgb.shape[2] != 3 or 0 in rgb.shape:
        raise ValueError(f"saliency needs uint8 of shape (h, w, 3), not {rgb.dtype} of shape {rgb.shape}")
    return blended(rgb.shape[:2], classical_map(rgb), learned_map(rgb) if learned else None, faces)


def blended(shape: tuple[int, int], classical: Map, looks: Map | None, faces: Iterable[Face] = ()) -> Map:
    """Return one map of the classical one's shape in [0, 1] from it, a learned one and faces; see `saliency`.

    `shape` (h, w) is that of the picture that the faces are in.
    """
    height, width = classical.shape
    if looks is None:
        both, weight = classical, _FACE
    else:
        both, weight = _smoothly(looks, width, height), _FACE_BESIDE_LEARNED
        both = (1 - _CLASSICAL_SHARE) * both + _CLASSICAL_SHARE * classical
    for face in faces:
        both = both + weight * face.score * _bump(face, shape, both.shape)
    return _unit(both)


def classical_map(rgb: NDArray[np.uint8]) -> Map:
    """Return boolean map saliency and image signature together, in [0, 1], the longer side at most 160."""
    boolean = _blurred(boolean_map(_lab(rgb, _BOOLEAN_LONGEST)), _SPREAD)
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


def _signature_map(rgb: NDArray[np.uint8]) -> Map:
    """Image signature (Hou, Harel & Koch, "Image signature", IEEE TPAMI 34(1), 2012, eqs. 1 and 4), summed over Lab.

    The signs of the discrete cosine transform, transformed back and squared, stand out where the picture is sparse.
    """
    lab = _lab(rgb, _SIGNATURE_LONGEST)
    total = np.zeros(lab.shape[:2], np.float32)
    for channel in cv2.split(lab):
        if np.ptp(channel) > 1e-3:
            total += np.square(cv2.idct(np.sign(cv2.dct(channel))))
    return _blurred(total, _SPREAD)


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
