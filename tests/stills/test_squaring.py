from __future__ import annotations

import cv2
import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from kenburns.motion.geometry import Size
from kenburns.stills.squaring import magnifications, square_up, squaring

RECTANGLE = ((10.0, 20.0), (310.0, 20.0), (310.0, 220.0), (10.0, 220.0))
TRAPEZOID = ((100.0, 0.0), (300.0, 0.0), (400.0, 200.0), (0.0, 200.0))


def mapped(matrix: NDArray[np.float64], points: NDArray[np.float64]) -> NDArray[np.float64]:
    lifted = np.concatenate([points, np.ones((len(points), 1))], axis=1) @ matrix.T
    return np.asarray(lifted[:, :2] / lifted[:, 2:])


def numeric_magnification(matrix: NDArray[np.float64], points: NDArray[np.float64]) -> NDArray[np.float64]:
    """The largest singular value of the Jacobian by central differences."""
    step = 1e-3
    x, y = ((mapped(matrix, points + d) - mapped(matrix, points - d)) / (2 * step) for d in ((step, 0), (0, step)))
    return np.asarray(np.linalg.svd(np.stack([x, y], axis=2), compute_uv=False)[:, 0])


def inside(corners: NDArray[np.float64], count: int) -> NDArray[np.float64]:
    """Points all over a quadrangle, its corners and sides among them."""
    s, t = (v.reshape(-1, 1) for v in np.meshgrid(np.linspace(0, 1, count), np.linspace(0, 1, count)))
    a, b, c, d = corners
    return np.asarray((1 - t) * ((1 - s) * a + s * b) + t * ((1 - s) * d + s * c))


def test_an_upright_rectangle_gives_itself() -> None:
    found = squaring(RECTANGLE)
    assert found.size == Size(300, 200)
    assert found.matrix == pytest.approx(np.array([[1, 0, -10], [0, 1, -20], [0, 0, 1]]), abs=1e-12)
    assert found.magnification == pytest.approx(1, abs=1e-12)


def test_the_upright_picture_of_an_upright_rectangle_is_its_pixels() -> None:
    rgb = np.random.default_rng(3).integers(0, 65536, (240, 330, 3), dtype=np.uint16)
    assert np.array_equal(square_up(rgb, squaring(RECTANGLE)), rgb[20:220, 10:310])


def test_a_rectangle_turned_by_a_3_4_5_triangle_keeps_its_sides() -> None:
    """A 3-4-5 turn: sides (80, 60) and (-30, 40) are 100 and 50 long, and meet at a right angle."""
    found = squaring(((30, 0), (110, 60), (80, 100), (0, 40)))
    assert found.size == Size(100, 50)
    assert found.magnification == pytest.approx(1, abs=1e-9)


def test_a_trapezoid_is_scaled_down_to_where_its_short_side_is_stretched() -> None:
    """Top 200 px, bottom 400 px, 200 px tall.

    By hand, for an upright picture of W x H: u = W (x - 200 + q) / (2 q) with q = 100 + y / 2, half the width at y, and
    v = H 2 y / (200 + y), as y / (200 + y) is the only projective map of y with its pole where the sides meet
    (y = -200) that gives 0 at 0; H at y = 200. At the top left corner du/dx = W / 200,
    du/dy = W / 400, dv/dy = H / 100.
    """
    found = squaring(TRAPEZOID)
    width, height = found.size.width, found.size.height
    by_hand = np.array([[width / 200, width / 400], [0, height / 100]])
    expected = np.linalg.svd(by_hand, compute_uv=False)[0]
    assert magnifications(found.matrix, np.array([TRAPEZOID[0]]))[0, 0] == pytest.approx(expected, rel=1e-9)
    assert found.magnification == pytest.approx(expected, rel=1e-9)
    assert found.magnification <= 1
    lengths = 300, np.hypot(100, 200)
    assert width / height == pytest.approx(lengths[0] / lengths[1], rel=0.02)


def test_the_corners_become_the_upright_pictures_corners() -> None:
    found = squaring(TRAPEZOID)
    w, h = found.size.width, found.size.height
    assert mapped(found.matrix, np.array(TRAPEZOID)) == pytest.approx(
        np.array([[0, 0], [w, 0], [w, h], [0, h]]), abs=1e-9
    )


def test_the_homography_is_that_of_opencv() -> None:
    found = squaring(TRAPEZOID)
    w, h = found.size.width, found.size.height
    target = np.array([[0, 0], [w, 0], [w, h], [0, h]], np.float32)
    reference = cv2.getPerspectiveTransform(np.array(TRAPEZOID, np.float32), target)
    assert found.matrix == pytest.approx(reference, rel=1e-5, abs=1e-7)


@settings(max_examples=60)
@given(st.lists(st.floats(-0.35, 0.35), min_size=8, max_size=8), st.floats(400, 6000), st.floats(0.3, 3))
def test_no_pixel_of_any_outline_is_enlarged(jitter: list[float], width: float, aspect: float) -> None:
    size = np.array([width, width / aspect])
    corners = (np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) + np.reshape(jitter, (4, 2))) * size
    sides = np.roll(corners, -1, axis=0) - corners
    after = np.roll(sides, -1, axis=0)
    assume((sides[:, 0] * after[:, 1] - sides[:, 1] * after[:, 0]).min() > 0.15 * size.prod())
    found = squaring(corners)
    assert numeric_magnification(found.matrix, inside(corners, 23)).max() <= 1 + 1e-6
    assert found.magnification <= 1 + 1e-9


@settings(max_examples=30)
@given(st.floats(-0.2, 0.2), st.floats(-0.2, 0.2), st.floats(500, 6000))
def test_the_upright_picture_is_no_smaller_than_it_needs_to_be(lean: float, rise: float, width: float) -> None:
    corners = np.array([[0, 0], [1, rise], [1 + lean, 1], [lean / 2, 1 - rise]]) * width
    found = squaring(corners)
    assert found.magnification > 1 - 3 / min(found.size.width, found.size.height) - 2e-4


def test_fine_stripes_in_a_reduced_part_turn_to_even_grey() -> None:
    stripes = np.repeat(np.tile(np.array([0, 255], np.uint8), 400)[None, :, None], 400, axis=0).repeat(3, axis=2)
    found = squaring(((200, 0), (600, 0), (800, 400), (0, 400)))
    upright = square_up(stripes, found)
    assert upright.shape == (found.size.height, found.size.width, 3)
    assert np.abs(upright[-20:-4, 20:-20].astype(float) - 127.5).max() < 60


@pytest.mark.parametrize(
    ("corners", "said"),
    [
        (((0, 0), (10, 0), (10, 10)), "needs four corners"),
        (((0, 0), (0, 10), (10, 10), (10, 0)), "clockwise"),
        (((0, 0), (10, 0), (0, 10), (10, 10)), "convex"),
        (((0, 0), (0.5, 0), (0.5, 0.5), (0, 0.5)), "at least 1x1 px"),
    ],
)
def test_corners_that_make_no_outline_are_refused(corners: tuple[tuple[float, float], ...], said: str) -> None:
    with pytest.raises(ValueError, match=said):
        squaring(corners)
