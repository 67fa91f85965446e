"""JPEG's application segments: Exif and XMP in APP1, image resources in APP13.

Segments: ISO/IEC 10918-1 annex B. Heads: Exif 2.32 §4.7.2; XMP Specification part 3 (2020) §1.1.3, from
memory. XMP too long for one segment is continued in others, which are not read: the writer keeps the short properties,
as those here are, in the first.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import BinaryIO

from .directory import read_exif_packet
from .exif import EXIF_TAGS
from .packets import Packets
from .resources import read_resources

_APP1, _APP13 = 0xE1, 0xED
_ALONE = frozenset({0x01, *range(0xD0, 0xD9)})  # TEM, RST0 to RST7 and SOI have no length
_ENDS = frozenset({0xD9, 0xDA})  # EOI; SOS, from where on there are pixels
_XMP = b"http://ns.adobe.com/xap/1.0/\0"
_RESOURCES = b"Photoshop 3.0\0"
_MOST_SEGMENTS = 1024  # of at most 64 KB each


def read_jpeg(file: BinaryIO) -> Packets:
    """Return the packets before the pixels; damage ends the search."""
    segments = list(_segments(file))
    exif = next((body for marker, body in segments if marker == _APP1 and body.startswith(b"Exif\0")), b"")
    xmp = next((body for marker, body in segments if marker == _APP1 and body.startswith(_XMP)), b"")
    # Resources longer than a segment go on in the next one, in the middle of a block if need be.
    parts = (body for marker, body in segments if marker == _APP13 and body.startswith(_RESOURCES))
    iim, digest = read_resources(b"".join(part.removeprefix(_RESOURCES) for part in parts))
    return Packets(read_exif_packet(exif, EXIF_TAGS), xmp.removeprefix(_XMP), iim, digest)


def _segments(file: BinaryIO) -> Iterator[tuple[int, bytes]]:
    file.seek(2)
    for _ in range(_MOST_SEGMENTS):
        marker = _marker(file)
        if marker is None or marker in _ENDS:
            return
        if marker in _ALONE:
            continue
        size = int.from_bytes(file.read(2), "big") - 2
        if size < 0:
            return
        if marker in (_APP1, _APP13):
            yield marker, file.read(size)
        else:
            file.seek(size, 1)


def _marker(file: BinaryIO) -> int | None:
    """Return the next marker's second byte, any number of fill bytes before it; None where there is none."""
    if file.read(1) != b"\xff":
        return None
    code = file.read(1)
    while code == b"\xff":
        code = file.read(1)
    return code[0] if code and code != b"\0" else None
