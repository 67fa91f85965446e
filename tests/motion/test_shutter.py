"""What an open shutter sees: hand-worked moments, and no view that the path itself would not allow."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from kenburns.motion.geometry import Rect, Size
from kenburns.motion.path import Shot, Stop, shot_path, speeds
from kenburns.motion.shutter import exposures

FRAME = Size(192, 108)


def pan(step: float, frames: int = 5) -> NDArray[np.float64]:
    return np.array([(step * i, 10.0, 384.0, 216.0) for i in range(frames)])


def test_a_closed_shutter_sees_each_row_once() -> None:
    path = pan(8.0)
    assert [views.tolist() for views in exposures(path, 0, FRAME)] == [[row] for row in path.tolist()]


def test_a_shutter_of_180_degrees_is_open_for_half_a_frame_about_its_moment() -> None:
    """8 source pixels a frame are 4 frame pixels; half of it needs two views, half a pixel to either side."""
    seen = exposures(pan(8.0), 180, FRAME)[2]
    assert seen[:, 0].tolist() == [16 - 1.0, 16 + 1.0]


def test_the_mean_of_an_even_move_is_the_frame_without_a_shutter() -> None:
    for views, row in zip(exposures(pan(6.0), 360, FRAME)[1:-1], pan(6.0)[1:-1], strict=True):
        assert np.allclose(views.mean(axis=0), row)


def test_ends_stand_still_outside_the_shot() -> None:
    first, *_, last = exposures(pan(8.0), 360, FRAME)
    assert first[:, 0].min() == 0
    assert last[:, 0].max() == 32


def test_a_hold_needs_one_view() -> None:
    assert [len(views) for views in exposures(pan(0.0), 360, FRAME)] == [1] * 5


@given(
    angle=st.floats(0, 360),
    scale=st.floats(1, 4),
    frames=st.integers(2, 40),
    easing=st.sampled_from(["linear", "sine", "cubic", "minimum-jerk"]),
)
def test_no_exposure_falls_below_one_to_one_and_none_leaves_a_gap(
    angle: float, scale: float, frames: int, easing: str
) -> None:
    start, end = Rect(0, 0, 192 * scale, 108 * scale), Rect(500, 300, 192, 108)
    shot = Shot("push in", frames, (Stop(start, 0, 0), Stop(end, frames - 1, frames - 1)), easing)
    path = shot_path(shot, Size(900, 600), FRAME)
    for views in exposures(path, angle, FRAME):
        assert (views[:, 2] >= FRAME.width).all()
        assert (views[:, 3] >= FRAME.height).all()
        if 1 < len(views) < 32:
            assert speeds(views, FRAME).max() <= 1.1


@pytest.mark.parametrize("angle", [-1, 360.5, float("nan")])
def test_an_angle_that_no_shutter_has_is_refused(angle: float) -> None:
    with pytest.raises(ValueError, match="0 to 360 degrees"):
        exposures(pan(1.0), angle, FRAME)
