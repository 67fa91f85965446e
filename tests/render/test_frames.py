"""Frames against Pillow, BT.709 and hand-worked pictures."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
import skimage.data
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from PIL import Image

from kenburns.motion.geometry import Rect, Size
from kenburns.render.levels import level_for
from kenburns.render.resample import KERNELS, axis

FRAME = Size(320, 180)
Draw = Callable[..., list[list[NDArray[Any]]]]


def to_rgb(planes: list[NDArray[Any]], bits: int) -> NDArray[np.float64]:
    """Full-resolution planes to R'G'B' in 0..255, by Rec. ITU-R BT.709-6 items 3.2 to 3.5 and table 4."""
    unit = 1 << (bits - 8)
    luma = (planes[0] / unit - 16) / 219
    blue, red = ((plane / unit - 128) / 224 for plane in planes[1:])
    r, b = luma + 1.5748 * red, luma + 1.8556 * blue
    g = (luma - 0.2126 * r - 0.0722 * b) / 0.7152
    return np.stack([r, g, b], axis=-1) * 255


def photographed(name: str) -> NDArray[np.uint8]:
    """A real photograph from those that scikit-image carries."""
    return np.asarray(getattr(skimage.data, name)(), np.uint8)


def psnr(a: NDArray[Any], b: NDArray[Any]) -> float:
    return float(10 * np.log10(255**2 / np.mean((np.clip(a, 0, 255) - b) ** 2)))


@pytest.mark.parametrize("photograph", ["coffee", "chelsea", "astronaut"])
@pytest.mark.parametrize("scale", [1.0, 1.21, 1.37])
def test_a_crop_is_the_one_that_pillow_makes(draw_views: Draw, photograph: str, scale: float) -> None:
    """Reference: Pillow's `resize(box=...)` with LANCZOS; real photographs bundled with scikit-image.

    Pillow filters code values, this renderer light, which is most of the difference; test_reference.py filters light.
    """
    picture = photographed(photograph)
    view = Rect(3.3, 1.7, FRAME.width * scale, FRAME.height * scale)
    drawn = to_rgb(draw_views(picture, [view], FRAME)[0], 10)
    box = (view.x, view.y, view.right, view.bottom)
    expected = np.asarray(Image.fromarray(picture).resize((320, 180), Image.Resampling.LANCZOS, box=box))
    assert psnr(drawn, expected) >= 40


@pytest.mark.parametrize("sampling", ["420", "422"])
def test_shared_chroma_still_gives_the_picture_that_pillow_makes(draw_views: Draw, sampling: str) -> None:
    """A photograph without saturated edges: what 4:2:0 leaves out of those is no fault of the crop."""
    picture = photographed("chelsea")
    view = Rect(3.3, 1.7, FRAME.width * 1.37, FRAME.height * 1.37)
    luma, blue, red = draw_views(picture, [view], FRAME, sampling)[0]
    full = [luma, *(_spread(plane, FRAME) for plane in (blue, red))]
    box = (view.x, view.y, view.right, view.bottom)
    expected = np.asarray(Image.fromarray(picture).resize((320, 180), Image.Resampling.LANCZOS, box=box))
    assert psnr(to_rgb(full, 10), expected) >= 40


def _spread(plane: NDArray[Any], frame: Size) -> NDArray[np.float64]:
    """Linear chroma upsampling from left-sited columns and, for 4:2:0, rows midway."""
    rows = (np.arange(frame.height) + 0.5) * plane.shape[0] / frame.height - 0.5
    columns = np.arange(frame.width) / 2
    down = np.stack([np.interp(rows, np.arange(plane.shape[0]), column) for column in plane.T], axis=1)
    return np.stack([np.interp(columns, np.arange(plane.shape[1]), row) for row in down])


def test_a_step_in_colour_stands_where_its_luma_stands_in_left_sited_chroma(draw_views: Draw) -> None:
    """H.264 annex E, chroma_sample_loc_type 0: chroma column i lies on luma column 2 i.

    A smooth ramp of red across the frame: at column 2 i the luma-side value and chroma column i must agree.
    """
    ramp = np.linspace(0.1, 0.9, 640)
    picture = np.zeros((360, 640, 3), np.uint16)
    picture[:, :, 0] = np.round(ramp * 65535)[None, :]
    luma, _, red = draw_views(picture, [Rect(40, 20, 320, 180)], FRAME, "422")[0]
    value = (luma[90, 0::2].astype(float) / 4 - 16) / 219 / 0.2126
    from_chroma = (red[90].astype(float) / 4 - 128) / 224 * 2
    # One column off would be 0.00125; the rounding of a 10-bit luma step is 0.0027 a sample, of the mean far less.
    assert np.mean(value[8:-8] - from_chroma[8:-8]) == pytest.approx(0, abs=3e-4)


@pytest.mark.parametrize("bits", [8, 10])
@pytest.mark.parametrize("colour", [(0, 0, 0), (255, 255, 255), (200, 30, 90), (12, 34, 56), (250, 128, 114)])
def test_a_flat_patch_comes_back_within_one_code_of_255(
    draw_views: Draw, bits: int, colour: tuple[int, int, int]
) -> None:
    picture = np.full((200, 400, 3), colour, np.uint8)
    planes = draw_views(picture, [Rect(10.2, 5.1, 345.6, 194.4)], FRAME, "444", bits, dither=bits == 8)[0]
    mean = to_rgb([plane.mean(keepdims=True) for plane in planes], bits)[0, 0]
    assert np.abs(mean - colour).max() <= (1.0 if bits == 8 else 0.5)


def test_a_one_pixel_checkerboard_at_scale_2_is_as_bright_as_its_light(draw_views: Draw) -> None:
    """Half the light of white is sRGB 187.5 (IEC 61966-2-1): halving code values would give 127.5."""
    board = (np.indices((400, 700)).sum(axis=0) % 2 * 255).astype(np.uint8)
    picture = np.repeat(board[:, :, None], 3, axis=2)
    luma = draw_views(picture, [Rect(20, 20, 640, 360)], FRAME)[0][0]
    assert np.abs((luma / 4 - 16) / 219 * 255 - 187.5).max() <= 1


def test_around_a_picture_that_does_not_fill_the_frame_lies_the_matte(draw_views: Draw) -> None:
    picture = np.full((100, 100, 3), 255, np.uint8)
    view = Rect(-110, -40, 320, 180)  # the picture lies at columns 110 to 210, rows 40 to 140
    luma, blue, red = draw_views(picture, [view], FRAME, matte=(22, 22, 22))[0]
    dark = round((16 + 219 * 22 / 255) * 4)
    white = 235 * 4
    assert (luma[40:140, 110:210] == white).all()
    outside = np.ones(luma.shape, bool)
    outside[40:140, 110:210] = False
    assert (luma[outside] == dark).all()
    assert (blue == 512).all()
    assert (red == 512).all()


def test_a_border_between_pixels_mixes_light_by_what_it_covers(draw_views: Draw) -> None:
    picture = np.full((100, 100, 3), 255, np.uint8)
    luma = draw_views(picture, [Rect(-110.25, -40, 320, 180)], FRAME)[0][0]
    # Three quarters and one quarter of the light of white, as sRGB values: IEC 61966-2-1.
    assert luma[90, 110] == pytest.approx(64 + 876 * (1.055 * 0.75 ** (1 / 2.4) - 0.055), abs=1)
    assert luma[90, 210] == pytest.approx(64 + 876 * (1.055 * 0.25 ** (1 / 2.4) - 0.055), abs=1)


def test_eight_bits_are_dithered_to_the_mean_between_two_codes(draw_views: Draw) -> None:
    """A 16-bit grey between two 8-bit codes: rounding would lose it, dither keeps it in the mean."""
    code = 100.37
    value = round((code - 16) / 219 * 65535)
    picture = np.full((180, 320, 3), value, np.uint16)
    luma = draw_views(picture, [Rect(0, 0, 320, 180)], FRAME, "420", 8, dither=True)[0][0]
    assert luma.mean() == pytest.approx(code, abs=0.02)
    assert set(np.unique(luma)) == {100, 101}


def test_a_16_bit_ramp_keeps_every_step_of_10_bits(draw_views: Draw) -> None:
    """64 columns a 10-bit step: each code from black to white comes once, in order, none missing."""
    ramp = np.linspace(0, 65535, 940 - 64 + 1).round().astype(np.uint16)
    picture = np.repeat(np.repeat(ramp, 4)[None, :, None], 64, axis=0).repeat(3, axis=2)
    frame = Size(3508, 64)
    luma = draw_views(picture, [Rect(0, 0, 3508, 64)], frame)[0][0]
    assert luma[32, 1::4].tolist() == list(range(64, 941))


@given(
    scale=st.floats(1, 3.9),
    x=st.floats(-50, 200),
    y=st.floats(-50, 100),
    rows=st.sampled_from([7, 64, 1000]),
    sampling=st.sampled_from(["420", "422", "444"]),
)
@settings(max_examples=25)
def test_how_the_photograph_was_read_does_not_show(
    draw_views: Draw, scale: float, x: float, y: float, rows: int, sampling: str
) -> None:
    """Strips of any height, and reading no more than the view needs, give the very same frame as reading it all."""
    picture = np.random.default_rng(5).integers(0, 256, (401, 603, 3), np.uint8)
    frame = Size(96, 54)
    view = Rect(x, y, frame.width * scale, frame.height * scale)
    everything = Rect(-1, -1, scale * frame.width, scale * frame.height)
    big = [Rect(at_x, at_y, everything.width, everything.height) for at_x in (0, 560) for at_y in (0, 380)]
    alone = draw_views(picture, [view], frame, sampling, rows=rows)[0]
    among = draw_views(picture, [view, *big], frame, sampling, rows=401)[0]
    for one, other in zip(alone, among, strict=True):
        assert np.array_equal(one, other)


@given(step=st.floats(1, 2), first=st.floats(-30, 90), kernel=st.sampled_from(KERNELS))
@settings(max_examples=100)
def test_weights_and_matte_sum_to_one_and_keep_a_slope_in_place(step: float, first: float, kernel: str) -> None:
    lanes = axis(kernel, 60, (0.0, 60.0), first, step, 20)
    assert np.allclose(lanes.weights.sum(axis=1) + lanes.bare, 1, atol=1e-5)
    centres = first + step * np.arange(20)
    inside = (centres > 7) & (centres < 53)
    positions = lanes.start[:, None] + np.arange(lanes.weights.shape[1]) + 0.5
    assert np.allclose((lanes.weights * positions).sum(axis=1)[inside], centres[inside], atol=1e-4)


@pytest.mark.parametrize("step", [0.999999, 0.5, 0.0])
def test_nothing_is_ever_enlarged(step: float) -> None:
    with pytest.raises(ValueError, match="never enlarged"):
        axis("crisp", 100, (0.0, 100.0), 5.0, step, 10)


@pytest.mark.parametrize(
    ("scale", "level"), [(1.0, 1), (1.799, 1), (1.8, 1.5), (2.399, 1.5), (2.4, 2), (3.599, 2), (3.6, 3), (1000.0, 768)]
)
def test_views_are_drawn_from_these_levels(scale: float, level: float) -> None:
    assert level_for(scale) == level


@given(scale=st.floats(1, 5000))
@settings(max_examples=200)
def test_the_last_step_is_less_than_a_halving_and_not_near_one(scale: float) -> None:
    step = scale / level_for(scale)
    assert step < 2
    assert step >= 1.2 * (1 - 1e-15) or level_for(scale) == 1


def test_several_views_give_the_mean_of_their_light(draw_views: Draw) -> None:
    """Black for half of the exposure and white for the other is half the light: sRGB 187.5 (IEC 61966-2-1)."""
    picture = np.zeros((180, 640, 3), np.uint8)
    picture[:, 320:] = 255
    luma = draw_views(picture, [(Rect(0, 0, 320, 180), Rect(320, 0, 320, 180))], FRAME)[0][0]
    assert (luma[:, 10:-10].astype(float) / 4 - 16).mean() / 219 * 255 == pytest.approx(187.5, abs=0.5)


def test_a_move_under_an_open_shutter_is_the_mean_of_its_moments(draw_views: Draw) -> None:
    picture = photographed("coffee")
    moments = [Rect(20 + 1.25 * i, 10, 384, 216) for i in range(8)]
    blurred = draw_views(picture, [tuple(moments)], FRAME, rows=64)[0]
    single = [to_rgb(planes, 10) for planes in draw_views(picture, moments, FRAME)]
    light = np.mean([np.clip(rgb / 255, 0, 1) ** 2.2 for rgb in single], axis=0) ** (1 / 2.2) * 255
    assert psnr(to_rgb(blurred, 10), light) >= 38


def test_helpers_change_no_sample(draw_views: Draw) -> None:
    picture = photographed("chelsea")
    view = Rect(3.3, 1.7, FRAME.width * 1.2, FRAME.height * 1.2)
    for views in ([view], [(view, Rect(5, 2, view.width, view.height))]):
        alone, shared = draw_views(picture, views, FRAME, "420"), draw_views(picture, views, FRAME, "420", helpers=2)
        for one, other in zip(alone[0], shared[0], strict=True):
            assert np.array_equal(one, other)
