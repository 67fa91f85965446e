"""Colours that sRGB cannot show, brought to where it can.

Linear light with the primaries of BT.709 and sRGB goes in unbounded and comes out in [0, 1], its hue and lightness in
OKLab kept. Clipping each channel by itself would turn a deep orange yellow, and level all that lies beyond the gamut.

OKLab: Ottosson, "A perceptual color space for image processing" (2020). Mapping without compression: W3C, CSS Color
Module Level 4, "Gamut Mapping": chroma is reduced until the clipped colour is not noticeably different.
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit
from numpy.typing import NDArray

Light = NDArray[np.float32] | NDArray[np.float64]

# Ottosson 2020: linear sRGB to cone responses, and their cube roots to L, a, b.
_CONES = np.array(
    [
        [0.4122214708, 0.5363325363, 0.0514459929],
        [0.2119034982, 0.6806995451, 0.1073969566],
        [0.0883024619, 0.2817188376, 0.6299787005],
    ]
)
_LAB = np.array(
    [
        [0.2104542553, 0.7936177850, -0.0040720468],
        [1.9779984951, -2.4285922050, 0.4505937099],
        [0.0259040371, 0.7827717662, -0.8086757660],
    ]
)
_FROM_CONES = np.linalg.inv(_CONES)
_FROM_LAB = np.linalg.inv(_LAB)

# One 16-bit code beyond black and white, in linear light: the slopes of the sRGB curve there are 12.92 and 1.055 / 2.4.
LOW = -1 / 65535 / 12.92
HIGH = 1 + 1 / 65535 * 2.4 / 1.055

JND = 0.02  # CSS Color 4: a difference in OKLab that is just noticed
_EPSILON = 1e-5  # CSS Color 4 stops at 1e-4, which is a visible share of a 10-bit step

# Compression of distances as in the ACES Reference Gamut Compression (Academy, 2021; constants from memory): its power,
# and a threshold beside its 0.803 to 0.880. There the distance is that of each channel from the neutral axis; here it
# is chroma over the chroma at the gamut's boundary, so that hue and lightness stay.
THRESHOLD = 0.8
_POWER = 1.2
FARTHEST = 2.0  # beyond twice the boundary's chroma lie only colours that no surface has


def fit(light: Light, reach: float) -> None:
    """Bring colours into the gamut, in place: `light` is (n, 3), linear, unbounded.

    `reach` 1 maps only what lies outside (relative); above that, chroma from 0.8 to `reach` times the boundary's is
    pressed together so that all of it stays apart (perceptual). Colours that need no change keep their bits.
    """
    if not 1 <= reach <= FARTHEST:
        raise ValueError(f"a source reaches 1 to {FARTHEST:g} times as far as the gamut, not {reach}")
    _fit(light, reach)


def reach_of(light: Light) -> float:
    """Return how far beyond the gamut colours (n, 3) reach: chroma over the boundary's, within 1 to `FARTHEST`."""
    return float(min(max(_farthest(light), 1.0), FARTHEST))


def press(distance: float, reach: float) -> float:
    """Return the compressed distance: itself up to the threshold, 1 at `reach` (> 1), strictly rising."""
    return _press(distance, reach)


@njit(cache=True, nogil=True, error_model="numpy")
def _cube_root(value: float) -> float:
    """Return the real cube root to 1e-14 of itself, at half the cost of the C library's.

    A third of the exponent, by the bits of a double, is within 4 %; each of Halley's steps cubes the error.
    """
    size = abs(value)
    root = np.int64(np.float64(size).view(np.int64) // 3 + 0x2A9F7893782DA1CE).view(np.float64)
    for _ in range(2):
        cubed = root * root * root
        root *= (cubed + 2 * size) / (2 * cubed + size)
    return root if value >= 0 else -root


@njit(cache=True, nogil=True, error_model="numpy")
def _to_lab(r: float, g: float, b: float) -> tuple[float, float, float]:
    long = _cube_root(_CONES[0, 0] * r + _CONES[0, 1] * g + _CONES[0, 2] * b)
    medium = _cube_root(_CONES[1, 0] * r + _CONES[1, 1] * g + _CONES[1, 2] * b)
    short = _cube_root(_CONES[2, 0] * r + _CONES[2, 1] * g + _CONES[2, 2] * b)
    return (
        _LAB[0, 0] * long + _LAB[0, 1] * medium + _LAB[0, 2] * short,
        _LAB[1, 0] * long + _LAB[1, 1] * medium + _LAB[1, 2] * short,
        _LAB[2, 0] * long + _LAB[2, 1] * medium + _LAB[2, 2] * short,
    )


@njit(cache=True, nogil=True, error_model="numpy")
def _to_light(lightness: float, a: float, b: float) -> tuple[float, float, float]:
    long = (_FROM_LAB[0, 0] * lightness + _FROM_LAB[0, 1] * a + _FROM_LAB[0, 2] * b) ** 3
    medium = (_FROM_LAB[1, 0] * lightness + _FROM_LAB[1, 1] * a + _FROM_LAB[1, 2] * b) ** 3
    short = (_FROM_LAB[2, 0] * lightness + _FROM_LAB[2, 1] * a + _FROM_LAB[2, 2] * b) ** 3
    return (
        _FROM_CONES[0, 0] * long + _FROM_CONES[0, 1] * medium + _FROM_CONES[0, 2] * short,
        _FROM_CONES[1, 0] * long + _FROM_CONES[1, 1] * medium + _FROM_CONES[1, 2] * short,
        _FROM_CONES[2, 0] * long + _FROM_CONES[2, 1] * medium + _FROM_CONES[2, 2] * short,
    )


@njit(cache=True, nogil=True, error_model="numpy")
def _inside(r: float, g: float, b: float) -> bool:
    return min(r, g, b) >= LOW and max(r, g, b) <= HIGH


@njit(cache=True, nogil=True, error_model="numpy")
def _clipped(r: float, g: float, b: float) -> tuple[float, float, float]:
    return min(max(r, 0.0), 1.0), min(max(g, 0.0), 1.0), min(max(b, 0.0), 1.0)


@njit(cache=True, nogil=True, error_model="numpy")
def _noticed(lightness: float, a: float, b: float, r: float, g: float, blue: float) -> float:
    """Return the OKLab distance between a colour and light within the gamut."""
    other_lightness, other_a, other_b = _to_lab(r, g, blue)
    return math.sqrt((lightness - other_lightness) ** 2 + (a - other_a) ** 2 + (b - other_b) ** 2)


@njit(cache=True, nogil=True, error_model="numpy")
def _reduced(lightness: float, a: float, b: float) -> tuple[float, float, float]:
    """Return the clipped colour that is just noticeably different from the one that chroma was reduced to.

    CSS Color 4, "Sample Pseudocode for the Binary Search Gamut Mapping Algorithm with Local MINDE", its root found by
    false position (Illinois rule; Dowell and Jarratt, 1971), which takes a third of the steps.
    """
    near = _clipped(*_to_light(lightness, a, b))
    too_much = _noticed(lightness, a, b, *near) - JND
    if too_much < 0:
        return near
    low, high = 0.0, 1.0  # shares of the chroma
    too_little, side, chroma = -JND, 0, math.hypot(a, b)
    # The difference grows about as fast as chroma does beyond the boundary: this first step lands close to the root.
    share = max(1 - 1.2 * too_much / chroma, 0.0)
    while (high - low) * chroma > _EPSILON:
        near = _clipped(*_to_light(lightness, share * a, share * b))
        off = _noticed(lightness, share * a, share * b, *near) - JND
        if abs(off) < _EPSILON:
            break
        if off > 0:
            high, too_much, too_little, side = share, off, too_little / 2 if side == 1 else too_little, 1
        else:
            low, too_little, too_much, side = share, off, too_much / 2 if side == -1 else too_much, -1
        share = (low * too_much - high * too_little) / (too_much - too_little)
    return near


@njit(cache=True, nogil=True, error_model="numpy")
def _room(lightness: float, a: float, b: float) -> float:
    """Return how far the channels are from the end of the gamut; negative outside."""
    red, green, blue = _to_light(lightness, a, b)
    return min(min(red, green, blue) - LOW, HIGH - max(red, green, blue))


@njit(cache=True, nogil=True, error_model="numpy")
def _boundary(lightness: float, a: float, b: float) -> float:
    """Return the share of (a, b) at which the gamut ends, 0 to 1 / THRESHOLD; lightness is in (0, 1).

    By false position (Illinois rule), to less than a 16-bit code.
    """
    low, high = 0.0, 1 / THRESHOLD
    inside, outside, side = _room(lightness, 0.0, 0.0), _room(lightness, high * a, high * b), 0
    while high - low > 1e-7:
        share = (low * outside - high * inside) / (outside - inside)
        room = _room(lightness, share * a, share * b)
        if abs(room) < 1e-7:
            return share
        if room > 0:
            low, inside, outside, side = share, room, outside / 2 if side == 1 else outside, 1
        else:
            high, outside, inside, side = share, room, inside / 2 if side == -1 else inside, -1
    return low


@njit(cache=True, nogil=True, error_model="numpy")
def _press(distance: float, reach: float) -> float:
    if distance <= THRESHOLD:
        return distance
    room, span = 1 - THRESHOLD, reach - THRESHOLD
    scale = span / ((room / span) ** -_POWER - 1) ** (1 / _POWER)
    beyond = (distance - THRESHOLD) / scale
    pressed: float = THRESHOLD + scale * beyond / (1 + beyond**_POWER) ** (1 / _POWER)
    return pressed


@njit(cache=True, nogil=True, error_model="numpy")
def _pressed(lightness: float, a: float, b: float, reach: float) -> tuple[float, float, float]:
    share = _boundary(lightness, a, b)
    # The last of the boundary's search stays outside by less than a 16-bit code: hence the clip.
    share *= min(_press(min(1 / max(share, 1e-9), reach), reach), 1.0)
    return _clipped(*_to_light(lightness, share * a, share * b))


@njit(cache=True, nogil=True, error_model="numpy")
def _needs_press(lightness: float, a: float, b: float) -> bool:
    return not _inside(*_to_light(lightness, a / THRESHOLD, b / THRESHOLD))


@njit(cache=True, nogil=True, error_model="numpy")
def _fit(light: Light, reach: float) -> None:
    for i in range(light.shape[0]):
        r, g, b = float(light[i, 0]), float(light[i, 1]), float(light[i, 2])
        inside = _inside(r, g, b)
        if inside and (reach == 1.0 or r == g == b):
            continue
        lightness, a, blue = _to_lab(r, g, b)
        if lightness >= 1 or lightness <= 0:
            r, g, b = _clipped(r, g, b) if inside else (1.0, 1.0, 1.0) if lightness >= 1 else (0.0, 0.0, 0.0)
        elif reach == 1.0:
            r, g, b = _reduced(lightness, a, blue)
        elif _needs_press(lightness, a, blue):
            r, g, b = _pressed(lightness, a, blue, reach)
        elif inside:
            continue
        else:
            r, g, b = _clipped(r, g, b)
        light[i, 0], light[i, 1], light[i, 2] = r, g, b


@njit(cache=True, nogil=True, error_model="numpy")
def _farthest(light: Light) -> float:
    farthest = 0.0
    for i in range(light.shape[0]):
        lightness, a, b = _to_lab(light[i, 0], light[i, 1], light[i, 2])
        # Near black and white the boundary's chroma vanishes, and with it the meaning of the ratio.
        if 0.1 < lightness < 0.95 and not _inside(light[i, 0], light[i, 1], light[i, 2]):
            farthest = max(farthest, 1 / max(_boundary(lightness, a, b), 1e-9))
    return farthest
