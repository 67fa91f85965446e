"""IPTC-IIM datasets: By-line, Credit, Source and Copyright Notice of the application record.

Layout, numbers and greatest lengths: IPTC-NAA Information Interchange Model 4.2 (2014), §1.5 and §6, from memory.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass

from .encoding import decoded, one_line

BY_LINE, CREDIT, SOURCE, COPYRIGHT_NOTICE = (2, 80), (2, 110), (2, 115), (2, 116)
LONGEST = {BY_LINE: 32, CREDIT: 32, SOURCE: 32, COPYRIGHT_NOTICE: 128}  # bytes

_CHARACTER_SET = (1, 90)
_UTF_8 = (b"\x1b%G", b"\x1b%/G", b"\x1b%/H", b"\x1b%/I")  # ISO 2022 escapes of ISO 10646's UTF-8
_LATIN_1 = (b"\x1b.A", b"\x1b-A")  # of ISO 8859-1 as G2 or G1
_MARK = 0x1C

Dataset = tuple[int, int]
"""Record and number."""


@dataclass(frozen=True, slots=True)
class IimText:
    """A dataset's text, and whether it fills the standard's length and so may be cut off."""

    text: str
    full: bool = False


def read_iim(data: bytes) -> dict[Dataset, tuple[IimText, ...]]:
    """Return the texts of the wanted datasets in their order; damage ends the reading."""
    found: dict[Dataset, list[bytes]] = {}
    for dataset, value in _datasets(data):
        if dataset in LONGEST or dataset == _CHARACTER_SET:
            found.setdefault(dataset, []).append(value)
    marker = b"".join(found.pop(_CHARACTER_SET, []))
    return {dataset: tuple(_text(dataset, value, marker) for value in values) for dataset, values in found.items()}


def digest_of(data: bytes) -> tuple[bytes, ...]:
    """Return the MD5s by which the data may be known: as it is, and without the zeros that a TIFF pads it with."""
    versions = dict.fromkeys((data, data.rstrip(b"\0")))
    return tuple(hashlib.md5(version, usedforsecurity=False).digest() for version in versions)


def _datasets(data: bytes) -> Iterator[tuple[Dataset, bytes]]:
    at = 0
    while at + 5 <= len(data) and data[at] == _MARK:
        dataset, size, start = (data[at + 1], data[at + 2]), int.from_bytes(data[at + 3 : at + 5], "big"), at + 5
        if size & 0x8000:  # an extended dataset: the number of bytes of its length, then the length
            more = size & 0x7FFF
            size, start = int.from_bytes(data[start : start + min(more, 8)], "big"), start + more
        if start + size > len(data):
            return
        yield dataset, data[start : start + size]
        at = start + size


def _text(dataset: Dataset, value: bytes, marker: bytes) -> IimText:
    if marker in _UTF_8:  # a text cut at the longest length may end inside a letter
        text = one_line(value.decode("utf-8", "ignore"))
    elif marker in _LATIN_1:
        text = one_line(value.decode("latin-1"))
    else:
        text = decoded(value)
    return IimText(text, full=len(value) > LONGEST[dataset] - 4)  # a letter of UTF-8 has at most 4 bytes
