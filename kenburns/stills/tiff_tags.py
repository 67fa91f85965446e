"""The few TIFF tags that decide what a TIFF's pixels mean, which the decoder does not tell.

Layout and tag numbers: TIFF 6.0 (1992) §2 and the section of each tag; BigTIFF's wider fields.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

_PHOTOMETRIC, _ORIENTATION, _EXTRA_SAMPLES, _CFA_PATTERN, _DNG_VERSION = 262, 274, 338, 33422, 50706
_NEEDED = frozenset({_PHOTOMETRIC, _ORIENTATION, _EXTRA_SAMPLES, _CFA_PATTERN, _DNG_VERSION})
_LAB_PHOTOMETRICS = frozenset({8, 9, 10})  # CIELAB, ICCLAB, ITULAB
_CODES = {1: "B", 3: "H", 4: "I"}  # BYTE, SHORT, LONG
_MOST_ENTRIES = 4096


@dataclass(frozen=True, slots=True)
class TiffTags:
    """What the first directory says of its pixels; the orientation as written, even outside 1 to 8."""

    has_alpha: bool
    is_raw: bool
    is_lab: bool
    orientation: int


def read_tiff_tags(path: Path) -> TiffTags:
    """Return the deciding tags of the first directory; raises ValueError where there is none to read.

    ExtraSamples 0 (unspecified) is a saved selection or spot channel, not transparency; 1 and 2 are alpha
    (TIFF 6.0 §18).
    """
    with path.open("rb") as file:
        try:
            tags = _first_directory(file)
        except struct.error as error:
            raise ValueError("the file ends inside its directory") from error
    extra = tags.get(_EXTRA_SAMPLES, (0,))
    return TiffTags(
        has_alpha=extra[:1] in ((1,), (2,)),
        is_raw=_DNG_VERSION in tags or _CFA_PATTERN in tags,
        is_lab=tags.get(_PHOTOMETRIC, (2,))[0] in _LAB_PHOTOMETRICS,
        orientation=tags.get(_ORIENTATION, (1,))[0],
    )


def _first_directory(file: BinaryIO) -> dict[int, tuple[int, ...]]:
    head = file.read(16)
    order = "<" if head[:2] == b"II" else ">"
    big = head[2:4] in (b"+\x00", b"\x00+")
    start = struct.unpack_from(order + ("Q" if big else "I"), head, 8 if big else 4)[0]
    file.seek(start)
    count_code, entry_code = ("Q", "HHQ8s") if big else ("H", "HHI4s")
    count = struct.unpack(order + count_code, file.read(struct.calcsize(order + count_code)))[0]
    size = struct.calcsize(order + entry_code)
    block = file.read(size * min(count, _MOST_ENTRIES))
    entries = (struct.unpack_from(order + entry_code, block, at) for at in range(0, len(block) - size + 1, size))
    return {tag: _inline(order, kind, number, value) for tag, kind, number, value in entries if tag in _NEEDED}


def _inline(order: str, kind: int, number: int, value: bytes) -> tuple[int, ...]:
    """Return the numbers that stand in the entry itself; the deciding tags are short enough to."""
    code = _CODES.get(kind, "B")
    fitting = max(1, min(number, len(value) // struct.calcsize(code)))
    return struct.unpack_from(f"{order}{fitting}{code}", value)
