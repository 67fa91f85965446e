"""Boolean map saliency against scikit-image's own reconstruction, and against floods by OpenCV."""

from __future__ import annotations

import cv2
import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import array_shapes, arrays
from numpy.typing import NDArray
from skimage.morphology import reconstruction

from kenburns.stills.interest.boolean_map import reached_from_border, surrounded

Levels = NDArray[np.uint8]
channels = arrays(np.uint8, array_shapes(min_dims=2, max_dims=2, min_side=1, max_side=9), elements=st.integers(0, 6))


@given(channels)
def test_what_the_border_reaches_is_its_reconstruction_by_dilation(channel: Levels) -> None:
    seed = channel.copy()
    seed[1:-1, 1:-1] = 0
    cross = np.array([[0, 1, 0], [1, 1, 1], [0, 1, 0]])
    expected = reconstruction(seed, channel, footprint=cross)  # type: ignore[no-untyped-call]  # it ships no types
    assert np.array_equal(reached_from_border(channel), expected)


def test_a_ring_s_inside_is_surrounded_up_to_the_ring_s_own_level() -> None:
    channel = np.array([[9, 9, 9, 9, 9], [9, 2, 2, 2, 9], [9, 2, 7, 2, 9], [9, 2, 2, 2, 9], [9, 9, 9, 9, 9]], np.uint8)
    assert reached_from_border(channel)[2, 2] == 2
    assert surrounded(channel, np.array([4]))[2, 2] == 1  # one pixel, of norm 1
    assert surrounded(channel, np.array([8])).sum() == 0


@given(arrays(np.uint8, (7, 9)))
def test_every_cut_flooded_from_outside_leaves_what_is_surrounded(channel: Levels) -> None:
    thresholds = np.arange(8, 255, 16)
    total = sum((_flooded(channel > level) for level in thresholds), np.zeros(channel.shape))
    assert np.abs(surrounded(channel, thresholds) - total).max() < 1e-9


def _flooded(mask: NDArray[np.bool_]) -> NDArray[np.float64]:
    framed = np.pad(mask, 1, constant_values=True).astype(np.uint8)
    cv2.floodFill(framed, None, (0, 0), (0,))
    inside = framed[1:-1, 1:-1].astype(np.float64)
    return np.asarray(inside / max(np.sqrt(inside.sum()), 1), np.float64)
