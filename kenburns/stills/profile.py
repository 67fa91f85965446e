"""What a colour profile says, and the way from its colours to sRGB.

Conversion is relative colorimetric with black point compensation by LittleCMS, as libvips calls it. Profile layout:
ISO 15076-1 (ICC.1). sRGB: IEC 61966-2-1.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from io import BytesIO
from typing import Any

import numpy as np
import pyvips
from numpy.typing import NDArray
from PIL import ImageCms

BANDS = {"GRAY": 1, "RGB": 3, "CMYK": 4}
UNREADABLE = "unreadable profile, taken as sRGB"

_FULL = 65535
_SAME = _FULL / 255  # a profile this near sRGB, everywhere on the probe, needs no conversion
_HOW = {"intent": "relative", "black_point_compensation": True}


@dataclass(frozen=True, slots=True)
class Route:
    """How a picture's values become sRGB.

    `label` says in words which profile holds. `source` is an embedded profile's bytes, the name of one of libvips's
    own profiles ("cmyk", "p3"), or None where the values are sRGB as they stand.
    """

    label: str
    source: bytes | str | None = None


def route_for(profile: bytes | None, model: str) -> Route:
    """Return the way to sRGB for a picture of colour model "GRAY", "RGB" or "CMYK" with this embedded profile.

    No profile means sRGB (CMYK: libvips's built-in profile). So does a profile that cannot be read or belongs to
    another colour model; the label says so. An RGB profile on a grey picture holds: grey is R = G = B.
    """
    builtin = "cmyk" if model == "CMYK" else None
    if profile is None:
        return Route("no profile, taken as " + ("common CMYK" if builtin else "sRGB"), builtin)
    if not _usable(profile, model):
        return Route("unreadable profile, taken as common CMYK" if builtin else UNREADABLE, builtin)
    name = description(profile) or "profile without a name"
    return Route(name) if _behaves_as_srgb(profile) else Route(name, profile)


@lru_cache(maxsize=32)
def colour_space(profile: bytes) -> str:
    """Return the profile's colour space ("RGB", "GRAY", "CMYK" ...), "" where LittleCMS cannot read it."""
    parsed = _parsed(profile)
    return str(parsed.profile.xcolor_space).strip() if parsed else ""


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
    space = colour_space(profile)
    if space not in (model, "RGB" if model == "GRAY" else model):
        return False
    return _transforms(profile, space)


def _transforms(profile: bytes, space: str) -> bool:
    """Ask LittleCMS itself: libvips would quietly put a profile of its own in the place of a broken one."""
    mode = {"GRAY": "L", "RGB": "RGB", "CMYK": "CMYK"}[space]
    try:
        ImageCms.buildTransform(BytesIO(profile), ImageCms.createProfile("sRGB"), mode, "RGB")
        _probe_result(profile)
    except (ImageCms.PyCMSError, pyvips.Error):
        return False
    return True


@lru_cache(maxsize=32)
def _behaves_as_srgb(profile: bytes) -> bool:
    space = colour_space(profile)
    if space == "CMYK":
        return False
    probe = _probe(space)
    expected = np.broadcast_to(probe.astype(np.float64) * 257, (*probe.shape[:2], 3))
    return bool(np.abs(_probe_result(profile) - expected).max() <= _SAME)


def _probe(space: str) -> NDArray[np.uint8]:
    """Return a grid over the whole colour space, 9 steps a band (grey: all 256), as a picture one row high."""
    if space == "GRAY":
        return np.arange(256, dtype=np.uint8).reshape(1, 256, 1)
    steps = np.linspace(0, 255, 9).round().astype(np.uint8)
    grid = np.meshgrid(*[steps] * BANDS[space], indexing="ij")
    return np.stack(grid, axis=-1).reshape(1, -1, BANDS[space])


def _probe_result(profile: bytes) -> NDArray[np.uint16]:
    space = colour_space(profile)
    names = {"GRAY": "b-w", "RGB": "srgb", "CMYK": "cmyk"}
    image = pyvips.Image.new_from_array(_probe(space), interpretation=names[space])
    result: NDArray[np.uint16] = convert(image, profile).numpy()
    return result


def convert(colour: pyvips.Image, source: bytes | str) -> pyvips.Image:
    """Return a picture without alpha as 16-bit sRGB.

    8-bit RGB goes straight through LittleCMS, which is fast and exact for matrix profiles. For 16-bit values and for
    CMYK it would lay a coarse grid over the transform (measured: up to 24/255 off beside the gamut's edge), so those
    go by way of floating-point XYZ (up to 2/255).
    """
    tagged, how = _tagged(colour, source)
    if colour.format == "uchar" and colour.bands < 4:
        return tagged.icc_transform("srgb", depth=16, **how, **_HOW)
    return tagged.icc_import(pcs="xyz", **how, **_HOW).XYZ2scRGB().scRGB2sRGB(depth=16)


def _tagged(colour: pyvips.Image, source: bytes | str) -> tuple[pyvips.Image, dict[str, Any]]:
    own = colour.copy()
    own.remove("icc-profile-data")
    if isinstance(source, str):
        return own, {"input_profile": source}
    own.set_type(pyvips.GValue.blob_type, "icc-profile-data", source)
    return own, {"embedded": True}
