"""Cue points: on its frame the view rests, within the limit, or a note says what is missing.

Hand-worked frames: a clip of 250 frames at 25 a second, with head 20, tail 15 and rest 12 frames.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kenburns.motion.geometry import Rect, Size, bounds, containing
from kenburns.motion.path import Shot, shot_path, speed_limit, speeds
from kenburns.motion.shots import KINDS, Pace, plan_shots

HD = Size(1920, 1080)
STILL = Size(6000, 4000)
WHOLE = containing(bounds(STILL), HD)
LEFT, RIGHT, LOW = Rect(500, 400, 2400, 1350), Rect(3200, 2200, 1920, 1080), Rect(100, 2800, 2000, 1125)
DETAILS = (LEFT, RIGHT, LOW)
LIMIT = speed_limit(HD, Fraction(25))
CALM = Pace("sine", 20, 15, 12, LIMIT, 1.25)
FREE = replace(CALM, limit=None)


def plan(
    kind: str, *cues: int, frames: int = 250, pace: Pace = FREE, details: tuple[Rect, ...] = DETAILS
) -> tuple[Shot, ...]:
    return plan_shots(kind, STILL, details, HD, frames, pace, cues=cues)


def only(shots: tuple[Shot, ...]) -> Shot:
    (shot,) = shots
    return shot


def timing(shot: Shot) -> list[tuple[int, int]]:
    return [(stop.arrive, stop.leave) for stop in shot.stops]


def rects(shot: Shot) -> list[Rect]:
    return [stop.rect for stop in shot.stops]


def view(shot: Shot, frame: int) -> Rect:
    return Rect(*shot_path(shot, STILL, HD)[frame].tolist())


def fastest(shots: tuple[Shot, ...], still: Size = STILL, frame: Size = HD) -> float:
    return max(float(speeds(shot_path(shot, still, frame), frame).max(initial=0)) for shot in shots)


def left_out(shots: tuple[Shot, ...]) -> int:
    return sum(" is left out: " in note for shot in shots for note in shot.notes)


# ---- any cues of any shot


@st.composite
def cued_slots(draw: st.DrawFn) -> tuple[str, Size, list[Rect], Size, int, Pace, Rect | None, list[int]]:
    frame = draw(st.sampled_from([HD, Size(3840, 2160), Size(1080, 1920), Size(64, 27)]))
    still = Size(draw(st.integers(1, 12_000)), draw(st.integers(1, 12_000)))
    place, length = st.floats(-100, 12_000), st.floats(1, 8000)
    rect = st.builds(Rect, place, place, length, length)
    hold, frames = st.integers(0, 60), draw(st.integers(1, 300))
    pace = Pace(
        draw(st.sampled_from(["linear", "sine", "cubic", "minimum-jerk"])),
        draw(hold),
        draw(hold),
        draw(hold),
        draw(st.one_of(st.none(), st.floats(0.01, 50))),
        draw(st.floats(1, 4)),
    )
    details = draw(st.lists(rect, max_size=4))
    cues = draw(st.lists(st.integers(-20, frames + 20), min_size=1, max_size=4))
    return draw(st.sampled_from(KINDS)), still, details, frame, frames, pace, draw(st.none() | rect), cues


Cued = tuple[str, Size, list[Rect], Size, int, Pace, "Rect | None", list[int]]


@settings(max_examples=150)
@given(cued_slots())
def test_any_cued_slot_is_filled_exactly_above_the_floor_and_within_the_limit(slot: Cued) -> None:
    kind, still, details, frame, frames, pace, work, cues = slot
    shots = plan_shots(kind, still, details, frame, frames, pace, work, cues)
    assert sum(shot.frames for shot in shots) == frames
    for shot in shots:
        path = shot_path(shot, still, frame)
        assert np.all(path[:, 2:] >= (frame.width, frame.height))
    if pace.limit is not None:
        assert fastest(shots, still, frame) <= pace.limit


@settings(max_examples=150)
@given(cued_slots())
def test_on_every_cue_that_is_not_left_out_the_view_stands_on_a_stop_and_stays_or_a_note_says_why(slot: Cued) -> None:
    kind, still, details, frame, frames, pace, work, cues = slot
    shots = plan_shots(kind, still, details, frame, frames, pace, work, cues)
    path = np.concatenate([shot_path(shot, still, frame) for shot in shots])
    stops = [(stop.rect.x, stop.rect.y, stop.rect.width, stop.rect.height) for shot in shots for stop in shot.stops]
    notes = [note for shot in shots for note in shot.notes]
    for cue in set(cues):
        if any(note.startswith(f"the cue at frame {cue} is left out: ") for note in notes):
            continue
        row = path[cue]
        assert tuple(row.tolist()) in stops
        at_rest = np.all(path == row, axis=1)
        rested = int(np.argmin(np.append(at_rest[cue:], False)))
        enough = rested >= min(pace.rest, pace.tail) or at_rest.all()
        assert rested >= 1
        assert enough or any(note.startswith("rests ") for note in notes)


@settings(max_examples=60)
@given(cued_slots())
def test_cues_that_are_left_out_change_nothing_but_the_notes(slot: Cued) -> None:
    kind, still, details, frame, frames, pace, work, _ = slot
    without = plan_shots(kind, still, details, frame, frames, pace, work)
    shots = plan_shots(kind, still, details, frame, frames, pace, work, [-1, frames])
    assert [shot.stops for shot in shots] == [shot.stops for shot in without]
    assert left_out(shots) == 2
    assert left_out(without) == 0


# ---- kind by kind


def test_a_push_in_is_at_its_detail_on_the_cue_and_not_before_and_stays() -> None:
    shot = only(plan("push in", 150))
    assert rects(shot) == [WHOLE, LEFT]
    assert timing(shot) == [(0, 19), (150, 249)]
    assert view(shot, 150) == view(shot, 249) == LEFT
    assert view(shot, 149) != LEFT
    assert shot.notes == ()


def test_half_of_the_frames_before_an_early_cue_still_move() -> None:
    assert timing(only(plan("push in", 30))) == [(0, 14), (30, 249)]
    assert timing(only(plan("push in", 1))) == [(0, 0), (1, 249)]


@pytest.mark.parametrize("kind", ["pan", "tilt"])
def test_a_pan_runs_to_its_detail_and_rests_there_on_the_cue(kind: str) -> None:
    uncued, shot = only(plan(kind)), only(plan(kind, 150))
    assert rects(shot) == rects(uncued)[::-1]
    assert timing(shot) == [(0, 19), (150, 249)]
    assert (shot.kind, shot.notes) == (kind, ())


@pytest.mark.parametrize("kind", ["push in", "pan", "tilt", "pull out"])
def test_without_a_detail_the_moves_own_end_stands_for_it_and_a_note_says_so(kind: str) -> None:
    uncued, shot = only(plan(kind, details=())), only(plan(kind, 150, details=()))
    assert rects(shot) == rects(uncued)
    assert "no detail is given for the cue" in shot.notes[-1]


def test_a_detail_alone_comes_to_rest_on_the_cue() -> None:
    shot = only(plan("detail", 100))
    assert rects(shot) == rects(only(plan("detail")))
    assert timing(shot)[1] == (100, 249)


def test_a_pull_out_rests_on_its_detail_through_the_cue_and_the_rest_and_then_sets_out() -> None:
    shot = only(plan("pull out", 100))
    assert rects(shot) == [LEFT, WHOLE]
    assert timing(shot) == [(0, 111), (235, 249)]
    assert timing(only(plan("pull out", 0))) == [(0, 19), (235, 249)]  # the head is the longer of both
    assert timing(only(plan("pull out", 220))) == [(0, 231), (241, 249)]  # half of the 18 frames left still move


def test_a_pull_out_without_a_frame_after_its_rest_stays_on_the_detail_and_says_so() -> None:
    shot = only(plan("pull out", 245))
    assert (shot.kind, rects(shot)) == ("hold", [LEFT])
    assert shot.notes == (
        "'pull out' stays where it begins: after the cue at frame 245 and its rest no frame is left to move in",
    )


def test_whole_then_detail_cuts_on_the_cue_to_the_detail_at_rest() -> None:
    whole, detail = plan("whole, then detail", 100)
    assert (whole.frames, rects(whole)) == (100, [WHOLE])
    assert rects(detail)[0] == view(detail, 0) == view(detail, 11) == LEFT
    assert timing(detail)[0] == (0, 19)  # the head stands for the rest where it is longer
    assert rects(detail)[1].centre == pytest.approx(LEFT.centre)
    assert rects(detail)[1].width == pytest.approx(LEFT.width / 1.15)


def test_after_the_cut_a_detail_at_1_to_1_or_with_no_time_left_is_held() -> None:
    assert rects(plan("whole, then detail", 100, details=(RIGHT,))[1]) == [RIGHT]
    whole, detail = plan("whole, then detail", 240)
    assert (whole.frames, detail.frames, rects(detail)) == (240, 10, [LEFT])
    assert detail.notes == ("rests 10 frames from the cue at frame 240 to the end of the clip; the pace asks for 15",)


def test_a_tour_is_at_each_detail_on_its_cue_and_rests() -> None:
    shot = only(plan("tour", 80, 140, 210))
    assert rects(shot) == [WHOLE, *DETAILS]
    assert timing(shot) == [(0, 19), (80, 91), (140, 151), (210, 249)]
    assert shot.notes == ()


def test_cues_are_met_in_the_order_of_time_and_each_once() -> None:
    assert plan("tour", 210, 80, 140, 80) == plan("tour", 80, 140, 210)


def test_a_tour_with_fewer_cues_than_details_goes_on_by_itself_in_the_time_left() -> None:
    shot = only(plan("tour", 80, frames=400))
    assert rects(shot) == [WHOLE, *DETAILS]
    assert timing(shot)[:2] == [(0, 19), (80, 91)]
    assert [stop.leave - stop.arrive + 1 for stop in shot.stops[1:]] == [12, 12, 15]


def test_a_tour_goes_on_only_as_far_as_the_limit_allows_and_says_so() -> None:
    shot = only(plan("tour", 350, pace=CALM, frames=900))
    assert rects(shot) == [WHOLE, LEFT, RIGHT]
    assert shot.notes[-1].startswith("shows 1 of the 2 details without a cue: the way there in the 550 frames after ")
    assert fastest((shot,)) <= LIMIT


def test_a_tour_without_time_after_its_last_cue_stays_there() -> None:
    shot = only(plan("tour", 248))
    assert (rects(shot), timing(shot)[1]) == ([WHOLE, LEFT], (248, 249))
    assert shot.notes[0].startswith("shows 0 of the 2 details without a cue: 2 frames are left after the last cue")


def test_cues_too_near_each_other_for_the_rest_share_their_frames_and_a_note_says_so() -> None:
    shot = only(plan("tour", 80, 90))
    assert timing(shot)[1:3] == [(80, 84), (90, 101)]
    assert shot.notes == ("rests 5 frames at detail 1, where the pace asks for 12: the next cue is at frame 90",)


def test_the_first_cue_belongs_to_the_first_detail_even_if_that_is_as_wide_as_the_whole() -> None:
    wide = Rect(0, 312.5, 6000, 3375)
    shot = only(plan("tour", 60, 150, details=(wide, LEFT)))
    assert rects(shot) == [WHOLE, wide, LEFT]
    assert timing(shot) == [(0, 19), (60, 71), (150, 249)]


# ---- the limit


def test_a_push_in_too_fast_for_its_cue_goes_less_far_and_rests_on_the_cue() -> None:
    shot = only(plan("push in", 60, pace=CALM))
    assert rects(shot)[0] == WHOLE
    assert LEFT.width < rects(shot)[1].width < WHOLE.width
    assert timing(shot)[1] == (60, 249)
    # No smaller than it must be.
    assert 0.999 * LIMIT < fastest((shot,)) <= LIMIT
    (note,) = shot.notes
    assert note.startswith("kept to ")
    assert ": the whole way in the 41 frames before the cue at frame 60 would cross " in note
    assert note.endswith(" px of the frame a frame, and the limit is 11.0")


@pytest.mark.parametrize("kind", ["pan", "tilt"])
def test_a_pan_too_fast_for_its_cue_begins_nearer_and_reaches_its_detail(kind: str) -> None:
    shot = only(plan(kind, 20, pace=CALM))
    assert rects(shot)[1] == rects(only(plan(kind, 20)))[1]
    assert shot.notes[0].startswith("kept to ")
    assert 0.999 * LIMIT < fastest((shot,)) <= LIMIT


def test_a_pull_out_too_fast_after_its_cue_keeps_its_detail() -> None:
    shot = only(plan("pull out", 150, pace=CALM))
    assert rects(shot)[0] == LEFT
    assert LEFT.width < rects(shot)[1].width < WHOLE.width
    assert fastest((shot,)) <= LIMIT


def test_a_leg_of_a_tour_too_fast_goes_less_far_and_the_next_sets_out_from_there() -> None:
    shot = only(plan("tour", 60, 249, pace=CALM))
    assert [stop.arrive for stop in shot.stops] == [0, 60, 249]
    assert LEFT.width < rects(shot)[1].width < WHOLE.width
    assert shot.notes[0].startswith("detail 1: kept to ")
    assert 0.999 * LIMIT < fastest((shot,)) <= LIMIT


def test_a_move_of_which_nothing_is_allowed_rests_where_it_is() -> None:
    nothing = replace(CALM, limit=1e-9)
    assert rects(only(plan("push in", 60, pace=nothing))) == [WHOLE]
    tour = only(plan("tour", 60, 120, pace=nothing))
    assert (tour.kind, rects(tour), tour.frames) == ("hold", [WHOLE], 250)


# ---- cues that cannot be met


@pytest.mark.parametrize(
    ("kind", "cues", "note"),
    [
        ("push in", (250,), "the cue at frame 250 is left out: the clip has frames 0 to 249"),
        ("push in", (-1,), "the cue at frame -1 is left out: the clip has frames 0 to 249"),
        ("push in", (0,), "the cue at frame 0 is left out: no frame is left to move in before it"),
        ("whole, then detail", (0,), "the cue at frame 0 is left out: no frame is left to move in before it"),
        ("push in", (100, 200), "the cue at frame 200 is left out: 'push in' goes to one detail"),
        ("tour", (50, 90, 140, 190), "the cue at frame 190 is left out: this tour goes to 3 details"),
        ("hold", (50,), "the cue at frame 50 is left out: a hold goes to no detail"),
    ],
)
def test_a_cue_that_cannot_be_met_is_left_out_with_a_note(kind: str, cues: tuple[int, ...], note: str) -> None:
    assert note in plan(kind, *cues)[0].notes
    assert left_out(plan(kind, *cues)) == 1


def test_a_cue_of_a_photograph_without_room_to_move_is_a_note_of_its_hold() -> None:
    shot = only(plan_shots("push in", Size(1200, 900), (), HD, 100, CALM, cues=(50,)))
    assert shot.notes[-1] == "the cue at frame 50 is left out: a hold goes to no detail"


def test_a_cue_with_less_than_the_tail_after_it_is_met_and_a_note_says_how_long_it_rests() -> None:
    shot = only(plan("push in", 245))
    assert timing(shot)[1] == (245, 249)
    assert shot.notes == ("rests 5 frames from the cue at frame 245 to the end of the clip; the pace asks for 15",)
