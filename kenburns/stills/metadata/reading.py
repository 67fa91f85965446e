"""From a photograph's file to its packets of metadata, by its format."""

from __future__ import annotations

from pathlib import Path

from .heif import read_heif
from .jpeg import read_jpeg
from .packets import Packets
from .png import read_png
from .tiff import read_tiff
from .webp import read_webp

_READERS = {"JPEG": read_jpeg, "TIFF": read_tiff, "PNG": read_png, "WebP": read_webp}


def read_packets(path: Path, kind: str) -> Packets:
    """Return the packets of a file of this format (see stills/formats.py); no pixel is decoded.

    Raises OSError where the file cannot be read, and for HEIC and AVIF what their decoder raises.
    """
    if kind in ("HEIC", "AVIF"):
        return read_heif(path)
    with path.open("rb") as file:
        return _READERS[kind](file)
