"""Files to pixels as stored: the header first, then the samples, through one loader a format.

libvips reads everything but HEIC, whose HEVC coding its Python wheel lacks; libheif (pi-heif) reads that. Loaders are
called by name after the content has been recognised, so no other decoder is ever tried.
"""

from __future__ import annotations

import logging
import struct
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pi_heif
import pyvips

from ..errors import PhotographError
from .tiff_tags import read_tiff_tags

# A folder's photographs are each read once: remembering decoded tiles would only hold memory.
pyvips.cache_set_max(0)
# Decoders warn about odd metadata; what matters becomes an error that names the file.
logging.getLogger("pyvips").addHandler(logging.NullHandler())

_LOADERS = {"JPEG": "jpegload", "PNG": "pngload", "TIFF": "tiffload", "WebP": "webpload", "AVIF": "heifload"}
_MODELS = {"b-w": "GRAY", "grey16": "GRAY", "srgb": "RGB", "rgb": "RGB", "rgb16": "RGB", "cmyk": "CMYK"}
_COLOUR_BANDS = {"GRAY": 1, "RGB": 3, "CMYK": 4}
_SMPTE_EG_432 = 12  # colour primaries of Display P3, ITU-T H.273 table 2
_HDR_CURVES = {16: "PQ", 18: "HLG"}  # transfer characteristics, ITU-T H.273 table 3
_DECODER_ERRORS = (
    *(pyvips.Error, OSError, ValueError, RuntimeError, EOFError, SyntaxError, MemoryError),
    *(LookupError, ArithmeticError, TypeError, struct.error),  # of bindings that trust what a file says of itself
)


@dataclass(frozen=True, slots=True)
class Header:
    """What a file says before its pixels are decoded; width and height as stored, before orientation 1 to 8 (EXIF).

    `model` is "GRAY", "RGB" or "CMYK"; `bits` is how many of a sample's bits mean something; `sampling` is libvips's
    name of the sample type, "uchar" and "ushort" being the usable ones.
    """

    width: int
    height: int
    orientation: int
    bits: int
    sampling: str
    model: str
    has_alpha: bool
    profile: bytes | None
    is_p3: bool = False
    hdr_curve: str = ""

    @property
    def is_turned(self) -> bool:
        """Whether orientation exchanges width and height."""
        return self.orientation >= 5

    @property
    def colour_bands(self) -> int:
        """Bands of colour, alpha and other extras left aside."""
        return _COLOUR_BANDS[self.model]


@contextmanager
def decoding(name: str) -> Iterator[None]:
    """Turn whatever a decoder raises into a PhotographError that names the file."""
    try:
        yield
    except _DECODER_ERRORS as error:
        words = " ".join(_words(error).split()).rstrip(".")
        message = f"'{name}' is damaged, cut off or not readable ({words}); fetch a fresh copy"
        raise PhotographError(message) from error


def _words(error: Exception) -> str:
    if isinstance(error, pyvips.Error):
        lines = [line.strip() for line in str(error.detail or error.message).splitlines() if line.strip()]
        return lines[-1] if lines else "no reason given"  # earlier ones may be left over from another file
    return getattr(error, "strerror", None) or str(error) or type(error).__name__


def read_header(path: Path, kind: str) -> Header:
    """Return what the file's header says; no pixel is decoded. Raises what the decoder raises."""
    header = _heic_header(path) if kind == "HEIC" else _vips_header(path, kind)
    if min(header.width, header.height) < 1:
        raise ValueError(f"its header says {header.width}×{header.height} px")
    return header


def _vips_header(path: Path, kind: str) -> Header:
    image = _vips_image(path, kind, "sequential")
    model = _MODELS.get(image.interpretation, "")
    extra = image.bands - _COLOUR_BANDS.get(model, image.bands)
    nclx = _nclx(path) if kind == "AVIF" else {}
    return Header(
        width=image.width,
        height=image.height,
        orientation=_orientation(image),
        bits=_bits(image, kind),
        sampling=image.format,
        model=model,
        has_alpha=extra > 0 and (kind != "TIFF" or read_tiff_tags(path).has_alpha),
        profile=_embedded(image),
        is_p3=nclx.get("color_primaries") == _SMPTE_EG_432,
        hdr_curve=_HDR_CURVES.get(nclx.get("transfer_characteristics", 0), ""),
    )


def _orientation(image: pyvips.Image) -> int:
    value = int(image.get("orientation")) if image.get_typeof("orientation") else 1
    return value if 1 <= value <= 8 else 1


def _bits(image: pyvips.Image, kind: str) -> int:
    if image.format == "uchar":
        return 8
    known = kind == "AVIF" and image.get_typeof("bits-per-sample")
    return int(image.get("bits-per-sample")) if known else 16


def _embedded(image: pyvips.Image) -> bytes | None:
    return bytes(image.get("icc-profile-data")) if image.get_typeof("icc-profile-data") else None


def _heif(path: Path) -> pi_heif.HeifFile:
    return pi_heif.open_heif(path, convert_hdr_to_8bit=False)


def _nclx(path: Path) -> dict[str, int]:
    """Return the colour description of an AVIF's `colr` box, empty where the file has none."""
    try:
        return dict(_heif(path).info.get("nclx_profile") or {})
    except _DECODER_ERRORS:
        return {}


def _heic_header(path: Path) -> Header:
    file = _heif(path)
    nclx = file.info.get("nclx_profile") or {}
    return Header(
        width=file.size[0],
        height=file.size[1],
        orientation=1,  # libheif turns the picture itself; ISO/EC 23008-12 leaves EXIF's word aside
        bits=file.info["bit_depth"],
        sampling="ushort" if ";16" in file.mode else "uchar",
        model="GRAY" if file.mode.startswith("L") else "RGB",
        has_alpha="A" in file.mode.upper(),
        profile=file.info.get("icc_profile") or None,
        is_p3=nclx.get("color_primaries") == _SMPTE_EG_432,
        hdr_curve=_HDR_CURVES.get(nclx.get("transfer_characteristics", 0), ""),
    )


def load(path: Path, kind: str, header: Header, *, in_order: bool, shrink: int = 1) -> pyvips.Image:
    """Return the picture as stored, lazily where the format allows, its meaningful bands only.

    `in_order` promises that rows are asked for once, from top to bottom: then only a few are held at a time (not
    for HEIC, WebP, AVIF and interlaced files, which decode whole). `shrink` 2, 4 or 8 is for JPEG alone and costs
    less than decoding all. A cut-off file is an error when its missing part is reached, never a half picture.
    """
    if kind == "HEIC":
        image = _heic_image(path)
    else:
        extra = {"shrink": shrink} if kind == "JPEG" else {}
        image = _vips_image(path, kind, "sequential" if in_order else "random", **extra)
    bands = header.colour_bands + header.has_alpha
    return _full_range(image[:bands] if image.bands > bands else image, header)


def _vips_image(path: Path, kind: str, access: str, **options: int) -> pyvips.Image:
    # Below "warning" libvips shows a TIFF's unreadable tiles as black.
    fail_on = "warning" if kind == "TIFF" else "error"
    return pyvips.Operation.call(_LOADERS[kind], str(path), access=access, fail_on=fail_on, **options)


def _heic_image(path: Path) -> pyvips.Image:
    file = _heif(path)
    samples: np.ndarray[Any, Any] = np.array(file)  # a copy: the decoder's own memory goes with `file`
    bands = 1 if samples.ndim == 2 else samples.shape[2]
    deep = samples.dtype == np.uint16
    names = {True: ("grey16", "rgb16"), False: ("b-w", "srgb")}[deep]
    return pyvips.Image.new_from_array(samples, interpretation=names[bands >= 3])


def _full_range(image: pyvips.Image, header: Header) -> pyvips.Image:
    """Stretch 10- and 12-bit samples, which decoders leave in the upper bits of 16, so that white is 65535."""
    if header.sampling != "ushort" or header.bits >= 16:
        return image
    top = ((1 << header.bits) - 1) << (16 - header.bits)
    return (image * (65535 / top)).rint().cast("ushort").copy(interpretation=image.interpretation)
