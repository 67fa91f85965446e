"""Whole conversions at full precision, against LittleCMS in double precision (imagecodecs) and in 8 bits (Pillow)."""

from __future__ import annotations

import io
import struct
from collections.abc import Callable, Mapping

import imagecodecs
import numpy as np
import pytest
import pyvips
from numpy.typing import NDArray
from PIL import Image, ImageCms

from kenburns.stills import srgb
from kenburns.stills.convert import to_srgb
from kenburns.stills.littlecms import Intent, ProfileError, Samples, display_p3, light, space
from kenburns.stills.profile import route_for

LITTLECMS_SRGB = bytes(imagecodecs.cms_profile("srgb"))
INTENTS: dict[Intent, int] = {"perceptual": 0, "relative": 1}


def doubled(values: Samples, profile: bytes, intent: Intent = "relative") -> NDArray[np.float64]:
    """LittleCMS in double precision to its own sRGB, not optimised, black point compensated: (n, 3), unclipped."""
    flags = imagecodecs.CMS.FLAGS
    result = imagecodecs.cms_transform(
        values[None],
        profile,
        LITTLECMS_SRGB,
        colorspace={"GRAY": "gray", "RGB": "rgb", "CMYK": "cmyk"}[space(profile)],
        outcolorspace="rgb",
        outdtype="float64",
        intent=INTENTS[intent],
        flags=flags.BLACKPOINTCOMPENSATION | flags.NOOPTIMIZE,
    )
    flat: NDArray[np.float64] = result.reshape(-1, 3)
    return flat


def converted(values: Samples, profile: bytes, intent: Intent = "relative") -> NDArray[np.float64]:
    """What this package makes of values (n, bands), in [0, 1]."""
    result: NDArray[np.float64] = to_srgb(values[None], profile, intent)[0] / 65535
    return result


def cmyk() -> bytes:
    return bytes(pyvips.Operation.call("profile_load", "cmyk"))


def random(bands: int, *, deep: bool, below: float = 1.0) -> Samples:
    generator = np.random.default_rng(bands)
    if deep:
        return generator.integers(0, int(65536 * below), (3000, bands), dtype=np.uint16)
    return generator.integers(0, int(256 * below), (3000, bands), dtype=np.uint8)


@pytest.mark.parametrize("deep", [False, True])
@pytest.mark.parametrize("name", ["opRGB", "ROMM", "Display P3", "grey"])
def test_colours_in_gamut_are_littlecms_s_in_double_precision(
    profiles: dict[str, bytes], name: str, deep: bool
) -> None:
    values = random(1 if name == "grey" else 3, deep=deep)
    expected = doubled(values, profiles[name])
    within = (expected.min(axis=1) >= 0) & (expected.max(axis=1) <= 1)
    assert within.sum() > 500
    # A quarter of a 10-bit step would still be invisible; 1e-4 is a tenth of one.
    assert np.abs(converted(values, profiles[name]) - expected)[within].max() <= 1e-4


@pytest.mark.parametrize("name", ["opRGB", "ROMM", "Display P3"])
def test_a_16_bit_grey_ramp_is_exact_and_neutral_down_to_black(profiles: dict[str, bytes], name: str) -> None:
    ramp = np.arange(65536, dtype=np.uint16)[:, None].repeat(3, axis=1)
    codes = converted(ramp, profiles[name]) * 65535
    assert np.abs(codes - doubled(ramp, profiles[name]).clip(0, 1) * 65535).max() <= 2
    assert (np.diff(codes, axis=0) >= 0).all()
    assert np.ptp(codes, axis=1).max() <= 3
    assert codes[0].tolist() == [0, 0, 0]
    assert codes[-1].min() >= 65534


@pytest.mark.parametrize("intent", ["relative", "perceptual"])
def test_cmyk_is_littlecms_s_with_its_black_point_compensated(intent: Intent) -> None:
    values = random(4, deep=False, below=0.7)
    values[:3] = [[0, 0, 0, 0], [0, 0, 0, 128], [60, 40, 40, 0]]
    expected = doubled(values, cmyk(), intent)
    inside = (expected.min(axis=1) >= 0) & (expected.max(axis=1) <= 1)
    grey = np.ptp(expected, axis=1) < 0.08
    chosen = inside if intent == "relative" else inside & grey  # perceptual moves colours near the edge
    assert chosen.sum() > 20
    assert np.abs(converted(values, cmyk(), intent) - expected)[chosen].max() <= 2e-4


def test_dark_cmyk_is_that_of_another_build_of_littlecms() -> None:
    """Pillow's, in 8 bits; black point compensation lifts these darkest colours by several codes."""
    values = random(4, deep=False)
    exact = doubled(values, cmyk())
    values = values[(exact.min(axis=1) > 0.005) & (exact.max(axis=1) < 0.15)]
    assert len(values) > 20
    compensated, plain = (pillow(values, flags) for flags in (ImageCms.Flags.BLACKPOINTCOMPENSATION, 0))
    assert np.abs(compensated - plain).max() > 5
    assert converted(values, cmyk()) * 255 == pytest.approx(compensated, abs=1)


def pillow(values: NDArray[np.uint8], flags: int) -> NDArray[np.float64]:
    transform = ImageCms.buildTransform(
        io.BytesIO(cmyk()),
        ImageCms.createProfile("sRGB"),
        "CMYK",
        "RGB",
        ImageCms.Intent.RELATIVE_COLORIMETRIC,
        flags=ImageCms.Flags.NOOPTIMIZE | flags,
    )
    image = Image.frombytes("CMYK", (len(values), 1), values.tobytes())
    row: NDArray[np.float64] = np.asarray(ImageCms.applyTransform(image, transform), np.float64)[0]
    return row


Maker = Callable[[bytes, str, Mapping[bytes, bytes], bytes], bytes]


def table_profile(make: Maker, dark: int) -> bytes:
    """RGB by tables of two points a band (lut16Type, ISO 15076-1 §10.10), in PCS Lab.

    A2B0 (perceptual) and A2B1 (relative) differ: L* of the middle corners is `dark` less in A2B0.
    """

    def lut(less: int) -> bytes:
        corners = np.array([[r, g, b] for r in (0, 1) for g in (0, 1) for b in (0, 1)], float)
        lightness = 100 * corners.mean(axis=1) ** 2  # no sum of what each band gives
        lightness[1:-1] -= less
        a, b = 30 * (corners[:, 0] - corners[:, 1]), 30 * (corners[:, 1] - corners[:, 2])
        codes = np.stack([lightness * 652.8, (a + 128) * 256, (b + 128) * 256], axis=1).round().astype(">u2")
        head = b"mft2\0\0\0\0" + bytes([3, 3, 2, 0]) + struct.pack(">9i", *(np.eye(3, dtype=int).ravel() * 65536))
        line = struct.pack(">2H", 0, 65535) * 3
        return head + struct.pack(">2H", 2, 2) + line + codes.tobytes() + line

    return make(b"RGB ", "tables", {b"A2B0": lut(dark), b"A2B1": lut(0)}, b"Lab ")


@pytest.fixture(scope="session")
def tables(make_profile: Maker) -> bytes:
    return table_profile(make_profile, dark=8)


@pytest.mark.parametrize("deep", [False, True])
@pytest.mark.parametrize("bands", [1, 3])
def test_a_profile_of_tables_is_followed_where_bands_do_not_add_up(tables: bytes, deep: bool, bands: int) -> None:
    values = random(bands, deep=deep)
    expected = doubled(values if bands == 3 else values.repeat(3, axis=1), tables)
    within = (expected.min(axis=1) >= 0) & (expected.max(axis=1) <= 1)
    assert within.sum() > 500
    assert np.abs(converted(values, tables) - expected)[within].max() <= 1e-4


def test_the_perceptual_intent_uses_the_profile_s_own_perceptual_table(tables: bytes) -> None:
    middle = np.array([[150, 120, 110]], np.uint8)  # off the diagonal, which touches black and white alone
    relative, perceptual = doubled(middle, tables), doubled(middle, tables, "perceptual")
    assert np.abs(relative - perceptual).max() > 0.01
    assert converted(middle, tables) == pytest.approx(relative, abs=1e-4)
    assert converted(middle, tables, "perceptual") == pytest.approx(perceptual, abs=1e-4)


def test_light_beyond_the_gamut_is_not_clipped(profiles: dict[str, bytes]) -> None:
    """ROMM's red and green, by the matrix of primaries (ISO 22028-2) adapted to D65 (Bradford)."""
    lit = light(np.array([[255, 0, 0], [0, 255, 0]], np.uint8), profiles["ROMM"])
    assert lit == pytest.approx(np.array([[2.0343, -0.2288, -0.0086], [-0.7275, 1.2317, -0.1531]]), abs=2e-4)


@pytest.mark.parametrize("name", ["ROMM", "Display P3"])
def test_steps_beyond_the_gamut_stay_apart_under_the_perceptual_intent(profiles: dict[str, bytes], name: str) -> None:
    """Ever stronger greens, all of the same code once each channel is clipped."""
    greens = np.array([[40 - step, 250, 20 - step // 2] for step in range(0, 40, 8)], np.uint8)
    clipped = doubled(greens, profiles[name]).clip(0, 1)
    assert np.ptp(clipped[:, [0, 2]], axis=0).max() == 0
    steps = np.abs(np.diff(converted(greens, profiles[name], "perceptual"), axis=0)).max(axis=1)
    assert steps.min() > 1 / 1023


def test_an_srgb_profile_is_not_pressed_together_under_the_perceptual_intent(profiles: dict[str, bytes]) -> None:
    values = random(3, deep=True)
    assert converted(values, profiles["sRGB"], "perceptual") == pytest.approx(values / 65535, abs=3e-4)


def test_a_profile_near_srgb_spares_8_bits_the_conversion_and_not_16(profiles: dict[str, bytes]) -> None:
    assert route_for(profiles["sRGB"], "RGB", deep=False).source is None
    assert route_for(profiles["sRGB"], "RGB", deep=True).source is not None  # its curve is in steps of 1/65535
    assert route_for(LITTLECMS_SRGB, "RGB", deep=True).source is None
    assert route_for(profiles["opRGB"], "RGB", deep=False).source is not None


def test_the_mark_of_display_p3_means_its_published_numbers(profiles: dict[str, bytes]) -> None:
    values = random(3, deep=False)
    assert light(values, display_p3()) == pytest.approx(light(values, profiles["Display P3"]), abs=1e-4)


def test_codes_are_those_of_the_published_curve_to_half_a_code() -> None:
    """IEC 61966-2-1; every representable step is near enough that rounding alone differs."""
    lit = np.linspace(-0.1, 1.1, 300_000, dtype=np.float32).reshape(-1, 3)
    codes = np.empty(lit.shape, np.uint16)
    srgb.encode(lit, codes)
    exact = lit.clip(0, 1).astype(float)
    exact = np.where(exact <= 0.0031308, exact * 12.92, 1.055 * np.maximum(exact, 1e-9) ** (1 / 2.4) - 0.055) * 65535
    assert np.abs(codes - exact).max() <= 0.6


def test_a_broken_profile_is_an_error_of_its_own() -> None:
    with pytest.raises(ProfileError):
        to_srgb(random(3, deep=False)[None], LITTLECMS_SRGB[:150] + bytes(len(LITTLECMS_SRGB) - 150), "relative")
