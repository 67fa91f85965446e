"""Colour against LittleCMS (through Pillow), against colour-science, and against arithmetic for alpha."""

from __future__ import annotations

import io
import warnings
from pathlib import Path

import numpy as np
import pytest
import pyvips
import tifffile
from numpy.typing import NDArray
from PIL import Image, ImageCms

from kenburns.stills.open import inspect, open_pixels
from kenburns.stills.profile import UNREADABLE
from kenburns.stills.small import small_rgb

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science says at import that plotting is not there
    import colour

# Flat patches, 8-bit: the neutral steps, the primaries, and colours inside every space's gamut.
PATCHES = np.array(
    [
        *[(level,) * 3 for level in (0, 8, 64, 128, 192, 247, 255)],
        *[(255, 0, 0), (0, 255, 0), (0, 0, 255), (0, 255, 255), (255, 0, 255), (255, 255, 0)],
        *[(200, 150, 120), (90, 110, 160), (60, 40, 30), (170, 180, 90), (230, 210, 190)],
    ],
    np.uint8,
)
# Our names and colour-science's.
WIDE = {"opRGB": "Adobe RGB (1998)", "ROMM": "ROMM RGB", "Display P3": "Display P3"}


def flat(patches: NDArray[np.uint8] | NDArray[np.uint16]) -> NDArray[np.uint8] | NDArray[np.uint16]:
    """One 8x8 square a patch, side by side."""
    return patches[None].repeat(8, axis=0).repeat(8, axis=1)


def centres(path: Path, matte: tuple[int, int, int] = (0, 0, 0)) -> NDArray[np.float64]:
    """The middle of every square, in 8-bit units."""
    picture = open_pixels(inspect(path), matte).whole()
    return picture[4, 4::8].astype(np.float64) / (257 if picture.dtype == np.uint16 else 1)


def littlecms(patches: NDArray[np.uint8], profile: bytes, mode: str) -> NDArray[np.float64]:
    image = Image.frombytes(mode, (len(patches), 1), patches.tobytes())
    transform = ImageCms.buildTransform(
        io.BytesIO(profile),
        ImageCms.createProfile("sRGB"),
        mode,
        "RGB",
        renderingIntent=ImageCms.Intent.RELATIVE_COLORIMETRIC,
        flags=ImageCms.Flags.BLACKPOINTCOMPENSATION | ImageCms.Flags.NOOPTIMIZE,
    )
    converted: NDArray[np.float64] = np.asarray(ImageCms.applyTransform(image, transform), np.float64)
    return np.asarray(converted[0])


def colour_science(patches: NDArray[np.uint8], known_as: str) -> NDArray[np.float64]:
    """The published space's patches as sRGB values, 0 to 255 within the gamut and outside beyond it."""
    spaces = colour.RGB_COLOURSPACES[known_as].copy(), colour.RGB_COLOURSPACES["sRGB"].copy()
    for space in spaces:
        space.use_derived_transformation_matrices(True)  # the standards print theirs with four digits
    encoded = colour.RGB_to_RGB(patches / 255, *spaces, "Bradford", apply_cctf_decoding=True, apply_cctf_encoding=True)
    return np.asarray(encoded * 255, np.float64)


def inside(encoded: NDArray[np.float64]) -> NDArray[np.bool_]:
    return np.asarray((encoded.min(axis=1) >= 0) & (encoded.max(axis=1) <= 255))


def patches_inside(space: str) -> NDArray[np.uint8]:
    """Those patches that sRGB can show; what becomes of the others is told in test_gamut."""
    patches = PATCHES[inside(colour_science(PATCHES, WIDE[space]).round(2))]
    assert len(patches) >= 10
    return patches


@pytest.mark.parametrize("space", WIDE)
def test_8_bit_patches_in_gamut_are_littlecms_s(tmp_path: Path, profiles: dict[str, bytes], space: str) -> None:
    path, patches = tmp_path / "patches.png", patches_inside(space)
    Image.fromarray(flat(patches)).save(path, icc_profile=profiles[space])
    assert inspect(path).profile == space
    assert centres(path) == pytest.approx(littlecms(patches, profiles[space], "RGB"), abs=1)  # it rounds to 8 bits


@pytest.mark.parametrize("space", WIDE)
@pytest.mark.parametrize("deep", [False, True])
def test_random_colours_in_gamut_are_exact(tmp_path: Path, profiles: dict[str, bytes], space: str, deep: bool) -> None:
    colours = np.random.default_rng(5).integers(0, 256, (2000, 3), dtype=np.uint8)
    expected = colour_science(colours, WIDE[space])
    path = tmp_path / "colours.tif"
    tifffile.imwrite(
        path, flat(colours.astype(np.uint16) * 257 if deep else colours), photometric="rgb", iccprofile=profiles[space]
    )
    within = inside(expected)
    assert within.sum() > 400
    error = np.abs(centres(path) - expected)[within]
    # The profile's own numbers are in steps of 1/65536: that shows where a channel is near 0 beside a bright one.
    assert error.max() <= 0.15
    assert np.quantile(error, 0.99) <= 0.06


def test_a_profile_that_behaves_as_srgb_leaves_8_bits_untouched(tmp_path: Path, profiles: dict[str, bytes]) -> None:
    path = tmp_path / "patches.png"
    Image.fromarray(flat(PATCHES)).save(path, icc_profile=profiles["sRGB"])
    picture = open_pixels(inspect(path)).whole()
    assert picture.dtype == np.uint8
    assert np.array_equal(picture, flat(PATCHES))


@pytest.mark.parametrize("deep", [False, True])
def test_a_grey_profile_is_honoured(tmp_path: Path, profiles: dict[str, bytes], deep: bool) -> None:
    path = tmp_path / "drawing.tif"
    levels = np.arange(0, 256, 15, dtype=np.uint8)
    stored = flat(levels[:, None])[..., 0]
    tifffile.imwrite(
        path, stored.astype(np.uint16) * 257 if deep else stored, photometric="minisblack", iccprofile=profiles["grey"]
    )
    linear = (levels / 255) ** 1.8
    encoded = np.where(linear <= 0.0031308, linear * 12.92, 1.055 * linear ** (1 / 2.4) - 0.055)  # IEC 61966-2-1
    assert inspect(path).profile == "grey, exponent 1.8"
    assert centres(path) == pytest.approx(np.repeat(encoded[:, None] * 255, 3, axis=1), abs=1)


def test_an_rgb_profile_on_a_grey_picture_counts_grey_as_equal_rgb(tmp_path: Path, profiles: dict[str, bytes]) -> None:
    path = tmp_path / "drawing.tif"
    levels = np.arange(0, 256, 15, dtype=np.uint8)
    stored = flat(levels[:, None])[..., 0]
    tifffile.imwrite(path, stored, photometric="minisblack", iccprofile=profiles["ROMM"])
    expected = littlecms(np.repeat(levels[:, None], 3, axis=1), profiles["ROMM"], "RGB")
    assert centres(path) == pytest.approx(expected, abs=1)


def cmyk_patches() -> NDArray[np.uint8]:
    return np.random.default_rng(3).integers(0, 200, (24, 4), dtype=np.uint8)


@pytest.mark.parametrize("embedded", [True, False])
def test_cmyk_goes_through_its_profile_or_the_built_in_one(tmp_path: Path, embedded: bool) -> None:
    built_in = bytes(pyvips.Operation.call("profile_load", "cmyk"))
    path = tmp_path / "poster.tif"
    tifffile.imwrite(path, flat(cmyk_patches()), photometric="separated", iccprofile=built_in if embedded else None)
    in_8_bits = centres(path).round()  # as the reference is
    assert in_8_bits == pytest.approx(littlecms(cmyk_patches(), built_in, "CMYK"), abs=1)


def test_an_inverted_cmyk_jpeg_comes_out_the_right_way_round(tmp_path: Path) -> None:
    path = tmp_path / "poster.jpg"
    Image.frombytes("CMYK", (32, 32), bytes(4 * 32 * 32)).save(path, quality=100)
    assert centres(path).min() > 250  # no ink at all


def test_a_broken_profile_is_named_and_taken_as_srgb(tmp_path: Path, profiles: dict[str, bytes]) -> None:
    path = tmp_path / "patches.tif"
    for broken in (b"no profile at all" * 20, profiles["ROMM"][:150] + bytes(len(profiles["ROMM"]) - 150)):
        tifffile.imwrite(path, flat(PATCHES), photometric="rgb", iccprofile=broken)
        assert inspect(path).profile == UNREADABLE
        assert np.array_equal(open_pixels(inspect(path)).whole(), flat(PATCHES))


def test_a_profile_of_another_colour_model_is_taken_as_srgb(tmp_path: Path, profiles: dict[str, bytes]) -> None:
    path = tmp_path / "patches.tif"
    tifffile.imwrite(path, flat(PATCHES), photometric="rgb", iccprofile=profiles["grey"])
    assert inspect(path).profile == UNREADABLE
    assert np.array_equal(open_pixels(inspect(path)).whole(), flat(PATCHES))


ALPHAS = np.array([0, 51, 128, 204, 255], np.uint8)
MATTE = (40, 80, 120)


def over_matte(colour_8_bit: NDArray[np.float64]) -> NDArray[np.float64]:
    share = ALPHAS[:, None] / 255
    return colour_8_bit * share + np.array(MATTE) * (1 - share)


@pytest.mark.parametrize("deep", [False, True])
def test_alpha_is_laid_over_the_matte_in_encoded_values(tmp_path: Path, deep: bool) -> None:
    patches = np.column_stack([np.tile(np.array([[200, 150, 20]], np.uint8), (5, 1)), ALPHAS])
    stored = flat(patches.astype(np.uint16) * 257) if deep else flat(patches)
    path = tmp_path / "cut-out.tif"
    tifffile.imwrite(path, stored, photometric="rgb", extrasamples=["unassalpha"])
    assert centres(path, MATTE) == pytest.approx(over_matte(np.array([[200.0, 150, 20]])), abs=1)


def test_grey_with_alpha_is_laid_over_the_matte(tmp_path: Path) -> None:
    patches = np.column_stack([np.full(5, 200, np.uint8), ALPHAS])
    path = tmp_path / "cut-out.png"
    Image.frombytes("LA", (40, 8), flat(patches).tobytes()).save(path)
    assert centres(path, MATTE) == pytest.approx(over_matte(np.array([[200.0, 200, 200]])), abs=1)


def test_alpha_beside_a_wide_gamut_profile_is_laid_over_the_unconverted_matte(
    tmp_path: Path, profiles: dict[str, bytes]
) -> None:
    red = np.array([[200, 150, 120]], np.uint8)
    path = tmp_path / "cut-out.png"
    patches = np.column_stack([np.tile(red, (5, 1)), ALPHAS])
    Image.fromarray(flat(patches)).save(path, icc_profile=profiles["opRGB"])
    assert centres(path, MATTE) == pytest.approx(over_matte(littlecms(red, profiles["opRGB"], "RGB")), abs=1)


def test_an_extra_channel_that_is_not_alpha_is_left_aside(tmp_path: Path) -> None:
    patches = np.column_stack([np.tile(np.array([[200, 150, 20]], np.uint8), (5, 1)), ALPHAS])
    path = tmp_path / "selection.tif"
    tifffile.imwrite(path, flat(patches), photometric="rgb", extrasamples=["unspecified"])
    assert np.array_equal(open_pixels(inspect(path)).whole(), flat(patches[:, :3]))


@pytest.mark.parametrize("space", WIDE)
def test_the_small_version_has_the_same_colours(tmp_path: Path, profiles: dict[str, bytes], space: str) -> None:
    path = tmp_path / "patch.jpg"
    patch = np.full((400, 600, 3), (200, 150, 120), np.uint8)
    Image.fromarray(patch).save(path, quality=100, subsampling=0, icc_profile=profiles[space])
    expected = littlecms(patch[0, :1], profiles[space], "RGB")[0]
    assert small_rgb(inspect(path), 60)[20, 30] == pytest.approx(expected, abs=2)  # JPEG itself is off by one


def test_the_small_version_lays_alpha_over_the_matte(tmp_path: Path) -> None:
    path = tmp_path / "cut-out.png"
    Image.new("RGBA", (400, 200), (200, 150, 20, 128)).save(path)
    expected = [round(c * 128 / 255 + m * 127 / 255) for c, m in zip((200, 150, 20), MATTE, strict=True)]
    assert small_rgb(inspect(path), 40, MATTE)[10, 20] == pytest.approx(expected, abs=1)


def test_an_avif_marked_as_display_p3_is_converted(tmp_path: Path) -> None:
    path = tmp_path / "patch.avif"
    Image.new("RGB", (64, 64), (200, 150, 120)).save(path, quality=100, subsampling="4:4:4")
    plain, marked = b"colrnclx\x00\x01\x00\x0d", b"colrnclx\x00\x0c\x00\x0d"  # primaries, ITU-T H.273 table 2
    data = path.read_bytes()
    assert plain in data
    path.write_bytes(data.replace(plain, marked))
    expected = colour_science(np.array([[200, 150, 120]], np.uint8), "Display P3")[0]
    assert inspect(path).profile == "Display P3, marked in the file"
    assert centres(path)[0] == pytest.approx(expected, abs=2)  # AVIF itself is off by one
