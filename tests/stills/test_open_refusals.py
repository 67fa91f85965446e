"""What cannot be shown is refused with one line that names the file, the rule and what would work."""

from __future__ import annotations

import struct
import zlib
from pathlib import Path

import numpy as np
import pillow_heif
import pytest
import tifffile
from numpy.typing import NDArray
from PIL import Image

from kenburns.errors import PhotographError
from kenburns.stills.formats import sniff
from kenburns.stills.open import MAX_PIXELS, MAX_SIDE, inspect, open_pixels
from kenburns.stills.small import small_rgb


def claiming(width: int, height: int) -> bytes:
    """A PNG that says this size and has one byte of pixels (W3C PNG third edition §11.2.1)."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", zlib.compress(b"\0")) + chunk(b"IEND", b"")


@pytest.mark.parametrize("size", [(MAX_SIDE + 1, 10), (10, MAX_SIDE + 1), (50_000, MAX_PIXELS // 50_000 + 1)])
def test_absurd_sizes_are_refused_from_the_header(tmp_path: Path, size: tuple[int, int]) -> None:
    path = tmp_path / "bomb.png"
    path.write_bytes(claiming(*size))
    with pytest.raises(PhotographError, match=rf"'bomb.png' says that it is {size[0]}×{size[1]} px; at most 100,000"):
        inspect(path)


def test_a_size_within_the_limits_is_taken_at_its_word_until_it_is_decoded(tmp_path: Path) -> None:
    path = tmp_path / "short.png"
    path.write_bytes(claiming(400, 300))
    assert inspect(path).size.width == 400
    with pytest.raises(PhotographError, match=r"'short.png' is damaged, cut off or not readable \("):
        open_pixels(inspect(path)).whole()


def written(path: Path) -> Path:
    """Noise compresses badly: half of the file is half of the picture."""
    noise = np.random.default_rng(0).integers(0, 256, (96, 128, 3), dtype=np.uint8)
    if path.suffix == ".heic":
        pillow_heif.from_bytes("RGB", (128, 96), noise.tobytes()).save(path, quality=90)
    elif path.stem == "tiled":
        tifffile.imwrite(path, noise, photometric="rgb", tile=(32, 32), compression="zlib")
    elif path.suffix == ".tif":
        tifffile.imwrite(path, noise, photometric="rgb")
    else:
        Image.fromarray(noise).save(path)
    return path


@pytest.mark.parametrize("name", ["a.jpg", "a.png", "a.tif", "tiled.tif", "a.webp", "a.avif", "a.heic"])
@pytest.mark.parametrize("kept", [0.5, 0.9])
def test_a_cut_off_file_is_an_error_and_never_half_a_picture(tmp_path: Path, name: str, kept: float) -> None:
    path = written(tmp_path / name)
    data = path.read_bytes()
    path.write_bytes(data[: int(len(data) * kept)])
    with pytest.raises(PhotographError, match=f"'{name}'"):
        open_pixels(inspect(path)).whole()
    with pytest.raises(PhotographError, match=f"'{name}'"):
        small_rgb(inspect(path), 40)


@pytest.mark.parametrize("content", [b"GIF89a" + bytes(40), b"BM" + bytes(40), b"8BPS" + bytes(40), b"plain words"])
def test_other_content_is_refused_whatever_its_suffix(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "work.jpg"
    path.write_bytes(content)
    with pytest.raises(
        PhotographError, match=r"'work.jpg' is by its content none .* JPEG, PNG, TIFF, WebP, HEIC or AVIF"
    ):
        inspect(path)


def test_content_counts_and_not_the_suffix(tmp_path: Path, scene: NDArray[np.uint8]) -> None:
    path = tmp_path / "work.jpg"
    Image.fromarray(scene).save(path, format="PNG")
    assert inspect(path).format == "PNG"


def test_an_empty_and_a_missing_file_say_so(tmp_path: Path) -> None:
    (tmp_path / "empty.jpg").touch()
    with pytest.raises(PhotographError, match=r"'empty.jpg' is empty"):
        inspect(tmp_path / "empty.jpg")
    with pytest.raises(PhotographError, match=r"'gone.jpg' is .*No such file"):
        inspect(tmp_path / "gone.jpg")


def test_every_head_of_a_picture_can_be_garbage_after_its_signature(tmp_path: Path) -> None:
    for head in (b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"II*\x00", b"MM\x00+", b"RIFF\x10\0\0\0WEBP"):
        for tail in (b"", bytes(200), b"\xff" * 200):
            path = tmp_path / "garbage"
            path.write_bytes(head + tail)
            with pytest.raises(PhotographError, match="'garbage'"):
                inspect(path)


def test_raw_files_are_named_as_such(tmp_path: Path, scene: NDArray[np.uint8]) -> None:
    tifffile.imwrite(tmp_path / "a.nef", scene, photometric="rgb")
    tifffile.imwrite(tmp_path / "b.tif", scene, photometric="rgb", extratags=[(50706, "B", 4, b"\1\4\0\0", False)])
    for name in ("a.nef", "b.tif"):
        with pytest.raises(PhotographError, match=f"'{name}' is a camera's raw file; develop it"):
            inspect(tmp_path / name)


def test_samples_that_are_not_8_or_16_bit_are_refused(tmp_path: Path, scene: NDArray[np.uint8]) -> None:
    tifffile.imwrite(tmp_path / "float.tif", scene.astype(np.float32) / 255, photometric="rgb")
    with pytest.raises(PhotographError, match=r"'float.tif' .*8 or 16 bits|'float.tif' is a TIFF that is neither"):
        inspect(tmp_path / "float.tif")


def test_lab_is_refused_by_name(tmp_path: Path, scene: NDArray[np.uint8]) -> None:
    tifffile.imwrite(tmp_path / "lab.tif", scene, photometric="cielab")
    with pytest.raises(
        PhotographError, match=r"'lab.tif' is a TIFF that is neither RGB, CMYK nor grey; save it as RGB"
    ):
        inspect(tmp_path / "lab.tif")


def test_a_tiff_s_impossible_orientation_is_refused(tmp_path: Path, scene: NDArray[np.uint8]) -> None:
    tifffile.imwrite(tmp_path / "a.tif", scene, photometric="rgb", extratags=[(274, "H", 1, 0, False)])
    with pytest.raises(PhotographError, match=r"'a.tif' has orientation 0; TIFF knows 1 to 8"):
        inspect(tmp_path / "a.tif")


@pytest.mark.parametrize(("transfer", "curve"), [(16, "PQ"), (18, "HLG")])  # ITU-T H.273 table 3
def test_high_dynamic_range_is_refused_rather_than_shown_wrong(tmp_path: Path, transfer: int, curve: str) -> None:
    path = tmp_path / "hdr.avif"
    Image.new("RGB", (64, 64), (200, 150, 120)).save(path)
    data = path.read_bytes()
    at = data.index(b"colrnclx") + 10
    path.write_bytes(data[:at] + struct.pack(">H", transfer) + data[at + 2 :])
    with pytest.raises(PhotographError, match=rf"'hdr.avif' is high dynamic range \({curve}\)"):
        inspect(path)


def test_a_file_that_changed_since_it_was_inspected_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "a.png"
    Image.new("RGB", (20, 10)).save(path)
    before = inspect(path)
    Image.new("RGB", (30, 10)).save(path)
    with pytest.raises(PhotographError, match=r"'a.png' was 20x10 px and is now 30x10"):
        open_pixels(before)


def test_brands_tell_heic_from_avif_from_film() -> None:
    def box(major: bytes, *compatible: bytes) -> bytes:
        body = b"ftyp" + major + bytes(4) + b"".join(compatible)
        return struct.pack(">I", len(body) + 4) + body + b"avif"  # what follows the box is no brand

    assert sniff(box(b"heic", b"mif1")) == "HEIC"
    assert sniff(box(b"mif1", b"mif1", b"heic")) == "HEIC"
    assert sniff(box(b"mif1", b"avif", b"miaf")) == "AVIF"
    assert sniff(box(b"isom", b"mp42")) is None
    assert sniff(b"") is None
