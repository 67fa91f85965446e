"""Patches and ramps from a photograph's file through the `edit` preset and back, against LittleCMS in double precision.

Profiles are built from the published primaries, white points and curves of the spaces. CIEDE2000 and OKLab are
colour-science's. What is decoded becomes R'G'B' by the formulas of Rec. ITU-R BT.709-6, in float: libswscale's quick
conversion is off by up to three codes.
"""

from __future__ import annotations

import warnings
from fractions import Fraction
from pathlib import Path

import av
import imagecodecs
import numpy as np
import pytest
import pyvips
import tifffile
from av.video.frame import VideoFrame
from numpy.typing import NDArray
from PIL import Image

from kenburns.job import make
from kenburns.motion.geometry import Size, bounds
from kenburns.presets import codec
from kenburns.render.clip import Recipe, write_clip
from kenburns.render.encode import Encoding, planes, raster_for
from kenburns.render.source import photograph_pyramid
from kenburns.stills.littlecms import Intent
from kenburns.stills.open import inspect

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science says at import that plotting is not there
    import colour

Floats = NDArray[np.float64]
Samples = NDArray[np.uint8] | NDArray[np.uint16]

SIDE = 64  # px of a patch; its middle half is measured
ACROSS = 6
STEP_SIDE = 16  # px of a ramp's step: two blocks of the codec's transform

RAMP = np.linspace(0, 1, 4096)
D65, D50 = (0.3127, 0.3290, 1), (0.3457, 0.3585, 1)
SRGB_CURVE = np.where(RAMP <= 0.04045, RAMP / 12.92, ((RAMP + 0.055) / 1.055) ** 2.4)  # IEC 61966-2-1
ROMM_CURVE = np.where(RAMP < 16 / 512, RAMP / 16, RAMP**1.8)  # ISO 22028-2


def rgb_profile(white: tuple[float, ...], primaries: tuple[float, ...], curve: Floats) -> bytes:
    return bytes(
        imagecodecs.cms_profile("rgb", whitepoint=white, primaries=primaries, transferfunction=curve.astype(np.float32))
    )


PROFILES = {
    "sRGB": bytes(imagecodecs.cms_profile("srgb")),
    # IEC 61966-2-5
    "opRGB": rgb_profile(D65, (0.64, 0.33, 1, 0.21, 0.71, 1, 0.15, 0.06, 1), RAMP ** (563 / 256)),
    # ISO 22028-2
    "ROMM": rgb_profile(D50, (0.7347, 0.2653, 1, 0.1596, 0.8404, 1, 0.0366, 0.0001, 1), ROMM_CURVE),
    # SMPTE EG 432-1, curve of IEC 61966-2-1
    "Display P3": rgb_profile(D65, (0.68, 0.32, 1, 0.265, 0.69, 1, 0.15, 0.06, 1), SRGB_CURVE),
    "CMYK": bytes(pyvips.Operation.call("profile_load", "cmyk")),
}


def littlecms(values: Samples, space: str) -> Floats:
    """sRGB by LittleCMS in double precision, relative colorimetric, black point compensated: (n, 3), unclipped."""
    flags = imagecodecs.CMS.FLAGS
    result: Floats = imagecodecs.cms_transform(
        values[None],
        PROFILES[space],
        PROFILES["sRGB"],
        colorspace="cmyk" if space == "CMYK" else "rgb",
        outcolorspace="rgb",
        outdtype="float64",
        intent=imagecodecs.CMS.INTENT.RELATIVE_COLORIMETRIC,
        flags=flags.BLACKPOINTCOMPENSATION | flags.NOOPTIMIZE,
    )
    return result.reshape(-1, 3)


def patches(space: str, deep: bool) -> Samples:
    """24 colours that sRGB can show and six greys, in the values of a space."""
    if space == "CMYK":
        greys = [[0, 0, 0, black] for black in (0, 50, 100, 150)] + [[90, 70, 70, 0], [150, 125, 120, 60]]
    else:
        greys = [[level] * 3 for level in (0, 18, 64, 128, 200, 255)]
    generator = np.random.default_rng(11)
    some = generator.integers(0, 210 if space == "CMYK" else 256, (2000, 4 if space == "CMYK" else 3), dtype=np.uint8)
    encoded = littlecms(some, space)
    inside = some[(encoded.min(axis=1) > 0) & (encoded.max(axis=1) < 1)]
    chosen = np.concatenate([np.array(greys, np.uint8), inside[:24]])
    assert len(chosen) == 30
    return chosen * np.uint16(257) + np.uint16(3 * (chosen < 250)).reshape(chosen.shape) if deep else chosen


def squares(values: Samples, side: int, across: int) -> Samples:
    """Lay patches (n, bands) out as squares, row by row."""
    return values.reshape(-1, across, values.shape[1]).repeat(side, axis=0).repeat(side, axis=1)


def photograph(path: Path, picture: Samples, profile: bytes | None) -> Path:
    photometric = "separated" if picture.shape[2] == 4 else "rgb"
    tifffile.imwrite(path, picture, photometric=photometric, iccprofile=profile)
    return path


def recipe(frame: Size, intent: Intent = "relative") -> Recipe:
    edit = codec("edit")
    raster = raster_for(edit.pixel_format, frame, edit.dither)
    encoding = Encoding(edit.encoder, edit.container, edit.pixel_format, edit.options)
    return Recipe(raster, encoding, Fraction(25), edit.kernel, (22, 22, 22), intent)


def through(path: Path, intent: Intent = "relative") -> list[Floats]:
    """Show a photograph whole at 1:1 for three frames; return the decoded planes Y', Cb, Cr of the last, 10-bit."""
    still, clip = inspect(path), path.with_suffix(".mov")
    whole, how = bounds(still.size), recipe(still.size, intent)
    write_clip(
        clip,
        photograph_pyramid(still, [whole], how.raster, how.matte, how.intent),
        [[whole]] * 3,
        how,
        (),
        lambda _done: None,
    )
    return decoded(clip)


def decoded(clip: Path) -> list[Floats]:
    with av.open(str(clip)) as container:
        *_, last = (frame for frame in container.decode(video=0) if isinstance(frame, VideoFrame))
        assert last.format.name == "yuv422p10le"
        return [np.asarray(plane, np.float64) for plane in planes(last)]


def means(plane: Floats, side: int, across: int = 1) -> Floats:
    """Return the mean of the middle half of every square; a plane has one sample for `across` columns."""
    rows, columns = plane.shape[0] // side, plane.shape[1] * across // side
    blocks = plane.reshape(rows, side, columns, side // across)
    middle = blocks[:, side // 4 : 3 * side // 4, :, side // across // 4 : 3 * side // across // 4]
    return np.asarray(middle.mean(axis=(1, 3)).ravel())


def rgb(frame: list[Floats], side: int) -> Floats:
    """R'G'B' in [0, 1] of every square: Rec. ITU-R BT.709-6, items 3.2 to 3.5 and table 4."""
    luma = (means(frame[0], side) / 4 - 16) / 219
    blue, red = ((means(plane, side, 2) / 4 - 128) / 224 for plane in frame[1:])
    r, b = luma + 1.5748 * red, luma + 1.8556 * blue
    return np.stack([r, (luma - 0.2126 * r - 0.0722 * b) / 0.7152, b], axis=-1)


def lab(encoded: Floats) -> Floats:
    linear = colour.models.eotf_sRGB(np.clip(encoded, 0, 1))
    white = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]
    return np.asarray(colour.XYZ_to_Lab(linear @ colour.RGB_COLOURSPACES["sRGB"].matrix_RGB_to_XYZ.T, white))


@pytest.mark.parametrize(
    ("space", "deep"),
    [*[(space, deep) for space in PROFILES if space != "CMYK" for deep in (False, True)], ("CMYK", False)],
)
def test_patches_in_gamut_come_back_from_a_clip_as_littlecms_has_them(tmp_path: Path, space: str, deep: bool) -> None:
    values = patches(space, deep)
    path = photograph(tmp_path / "patches.tif", squares(values, SIDE, ACROSS), PROFILES[space])
    apart = colour.delta_E(lab(rgb(through(path), SIDE)), lab(littlecms(values, space)), method="CIE 2000")
    assert apart.mean() <= 0.5
    assert apart.max() <= 1.5


@pytest.mark.parametrize("space", [None, "opRGB", "ROMM"])
def test_a_16_bit_ramp_shows_every_10_bit_step_once(tmp_path: Path, space: str | None) -> None:
    """One square for each luma code, 64 to 940, as the 16-bit grey nearest to it; three of 940 fill the last row.

    VC-3 is lossy, so every step is two by two of its transform's blocks wide and flat, and its mean is what counts.
    """
    codes = np.minimum(np.arange(64, 944), 940)
    wanted = (codes - 64) / 876
    grey = np.arange(65536, dtype=np.uint16)[:, None].repeat(3, axis=1)
    becomes = grey[:, 1] / 65535 if space is None else littlecms(grey, space)[:, 1]
    levels = np.interp(wanted, np.maximum.accumulate(becomes), np.arange(65536)).round().astype(np.uint16)
    picture = squares(levels[:, None].repeat(3, axis=1), STEP_SIDE, 22)
    path = photograph(tmp_path / "ramp.tif", picture, None if space is None else PROFILES[space])
    luma = means(through(path)[0], STEP_SIDE)
    assert np.abs(luma - codes).max() < 0.5
    assert luma.round().astype(int).tolist() == codes.tolist()


# Two greens of Display P3, and two of ROMM, that clipping each channel turns into one.
BEYOND = {"Display P3": [[80, 250, 60], [0, 250, 0]], "ROMM": [[60, 250, 40], [0, 250, 0]]}


@pytest.mark.parametrize("space", BEYOND)
def test_colours_beyond_the_gamut_stay_apart_under_the_perceptual_intent(tmp_path: Path, space: str) -> None:
    values = np.array(BEYOND[space] * 3, np.uint8)
    clipped = littlecms(values[:2], space).clip(0, 1)
    assert np.ptp(clipped[:, [0, 2]], axis=0).max() == 0
    assert np.ptp(clipped[:, 1]) < 0.02
    path = photograph(tmp_path / "greens.tif", squares(values, 128, 3), PROFILES[space])
    shown = rgb(through(path, "perceptual"), 128)
    assert colour.delta_E(lab(shown[0]), lab(shown[1]), method="CIE 2000") > 1


def hue(encoded: Floats) -> Floats:
    """OKLab's hue in degrees; LittleCMS goes on below 0 with the curve's linear part."""
    linear = np.where(encoded < 0, encoded / 12.92, colour.models.eotf_sRGB(np.maximum(encoded, 0)))
    oklab = colour.XYZ_to_Oklab(linear @ colour.RGB_COLOURSPACES["sRGB"].matrix_RGB_to_XYZ.T)
    return np.asarray(np.degrees(np.arctan2(oklab[:, 2], oklab[:, 1])))


def turned(a: Floats, b: Floats) -> Floats:
    """By how many degrees hues differ."""
    return np.asarray(np.abs((hue(a) - hue(b) + 180) % 360 - 180))


def test_hues_beyond_the_gamut_turn_less_than_by_a_clip(tmp_path: Path) -> None:
    values = np.array([[0, 255, 0], [0, 204, 102], [255, 128, 0]] * 2, np.uint8)
    path = photograph(tmp_path / "deep.tif", squares(values, 128, 3), PROFILES["opRGB"])
    wanted = littlecms(values, "opRGB")
    assert turned(wanted.clip(0, 1), wanted).min() > 4
    assert turned(rgb(through(path, "relative"), 128), wanted).max() < 3
    assert turned(rgb(through(path, "perceptual"), 128), wanted).max() < 0.6


def test_a_film_s_own_codec_preset_chooses_the_intent(tmp_path: Path) -> None:
    film = tmp_path / "film"
    film.mkdir()
    green = np.broadcast_to(np.array([0, 250, 0], np.uint8), (360, 640, 3))
    Image.fromarray(np.ascontiguousarray(green)).save(film / "meadow.png", icc_profile=PROFILES["Display P3"])
    (film / "cutlist.csv").write_text("slot,start,length,wanted,still,shot\n01,0,3,,meadow.png,hold\n")
    shipped = Path(__file__).parents[2] / "presets" / "codecs" / "edit.toml"
    (film / "presets" / "codecs").mkdir(parents=True)
    wide = shipped.read_text().replace('intent = "relative"', 'intent = "perceptual"')
    (film / "presets" / "codecs" / "wide.toml").write_text(wide)
    shown = {}
    for name in ("edit", "wide"):
        outcome = make(film, frame="320x180", rate="25", codec=name, out=tmp_path / name)
        assert outcome.failed == ()
        shown[name] = rgb([plane[:160, :] for plane in decoded(tmp_path / name / "01.mov")], 80)
    assert np.abs(shown["edit"] - shown["wide"]).max() > 0.02
