"""Pixel needs, worked by hand."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kenburns.motion.geometry import Size
from kenburns.motion.headroom import detail_cm, headroom

UHD = Size(3840, 2160)
sizes = st.builds(Size, st.integers(1, 20_000), st.integers(1, 20_000))


def test_a_24_megapixel_photograph_bears_1_5625_in_a_uhd_frame() -> None:
    room = headroom(Size(6000, 4000), UHD)
    assert room.verdict == "good"
    assert room.largest_zoom == 1.5625  # 6000/3840; the height alone would bear 4000/2160 = 1.85
    assert room.needed is None
    assert room.smallest_detail == UHD
    assert room.smallest_detail_share == 0.64
    assert room.reason == "6000×4000 px; a 3840×2160 frame can zoom to 1.56 before 1:1"


def test_a_photograph_short_of_the_zoom_is_told_the_size_of_its_own_shape_to_ask_for() -> None:
    room = headroom(Size(6000, 4000), UHD, 2)
    assert room.verdict == "short"
    assert room.needed == Size(7680, 5120)
    assert room.reason == ("6000×4000 px; a 3840×2160 frame at zoom 2 needs at least 7680×4320: ask for 7680×5120")


def test_a_photograph_less_than_the_frame_is_small() -> None:
    room = headroom(Size(3000, 2000), UHD)
    assert room.verdict == "small"
    assert room.largest_zoom == 0.78125
    assert room.needed == Size(3840, 2560)
    assert room.reason == "3000×2000 px; a 3840×2160 frame needs at least 3840×2160: ask for 3840×2560"


def test_a_portrait_is_measured_by_its_width() -> None:
    room = headroom(Size(3000, 9000), UHD)
    assert (room.verdict, room.needed) == ("small", Size(3840, 11_520))


@pytest.mark.parametrize(
    ("still", "verdict"), [(Size(3840, 2160), "good"), (Size(3839, 2160), "small"), (Size(3840, 2159), "small")]
)
def test_one_pixel_decides(still: Size, verdict: str) -> None:
    assert headroom(still, UHD).verdict == verdict


@pytest.mark.parametrize(("width", "verdict"), [(4224, "good"), (4223, "short")])
def test_a_zoom_of_1_1_is_eleven_tenths_and_not_the_double_beside_it(width: int, verdict: str) -> None:
    assert headroom(Size(width, 4000), UHD, 1.1).verdict == verdict


def test_a_needed_size_is_rounded_up() -> None:
    # 1000x667 to 1920 wide: 667 * 1.92 = 1280.64
    assert headroom(Size(1000, 667), Size(1920, 1080)).needed == Size(1920, 1281)


@given(sizes, sizes, st.fractions(1, 8, max_denominator=50))
def test_the_needed_size_is_good_and_one_pixel_less_is_not(still: Size, frame: Size, zoom: Fraction) -> None:
    needed = headroom(still, frame, zoom).needed
    if needed is None:
        assert still.width >= frame.width * zoom
        assert still.height >= frame.height * zoom
        return
    assert headroom(needed, frame, zoom).verdict == "good"
    limiting_width = Fraction(frame.width, still.width) >= Fraction(frame.height, still.height)
    less = Size(needed.width - 1, needed.height) if limiting_width else Size(needed.width, needed.height - 1)
    assert headroom(less, frame, zoom).verdict != "good"


def test_the_smallest_detail_in_centimetres_is_its_share_of_the_work() -> None:
    # 3840 of 6000 px across 90 cm; 2160 of 4000 px down 60 cm
    assert detail_cm(headroom(Size(6000, 4000), UHD), 90, 60) == pytest.approx((57.6, 32.4))


def test_the_smallest_detail_is_no_larger_than_the_work() -> None:
    assert detail_cm(headroom(Size(1000, 800), UHD), 90, 60) == (90, 60)


@pytest.mark.parametrize("zoom", [0.99, 0, -1, math.nan, math.inf])
def test_a_zoom_below_1_is_refused(zoom: float) -> None:
    with pytest.raises(ValueError, match="at least 1"):
        headroom(Size(6000, 4000), UHD, zoom)


@pytest.mark.parametrize(("width", "height"), [(0, 60), (90, -1), (math.nan, 60)])
def test_a_work_without_size_is_refused(width: float, height: float) -> None:
    with pytest.raises(ValueError, match="above 0 cm"):
        detail_cm(headroom(Size(6000, 4000), UHD), width, height)


def test_the_wall_around_a_work_bears_no_zoom() -> None:
    """A work of 1920 px in a photograph of 3840: zoom 1 at HD, and twice the photograph for zoom 2."""
    room = headroom(Size(3840, 2160), Size(1920, 1080), 2, Size(1920, 1080))
    assert (room.largest_zoom, room.verdict, room.needed) == (1.0, "short", Size(7680, 4320))
    assert room.smallest_detail_share == 1.0
    assert room.reason.startswith("3840×2160 px, the work in it 1920×1080 px; a 1920×1080 frame at zoom 2 needs")
    assert detail_cm(room, 100, 50) == (100, 50)
