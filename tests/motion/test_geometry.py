"""Rectangles, with answers worked by hand."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kenburns.motion.geometry import Rect, Size, around, bounds, containing, filling, hull, overlap, slide_inside

WIDE = Size(16, 9)
lengths = st.floats(1, 10_000)
places = st.floats(-10_000, 10_000)
rects = st.builds(Rect, places, places, lengths, lengths)


@pytest.mark.parametrize(("width", "height"), [(0, 9), (16, 0), (-1, 9)])
def test_a_size_below_one_pixel_is_refused(width: int, height: int) -> None:
    with pytest.raises(ValueError, match="at least 1x1"):
        Size(width, height)


def test_a_rect_knows_its_edges_centre_and_area() -> None:
    rect = Rect(1, 2, 4, 6)
    assert (rect.right, rect.bottom, rect.centre, rect.area) == (5, 8, (3, 5), 24)


def test_overlap_is_the_common_area_and_zero_where_rects_only_touch() -> None:
    assert overlap(Rect(0, 0, 4, 4), Rect(2, 3, 4, 4)) == 2
    assert overlap(Rect(0, 0, 4, 4), Rect(4, 0, 4, 4)) == 0
    assert overlap(Rect(0, 0, 4, 4), Rect(9, 9, 4, 4)) == 0


def test_hull_reaches_the_outermost_edges() -> None:
    assert hull(Rect(0, 0, 4, 4), Rect(2, -1, 4, 2)) == Rect(0, -1, 6, 5)


def test_around_has_the_frames_aspect_and_the_given_centre() -> None:
    assert around((100, 50), 32, WIDE) == Rect(84, 41, 32, 18)


@pytest.mark.parametrize(
    ("rect", "slid"),
    [
        (Rect(-3, 2, 4, 4), Rect(0, 2, 4, 4)),  # over the left edge
        (Rect(8, 9, 4, 4), Rect(6, 6, 4, 4)),  # over the right and lower edges
        (Rect(1, 2, 4, 4), Rect(1, 2, 4, 4)),  # inside: untouched
        (Rect(3, 3, 14, 4), Rect(-2, 3, 14, 4)),  # wider than the outer: centred
    ],
)
def test_slide_inside_moves_the_least_distance(rect: Rect, slid: Rect) -> None:
    assert slide_inside(rect, bounds(Size(10, 10))) == slid


def test_a_square_is_contained_by_its_height_and_filled_by_its_width() -> None:
    square = Rect(0, 0, 144, 144)
    assert containing(square, WIDE) == Rect(-56, 0, 256, 144)
    assert filling(square, WIDE) == Rect(0, 31.5, 144, 81)


@given(rects, rects)
def test_overlap_is_symmetric_and_no_larger_than_either(a: Rect, b: Rect) -> None:
    assert overlap(a, b) == overlap(b, a) <= min(a.area, b.area) * (1 + 1e-9)


@given(rects, rects)
def test_hull_holds_both_up_to_rounding(a: Rect, b: Rect) -> None:
    around_both = hull(a, b)
    hair = 1e-9
    for rect in (a, b):
        assert around_both.x <= rect.x
        assert around_both.right >= rect.right - hair
        assert around_both.y <= rect.y
        assert around_both.bottom >= rect.bottom - hair
