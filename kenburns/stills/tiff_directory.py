"""The first directory of a TIFF structure, which is what a TIFF file and an Exif packet both are.

Layout: TIFF 6.0 (1992) §2; BigTIFF's wider fields.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass
from typing import BinaryIO

_MOST_ENTRIES = 4096


@dataclass(frozen=True, slots=True)
class Layout:
    """Byte order, and the struct codes of the first offset, the number of entries, and an entry."""

    order: str
    start: str
    count: str
    entry: str


@dataclass(frozen=True, slots=True)
class DirectoryEntry:
    """A tag's number, its type and how many values it has; `held` are they, or where they stand (4 or 8 bytes)."""

    tag: int
    kind: int
    number: int
    held: bytes


def first_directory(file: BinaryIO) -> tuple[Layout, tuple[DirectoryEntry, ...]]:
    """Return the entries of a file's first directory; `file` begins with the byte order mark.

    ValueError where it is no TIFF structure, or ends before the entries do begin; those cut off are left out.
    """
    try:
        return _first_directory(file)
    except struct.error as error:
        raise ValueError("the file ends inside its directory") from error


def _first_directory(file: BinaryIO) -> tuple[Layout, tuple[DirectoryEntry, ...]]:
    head = file.read(16)
    layout = _layout(head)
    go_to(file, struct.unpack_from(layout.order + layout.start, head, 8 if layout.start == "Q" else 4)[0])
    count = struct.unpack(layout.order + layout.count, file.read(struct.calcsize(layout.order + layout.count)))[0]
    code = layout.order + layout.entry
    size = struct.calcsize(code)
    block = file.read(size * min(count, _MOST_ENTRIES))
    places = range(0, len(block) - size + 1, size)
    return layout, tuple(DirectoryEntry(*struct.unpack_from(code, block, at)) for at in places)


def go_to(file: BinaryIO, place: int) -> None:
    """Go to a place in a file; ValueError for one farther than any file reaches, as BigTIFF can name."""
    try:
        file.seek(place)
    except (OverflowError, OSError) as error:
        raise ValueError(f"no file reaches to byte {place}") from error


def _layout(head: bytes) -> Layout:
    order = "<" if head[:1] == b"I" else ">"
    if head[:4] in (b"II*\0", b"MM\0*"):
        return Layout(order, "I", "H", "HHI4s")
    if head[:4] in (b"II+\0", b"MM\0+"):
        return Layout(order, "Q", "Q", "HHQ8s")
    raise ValueError("no TIFF structure")
