"""The curve of sRGB (IEC 61966-2-1), from linear light to 16-bit codes."""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

# Straight lines between this many points err by less than a tenth of a 16-bit code: the curve bends most just above
# its linear part, f'' = -2390 at 0.0031308, and the error is f'' / 8 / steps².
_STEPS = 1 << 14


def encoded(light: NDArray[np.floating]) -> NDArray[np.float64]:
    """Return sRGB values in [0, 1] for linear light, clipped to [0, 1]."""
    light = np.clip(np.asarray(light, np.float64), 0, 1)
    return np.where(light <= 0.0031308, light * 12.92, 1.055 * np.maximum(light, 0.0031308) ** (1 / 2.4) - 0.055)


_CURVE = (encoded(np.arange(_STEPS + 2) / _STEPS) * 65535).astype(np.float32)


def encode(light: NDArray[np.float32], out: NDArray[np.uint16]) -> None:
    """Fill `out` (n, 3) with the sRGB codes, 0 to 65535, of linear light (n, 3) clipped to [0, 1]."""
    _encode(light.reshape(-1), _CURVE, out.reshape(-1))


@njit(cache=True, nogil=True, error_model="numpy")
def _encode(light: NDArray[np.float32], curve: NDArray[np.float32], out: NDArray[np.uint16]) -> None:
    steps = np.float32(curve.size - 2)
    for i in range(light.size):
        place = min(max(light[i], np.float32(0)), np.float32(1)) * steps
        below = int(place)
        value = curve[below] + (place - np.float32(below)) * (curve[below + 1] - curve[below])
        out[i] = np.uint16(value + np.float32(0.5))
