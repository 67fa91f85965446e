"""One look at a photograph, against the picture itself averaged by numpy and turned by Pillow's own EXIF code."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import tifffile
from numpy.typing import NDArray
from PIL import Image, ImageOps

from kenburns.errors import PhotographError
from kenburns.motion.geometry import Rect
from kenburns.stills.glance import glance
from kenburns.stills.open import inspect, open_pixels


def noise(height: int, width: int, seed: int = 0) -> NDArray[np.uint8]:
    return np.random.default_rng(seed).integers(0, 256, (height, width, 3), dtype=np.uint8)


def saved(path: Path, picture: NDArray[np.uint8], orientation: int = 1) -> Path:
    image = Image.fromarray(picture)
    exif = image.getexif()
    exif[0x0112] = orientation
    image.save(path, exif=exif)
    return path


def test_a_small_picture_is_seen_as_it_is(tmp_path: Path) -> None:
    picture = noise(30, 40)
    assert np.array_equal(glance(inspect(saved(tmp_path / "a.png", picture)), 100).small, picture)


def test_the_small_version_is_the_mean_of_squares(tmp_path: Path) -> None:
    picture = noise(64, 96)
    small = glance(inspect(saved(tmp_path / "a.png", picture)), 24).small
    mean = picture.reshape(16, 4, 24, 4, 3).mean(axis=(1, 3))
    assert small.shape == (16, 24, 3)
    assert np.abs(small - mean).max() <= 0.5 + 0.5  # rounded twice


@pytest.mark.parametrize("orientation", range(1, 9))
def test_every_orientation_is_turned_upright(tmp_path: Path, orientation: int) -> None:
    """EXIF's eight orientations, as Pillow's `exif_transpose` turns them."""
    path = saved(tmp_path / "a.png", noise(24, 36), orientation)
    with Image.open(path) as image:
        upright = np.asarray(ImageOps.exif_transpose(image))
    pixels = open_pixels(inspect(path))
    assert np.array_equal(pixels.upright(np.concatenate([strip for _, strip in pixels.stored_strips(7)])), upright)
    assert np.array_equal(glance(inspect(path), 36).small, upright)


def test_patches_are_parts_of_the_stored_picture_at_full_size(tmp_path: Path) -> None:
    picture = noise(2100, 1100)
    path = saved(tmp_path / "a.png", picture, 6)
    places = [Rect(0, 0, 16, 16), Rect(1000, 1890, 100, 210), Rect(500, 1000, 64, 64)]
    for place, patch in zip(places, glance(inspect(path), 256, lambda _size: places).patches, strict=True):
        x, y, w, h = (int(side) for side in (place.x, place.y, place.width, place.height))
        assert np.array_equal(patch, picture[y : y + h, x : x + w])


def test_sixteen_bits_come_out_as_eight(tmp_path: Path) -> None:
    values = np.array([[[0, 257, 65535], [128, 129, 32896]]], np.uint16)  # 65535 / 255 = 257
    tifffile.imwrite(tmp_path / "a.tif", np.repeat(np.repeat(values, 8, 0), 8, 1), photometric="rgb")
    small = glance(inspect(tmp_path / "a.tif"), 16).small
    assert small[0, 0].tolist() == [0, 1, 255]
    assert small[0, 8].tolist() == [0, 1, 128]


def test_transparent_parts_show_the_matte_in_both(tmp_path: Path) -> None:
    picture = np.zeros((64, 64, 4), np.uint8)
    picture[:, 32:] = (200, 100, 50, 255)
    Image.fromarray(picture).save(tmp_path / "a.png")
    seen = glance(inspect(tmp_path / "a.png"), 32, lambda _size: [Rect(0, 0, 8, 8)], matte=(10, 20, 30))
    assert seen.small[0, 0].tolist() == [10, 20, 30]
    assert seen.small[0, -1].tolist() == [200, 100, 50]
    assert (seen.patches[0] == (10, 20, 30)).all()


def test_sides_that_are_no_multiple_repeat_their_last_pixels(tmp_path: Path) -> None:
    small = glance(inspect(saved(tmp_path / "a.png", noise(101, 203))), 50).small
    assert small.shape == (25, 50, 3)


def test_a_place_outside_the_picture_is_the_callers_mistake(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="not inside 40x30"):
        glance(inspect(saved(tmp_path / "a.png", noise(30, 40))), 40, lambda _size: [Rect(30, 0, 20, 20)])


def test_a_cut_off_file_is_told_of(tmp_path: Path) -> None:
    path = saved(tmp_path / "a.png", noise(600, 600))
    path.write_bytes(path.read_bytes()[:-200_000])
    with pytest.raises(PhotographError, match=r"'a\.png' is damaged"):
        glance(inspect(path), 100)
