"""RGB as photographs carry it, Y'CbCr as clips carry it.

A still is display-referred: its sRGB code values already say how bright each pixel looks on a monitor. BT.709 clips are
watched on the same monitors, and editing systems and players pass sRGB stills into BT.709 pictures code for code. So
R'G'B' is kept as it is (the primaries and the white of sRGB and BT.709 are the same), and only the matrix and the
narrow range of BT.709 are applied. Applying the camera curve of BT.709 instead would darken or lighten every still
against the photograph it was made from.

Luma is filtered as light: its plane holds the light that a luma value stands for, 0 to 65535, because a fine weave seen
from afar is as bright as the light it sends, not as its code values. Chroma planes hold 16-bit narrow-range codes, 256
times the 8-bit code of Rec. ITU-R BT.709-6, table 4.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

# Rec. ITU-R BT.709-6, item 3.2: luma from R'G'B', and the scale of the colour differences.
RED, BLUE = 0.2126, 0.0722
GREEN = 1 - RED - BLUE
LUMA_BLACK, LUMA_SPAN = 16 * 256, 219 * 256
CHROMA_ZERO, CHROMA_SPAN = 128 * 256, 224 * 256

# Rows Y', Cb, Cr; columns R', G', B' in [0, 1], constant: 16-bit codes.
MATRIX = np.array(
    [
        [LUMA_SPAN * RED, LUMA_SPAN * GREEN, LUMA_SPAN * BLUE, LUMA_BLACK],
        [
            CHROMA_SPAN * -RED / (2 * (1 - BLUE)),
            CHROMA_SPAN * -GREEN / (2 * (1 - BLUE)),
            CHROMA_SPAN / 2,
            CHROMA_ZERO,
        ],
        [
            CHROMA_SPAN / 2,
            CHROMA_SPAN * -GREEN / (2 * (1 - RED)),
            CHROMA_SPAN * -BLUE / (2 * (1 - RED)),
            CHROMA_ZERO,
        ],
    ]
)


def srgb_to_linear(code: NDArray[np.floating]) -> NDArray[np.float64]:
    """Decode sRGB values in [0, 1] to linear light in [0, 1] (IEC 61966-2-1)."""
    code = np.asarray(code, np.float64)
    return np.where(code <= 0.04045, code / 12.92, ((code + 0.055) / 1.055) ** 2.4)


def linear_to_srgb(light: NDArray[np.floating]) -> NDArray[np.float64]:
    """Encode linear light in [0, 1] as sRGB values in [0, 1] (IEC 61966-2-1)."""
    light = np.asarray(light, np.float64)
    return np.where(light <= 0.0031308, light * 12.92, 1.055 * np.maximum(light, 0.0031308) ** (1 / 2.4) - 0.055)


LIGHT = 65535  # code of white in a plane of light


def luma_to_light() -> NDArray[np.uint16]:
    """Return the table from luma, 0 to 65535, to the light it stands for, 0 to 65535."""
    return np.asarray(np.rint(srgb_to_linear(np.arange(LIGHT + 1) / LIGHT) * LIGHT), np.uint16)


def codes(rgb: tuple[int, int, int]) -> tuple[float, float, float]:
    """Return what an 8-bit sRGB colour is in the three planes: light, Cb, Cr."""
    luma, blue, red = MATRIX[:, :3] @ (np.asarray(rgb) / 255) + MATRIX[:, 3]
    light = srgb_to_linear(np.asarray((luma - LUMA_BLACK) / LUMA_SPAN)) * LIGHT
    return float(light), float(blue), float(red)
