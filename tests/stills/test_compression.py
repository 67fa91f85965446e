from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image
from PIL.JpegImagePlugin import JpegImageFile

from kenburns.stills.detail.compression import CHROMINANCE, LUMINANCE, Quality, blocking, jpeg_quality, scaled_table


def _grain(side: int = 128) -> NDArray[np.uint8]:
    """Return noise smoothed by a 5×5 box, in three bands."""
    noise = np.random.default_rng(4).normal(0, 60, (side + 4, side + 4))
    rows = np.mean([noise[:, k : k + side] for k in range(5)], axis=0)
    smooth = 128 + np.mean([5 * rows[k : k + side] for k in range(5)], axis=0)
    return np.repeat(np.clip(smooth, 0, 255).astype(np.uint8)[..., None], 3, axis=2)


def _jpeg(rgb: NDArray[np.uint8], quality: int) -> bytes:
    file = io.BytesIO()
    Image.fromarray(rgb).save(file, "JPEG", quality=quality)
    return file.getvalue()


def _segment(marker: int, body: bytes) -> bytes:
    return bytes((0xFF, marker)) + (len(body) + 2).to_bytes(2, "big") + body


@pytest.mark.parametrize("quality", range(1, 101))
def test_the_quality_is_the_one_libjpeg_was_asked_for(quality: int) -> None:
    # Reference: libjpeg-turbo through Pillow. From 1 upwards every table differs from its neighbours'.
    assert jpeg_quality(_jpeg(_grain(16), quality)) == Quality(quality, exact=True)


@pytest.mark.parametrize("quality", [1, 24, 25, 49, 50, 75, 92, 100])
def test_scaled_tables_are_those_that_libjpeg_writes(quality: int) -> None:
    written = JpegImageFile(io.BytesIO(_jpeg(_grain(16), quality))).quantization
    assert scaled_table(LUMINANCE, quality).tolist() == list(written[0])
    assert scaled_table(CHROMINANCE, quality).tolist() == list(written[1])


def test_the_tables_are_those_of_annex_k() -> None:
    # ITU-T T.81 (09/92), tables K.1 and K.2: first row, last row.
    assert LUMINANCE[:8] == (16, 11, 10, 16, 24, 40, 51, 61)
    assert LUMINANCE[-8:] == (72, 92, 95, 98, 112, 100, 103, 99)
    assert CHROMINANCE[:8] == (17, 18, 24, 47, 99, 99, 99, 99)
    assert scaled_table(LUMINANCE, 50).tolist() == list(LUMINANCE)
    assert scaled_table(LUMINANCE, 100).tolist() == [1] * 64


def test_a_table_of_another_maker_gets_the_nearest_quality() -> None:
    file = io.BytesIO()
    own = [(2 * k + 3) // 2 for k in scaled_table(LUMINANCE, 80).tolist()]
    Image.fromarray(_grain(16)).save(file, "JPEG", qtables=[own, own])
    found = jpeg_quality(file.getvalue())
    assert found is not None
    assert not found.exact
    assert 72 <= found.value <= 80


def test_tables_of_16_bits_and_segments_with_two_tables_are_read() -> None:
    walk = [(r, c) for r in range(8) for c in range(8)]
    walk.sort(key=lambda cell: (sum(cell), cell[0] if sum(cell) % 2 else cell[1]))
    stored = [LUMINANCE[8 * r + c] for r, c in walk]
    assert stored[:10] == [16, 11, 12, 14, 12, 10, 16, 14, 13, 14]  # as libjpeg's files have it
    wide = b"\x10" + b"".join(v.to_bytes(2, "big") for v in stored)
    head = b"\xff\xd8" + _segment(0xE1, b"Exif" + b"\xff\xdb" * 40)
    body = head + b"\xff\xff" + _segment(0xDB, b"\x01" + bytes([9] * 64) + wide)
    assert jpeg_quality(body) == Quality(50, exact=True)


def test_what_is_no_jpeg_or_is_cut_short_has_no_quality() -> None:
    whole = _jpeg(_grain(16), 80)
    table = whole.index(b"\xff\xdb")
    for data in (b"", b"\xff", b"\x89PNG\r\n", whole[:2], whole[: table + 1], whole[: table + 30], b"\xff\xd8\xff\xd9"):
        assert jpeg_quality(data) is None


def test_a_file_is_read_like_its_bytes(tmp_path: Path) -> None:
    path = tmp_path / "work.jpg"
    path.write_bytes(_jpeg(_grain(16), 63))
    assert jpeg_quality(path) == Quality(63, exact=True)


@pytest.mark.parametrize("quality", [0, 101])
def test_a_quality_off_the_scale_is_refused(quality: int) -> None:
    with pytest.raises(ValueError, match=f"1 to 100, not {quality}"):
        scaled_table(LUMINANCE, quality)


def test_blocking_is_the_excess_at_the_grid() -> None:
    # Steps of 1 everywhere, of 3 after every 8th column and row: 3 / 1 - 1 = 2 in both directions.
    steps = np.where(np.arange(64) % 8 == 0, 3, 1)
    ramp = np.cumsum(steps)
    luma = (ramp[:, None] + ramp[None, :] - 2).astype(np.int64)
    assert luma.max() < 256
    assert blocking([luma.astype(np.uint8)]) == pytest.approx(2)


def test_blocking_finds_the_grid_wherever_it_starts() -> None:
    steps = np.where(np.arange(64) % 8 == 5, 3, 1)
    ramp = np.cumsum(steps)
    assert blocking([(ramp[:, None] + ramp[None, :] - 2).astype(np.uint8)]) == pytest.approx(2)


def test_lines_in_one_direction_only_are_no_blocks() -> None:
    bars = np.tile(np.where(np.arange(64) % 8 < 4, 200, 20).astype(np.uint8), (64, 1))
    assert blocking([bars]) == 0


def test_flat_and_tiny_patches_have_no_blocks() -> None:
    assert blocking([np.full((64, 64), 90, np.uint8)]) == 0
    assert blocking([np.zeros((31, 200), np.uint8)]) == 0
    assert blocking([]) == 0


def test_harder_compression_leaves_more_blocking() -> None:
    values = []
    for quality in (90, 60, 30, 10):
        again = np.asarray(Image.open(io.BytesIO(_jpeg(_grain(), quality))))
        values.append(blocking([np.ascontiguousarray(again[..., 1])]))
    assert values == sorted(values)
    assert values[0] < 0.1 < values[-1]
