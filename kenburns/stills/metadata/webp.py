"""WebP's chunks ``EXIF`` and ``XMP `` (RFC 9649 §2.7.1.4)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import BinaryIO

from .directory import read_exif_packet
from .exif import EXIF_TAGS
from .packets import MAX_PACKET, Packets

_WANTED = frozenset({b"EXIF", b"XMP "})
_MOST_CHUNKS = 10_000


def read_webp(file: BinaryIO) -> Packets:
    """Return the packets, the first of each kind; damage ends the search."""
    found: dict[bytes, bytes] = {}
    for kind, body in _chunks(file):
        found.setdefault(kind, body)
    return Packets(read_exif_packet(found.get(b"EXIF", b""), EXIF_TAGS), found.get(b"XMP ", b""))


def _chunks(file: BinaryIO) -> Iterator[tuple[bytes, bytes]]:
    file.seek(12)
    for _ in range(_MOST_CHUNKS):
        head = file.read(8)
        if len(head) < 8:
            return
        size = int.from_bytes(head[4:], "little")
        if head[:4] in _WANTED and size <= MAX_PACKET:
            yield head[:4], file.read(size)
            file.seek(size % 2, 1)
        else:
            file.seek(size + size % 2, 1)
