"""Views set by hand are what is shown, to the last digit; times worked by hand."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kenburns.motion.geometry import Rect, Size, around
from kenburns.motion.path import shot_path
from kenburns.motion.set_stops import kind_of, set_shots
from kenburns.motion.shots import Pace

STILL, FRAME = Size(6000, 4000), Size(1920, 1080)
PACE = Pace("sine", head=10, tail=10, rest=5, limit=None, depth=1.25)


def view(x: float, y: float, width: float) -> Rect:
    return Rect(x, y, width, width * 9 / 16)


WIDE, NEAR, LEFT = view(0, 100, 5760), view(900, 600, 1920), view(10, 600, 1920)


@pytest.mark.parametrize(
    ("views", "kind"),
    [
        ([WIDE], "hold"),
        ([WIDE, NEAR], "push in"),
        ([NEAR, WIDE], "pull out"),
        ([LEFT, NEAR], "pan"),
        ([NEAR, view(910, 1500, 1920)], "tilt"),
        ([WIDE, NEAR, LEFT], "tour"),
    ],
)
def test_a_move_is_called_by_what_it_does(views: list[Rect], kind: str) -> None:
    assert kind_of(views) == kind
    assert [shot.kind for shot in set_shots(views, STILL, FRAME, 100, PACE)] == [kind]


def test_the_ends_are_the_views_that_were_set_and_are_held() -> None:
    (shot,) = set_shots([WIDE, NEAR], STILL, FRAME, 100, PACE)
    path = shot_path(shot, STILL, FRAME)
    assert (path[:10] == [WIDE.x, WIDE.y, WIDE.width, WIDE.height]).all()
    assert (path[-10:] == [NEAR.x, NEAR.y, NEAR.width, NEAR.height]).all()


def test_the_second_view_is_reached_on_the_cue_and_the_third_after_it() -> None:
    (shot,) = set_shots([WIDE, NEAR, LEFT], STILL, FRAME, 200, PACE, cues=[80])
    assert [(stop.arrive, stop.leave) for stop in shot.stops][:2] == [(0, 9), (80, 84)]
    assert shot.stops[2].leave == 199
    assert (shot_path(shot, STILL, FRAME)[80] == [NEAR.x, NEAR.y, NEAR.width, NEAR.height]).all()


def test_a_cut_falls_on_its_cue_or_in_the_middle() -> None:
    for cues, first in (([30], 30), ([], 50)):
        whole, detail = set_shots([WIDE, NEAR], STILL, FRAME, 100, PACE, "whole, then detail", cues)
        assert (whole.frames, detail.frames) == (first, 100 - first)
        assert (whole.stops[0].rect, detail.stops[0].rect) == (WIDE, NEAR)


def test_a_move_beyond_the_limit_is_kept_and_says_so() -> None:
    slow = Pace("sine", head=0, tail=0, rest=5, limit=5.0, depth=1.25)
    (shot,) = set_shots([WIDE, NEAR], STILL, FRAME, 25, slow)
    assert shot.stops[1].rect == NEAR
    assert "set by hand, and fast" in shot.notes[0]
    assert "the limit is 5.0" in shot.notes[0]


def test_no_view_and_too_few_frames_are_the_callers_mistake() -> None:
    for views, frames in (([], 10), ([WIDE, NEAR, LEFT], 2)):
        with pytest.raises(ValueError, match="frames hold"):
            set_shots(views, STILL, FRAME, frames, PACE)


centres = st.tuples(st.floats(0, 6000), st.floats(0, 4000))
views = st.builds(lambda centre, width: around(centre, width, FRAME), centres, st.floats(1920, 6000))


@given(st.lists(views, min_size=1, max_size=4), st.integers(8, 300), st.lists(st.integers(-5, 320), max_size=4))
@settings(max_examples=150)
def test_frames_sum_and_every_view_is_shown_exactly(views: list[Rect], frames: int, cues: list[int]) -> None:
    shots = set_shots(views, STILL, FRAME, frames, PACE, cues=cues)
    assert sum(shot.frames for shot in shots) == frames
    path = np.concatenate([shot_path(shot, STILL, FRAME) for shot in shots])
    for wanted in views:
        nearest = np.abs(path - [wanted.x, wanted.y, wanted.width, wanted.height]).max(axis=1).min()
        assert nearest <= 1e-6
    assert (path[:, 2] >= FRAME.width).all()
    assert (path[:, 3] >= FRAME.height).all()
