"""What a colour profile says, and which profile holds for a picture. Profile layout: ISO 15076-1 (ICC.1)."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from io import BytesIO

import numpy as np
import pyvips
from numpy.typing import NDArray
from PIL import ImageCms

from .littlecms import ProfileError, display_p3, light, space
from .srgb import encoded

UNREADABLE = "unreadable profile, taken as sRGB"

# A profile this near sRGB everywhere on the probe needs no conversion: the values of a picture would stay as they are.
_SAME_IN_8_BITS = 0.5 / 255
_SAME_IN_16_BITS = 1 / 65535

_BANDS = {"GRAY": 1, "RGB": 3, "CMYK": 4}


@dataclass(frozen=True, slots=True)
class Route:
    """How a picture's values become sRGB.

    `label` says in words which profile holds. `source` is that profile, or None where the values are sRGB as they
    stand.
    """

    label: str
    source: bytes | None = None


def route_for(profile: bytes | None, model: str, *, deep: bool, is_p3: bool = False) -> Route:
    """Return the way to sRGB for a picture of colour model "GRAY", "RGB" or "CMYK" with this embedded profile.

    No profile means Display P3 where the file is marked so, else sRGB (CMYK: libvips's built-in profile). So does a
    profile that cannot be read or belongs to another colour model; the label says so. An RGB profile on a grey picture
    holds: grey is R = G = B. `deep` is whether samples have more than 8 bits.
    """
    if profile is None and is_p3:
        return Route("Display P3, marked in the file", display_p3())
    built_in = _common_cmyk() if model == "CMYK" else None
    if profile is None:
        return Route("no profile, taken as " + ("common CMYK" if built_in else "sRGB"), built_in)
    if not _usable(profile, model):
        return Route("unreadable profile, taken as common CMYK" if built_in else UNREADABLE, built_in)
    name = description(profile) or "profile without a name"
    return (
        Route(name) if _off_srgb(profile) <= (_SAME_IN_16_BITS if deep else _SAME_IN_8_BITS) else Route(name, profile)
    )


@lru_cache(maxsize=1)
def _common_cmyk() -> bytes:
    return bytes(pyvips.Operation.call("profile_load", "cmyk"))


@lru_cache(maxsize=32)
def colour_space(profile: bytes) -> str:
    """Return the profile's colour space ("RGB", "GRAY", "CMYK" ...), "" where LittleCMS cannot read it."""
    return space(profile) if _parsed(profile) else ""


@lru_cache(maxsize=32)
def description(profile: bytes) -> str:
    """Return the profile's own name on one line, "" where it has none."""
    parsed = _parsed(profile)
    text = (parsed.profile.profile_description or "") if parsed else ""
    return " ".join(text.split())[:80]


def _parsed(profile: bytes) -> ImageCms.ImageCmsProfile | None:
    try:
        return ImageCms.ImageCmsProfile(BytesIO(profile))
    except OSError:
        return None


@lru_cache(maxsize=32)
def _usable(profile: bytes, model: str) -> bool:
    if colour_space(profile) not in (model, "RGB" if model == "GRAY" else model):
        return False
    try:
        light(probe(colour_space(profile)), profile)
    except ProfileError:
        return False
    return True


@lru_cache(maxsize=32)
def _off_srgb(profile: bytes) -> float:
    """Return the largest difference, in [0, 1], between the probe's values and what the profile makes of them."""
    if colour_space(profile) == "CMYK":
        return 1.0
    values = probe(colour_space(profile))
    return float(np.abs(encoded(light(values, profile)) - values / 255).max())


def probe(of_space: str) -> NDArray[np.uint8]:
    """Return a grid over a whole colour space, shape (n, bands): 9 steps a band (grey: all 256)."""
    if of_space == "GRAY":
        return np.arange(256, dtype=np.uint8)[:, None]
    steps = np.linspace(0, 255, 9).round().astype(np.uint8)
    grid = np.meshgrid(*[steps] * _BANDS[of_space], indexing="ij")
    return np.stack(grid, axis=-1).reshape(-1, _BANDS[of_space])
