"""How much of a photograph's pixel count is real detail.

A single estimate is uncertain, as pictures differ in their own softness: so people are shown classes, and the number
stays a working value.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from ...motion.geometry import Size
from ...motion.headroom import headroom
from .compression import Quality, blocking
from .enlargement import Enlargement, find_enlargement
from .measures import detail_measures
from .noise import noise_level
from .patches import luma, most_structured
from .weights import WEIGHTS, Weights

DetailClass = Literal["full", "about half", "a third or less"]
Cause = Literal["enlarged", "nearest enlargement", "soft", "compressed", "noisy"]

# Cameras' own pictures reach about 0.7 at 1:1, enlargements by 2 about 0.5: the bound lies between. 0.4 lies between a
# half and a third (geometric mean 0.408).
FULL = 0.62
HALF = 0.4
LEAST = 0.05

BOILS = 2.5  # levels of 255: noise from here on is named (a choice from experience, no standard)
POOR_QUALITY = 60  # JPEG quality below which compression is named (common practice)
BLOCKY = 0.5  # blocking that few JPEGs of quality 70 and up reach (5 % of those tried), and most of quality 40 do

TOLD_BY = 5  # patches that the verdict rests on
_FARTHEST = 3.0  # deviations from the mean, beyond which a measure is not followed


@dataclass(frozen=True, slots=True)
class RealDetail:
    """What a photograph's pixels hold. Made by `real_detail`.

    `scale`: share of each side's pixel count that is real, above 0 and at most 1. `causes`: what was found, none for a
    clean full picture. `quality`: of a JPEG, as its tables say. `blocking`: excess of steps at old JPEG blocks, 0 none.
    `noise`: standard deviation in levels of 255. `factor`: by which it was enlarged, where that left a trace.
    """

    scale: float
    detail_class: DetailClass
    causes: tuple[Cause, ...]
    quality: Quality | None
    blocking: float
    noise: float
    factor: float | None

    def warning(self, still: Size, frame: Size) -> str | None:
        """Return a sentence to be put after the photograph's name, or None for full detail."""
        if self.detail_class == "full":
            return None
        closest = sharp_zoom(still, frame, self.scale)
        where = f"closer than {closest:.2f}×" if closest >= 1 else f"at any zoom in a {_pixels(frame)} frame"
        return f"{_pixels(still)}, but real detail of {_share(self.detail_class)}: expect softness {where}"


def sharp_zoom(still: Size, frame: Size, scale: float) -> float:
    """Return the zoom at which one real pixel is one frame pixel (zoom as in `headroom`); below 1 if none is sharp.

    Raises ValueError for a scale that is not above 0 and at most 1.
    """
    if not 0 < scale <= 1:
        raise ValueError(f"a scale of real detail is above 0 and at most 1, not {scale}")
    return headroom(still, frame).largest_zoom * scale


def real_detail(patches: Sequence[NDArray[Any]], quality: Quality | None = None) -> RealDetail:
    """Return how much detail is real, from patches at full resolution (see `patch_places`).

    `patches`: sRGB arrays (h, w, 3) of uint8 or uint16, at least 32 px a side, starting at multiples of 8 px; the most
    structured decide. `quality`: the file's, see `jpeg_quality`. No patch, or none with any structure, counts as full:
    nothing speaks against it. Raises ValueError for arrays of another kind.
    """
    lumas = [luma(patch) for patch in patches]
    telling = [patch for patch in most_structured(lumas, TOLD_BY) if np.ptp(patch) > 0]
    found = find_enlargement(telling)
    scale = effective_scale(detail_measures(telling), found, WEIGHTS) if telling else 1.0
    blocks, noise = blocking(telling), noise_level(lumas)
    causes = _causes(scale, found, _is_compressed(quality, blocks), noise)
    return RealDetail(scale, detail_class(scale), causes, quality, blocks, noise, found.factor if found else None)


def effective_scale(measures: NDArray[np.float64], found: Enlargement | None, weights: Weights) -> float:
    """Return the share of each side that is real, LEAST to 1: what the measures say, or the enlargement if less."""
    z = np.clip((measures - weights.centre) / weights.spread, -_FARTHEST, _FARTHEST)
    told = float(2.0 ** (terms(z) @ weights.terms))
    return float(np.clip(min(told, 1 / found.factor) if found else told, LEAST, 1))


def terms(z: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return 1, the standardised measures and their products two by two: shape (..., k) gives (..., (k+1)(k+2)/2)."""
    with_one = np.concatenate([np.ones((*z.shape[:-1], 1)), z], axis=-1)
    rows, columns = np.triu_indices(with_one.shape[-1])
    return np.asarray(with_one[..., rows] * with_one[..., columns], np.float64)


def detail_class(scale: float) -> DetailClass:
    """Return the class that is shown for a scale."""
    if scale >= FULL:
        return "full"
    return "about half" if scale >= HALF else "a third or less"


def _is_compressed(quality: Quality | None, blocks: float) -> bool:
    return blocks >= BLOCKY or (quality is not None and quality.value < POOR_QUALITY)


def _causes(scale: float, found: Enlargement | None, compressed: bool, noise: float) -> tuple[Cause, ...]:
    named: tuple[tuple[Cause, bool], ...] = (
        ("nearest enlargement", found is not None and found.repeated),
        ("enlarged", found is not None and not found.repeated),
        ("soft", found is None and scale < FULL),
        ("compressed", compressed),
        ("noisy", noise >= BOILS),
    )
    return tuple(cause for cause, holds in named if holds)


def _share(shown: DetailClass) -> str:
    return "about half that" if shown == "about half" else "a third of that or less"


def _pixels(size: Size) -> str:
    return f"{size.width}×{size.height}"
