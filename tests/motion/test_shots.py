"""Which shots a still gets: every kind, on every still, within its frames and its limit."""

from __future__ import annotations

import itertools
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kenburns.errors import OptionError, ShotError
from kenburns.motion.geometry import Rect, Size, bounds, containing
from kenburns.motion.pacing import share_out
from kenburns.motion.path import Shot, shot_path, speed_limit, speeds
from kenburns.motion.shots import KINDS, Pace, parse_kind, plan_shots, shot_kinds_for

HD = Size(1920, 1080)
STILL = Size(6000, 4000)
WHOLE = containing(bounds(STILL), HD)
LEFT, RIGHT = Rect(500, 400, 2400, 1350), Rect(3200, 2200, 1920, 1080)
DETAILS = (LEFT, RIGHT, Rect(100, 2800, 2000, 1125))
LIMIT = speed_limit(HD, Fraction(25))
CALM = Pace("sine", 20, 15, 12, LIMIT, 1.25)
LIFTED = Pace("sine", 20, 15, 12, None, 1.25)


def only(shots: tuple[Shot, ...]) -> Shot:
    (shot,) = shots
    return shot


def plan(
    kind: str, frames: int = 250, pace: Pace = LIFTED, details: tuple[Rect, ...] = DETAILS, still: Size = STILL
) -> Shot:
    return only(plan_shots(kind, still, details, HD, frames, pace))


def rects(shot: Shot) -> list[Rect]:
    return [stop.rect for stop in shot.stops]


def fastest(shot: Shot, still: Size = STILL, frame: Size = HD) -> float:
    return float(speeds(shot_path(shot, still, frame), frame).max(initial=0))


# ---- any kind on any still


@st.composite
def slots(draw: st.DrawFn) -> tuple[str, Size, list[Rect], Size, int, Pace, Rect | None]:
    frame = draw(st.sampled_from([HD, Size(3840, 2160), Size(1080, 1920), Size(1080, 1080), Size(64, 27)]))
    still = Size(draw(st.integers(1, 12_000)), draw(st.integers(1, 12_000)))
    place, length = st.floats(-100, 12_000), st.floats(1, 8000)
    rect = st.builds(Rect, place, place, length, length)
    hold = st.integers(0, 60)
    pace = Pace(
        draw(st.sampled_from(["linear", "sine", "cubic", "minimum-jerk"])),
        draw(hold),
        draw(hold),
        draw(hold),
        draw(st.one_of(st.none(), st.floats(0.01, 50))),
        draw(st.floats(1, 4)),
    )
    details = draw(st.lists(rect, max_size=4))
    return draw(st.sampled_from(KINDS)), still, details, frame, draw(st.integers(1, 200)), pace, draw(st.none() | rect)


@settings(max_examples=200)
@given(slots())
def test_any_slot_is_filled_exactly_above_the_floor_and_within_the_limit(
    slot: tuple[str, Size, list[Rect], Size, int, Pace, Rect | None],
) -> None:
    kind, still, details, frame, frames, pace, work = slot
    shots = plan_shots(kind, still, details, frame, frames, pace, work)
    assert sum(shot.frames for shot in shots) == frames
    for shot in shots:
        path = shot_path(shot, still, frame)
        assert len(path) == shot.frames
        assert np.all(path[:, 2:] >= (frame.width, frame.height))
        if pace.limit is not None:
            assert speeds(path, frame).max(initial=0) <= pace.limit


@settings(max_examples=60)
@given(slots())
def test_kinds_said_to_move_do_move_and_are_made_as_asked(
    slot: tuple[str, Size, list[Rect], Size, int, Pace, Rect | None],
) -> None:
    _, still, details, frame, frames, pace, work = slot
    lifted = Pace(pace.easing, pace.head, pace.tail, pace.rest, None, pace.depth)
    for kind in shot_kinds_for(still, details, frame, work, pace.depth):
        shots = plan_shots(kind, still, details, frame, frames + 1, lifted, work)
        if kind == "whole, then detail":
            assert len(shots) == 2
            assert shots[0].stops[0].rect != shots[1].stops[0].rect
        elif kind != "hold":
            assert shots[0].kind == kind
            assert fastest(shots[0], still, frame) > 0


@pytest.mark.parametrize("kind", KINDS)
def test_one_frame_is_a_hold_on_the_whole(kind: str) -> None:
    shot = plan(kind, frames=1)
    assert (shot.kind, rects(shot)) == ("hold", [WHOLE])


# ---- kind by kind


def test_a_hold_rests_on_the_whole_without_a_note() -> None:
    shot = plan("hold")
    assert (rects(shot), shot.notes, fastest(shot)) == ([WHOLE], (), 0)


def test_a_push_in_goes_from_the_whole_to_the_first_detail() -> None:
    shot = plan("push in")
    assert rects(shot) == [WHOLE, LEFT]
    assert [(stop.arrive, stop.leave) for stop in shot.stops] == [(0, 19), (235, 249)]
    assert shot.notes == ()


def test_a_push_in_without_details_ends_so_many_times_closer_about_the_middle() -> None:
    end = rects(plan("push in", details=()))[1]
    assert end.centre == pytest.approx((3000, 2000))
    assert end.width == pytest.approx(WHOLE.width / 1.25)


def test_a_pull_out_is_the_push_in_the_other_way_round() -> None:
    assert rects(plan("pull out")) == [LEFT, WHOLE]


def test_a_pan_crosses_the_whole_width_at_one_scale_without_matte() -> None:
    shot = plan("pan", details=())
    assert rects(shot) == [Rect(0, 650, 4800, 2700), Rect(1200, 650, 4800, 2700)]
    path = shot_path(shot, STILL, HD)
    assert np.all(path[:, 2] == 4800)


def test_a_pan_over_a_panorama_fills_the_frame_with_its_height() -> None:
    shot = plan("pan", details=(), still=Size(12_000, 2160))
    assert rects(shot) == [Rect(0, 0, 3840, 2160), Rect(8160, 0, 3840, 2160)]


def test_a_pan_starts_at_the_detail_and_goes_to_the_farther_end() -> None:
    start, end = rects(plan("pan", details=(Rect(100, 2800, 2000, 1125),)))
    assert (start.x, end.x) == (0, 1200)
    assert start.y == end.y == 1300  # the detail's row, as far down as the picture allows
    start, end = rects(plan("pan", details=(RIGHT,)))
    assert (start.x, end.x) == (1200, 0)


def test_a_tilt_runs_down_a_portrait_at_its_full_width() -> None:
    shot = plan("tilt", details=(), still=Size(3840, 6000))
    assert rects(shot) == [Rect(0, 0, 3840, 2160), Rect(0, 3840, 3840, 2160)]


def test_a_tour_visits_the_whole_and_the_details_in_turn_and_rests_at_each() -> None:
    shot = plan("tour", frames=500)
    assert rects(shot) == [WHOLE, *DETAILS]
    assert [stop.leave - stop.arrive + 1 for stop in shot.stops] == [20, 12, 12, 15]


def test_the_legs_of_a_tour_run_equally_fast() -> None:
    shot = plan("tour", frames=2000)
    speed = speeds(shot_path(shot, STILL, HD), HD)
    peaks = [speed[a.leave : b.arrive].max() for a, b in itertools.pairwise(shot.stops)]
    assert max(peaks) <= 1.01 * min(peaks)


def test_whole_then_detail_is_a_hold_and_after_the_cut_a_gentle_move_onto_the_detail() -> None:
    whole, detail = plan_shots("whole, then detail", STILL, DETAILS, HD, 251, LIFTED)
    assert (whole.frames, detail.frames) == (125, 126)
    assert rects(whole) == [WHOLE]
    assert rects(detail)[1] == LEFT
    assert rects(detail)[0].width == pytest.approx(1.15 * LEFT.width)
    assert rects(detail)[0].within(bounds(STILL))


def test_a_detail_with_no_room_about_it_is_held() -> None:
    # The picture is one frame high: a detail of the frame's size can neither widen without matte nor come closer.
    whole, detail = plan_shots("whole, then detail", Size(5000, 1080), [Rect(0, 0, 1920, 1080)], HD, 100, CALM)
    assert (whole.kind, detail.kind, fastest(detail, Size(5000, 1080))) == ("hold", "hold", 0)
    assert rects(detail) == [Rect(0, 0, 1920, 1080)]


def test_the_whole_is_the_work_where_the_work_is_part_of_the_photograph() -> None:
    work = Rect(1000, 500, 4000, 2250)
    shot = only(plan_shots("hold", STILL, [], HD, 10, CALM, work))
    assert rects(shot) == [work]


def test_the_view_of_a_work_near_the_edge_slides_inside_rather_than_show_matte() -> None:
    work = Rect(4000, 500, 2000, 2250)
    (view,) = rects(only(plan_shots("hold", STILL, [], HD, 10, CALM, work)))
    assert view == Rect(2000, 500, 4000, 2250)


def test_details_beyond_the_picture_or_below_the_frame_are_mended() -> None:
    end = rects(plan("push in", details=(Rect(5900, 3900, 300, 300),)))[1]
    assert end == Rect(6000 - 1920, 4000 - 1080, 1920, 1080)


# ---- holds in short slots


def test_holds_too_long_for_the_slot_shrink_in_proportion_to_half_of_it() -> None:
    stops = plan("push in", frames=36).stops  # 18 frames for holds of 20 and 15
    assert [stop.leave - stop.arrive + 1 for stop in stops] == [10, 7]


@given(st.integers(0, 500), st.lists(st.floats(0, 1e6), min_size=1, max_size=6))
def test_shares_sum_exactly_and_leave_none_without(spare: int, weights: list[float]) -> None:
    shares = share_out(spare + len(weights), weights)
    assert sum(shares) == spare + len(weights)
    assert min(shares) >= 1


def test_shares_are_in_proportion() -> None:
    assert share_out(100, [1, 3]) == [25, 75]
    assert share_out(10, [0, 1, 1]) == [1, 5, 4]
    assert share_out(4, [0, 0]) == [2, 2]


# ---- the speed limit


@pytest.mark.parametrize(("kind", "kept"), [("push in", 0), ("pull out", 1)])
def test_a_zoom_too_fast_keeps_its_whole_and_goes_less_far(kind: str, kept: int) -> None:
    shot = plan(kind, frames=150, pace=CALM)
    assert rects(shot)[kept] == WHOLE
    assert LEFT.width < rects(shot)[1 - kept].width < WHOLE.width
    # No smaller than it must be.
    assert 0.999 * LIMIT < fastest(shot) <= LIMIT


def test_a_pan_too_fast_shrinks_about_its_middle() -> None:
    shot = plan("pan", pace=CALM, details=(), still=Size(12_000, 2160))
    start, end = rects(shot)
    assert start.x > 0
    assert (start.x + end.x) / 2 == pytest.approx(4080)
    assert 0.999 * LIMIT < fastest(shot, Size(12_000, 2160)) <= LIMIT


def test_a_pan_too_fast_stays_with_its_detail() -> None:
    still, detail = Size(12_000, 2160), Rect(500, 400, 2400, 1350)
    assert rects(plan("pan", pace=CALM, details=(detail,), still=still))[0].x == 0


def test_a_smaller_move_says_so_with_its_numbers() -> None:
    full, shot = plan("push in", frames=150), plan("push in", frames=150, pace=CALM)
    (note,) = shot.notes
    share = np.log(WHOLE.width / rects(shot)[1].width) / np.log(WHOLE.width / LEFT.width)
    assert note == (
        f"kept to {share * 100:.0f} % of the move: the whole way in 150 frames would cross {fastest(full):.1f} px of "
        "the frame a frame, and the limit is 11.0"
    )


def test_a_move_just_at_the_limit_is_whole_and_one_a_hair_over_is_not() -> None:
    speed = fastest(plan("push in"))
    assert rects(plan("push in", pace=replace(CALM, limit=speed)))[1] == LEFT
    kept = plan("push in", pace=replace(CALM, limit=speed * 0.9999))
    assert rects(kept)[1].width > LEFT.width
    assert fastest(kept) <= speed * 0.9999


def test_a_lifted_limit_gives_the_full_move() -> None:
    shot = plan("push in", frames=40)
    assert (rects(shot), shot.notes) == ([WHOLE, LEFT], ())
    assert fastest(shot) > LIMIT


def test_a_tour_too_fast_drops_its_last_details_before_it_goes_less_far() -> None:
    two = plan("tour", frames=1000, pace=CALM)
    assert rects(two) == [WHOLE, LEFT, RIGHT]
    assert two.notes[0].startswith("shows the first 2 of 3 details: the whole tour in 1000 frames would cross ")
    one = plan("tour", frames=400, pace=CALM)
    assert rects(one) == [WHOLE, LEFT]
    assert len(one.notes) == 1
    less = plan("tour", frames=100, pace=CALM)
    assert rects(less)[0] == WHOLE
    assert rects(less)[1].width > LEFT.width
    assert less.notes[0].startswith("shows the first 1 of 3 details: ")
    assert less.notes[1].startswith("kept to ")


def test_a_tour_of_fewer_frames_than_stops_shows_the_details_it_has_frames_for() -> None:
    shot = plan("tour", frames=3)
    assert rects(shot) == [WHOLE, LEFT, RIGHT]
    assert shot.notes == ("shows the first 2 of 3 details: the slot has 3 frames",)


# ---- no room


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("details", [(), DETAILS])
def test_a_photograph_smaller_than_the_frame_is_held_at_1_to_1_and_flagged(
    kind: str, details: tuple[Rect, ...]
) -> None:
    shot = plan(kind, still=Size(1200, 900), details=details, pace=CALM)
    assert (shot.kind, rects(shot)) == ("hold", [Rect(-360, -90, 1920, 1080)])
    assert shot.notes == ("1200×900 px is less than the 1920×1080 frame: shown whole at 1:1",)


@pytest.mark.parametrize(
    ("kind", "still", "made"),
    [
        ("pan", Size(1920, 1280), "push in"),
        ("tilt", Size(5000, 800), "push in"),
        ("pan", Size(1920, 1080), "hold"),
        ("push in", Size(1950, 1090), "hold"),
        ("pull out", Size(1920, 1080), "hold"),
        ("tour", STILL, "push in"),
        ("whole, then detail", STILL, "push in"),
    ],
)
def test_a_kind_without_room_gives_way_to_the_nearest_and_says_so(kind: str, still: Size, made: str) -> None:
    shot = plan(kind, still=still, details=())
    assert shot.kind == made
    assert shot.notes[0].startswith(f"'{made}' in place of '{kind}': ")


def test_a_detail_as_large_as_the_whole_is_not_cut_to() -> None:
    shot = plan("whole, then detail", details=(Rect(0, 312.5, 6000, 3375),))
    assert shot.kind == "push in"


def test_a_detail_alone_is_the_second_half_of_whole_then_detail() -> None:
    _, after_the_cut = plan_shots("whole, then detail", STILL, DETAILS, HD, 100, LIFTED)
    assert plan("detail", frames=50) == after_the_cut
    assert after_the_cut.kind == "push in"


def test_a_detail_without_one_gives_way_to_a_push_in_and_says_so() -> None:
    shot = plan("detail", details=())
    assert shot.kind == "push in"
    assert "no detail is given" in shot.notes[0]


def test_kinds_with_real_travel_are_told_apart() -> None:
    assert shot_kinds_for(STILL, DETAILS, HD) == tuple(kind for kind in KINDS if kind not in ("hold", "detail"))
    assert shot_kinds_for(STILL, DETAILS[:1], HD) == ("push in", "pull out", "pan", "tilt", "whole, then detail")
    assert shot_kinds_for(STILL, (), HD) == ("push in", "pull out", "pan", "tilt")
    assert shot_kinds_for(Size(1920, 1280), (), HD) == ("push in", "pull out", "tilt")
    assert shot_kinds_for(HD, (), HD) == ("hold",)
    assert shot_kinds_for(Size(1200, 900), DETAILS, HD) == ("hold",)


# ---- what is asked


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("Push-In", "push in"),
        ("push", "push in"),
        ("zoom in", "push in"),
        ("Pull  back", "pull out"),
        ("PAN", "pan"),
        ("whole then detail", "whole, then detail"),
        *[(kind, kind) for kind in KINDS],
    ],
)
def test_a_kind_is_read_as_people_write_it(text: str, kind: str) -> None:
    assert parse_kind(text) == kind


def test_an_unknown_kind_is_refused_with_those_that_work() -> None:
    listed = (
        "'swirl' is not known; use 'hold', 'push in', 'pull out', 'pan', 'tilt', 'tour', 'detail', 'whole, then detail'"
    )
    with pytest.raises(ShotError, match=listed):
        parse_kind("swirl")
    with pytest.raises(ShotError, match=listed):
        plan("swirl")


def test_a_shot_without_frames_is_refused() -> None:
    with pytest.raises(ValueError, match="1 frame or longer, not 0"):
        plan("hold", frames=0)


@pytest.mark.parametrize(
    "numbers", [(-1, 0, 0, None, 1.25), (0, 0, -1, None, 1.25), (0, 0, 0, 0.0, 1.25), (0, 0, 0, None, 0.9)]
)
def test_a_pace_that_means_nothing_is_refused(numbers: tuple[int, int, int, float | None, float]) -> None:
    with pytest.raises(ValueError, match="not "):
        Pace("sine", *numbers)


def test_a_pace_with_an_unknown_easing_is_refused() -> None:
    with pytest.raises(OptionError, match="bounce"):
        Pace("bounce", 0, 0, 0, None, 1.25)
