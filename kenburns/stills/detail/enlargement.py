"""The rhythm that enlarging leaves: steps between neighbouring pixels are weaker inside an old pixel than between two.

Repeated pixels (nearest neighbour) have no steps at all inside; smooth kernels have a fainter rhythm of the same
period (Gallagher, "Detection of linear and cubic interpolation in JPEG compressed images", CRV 2005, who looks at
second differences; first differences show repeated pixels most clearly).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .patches import Luma

RHYTHM = 0.15  # strength from which a picture counts as enlarged; sharp photographs reached 0.11 when this was set
REPEATED = 0.4  # strength, of the most that a factor can give, from which pixels count as repeated

_WINDOW = 25  # px, over which the local mean of steps is taken
_FAINT = 0.15  # levels of 255: where the mean step is less, columns say nothing
_LENGTH = 512  # of the transform
_WIDE = 3  # places of the transform to either side that a peak takes up
_NEAR = _WIDE / _LENGTH
_ALIKE = 0.7
_EMPTY = 0.4  # of the mean step
_SLOWEST = 0.14  # cycles a pixel: slower rhythms are the picture's own, and a JPEG's 1/8

Spectrum = NDArray[np.float64]
_FREQUENCIES: Spectrum = np.arange(_LENGTH // 2 + 1) / _LENGTH


@dataclass(frozen=True, slots=True)
class Enlargement:
    """A picture enlarged by `factor` (above 1); `strength`: the rhythm's amplitude; `repeated`: whole pixels repeated.

    An amplitude of 1: steps swing between nothing and twice their mean.
    """

    factor: float
    strength: float
    repeated: bool


def find_enlargement(lumas: Sequence[Luma]) -> Enlargement | None:
    """Return how the picture was enlarged, by the same factor (1.1 to 7) across and down; None without a sign.

    `lumas`: patches of shape (h, w), of which those under 64 px a side are passed over. A kernel that leaves no rhythm
    (Lanczos, much later editing, strong compression) gives None too.
    """
    usable = [patch for patch in lumas if min(patch.shape) >= 64]
    if not usable:
        return None
    across, down = [_rhythms(patch) for patch in usable], [_rhythms(patch.T) for patch in usable]
    both = np.minimum(_spectrum(across), _spectrum(down))
    frequency, strength = _peak(both)
    if strength < RHYTHM:
        return None
    rhythms = np.concatenate(across + down)
    factor = _factor(frequency, float(np.median(rhythms)))
    return Enlargement(factor, strength, _is_repeated(factor, strength, rhythms))


def _rhythms(patch: Luma) -> Spectrum:
    """Return the mean step at each column over the local mean of steps; 1 where the picture is flat."""
    steps = np.abs(np.diff(patch.astype(np.int16), axis=1)).mean(axis=0)
    padded = np.pad(steps, _WINDOW // 2, mode="reflect")
    local = np.convolve(padded, np.full(_WINDOW, 1 / _WINDOW), mode="valid")
    return np.where(local >= _FAINT, steps / np.maximum(local, _FAINT), 1.0)


def _spectrum(rhythms: Sequence[Spectrum]) -> Spectrum:
    """Return the amplitude at each of _FREQUENCIES, root mean square over patches: their phases need not agree."""
    amplitudes: Spectrum = np.sqrt(np.mean([_amplitudes(rhythm) ** 2 for rhythm in rhythms], axis=0))
    amplitudes[-1] /= 2  # the one frequency that has no mirror image
    return amplitudes


def _amplitudes(rhythm: Spectrum) -> Spectrum:
    window = np.hanning(len(rhythm) + 2)[1:-1]
    return np.asarray(2 * np.abs(np.fft.rfft((rhythm - 1) * window / window.sum(), _LENGTH)), np.float64)


def _peak(spectrum: Spectrum) -> tuple[float, float]:
    """Return (frequency, height above the median) of the highest peak that a JPEG's blocks do not explain.

    Blocks have peaks of like height at 1/8, 1/4, 3/8 and 1/2: those at 1/8 and 3/8 are passed over, and what stands
    there is taken off the others.
    """
    background = float(np.median(spectrum[_FREQUENCIES > 0.1]))
    blocks = max(float(spectrum[_near(eighth)].max()) for eighth in (1 / 8, 3 / 8))
    free = np.where((_FREQUENCIES < _SLOWEST) | _near(1 / 8) | _near(3 / 8), 0.0, spectrum)
    free[_near(1 / 4) | _near(1 / 2)] -= blocks
    best = int(np.argmax(free))
    # Overtones of narrow pulses are as high as their ground tone: the lowest peak of about that height counts.
    lowest = int(np.argmax(free >= _ALIKE * free[best]))
    best = lowest + int(np.argmax(free[lowest : lowest + 2 * _WIDE]))
    return float(_FREQUENCIES[best]), float(free[best]) - background


def _near(frequency: float) -> NDArray[np.bool_]:
    return np.abs(_FREQUENCIES - frequency) <= _NEAR


def _factor(frequency: float, middle: float) -> float:
    """Return the factor behind a rhythm in cycles a pixel.

    From 2 up one column of several has steps, so that the median column lies below the mean of 1, and the frequency is
    1 / factor. Below 2 one column of several has none: the median lies above, and 1 / factor shows as 1 - 1 / factor.
    """
    return 1 / frequency if middle < 1 or frequency > 0.49 else 1 / (1 - frequency)


def _is_repeated(factor: float, strength: float, rhythms: Spectrum) -> bool:
    """Tell repeated pixels from a strong rhythm of a smooth kernel: of the columns without steps, half have hardly any.

    From 2 up strength alone tells, which JPEG's smearing of the empty columns harms less.
    """
    if factor >= 2:
        return strength >= REPEATED
    weak = float(np.quantile(rhythms, (1 - 1 / factor) / 2))
    return strength >= REPEATED * (factor - 1) and weak < _EMPTY
