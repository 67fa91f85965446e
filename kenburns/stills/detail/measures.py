"""What sharpness leaves in the pixels: steep steps over short distances, and a loss where a patch is reduced.

Steps over a distance are set against those over the next longer one; the loss is what a patch lacks after it has been
reduced and enlarged again, set against the loss at the next smaller size. All measures are logarithms of ratios, so
that neither contrast nor the number of edges counts: text on white paper and a meadow are judged alike. High powers
(4, 8) let the sharpest edges speak, as a sharp picture has soft parts too.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

import cv2
import numpy as np
from numpy.typing import NDArray

from .patches import Luma

LAGS = (1, 2, 3, 4, 6, 8)  # px between the two ends of a step
SHARES = (0.75, 0.6, 0.5, 0.35, 0.25)  # of a patch's sides, to which it is reduced

MEASURES = (
    *(f"steps over {near} px / {far} px" for near, far in pairwise(LAGS)),
    *(f"loss at {more:g} / {less:g}" for more, less in pairwise(SHARES)),
    f"loss at {SHARES[0]:g} / steps over {LAGS[0]} px",
)

_STEEP, _LOSSY = 8, 4  # powers of the means
_FLOOR = 0.05  # levels of 255, added before the logarithm: below this is rounding
_SPARKS = 3e-5  # share of the largest values left out: single hot pixels and specks would outshout every edge
_LEVELS = np.arange(256, dtype=np.float64)

Counts = NDArray[np.float64]


def detail_measures(lumas: Sequence[Luma]) -> NDArray[np.float64]:
    """Return the values of MEASURES over all patches together, natural logarithms of ratios.

    Patches (h, w) have at least 16 px a side. Raises ValueError for none.
    """
    if not lumas:
        raise ValueError("there is at least one patch to measure, not 0")
    steps = [_pooled(_steps(lumas, lag)) for lag in LAGS]
    losses = [_pooled(_losses(lumas, share)) for share in SHARES]
    steep = np.log([power_mean(counts, _STEEP) + _FLOOR for counts in steps])
    lossy = np.log([power_mean(counts, _LOSSY) + _FLOOR for counts in losses])
    first = np.log(power_mean(losses[0], _STEEP) + _FLOOR) - steep[0]
    return np.concatenate([steep[:-1] - steep[1:], lossy[:-1] - lossy[1:], [first]])


def power_mean(counts: Counts, power: int) -> float:
    """Return (mean of value ** power) ** (1 / power) for counts of the values 0 to 255, the sparks left out."""
    total = counts.sum()
    kept = np.minimum(counts, np.maximum((1 - _SPARKS) * total - (np.cumsum(counts) - counts), 0))
    return float((kept @ _LEVELS**power / kept.sum()) ** (1 / power))


def _steps(lumas: Sequence[Luma], lag: int) -> Iterator[Luma]:
    for patch in lumas:
        yield _apart(patch[:, lag:], patch[:, :-lag])
        yield _apart(patch[lag:], patch[:-lag])


def _losses(lumas: Sequence[Luma], share: float) -> Iterator[Luma]:
    """Yield what each patch loses when it is reduced by area and enlarged by cubic convolution."""
    for patch in lumas:
        height, width = patch.shape
        small = cv2.resize(patch, (round(width * share), round(height * share)), interpolation=cv2.INTER_AREA)
        yield _apart(patch, np.asarray(cv2.resize(small, (width, height), interpolation=cv2.INTER_CUBIC), np.uint8))


def _apart(a: Luma, b: Luma) -> Luma:
    return np.asarray(cv2.absdiff(a, b), np.uint8)


def _pooled(images: Iterator[Luma]) -> Counts:
    counts = [cv2.calcHist([image], [0], None, [256], [0, 256]).ravel() for image in images]
    return np.asarray(np.sum(counts, axis=0, dtype=np.float64))
