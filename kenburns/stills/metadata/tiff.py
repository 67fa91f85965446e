"""A TIFF's own tags: Artist and Copyright (TIFF 6.0 §8), XMP in 700, IPTC-IIM in 33723, image resources in 34377.

Tag 700: ISO 16684-1 (from memory). The others' numbers are common practice, registered with TIFF's keeper.
"""

from __future__ import annotations

from typing import BinaryIO

from .directory import read_directory
from .exif import EXIF_TAGS
from .packets import Packets
from .resources import read_resources

_XMP, _IIM, _RESOURCES = 700, 33723, 34377


def read_tiff(file: BinaryIO) -> Packets:
    """Return the packets of the first directory."""
    tags = read_directory(file, {*EXIF_TAGS, _XMP, _IIM, _RESOURCES})
    iim, digest = read_resources(tags.get(_RESOURCES, b""))
    return Packets(
        {tag: value for tag, value in tags.items() if tag in EXIF_TAGS},
        tags.get(_XMP, b""),
        tags.get(_IIM, b"") or iim,
        digest,
    )
