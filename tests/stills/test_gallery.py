from __future__ import annotations

from collections.abc import Callable

import cv2
import numpy as np
import pytest

from benchmarks.gallery import LONGEST, Sample, with_wall, without_wall
from benchmarks.hanging import frame, hang, mount
from benchmarks.overlap import overlaps
from benchmarks.paintings import PAINTERS, Painter
from benchmarks.statues import free_standing


def test_a_seed_gives_the_same_photograph_again() -> None:
    assert np.array_equal(with_wall(3).rgb, with_wall(3).rgb)
    assert not np.array_equal(with_wall(3).rgb, with_wall(4).rgb)


@pytest.mark.parametrize("make", [with_wall, free_standing])
def test_the_truth_lies_in_the_photograph_clockwise_from_top_left(make: Callable[[int], Sample]) -> None:
    for seed in range(6):
        sample = make(seed)
        height, width = sample.rgb.shape[:2]
        assert max(height, width) == LONGEST
        assert sample.corners is not None
        assert (
            (sample.corners > -0.06 * LONGEST) & (sample.corners < np.array([width, height]) + 0.06 * LONGEST)
        ).all()
        assert cv2.contourArea(sample.corners.astype(np.float32), oriented=True) > 0
        assert sample.corners.sum(axis=1).argmin() == 0


def test_without_a_wall_there_is_no_outline() -> None:
    assert without_wall(5).corners is None


def test_a_mount_and_a_frame_keep_the_work_where_the_truth_says() -> None:
    work = np.full((80, 120, 3), 0.5, np.float32)
    work[0] = work[-1] = work[:, 0] = work[:, -1] = 0.5
    for seed in range(8):
        hung = hang(np.random.default_rng(seed), work)
        left, top = hung.opening[0].astype(int)
        right, bottom = hung.opening[2].astype(int)
        inside = hung.picture[top:bottom, left:right]
        assert inside.shape == work.shape
        assert inside[40:-4, 30:-30] == pytest.approx(0.5, abs=0.02)


def test_a_mount_has_the_widths_it_says() -> None:
    work = np.zeros((60, 90, 3), np.float32)
    picture, (left, top, right, bottom) = mount(np.random.default_rng(1), work, 60)
    assert picture.shape == (60 + top + bottom, 90 + left + right, 3)


def test_a_frame_goes_round_the_work() -> None:
    inside = np.full((40, 60, 3), 0.5, np.float32)
    assert frame(np.random.default_rng(2), inside, 7).shape == (54, 74, 3)


@pytest.mark.parametrize("painter", dict.fromkeys(PAINTERS))
def test_every_painter_fills_the_canvas(painter: Painter) -> None:
    picture = painter(np.random.default_rng(7), 90, 140)
    assert picture.shape == (90, 140, 3)
    assert np.isfinite(picture).all()


def test_overlaps_count_area_lost_and_gained() -> None:
    """A square moved by a tenth: 0.9 in common of 1.1; a tenth of the truth is cut off."""
    truth = np.array([[0.0, 0], [1, 0], [1, 1], [0, 1]])
    iou, cut = overlaps((truth + np.array([0.1, 0]))[None], truth)
    assert iou == pytest.approx([0.9 / 1.1], abs=1e-5)
    assert cut == pytest.approx([0.1], abs=1e-5)
