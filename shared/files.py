"""Photographs as they arrive: the formats, profiles and tags that the demo film's folder holds."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pyvips
from PIL import Image

from . import icc
from .surfaces import Pixels

_ORIENTATION, _ARTIST, _COPYRIGHT, _MODEL = 0x0112, 0x013B, 0x8298, 0x0110  # Exif 2.3, table 3 and TIFF 6.0


def jpeg(path: Path, picture: Pixels, quality: int = 88, artist: str = "", copyright_: str = "") -> Path:
    """Write a JPEG, grey or R, G, B, without a profile; name the photographer in its Exif where given."""
    Image.fromarray(picture).save(path, "JPEG", quality=quality, exif=_exif(artist, copyright_))
    return path


def turned_jpeg(path: Path, picture: Pixels, artist: str, copyright_: str) -> Path:
    """Write a JPEG lying on its side, as from a camera held upright: Exif orientation 6."""
    exif = _exif(artist, copyright_)
    exif[_ORIENTATION] = 6
    exif[_MODEL] = "Example camera"
    on_its_side = np.ascontiguousarray(np.rot90(picture))
    Image.fromarray(on_its_side).save(path, "JPEG", quality=88, exif=exif)
    return path


def deep_tiff(path: Path, picture: Pixels, rng: np.random.Generator) -> Path:
    """Write a TIFF of 16 bits a channel whose values mean opRGB; the levels between two 8-bit ones are filled."""
    deep = picture.astype(np.int32) * 257 + rng.integers(-128, 129, picture.shape, np.int32)
    image = _vips(np.clip(deep, 0, 65535).astype(np.uint16)).copy(interpretation="rgb16")
    image.set_type(pyvips.GValue.blob_type, "icc-profile-data", icc.op_rgb())
    image.tiffsave(str(path), compression="none")
    return path


def p3_jpeg(path: Path, picture: Pixels) -> Path:
    """Write a JPEG whose values mean Display P3, with that profile."""
    image = _vips(picture).copy(interpretation="srgb")
    image.jpegsave(str(path), Q=92, profile="p3")
    return path


def cmyk_jpeg(path: Path, picture: Pixels) -> Path:
    """Write a JPEG separated for print, with its CMYK profile."""
    image = _vips(picture).copy(interpretation="srgb")
    image.icc_transform("cmyk", input_profile="srgb", intent="relative").jpegsave(str(path), Q=88)
    return path


def cut_out_png(path: Path, picture: Pixels) -> Path:
    """Write a PNG with R, G, B and alpha."""
    _vips(picture).copy(interpretation="srgb").pngsave(str(path), compression=1, filter="paeth")
    return path


def webp(path: Path, picture: Pixels) -> Path:
    """Write a lossy WebP."""
    _vips(picture).copy(interpretation="srgb").webpsave(str(path), Q=80, effort=0)
    return path


def avif(path: Path, picture: Pixels) -> Path:
    """Write an AVIF."""
    _vips(picture).copy(interpretation="srgb").heifsave(str(path), compression="av1", Q=62, effort=0)
    return path


def broken_off(path: Path, whole: Path, share: float = 0.45) -> Path:
    """Write the first part of another file, as a transfer leaves it that broke off."""
    data = whole.read_bytes()
    path.write_bytes(data[: int(len(data) * share)])
    return path


def _exif(artist: str, copyright_: str) -> Image.Exif:
    exif = Image.Exif()
    if artist:
        exif[_ARTIST] = artist
    if copyright_:
        exif[_COPYRIGHT] = copyright_
    return exif


def _vips(picture: np.ndarray) -> pyvips.Image:
    return pyvips.Image.new_from_array(np.ascontiguousarray(picture))
