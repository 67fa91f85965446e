"""How hard a photograph was compressed: from a JPEG's own tables, and from the blocks that it leaves in the pixels.

The file's tables speak of its last saving only. A picture that was compressed before and then saved again, as PNG or at
a higher quality, keeps the edges of its old 8×8 blocks.
"""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

import numpy as np
from numpy.typing import NDArray

# ITU-T T.81 (09/92), Annex K.1, tables K.1 (luminance) and K.2 (chrominance), row by row.
LUMINANCE = (
    *(16, 11, 10, 16, 24, 40, 51, 61),
    *(12, 12, 14, 19, 26, 58, 60, 55),
    *(14, 13, 16, 24, 40, 57, 69, 56),
    *(14, 17, 22, 29, 51, 87, 80, 62),
    *(18, 22, 37, 56, 68, 109, 103, 77),
    *(24, 35, 55, 64, 81, 104, 113, 92),
    *(49, 64, 78, 87, 103, 121, 120, 101),
    *(72, 92, 95, 98, 112, 100, 103, 99),
)
CHROMINANCE = (
    *(17, 18, 24, 47, 99, 99, 99, 99),
    *(18, 21, 26, 66, 99, 99, 99, 99),
    *(24, 26, 56, 99, 99, 99, 99, 99),
    *(47, 66, 99, 99, 99, 99, 99, 99),
    *(99,) * 32,
)

_BLOCK = 8
_SOI, _SOS, _DQT, _EOI = 0xD8, 0xDA, 0xDB, 0xD9
_STANDALONE = frozenset({0x01, *range(0xD0, 0xD9)})  # TEM, RSTn and SOI have no length (T.81, table B.1)


@dataclass(frozen=True, slots=True)
class Quality:
    """A JPEG's quality on the Independent JPEG Group's scale, 1 to 100.

    `exact`: the file's luminance table is the standard one at this quality; else the nearest is given (cameras and
    editors bring tables of their own).
    """

    value: int
    exact: bool


def jpeg_quality(source: Path | bytes) -> Quality | None:
    """Return the quality that a JPEG was last saved with; None where `source` is no JPEG or has no table.

    Reads no further than the first scan's header. Raises OSError where the file cannot be read.
    """
    with io.BytesIO(source) if isinstance(source, bytes) else source.open("rb") as file:
        tables = dict(_tables(file))
    return _nearest(tables[0]) if 0 in tables else None


def scaled_table(table: Sequence[int], quality: int) -> NDArray[np.int64]:
    """Return an Annex K table at a quality of 1 to 100, values 1 to 255, in the order of `table`.

    As libjpeg's jcparam.c has it (jpeg_quality_scaling and jpeg_add_quant_table with force_baseline). Raises ValueError
    for another quality.
    """
    if not 1 <= quality <= 100:
        raise ValueError(f"a JPEG quality is 1 to 100, not {quality}")
    percent = 5000 // quality if quality < 50 else 200 - 2 * quality
    return np.clip((np.asarray(table, np.int64) * percent + 50) // 100, 1, 255)


def blocking(lumas: Sequence[NDArray[np.uint8]]) -> float:
    """Return how much steeper steps are at an 8-pixel grid than beside it: 0 none, 0.1 visible, 1 twice as steep.

    `lumas` have shape (h, w) and start at places whose x and y are multiples of 8, so that all share one phase; which
    phase is found. The measure is relative (after Wang, Bovik & Evans, "Blind measurement of blocking artifacts in
    images", ICIP 2000, in the pixel domain). Patches under 32 px a side say nothing.
    """
    usable = [luma for luma in lumas if min(luma.shape) >= 4 * _BLOCK]
    if not usable:
        return 0.0
    return min(_grid_excess(usable), _grid_excess([luma.T for luma in usable]))


def _grid_excess(lumas: Sequence[NDArray[np.uint8]]) -> float:
    """Return by what share the steepest of 8 column phases exceeds the mean of the others, at least 0."""
    phases = np.mean([_by_phase(luma) for luma in lumas], axis=0)
    rest = (phases.sum() - phases.max()) / (_BLOCK - 1)
    return float(phases.max() / rest - 1) if rest > 0 else 0.0


def _by_phase(luma: NDArray[np.uint8]) -> NDArray[np.float64]:
    """Return the mean step between neighbouring columns for each column number modulo 8."""
    width = (luma.shape[1] - 1) // _BLOCK * _BLOCK
    steps = np.abs(np.diff(luma[:, : width + 1].astype(np.int16), axis=1))
    return np.asarray(steps.mean(axis=0).reshape(-1, _BLOCK).mean(axis=0), np.float64)


def _nearest(zigzag: NDArray[np.int64]) -> Quality:
    found = np.empty(64, np.int64)
    found[_zigzag_places()] = zigzag
    misses = [int(np.abs(scaled_table(LUMINANCE, quality) - found).sum()) for quality in range(1, 101)]
    best = int(np.argmin(misses))
    return Quality(best + 1, misses[best] == 0)


def _zigzag_places() -> list[int]:
    """Return the row-by-row place of each entry of a table as stored (T.81, figure A.6)."""
    cells = [(row, column) for row in range(8) for column in range(8)]
    # Along each diagonal the walk turns: down on odd ones, up on even ones.
    walk = sorted(cells, key=lambda cell: (sum(cell), cell[0] if sum(cell) % 2 else cell[1]))
    return [8 * row + column for row, column in walk]


def _tables(file: BinaryIO) -> Iterator[tuple[int, NDArray[np.int64]]]:
    """Yield (destination, 64 values in zigzag order) for each table before the first scan."""
    for marker, body in _segments(file):
        if marker == _DQT:
            yield from _tables_in(body)


def _segments(file: BinaryIO) -> Iterator[tuple[int, bytes]]:
    """Yield (marker, body) of each marker segment before the first scan (T.81, B.1.1.4); bodies of tables only."""
    if file.read(2) != bytes((0xFF, _SOI)):
        return
    while (marker := _next_marker(file)) not in (None, _SOS, _EOI):
        if marker is None or marker in _STANDALONE:
            continue
        length = int.from_bytes(file.read(2), "big") - 2
        if marker == _DQT:
            yield marker, file.read(max(length, 0))
        else:
            file.seek(max(length, 0), io.SEEK_CUR)


def _next_marker(file: BinaryIO) -> int | None:
    """Return the next marker's second byte, fill bytes passed over; None where there is none."""
    if file.read(1) != b"\xff":
        return None
    byte = file.read(1)
    while byte == b"\xff":
        byte = file.read(1)
    return byte[0] if byte else None


def _tables_in(body: bytes) -> Iterator[tuple[int, NDArray[np.int64]]]:
    """Yield the tables of one DQT segment (T.81, B.2.4.1): 4 bits precision, 4 bits destination, 64 values each."""
    start = 0
    while start < len(body):
        wide, destination = body[start] >> 4, body[start] & 15
        end = start + 1 + 64 * (2 if wide else 1)
        if end > len(body):
            return
        yield destination, np.frombuffer(body[start + 1 : end], ">u2" if wide else "u1").astype(np.int64)
        start = end
