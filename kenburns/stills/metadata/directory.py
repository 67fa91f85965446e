"""The first directory of a TIFF structure, which is what a TIFF file and an Exif packet both are.

Layout and field types: TIFF 6.0 (1992) §2; BigTIFF's wider fields; UTF-8 (type 129) from Exif 3.0 §4.6.2.
"""

from __future__ import annotations

import io
import struct
from collections.abc import Collection
from dataclasses import dataclass
from typing import BinaryIO

from .packets import MAX_PACKET

_SIZES = {1: 1, 2: 1, 3: 2, 4: 4, 6: 1, 7: 1, 8: 2, 9: 4, 13: 4, 129: 1}  # bytes a value; texts and blocks are of these
_MOST_ENTRIES = 4096
_EXIF_HEADS = (b"Exif\0\0", b"Exif\0\xff")


@dataclass(frozen=True, slots=True)
class _Layout:
    """Byte order, and the struct codes of the first offset, the number of entries, and an entry."""

    order: str
    start: str
    count: str
    entry: str


def read_exif_packet(packet: bytes, wanted: Collection[int]) -> dict[int, bytes]:
    """Return the wanted tags of an Exif packet, with or without its head ``Exif``; {} where it is none."""
    head = next((head for head in _EXIF_HEADS if packet.startswith(head)), b"")
    return read_directory(io.BytesIO(packet[len(head) :]), wanted)


def read_directory(file: BinaryIO, wanted: Collection[int]) -> dict[int, bytes]:
    """Return the bytes of the wanted tags, the first of each number; what is cut off or too large is left out.

    `file` begins with the byte order mark. Nothing is raised: {} where there is no directory.
    """
    try:
        return _wanted_tags(file, _layout(file.read(16)), wanted)
    except (struct.error, ValueError):
        return {}


def _layout(head: bytes) -> tuple[_Layout, int]:
    if head[:4] in (b"II*\0", b"MM\0*"):
        layout = _Layout("<" if head[:1] == b"I" else ">", "I", "H", "HHI4s")
        return layout, int(struct.unpack_from(layout.order + "I", head, 4)[0])
    if head[:4] in (b"II+\0", b"MM\0+"):
        layout = _Layout("<" if head[:1] == b"I" else ">", "Q", "Q", "HHQ8s")
        return layout, int(struct.unpack_from(layout.order + "Q", head, 8)[0])
    raise ValueError("no TIFF structure")


def _wanted_tags(file: BinaryIO, found: tuple[_Layout, int], wanted: Collection[int]) -> dict[int, bytes]:
    layout, start = found
    file.seek(start)
    count = struct.unpack(layout.order + layout.count, file.read(struct.calcsize(layout.order + layout.count)))[0]
    size = struct.calcsize(layout.order + layout.entry)
    block = file.read(size * min(count, _MOST_ENTRIES))
    tags: dict[int, bytes] = {}
    for at in range(0, len(block) - size + 1, size):
        tag, kind, number, held = struct.unpack_from(layout.order + layout.entry, block, at)
        if tag in wanted and tag not in tags:
            tags[tag] = _value(file, layout, _SIZES.get(kind, 0) * number, held)
    return {tag: value for tag, value in tags.items() if value}


def _value(file: BinaryIO, layout: _Layout, size: int, held: bytes) -> bytes:
    """Return a value of this many bytes: from the entry itself where it fits, else from where the entry points."""
    if size <= len(held):
        return held[:size]
    if size > MAX_PACKET:
        return b""
    file.seek(struct.unpack(layout.order + layout.start, held)[0])
    value = file.read(size)
    return value if len(value) == size else b""
