from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from benchmarks.overlap import overlaps
from kenburns.stills.outline.lines import steepness, upright_lines
from kenburns.stills.outline.mass import ground_of, masses
from kenburns.stills.outline.nesting import nesting
from kenburns.stills.outline.quadrangle import quadrangles, sides_of
from kenburns.stills.outline.scorer import Scorer, shares
from kenburns.stills.outline.snapping import grown, snapped
from kenburns.stills.outline.strips import CHANNELS, SAMPLES, along

Floats = NDArray[np.float32]


def filled(corners: list[tuple[float, float]], height: int = 300, width: int = 400) -> Floats:
    """L*a*b* 30, 10, 5 inside a convex quadrangle, 80, 0, 0 outside."""
    y, x = np.mgrid[0:height, 0:width] + 0.5
    inside = np.ones((height, width), np.bool_)
    for (ax, ay), (bx, by) in zip(corners, corners[1:] + corners[:1], strict=True):
        inside &= (bx - ax) * (y - ay) - (by - ay) * (x - ax) > 0
    return np.where(inside[:, :, None], [30, 10, 5], [80, 0, 0]).astype(np.float32)


def test_a_step_of_ten_levels_changes_by_five_a_pixel_on_either_side_of_it_before_smoothing() -> None:
    """Steps smoothed by (1, 2, 1) / 4 turn 0 0 10 10 into 0 2.5 7.5 10, so that half the way across is 3.75."""
    lab = np.zeros((7, 8, 3), np.float32)
    lab[:, 4:, 0] = 10
    across, down = steepness(lab)
    assert across[3, 2:6] == pytest.approx([1.25, 3.75, 3.75, 1.25], rel=0.1)
    assert down == pytest.approx(np.zeros_like(down), abs=1e-5)


@settings(max_examples=15)
@given(st.floats(60, 340), st.floats(-30, 30))
def test_the_one_straight_edge_in_a_picture_is_the_first_line(middle: float, lean: float) -> None:
    top, bottom = middle - lean / 2, middle + lean / 2
    lab = filled([(top, -1), (999, -1), (999, 301), (bottom, 301)])
    across, down = steepness(lab)
    assert upright_lines(across, down)[0] == pytest.approx([top, bottom], abs=3)


def test_an_even_picture_has_no_lines() -> None:
    flat = np.full((60, 80, 3), 50, np.float32)
    assert upright_lines(*steepness(flat)).shape == (0, 2)


def test_strips_tell_the_colours_on_either_side() -> None:
    lab = filled([(200, -1), (999, -1), (999, 301), (200, 301)])
    strips = along(np.array([[200.0, 200.0]]), lab, steepness(lab)[0])
    means = strips.between(np.array([0]), np.array([0.1]), np.array([0.7]))[0]
    assert (len(means), SAMPLES) == (CHANNELS, 96)
    assert means[2:5] == pytest.approx([80, 0, 0])
    assert means[10:13] == pytest.approx([30, 10, 5])
    assert means[0] > 0.8


@settings(max_examples=10)
@given(st.lists(st.floats(-12, 12), min_size=8, max_size=8))
def test_a_tilted_quadrangle_is_among_the_likeliest(jitter: list[float]) -> None:
    corners = np.array([[100, 80], [300, 80], [300, 220], [100, 220]]) + np.reshape(jitter, (4, 2))
    lab = filled([(x, y) for x, y in corners.tolist()])
    found = quadrangles(*sides_of(lab), (400, 300))
    assert overlaps(found.corners[:20], corners)[0].max() > 0.96


def test_the_first_quadrangle_is_the_whole() -> None:
    found = quadrangles(*sides_of(filled([(100, 80), (300, 80), (300, 220), (100, 220)])), (400, 300))
    assert found.corners[0] == pytest.approx(np.array([[0, 0], [400, 0], [400, 300], [0, 300]]))
    assert (found.corners[1:].min(axis=(1, 2)) >= -400).all()


def test_an_outline_two_pixels_off_snaps_to_the_edge() -> None:
    corners = np.array([[100.0, 80], [300, 84], [297, 220], [104, 216]])
    rgb = (
        np.where(filled([(x, y) for x, y in corners.tolist()])[:, :, :1] < 50, 40, 210)
        .astype(np.uint8)
        .repeat(3, axis=2)
    )
    off = corners + np.array([[2, -1], [1, 2], [-2, 1], [1, 1]])
    assert snapped(rgb, off) == pytest.approx(corners, abs=0.6)


def test_growing_moves_every_side_out() -> None:
    square = np.array([[10.0, 10], [20, 10], [20, 30], [10, 30]])
    assert grown(square, 2) == pytest.approx(np.array([[8, 8], [22, 8], [22, 32], [8, 32]]))


def test_a_ring_is_described_from_both_of_its_outlines() -> None:
    """A ring of 5 px at the sides and 10 at top and bottom: even by half, 7.5 px wide in the mean."""
    outer = np.array([[0.0, 0], [100, 0], [100, 100], [0, 100]])
    inner = np.array([[5.0, 10], [95, 10], [95, 90], [5, 90]])
    colours = np.zeros((2, 4, 3))
    found = nesting(np.stack([inner, outer]), np.array([1.0, 3.0]), colours, colours, (150, 100))
    to_outer, to_inner = found[0, :8], found[1, 8:]
    assert to_outer[:4] == pytest.approx([1, 3 / 4, 0.5, 10 * 7.5 / 150])
    assert to_inner[:4] == pytest.approx([1, 1 / 4, 0.5, 10 * 7.5 / 150])
    assert found[0, 8:] == pytest.approx(np.zeros(8))
    assert found[1, :8] == pytest.approx(np.zeros(8))


def test_a_block_on_an_uneven_ground_is_one_mass_in_its_box() -> None:
    lab = filled([(120, 60), (280, 60), (280, 240), (120, 240)])
    lab[:, :, 0] += np.linspace(-8, 8, 400)[None, :]
    boxes, traits = masses(ground_of(lab))
    assert len(boxes) == len(traits) > 0
    assert boxes[0] == pytest.approx([0.3, 0.2, 0.7, 0.8], abs=0.02)


def test_an_even_ground_has_no_mass() -> None:
    assert len(masses(ground_of(np.full((90, 120, 3), 40, np.float32)))[0]) == 0


def test_the_scorer_is_one_hidden_layer() -> None:
    """By hand: row (3) at mean 1, scale 0.5 is 1; tanh(1 * 2 - 2) = 0 and tanh(1 * 0 + 1) = 0.7616 (from memory)."""
    scorer = Scorer(
        np.array([1.0]), np.array([0.5]), np.array([[2.0, 0.0]]), np.array([-2.0, 1.0]), np.array([5.0, 10.0])
    )
    assert scorer(np.array([[3.0]])) == pytest.approx([7.616], abs=1e-3)


def test_shares_sum_to_one_and_double_with_the_logarithm_of_two() -> None:
    found = shares(np.array([1000.0, 1000.0 + np.log(2)]))
    assert found == pytest.approx([1 / 3, 2 / 3])
