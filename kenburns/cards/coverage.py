"""Which characters a typeface file has, read from its 'cmap' table.

Source: OpenType 1.9 specification, "Organization of an OpenType Font" (table directory) and "cmap — Character to
Glyph Index Mapping Table", subtable formats 4 and 12. Numbers in the file are big-endian.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from pathlib import Path
from struct import unpack_from


@cache
def coverage(path: Path) -> frozenset[int]:
    """Return the code points that the TrueType or OpenType file at `path` maps to a glyph other than 'missing'.

    ValueError where the file has no cmap subtable of format 4 or 12.
    """
    data = path.read_bytes()
    cmap = _table(data, b"cmap")
    readers = {4: _format_4, 12: _format_12}
    found: set[int] = set()
    for start in _subtables(data, cmap):
        (form,) = unpack_from(">H", data, start)
        if form in readers:
            found.update(readers[form](data, start))
    if not found:
        raise ValueError(f"'{path.name}' has no cmap subtable of format 4 or 12")
    return frozenset(found)


def _table(data: bytes, tag: bytes) -> int:
    """Return the offset of a table; the directory has 16-byte records (tag, checksum, offset, length) from byte 12."""
    (count,) = unpack_from(">H", data, 4)
    for record in range(12, 12 + 16 * count, 16):
        if data[record : record + 4] == tag:
            return int(unpack_from(">I", data, record + 8)[0])
    raise ValueError(f"the typeface has no table {tag.decode()!r}")


def _subtables(data: bytes, cmap: int) -> Iterator[int]:
    """Yield where each Unicode subtable starts: platform 0, or platform 3 with encoding 1 (BMP) or 10 (all planes)."""
    (count,) = unpack_from(">H", data, cmap + 2)
    for record in range(cmap + 4, cmap + 4 + 8 * count, 8):
        platform, encoding, offset = unpack_from(">HHI", data, record)
        if platform == 0 or (platform == 3 and encoding in (1, 10)):
            yield cmap + offset


def _format_4(data: bytes, start: int) -> Iterator[int]:
    """Yield the codes of segments of the Basic Multilingual Plane: arrays of end, first, delta and range offset."""
    (doubled,) = unpack_from(">H", data, start + 6)
    count = doubled // 2
    # Two bytes of padding stand between the ends and the firsts.
    arrays = (start + 14, start + 16 + doubled, start + 16 + 2 * doubled, start + 16 + 3 * doubled)
    ends, firsts, deltas, offsets = (unpack_from(f">{count}H", data, at) for at in arrays)
    for k, (first, end) in enumerate(zip(firsts, ends, strict=True)):
        listed = arrays[3] + 2 * k + offsets[k] if offsets[k] else None
        yield from (code for code in range(first, end + 1) if _glyph_4(data, code, first, deltas[k], listed))


def _glyph_4(data: bytes, code: int, first: int, delta: int, listed: int | None) -> int:
    """Return the glyph of a code: its own number and the delta, or the one listed for it in the glyph array."""
    if listed is None:
        return (code + delta) % 65536
    at = listed + 2 * (code - first)
    # The closing segment 0xFFFF may point past the file; it stands for 'missing'.
    glyph = int(unpack_from(">H", data, at)[0]) if at + 2 <= len(data) else 0
    return (glyph + delta) % 65536 if glyph else 0


def _format_12(data: bytes, start: int) -> Iterator[int]:
    """Yield the codes of groups (first code, last code, first glyph) over all planes."""
    (count,) = unpack_from(">I", data, start + 12)
    for group in range(start + 16, start + 16 + 12 * count, 12):
        first, last, glyph = unpack_from(">III", data, group)
        yield from (code for code in range(first, last + 1) if glyph + code - first)
