"""The values of tags in a TIFF file or an Exif packet.

Field types: TIFF 6.0 (1992) §2; UTF-8 (type 129) from Exif 3.0 §4.6.2.
"""

from __future__ import annotations

import io
import struct
from collections.abc import Collection
from typing import BinaryIO

from ..tiff_directory import Layout, first_directory, go_to
from .packets import MAX_PACKET

_SIZES = {1: 1, 2: 1, 3: 2, 4: 4, 6: 1, 7: 1, 8: 2, 9: 4, 13: 4, 129: 1}  # bytes a value; texts and blocks are of these
_EXIF_HEADS = (b"Exif\0\0", b"Exif\0\xff")


def read_exif_packet(packet: bytes, wanted: Collection[int]) -> dict[int, bytes]:
    """Return the wanted tags of an Exif packet, with or without its head ``Exif``; {} where it is none."""
    head = next((head for head in _EXIF_HEADS if packet.startswith(head)), b"")
    return read_directory(io.BytesIO(packet[len(head) :]), wanted)


def read_directory(file: BinaryIO, wanted: Collection[int]) -> dict[int, bytes]:
    """Return the bytes of the wanted tags, the first of each number; what is cut off or too large is left out.

    `file` begins with the byte order mark. Nothing is raised: {} where there is no directory.
    """
    try:
        layout, entries = first_directory(file)
    except ValueError:
        return {}
    first = {entry.tag: entry for entry in reversed(entries) if entry.tag in wanted}
    tags = {
        tag: _value(file, layout, _SIZES.get(entry.kind, 0) * entry.number, entry.held) for tag, entry in first.items()
    }
    return {tag: value for tag, value in tags.items() if value}


def _value(file: BinaryIO, layout: Layout, size: int, held: bytes) -> bytes:
    """Return a value of this many bytes: from the entry itself where it fits, else from where the entry points."""
    if size <= len(held):
        return held[:size]
    if size > MAX_PACKET:
        return b""
    try:
        go_to(file, struct.unpack(layout.order + layout.start, held)[0])
    except ValueError:
        return b""
    value = file.read(size)
    return value if len(value) == size else b""
