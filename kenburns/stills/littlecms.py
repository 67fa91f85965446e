"""LittleCMS in floating point: values of a picture to light, nothing clipped and nothing laid over a grid.

libvips and Pillow hand LittleCMS integers and take integers back: linear light in 16-bit steps is too coarse near black
for a 10-bit clip, and colours outside the target's gamut are lost. imagecodecs gives its floating-point side.
"""

from __future__ import annotations

from functools import cache
from typing import Any, Literal

import imagecodecs
import numpy as np
from numpy.typing import NDArray

Intent = Literal["relative", "perceptual"]
Samples = NDArray[np.uint8] | NDArray[np.uint16]

ProfileError: type[Exception] = imagecodecs.CmsError

_NUMBERS: dict[Intent, int] = {"perceptual": 0, "relative": 1}  # ISO 15076-1 §7.2.15
_FLAGS = imagecodecs.CMS.FLAGS
_HOW = _FLAGS.BLACKPOINTCOMPENSATION | _FLAGS.NOOPTIMIZE | _FLAGS.NOCACHE
_NAMES = {"GRAY": "gray", "RGB": "rgb", "CMYK": "cmyk"}
_D65 = (0.3127, 0.3290, 1)


def space(profile: bytes) -> str:
    """Return the colour space in a profile's header: "RGB", "GRAY", "CMYK" ... (ISO 15076-1 §7.2.6)."""
    return profile[16:20].decode("latin-1").strip()


def light(values: Samples, profile: bytes, intent: Intent = "relative") -> NDArray[np.float32]:
    """Return linear light, shape (n, 3), for values (n, bands) of the profile's space "GRAY", "RGB" or "CMYK".

    Primaries and white are those of BT.709 and sRGB; white is 1, and colours that sRGB cannot show lie outside [0, 1].
    The black point is compensated with both intents. Raises ProfileError for a profile that does not serve.
    """
    result: NDArray[np.float32] = imagecodecs.cms_transform(
        np.ascontiguousarray(values)[None],
        profile,
        _linear_bt709(),
        colorspace=_NAMES[space(profile)],
        outcolorspace="rgb",
        outdtype="float32",
        intent=_NUMBERS[intent],
        flags=_HOW,
    )
    return result.reshape(-1, 3)


@cache
def _linear_bt709() -> bytes:
    # Rec. ITU-R BT.709-6, items 1.3 and 1.4
    return _rgb_profile((0.64, 0.33, 1, 0.30, 0.60, 1, 0.15, 0.06, 1), gamma=1.0)


@cache
def display_p3() -> bytes:
    """Return a profile of Display P3: primaries of SMPTE EG 432-1, white and curve of IEC 61966-2-1."""
    code = np.linspace(0, 1, 4096)
    curve = np.where(code <= 0.04045, code / 12.92, ((code + 0.055) / 1.055) ** 2.4).astype(np.float32)
    return _rgb_profile((0.68, 0.32, 1, 0.265, 0.69, 1, 0.15, 0.06, 1), transferfunction=curve)


def _rgb_profile(primaries: tuple[float, ...], **curve: Any) -> bytes:
    return bytes(imagecodecs.cms_profile("rgb", whitepoint=_D65, primaries=primaries, **curve))
