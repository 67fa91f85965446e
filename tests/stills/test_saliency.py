from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
import pytest
import skimage.data
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from kenburns.motion.geometry import Rect
from kenburns.stills.interest import learned
from kenburns.stills.interest.faces import Face, find_faces
from kenburns.stills.interest.saliency import blended, classical_map, saliency

NAME = "astronaut"


def with_blob(centre: tuple[int, int], radius: int = 22) -> NDArray[np.uint8]:
    """A bright disc (x, y) on a dark ground with faint grain, 300 wide and 200 high."""
    y, x = np.mgrid[0:200, 0:300]
    grain = np.random.default_rng(2).integers(30, 46, (200, 300, 1))
    disc = np.hypot(x - centre[0], y - centre[1])[..., None] < radius
    return np.where(disc, np.array([230, 200, 60]), grain).astype(np.uint8)


def laid_over(rgb: NDArray[np.uint8], found: NDArray[np.float32]) -> NDArray[np.float32]:
    """The map in the picture's own size."""
    return np.asarray(cv2.resize(found, (rgb.shape[1], rgb.shape[0]), interpolation=cv2.INTER_LINEAR), np.float32)


@pytest.mark.parametrize("centre", [(60, 60), (240, 60), (70, 140), (235, 145), (150, 100)])
def test_the_classical_map_peaks_on_the_one_thing_in_the_picture(centre: tuple[int, int]) -> None:
    picture = with_blob(centre)
    found = laid_over(picture, saliency(picture, learned=False))
    row, column = np.unravel_index(np.argmax(found), found.shape)
    assert np.hypot(column - centre[0], row - centre[1]) < 22


@settings(max_examples=25)
@given(st.integers(1, 90), st.integers(1, 90), st.integers(0, 255), st.booleans())
def test_any_picture_gives_a_map_of_its_aspect_between_0_and_1(
    height: int, width: int, level: int, noisy: bool
) -> None:
    rgb = np.full((height, width, 3), level, np.uint8)
    if noisy:
        rgb = np.random.default_rng(level).integers(0, 256, rgb.shape, dtype=np.uint8)
    found = saliency(rgb)
    assert found.dtype == np.float32
    for cells, side in zip(found.shape, (height, width), strict=True):
        assert cells == max(8, 2 * round(side / 2))  # even sides, for the cosine transform
    assert 0 <= found.min() <= found.max() <= 1
    assert np.array_equal(found, saliency(rgb))


@pytest.mark.parametrize("level", [0, 128, 255])
def test_a_flat_picture_gives_the_classical_map_the_centre_alone(level: int) -> None:
    picture = np.full((60, 90, 3), level, np.uint8)
    found = laid_over(picture, saliency(picture, learned=False))
    row, column = np.unravel_index(np.argmax(found), found.shape)
    assert abs(row - 29.5) < 1
    assert abs(column - 44.5) < 1
    assert found[0, 0] < 0.1


@pytest.mark.parametrize("wrong", [np.zeros((4, 4)), np.zeros((4, 4, 4), np.uint8), np.zeros((0, 4, 3), np.uint8)])
def test_another_shape_or_type_is_a_caller_s_mistake(wrong: NDArray[np.uint8]) -> None:
    with pytest.raises(ValueError, match="uint8 of shape"):
        saliency(wrong)


def test_on_real_photographs_the_classical_map_finds_the_closed_figure() -> None:
    """scikit-image's `coffee` (the cup, about x 150-450, y 60-320) and `astronaut` (the round patch on the suit).

    The face on `astronaut` does not stand out: neither classical map knows what a face is.
    """
    pictures = [getattr(skimage.data, name)() for name in ("coffee", "astronaut")]
    cup, suit = (laid_over(picture, saliency(picture, learned=False)) for picture in pictures)
    assert cup[60:320, 150:450].mean() > 1.4 * cup.mean()
    assert suit[340:425, 125:220].mean() > 3 * suit.mean()


def test_a_face_on_astronaut_stands_out_once_it_is_known() -> None:
    """The head is at about x 160-290, y 30-200."""
    rgb = np.asarray(getattr(skimage.data, NAME)(), np.uint8)
    faces = find_faces(rgb)
    for use in (False, True):
        without = laid_over(rgb, saliency(rgb, learned=use))
        known = laid_over(rgb, saliency(rgb, learned=use, faces=faces))
        assert known[30:200, 160:290].mean() / known.mean() > without[30:200, 160:290].mean() / without.mean()
    assert known[30:200, 160:290].mean() > 2.5 * known.mean()


def test_faces_weigh_by_their_score_where_they_are() -> None:
    flat, nothing = np.zeros((20, 30), np.float32), None
    sure, unsure = Face(Rect(30, 20, 20, 20), 1.0), Face(Rect(90, 70, 20, 20), 0.5)
    found = blended((100, 150), flat, nothing, (sure, unsure))
    assert found.shape == flat.shape
    assert np.unravel_index(np.argmax(found), found.shape) == pytest.approx((5.5, 7.5), abs=0.6)  # cells of 5 px
    assert found[16, 20] == pytest.approx(0.5, abs=0.05)


def test_a_classical_and_a_learned_map_lie_over_the_same_picture() -> None:
    """Each with one bright cell: both places stand out, the learned one more."""
    classical, looks = np.zeros((75, 100), np.float32), np.full((18, 24), 1e-4, np.float32)
    classical[60, 80], looks[4, 6] = 1, 0.1
    found = blended((300, 400), classical, looks)
    assert found[18, 26] > found[60, 80] > 3 * found[60, 26]


def test_switched_off_or_missing_the_learned_map_leaves_the_classical_one(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    rgb = np.asarray(getattr(skimage.data, NAME)(), np.uint8)
    usual, off = saliency(rgb), saliency(rgb, learned=False)
    monkeypatch.setattr(learned, "MODEL", tmp_path / "none.onnx")
    monkeypatch.setattr(learned, "_KEPT", learned._Kept())
    assert np.array_equal(saliency(rgb), off)
    assert not np.array_equal(usual, off)
    assert np.array_equal(off, blended(rgb.shape[:2], classical_map(rgb), None))
