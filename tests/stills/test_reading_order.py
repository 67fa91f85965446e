from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from kenburns.motion.geometry import Rect, Size, bounds
from kenburns.stills.interest.reading_order import DIRECTIONS, pan_run, reading_order, tilt_run

STILL = Size(6000, 4000)  # 100 source pixels a cell of the maps below
VIEW = (1600.0, 900.0)


def interest(*parts: tuple[slice, slice]) -> NDArray[np.float32]:
    found = np.zeros((40, 60), np.float32)
    for rows, columns in parts:
        found[rows, columns] = 1
    return found


def test_a_pan_goes_from_the_start_to_the_end_of_what_is_there() -> None:
    run = pan_run(interest((slice(20, 25), slice(10, 51))), STILL, bounds(STILL), VIEW)
    assert (run.first, run.last) == (975, 5100)  # in steps of 6000 / 160 = 37.5 px, the one that holds 1000 among them
    assert run.start.x == 975 - 160  # a tenth of the view before
    assert run.end.right == pytest.approx(5100 + 160)
    for view in (run.start, run.end):
        assert view.y <= 2000
        assert view.bottom >= 2500


def test_the_longest_of_several_runs_is_followed() -> None:
    short, long = (slice(20, 24), slice(2, 10)), (slice(20, 24), slice(25, 55))
    run = pan_run(interest(short, long), STILL, bounds(STILL), VIEW)
    assert run.first == pytest.approx(2500, abs=38)
    assert run.last == pytest.approx(5500, abs=38)


def test_a_short_quiet_part_does_not_end_a_run() -> None:
    run = pan_run(interest((slice(20, 24), slice(5, 20)), (slice(20, 24), slice(26, 50))), STILL, bounds(STILL), VIEW)
    assert run.first == pytest.approx(500, abs=38)
    assert run.last == pytest.approx(5000, abs=38)


def test_right_to_left_is_the_same_way_back() -> None:
    found = interest((slice(20, 25), slice(10, 51)))
    there, back = (pan_run(found, STILL, bounds(STILL), VIEW, way) for way in DIRECTIONS)
    assert (there.start, there.end) == (back.end, back.start)


def test_the_ends_follow_a_run_that_falls() -> None:
    found = interest((slice(18, 20), slice(5, 20)), (slice(20, 22), slice(20, 40)), (slice(22, 24), slice(40, 55)))
    run = pan_run(found, STILL, bounds(STILL), (1600.0, 400.0))
    assert run.start.y < run.end.y


def test_a_tilt_goes_down() -> None:
    run = tilt_run(interest((slice(5, 36), slice(28, 32))), STILL, bounds(STILL), VIEW)
    assert run.start.y < 600
    assert run.end.bottom > 3500
    assert run.start.x <= 2800
    assert run.start.right >= 3200


def test_a_single_spot_is_no_run_so_the_way_is_the_whole_width() -> None:
    run = pan_run(interest((slice(20, 22), slice(30, 32))), STILL, bounds(STILL), VIEW)
    assert (run.start.x, run.end.right) == (0, 6000)


def test_nothing_of_interest_is_crossed_in_the_middle() -> None:
    run = pan_run(np.zeros((40, 60), np.float32), STILL, bounds(STILL), VIEW)
    assert (run.start.x, run.end.right) == (0, 6000)
    assert run.start.centre[1] == pytest.approx(2000, abs=20)


@settings(max_examples=40)
@given(
    seed=st.integers(0, 1000),
    area=st.builds(Rect, st.floats(0, 2000), st.floats(0, 1500), st.floats(1000, 3900), st.floats(700, 2400)),
    share=st.floats(0.2, 1.0),
    way=st.sampled_from(DIRECTIONS),
)
def test_both_ends_lie_in_the_area_and_run_the_way_asked(seed: int, area: Rect, share: float, way: str) -> None:
    found = np.random.default_rng(seed).random((40, 60), np.float32) ** 6
    size = (area.width * share, area.height * share)
    across, down = pan_run(found, STILL, area, size, way), tilt_run(found, STILL, area, size)
    slack = Rect(area.x - 1e-6, area.y - 1e-6, area.width + 2e-6, area.height + 2e-6)
    for view in (across.start, across.end, down.start, down.end):
        assert (view.width, view.height) == pytest.approx(size)
        assert view.within(slack)
    assert (across.end.x - across.start.x) * (1 if way == DIRECTIONS[0] else -1) >= -1e-6
    assert down.end.y >= down.start.y - 1e-6


def at(x: float, y: float) -> Rect:
    return Rect(x - 50, y - 50, 100, 100)


def test_details_across_are_visited_left_to_right_or_right_to_left() -> None:
    details = [at(900, 300), at(100, 200), at(500, 400)]
    assert reading_order(details) == (1, 2, 0)
    assert reading_order(details, "right to left") == (0, 2, 1)


def test_details_down_are_visited_from_the_top_either_way() -> None:
    details = [at(300, 900), at(200, 100), at(400, 500)]
    assert reading_order(details) == reading_order(details, "right to left") == (1, 2, 0)


def test_one_place_twice_keeps_its_order_and_none_is_none() -> None:
    assert reading_order([]) == ()
    assert reading_order([at(1, 1)]) == (0,)
    assert reading_order([at(1, 1), at(1, 1)]) == (0, 1)


def test_another_direction_is_a_caller_s_mistake() -> None:
    with pytest.raises(ValueError, match="'left to right', 'right to left', not 'up'"):
        reading_order([], "up")
    with pytest.raises(ValueError, match="a direction is one of"):
        pan_run(np.ones((4, 4), np.float32), STILL, bounds(STILL), VIEW, "up")
