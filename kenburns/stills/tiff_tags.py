"""The few TIFF tags that decide what a TIFF's pixels mean, which the decoder does not tell.

Tag numbers: TIFF 6.0 (1992), the section of each tag.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass
from pathlib import Path

from .tiff_directory import DirectoryEntry, first_directory

_PHOTOMETRIC, _ORIENTATION, _EXTRA_SAMPLES, _CFA_PATTERN, _DNG_VERSION = 262, 274, 338, 33422, 50706
_NEEDED = frozenset({_PHOTOMETRIC, _ORIENTATION, _EXTRA_SAMPLES, _CFA_PATTERN, _DNG_VERSION})
_LAB_PHOTOMETRICS = frozenset({8, 9, 10})  # CIELAB, ICCLAB, ITULAB
_CODES = {1: "B", 3: "H", 4: "I"}  # BYTE, SHORT, LONG


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
        layout, entries = first_directory(file)
    tags = {entry.tag: _inline(layout.order, entry) for entry in entries if entry.tag in _NEEDED}
    extra = tags.get(_EXTRA_SAMPLES, (0,))
    return TiffTags(
        has_alpha=extra[:1] in ((1,), (2,)),
        is_raw=_DNG_VERSION in tags or _CFA_PATTERN in tags,
        is_lab=tags.get(_PHOTOMETRIC, (2,))[0] in _LAB_PHOTOMETRICS,
        orientation=tags.get(_ORIENTATION, (1,))[0],
    )


def _inline(order: str, entry: DirectoryEntry) -> tuple[int, ...]:
    """Return the numbers that stand in the entry itself; the deciding tags are short enough to."""
    code = _CODES.get(entry.kind, "B")
    fitting = max(1, min(entry.number, len(entry.held) // struct.calcsize(code)))
    return struct.unpack_from(f"{order}{fitting}{code}", entry.held)
