"""Image resource blocks, in which JPEG's APP13 and a TIFF's tag 34377 carry IPTC-IIM and its digest.

Each block: signature ``8BIM``, number, a name padded to even length, size, data padded to even length. The layout and
the numbers are from the published Photoshop File Formats Specification, here from memory; what the digest is for:
Metadata Working Group, Guidelines for Handling Image Metadata 2.0 (2010), from memory.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator

_IIM, _DIGEST = 0x0404, 0x0425
_SIGNATURE = b"8BIM"


def read_resources(data: bytes) -> tuple[bytes, bytes]:
    """Return (IPTC-IIM, its digest) from a run of blocks, each b"" where there is none; damage ends the run."""
    found: dict[int, bytes] = {}
    for number, value in _blocks(data):
        found.setdefault(number, value)
    return found.get(_IIM, b""), found.get(_DIGEST, b"")


def _blocks(data: bytes) -> Iterator[tuple[int, bytes]]:
    at = 0
    while data[at : at + 4] == _SIGNATURE and at + 7 <= len(data):
        number = struct.unpack_from(">H", data, at + 4)[0]
        size_at = at + 6 + _even(1 + data[at + 6])
        if size_at + 4 > len(data):
            return
        size = struct.unpack_from(">I", data, size_at)[0]
        start = size_at + 4
        if start + size > len(data):
            return
        yield number, data[start : start + size]
        at = start + _even(size)


def _even(length: int) -> int:
    return length + length % 2
