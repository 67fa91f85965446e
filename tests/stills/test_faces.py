from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
import skimage.data
from numpy.typing import NDArray
from skimage.feature import Cascade

from kenburns.motion.geometry import Rect, Size, bounds, overlap
from kenburns.stills.interest import faces
from kenburns.stills.interest.faces import find_faces


def likeness(a: Rect, b: Rect) -> float:
    """Intersection over union."""
    common = overlap(a, b)
    return common / (a.area + b.area - common)


def enlarged(rect: Rect, factor: float) -> Rect:
    return Rect(*(factor * value for value in (rect.x, rect.y, rect.width, rect.height)))


def from_skimage(name: str) -> Any:
    """What a function of scikit-image's data returns; they are not typed."""
    return getattr(skimage.data, name)()


def sample(name: str) -> NDArray[np.uint8]:
    """One of scikit-image's pictures."""
    return np.asarray(from_skimage(name), np.uint8)


def in_colour(grey: NDArray[np.uint8]) -> NDArray[np.uint8]:
    return np.repeat(grey[..., None], 3, axis=2)


def test_the_face_lies_where_another_detector_sees_it() -> None:
    """scikit-image's cascade of local binary patterns, with the settings of its gallery's example."""
    rgb = sample("astronaut")
    cascade = Cascade(from_skimage("lbp_frontal_face_cascade_filename"))
    (seen,) = cascade.detect_multi_scale(
        img=rgb, scale_factor=1.2, step_ratio=1, min_size=(60, 60), max_size=(123, 123)
    )
    (face,) = find_faces(rgb)
    assert likeness(face.rect, Rect(seen["c"], seen["r"], seen["width"], seen["height"])) > 0.6
    assert 0.8 < face.score <= 1


def test_a_face_turned_half_away_is_found_in_a_grey_picture() -> None:
    """scikit-image's `camera`: the cameraman's head stands at about x 190-270, y 90-200."""
    (face,) = find_faces(in_colour(sample("camera")))
    assert face.rect.within(Rect(180, 80, 100, 130))


@pytest.mark.parametrize("name", ["coffee", "chelsea", "rocket"])
def test_a_cup_a_cat_and_a_rocket_are_no_faces(name: str) -> None:
    assert find_faces(sample(name)) == ()


@pytest.mark.parametrize("factor", [0.5, 2.0, 3.0])
def test_faces_are_in_pixels_of_the_picture_given(factor: float) -> None:
    rgb = sample("astronaut")
    other = np.asarray(cv2.resize(rgb, None, fx=factor, fy=factor, interpolation=cv2.INTER_AREA), np.uint8)
    (face,), (again,) = find_faces(rgb), find_faces(other)
    assert likeness(enlarged(face.rect, factor), again.rect) > 0.8


def test_a_mirrored_picture_has_the_mirrored_face() -> None:
    rgb = sample("astronaut")
    (face,), (mirrored,) = find_faces(rgb), find_faces(np.ascontiguousarray(rgb[:, ::-1]))
    across = Rect(512 - mirrored.rect.right, mirrored.rect.y, mirrored.rect.width, mirrored.rect.height)
    assert likeness(face.rect, across) > 0.8


def test_several_faces_come_surest_first_and_inside_the_picture() -> None:
    rgb = sample("astronaut")[40:200, 140:300]
    half = cv2.resize(rgb, (80, 80), interpolation=cv2.INTER_AREA)
    both = np.full((200, 320, 3), 90, np.uint8)
    both[:160, :160], both[100:180, 220:300] = rgb, half
    found = find_faces(both)
    assert len(found) == 2
    assert found[0].score >= found[1].score
    assert {face.rect.centre[0] > 200 for face in found} == {True, False}
    assert all(face.rect.within(bounds(Size(320, 200))) for face in found)


def test_threads_find_what_one_finds_alone() -> None:
    pictures = [sample("astronaut"), in_colour(sample("camera")), sample("coffee")] * 3
    with ThreadPoolExecutor(3) as pool:
        assert list(pool.map(find_faces, pictures)) == [find_faces(rgb) for rgb in pictures]


def test_without_the_model_no_face_is_found(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(faces, "MODEL", tmp_path / "none.onnx")
    monkeypatch.setattr(faces, "_KEPT", faces._Kept())
    assert find_faces(sample("astronaut")) == ()


def test_finding_faces_prints_nothing(monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr(faces, "_KEPT", faces._Kept())
    level = cv2.utils.logging.getLogLevel()
    find_faces(sample("astronaut"))
    assert capfd.readouterr() == ("", "")
    assert cv2.utils.logging.getLogLevel() == level


@pytest.mark.parametrize("shape", [(1, 1), (3, 900), (900, 3), (40, 40)])
def test_a_flat_picture_of_any_shape_has_no_face(shape: tuple[int, int]) -> None:
    assert find_faces(np.full((*shape, 3), 128, np.uint8)) == ()


@pytest.mark.parametrize("wrong", [np.zeros((4, 4)), np.zeros((4, 4, 4), np.uint8), np.zeros((0, 4, 3), np.uint8)])
def test_another_shape_or_type_is_a_caller_s_mistake(wrong: NDArray[np.uint8]) -> None:
    with pytest.raises(ValueError, match="uint8 of shape"):
        find_faces(wrong)
