from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from kenburns.motion.geometry import Rect, Size, bounds, overlap
from kenburns.stills.detail.patches import luma, most_structured, patch_places

sides = st.integers(1, 9000)


def test_places_in_a_large_picture_are_24_spread_over_it() -> None:
    places = patch_places(Size(6000, 4000))
    assert len(places) == 24
    assert {(p.width, p.height) for p in places} == {(256, 256)}
    assert min(p.x for p in places) < 500
    assert max(p.right for p in places) > 5500
    assert min(p.y for p in places) < 500
    assert max(p.bottom for p in places) > 3500


def test_a_picture_of_two_patches_is_cut_in_two() -> None:
    assert patch_places(Size(512, 300)) == (Rect(0, 16, 256, 256), Rect(256, 16, 256, 256))


def test_a_narrow_picture_gives_narrow_patches() -> None:
    assert patch_places(Size(600, 40)) == (Rect(16, 0, 256, 40), Rect(320, 0, 256, 40))


@pytest.mark.parametrize("size", [Size(31, 500), Size(500, 31), Size(1, 1)])
def test_a_sliver_has_no_places(size: Size) -> None:
    assert patch_places(size) == ()


@example(40, 40, (0.0, 5e-324), (40.0, 40.0), 1)  # the least float above 0, an eighth of which is 0
@given(sides, sides, st.tuples(*[st.floats(-200, 9000)] * 2), st.tuples(*[st.floats(1, 9000)] * 2), st.integers(1, 30))
@settings(max_examples=80)
def test_places_are_whole_pixels_in_steps_of_8_inside_the_area_and_apart(
    width: int, height: int, corner: tuple[float, float], sizes: tuple[float, float], count: int
) -> None:
    size, area = Size(width, height), Rect(*corner, *sizes)
    places = patch_places(size, area, count=count)
    assert len(places) <= count
    for place in places:
        assert place.x % 8 == place.y % 8 == 0
        assert place.width == int(place.width)
        assert place.height == int(place.height)
        assert min(place.width, place.height) >= 32
        assert place.within(bounds(size))
        assert place.within(area)
    assert all(overlap(a, b) == 0 for i, a in enumerate(places) for b in places[:i])


def test_tiny_patches_or_none_are_refused() -> None:
    with pytest.raises(ValueError, match="not 8 px and 24"):
        patch_places(Size(500, 500), side=8)
    with pytest.raises(ValueError, match="not 256 px and 0"):
        patch_places(Size(500, 500), count=0)


def test_luma_has_the_weights_of_bt_601_at_both_depths() -> None:
    # ITU-R BT.601: 0.299 R + 0.587 G + 0.114 B.
    red = np.zeros((2, 2, 3), np.uint8)
    red[..., 0] = 200
    assert luma(red).tolist() == [[60, 60], [60, 60]]
    assert luma(red.astype(np.uint16) * 257).tolist() == [[60, 60], [60, 60]]
    assert luma(np.full((1, 1, 3), 65535, np.uint16)).tolist() == [[255]]


@pytest.mark.parametrize("patch", [np.zeros((4, 4), np.uint8), np.zeros((4, 4, 3), np.float32), np.zeros((4, 4, 4))])
def test_what_is_no_patch_is_refused(patch: NDArray[Any]) -> None:
    with pytest.raises(ValueError, match="a patch is uint8 or uint16 of shape"):
        luma(patch)


def test_the_most_structured_patches_come_first() -> None:
    flat, ramp = np.full((32, 32), 9, np.uint8), np.tile(np.arange(32, dtype=np.uint8), (32, 1))
    steps = np.tile(np.array([0, 0, 90, 90], np.uint8), (32, 8))
    kept = most_structured([flat, ramp, steps], 2)
    assert [int(p.max()) for p in kept] == [90, 31]
