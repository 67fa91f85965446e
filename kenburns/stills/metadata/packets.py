"""The packets of metadata in a file, whatever the format that carries them.

The containers (jpeg.py, png.py, ...) find the packets, the others (exif.py, iim.py, xmp.py) read them. No picture
decoder takes part: the one used for pixels gives only the last of several APP13 segments of a JPEG, not a TIFF's own
tags, and none of a PNG's chunks behind the picture.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

MAX_PACKET = 64_000_000  # bytes; editing histories make XMP of some tens of megabytes


@dataclass(frozen=True, slots=True)
class Packets:
    """What was found; empty where a file has none.

    `tags`: values of the TIFF and Exif tags wanted, by number. `xmp`: an XML document. `iim`: IPTC-IIM datasets.
    `digest`: the MD5 of the IPTC-IIM that the XMP was last written to agree with. `keywords`: PNG's own texts.
    """

    tags: Mapping[int, bytes] = field(default_factory=dict)
    xmp: bytes = b""
    iim: bytes = b""
    digest: bytes = b""
    keywords: Mapping[str, str] = field(default_factory=dict)
