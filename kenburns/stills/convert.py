"""A picture's values to 16-bit sRGB: to linear light without a bound, into the gamut, and only then into integers.

With a matrix or grey profile, each band adds its own share of light: LittleCMS is asked once for the ramp of every
band, and the shares are looked up and added. Other profiles (tables, CMYK) send every pixel through LittleCMS.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from functools import lru_cache, partial
from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray

from . import srgb
from .gamut import fit, reach_of
from .littlecms import Intent, Samples, light, space
from .profile import probe

_BLOCK = 1 << 16  # pixels done at a time by one thread: few enough to stay in its cache
_ADDITIVE = 1e-5  # linear light; what single precision leaves of a sum is a hundredth of that
_HARDLY_BEYOND = 1.01  # a source that reaches no further than rounding takes it is not pressed together


def to_srgb(values: Samples, profile: bytes, intent: Intent) -> NDArray[np.uint16]:
    """Return sRGB codes, 0 to 65535, shape (h, w, 3), for values (h, w, bands) of the profile's colour space.

    Values of one band may also go with an RGB profile: they are R = G = B. Colours that sRGB cannot show are mapped by
    intent: "relative" changes only those, "perceptual" makes room for them. Raises ProfileError where the profile does
    not serve.
    """
    flat = values.reshape(-1, values.shape[2])
    out = np.empty((len(flat), 3), np.uint16)
    convert = partial(_convert, profile, intent, _shares(profile, intent, values.dtype, values.shape[2]))
    with ThreadPoolExecutor(os.cpu_count()) as threads:
        for _ in threads.map(convert, _blocks(flat), _blocks(out)):
            pass
    return out.reshape(*values.shape[:2], 3)


def _blocks(array: NDArray[Any]) -> Iterator[NDArray[Any]]:
    return (array[start : start + _BLOCK] for start in range(0, len(array), _BLOCK))


def _convert(
    profile: bytes, intent: Intent, shares: NDArray[np.float32] | None, values: Samples, out: NDArray[np.uint16]
) -> None:
    lit = light(values, profile, intent) if shares is None else _added(values, shares)
    fit(lit, _reach(profile, intent))
    srgb.encode(lit, out)


@lru_cache(maxsize=16)
def _reach(profile: bytes, intent: Intent) -> float:
    """Return how far beyond sRGB's gamut the colours of a profile reach, 1 where that does not matter."""
    if intent == "relative":
        return 1.0
    reach = reach_of(light(probe(space(profile)), profile, intent))
    return reach if reach > _HARDLY_BEYOND else 1.0


@lru_cache(maxsize=8)
def _shares(profile: bytes, intent: Intent, kind: np.dtype[Any], bands: int) -> NDArray[np.float32] | None:
    """Return each band's share of the light, shape (bands, levels, 3); None where bands do not simply add up."""
    ramp: Samples = np.arange(np.iinfo(kind).max + 1).astype(kind)
    if bands == 1:
        grey = ramp[:, None].repeat(3 if space(profile) == "RGB" else 1, axis=1)
        return light(grey, profile, intent)[None]
    if bands != 3:
        return None
    shares = np.stack([light(_only(band, ramp), profile, intent) for band in range(3)])
    shares[1:] -= shares[:1, :1]  # the light of black counts once
    some: Samples = np.random.default_rng(0).integers(0, len(ramp), (1000, 3)).astype(kind)
    off = np.abs(_added(some, shares) - light(some, profile, intent)).max()
    return shares if off <= _ADDITIVE else None


def _only(band: int, ramp: Samples) -> Samples:
    values: Samples = np.zeros((len(ramp), 3), ramp.dtype)
    values[:, band] = ramp
    return values


def _added(values: Samples, shares: NDArray[np.float32]) -> NDArray[np.float32]:
    lit = np.empty((len(values), 3), np.float32)
    _add(values, shares, lit)
    return lit


@njit(cache=True, nogil=True, error_model="numpy")
def _add(values: Samples, shares: NDArray[np.float32], lit: NDArray[np.float32]) -> None:
    for i in range(values.shape[0]):
        red, green, blue = np.float32(0), np.float32(0), np.float32(0)
        for band in range(values.shape[1]):
            share = shares[band, values[i, band]]
            red, green, blue = red + share[0], green + share[1], blue + share[2]
        lit[i, 0], lit[i, 1], lit[i, 2] = red, green, blue
