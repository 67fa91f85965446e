"""Rectangles, with answers worked by hand."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kenburns.motion.geometry import (
    Rect,
    Size,
    around,
    bounds,
    box_around,
    box_inside,
    common,
    containing,
    corners_of,
    filling,
    hull,
    is_convex,
    overlap,
    slide_inside,
)

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


def test_what_two_rects_have_in_common() -> None:
    assert common(Rect(0, 0, 4, 4), Rect(2, -1, 4, 4)) == Rect(2, 0, 2, 3)
    assert common(Rect(0, 0, 4, 4), Rect(4, 0, 4, 4)) is None


def test_boxes_around_and_inside_a_tilted_quadrangle() -> None:
    tilted = (10.0, 4.0), (90.0, 0.0), (94.0, 60.0), (12.0, 66.0)
    assert box_around(tilted) == Rect(10, 0, 84, 66)
    assert box_inside(tilted) == Rect(12, 4, 78, 56)
    assert box_inside(((50, 0), (100, 50), (50, 100), (0, 50))) == Rect(0, 0, 100, 100)  # a diamond: no room between


@given(rects)
def test_an_upright_quadrangle_is_its_own_box(rect: Rect) -> None:
    for box in (box_around(corners_of(rect)), box_inside(corners_of(rect))):
        assert (box.x, box.y) == (rect.x, rect.y)
        assert (box.width, box.height) == pytest.approx((rect.width, rect.height))
    assert is_convex(corners_of(rect))


def test_corners_that_cross_turn_back_or_lie_in_line_are_no_convex_quadrangle() -> None:
    a, b, c, d = (0.0, 0.0), (9.0, 0.0), (9.0, 9.0), (0.0, 9.0)
    assert is_convex((a, b, c, d))
    assert not is_convex((d, c, b, a))
    assert not is_convex((a, c, b, d))
    assert not is_convex((a, (4.0, 0.0), b, c))


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
