from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from benchmarks.boosting import cross_entropy, flattened
from kenburns.stills.outline.forest import Forest
from kenburns.stills.outline.profile_traits import on_border, profile_traits
from kenburns.stills.outline.profiles import DEPTHS, Profiles, profiles
from kenburns.stills.outline.rings import RING, ring_traits

Floats = NDArray[np.float32]
Rows = NDArray[np.float64]
WALL, FRAME, WORK = 80.0, 20.0, 60.0


def box(inset: float, width: float = 400, height: float = 300) -> Rows:
    return np.array(
        [[inset, inset], [width - inset, inset], [width - inset, height - inset], [inset, height - inset]], np.float64
    )


def framed(light: tuple[float, float, float, float] = (0, 0, 0, 0)) -> Floats:
    """Wall, then a frame from 60 px in, then a work from 80 px in, of one grey each; `light` is added to the frame's
    top, right, bottom and left."""
    lab = np.zeros((300, 400, 3), np.float32)
    lab[:, :, 0] = WALL
    top, right, bottom, left = (FRAME + each for each in light)
    lab[60:240, 60:340, 0] = top
    lab[220:240, 60:340, 0] = bottom
    lab[80:220, 60:80, 0] = left
    lab[80:220, 320:340, 0] = right
    lab[80:220, 80:320, 0] = WORK
    return lab


def of_frame(light: tuple[float, float, float, float] = (0, 0, 0, 0)) -> tuple[Rows, Profiles]:
    """The whole, the frame's outline, the work's."""
    corners = np.stack([box(0), box(60), box(80)])
    return corners, profiles(framed(light), corners)


def test_a_profile_goes_from_wall_through_frame_to_work() -> None:
    _, across = of_frame()
    depths = DEPTHS.tolist()
    seen = across.mean[2, :, :, 0] * 20
    assert seen[:, depths.index(-27)] == pytest.approx([WALL] * 4)
    assert seen[:, depths.index(-11)] == pytest.approx([FRAME] * 4)
    assert seen[:, depths.index(11)] == pytest.approx([WORK] * 4)
    assert across.clear[2] == pytest.approx(np.ones((4, 2)))


def test_even_paint_has_no_spread_and_no_texture_along_a_side() -> None:
    _, across = of_frame()
    just_inside = DEPTHS.tolist().index(5.5)
    assert across.spread[1:, :, just_inside] == pytest.approx(np.zeros((2, 4)), abs=1e-3)
    assert across.texture[1:, :, just_inside] == pytest.approx(np.zeros((2, 4)), abs=1e-3)


def test_stripes_that_cross_a_side_run_on_and_stripes_that_stop_there_do_not() -> None:
    x = np.arange(400)
    lab = np.zeros((300, 400, 3), np.float32)
    lab[:, :, 0] = 50 + 20 * np.sin(x / 9)
    corners = box(100)[None]
    assert profiles(lab, corners).running[0, 0] > 0.9
    lab[:100, :, 0] = 50
    assert profiles(lab, corners).running[0, 0] == pytest.approx(0, abs=0.05)


def test_sides_on_the_border_count_for_nothing() -> None:
    shares = np.array([[[0, 0], [1, 0], [1, 0.8], [0, 0.8]]])
    assert on_border(shares).tolist() == [[True, True, False, True]]
    corners, across = of_frame()
    all_on = profile_traits(across, np.zeros(3), np.ones((3, 4), np.bool_))
    assert np.isfinite(all_on).all()
    one = np.ones((3, 4), np.bool_)
    one[:, 2] = False
    mean = profile_traits(across, np.array([WALL / 20, 0, 0]), one)[2, : len(DEPTHS)]
    assert mean[DEPTHS.tolist().index(-11)] == pytest.approx((WALL - FRAME) / 20)
    assert len(corners) == len(all_on)


def test_a_frame_is_a_ring_outwards_of_the_work_and_inwards_of_its_own_outline() -> None:
    """20 px wide on all sides, L* 20: even by 1, 20 / 51.2 wide, of lightness 1 where 20 counts as 1."""
    corners, across = of_frame()
    found = ring_traits(corners, across, np.array([0.0, 1.0, 3.0]), np.array([WALL / 20, 0, 0]))
    for ring in (found[2, :RING], found[1, RING : 2 * RING]):
        assert ring[:2] == pytest.approx([1, 20 / 51.2])
        assert ring[3:5] == pytest.approx([0, 0], abs=1e-6)
        assert ring[8:11] == pytest.approx([1, 0, 0], abs=1e-6)
    assert found[2, RING - 1] == pytest.approx(1 - 3)
    assert found[1, :RING] == pytest.approx(np.zeros(RING))
    assert found[0, : 4 * RING] == pytest.approx(np.zeros(4 * RING))


def test_a_frame_lit_from_the_side_differs_in_lightness_and_not_in_colour() -> None:
    """Sides of 24, 20, 16, 20 lie 4, 0, 4, 0 from their mean: 2 in the mean, 0.1 of 20."""
    corners, across = of_frame((4, 0, -4, 0))
    ring = ring_traits(corners, across, np.zeros(3), np.zeros(3))[2, :RING]
    assert ring[3:5] == pytest.approx([0.1, 0], abs=1e-3)


def stump() -> Forest:
    """One tree: -1 where trait 1 is at most 0.5, otherwise 2; and one that always answers 10."""
    return Forest(
        np.array([0, 3]),
        np.array([1, -1, -1, -1]),
        np.array([0.5, -1.0, 2.0, 10.0]),
        np.array([1, -1, -1, -1]),
        np.array([2, -1, -1, -1]),
    )


def test_a_forest_adds_its_trees_answers() -> None:
    assert stump()(np.array([[9, 0.5], [9, 0.6]])).tolist() == [9.0, 12.0]


def test_a_grown_tree_laid_flat_answers_as_it_did() -> None:
    leaf = [{"leaf_value": value} for value in (-1.0, 2.0, 10.0)]
    tree = {"split_feature": 1, "threshold": 0.5, "left_child": leaf[0], "right_child": leaf[1]}
    flat = {name: np.array(values) for name, values in flattened([tree, leaf[2]]).items()}
    rows = np.array([[0, 0.2], [0, 0.9]])
    assert Forest(**flat)(rows).tolist() == stump()(rows).tolist()


@settings(max_examples=20)
@given(st.lists(st.floats(-3, 3), min_size=5, max_size=5))
def test_the_slopes_are_those_of_the_cross_entropy(scores: list[float]) -> None:
    """Against differences of the loss itself; two photographs of two and three candidates."""
    counts, wanted = np.array([2, 3]), np.array([1.0, 0, 0.25, 0.75, 0])

    def loss(values: Rows) -> float:
        parts = np.split(values, [2])
        return float(sum(np.log(np.exp(p).sum()) for p in parts) - (wanted * values).sum())

    found, curve = cross_entropy(counts, wanted)(np.array(scores), None)
    step = 1e-5 * np.eye(5)
    assert found == pytest.approx([(loss(scores + s) - loss(scores - s)) / 2e-5 for s in step], abs=1e-6)
    assert (curve > 0).all()
