"""Exif and XMP of a HEIC's or AVIF's primary picture (ISO/IEC 23008-12 annex A, from memory), through libheif."""

from __future__ import annotations

from pathlib import Path

import pi_heif

from .directory import read_exif_packet
from .exif import EXIF_TAGS
from .packets import Packets


def read_heif(path: Path) -> Packets:
    """Return the packets; no pixel is decoded. Raises what the decoder raises."""
    info = pi_heif.open_heif(path).info
    return Packets(read_exif_packet(bytes(info.get("exif") or b""), EXIF_TAGS), bytes(info.get("xmp") or b""))
