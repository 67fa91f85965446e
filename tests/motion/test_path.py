"""One rectangle a frame: the 1:1 floor, the hull, exact stops, and speeds worked by hand."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from kenburns.motion.geometry import Rect, Size, around, bounds, containing
from kenburns.motion.path import Shot, Stop, floored, part_way, route, shot_path, speed_limit, speeds
from kenburns.motion.zoom import DirectPath, ZoomPath

HD = Size(1920, 1080)
STILL = Size(6000, 4000)
EASINGS = ("linear", "sine", "cubic", "minimum-jerk", "cubic-bezier(0.25, 0.1, 0.25, 1)", "cubic-bezier(0, 1, 0, 1)")
KINDS = ("push in", "pull out", "pan", "tilt", "tour")

frames_of_view = st.one_of(
    st.sampled_from([HD, Size(3840, 2160), Size(4096, 2160), Size(1080, 1920), Size(1080, 1080)]),
    st.builds(Size, st.integers(2, 4100), st.integers(2, 4100)),
)
stills = st.builds(Size, st.integers(1, 15_000), st.integers(1, 15_000))


@st.composite
def stop_rects(draw: st.DrawFn, still: Size, frame: Size) -> Rect:
    """A view as a plan may hold it: anywhere about the picture, any size, also a hair or far under the floor."""
    kind = draw(st.sampled_from(["whole", "one to one", "any"]))
    if kind == "whole":
        return containing(bounds(still), frame)
    share = st.floats(-0.5, 1.5)
    centre = (draw(share) * still.width, draw(share) * still.height)
    width = 1.0 if kind == "one to one" else draw(st.floats(0.9, 8))
    return around(centre, frame.width * width, frame)


@st.composite
def cases(draw: st.DrawFn) -> tuple[Shot, Size, Size]:
    still, frame = draw(stills), draw(frames_of_view)
    at, stops = 0, []
    for _ in range(draw(st.integers(1, 4))):
        leave = at + draw(st.integers(0, 5))
        stops.append(Stop(draw(stop_rects(still, frame)), at, leave))
        at = leave + draw(st.integers(1, 40))
    shot = Shot(draw(st.sampled_from(KINDS)), stops[-1].leave + 1, tuple(stops), draw(st.sampled_from(EASINGS)))
    return shot, still, frame


def two_stops(kind: str, start: Rect, end: Rect, frames: int = 101, ease: str = "sine") -> Shot:
    return Shot(kind, frames, (Stop(start, 0, 0), Stop(end, frames - 1, frames - 1)), ease)


def edges(path: NDArray[np.float64]) -> tuple[float, float, float, float]:
    x, y, width, height = path.T
    return float(x.min()), float(y.min()), float((x + width).max()), float((y + height).max())


# ---- the floor and the hull


@settings(max_examples=300)
@given(cases())
def test_no_row_is_under_the_frame_by_even_one_bit(case: tuple[Shot, Size, Size]) -> None:
    shot, still, frame = case
    path = shot_path(shot, still, frame)
    assert path.shape == (shot.frames, 4)
    assert np.all(path[:, 2] >= frame.width)
    assert np.all(path[:, 3] >= frame.height)
    between = np.ones(shot.frames, dtype=bool)
    for stop in shot.stops:
        between[stop.arrive : stop.leave + 1] = False
    np.testing.assert_array_equal(path[between, 3], path[between, 2] * frame.height / frame.width)


@settings(max_examples=300)
@given(cases())
def test_no_row_leaves_the_hull_of_picture_and_stops_by_even_one_bit(case: tuple[Shot, Size, Size]) -> None:
    shot, still, frame = case
    left, top, right, bottom = edges(shot_path(shot, still, frame))
    everything = [bounds(still), *(floored(stop.rect, frame) for stop in shot.stops)]
    assert left >= min(rect.x for rect in everything)
    assert top >= min(rect.y for rect in everything)
    assert right <= max(rect.right for rect in everything)
    assert bottom <= max(rect.bottom for rect in everything)


class Astray:
    """A route that falls short of its ends' widths by ever more, and runs far past the picture."""

    length = 1.0

    def at(self, u: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.stack([-9000 + 20_000 * u, 9000 - 20_000 * u, 1920 - 1e-12 - 1900 * u], axis=1)


def test_floor_and_hull_hold_whatever_the_route_does(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("kenburns.motion.path.route", lambda *_: Astray())
    path = shot_path(two_stops("pan", Rect(0, 0, 1920, 1080), Rect(4080, 0, 1920, 1080)), STILL, HD)
    np.testing.assert_array_equal(path[:, 2:], [(1920, 1080)] * 101)
    assert edges(path) == (0, 0, 6000, 4000)


def test_views_along_an_edge_of_the_hull_do_not_pass_it_by_the_last_bit() -> None:
    def lone_edge(seed: int) -> tuple[float, NDArray[np.float64]]:
        random = np.random.default_rng(seed)
        edge, widths = 7900 + random.uniform(0, 100), random.uniform(2050, 3700, 2)
        start, end = (Rect(edge - width, 0, width, width * 1080 / 1920) for width in widths)
        path = shot_path(two_stops("push in", start, end, ease="linear"), STILL, HD)
        return max(start.right, end.right), path[:, 0] + path[:, 2]

    assert all(np.all(right <= limit) for limit, right in map(lone_edge, range(300)))


@settings(max_examples=100)
@given(cases())
def test_a_stops_frames_hold_exactly_its_rectangle(case: tuple[Shot, Size, Size]) -> None:
    shot, still, frame = case
    path = shot_path(shot, still, frame)
    for stop in shot.stops:
        rect = floored(stop.rect, frame)
        resting = path[stop.arrive : stop.leave + 1]
        np.testing.assert_array_equal(resting, [(rect.x, rect.y, rect.width, rect.height)] * len(resting))


@settings(max_examples=50)
@given(cases())
def test_the_same_shot_gives_the_same_path(case: tuple[Shot, Size, Size]) -> None:
    np.testing.assert_array_equal(shot_path(*case), shot_path(*case))


@given(stills, frames_of_view, st.data())
def test_the_floor_changes_nothing_a_second_time(still: Size, frame: Size, data: st.DataObject) -> None:
    once = floored(data.draw(stop_rects(still, frame)), frame)
    assert floored(once, frame) == once


def test_a_rectangle_that_fits_passes_the_floor_untouched() -> None:
    rect = Rect(0.1, 0.2, 3840, 2160)
    assert floored(rect, HD) is rect


def test_the_floor_widens_about_the_centre_and_mends_the_aspect() -> None:
    assert floored(Rect(1000, 1000, 192, 108), HD) == Rect(136, 514, 1920, 1080)
    # A square of 2160: all of it stays in view.
    assert floored(Rect(0, 0, 2160, 2160), HD) == Rect(-840, 0, 3840, 2160)


# ---- which way


def test_a_tour_between_far_details_draws_back_inside_the_picture() -> None:
    a, b = Rect(1500, 1500, 1920, 1080), Rect(5500, 2000, 1920, 1080)
    still = Size(9000, 5000)
    path = shot_path(two_stops("tour", a, b), still, HD)
    assert isinstance(route("tour", a, b, still, HD), ZoomPath)
    assert path[:, 2].max() > 2400
    left, top, right, bottom = edges(path)
    assert left >= 0
    assert top >= 0
    assert right <= 9000
    assert bottom <= 5000


def test_a_tour_whose_drawing_back_would_leave_the_picture_goes_straight() -> None:
    a, b = Rect(0, 0, 1920, 1080), Rect(4080, 0, 1920, 1080)
    assert isinstance(route("tour", a, b, STILL, HD), DirectPath)
    np.testing.assert_array_equal(shot_path(two_stops("tour", a, b), STILL, HD)[:, 2], 1920)


def test_a_tour_does_not_draw_back_further_than_fits_the_picture() -> None:
    # Both stops are wider than this picture: drawing back would be cut short, with a jolt.
    a, b = Rect(-5200, 0, 12_288, 6480), Rect(-6144, -3240, 12_288, 6480)
    assert isinstance(route("tour", a, b, Size(1844, 6473), Size(4096, 2160)), DirectPath)


@pytest.mark.parametrize("kind", ["pan", "push in", "pull out"])
def test_only_a_tour_draws_back(kind: str) -> None:
    a, b = Rect(1500, 1500, 1920, 1080), Rect(5500, 2000, 2000, 1125)
    path = shot_path(two_stops(kind, a, b), Size(9000, 5000), HD)
    assert path[:, 2].max() == 2000


def test_a_pan_keeps_its_scale_and_its_row() -> None:
    path = shot_path(two_stops("pan", Rect(1000, 700, 1920, 1080), Rect(3000, 700, 1920, 1080)), STILL, HD)
    np.testing.assert_array_equal(path[:, 1:], [(700, 1920, 1080)] * 101)


def test_a_push_from_a_whole_with_matte_stays_between_its_two_ends() -> None:
    whole, detail = containing(bounds(STILL), HD), Rect(4000, 2500, 1920, 1080)
    path = shot_path(two_stops("push in", whole, detail), STILL, HD)
    assert np.all(np.diff(path[:, 2]) <= 0)
    assert np.all(np.diff(path[:, 0]) >= -1e-9)
    np.testing.assert_allclose(path[-1], [4000, 2500, 1920, 1080], rtol=0, atol=0)


def test_a_zoom_halves_its_width_in_equal_times() -> None:
    a, b = around((3000, 2000), 5600, HD), around((3000, 2000), 2800, HD)
    widths = shot_path(two_stops("push in", a, b, 3, "linear"), STILL, HD)[:, 2]
    assert widths[1] == pytest.approx(2800 * np.sqrt(2))


def test_a_picture_smaller_than_the_frame_lies_whole_in_a_view_at_1_to_1() -> None:
    whole = floored(containing(bounds(Size(1200, 900)), HD), HD)
    shot = Shot("hold", 3, (Stop(whole, 0, 2),))
    np.testing.assert_array_equal(shot_path(shot, Size(1200, 900), HD), [(-360, -90, 1920, 1080)] * 3)


@given(stills, frames_of_view, st.floats(0, 1), st.data())
def test_part_of_the_way_is_a_usable_stop(still: Size, frame: Size, share: float, data: st.DataObject) -> None:
    start, end = (floored(data.draw(stop_rects(still, frame)), frame) for _ in range(2))
    part = part_way("push in", start, end, share, still, frame)
    assert floored(part, frame) == part
    assert part_way("push in", start, end, 0, still, frame) == start
    assert part_way("push in", start, end, 1, still, frame) == end


# ---- how it moves


def test_slow_moves_are_not_rounded_to_whole_pixels() -> None:
    path = shot_path(two_stops("pan", Rect(0, 0, 1920, 1080), Rect(10, 0, 1920, 1080), ease="linear"), STILL, HD)
    np.testing.assert_allclose(path[:, 0], np.linspace(0, 10, 101), atol=1e-12)


@settings(max_examples=60)
@given(stills, frames_of_view, st.sampled_from(["sine", "minimum-jerk"]), st.sampled_from(KINDS), st.data())
def test_speed_never_jumps(still: Size, frame: Size, ease: str, kind: str, data: st.DataObject) -> None:
    start, end = (data.draw(stop_rects(still, frame)) for _ in range(2))
    speed = speeds(shot_path(two_stops(kind, start, end, 2001, ease), still, frame), frame)
    # Both curves start and end at rest; in 2000 steps no neighbours differ by more than a small part of the peak.
    jumps = np.abs(np.diff(speed, prepend=0, append=0))
    assert np.all(jumps <= 0.02 * speed.max() + 1e-6)


def test_speed_of_a_pan_is_its_step_at_every_corner() -> None:
    # 3 px right and 4 px down at scale 2: 2.5 frame pixels
    path = np.array([(0, 0, 3840, 2160), (3, 4, 3840, 2160)], dtype=np.float64)
    np.testing.assert_allclose(speeds(path, HD), [2.5])


def test_speed_of_a_zoom_is_measured_at_the_corner_that_moves_most() -> None:
    # Twice as close about the centre: what stands in a corner goes out by half the frame's diagonal; what arrives
    # there has come a quarter of it.
    frame = Size(16, 12)
    path = np.array([(0, 0, 64, 48), (16, 12, 32, 24)], dtype=np.float64)
    np.testing.assert_allclose(speeds(path, frame), [10])
    np.testing.assert_allclose(speeds(path[::-1], frame), [10])


def test_a_hold_has_no_speed_and_one_frame_has_no_speeds() -> None:
    hold = shot_path(Shot("hold", 4, (Stop(Rect(0, 0, 1920, 1080), 0, 3),)), STILL, HD)
    np.testing.assert_array_equal(speeds(hold, HD), [0, 0, 0])
    assert speeds(hold[:1], HD).shape == (0,)


@pytest.mark.parametrize(
    ("rate", "seconds", "limit"),
    [
        (Fraction(25), 7, 1920 / 175),  # one frame width in 7 s at 24 to 30 fps: common practice
        (Fraction(24000, 1001), 7, 1920 * 1001 / 168_000),
        (Fraction(25), 14, 1920 / 350),
    ],
)
def test_the_speed_limit_is_one_frame_width_in_so_many_seconds(rate: Fraction, seconds: float, limit: float) -> None:
    assert speed_limit(HD, rate, seconds) == pytest.approx(limit, rel=1e-14)
    assert speed_limit(HD, rate) == pytest.approx(1920 / (7 * float(rate)))


@pytest.mark.parametrize("seconds", [0, -1, float("nan")])
def test_a_limit_of_no_time_is_refused(seconds: float) -> None:
    with pytest.raises(ValueError, match="above 0"):
        speed_limit(HD, Fraction(25), seconds)


# ---- shots that cannot be


@pytest.mark.parametrize(("arrive", "leave"), [(-1, 3), (4, 3)])
def test_a_stop_leaves_no_earlier_than_it_arrives(arrive: int, leave: int) -> None:
    with pytest.raises(ValueError, match="run up from 0"):
        Stop(Rect(0, 0, 1920, 1080), arrive, leave)


@pytest.mark.parametrize(
    ("times", "frames", "reason"),
    [
        ((), 5, "run from frame 0 to 4"),
        (((1, 4),), 5, "run from frame 0 to 4"),
        (((0, 3),), 5, "run from frame 0 to 4"),
        (((0, 2), (2, 4)), 5, "after the one before has left"),
    ],
)
def test_the_stops_fill_the_shot_in_order(times: tuple[tuple[int, int], ...], frames: int, reason: str) -> None:
    rect = Rect(0, 0, 1920, 1080)
    with pytest.raises(ValueError, match=reason):
        Shot("tour", frames, tuple(Stop(rect, *time) for time in times))


def test_neighbouring_stops_without_frames_between_are_a_step() -> None:
    a, b = Rect(0, 0, 1920, 1080), Rect(9, 0, 1920, 1080)
    path = shot_path(Shot("pan", 4, (Stop(a, 0, 1), Stop(b, 2, 3))), STILL, HD)
    assert [after - before for before, after in pairwise(path[:, 0].tolist())] == [0, 9, 0]
