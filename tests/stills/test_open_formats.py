"""Every format, depth and layout comes out upright, in three bands, as other decoders read it."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import Any, Literal

import numpy as np
import pillow_heif
import pytest
import pyvips
import tifffile
from numpy.typing import NDArray
from PIL import Image, ImageOps

from kenburns.motion.geometry import Size
from kenburns.stills.open import inspect, open_pixels
from kenburns.stills.small import small_rgb

Picture = NDArray[np.uint8]


def whole(path: Path) -> NDArray[np.uint8] | NDArray[np.uint16]:
    return open_pixels(inspect(path)).whole()


def difference(a: NDArray[np.uint8] | NDArray[np.uint16], b: NDArray[np.uint8] | NDArray[np.uint16]) -> int:
    return int(np.abs(a.astype(np.int64) - b.astype(np.int64)).max())


def test_a_jpeg_s_facts_are_its_own(jpeg: Path) -> None:
    found = inspect(jpeg, "harbour/sea.jpg")
    assert (found.name, found.size, found.format, found.bits) == ("harbour/sea.jpg", Size(48, 32), "JPEG", 8)
    assert found.sha256 == hashlib.sha256(jpeg.read_bytes()).hexdigest()
    assert found.profile == "no profile, taken as sRGB"


@pytest.mark.parametrize(("suffix", "kind"), [("png", "PNG"), ("tif", "TIFF"), ("webp", "WebP")])
def test_lossless_8_bit_formats_come_back_bit_for_bit(tmp_path: Path, scene: Picture, suffix: str, kind: str) -> None:
    path = tmp_path / f"sea.{suffix}"
    Image.fromarray(scene).save(path, lossless=True)
    assert inspect(path).format == kind
    assert whole(path).dtype == np.uint8
    assert difference(whole(path), scene) == 0


@pytest.mark.parametrize("progressive", [False, True])
def test_a_jpeg_is_decoded_as_pillow_decodes_it(tmp_path: Path, scene: Picture, progressive: bool) -> None:
    path = tmp_path / "sea.jpg"
    Image.fromarray(scene).save(path, quality=90, progressive=progressive)
    assert difference(whole(path), np.asarray(Image.open(path))) <= 1


@pytest.mark.parametrize("options", [{"tile": (16, 16)}, {"rowsperstrip": 5}, {"planarconfig": "separate"}])
@pytest.mark.parametrize("byteorder", ["<", ">"])
@pytest.mark.parametrize("bigtiff", [False, True])
def test_16_bit_tiff_comes_back_bit_for_bit_however_it_is_laid_out(
    tmp_path: Path, scene: Picture, options: dict[str, Any], byteorder: Literal["<", ">"], bigtiff: bool
) -> None:
    deep = scene.astype(np.uint16) * 257 - (scene > 0)
    planes = np.moveaxis(deep, 2, 0) if "planarconfig" in options else deep
    path = tmp_path / "sea.tif"
    tifffile.imwrite(path, planes, photometric="rgb", byteorder=byteorder, bigtiff=bigtiff, **options)
    assert inspect(path).bits == 16
    assert whole(path).dtype == np.uint16
    assert difference(whole(path), deep.astype(np.uint16)) == 0


def test_a_16_bit_png_comes_back_bit_for_bit(tmp_path: Path, scene: Picture) -> None:
    deep = scene.astype(np.uint16) * 257
    path = tmp_path / "sea.png"
    pyvips.Image.new_from_array(deep, interpretation="rgb16").pngsave(str(path), bitdepth=16)
    assert difference(whole(path), deep) == 0


@pytest.mark.parametrize("photometric", ["minisblack", "miniswhite"])
def test_grey_becomes_three_equal_bands(tmp_path: Path, scene: Picture, photometric: str) -> None:
    stored = scene[..., 0] if photometric == "minisblack" else 255 - scene[..., 0]
    path = tmp_path / "drawing.tif"
    tifffile.imwrite(path, stored, photometric=photometric)
    assert difference(whole(path), np.repeat(scene[..., :1], 3, axis=2)) == 0


def test_first_page_of_many_is_the_picture(tmp_path: Path, scene: Picture) -> None:
    path = tmp_path / "pages.tif"
    Image.fromarray(scene).save(path, save_all=True, append_images=[Image.fromarray(255 - scene)])
    assert difference(whole(path), scene) == 0


def test_avif_is_read_as_pillow_reads_it(tmp_path: Path, scene: Picture) -> None:
    path = tmp_path / "sea.avif"
    Image.fromarray(scene).save(path, quality=90, subsampling="4:4:4")
    assert inspect(path).format == "AVIF"
    assert difference(whole(path), np.asarray(Image.open(path))) <= 2  # two decoders' rounding


def test_heic_is_read_as_pillow_heif_reads_it(tmp_path: Path, scene: Picture) -> None:
    path = tmp_path / "sea.heic"
    pillow_heif.from_bytes("RGB", (48, 32), scene.tobytes()).save(path, quality=90)
    assert inspect(path).format == "HEIC"
    assert difference(whole(path), np.asarray(pillow_heif.open_heif(path))) <= 2


@pytest.mark.parametrize("kind", ["avif", "heic"])
def test_white_and_black_of_10_bit_pictures_are_full_range(tmp_path: Path, kind: str) -> None:
    steps = np.tile(np.array([[0, 65535]], np.uint16).repeat(32, axis=1)[..., None], (64, 1, 3))
    path = tmp_path / f"steps.{kind}"
    if kind == "avif":
        pyvips.Image.new_from_array(steps, interpretation="rgb16").heifsave(
            str(path), compression="av1", bitdepth=10, Q=100
        )
    else:
        pillow_heif.from_bytes("RGB;16", (64, 64), steps.tobytes()).save(path, quality=-1)
    picture = whole(path)
    assert inspect(path).bits == 10
    assert (picture[8, 8], picture[8, 56]) == (pytest.approx([0] * 3, abs=260), pytest.approx([65535] * 3, abs=260))


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("suffix", ["jpg", "png", "tif", "webp"])
def test_all_eight_orientations_are_turned_as_pillow_turns_them(
    tmp_path: Path, scene: Picture, orientation: int, suffix: str
) -> None:
    exif = Image.Exif()
    exif[0x0112] = orientation
    path = tmp_path / f"sea.{suffix}"
    lossless: dict[str, Any] = (
        {"lossless": True} if suffix == "webp" else {"quality": 95, "subsampling": 0} if suffix == "jpg" else {}
    )
    if suffix == "tif":
        tifffile.imwrite(path, scene, photometric="rgb", extratags=[(274, "H", 1, orientation, False)])
    else:
        Image.fromarray(scene).save(path, exif=exif, **lossless)
    expected = np.asarray(ImageOps.exif_transpose(Image.open(path)))
    assert inspect(path).size == Size(expected.shape[1], expected.shape[0])
    assert difference(whole(path), expected) <= 1
    assert difference(small_rgb(inspect(path), 48), expected) <= 1


@pytest.mark.parametrize("orientation", range(1, 9))
def test_an_avif_s_own_turns_are_followed(tmp_path: Path, scene: Picture, orientation: int) -> None:
    exif = Image.Exif()
    exif[0x0112] = orientation
    path = tmp_path / "sea.avif"
    Image.fromarray(scene).save(path, quality=95, subsampling="4:4:4", exif=exif)
    expected = np.asarray(ImageOps.exif_transpose(Image.open(path)))
    assert inspect(path).size == Size(expected.shape[1], expected.shape[0])
    assert difference(whole(path), expected) <= 2


def test_an_orientation_outside_exif_s_eight_counts_as_upright(tmp_path: Path, scene: Picture) -> None:
    exif = Image.Exif()
    exif[0x0112] = 9
    path = tmp_path / "sea.png"
    Image.fromarray(scene).save(path, exif=exif)
    assert difference(whole(path), scene) == 0


@pytest.mark.parametrize("orientation", [1, 2, 3, 6])
@pytest.mark.parametrize("rows", [1, 7, 256])
def test_strips_put_together_are_the_part_asked_for(
    tmp_path: Path, scene: Picture, orientation: int, rows: int
) -> None:
    exif = Image.Exif()
    exif[0x0112] = orientation
    path = tmp_path / "sea.png"
    Image.fromarray(scene).save(path, exif=exif)
    expected = np.asarray(ImageOps.exif_transpose(Image.open(path)))[5:28, 3:30]
    strips = list(open_pixels(inspect(path)).strips(3, 5, 27, 23, rows))
    assert [top for top, _ in strips] == list(range(5, 28, rows))
    assert difference(np.concatenate([strip for _, strip in strips]), expected) == 0


@pytest.mark.parametrize("area", [(-1, 0, 4, 4), (0, 0, 49, 4), (0, 30, 4, 3), (0, 0, 0, 4)])
def test_strips_outside_the_picture_are_a_caller_s_mistake(jpeg: Path, area: tuple[int, int, int, int]) -> None:
    with pytest.raises(ValueError, match="not inside 48x32"):
        open_pixels(inspect(jpeg)).strips(*area)


def test_the_small_version_keeps_the_aspect_and_never_grows(tmp_path: Path) -> None:
    path = tmp_path / "wide.jpg"
    ramp = np.tile(np.linspace(0, 255, 1200)[None, :, None], (800, 1, 3)).astype(np.uint8)
    Image.fromarray(ramp).save(path, quality=95)
    small = small_rgb(inspect(path), 120)
    expected = np.asarray(Image.fromarray(ramp).resize((120, 80), Image.Resampling.BOX))
    assert small.shape == (80, 120, 3)
    assert difference(small[:, 2:-2], expected[:, 2:-2]) <= 3
    assert small_rgb(inspect(path), 5000).shape == (800, 1200, 3)


def test_a_name_with_brackets_is_only_a_name(tmp_path: Path, scene: Picture) -> None:
    path = tmp_path / "sea [second state]"
    Image.fromarray(scene).save(path, format="PNG")
    assert difference(whole(path), scene) == 0


def test_originals_keep_their_bytes_and_dates(jpeg: Path) -> None:
    before = jpeg.read_bytes(), jpeg.stat().st_mtime_ns
    whole(jpeg)
    small_rgb(inspect(jpeg), 20)
    assert (jpeg.read_bytes(), jpeg.stat().st_mtime_ns) == before
